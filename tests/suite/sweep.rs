//! The sweep by sets of inputs against going through all combinations of all inputs at once.

use std::collections::{BTreeMap, BTreeSet};
use std::ops::ControlFlow;
use std::rc::Rc;

use engine::circuit::{Circuit, State, build};
use engine::document::interlock::{states, workings};
use engine::document::{InState, Interlock, Rule, Settings};
use engine::kind::{Class, Role};
use engine::notation;
use engine::solve::{Solver, Verdict};
use engine::sweep::{Outcome, Sweep, Sweeper, as_used, prove, works};
use suite::chance::Chance;

/// Circuits tried.
const SEEDS: u64 = 300;

/// A circuit of a few switches, donors and relays whose coils and contacts hang together by chance: on the supply, on
/// each other's contacts, on donors, on contacts of their own.
fn circuit(seed: u64) -> Circuit {
    let mut chance = Chance::new(seed);
    let (n_switches, n_donors, n_relays) = (chance.whole(1, 4), chance.below(3), chance.whole(1, 3));
    let n_lamps = chance.whole(1, 4);
    let mut text =
        "battery G1\nearth X1\nfuse F1 rating_a=30\nsplice X2 ways=60\nwire w1 G1.+ F1.1 mm2=6 m=0.2\nwire w2 F1.2 X2.1 mm2=6 m=1\n"
            .to_owned();
    // Points that may feed something.
    let mut feeds = vec!["X2.1".to_owned()];
    let mut n_wires = 2;
    let mut wire = |text: &mut String, from: &str, to: &str| {
        n_wires += 1;
        text.push_str(&format!("wire w{n_wires} {from} {to} mm2=1.5 m=1\n"));
    };
    for i in 1..=n_donors {
        let drive = chance.one_of(&["contact", "module"]);
        text.push_str(&format!("donor D{i} lamp_w=21 drive={drive}\n"));
        feeds.push(format!("D{i}.feed"));
    }
    for i in 1..=n_relays {
        let contact = chance.one_of(&["make", "change-over"]);
        text.push_str(&format!("relay K{i} contact={contact}\n"));
        feeds.push(format!("K{i}.87"));
        if contact == "change-over" {
            feeds.push(format!("K{i}.87a"));
        }
    }
    for i in 1..=n_switches {
        let action = chance.one_of(&["on-off", "push", "two-way"]);
        text.push_str(&format!("switch S{i} action={action}\n"));
        let from = chance.one_of(&feeds);
        wire(&mut text, &from, &format!("S{i}.in"));
        let outs: &[&str] = if action == "two-way" { &["out1", "out2"] } else { &["out"] };
        feeds.extend(outs.iter().map(|out| format!("S{i}.{out}")));
    }
    for i in 1..=n_relays {
        wire(&mut text, &chance.one_of(&feeds), &format!("K{i}.30"));
        wire(&mut text, &chance.one_of(&feeds), &format!("K{i}.86"));
        wire(&mut text, &format!("K{i}.85"), "X1.1");
    }
    for i in 1..=n_lamps {
        if chance.once_in(3) {
            text.push_str(&format!("led-lamp E{i} watts=20\n"));
            wire(&mut text, &chance.one_of(&feeds), &format!("E{i}.+"));
            wire(&mut text, &format!("E{i}.-"), "X1.1");
        } else {
            text.push_str(&format!("lamp E{i} watts=21\n"));
            wire(&mut text, &chance.one_of(&feeds), &format!("E{i}.1"));
            let earth = if chance.once_in(5) { chance.one_of(&feeds) } else { "X1.1".to_owned() };
            wire(&mut text, &format!("E{i}.2"), &earth);
        }
    }
    build(&notation::network(&text).expect("what is written here can be read"), &Settings::default())
}

