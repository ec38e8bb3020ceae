//! What holds for the solution of every job: the two laws of Kirchhoff's circuits, and what must not matter.

use std::collections::BTreeSet;
use std::sync::Arc;

use engine::check::run_all;
use engine::circuit::{CHASSIS, Circuit, build};
use engine::document::{Document, InState, Interlock, Network, Situation};
use engine::finding::Finding;
use engine::given::Given;
use engine::ids::{PartId, TerminalRef, WireId};
use engine::kind::{Law, Role, Value};
use engine::solve::{Rest, Solution, solve};
use suite::chance::Chance;
use suite::{generate, sound};

/// Jobs wired without any sense, and sound ones.
fn jobs() -> impl Iterator<Item = (String, Document)> {
    let wild = (0..200).map(|seed| (format!("any document {seed}"), generate::document(seed)));
    wild.chain((0..100).map(|seed| (format!("sound job {seed}"), sound::document(seed))))
}

fn situations(document: &Document) -> Vec<Situation> {
    std::iter::once(Situation::at_rest()).chain(document.situations.iter().cloned()).collect()
}

/// Every lasting state of every situation of every job.
fn for_every_state(mut look: impl FnMut(&str, &Circuit, &Rest)) {
    for (name, document) in jobs() {
        let circuit = engine::laid::circuit(&document);
        for situation in situations(&document) {
            for reached in &solve(&circuit, &situation).reached {
                look(&format!("{name}, {}", situation.name), &circuit, &reached.rest);
            }
        }
    }
}

/// Rounding of a current: the potentials at the ends of a branch are known to a few units of the last place, so a
/// current through a microohm at 30 V is known to some 10 nanoamperes.
fn rounding(circuit: &Circuit, rest: &Rest) -> f64 {
    let largest = (0..circuit.nets.len()).filter_map(|net| rest.steady.volts(net)).fold(1.0, f64::max);
    8.0 * f64::EPSILON * largest / engine::kind::LEAST_OHM
}

#[test]
fn currents_into_every_net_and_the_body_sum_to_nought() {
    let (mut n_nets, mut most) = (0, 0.0f64);
    for_every_state(|name, circuit, rest| {
        let (mut sum, mut size) = (vec![0.0; circuit.nets.len()], vec![0.0; circuit.nets.len()]);
        let mut ends = vec![0_u32; circuit.nets.len()];
        for (index, branch) in circuit.branches.iter().enumerate() {
            let amps = rest.steady.amps(index);
            for (net, amps) in [(branch.from, -amps), (branch.to, amps)] {
                sum[net] += amps;
                size[net] += amps.abs();
                ends[net] += 1;
            }
        }
        let rounding = rounding(circuit, rest);
        for net in 0..circuit.nets.len() {
            let allowed = 1e-9 * size[net] + f64::from(ends[net]) * rounding;
            assert!(sum[net].abs() <= allowed, "{name}: {} A remain at net {net}", sum[net]);
            if size[net] > 1e-3 {
                most = most.max(sum[net].abs() / size[net]);
            }
            n_nets += 1;
        }
    });
    println!("{n_nets} nets, at most {most:.1e} of the current remains");
    assert!(n_nets > 10_000, "{n_nets}");
}

#[test]
fn what_sources_give_is_what_the_rest_takes() {
    let (mut n_states, mut most) = (0, 0.0f64);
    for_every_state(|name, circuit, rest| {
        let (mut given, mut taken, mut turnover) = (0.0, 0.0, 0.0);
        for (index, branch) in circuit.branches.iter().enumerate() {
            // A source is charged through its own internal resistance: what it takes counts against what it gives.
            let watts = rest.steady.watts(circuit, index);
            *(if branch.role == Role::Source { &mut given } else { &mut taken }) += watts;
            turnover += watts.abs();
        }
        let left = f64::abs(given + taken);
        let slack = 30.0 * circuit.branches.len() as f64 * rounding(circuit, rest);
        assert!(left <= 1e-9 * turnover + slack, "{name}: {left} W of {turnover} W are left over");
        if turnover > 1e-2 {
            most = most.max(left / turnover);
            n_states += 1;
        }
    });
    println!("{n_states} states with a current, at most {most:.1e} of the power is left over");
    assert!(n_states > 400, "{n_states}");
}

fn with_network(document: &Document, network: Network) -> Document {
    Document { network: Arc::new(network), ..document.clone() }
}

