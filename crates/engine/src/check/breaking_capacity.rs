//! Fuses that a short circuit may destroy instead of opening them.

use std::collections::BTreeSet;

use crate::check::Context;
use crate::circuit::{NetIndex, Origin};
use crate::document::{Part, Status};
use crate::finding::{Basis, Finding, Harm, Help, Label, Severity};
use crate::kind::Class;
use crate::protection::corner::to_break;
use crate::protection::fault::upstream;
use crate::protection::ratings::{breaks, breaks_of};
use crate::protection::{Case, Place};
use crate::quantity::{Amps, Unit};
use crate::subject::Subject;
use crate::working::Working;

declare_check! {
    /// Finds fuses that may meet a short circuit greater than they can break.
    ///
    /// # What it checks
    ///
    /// The most a short circuit right behind a fuse may draw through it is compared with what the fuse can break: its own
    /// figure where it was given, else 1000 A for blade fuses (ISO 8820-3:2015) and 2000 A for strip fuses (ISO 8820-5:2015).
    /// The battery has 12.8 V (25.6 V) behind the internal resistance given, else 10 milliohm (20), or 6 of a lithium one;
    /// alternators add all they deliver, wires are cold and joints have no resistance; the fuse itself and its holder count with what was given for
    /// it, else with a typical resistance: 75 mV over the rated current for blades and tubes, 50 mV for strips and
    /// high-current blades, and 2 milliohm for a holder that the fuse is plugged into (all common practice, no source).
    /// Above it is Look behind one lead-acid battery, and Stop where the battery is a lithium one or several are joined side
    /// by side.
    /// What a glass tube or a breaker can break is not known and not judged unless it was given. Existing fuses are judged
    /// only where a new battery is joined with them by wires alone.
    ///
    /// # Why it matters
    ///
    /// A fuse that cannot break the current bursts, and the arc goes on burning in its place.
    ///
    /// # Example
    ///
    /// A blade fuse of 40 A on the post of a lithium battery.
    ///
    /// # What to do
    ///
    /// Fit a fuse that breaks more at the battery, or give the internal resistance of the battery if it is known.
    name: "breaking-capacity",
    summary: "a short circuit may be more than a fuse can break",
    harm: Harm::Fire,
    explained_by: &[],
    run: run,
}

/// Share of a fuse's current from which on a battery counts as feeding it (common practice, no source).
const FEEDS_SHARE: f64 = 0.1;

const SOURCE: &str = "ISO 8820-3:2015 (1000 A at 32 V) and ISO 8820-5:2015 (2000 A at 32 V), or as given; battery, fuse and holder as far as not given: common practice, no source";

fn run(context: &Context<'_>, findings: &mut Vec<Finding>) {
    for fuse in 0..context.circuit.branches.len() {
        let is_fuse = |(_, part): &(usize, &Part)| part.kind.class == Class::Protection;
        let Some((part, fuse_part)) = context.part_of(fuse).filter(is_fuse) else { continue };
        let Some(breaks) = breaks(&context.circuit.resolved, part) else { continue };
        let Some((case, near)) = greatest(context, fuse, breaks) else { continue };
        let batteries = feeding(context, &case, near);
        if fuse_part.status == Status::New || is_joined_with_new(context, near, &batteries) {
            findings.push(finding(context, fuse, &case, breaks, &batteries));
        }
    }
}

