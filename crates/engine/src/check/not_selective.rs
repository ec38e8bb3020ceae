//! Fuses that may blow for a fault behind another fuse.

use std::collections::BTreeMap;

use crate::arrange;
use crate::check::Context;
use crate::circuit::NetIndex;
use crate::document::Status;
use crate::finding::{Basis, Finding, Harm, Help, Label, Severity};
use crate::kind::{OPENS_ABOVE, Role};
use crate::protection::fault::upstream;
use crate::protection::{Band, Place};
use crate::quantity::{Amps, Unit};
use crate::subject::Subject;
use crate::working::Working;

declare_check! {
    /// Finds fuses so close in rating to a fuse behind them that either may blow for a fault behind the smaller one.
    ///
    /// # What it checks
    ///
    /// For every fuse that a fault right behind it is fed through, and every fuse ahead of that: the longest time of the one
    /// behind must be shorter than the shortest time of the one ahead, for all currents from 1.35 times the rating of the one
    /// behind to the most a short circuit draws there.
    /// It is judged only where something else hangs between the two, because else it is all the same which of them blows,
    /// where both types are known, and where one of the two is new.
    ///
    /// # Why it matters
    ///
    /// A fault in one lamp then takes everything off that hangs on the fuse ahead.
    ///
    /// # Example
    ///
    /// A fuse box with blade fuses of 15 A behind one of 20 A.
    ///
    /// # What to do
    ///
    /// Rate the fuse ahead two to three times the one behind it, or make it a slower type, if the wires between them allow it.
    name: "not-selective",
    summary: "a fault behind one fuse may blow the fuse ahead of it as well",
    harm: Harm::Failure,
    explained_by: &["breaking-capacity", "fuse-larger-than-wire", "short-circuit-withstand"],
    run: run,
}

/// Share of a fault's current that a fuse must carry to be alone in its way.
const ALL: f64 = 0.999;

const SOURCE: &str =
    "common practice, no source; times: printed for links declared to ISO 8820-3, strips from memory";

/// A fuse behind another, and from which current on either may open first.
struct Pair {
    behind: usize,
    /// The net behind it.
    far: NetIndex,
    from: Amps,
    up_to: Amps,
}

fn run(context: &Context<'_>, findings: &mut Vec<Finding>) {
    let mut by_ahead: BTreeMap<usize, Vec<Pair>> = BTreeMap::new();
    for behind in 0..context.circuit.branches.len() {
        for (ahead, pair) in pairs(context, behind) {
            by_ahead.entry(ahead).or_default().push(pair);
        }
    }
    for (ahead, mut pairs) in by_ahead {
        arrange::sort_by_key(&mut pairs, |pair| pair.behind);
        findings.push(finding(context, ahead, &pairs));
    }
}

/// The fuses ahead of one that may open for a fault right behind it.
fn pairs(context: &Context<'_>, behind: usize) -> Vec<(usize, Pair)> {
    let circuit = context.circuit;
    let branch = &circuit.branches[behind];
    let prospects = context.prospects();
    let Some((link, band)) = prospects.link(behind).and_then(|link| Some((link, link.band.as_ref()?))) else {
        return Vec::new();
    };
    let mut found = Vec::new();
    for (near, far) in [(branch.from, branch.to), (branch.to, branch.from)] {
        let Some(case) = prospects.highest_at(Place::Body(far)) else { continue };
        let amps = case.currents[behind] * if near == branch.from { 1.0 } else { -1.0 };
        // A fault that is fed past the fuse as well is not ended by it.
        if amps < ALL * case.amps.abs() {
            continue;
        }
        for ahead in upstream(circuit, &case.currents, near, (ALL * amps).max(0.0)) {
            let Some(other) = prospects.link(ahead) else { continue };
            let Some(other_band) = &other.band else { continue };
            let share = case.currents[ahead].abs() / amps;
            // Of ranges, the slowest behind and the quickest ahead.
            let (own, its) = (link.rated.get(), other.rated_least.get() / share);
            if is_new(context, behind, ahead)
                && serves_others(context, near, behind, ahead)
                && let Some(from) = first_overlap((band, own), (other_band, its), amps)
                && let (Some(from), Some(up_to)) = (Amps::new(from), Amps::new(amps))
            {
                found.push((ahead, Pair { behind, far, from, up_to }));
            }
        }
    }
    found
}

fn is_new(context: &Context<'_>, one: usize, other: usize) -> bool {
    [one, other].iter().any(|link| context.part_of(*link).is_some_and(|(_, part)| part.status == Status::New))
}

/// Whether something else hangs between two fuses: a load or a coil, or another fuse.
fn serves_others(context: &Context<'_>, near: NetIndex, behind: usize, ahead: usize) -> bool {
    let circuit = context.circuit;
    let zones = context.zones();
    let zone = zones.unfused_of(near);
    (0..circuit.branches.len()).filter(|other| *other != behind && *other != ahead).any(|other| {
        let branch = &circuit.branches[other];
        let uses = matches!(branch.role, Role::Load(_) | Role::Coil { .. } | Role::Protection(_));
        uses && (zones.unfused_of(branch.from) == zone || zones.unfused_of(branch.to) == zone)
    })
}

