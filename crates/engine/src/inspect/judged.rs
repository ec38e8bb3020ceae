//! Which parts and wires of a job are judged.
//!
//! The checks look at what was added to a vehicle and leave alone what it came with. On a drawing of what was found
//! somebody may have said of each part which of the two it is; then that stands. Where nothing is said to be added,
//! everything counts as added but what the vehicle has of its own: its batteries and alternators, the circuits that
//! signals are tapped from, and the wiring that leads between sources alone and to nothing that uses current.

use std::sync::Arc;

use petgraph::unionfind::UnionFind;

use crate::document::{Document, Network, Status};
use crate::ids::PartId;
use crate::kind::Class;
use crate::subject::Subject;

/// A job as the checks are to see it.
pub(super) struct Judged {
    /// The job, with the status of what is judged set to new.
    pub document: Document,
    /// What was left as the vehicle's own, parts before wires.
    pub own: Vec<Subject>,
}

/// The job of `document` as it is to be judged.
pub(super) fn judged(document: &Document) -> Judged {
    let network = &document.network;
    let statuses = || {
        let parts = network.parts.iter().map(|part| part.status);
        parts.chain(network.wires.iter().map(|wire| wire.status))
    };
    let mut after = (**network).clone();
    if statuses().all(|status| status != Status::New) {
        let (parts, wires) = added(network);
        for (part, _) in after.parts.iter_mut().zip(&parts).filter(|(_, added)| **added) {
            part.status = Status::New;
        }
        for (wire, _) in after.wires.iter_mut().zip(&wires).filter(|(_, added)| **added) {
            wire.status = Status::New;
        }
    }
    let parts = after.parts.iter().filter(|part| part.status == Status::Existing);
    let wires = after.wires.iter().filter(|wire| wire.status == Status::Existing);
    let own = parts.map(|part| Subject::Part(part.id.clone()));
    let own = own.chain(wires.map(|wire| Subject::Wire(wire.id.clone()))).collect();
    Judged { document: Document { network: Arc::new(after), ..document.clone() }, own }
}

/// Whether each part and each wire of a job counts as added, of which none is said to be.
fn added(network: &Network) -> (Vec<bool>, Vec<bool>) {
    let index = |id: &PartId| network.parts.iter().position(|part| part.id == *id);
    // Sources, earth points and bars part what hangs on them.
    let parts_what_hangs_on_it = |part: usize| {
        let kind = network.parts[part].kind;
        let is_box = network.parts[part].box_ways().is_some();
        let is_bar = kind.class == Class::Joint
            && !is_box
            && network.parts[part].terminals().iter().all(|one| one.holds > 1);
        matches!(kind.class, Class::Battery | Class::Generator | Class::Donor | Class::Earth) || is_bar
    };
    let n_parts = network.parts.len();
    let mut joined = UnionFind::<usize>::new(n_parts + network.wires.len());
    for (number, wire) in network.wires.iter().enumerate().filter(|(_, wire)| wire.status != Status::Remove) {
        for part in [&wire.from, &wire.to].into_iter().filter_map(|end| index(&end.part)) {
            if !parts_what_hangs_on_it(part) {
                joined.union(part, n_parts + number);
            }
        }
    }
    // A fuse in a box takes its feed from there without a wire.
    for (number, part) in network.parts.iter().enumerate() {
        if let Some(holder) = part.holder().and_then(index) {
            joined.union(number, holder);
        }
    }
    let uses_current = |class| matches!(class, Class::Load | Class::Contact | Class::Valve);
    let mut in_use = vec![false; n_parts + network.wires.len()];
    for (number, part) in network.parts.iter().enumerate() {
        in_use[joined.find(number)] |= uses_current(part.kind.class) && part.status != Status::Remove;
    }
    let hangs = |number: usize| in_use[joined.find(number)];
    let is_there = |status| status == Status::Existing;
    let touched = |part: usize| {
        let id = &network.parts[part].id;
        let mut wires = network.wires.iter().enumerate();
        wires.any(|(number, wire)| (wire.from.part == *id || wire.to.part == *id) && hangs(n_parts + number))
    };
    let parts = network.parts.iter().enumerate().map(|(number, part)| {
        let judged = match part.kind.class {
            Class::Battery | Class::Generator | Class::Donor => false,
            _ if parts_what_hangs_on_it(number) => touched(number),
            _ => {
                hangs(number)
                    || network.wires.iter().all(|wire| wire.from.part != part.id && wire.to.part != part.id)
            }
        };
        judged && is_there(part.status)
    });
    let wires = network
        .wires
        .iter()
        .enumerate()
        .map(|(number, wire)| hangs(n_parts + number) && is_there(wire.status));
    (parts.collect(), wires.collect())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document::Settings;
    use crate::notation;

    fn own(text: &str, status: Status) -> Vec<String> {
        let mut network = (*notation::network(text).unwrap()).clone();
        network.parts.iter_mut().for_each(|part| part.status = status);
        network.wires.iter_mut().for_each(|wire| wire.status = status);
        let document = Document {
            network: Arc::new(network),
            settings: Arc::new(Settings::default()),
            ..Document::default()
        };
        judged(&document).own.iter().map(Subject::id).collect()
    }

    const TRUCK: &str =
        "battery G1\nalternator G2\nbar X1\nfuse F1 rating_a=100\nfuse F2 rating_a=10\nlamp E3 watts=21\n
        earth X2\ndonor E1\nrelay K1
        wire w1 G1.+ X1.1\nwire w2 X1.2 F1.1\nwire w3 F1.2 G2.B+
        wire w4 X1.3 F2.1\nwire w5 F2.2 E3.1\nwire w6 E3.2 X2.1\nwire w7 E1.feed K1.86";

    #[test]
    fn what_leads_between_sources_alone_is_the_vehicles_own_where_nothing_is_said_to_be_added() {
        assert_eq!(own(TRUCK, Status::Existing), ["G1", "G2", "F1", "E1", "w1", "w2", "w3"]);
    }

    #[test]
    fn what_is_said_to_be_added_or_to_have_been_there_stands() {
        assert!(own(TRUCK, Status::New).is_empty());
    }

    #[test]
    fn a_battery_with_a_lamp_straight_on_it_leaves_the_lamp_to_be_judged() {
        let text = "battery G1\nlamp E1 watts=5\nwire w1 G1.+ E1.1\nwire w2 E1.2 G1.-";
        assert_eq!(own(text, Status::Existing), ["G1"]);
    }
}
