//! Supplies whose poles are joined.

use crate::check::clearing::{Clearing, End, clearing, opens};
use crate::check::{Context, Short, Surveyed};
use crate::circuit::Origin;
use crate::finding::{Basis, Finding, Harm, Help, Label, Severity};
use crate::kind::{OPENS_ABOVE, OPENS_SOURCE};
use crate::quantity::{Amps, Quantity, Unit};
use crate::solve::working::of_branch;
use crate::subject::Subject;
use crate::working::Working;

declare_check! {
    /// Finds situations in which a source's positive pole is joined with its negative pole without a load between them.
    ///
    /// # What it checks
    ///
    /// In every situation looked at, a walk from the positive pole over what conducts without using energy: wires,
    /// closed contacts, fuses, joints and diodes in their direction.
    /// Where it meets the negative pole, the supply is shorted.
    /// Which fuse opens first is worked out from the current each one on the way carries: the one with the greatest
    /// multiple of its rated current, from 1.35 times up. It is then left out and the circuit solved again.
    ///
    /// # Why it matters
    ///
    /// Hundreds of amperes flow; a fuse on the way blows, and without one the wire burns.
    ///
    /// # Example
    ///
    /// A switch wired from the feed to an earth point instead of to the lamp.
    ///
    /// # What to do
    ///
    /// Follow the path that is listed and take the wrong joint out.
    name: "supply-shorted",
    summary: "the supply is joined with earth without a load",
    harm: Harm::Fire,
    explained_by: &["suppression-reversed", "unconnected-terminal", "missing-earth-return"],
    run: run,
}

fn run(context: &Context<'_>, findings: &mut Vec<Finding>) {
    let mut reported: Vec<Subject> = Vec::new();
    for surveyed in &context.survey.situations {
        for short in &surveyed.shorts {
            let root = context.circuit.subject(short.root);
            // Another switch beside it does not make it another short.
            if !reported.contains(&root) {
                findings.push(finding(context, surveyed, short));
                reported.push(root);
            }
        }
    }
}

/// What the fuses make of it, in words.
fn consequence(context: &Context<'_>, clearing: &Clearing) -> String {
    let circuit = context.circuit;
    let network = &circuit.resolved.network;
    let title = |fuse: usize| circuit.subject(fuse).title(network);
    let opening = |(fuse, rating): &(usize, Amps)| match circuit.branches[*fuse].origin {
        Origin::Part(part, _) => opens(network, &network.parts[part].id, *rating),
        Origin::Wire(_) => (title(*fuse), "blow"),
    };
    let mut words = String::new();
    for (number, (who, does)) in clearing.opened.iter().map(opening).enumerate() {
        match number {
            // Each in whole words: other languages have another order.
            0 => words.push_str(&match (does, clearing.several) {
                ("trip", true) => format!("{who} would trip first"),
                ("trip", false) => format!("{who} would trip"),
                (_, true) => format!("{who} would blow first"),
                (_, false) => format!("{who} would blow"),
            }),
            _ => words.push_str(&format!(", then {who}")),
        }
    }
    if clearing.opened.is_empty() {
        words.push_str("no fuse would open");
    } else if let Some(fuse) = clearing.not_known {
        words.push_str(&format!(", unless {} does, whose rating is not given", title(fuse)));
    }
    let stays = if clearing.opened.is_empty() { ": " } else { ", and it would not end there: " };
    match clearing.end {
        End::Cleared => {}
        End::Unfused => words.push_str(&format!("{stays}there is a way without a fuse")),
        End::Holds { fuse, rating, amps } => {
            let surely = Amps::new(OPENS_ABOVE * rating.get()).unwrap_or(rating);
            words.push_str(&format!(
                "{stays}{} ({rating}) would carry {amps}, and opens only above {surely}",
                title(fuse)
            ));
        }
        End::NotKnown => match clearing.not_known {
            Some(fuse) if clearing.opened.is_empty() => {
                words = format!("whether {} would open is not known: its rating is not given", title(fuse));
            }
            _ => words.push_str(&format!("{stays}the rating of the next fuse is not given")),
        },
    }
    words
}