/// The least current up to `most` at which the slowest of one band is no quicker than the fastest of the other, each
/// with the current that is its rating; `None` when there is none or the fastest is not known.
///
/// Between two corners both are powers of the current, so an overlap shows at a corner or an end.
fn first_overlap(behind: (&Band, f64), ahead: (&Band, f64), most: f64) -> Option<f64> {
    let least = OPENS_ABOVE * behind.1;
    let corners =
        |(band, rated): (&Band, f64)| band.corners().map(|multiple| multiple * rated).collect::<Vec<f64>>();
    let mut points = corners(behind);
    points.extend(corners(ahead));
    points.retain(|amps| least < *amps && *amps < most);
    points.extend([least, most]);
    arrange::sort_by(&mut points, f64::total_cmp);
    points.into_iter().filter(|amps| *amps <= most).find(|amps| {
        let slowest = behind.0.slowest_s(amps / behind.1);
        ahead.0.fastest_s(amps / ahead.1).is_some_and(|fastest| slowest >= fastest)
    })
}

fn finding(context: &Context<'_>, ahead: usize, pairs: &[Pair]) -> Finding {
    let circuit = context.circuit;
    let network = &circuit.resolved.network;
    let subject = circuit.subject(ahead);
    let names: Vec<String> = pairs.iter().map(|pair| circuit.subject(pair.behind).title(network)).collect();
    let because: Vec<Label> = pairs
        .iter()
        .map(|pair| Label {
            subject: circuit.subject(pair.behind),
            text: format!(
                "a fault behind it draws up to {}; from {} on either may open first",
                pair.up_to, pair.from
            ),
        })
        .collect();
    let mut touches: Vec<Subject> = pairs.iter().map(|pair| circuit.subject(pair.behind)).collect();
    touches.push(subject.clone());
    // A fuse that is too large for a wire behind it is too large for the fuse ahead as well.
    let zones = context.zones();
    let behind: Vec<usize> = pairs.iter().map(|pair| zones.unfused_of(pair.far)).collect();
    let is_behind = |wire: &usize| behind.contains(&zones.unfused_of(circuit.branches[*wire].from));
    touches
        .extend(context.wires().map(|(wire, ..)| wire).filter(is_behind).map(|wire| circuit.subject(wire)));
    Finding {
        check: CHECK.name,
        severity: Severity::Note,
        message: format!(
            "a fault behind {} may blow {} as well, which feeds more than that",
            names.join(" or "),
            subject.title(network)
        ),
        because,
        measured: pairs.iter().map(|pair| pair.up_to).reduce(|a, b| if b > a { b } else { a }).map(Into::into),
        basis: Basis::Calculated,
        allowed: pairs.iter().map(|pair| pair.from).reduce(|a, b| if b < a { b } else { a }).map(Into::into),
        help: vec![Help::words("rate the fuse ahead two to three times the ones behind it, if the wires between them allow it, or \
                   accept it"
                .to_owned())],
        subject,
        source: SOURCE.to_owned(),
        working: pairs
            .iter()
            .flat_map(|pair| {
                [
                    Working::of_network("greatest current of a fault behind it", pair.up_to.get(), Unit::Ampere, SOURCE),
                    Working::of_network("current from which on either may open first", pair.from.get(), Unit::Ampere, SOURCE),
                ]
            })
            .flatten()
            .collect(),
        touches,
    }
}

#[cfg(test)]
mod tests {
    use crate::circuit::build;
    use crate::document::Settings;
    use crate::finding::Finding;
    use crate::{check, notation};

    fn found(ahead: &str, behind: &str, more: &str) -> Vec<Finding> {
        let text = format!(
            "battery G1
            fuse F1 {ahead}
            fuse F2 {behind}
            lamp E1 watts=5
            earth X1
            wire w1 G1.+ F1.1 mm2=6 m=0.15
            wire w2 F1.2 F2.1 mm2=6 m=1
            wire w3 F2.2 E1.1 mm2=2.5 m=1
            wire w4 E1.2 X1.1 mm2=2.5 m=1
            {more}"
        );
        let circuit = build(&notation::network(&text).unwrap(), &Settings::default());
        let mut findings = Vec::new();
        (super::CHECK.run)(&check::Context::new(&circuit, &[], &[]), &mut findings);
        findings
    }

    const ANOTHER: &str = "lamp E2 watts=5\nwire w5 F1.2 E2.1 mm2=6 m=1\nwire w6 E2.2 X1.1 mm2=2.5 m=1";

    #[test]
    fn fuses_of_nearly_one_rating_are_not_selective_and_a_third_is() {
        let findings = found("rating_a=20", "rating_a=15", ANOTHER);
        assert_eq!(findings.len(), 1, "{findings:?}");
        assert_eq!(findings[0].subject.id(), "F1");
        assert_eq!(found("rating_a=30", "rating_a=10", ANOTHER), []);
    }

    #[test]
    fn a_slower_type_ahead_is_selective_at_half_the_ratio() {
        assert_eq!(found("rating_a=60 family=strip", "rating_a=30", ANOTHER), []);
    }

    #[test]
    fn two_fuses_of_one_load_are_no_matter() {
        assert_eq!(found("rating_a=20", "rating_a=15", ""), []);
    }

    #[test]
    fn of_unknown_times_nothing_is_said() {
        assert_eq!(found("rating_a=20 family=glass", "rating_a=15", ANOTHER), []);
        assert_eq!(found("", "rating_a=15", ANOTHER), []);
    }
}
