//! Second batteries that are joined to the first by a contact.

use crate::check::Context;
use crate::check::survey::Together;
use crate::circuit::Gate;
use crate::document::Status;
use crate::finding::{Basis, Finding, Harm, Help, Label, Severity};
use crate::kind::{Law, OPENS_ABOVE, OPENS_SOURCE, Role};
use crate::quantity::{Amps, Ohms, Unit, Volts};
use crate::solve::Rest;
use crate::solve::working::of_branch;
use crate::working::Working;

mod engine_off;

declare_check! {
    /// Finds second batteries that are joined to the first with the engine off, or through contacts and fuses that do not
    /// stand the current of a full battery into an empty one.
    ///
    /// # What it checks
    ///
    /// For two batteries whose positive poles a contact joins: that they are apart with everything at rest; the current at
    /// the moment they are joined, one at 14.4 V and the other at 11.8 V behind 20 mohm (twice that in a 24 V system), against the ratings
    /// of the contact and of the fuses on the way; and that the alternator is not one that lowers its voltage on the road.
    /// A relay that joins them is open with the engine off and while cranking: no switch works it alone, and no circuit that
    /// is live with the ignition (common practice, no source). An interlock of the relay, `only with` or `any time`, stands
    /// in the place of that.
    ///
    /// # Why it matters
    ///
    /// Joined at rest, the camp lights flatten the starter battery. An empty second battery draws more than a hundred
    /// amperes for a moment, which welds small contacts.
    ///
    /// # Example
    ///
    /// A 30 A relay between two large batteries, 1 m of 16 mm2 apart.
    ///
    /// # What to do
    ///
    /// Use a relay made for charging second batteries, worked only while the engine runs, or a charger.
    name: "split-charge",
    summary: "a second battery is joined wrongly, or through parts that do not stand it",
    harm: Harm::Fire,
    explained_by: &["fuse-too-small", "contact-overloaded", "strap-overloaded", "tap-without-signal"],
    run: run,
}

/// Volts of a battery that is being charged and of an empty one, and the least internal resistance of the empty one in
/// ohms; of 12 V (common practice, no source).
const CHARGED_V: f64 = 14.4;
const EMPTY_V: f64 = 11.8;
const EMPTY_OHM: f64 = 0.02;

const SOURCE: &str =
    "one battery at 14.4 V and an empty one at 11.8 V behind 20 mohm: common practice, no source";

fn run(context: &Context<'_>, findings: &mut Vec<Finding>) {
    let batteries: Vec<usize> = context.batteries().collect();
    if batteries.len() < 2 {
        return;
    }
    let together: Vec<Together> =
        context.survey.rests().map(|(_, rest)| Together::new(context.circuit, rest)).collect();
    let positive = |battery: usize| context.circuit.branches[battery].from;
    // Whether two are joined while a third is joined with neither.
    let are_joined_without = |one: usize, other: usize, third: usize| {
        together.iter().any(|together| {
            together.are_joined(positive(one), positive(other))
                && !together.are_joined(positive(one), positive(third))
        })
    };
    // Such are judged each with the third: between a full and an empty one more flows than over one more way.
    let meet_over_a_third = |one: usize, other: usize| {
        let mut others = batteries.iter().copied().filter(|third| *third != one && *third != other);
        others.any(|third| are_joined_without(one, third, other) && are_joined_without(third, other, one))
    };
    for (number, first) in batteries.iter().enumerate() {
        for second in &batteries[number + 1..] {
            if meet_over_a_third(*first, *second) {
                continue;
            }
            let is_new = [*first, *second]
                .iter()
                .any(|one| context.part_of(*one).is_some_and(|(_, part)| part.status == Status::New));
            if is_new {
                findings.extend(judged(context, &together, *first, *second));
            }
        }
    }
}