/// What must stay the same: how a situation ends and the voltages of all nets.
fn same_solution(name: &str, one: &Solution, other: &Solution, nets: impl Fn(usize) -> usize, n_nets: usize) {
    assert_eq!(one.verdict, other.verdict, "{name}");
    let (Some(a), Some(b)) = (one.shown(), other.shown()) else { return };
    for net in 0..n_nets {
        match (a.steady.volts(net), b.steady.volts(nets(net))) {
            (Some(a), Some(b)) => assert!((a - b).abs() <= 1e-9 * a.abs().max(1.0), "{name}: {a} and {b} V"),
            (a, b) => assert_eq!(a, b, "{name}"),
        }
    }
}

/// A finding by what it says, with the subject by its place in the document.
fn gist(network: &Network, finding: &Finding) -> (&'static str, &'static str, usize) {
    (finding.check, finding.severity.word(), finding.subject.position(network))
}

fn same_findings(name: &str, one: &Document, other: &Document) {
    let gists = |document: &Document| {
        let circuit = engine::laid::circuit(document);
        let findings = run_all(&circuit, &document.situations, &document.interlocks);
        findings.iter().map(|finding| gist(&document.network, finding)).collect::<Vec<_>>()
    };
    assert_eq!(gists(one), gists(other), "{name}");
}

#[test]
fn which_end_of_a_wire_was_drawn_first_does_not_matter() {
    for (seed, (name, document)) in jobs().enumerate() {
        let mut chance = Chance::new(seed as u64);
        let mut network = (*document.network).clone();
        let mut turned = BTreeSet::new();
        for wire in network.wires.iter_mut().filter(|_| chance.once_in(2)) {
            (wire.from, wire.to) = (wire.to.clone(), wire.from.clone());
            (wire.joint_from, wire.joint_to) = (wire.joint_to.take(), wire.joint_from.take());
            turned.insert(wire.id.to_string());
        }
        let other = with_network(&document, network);
        let before = engine::laid::circuit(&document);
        let after = engine::laid::circuit(&other);
        for situation in situations(&document) {
            let (one, two) = (solve(&before, &situation), solve(&after, &situation));
            let name = format!("{name}, {}", situation.name);
            same_solution(&name, &one, &two, |net| net, before.nets.len());
            let (Some(one), Some(two)) = (one.shown(), two.shown()) else { continue };
            for branch in 0..before.branches.len() {
                let sign = if turned.contains(&before.subject(branch).id()) { -1.0 } else { 1.0 };
                let (a, b) = (one.steady.amps(branch), sign * two.steady.amps(branch));
                let allowed = 1e-7 * a.abs() + 10.0 * rounding(&before, one);
                assert!((a - b).abs() <= allowed, "{name}: {a} and {b} A in {}", before.subject(branch));
            }
        }
        same_findings(&name, &document, &other);
    }
}

/// Another label; what is called the same stays called the same, and what has no label still has none.
fn relabeled(label: &str) -> String {
    if label.is_empty() { String::new() } else { format!("renamed {label}") }
}

/// The same job with every id and label another one, the order of the ids reversed.
fn renamed(document: &Document) -> Document {
    let mut network = (*document.network).clone();
    let n_parts = network.parts.len();
    let ids: Vec<PartId> = network.parts.iter().map(|part| part.id.clone()).collect();
    let part = |id: &PartId| {
        let index = ids.iter().position(|other| other == id).expect("an id is that of a part");
        PartId::new(&format!("q{:05}", n_parts - index)).expect("a letter and a number are an id")
    };
    let end = |end: &TerminalRef| TerminalRef { part: part(&end.part), terminal: end.terminal.clone() };
    for one in &mut network.parts {
        one.id = part(&one.id);
        one.label = relabeled(&one.label);
        let refers: Vec<_> = one
            .values
            .iter()
            .filter_map(|(name, given)| match given {
                Given::Known(Value::Part(id)) => Some((name, Value::Part(part(id)))),
                Given::Known(Value::Seat(id, way)) => Some((name, Value::Seat(part(id), *way))),
                _ => None,
            })
            .collect();
        for (name, value) in refers {
            one.values.set(name, Given::Known(value));
        }
    }
    let n_wires = network.wires.len();
    for (index, wire) in network.wires.iter_mut().enumerate() {
        wire.id = WireId::new(&format!("v{:05}", n_wires - index)).expect("a letter and a number are an id");
        wire.label = relabeled(&wire.label);
        (wire.from, wire.to) = (end(&wire.from), end(&wire.to));
    }
    let situation = |situation: &Situation| Situation {
        name: situation.name.clone(),
        set: situation.set.iter().map(|(id, position)| (part(id), position.clone())).collect(),
    };
    let in_state = |one: &InState| InState { part: part(&one.part), ..one.clone() };
    let interlock = |interlock: &Interlock| Interlock {
        load: part(&interlock.load),
        any_of: interlock.any_of.iter().map(|all| all.iter().map(in_state).collect()).collect(),
        ..interlock.clone()
    };
    Document {
        situations: Arc::new(document.situations.iter().map(situation).collect()),
        interlocks: Arc::new(document.interlocks.iter().map(interlock).collect()),
        placement: Arc::default(),
        accepted: Arc::default(),
        records: Arc::default(),
        ..with_network(document, network)
    }
}