/// The fault right behind a fuse that draws most through it, where that is more than it breaks, and the end of the
/// fuse that its current comes from.
fn greatest(context: &Context<'_>, fuse: usize, breaks: Amps) -> Option<(Case, NetIndex)> {
    let branch = &context.circuit.branches[fuse];
    let behind = |(near, far): (NetIndex, NetIndex)| {
        let most = context.prospects().highest_at(Place::Body(far))?;
        // Nothing in a corner with more resistance is greater.
        if through(most, fuse) <= breaks.get() || (most.currents[fuse] > 0.0) != (near == branch.from) {
            return None;
        }
        let lead_acid = || context.prospects().again(most, &to_break());
        let is_lithium = feeding(context, most, near).iter().any(|battery| is_lithium(context, battery.part));
        let case = if is_lithium { Some(most.clone()) } else { lead_acid() };
        case.filter(|case| through(case, fuse) > breaks.get()).map(|case| (case, near))
    };
    let sides = [(branch.from, branch.to), (branch.to, branch.from)].into_iter().filter_map(behind);
    sides.max_by(|a, b| through(&a.0, fuse).total_cmp(&through(&b.0, fuse)))
}

fn through(case: &Case, fuse: usize) -> f64 {
    case.currents[fuse].abs()
}

/// A battery that feeds a fault.
#[derive(Clone, Copy)]
struct Feeding {
    part: usize,
    pole: NetIndex,
}

/// The batteries that the current of a fault into `near` comes from.
fn feeding(context: &Context<'_>, case: &Case, near: NetIndex) -> Vec<Feeding> {
    let circuit = context.circuit;
    let least = FEEDS_SHARE * case.amps.abs();
    let mut nets = BTreeSet::from([near]);
    for index in upstream(circuit, &case.currents, near, least) {
        nets.extend([circuit.branches[index].from, circuit.branches[index].to]);
    }
    let battery = |source: usize| match circuit.branches[source].origin {
        Origin::Part(part, _)
            if nets.contains(&circuit.branches[source].from)
                && -case.currents[source] > least
                && circuit.resolved.network.parts[part].kind.class == Class::Battery =>
        {
            Some(Feeding { part, pole: circuit.branches[source].from })
        }
        _ => None,
    };
    circuit.sources().filter_map(battery).collect()
}

fn is_lithium(context: &Context<'_>, battery: usize) -> bool {
    let used = context.circuit.resolved.parts[battery].as_ref();
    used.and_then(|used| used.word("chemistry")) == Some("lithium")
}

/// Whether a new battery is joined with a net by wires alone.
fn is_joined_with_new(context: &Context<'_>, net: NetIndex, batteries: &[Feeding]) -> bool {
    let parts = &context.circuit.resolved.network.parts;
    batteries.iter().any(|battery| {
        parts[battery.part].status == Status::New && context.run_of(battery.pole) == context.run_of(net)
    })
}

/// Whether two batteries are joined side by side, by wires alone.
fn is_bank(context: &Context<'_>, batteries: &[Feeding]) -> bool {
    let runs: BTreeSet<usize> = batteries.iter().map(|battery| context.run_of(battery.pole)).collect();
    runs.len() < batteries.len()
}

fn finding(context: &Context<'_>, fuse: usize, case: &Case, breaks: Amps, batteries: &[Feeding]) -> Finding {
    let circuit = context.circuit;
    let network = &circuit.resolved.network;
    let subject = circuit.subject(fuse);
    let amps = Amps::new(through(case, fuse)).expect("the current of a fault is finite");
    let severe =
        is_bank(context, batteries) || batteries.iter().any(|battery| is_lithium(context, battery.part));
    let because = batteries.iter().map(|battery| {
        let part = &network.parts[battery.part];
        let is_said = part.values.said("internal_ohm").is_some();
        let text = match (is_lithium(context, battery.part), is_said) {
            (true, true) => "feeds it, and is a lithium battery",
            (true, false) => "feeds it, and is a lithium battery; its internal resistance is not given",
            (false, true) => "feeds it",
            (false, false) => "feeds it; its internal resistance is not given",
        };
        Label { subject: Subject::Part(part.id.clone()), text: text.to_owned() }
    });
    let because: Vec<Label> = because.collect();
    let mut touches = vec![subject.clone()];
    touches.extend(because.iter().map(|label| label.subject.clone()));
    Finding {
        check: CHECK.name,
        severity: if severe { Severity::Stop } else { Severity::Look },
        message: format!(
            "a short circuit behind {} may draw {amps} through it, more than the {breaks} it can break",
            subject.title(network)
        ),
        subject,
        because,
        measured: Some(amps.into()),
        basis: Basis::Calculated,
        allowed: Some(breaks.into()),
        help: vec![Help::words(remedy(amps))],
        source: SOURCE.to_owned(),
        working: [
            Working::of_network("current of the short circuit", amps.get(), Unit::Ampere, SOURCE),
            Working::of("current it can break", "I_max = I_b", breaks.get(), Unit::Ampere, SOURCE).map(
                |working| working.with("I_b", "breaking capacity", breaks.get(), Unit::Ampere, Basis::Tabled),
            ),
        ]
        .into_iter()
        .flatten()
        .collect(),
        touches,
    }
}

