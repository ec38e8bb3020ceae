//! A drawing before an edit, and what of it goes on.

use std::collections::BTreeMap;

use engine::arrange;
use engine::document::{Network, Wire};
use engine::ids::WireId;

use super::Layout;
use crate::geometry::Cell;
use crate::symbol::{Symbol, SymbolKey};

/// A drawing as it stood before an edit.
#[derive(Clone, Copy)]
pub(crate) struct Former<'a> {
    /// What it showed.
    pub network: &'a Network,
    /// Where everything stood.
    pub layout: &'a Layout,
    /// The course of each wire from pin to pin; empty for one without a clear path.
    pub courses: &'a [Vec<Cell>],
}

/// Which symbols and wires of a drawing were there before an edit, by their indices then.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub(crate) struct Origin {
    /// By symbol.
    pub symbols: Vec<Option<usize>>,
    /// By wire; a wire between other terminals is another wire.
    pub wires: Vec<Option<usize>>,
}

impl Origin {
    /// The courses of the wires that are no more, which what was put into them may keep to.
    pub(crate) fn gone<'a>(&self, courses: &'a [Vec<Cell>]) -> Vec<&'a [Cell]> {
        let mut is_gone = vec![true; courses.len()];
        self.wires.iter().flatten().for_each(|was| is_gone[*was] = false);
        courses
            .iter()
            .zip(is_gone)
            .filter(|(_, is_gone)| *is_gone)
            .map(|(course, _)| course.as_slice())
            .collect()
    }
}

/// Which symbols and wires were there before.
pub(super) fn origin(network: &Network, symbols: &[Symbol], former: Option<&Former>) -> Origin {
    let Some(former) = former else {
        return Origin { symbols: vec![None; symbols.len()], wires: vec![None; network.wires.len()] };
    };
    let keys = |network: &Network, symbols: &[Symbol]| -> Vec<SymbolKey> {
        symbols.iter().map(|symbol| SymbolKey::of(network, symbol)).collect()
    };
    let known: BTreeMap<SymbolKey, usize> =
        arrange::map_of(keys(former.network, &former.layout.symbols).into_iter().zip(0..));
    let wires: BTreeMap<&WireId, usize> =
        arrange::map_of(former.network.wires.iter().map(|wire| &wire.id).zip(0..));
    let wire_was = |wire: &Wire| {
        let was = *wires.get(&wire.id)?;
        let old = &former.network.wires[was];
        (old.from == wire.from && old.to == wire.to).then_some(was)
    };
    Origin {
        symbols: keys(network, symbols).iter().map(|key| known.get(key).copied()).collect(),
        wires: network.wires.iter().map(wire_was).collect(),
    }
}

/// Gives a symbol what it had before the edit: its place when it has no pose, and the order of the
/// terminals of a joint.
pub(super) fn resume(symbol: &mut Symbol, was: &Symbol) {
    if !symbol.pinned {
        (symbol.at, symbol.turn, symbol.pinned) = (was.at, was.turn, true);
    }
    let (pins, old_pins) = (&symbol.view.pins, &was.view.pins);
    let was_there = |name: &str| old_pins.iter().any(|pin| pin.terminal == name);
    let has_same = pins.len() == old_pins.len() && pins.iter().all(|pin| was_there(&pin.terminal));
    if symbol.view.swappable && has_same {
        for (pin, old) in symbol.view.pins.iter_mut().zip(&was.view.pins) {
            pin.terminal.clone_from(&old.terminal);
        }
    }
}
