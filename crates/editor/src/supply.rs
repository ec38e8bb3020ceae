//! Which end of a wire lies towards the supply, as far as the wiring drawn so far tells.
//!
//! It decides only which way round a new part is put into a wire; nothing is computed from it.

use std::collections::BTreeSet;

use engine::document::{Network, Status};
use engine::ids::{TerminalRef, WireId};
use engine::kind::{Class, Join};

/// How many wires and parts lie between `start` and the positive side of a source, when the wire
/// `without` is cut; `None` when none is reached without going through a load.
pub(crate) fn steps_to_supply(network: &Network, start: &TerminalRef, without: &WireId) -> Option<usize> {
    let mut seen: BTreeSet<TerminalRef> = BTreeSet::from([start.clone()]);
    let mut front = vec![start.clone()];
    let mut steps = 0;
    while !front.is_empty() {
        if front.iter().any(|terminal| feeds(network, terminal)) {
            return Some(steps);
        }
        let mut next = Vec::new();
        for terminal in &front {
            for other in neighbors(network, terminal, without) {
                if seen.insert(other.clone()) {
                    next.push(other);
                }
            }
        }
        front = next;
        steps += 1;
    }
    None
}

/// Whether this is the positive side of a source, which its kind lists first.
fn feeds(network: &Network, terminal: &TerminalRef) -> bool {
    network.part(&terminal.part).is_some_and(|part| {
        matches!(part.kind.class, Class::Battery | Class::Generator | Class::Donor)
            && part.terminals().first().is_some_and(|first| first.name == terminal.terminal)
    })
}

fn neighbors(network: &Network, terminal: &TerminalRef, without: &WireId) -> Vec<TerminalRef> {
    let mut all = Vec::new();
    for wire in &network.wires {
        if wire.id == *without || wire.status == Status::Remove {
            continue;
        }
        if wire.from == *terminal {
            all.push(wire.to.clone());
        } else if wire.to == *terminal {
            all.push(wire.from.clone());
        }
    }
    let Some(part) = network.part(&terminal.part) else { return all };
    if matches!(part.kind.class, Class::Protection | Class::Contact | Class::Joint | Class::Valve) {
        let own = part.terminals().into_iter().filter(|own| own.name != terminal.terminal);
        all.extend(own.map(|own| TerminalRef { part: part.id.clone(), terminal: own.name }));
    }
    for join in (part.kind.joins)(&part.values) {
        if let Join::Other(own, other, name) = join
            && own == terminal.terminal
        {
            all.push(TerminalRef { part: other, terminal: name });
        }
    }
    all
}