/// `together` is what hangs together in each state of the survey, in order.
fn judged(context: &Context<'_>, together: &[Together], first: usize, second: usize) -> Option<Finding> {
    let circuit = context.circuit;
    let network = &circuit.resolved.network;
    let titles = [first, second].map(|battery| circuit.subject(battery).title(network));
    let positive = [first, second].map(|battery| circuit.branches[battery].from);
    let are_joined = |together: &Together| together.are_joined(positive[0], positive[1]);
    let rests = || context.survey.rests().zip(together);
    let ((joining, joined_rest), _) = rests().find(|(_, together)| are_joined(together))?;
    let apart: Vec<&Rest> =
        rests().filter(|(_, together)| !are_joined(together)).map(|((_, rest), _)| rest).collect();
    let contact = (0..circuit.branches.len()).find(|index| {
        let branch = &circuit.branches[*index];
        let is_contact = branch.role == Role::Path && branch.gate != Gate::Always;
        let lies_between = || {
            joined_rest.steady.conducting(*index) && apart.iter().any(|rest| !rest.steady.conducting(*index))
        };
        is_contact && lies_between()
    });
    // The situation at rest is the first; it may have no state to judge by.
    let at_rest = context.survey.situations.first().and_then(|surveyed| surveyed.rests().next());
    if at_rest.is_some() && together.first().is_some_and(are_joined) {
        let subject = circuit.subject(contact.unwrap_or(second));
        let message = format!(
            "{} and {} are joined while everything is at rest: what is used at night drains both",
            titles[0], titles[1]
        );
        // What closes the way at rest may be on for a reason of its own.
        let closed = (0..circuit.branches.len()).filter(|index| {
            let branch = &circuit.branches[*index];
            let is_contact = branch.role == Role::Path && branch.gate != Gate::Always;
            is_contact && at_rest.is_some_and(|rest| rest.steady.conducting(*index))
        });
        let touches =
            [subject.clone()].into_iter().chain(closed.map(|index| circuit.subject(index))).collect();
        return Some(Finding {
            touches,
            because: [first, second]
                .map(|battery| Label {
                    subject: circuit.subject(battery),
                    text: "is joined with the other".to_owned(),
                })
                .into(),
            help: vec![Help::words("join them by a relay that works only while the engine runs")],
            ..Finding::of(CHECK.name, Severity::Look, subject, message, "common practice, no source")
        });
    }
    let contact = contact?;
    equalizing(context, (first, second), contact, &joining.positions)
        .or_else(|| lowered(context, contact, &titles))
        .or_else(|| engine_off::joined(context, (first, second), contact))
}

/// What flows at the moment a full battery is joined to an empty one, where a contact or fuse does not stand it.
fn equalizing(
    context: &Context<'_>,
    (first, second): (usize, usize),
    contact: usize,
    positions: &[u8],
) -> Option<Finding> {
    let circuit = context.circuit;
    let scale = circuit.resolved.nominal_v / 12.0;
    let solver = context.survey.solver().with_changed(|index, law| {
        let (volts, least_ohm) = match index {
            one if one == first => (CHARGED_V * scale, 0.0),
            other if other == second => (EMPTY_V * scale, EMPTY_OHM * scale),
            _ => return None,
        };
        match law {
            Law::Source { internal, limit, one_way, .. } => {
                let internal = Ohms::new(internal.get().max(least_ohm))?;
                Some(Law::Source { emf: Volts::new(volts)?, internal, limit, one_way })
            }
            _ => None,
        }
    });
    let solution = solver.enter(positions.to_vec());
    let rest = solution.shown()?;
    let network = &circuit.resolved.network;
    let found =
        (0..circuit.branches.len()).filter(|index| rest.steady.conducting(*index)).find_map(|index| {
            let (part, _) = context.part_of(index)?;
            let amps = rest.steady.amps(index).abs();
            let used = circuit.resolved.parts[part].as_ref()?;
            let (most, formula) = match circuit.branches[index].role {
                Role::Path if index == contact => {
                    (used.number("contact_a").or_else(|| used.number("rating_a"))?, "I_max = I_n")
                }
                // Of a range the lower end is the worse.
                Role::Protection(_) => (OPENS_ABOVE * circuit.rating(index)?.low.get(), "I_max = 1.35 * I_n"),
                _ => return None,
            };
            (amps > most).then_some((index, amps, most, formula))
        });
    let (index, amps, most, formula) = found?;
    let subject = circuit.subject(index);
    let title = subject.title(network);
    let message = format!(
        "{} flow through {title} at the moment a charged battery is joined to an empty one; it stands {}",
        Amps::new(amps)?,
        Amps::new(most)?
    );
    let rating = if formula == "I_max = I_n" { most } else { most / OPENS_ABOVE };
    let limit = Working::of(format!("what {title} stands"), formula, most, Unit::Ampere, OPENS_SOURCE)?.with(
        "I_n",
        format!("rating of {title}"),
        rating,
        Unit::Ampere,
        Basis::Entered,
    );
    // The current is read off where the sources stand in for the charged and the empty battery.
    let current = Working::of(format!("current of {title}"), "I = I_joined", amps, Unit::Ampere, SOURCE)?
        .with(
            "I_joined",
            "current with one at 14.4 V and one at 11.8 V (24 V: twice)",
            amps,
            Unit::Ampere,
            Basis::Calculated,
        );
    Some(Finding {
        measured: Amps::new(amps).map(Into::into),
        allowed: Amps::new(most).map(Into::into),
        help: vec![Help::words(
            "use a relay and fuses made for joining batteries, or a charger that limits the current",
        )],
        working: vec![current, limit],
        ..Finding::of(CHECK.name, Severity::Look, subject, message, SOURCE)
    })
}

