use super::*;
use crate::circuit::{Origin, build};
use crate::document::Settings;
use crate::document::Situation;
use crate::ids::PartId;
use crate::notation;
use crate::solve::Verdict;

/// A lamp on a change-over relay, worked by a donor circuit.
const RELAY: &str = "
    battery G1
    earth X1
    donor E8 lamp_w=55
    donor E9 lamp_w=55
    fuse F1 rating_a=10
    relay K1 contact=change-over suppression=diode
    lamp E1 watts=55
    wire w1 G1.+ F1.1 mm2=2.5 m=0.5
    wire w2 F1.2 K1.30 mm2=2.5 m=1
    wire w3 K1.87 E1.1 mm2=1.5 m=2
    wire w4 E1.2 X1.1 mm2=1.5 m=1
    wire w5 E9.feed K1.86 mm2=1 m=1
    wire w6 K1.85 X1.1 mm2=1 m=1";

fn circuit(text: &str) -> Circuit {
    build(&notation::network(text).unwrap(), &Settings::default())
}

/// How bright lamp E1 is with the donor circuit E9 on, and the fuses that open.
fn lamp_with(circuit: &Circuit, mode: &Mode, subject: &str) -> (Option<Seen>, Vec<String>) {
    let all = faults(circuit);
    let is_meant = |fault: &&Fault| fault.mode == *mode && fault.subject.id() == subject;
    let fault = all.iter().find(is_meant).unwrap_or_else(|| panic!("{mode:?} of {subject}"));
    let set = [(PartId::new("E9").unwrap(), "on".to_owned())].into();
    let on = circuit.positions(&Situation { name: "on".to_owned(), set });
    let trial = Trial::new(circuit);
    let outcome = trial.changed(&fault.changes(circuit, Ohms::new(1.0).unwrap()), &[on]).remove(0);
    let lamp = |(branch, _): &(usize, &Load)| match circuit.branches[*branch].origin {
        Origin::Part(part, _) => circuit.resolved.network.parts[part].id.as_str() == "E1",
        Origin::Wire(_) => false,
    };
    let (branch, load) = circuit.loads().find(lamp).unwrap();
    let blown = outcome.blown.iter().map(|one| circuit.subject(one.branch).id()).collect();
    (outcome.rest().map(|rest| seen(circuit, rest, branch, load)), blown)
}

#[test]
fn what_each_fault_does_is_what_a_fitter_would_see() {
    let circuit = circuit(RELAY);
    let terminal = TerminalName::new;
    for (mode, subject, seen, blown) in [
        (Mode::Open, "w3", Seen::Dark, vec![]),
        (Mode::Open, "X1", Seen::Dark, vec![]),
        (Mode::Resistive, "w4", Seen::Dim, vec![]),
        (Mode::TouchesBody, "w3", Seen::Dark, vec!["F1"]),
        (Mode::TouchesBody, "w4", Seen::Lit, vec![]),
        (Mode::Blown, "F1", Seen::Dark, vec![]),
        (Mode::CoilOpen, "K1", Seen::Dark, vec![]),
        (Mode::NeverCloses(terminal("87")), "K1", Seen::Dark, vec![]),
        (Mode::Welded(terminal("87a")), "K1", Seen::Dark, vec![]),
        (Mode::Swapped(terminal("87"), terminal("87a")), "K1", Seen::Dark, vec![]),
        (Mode::Swapped(terminal("30"), terminal("87")), "K1", Seen::Lit, vec![]),
        // The diode across the coil then shorts the donor circuit.
        (Mode::Swapped(terminal("86"), terminal("85")), "K1", Seen::Dark, vec!["E9"]),
        (Mode::WrongTap(TerminalRef::parse("E8.feed").unwrap()), "w5", Seen::Dark, vec![]),
        (Mode::Dead(""), "E1", Seen::Dark, vec![]),
    ] {
        let expected = (Some(seen), blown.into_iter().map(str::to_owned).collect());
        assert_eq!(lamp_with(&circuit, &mode, subject), expected, "{mode:?} of {subject}");
    }
}

#[test]
fn a_make_relay_without_a_diode_minds_no_exchange() {
    let circuit = circuit(&RELAY.replace("contact=change-over suppression=diode", "suppression=resistor"));
    let terminal = TerminalName::new;
    for mode in [Mode::Swapped(terminal("30"), terminal("87")), Mode::Swapped(terminal("86"), terminal("85"))]
    {
        assert_eq!(lamp_with(&circuit, &mode, "K1"), (Some(Seen::Lit), vec![]), "{mode:?}");
    }
}

#[test]
fn no_fault_is_listed_twice_and_each_has_words_of_its_own() {
    let circuit = circuit(RELAY);
    let all = faults(&circuit);
    let network = &circuit.resolved.network;
    let mut said: Vec<String> = all.iter().map(|fault| fault.in_words(network)).collect();
    let n = said.len();
    said.sort();
    said.dedup();
    assert_eq!(said.len(), n);
    assert!(all.iter().all(|fault| fault.odds > 0.0 && !fault.remedy(network).is_empty()));
}

#[test]
fn without_a_fault_nothing_opens() {
    let circuit = circuit(RELAY);
    let healthy = Trial::new(&circuit).healthy(&[vec![0; circuit.resolved.network.parts.len()]]);
    assert_eq!(healthy[0].settled.verdict, Verdict::Settled);
    assert_eq!(healthy[0].blown, []);
}