/// How the current of the short circuit came about, and the current at which the first fuse opens.
fn working(
    context: &Context<'_>,
    surveyed: &Surveyed,
    short: &Short,
    opens: Option<&(usize, Amps)>,
) -> Vec<Working> {
    let circuit = context.circuit;
    let network = &circuit.resolved.network;
    let mut all = Vec::new();
    if let Some(rest) = surveyed.solution.shown() {
        for branch in [short.path[0], short.source] {
            let title = circuit.subject(branch).title(network);
            all.extend(of_branch(circuit, rest, branch, &title));
        }
    }
    if let Some((fuse, rating)) = opens {
        let title = circuit.subject(*fuse).title(network);
        let what = format!("current above which {title} opens");
        let amps = OPENS_ABOVE * rating.get();
        all.extend(Working::of(what, "I = 1.35 * I_n", amps, Unit::Ampere, OPENS_SOURCE).map(|working| {
            working.with("I_n", format!("rating of {title}"), rating.get(), Unit::Ampere, Basis::Entered)
        }));
    }
    all
}

fn finding(context: &Context<'_>, surveyed: &Surveyed, short: &Short) -> Finding {
    let circuit = context.circuit;
    let network = &circuit.resolved.network;
    let Short { source, path, root } = short;
    let amps = surveyed.solution.shown().map_or(0.0, |rest| rest.steady.amps(path[0]).abs());
    let amps = Amps::new(amps).expect("a solved current is finite");
    let clearing = clearing(context, surveyed, *source);
    let mut touches: Vec<Subject> = path.iter().map(|branch| circuit.subject(*branch)).collect();
    touches.dedup();
    Finding {
        check: CHECK.name,
        severity: Severity::Stop,
        message: format!(
            "{} the positive pole of {} is joined with its negative pole: {amps} would flow, and {}",
            surveyed.when,
            circuit.subject(*source).title(network),
            consequence(context, &clearing)
        ),
        subject: circuit.subject(*root),
        because: touches
            .iter()
            .map(|subject| Label { subject: subject.clone(), text: "is on the way".to_owned() })
            .collect(),
        measured: Some(amps.into()),
        basis: Basis::Calculated,
        allowed: clearing.opened.first().map(|(_, rating)| Quantity::from(*rating)),
        help: vec![Help::words("follow the listed way and take the wrong joint out")],
        source: "first principles: nothing on the way limits the current".to_owned(),
        working: working(context, surveyed, short, clearing.opened.first()),
        touches,
    }
}

#[cfg(test)]
mod tests {
    use crate::circuit::build;
    use crate::document::Settings;
    use crate::{check, notation};

    /// What is told of the one short circuit of a network.
    fn told(text: &str) -> String {
        let circuit = build(&notation::network(text).unwrap(), &Settings::default());
        let mut shorts = Vec::new();
        (super::CHECK.run)(&check::Context::new(&circuit, &[], &[]), &mut shorts);
        assert_eq!(shorts.len(), 1, "{shorts:?}");
        shorts[0].message.clone()
    }

    fn in_series(first: &str, second: &str) -> String {
        told(&format!(
            "battery G1 internal_ohm=0.02
            fuse F1 {first}
            fuse F2 {second}
            earth X1
            wire w1 G1.+ F1.1 mm2=16 m=0.1
            wire w2 F1.2 F2.1 mm2=16 m=0.1
            wire w3 F2.2 X1.1 mm2=16 m=0.1"
        ))
    }

    #[test]
    fn of_fuses_one_behind_another_the_smallest_opens_first() {
        assert!(in_series("rating_a=60", "rating_a=10").ends_with("fuse F2 (10 A) would blow first"));
        assert!(in_series("rating_a=10", "rating_a=60").ends_with("fuse F1 (10 A) would blow first"));
    }