/// A second battery behind an alternator that lowers its voltage on the road.
fn lowered(context: &Context<'_>, contact: usize, titles: &[String; 2]) -> Option<Finding> {
    let circuit = context.circuit;
    let smart = circuit.sources().find(|source| {
        let used = context.part_of(*source).and_then(|(part, _)| circuit.resolved.parts[part].as_ref());
        used.is_some_and(|used| used.word("regulation") == Some("smart"))
    })?;
    let rests = context.survey.situations.iter().flat_map(|surveyed| surveyed.rests());
    let rest = rests.max_by(|a, b| a.steady.amps(contact).abs().total_cmp(&b.steady.amps(contact).abs()))?;
    let (subject, alternator) = (circuit.subject(contact), circuit.subject(smart));
    let network = &circuit.resolved.network;
    let message = format!(
        "{} charges {} only while {} does not lower its voltage: at 12.2 V nothing flows",
        subject.title(network),
        titles[1],
        alternator.title(network)
    );
    Some(Finding {
        because: vec![Label {
            subject: alternator,
            text: "is said to lower its voltage on the road".to_owned(),
        }],
        help: vec![Help::words("use a charger with a step-up converter between the batteries")],
        working: of_branch(circuit, rest, contact, &subject.title(network)),
        ..Finding::of(
            CHECK.name,
            Severity::Look,
            subject,
            message,
            "set voltage of 12.2 to 15.2 V under such control: common practice, no source",
        )
    })
}

#[cfg(test)]
mod tests {
    use crate::circuit::build;
    use crate::document::sentence::parse;
    use crate::document::{Interlock, Settings};
    use crate::finding::Finding;
    use crate::{check, notation};

    /// Two batteries that a relay joins, worked by `coil`, the far end of the wire to its 86.
    fn found(fuse: &str, contact: &str, works: &str, rules: &[&str]) -> Vec<Finding> {
        let text = format!(
            "battery G1 status=existing\nbattery G2\nfuse F1 {fuse} family=strip\nfuse F2 rating_a=100 family=strip
            relay K1 {contact}\nfuse F3 rating_a=3\nearth X1\n{works}
            wire w1 G1.+ F1.1 mm2=25 m=0.15\nwire w2 F1.2 K1.30 mm2=25 m=2
            wire w3 K1.87 F2.1 mm2=25 m=2\nwire w4 F2.2 G2.+ mm2=25 m=0.15
            wire w8 K1.85 X1.1 mm2=1 m=1"
        );
        let network = notation::network(&text).unwrap();
        let rules: Vec<Interlock> = rules.iter().map(|rule| parse(rule, &network).unwrap()).collect();
        let circuit = build(&network, &Settings::default());
        let mut findings = Vec::new();
        (super::CHECK.run)(&check::Context::new(&circuit, &[], &rules), &mut findings);
        findings
    }

    const BY_HAND: &str = "switch S1\nwire w5 G1.+ F3.1 mm2=1 m=0.1\nwire w6 F3.2 S1.in mm2=1 m=1
        wire w7 S1.out K1.86 mm2=1 m=1";

    fn by_donor(signal: &str) -> String {
        format!(
            "donor E1 signal={signal} lamp_w=3\nwire w6 E1.feed F3.1 mm2=1 m=0.1\nwire w7 F3.2 K1.86 mm2=1 m=1"
        )
    }

    /// Some 70 A flow at the moment they are joined: 100 A stand that, 30 A do not.
    #[test]
    fn of_a_range_the_lower_rating_counts() {
        let signal = by_donor("other");
        assert_eq!(found("rating_a=100", "contact_a=100", &signal, &[]), []);
        assert_eq!(found("rating_a=100", "contact_a=30..200", &signal, &[]).len(), 1);
        assert_eq!(found("rating_a=30..200", "contact_a=100", &signal, &[]).len(), 1);
    }

    #[test]
    fn a_relay_that_joins_them_with_the_engine_off_is_told_unless_that_is_waived() {
        let told = |works: &str, rules: &[&str]| {
            let findings = found("rating_a=100", "contact_a=100", works, rules);
            findings.into_iter().next().map(|one| one.message)
        };
        let by_hand = told(BY_HAND, &[]).unwrap();
        assert!(by_hand.contains("with the engine off") && by_hand.contains("S1"), "{by_hand}");
        let cranked = told(&by_donor("ignition"), &[]).unwrap();
        assert!(cranked.contains("while the engine is cranked"), "{cranked}");
        assert_eq!(told(&by_donor("other"), &[]), None);
        assert_eq!(told(BY_HAND, &["K1 any time"]), None);
        assert_eq!(told(&by_donor("ignition"), &["K1 only with E1 on"]), None);
    }
}