#[test]
fn what_parts_and_wires_are_called_does_not_matter() {
    for (name, document) in jobs() {
        let other = renamed(&document);
        let before = engine::laid::circuit(&document);
        let after = engine::laid::circuit(&other);
        for (one, two) in situations(&document).iter().zip(situations(&other)) {
            let name = format!("{name}, {}", one.name);
            let (one, two) = (solve(&before, one), solve(&after, &two));
            same_solution(&name, &one, &two, |net| net, before.nets.len());
        }
        same_findings(&name, &document, &other);
    }
}

#[test]
fn the_order_in_which_things_were_drawn_does_not_matter_to_the_solution() {
    for (name, document) in jobs() {
        let mut network = (*document.network).clone();
        // The first battery feeds the donors, so batteries keep their order among themselves.
        network.parts.sort_by_key(|part| (part.kind.name != "battery", part.kind.name));
        network.wires.reverse();
        let other = with_network(&document, network);
        let before = engine::laid::circuit(&document);
        let after = engine::laid::circuit(&other);
        let there = |net: usize| match before.nets[net].first() {
            Some(terminal) => after.net_of(terminal).expect("the terminal is in both"),
            None => CHASSIS,
        };
        for situation in situations(&document) {
            let (one, two) = (solve(&before, &situation), solve(&after, &situation));
            let name = format!("{name}, {}", situation.name);
            same_solution(&name, &one, &two, there, before.nets.len());
        }
    }
}

/// Nets that hang together over conducting branches, a wire, perhaps a second branch and the body left out.
fn hang_together(
    circuit: &Circuit,
    rest: &Rest,
    start: usize,
    without: &[usize],
    body: bool,
) -> BTreeSet<usize> {
    let mut met = BTreeSet::from([start]);
    let mut waiting = vec![start];
    while let Some(net) = waiting.pop() {
        for &branch in &circuit.at[net] {
            let own = &circuit.branches[branch];
            let far = own.from + own.to - net;
            let stops = far == CHASSIS && !body;
            if rest.steady.conducting(branch) && !without.contains(&branch) && !stops && met.insert(far) {
                waiting.push(far);
            }
        }
    }
    met
}

/// The loads that a better wire can only do good: see the test.
fn gaining(circuit: &Circuit, rest: &Rest, wire: usize) -> BTreeSet<usize> {
    let own = &circuit.branches[wire];
    let mut gaining = BTreeSet::new();
    for end in [own.from, own.to] {
        let behind = hang_together(circuit, rest, end, &[wire], false);
        let other = own.from + own.to - end;
        let holds_source = circuit.sources().any(|source| {
            let source = &circuit.branches[source];
            behind.contains(&source.from) || behind.contains(&source.to)
        });
        if end == CHASSIS || holds_source || behind.contains(&other) {
            continue;
        }
        let inside = |net: usize| net == CHASSIS || behind.contains(&net);
        gaining.extend(circuit.loads().map(|(load, _)| load).filter(|load| {
            let load = &circuit.branches[*load];
            inside(load.from) && inside(load.to) && load.from != load.to
        }));
    }
    for (load, _) in circuit.loads() {
        let ends = &circuit.branches[load];
        let round = hang_together(circuit, rest, ends.from, &[wire, load], true);
        if !round.contains(&ends.to) {
            gaining.insert(load);
        }
    }
    gaining
}

/// Whether every conducting branch takes more current at more voltage, and one source alone gives.
fn is_monotone(circuit: &Circuit, rest: &Rest) -> bool {
    let sources: Vec<usize> = circuit.sources().filter(|source| rest.steady.conducting(*source)).collect();
    let electronic = circuit.branches.iter().enumerate().any(|(index, branch)| {
        matches!(branch.law, Some(Law::Electronic { .. })) && rest.steady.amps(index) != 0.0
    });
    sources.len() == 1 && !electronic
}

