use std::ops::ControlFlow;

use super::*;
use crate::circuit::{Circuit, build};
use crate::document::Settings;
use crate::notation;

fn circuit(text: &str) -> Circuit {
    build(&notation::network(text).unwrap(), &Settings::default())
}

fn swept(circuit: &Circuit) -> Sweep {
    Sweeper::new(&Solver::new(circuit)).sweep(&mut |_, _| ControlFlow::Continue(()))
}

fn in_words(circuit: &Circuit, actions: &[Action]) -> String {
    let parts = &circuit.resolved.network.parts;
    let one = |(part, position): &Action| {
        format!("{} {}", parts[*part].label, parts[*part].positions()[usize::from(*position)])
    };
    actions.iter().map(one).collect::<Vec<_>>().join(", ")
}

/// `n` lamps, each on a switch of its own, behind one fuse.
fn lamps(n: usize, watts: u32) -> String {
    let mut text = format!(
        "battery G1\nearth X1\nfuse F1 rating_a=100\nsplice X2 ways={}\nwire w1 G1.+ F1.1 mm2=16 m=0.2\nwire w2 F1.2 X2.1 mm2=16 m=1\n",
        n + 1
    );
    for i in 1..=n {
        text += &format!(
            "switch S{i}\nlamp E{i} watts={watts}\nwire a{i} X2.{} S{i}.in mm2=1.5 m=1\nwire b{i} S{i}.out E{i}.1 mm2=1.5 m=2\nwire c{i} E{i}.2 X1.1 mm2=1.5 m=1\n",
            i + 1
        );
    }
    text
}

#[test]
fn independent_switches_are_gone_through_one_by_one() {
    let circuit = circuit(&lamps(12, 21));
    let sweep = swept(&circuit);
    assert_eq!(sweep.components.len(), 12);
    assert!(sweep.is_complete());
    for component in &sweep.components {
        assert_eq!((component.loads.len(), component.explored.nodes.len()), (1, 2));
        assert!(!component.explored.is_doubtful);
        let lit = component.explored.first(|node| node.lit == component.loads).expect("its lamp can be lit");
        assert_eq!(component.explored.actions(lit).len(), 1);
    }
}

/// A relay that holds at 1.2 V is far from dropping out; one that drops out at 11 V is not, when eight times 55 W may
/// pull the shared supply down.
#[test]
fn what_could_be_tipped_over_the_shared_supply_is_taken_together() {
    let relay = |drop_out: &str| {
        format!(
            "{}switch S9\nrelay K1 pull_in_v=11.5 drop_out_v={drop_out}\nlamp E9 watts=5\nwire r1 X2.1 S9.in mm2=1 m=1\nwire r2 S9.out K1.86 mm2=1 m=1\nwire r3 K1.85 X1.1 mm2=1 m=1\nwire r4 X2.1 K1.30 mm2=1 m=1\nwire r5 K1.87 E9.1 mm2=1 m=1\nwire r6 E9.2 X1.1 mm2=1 m=1",
            lamps(8, 55)
        )
    };
    let firm = circuit(&relay("1.2").replace("pull_in_v=11.5", "pull_in_v=7.2"));
    assert_eq!(swept(&firm).components.len(), 9);
    let shaky = circuit(&relay("11"));
    let sweep = swept(&shaky);
    assert!(sweep.components.len() < 9);
    let with_relay = sweep.components.iter().find(|component| component.devices.contains(&0)).unwrap();
    assert!(with_relay.explored.inputs.len() > 1);
}

const SELF_HOLD: &str = "
    battery G1
    earth X1
    splice X2 ways=3
    splice X3 ways=4
    switch S1 action=push
    switch S2 action=two-way
    relay K1
    lamp E1 watts=21
    wire w1 G1.+ S2.in mm2=1.5 m=1
    wire w2 S2.out1 X2.1 mm2=1.5 m=1
    wire w3 X2.2 S1.in mm2=1 m=1
    wire w4 S1.out X3.1 mm2=1 m=1
    wire w5 X2.3 K1.30 mm2=1.5 m=1
    wire w6 K1.87 X3.2 mm2=1.5 m=1
    wire w7 X3.3 K1.86 mm2=1 m=1
    wire w8 K1.85 X1.1 mm2=1 m=1
    wire w9 X3.4 E1.1 mm2=1.5 m=1
    wire w10 E1.2 X1.1 mm2=1.5 m=1";