    /// 12.6 V over a little more than 0.02 ohm: about 540 A, which opens 100 A and not 500 A.
    #[test]
    fn of_a_range_the_higher_rating_counts_because_it_may_hold() {
        let words = in_series("rating_a=100..500", "rating_a=600");
        assert!(words.contains("no fuse would open: fuse F1 (500 A) would carry "), "{words}");
    }

    #[test]
    fn a_fuse_that_stands_the_current_is_told_not_to_open() {
        // 12.6 V over a little more than 0.02 ohm: about 540 A, and 1.35 x 500 A is 675 A.
        let words = in_series("rating_a=500", "rating_a=600");
        assert!(words.contains("no fuse would open: fuse F1 (500 A) would carry "), "{words}");
        assert!(words.ends_with("and opens only above 675 A"), "{words}");
    }

    #[test]
    fn a_fuse_without_a_rating_is_told_to_be_in_doubt() {
        let words = in_series("", "rating_a=10");
        assert!(
            words
                .ends_with("fuse F2 (10 A) would blow first, unless fuse F1 does, whose rating is not given"),
            "{words}"
        );
        let words = in_series("", "");
        assert!(
            words.ends_with("whether fuse F1 would open is not known: its rating is not given"),
            "{words}"
        );
    }

    fn beside(other: &str) -> String {
        told(&format!(
            "battery G1 internal_ohm=0.02
            fuse F1 rating_a=20
            fuse F2 rating_a=30
            earth X1
            wire w1 G1.+ F1.1 mm2=16 m=0.1
            wire w2 F1.2 X1.1 mm2=16 m=0.1
            {other}
            wire w5 F2.2 X1.1 mm2=16 m=0.1"
        ))
    }

    #[test]
    fn fuses_beside_each_other_open_one_after_another() {
        let words = beside("wire w4 G1.+ F2.1 mm2=16 m=0.1");
        assert!(words.ends_with("fuse F1 (20 A) would blow first, then fuse F2 (30 A)"), "{words}");
    }

    #[test]
    fn a_fuse_in_doubt_is_not_blamed_for_a_way_it_no_longer_lies_in() {
        let words = told(
            "battery G1 internal_ohm=0.02
            fuse F1 rating_a=10
            fuse F2
            fuse F3 rating_a=500
            earth X1
            wire w1 G1.+ F1.1 mm2=16 m=0.1
            wire w2 F1.2 F2.1 mm2=16 m=0.1
            wire w3 F2.2 X1.1 mm2=16 m=0.1
            wire w4 G1.+ F3.1 mm2=16 m=0.1
            wire w5 F3.2 X1.1 mm2=16 m=0.1",
        );
        assert!(words.contains("fuse F1 (10 A) would blow first, unless fuse F2 does"), "{words}");
        assert!(words.contains(", and it would not end there: fuse F3 (500 A) would carry "), "{words}");
    }

    #[test]
    fn a_way_past_the_fuse_keeps_the_short_alive() {
        let words = beside("wire w4 G1.+ F2.2 mm2=16 m=0.1");
        assert!(
            words.ends_with(
                "fuse F1 (20 A) would blow, and it would not end there: there is a way without a fuse"
            ),
            "{words}"
        );
        let alone = told(
            "battery G1
earth X1
wire w1 G1.+ X1.1 mm2=16 m=0.1",
        );
        assert!(alone.ends_with("no fuse would open: there is a way without a fuse"), "{alone}");
    }

    #[test]
    fn a_fuse_that_feeds_only_a_load_beside_the_short_is_not_named() {
        let words = told(
            "battery G1
            fuse F1 rating_a=40
            fuse F2 rating_a=1
            lamp E1 watts=55
            earth X1
            wire w1 G1.+ F1.1 mm2=16 m=0.1
            wire w2 F1.2 X1.1 mm2=16 m=0.1
            wire w3 F1.2 F2.1 mm2=16 m=0.1
            wire w4 F2.2 E1.1 mm2=16 m=0.1
            wire w5 E1.2 X1.1 mm2=16 m=0.1",
        );
        assert!(words.ends_with("and fuse F1 (40 A) would blow"), "{words}");
    }
}
