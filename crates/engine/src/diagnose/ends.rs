//! The two ends of each side of a circuit: a pole of a source, and the terminal of what it feeds.
//!
//! Between them lie every wire, fuse, contact and joint of that side, so that one voltage, read while the current flows,
//! tells of all of them.

use std::collections::VecDeque;

use crate::circuit::{Circuit, NetIndex, Origin};
use crate::ids::TerminalRef;
use crate::kind::{Class, Role};

/// One side of a circuit.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Side {
    /// Where the red lead goes: the end at the higher voltage.
    pub at: TerminalRef,
    /// Where the black lead goes.
    pub against: TerminalRef,
}

/// A pole of a source.
struct Pole {
    net: NetIndex,
    terminal: TerminalRef,
    is_positive: bool,
}

/// Both sides of every load and coil, each from the pole it is nearest to; and what joins the positive poles of sources.
/// Each pair of nets once.
pub(super) fn sides(circuit: &Circuit) -> Vec<Side> {
    let poles = poles(circuit);
    let nearest = nearest(circuit, &poles);
    let mut known: Vec<(NetIndex, NetIndex)> = Vec::new();
    let mut found = Vec::new();
    let mut add = |at: (NetIndex, &TerminalRef), against: (NetIndex, &TerminalRef)| {
        if at.0 != against.0 && !known.contains(&(at.0, against.0)) {
            known.push((at.0, against.0));
            found.push(Side { at: at.1.clone(), against: against.1.clone() });
        }
    };
    for branch in &circuit.branches {
        if !matches!(branch.role, Role::Load(_) | Role::Coil { .. }) || branch.law.is_none() {
            continue;
        }
        for net in [branch.from, branch.to] {
            let (Some(pole), Some(end)) = (nearest[net], own_terminal(circuit, branch.origin, net)) else {
                continue;
            };
            let pole = &poles[pole];
            match pole.is_positive {
                true => add((pole.net, &pole.terminal), (net, &end)),
                false => add((net, &end), (pole.net, &pole.terminal)),
            }
        }
    }
    let positive: Vec<&Pole> = poles.iter().filter(|pole| pole.is_positive).collect();
    for (index, one) in positive.iter().enumerate() {
        for other in &positive[index + 1..] {
            add((one.net, &one.terminal), (other.net, &other.terminal));
        }
    }
    found
}

/// The poles of all batteries and alternators.
fn poles(circuit: &Circuit) -> Vec<Pole> {
    let network = &circuit.resolved.network;
    let mut poles = Vec::new();
    for source in circuit.sources() {
        let branch = &circuit.branches[source];
        let Some(part) = branch.origin.part() else { continue };
        if !matches!(network.parts[part].kind.class, Class::Battery | Class::Generator) {
            continue;
        }
        for (net, is_positive) in [(branch.from, true), (branch.to, false)] {
            if let Some(terminal) = own_terminal(circuit, branch.origin, net) {
                poles.push(Pole { net, terminal, is_positive });
            }
        }
    }
    poles
}

/// The pole, by index, from which the fewest wires, contacts and joints lead to each net.
fn nearest(circuit: &Circuit, poles: &[Pole]) -> Vec<Option<usize>> {
    let mut nearest = vec![None; circuit.nets.len()];
    let mut next = VecDeque::new();
    for (index, pole) in poles.iter().enumerate() {
        if nearest[pole.net].is_none() {
            nearest[pole.net] = Some(index);
            next.push_back(pole.net);
        }
    }
    let joins = |role| matches!(role, Role::Path | Role::Protection(_));
    while let Some(net) = next.pop_front() {
        for branch in circuit.branches.iter().filter(|branch| joins(branch.role) && branch.law.is_some()) {
            let far = match (branch.from == net, branch.to == net) {
                (true, _) => branch.to,
                (_, true) => branch.from,
                _ => continue,
            };
            if nearest[far].is_none() {
                nearest[far] = nearest[net];
                next.push_back(far);
            }
        }
    }
    nearest
}

/// The terminal of a part at a net.
pub(super) fn own_terminal(circuit: &Circuit, origin: Origin, net: NetIndex) -> Option<TerminalRef> {
    let part = &circuit.resolved.network.parts[origin.part()?];
    let own = part.terminals().into_iter();
    let mut own = own.map(|terminal| TerminalRef { part: part.id.clone(), terminal: terminal.name });
    own.find(|terminal| circuit.net_of(terminal) == Some(net))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::circuit::build;
    use crate::document::Settings;
    use crate::notation;

    fn told(text: &str) -> Vec<String> {
        let circuit = build(&notation::network(text).unwrap(), &Settings::default());
        let network = &circuit.resolved.network;
        let name = |terminal: &TerminalRef| network.terminal_in_full(terminal);
        sides(&circuit).iter().map(|side| format!("{} / {}", name(&side.at), name(&side.against))).collect()
    }

    #[test]
    fn a_lamp_has_a_feed_and_a_return() {
        let sides = told(
            "battery G1\nearth X1\nfuse F1 rating_a=10\nswitch S1\nlamp E1 watts=21\nwire w1 G1.+ F1.1 mm2=1 m=1
             wire w2 F1.2 S1.in mm2=1 m=1\nwire w3 S1.out E1.1 mm2=1 m=1\nwire w4 E1.2 X1.1 mm2=1 m=1",
        );
        assert_eq!(sides, ["battery G1:+ / lamp E1:1", "lamp E1:2 / battery G1:-"]);
    }

    #[test]
    fn a_switch_in_the_return_is_on_that_side() {
        let sides = told(
            "battery G1\nearth X1\nfuse F1 rating_a=10\nswitch S1\nlamp E1 watts=21\nwire w1 G1.+ F1.1 mm2=1 m=1
             wire w2 F1.2 E1.1 mm2=1 m=1\nwire w3 E1.2 S1.in mm2=1 m=1\nwire w4 S1.out X1.1 mm2=1 m=1",
        );
        assert_eq!(sides, ["battery G1:+ / lamp E1:1", "lamp E1:2 / battery G1:-"]);
    }
}