/// Start and stop: with both let go the relay is off, or on when start was pressed before.
#[test]
fn what_remembers_is_found_in_both_states_with_the_shortest_way_to_each() {
    let circuit = circuit(SELF_HOLD);
    let sweep = swept(&circuit);
    let [component] = &sweep.components[..] else { panic!("one component") };
    let situations = component.explored.situations();
    let at_rest = &situations[0];
    assert_eq!((at_rest.verdict, at_rest.nodes.len()), (Verdict::History, 2));
    let ways: Vec<String> =
        at_rest.nodes.iter().map(|node| in_words(&circuit, &component.explored.actions(*node))).collect();
    assert_eq!(ways, ["", "S1 pressed, S1 released"]);
    assert_eq!(component.explored.n_combinations, 4);
    assert!(component.explored.is_complete);
}

#[test]
fn a_buzzer_is_told_with_what_starts_it() {
    let text = "battery G1\nearth X1\nswitch S1\nrelay K1 contact=change-over\nwire w1 G1.+ S1.in mm2=1 m=1\nwire w2 S1.out K1.30 mm2=1 m=1\nwire w3 K1.87a K1.86 mm2=1 m=0.1\nwire w4 K1.85 X1.1 mm2=1 m=1";
    let circuit = circuit(text);
    let sweep = swept(&circuit);
    let explored = &sweep.components[0].explored;
    let [trouble] = &explored.troubles[..] else { panic!("one trouble") };
    assert_eq!(trouble.verdict, Verdict::Chatter);
    assert_eq!(in_words(&circuit, &explored.actions_of(trouble.before)), "S1 on");
    assert_eq!(trouble.restless, [0]);
    // At rest, and the two states it goes to and fro between.
    assert_eq!(explored.nodes.len(), 3);
}

#[test]
fn a_search_that_is_too_large_or_stopped_says_so() {
    let circuit = circuit(SELF_HOLD);
    let solver = Solver::new(&circuit);
    let sweep = Sweeper::new(&solver).at_most(2).sweep(&mut |_, _| ControlFlow::Continue(()));
    assert!(!sweep.is_complete());
    assert!(sweep.components[0].explored.n_seen < sweep.components[0].explored.n_combinations);
    let mut told = Vec::new();
    let stopped = Sweeper::new(&solver).sweep(&mut |done, total| {
        told.push((done, total));
        ControlFlow::Break(())
    });
    assert!(!stopped.is_complete());
    assert_eq!(told.len(), 1);
    assert_eq!(told[0].1, 4);
}

#[test]
fn a_contact_between_two_batteries_has_a_say_in_everything() {
    let text = format!(
        "{}battery G2\nswitch S9\nwire j1 G1.+ S9.in mm2=16 m=1\nwire j2 S9.out G2.+ mm2=16 m=1",
        lamps(2, 21)
    );
    let circuit = circuit(&text);
    let joins = circuit.inputs.len() - 1;
    let sweep = swept(&circuit);
    assert!(sweep.components.iter().all(|component| component.explored.inputs.contains(&joins)));
    assert_eq!(sweep.components.len(), 2);
}

#[test]
fn a_state_is_reached_by_the_fewest_actions() {
    let circuit = circuit(SELF_HOLD);
    let sweep = swept(&circuit);
    let lit = sweep.reach(|component, node| component.loads.iter().any(|load| node.lit.contains(load)));
    assert_eq!(in_words(&circuit, &lit.unwrap()), "S1 pressed");
    assert!(sweep.reach(|_, node| node.glowing.len() > 7).is_none());
}