/// What is compared: for each combination of positions of all inputs, the states that can be reached, as device states
/// and loads that work, each with the fewest actions; and whether some change ended in another way than at rest.
#[derive(Default)]
struct Truth {
    /// Actions by positions, devices and loads that work.
    states: BTreeMap<State, (usize, BTreeSet<usize>)>,
    troubles: BTreeSet<(Vec<u8>, &'static str)>,
    /// States without a solution, of which nothing is known.
    failed: BTreeSet<State>,
}

/// All inputs at once, every start solved by itself, nothing kept from one to the other.
fn truth(circuit: &Circuit) -> Truth {
    let solver = Solver::new(circuit);
    let base = State { positions: as_used(circuit), devices: vec![false; circuit.devices.len()] };
    let mut truth = Truth::default();
    let mut level = vec![base.clone()];
    let mut here = reached(&solver, &mut truth, base, 0);
    for n_actions in 1.. {
        level.clear();
        for state in here {
            for input in &circuit.inputs {
                for position in (0..input.positions).filter(|p| *p != state.positions[input.part]) {
                    let mut start = state.clone();
                    start.positions[input.part] = position;
                    level.extend(reached(&solver, &mut truth, start, n_actions));
                }
            }
        }
        if level.is_empty() {
            return truth;
        }
        here = level.clone();
    }
    truth
}

/// The states that a start leads to and that were not known.
fn reached(solver: &Solver<'_>, truth: &mut Truth, start: State, n_actions: usize) -> Vec<State> {
    let circuit = solver.circuit();
    let positions = start.positions.clone();
    let settled = solver.settle(start);
    if settled.verdict != Verdict::Settled {
        truth.troubles.insert((positions, settled.verdict.word()));
    }
    let mut new = Vec::new();
    let solved = settled.rests.into_iter().chain(settled.passing).map(|rest| {
        let lit = circuit.loads().filter(|(branch, load)| works(circuit, &rest, *branch, load));
        let lit: BTreeSet<usize> = lit.map(|(branch, _)| branch).collect();
        (rest.state, lit)
    });
    truth.failed.extend(settled.failed.iter().cloned());
    let failed = settled.failed.into_iter().map(|state| (state, BTreeSet::new()));
    for (state, lit) in solved.chain(failed) {
        if !truth.states.contains_key(&state) {
            truth.states.insert(state.clone(), (n_actions, lit));
            new.push(state);
        }
    }
    new
}

fn swept(circuit: &Circuit) -> Sweep {
    Sweeper::new(Rc::new(Solver::new(circuit))).sweep(&mut |_, _| ControlFlow::Continue(()))
}

/// What one set of inputs decides, of a state: the positions of its inputs, its devices, its loads that work.
type Part = (Vec<u8>, Vec<bool>, Vec<usize>);

#[test]
fn sets_of_inputs_tell_the_same_as_all_of_them_at_once() {
    let (mut n_sets, mut n_states, mut n_remembering, mut n_troubles) = (0, 0, 0, 0);
    for seed in 0..SEEDS {
        let circuit = circuit(seed);
        let truth = truth(&circuit);
        let sweep = swept(&circuit);
        assert!(sweep.is_complete(), "seed {seed}");
        let decided: usize = sweep.components.iter().map(|component| component.loads.len()).sum();
        assert_eq!(decided, circuit.loads().count(), "seed {seed}");
        n_states += truth.states.len();
        n_sets += usize::from(sweep.components.len() > 1);
        for component in &sweep.components {
            let explored = &component.explored;
            let of = |state: &State, lit: &dyn Fn(usize) -> bool| -> Part {
                let position = |input: &usize| state.positions[circuit.inputs[*input].part];
                (
                    explored.inputs.iter().map(position).collect(),
                    component.devices.iter().map(|device| state.devices[*device]).collect(),
                    component.loads.iter().copied().filter(|load| lit(*load)).collect(),
                )
            };
            // The fewest actions to each, by both ways.
            let mut expected: BTreeMap<Part, usize> = BTreeMap::new();
            for (state, (n_actions, lit)) in &truth.states {
                let least = expected.entry(of(state, &|load| lit.contains(&load))).or_insert(*n_actions);
                *least = (*least).min(*n_actions);
            }
            let mut found: BTreeMap<Part, usize> = BTreeMap::new();
            for (index, node) in explored.nodes.iter().enumerate() {
                let n_actions = explored.actions(index).len();
                found.entry(of(&node.state, &|load| node.lit.contains(&load))).or_insert(n_actions);
            }
            assert_eq!(found, expected, "seed {seed}, inputs {:?}", explored.inputs);
            let situations = explored.situations();
            n_remembering += situations.iter().filter(|one| one.verdict == Verdict::History).count();
            n_troubles += explored.troubles.len();
            // A change that does not come to rest does so whatever else is switched.
            let position = |positions: &[u8]| -> Vec<u8> {
                explored.inputs.iter().map(|input| positions[circuit.inputs[*input].part]).collect()
            };
            for trouble in &explored.troubles {
                assert!(
                    truth
                        .troubles
                        .iter()
                        .any(|(positions, _)| position(positions) == position(&trouble.positions)),
                    "seed {seed}: {trouble:?}"
                );
            }
        }
        // And none is overlooked.
        for (positions, _) in &truth.troubles {
            let told = sweep.components.iter().any(|component| {
                component.explored.troubles.iter().any(|trouble| {
                    component.explored.inputs.iter().all(|input| {
                        let part = circuit.inputs[*input].part;
                        trouble.positions[part] == positions[part]
                    })
                })
            });
            assert!(told, "seed {seed}: {positions:?}");
        }
    }
    println!(
        "{n_states} states, {n_sets} circuits in several sets, {n_remembering} that remember, {n_troubles} troubles"
    );
    assert!(n_sets >= 100 && n_remembering >= 20 && n_troubles >= 50);
}

/// A rule about some of the parts, sensible or not.
fn interlock(chance: &mut Chance, circuit: &Circuit) -> Interlock {
    let parts = &circuit.resolved.network.parts;
    let loads: Vec<_> = parts.iter().filter(|part| !workings(part).is_empty()).collect();
    let nameable: Vec<_> = parts.iter().filter(|part| !states(part, "").is_empty()).collect();
    let mut any_of = Vec::new();
    for _ in 0..=chance.below(2) {
        let one = |chance: &mut Chance| {
            let part = chance.one_of(&nameable);
            InState {
                part: part.id.clone(),
                name: String::new(),
                is: chance.one_of(states(part, "")).to_owned(),
            }
        };
        any_of.push((0..=chance.below(2)).map(|_| one(chance)).collect());
    }
    let rule = chance.one_of(&[Rule::OnlyWith, Rule::NeverWith, Rule::AlwaysWith]);
    let load = chance.one_of(&loads).id.clone();
    Interlock { load, name: String::new(), rule, any_of, reason: String::new() }
}

/// Whether a part is in a state, read off one state of everything.
fn holds(circuit: &Circuit, state: &State, lit: &BTreeSet<usize>, one: &InState) -> bool {
    let index =
        circuit.resolved.network.parts.iter().position(|part| part.id == one.part).expect("it is there");
    let part = &circuit.resolved.network.parts[index];
    if matches!(part.kind.class, Class::Contact | Class::Donor) && !part.positions().is_empty() {
        return part.positions()[usize::from(state.positions[index])] == one.is;
    }
    let mut is_on = false;
    for (branch, at) in circuit.branches_of_part(index) {
        is_on |= match at.role {
            Role::Load(_) => lit.contains(&branch),
            Role::Coil { .. } => {
                let device = circuit.devices.iter().position(|device| device.branch == branch);
                device.is_some_and(|device| state.devices[device])
            }
            _ => false,
        };
    }
    is_on == (one.is == "on")
}

#[test]
fn interlocks_come_out_as_when_everything_is_tried() {
    let (mut n_proved, mut n_broken) = (0, 0);
    for seed in 0..SEEDS {
        let circuit = circuit(seed);
        let truth = truth(&circuit);
        let sweeper = Sweeper::new(Rc::new(Solver::new(&circuit)));
        let mut chance = Chance::new(seed + 10_000);
        for _ in 0..4 {
            let interlock = interlock(&mut chance, &circuit);
            let breaks = |state: &State, lit: &BTreeSet<usize>| {
                let on = InState { part: interlock.load.clone(), name: String::new(), is: "on".to_owned() };
                let on = holds(&circuit, state, lit, &on);
                let met =
                    interlock.any_of.iter().any(|all| all.iter().all(|one| holds(&circuit, state, lit, one)));
                match interlock.rule {
                    Rule::OnlyWith => on && !met,
                    Rule::NeverWith => on && met,
                    _ => met && !on,
                }
            };
            let solved = truth.states.iter().filter(|(state, _)| !truth.failed.contains(*state));
            let broken = solved.filter(|(state, (_, lit))| breaks(state, lit));
            let expected = broken.map(|(_, (n_actions, _))| *n_actions).min();
            let proof = prove(&sweeper, &interlock, &mut |_, _| ControlFlow::Continue(()));
            let found = match proof.outcome {
                Outcome::Broken { actions, .. } => Some(actions.len()),
                Outcome::Proved => None,
                Outcome::NotFinished if proof.n_unsolved > 0 => None,
                other => panic!("seed {seed}: {other:?}"),
            };
            assert_eq!(found, expected, "seed {seed}: {interlock:?}");
            *(if found.is_some() { &mut n_broken } else { &mut n_proved }) += 1;
        }
    }
    println!("{n_proved} proved, {n_broken} broken");
    assert!(n_proved > 200 && n_broken > 200);
}