/// A second wire beside another never raises the drop of a load, where all of this holds.
///
/// * One source gives current, and every branch takes more current at more voltage: resistances, filaments, diodes.
///   An electronic load takes less at more voltage.
/// * The same branches conduct before and after: no relay moves, no diode begins or ends to conduct.
/// * The load is behind the wire or in series with it. Behind: what hangs on one end of the wire hangs together with
///   the rest by this wire and the body alone. Then it is one two-pole, whose voltage rises when the resistance in
///   series with it falls; and where it is a network of branches in series and in parallel, as here, every voltage in
///   it rises with that. In series: wire and load carry one current, which rises when the resistance of that way
///   falls, because the rest is a two-pole that gives less voltage at more current.
/// * The drop counts from the posts of the battery. Their voltage does not rise, because no wire more makes the
///   current of the one source less (Rayleigh's law; for branches that are not straight see Minty 1960).
///
/// For other loads it is no law, see the next test.
#[test]
fn a_second_wire_never_raises_the_drop_of_a_load_behind_it() {
    let (mut n_cases, mut n_better, mut n_other_worse) = (0, 0, 0);
    for seed in 0..150 {
        let document = sound::document(seed);
        let before = engine::laid::circuit(&document);
        for index in 0..document.network.wires.len() {
            let mut network = (*document.network).clone();
            let mut twin = network.wires[index].clone();
            twin.id = WireId::new("twin").expect("letters are an id");
            network.wires.push(twin);
            let network = Arc::new(network);
            let after = build(&network, &document.settings);
            for situation in situations(&document) {
                let (one, two) = (solve(&before, &situation), solve(&after, &situation));
                let (Some(one), Some(two)) = (one.shown(), two.shown()) else { continue };
                let wires = document.network.wires.len();
                // Wires come first, so every branch of a part moves up by the new one.
                let there = |branch: usize| if branch < wires { branch } else { branch + 1 };
                let same = (0..before.branches.len())
                    .all(|branch| one.steady.conducting(branch) == two.steady.conducting(there(branch)));
                if !same || one.state != two.state || !is_monotone(&before, one) {
                    continue;
                }
                let gaining = gaining(&before, one, index);
                let source = before.sources().find(|source| one.steady.conducting(*source));
                let source = source.expect("one source gives");
                let across = |circuit: &Circuit, rest: &Rest, branch: usize| {
                    let branch = &circuit.branches[branch];
                    rest.steady.between(branch.from, branch.to).unwrap_or(0.0)
                };
                for (load, _) in before.loads().filter(|(load, _)| one.steady.amps(*load) > 1e-3) {
                    let was = across(&before, one, source) - across(&before, one, load);
                    let is = across(&after, two, there(source)) - across(&after, two, there(load));
                    if gaining.contains(&load) {
                        assert!(
                            is <= was + 1e-9,
                            "{seed}, {}: {} raises the drop of {} from {was} to {is} V",
                            situation.name,
                            before.subject(index),
                            before.subject(load)
                        );
                        n_cases += 1;
                        n_better += usize::from(is < was - 1e-9);
                    } else {
                        n_other_worse += usize::from(is > was + 1e-9);
                    }
                }
            }
        }
    }
    println!("{n_cases} loads behind a wire, {n_better} of them gain; elsewhere {n_other_worse} lose");
    assert!(n_better > 1000, "{n_better} of {n_cases}");
}

/// Two lamps share an earth of 0.3 ohm. A second feed wire to the one makes the other darker: it takes more current
/// through the earth they share.
#[test]
fn a_second_wire_to_one_lamp_may_take_from_another() {
    let second = |second: &str| {
        let text = format!(
            "battery G1\nlamp E1 watts=55\nlamp E2 watts=55\nearth X1 joint_ohm=0.3
            wire w1 G1.+ E1.1 mm2=1 m=10\nwire w2 G1.+ E2.1 mm2=1 m=10
            wire w3 E1.2 X1.1 mm2=2.5 m=1\nwire w4 E2.2 X1.1 mm2=2.5 m=1\n{second}"
        );
        let network = engine::notation::network(&text).expect("the job can be read");
        let circuit = build(&network, &engine::document::Settings::default());
        let solution = solve(&circuit, &Situation::at_rest());
        let rest = solution.shown().expect("lamps settle");
        circuit.loads().map(|(load, _)| rest.steady.watts(&circuit, load)).collect::<Vec<_>>()
    };
    let (before, after) = (second(""), second("wire w5 G1.+ E1.1 mm2=1 m=10"));
    assert!(after[0] > before[0] + 1.0, "{before:?} {after:?}");
    assert!(after[1] < before[1] - 0.1, "{before:?} {after:?}");
}
