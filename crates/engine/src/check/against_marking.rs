//! Relays that are wired against what is printed on them, and contacts that are live for nothing.

use std::collections::BTreeSet;

use crate::check::Context;
use crate::circuit::reach::walk;
use crate::circuit::{CHASSIS, Gate, NetIndex};
use crate::document::Status;
use crate::finding::{Finding, Harm, Help, Label, Severity};
use crate::kind::Role;
use crate::subject::Subject;

declare_check! {
    /// Finds relays that work, but are wired against the numbers printed on them, and bare contacts that are live.
    ///
    /// # What it checks
    ///
    /// Which way current flows through the make contact and the coil of each new relay in the situations looked at: in at
    /// 30 and out at 87, in at 86 and out at 85. A contact that joins two batteries carries current both ways and is not
    /// judged. And whether the break contact of a change-over relay, with nothing
    /// connected to it, is live while the relay is off.
    ///
    /// # Why it matters
    ///
    /// Nothing fails today; the next person measures at the wrong terminal, or fits a relay with a diode and blows the
    /// fuse.
    ///
    /// # Example
    ///
    /// A change-over relay used to make a contact, with battery on 30: 87a is live in the open.
    ///
    /// # What to do
    ///
    /// Wire it as marked; cover the live contact, or put the load on 30 and battery on 87.
    name: "against-marking",
    summary: "a relay is wired against what is printed on it",
    harm: Harm::Failure,
    explained_by: &["suppression-reversed"],
    run: run,
}

const SOURCE: &str = "terminal numbers of plug-in relays: ISO 7588-1 (from memory)";

/// Current that counts, in amperes.
const COUNTS_A: f64 = 1e-3;

fn run(context: &Context<'_>, findings: &mut Vec<Finding>) {
    let circuit = context.circuit;
    for (index, part) in circuit.resolved.network.parts.iter().enumerate() {
        if part.status != Status::New || circuit.resolved.parts[index].is_none() {
            continue;
        }
        let branches: Vec<_> = circuit.branches_of_part(index).collect();
        let contact = |on: bool| {
            branches.iter().find(|(_, branch)| matches!(branch.gate, Gate::Device(_, closed) if closed == on))
        };
        let coil = branches.iter().find(|(_, branch)| matches!(branch.role, Role::Coil { .. }));
        let title = context.title(index);
        let subject = || Subject::Part(part.id.clone());
        let mut reversed: Vec<(&str, Help)> = Vec::new();
        // Two contacts may choose between two feeds just as well as between two loads.
        if let (Some((make, _)), None) = (contact(true), contact(false))
            && only_backwards(context, *make)
            && !lies_between_supplies(context, *make)
        {
            reversed.push((
                "current comes in at 87 and goes out at 30",
                Help::words("swap the wires at 30 and 87").with_fix(context.turned_round(*make)),
            ));
        }
        if let Some((coil, _)) = coil
            && only_backwards(context, *coil)
        {
            reversed.push((
                "its coil is fed at 85 instead of 86",
                Help::words("swap the wires at 86 and 85").with_fix(context.turned_round(*coil)),
            ));
        }
        if let [(what, help), more @ ..] = &reversed[..] {
            let because = more.iter().map(|(what, _)| Label { subject: subject(), text: (*what).to_owned() });
            let helps = std::iter::once(help).chain(more.iter().map(|(_, help)| help));
            findings.push(Finding {
                because: because.collect(),
                help: helps.cloned().collect(),
                ..Finding::of(CHECK.name, Severity::Note, subject(), format!("{title}: {what}"), SOURCE)
            });
        }
        if let Some((_, rests)) = contact(false)
            && circuit.nets[rests.to].iter().all(|terminal| context.ends_at(terminal) == 0)
            && context.live[rests.to]
        {
            let message = format!("87a of {title} is live while the relay is off, and nothing covers it");
            findings.push(Finding {
                help: vec![Help::words("cover it, or put the load on 30 and the feed on 87")],
                ..Finding::of(CHECK.name, Severity::Note, subject(), message, SOURCE)
            });
        }
    }
}

/// Whether the two ends of a contact hang on different positive poles while it is open: it joins two supplies, and which
/// way current flows through it is a matter of their charge.
fn lies_between_supplies(context: &Context<'_>, contact: usize) -> bool {
    let circuit = context.circuit;
    let positive: BTreeSet<NetIndex> =
        circuit.sources().map(|source| circuit.branches[source].from).collect();
    let poles = |net: NetIndex| -> BTreeSet<NetIndex> {
        let met = walk(circuit, &[net], |index, near| {
            let branch = &circuit.branches[index];
            let carries = matches!(branch.role, Role::Path | Role::Protection(_)) && branch.law.is_some();
            index != contact && near != CHASSIS && carries
        });
        met.into_iter().map(|(net, _)| net).filter(|net| positive.contains(net)).collect()
    };
    let sides = [circuit.branches[contact].from, circuit.branches[contact].to].map(poles);
    sides[0] != sides[1] && sides.iter().all(|side| !side.is_empty())
}

/// Whether current flows through a branch, and always from its second end to its first.
fn only_backwards(context: &Context<'_>, branch: usize) -> bool {
    let rests = context.survey.situations.iter().flat_map(|surveyed| surveyed.rests());
    let (mut least, mut most) = (0.0_f64, 0.0_f64);
    for rest in rests {
        let amps = rest.steady.amps(branch);
        least = least.min(amps);
        most = most.max(amps);
    }
    least < -COUNTS_A && most < COUNTS_A
}

#[cfg(test)]
mod tests {

    fn told(text: &str) -> Vec<String> {
        super::CHECK.alone_on(text).into_iter().map(|one| one.message).collect()
    }

    const COIL: &str = "switch S1\nearth X1\nwire w1 G1.+ S1.in mm2=1 m=1\nwire w2 S1.out K1.86 mm2=1 m=1
        wire w3 K1.85 X1.1 mm2=1 m=1";

    #[test]
    fn a_contact_between_two_batteries_is_wired_neither_way_round() {
        let lamp = "wire w4 G1.+ K1.87 mm2=4 m=1\nwire w5 K1.30 E1.1 mm2=4 m=1\nlamp E1 watts=55
            wire w6 E1.2 X1.1 mm2=4 m=1";
        let messages = told(&format!("battery G1\nrelay K1\n{COIL}\n{lamp}"));
        assert_eq!(messages, ["relay K1: current comes in at 87 and goes out at 30"]);
        // The second battery has less voltage, so current always goes into it.
        let batteries =
            "battery G2 open_circuit_v=12.2\nwire w4 G1.+ K1.87 mm2=4 m=1\nwire w5 K1.30 G2.+ mm2=4 m=1";
        assert_eq!(told(&format!("battery G1\nrelay K1\n{COIL}\n{batteries}")), Vec::<String>::new());
    }
}
