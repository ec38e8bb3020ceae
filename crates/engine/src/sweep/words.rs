//! Actions, situations and sets of inputs in words.

use crate::circuit::Circuit;
use crate::document::Network;
use crate::solve::Action;
use crate::sweep::Component;

/// The position of a part, to stand behind its name: `on`, `in position 2`.
pub fn at(network: &Network, (part, position): Action) -> String {
    match network.parts[part].positions().get(usize::from(position)) {
        Some(name) if name.starts_with(|c: char| c.is_ascii_digit()) => format!("in position {name}"),
        Some(name) => (*name).to_owned(),
        None => String::new(),
    }
}

/// One action: `S1 on`.
pub fn action(network: &Network, action: Action) -> String {
    format!("{} {}", network.parts[action.0].title(), at(network, action))
}

/// A sequence of actions from rest, to stand in a sentence: `at rest`, `after S1 on, then S2 on`.
pub fn after(network: &Network, actions: &[Action]) -> String {
    if actions.is_empty() {
        return "at rest".to_owned();
    }
    let all: Vec<String> = actions.iter().map(|one| action(network, *one)).collect();
    format!("after {}", all.join(", then "))
}

/// The names of the switches and donor circuits of a set.
pub fn inputs<'c>(circuit: &'c Circuit, component: &Component) -> Vec<&'c str> {
    let parts = &circuit.resolved.network.parts;
    component.explored.inputs.iter().map(|input| parts[circuit.inputs[*input].part].title()).collect()
}

/// The relays and loads that a set decides, each named once.
pub fn decided(circuit: &Circuit, component: &Component) -> Vec<String> {
    let devices = component.devices.iter().map(|device| circuit.devices[*device].branch);
    let mut decided: Vec<String> = Vec::new();
    for branch in devices.chain(component.loads.iter().copied()) {
        let title = circuit.subject(branch).title(&circuit.resolved.network);
        if !decided.contains(&title) {
            decided.push(title);
        }
    }
    decided
}