fn remedy(amps: Amps) -> String {
    match breaks_of("strip").filter(|strip| amps <= *strip) {
        Some(strip) => format!("fit a strip fuse, which breaks {strip}, or another that breaks as much"),
        None => format!("fit a fuse that is made to break at least {amps}, and give what it breaks"),
    }
}

#[cfg(test)]
mod tests {
    use crate::finding::{Finding, Severity};

    fn found(text: &str) -> Vec<Finding> {
        super::CHECK.alone_on(text)
    }

    fn at_the_post(battery: &str, fuse: &str) -> String {
        format!(
            "battery G1 {battery}
            fuse F1 {fuse}
            lamp E1 watts=5
            earth X1
            wire w1 G1.+ F1.1 mm2=16 m=0.15
            wire w2 F1.2 E1.1 mm2=2.5 m=1
            wire w3 E1.2 X1.1 mm2=2.5 m=1"
        )
    }

    /// 12.8 V over 6 milliohm, 0.15 m of 16 mm2 (0.16), the link (50 mV over 40 A, 1.25) and its holder (2).
    #[test]
    fn a_large_blade_at_the_post_breaks_too_little() {
        let findings = found(&at_the_post("internal_ohm=0.006", "rating_a=40 family=blade-E"));
        assert_eq!(findings.len(), 1, "{findings:?}");
        assert_eq!(findings[0].severity, Severity::Look);
        let amps = findings[0].measured.unwrap().value;
        assert!((amps - 12.8 / (0.006 + 0.000_162 + 0.001_25 + 0.002)).abs() < 1.0, "{amps}");
    }

    #[test]
    fn a_strip_or_a_known_battery_or_a_small_link_breaks_enough() {
        assert_eq!(found(&at_the_post("internal_ohm=0.006", "rating_a=40 family=strip")), []);
        // 10 milliohm are assumed of a lead-acid battery: 12.8 V over 13.4 are 955 A.
        assert_eq!(found(&at_the_post("", "rating_a=40 family=blade-E")), []);
        assert_eq!(found(&at_the_post("internal_ohm=0.006", "rating_a=10")), []);
        // What a glass tube breaks is not known.
        assert_eq!(found(&at_the_post("internal_ohm=0.001", "rating_a=40 family=glass")), []);
    }

    #[test]
    fn two_batteries_side_by_side_make_it_grave() {
        let text = at_the_post("", "rating_a=30") + "\nbattery G2\nwire w4 G2.+ G1.+ mm2=35 m=0.3";
        let findings = found(&text);
        assert_eq!(findings.len(), 1, "{findings:?}");
        assert_eq!(findings[0].severity, Severity::Stop);
        assert_eq!(findings[0].because.len(), 2);
    }

    #[test]
    fn an_existing_fuse_is_judged_only_where_a_new_battery_feeds_it() {
        let fuse = "rating_a=40 family=blade-E status=existing";
        assert_eq!(found(&at_the_post("internal_ohm=0.005 status=existing", fuse)), []);
        assert_eq!(found(&at_the_post("internal_ohm=0.005", fuse)).len(), 1);
    }
}
