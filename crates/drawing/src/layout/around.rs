//! The arrangement of a job of which some symbols are pinned.
//!
//! Everything is laid out as if nothing were pinned; then the diagram is laid over the pinned
//! symbols so that most of them are near their places in it, and all others take theirs, or the
//! free ground nearest to it.

use engine::arrange;
use engine::document::{Network, Placement};

use super::near::{free_ground, with_studs};
use super::{Origin, expand_with, facts, ladder, wire_ends};
use crate::geometry::{Cell, Rect};
use crate::symbol::Symbol;

/// All symbols of `network`: those with a pose in `placement` stand there, the others around them.
pub(super) fn arrange_around(network: &Network, placement: &Placement) -> Vec<Symbol> {
    let mut symbols = expand_with(network, placement, true);
    // The diagram as it would be without pins.
    let mut diagram = symbols.clone();
    for symbol in &mut diagram {
        *symbol = Symbol::new(symbol.part, symbol.view.clone(), symbol.instance);
    }
    let origin = Origin { symbols: vec![None; symbols.len()], wires: vec![None; network.wires.len()] };
    let (ends, n_wires) = wire_ends(network, &diagram, &origin, None);
    let mut facts = facts(network, &diagram, &ends, n_wires);
    let all: Vec<usize> = (0..symbols.len()).collect();
    ladder::climb(&mut diagram, &mut facts, &all);

    let shift = |of: fn(Cell) -> i32| {
        let mut shifts: Vec<i32> = (symbols.iter().zip(&diagram))
            .filter(|(symbol, _)| symbol.pinned)
            .map(|(symbol, in_diagram)| of(symbol.at) - of(in_diagram.at))
            .collect();
        arrange::sort(&mut shifts);
        shifts.get(shifts.len() / 2).copied().unwrap_or(0)
    };
    let (dx, dy) = (shift(|at| at.x), shift(|at| at.y));
    let mut taken: Vec<Rect> = Vec::new();
    for (index, symbol) in symbols.iter().enumerate().filter(|(_, symbol)| symbol.pinned) {
        taken.push(with_studs(&symbols, &facts, index).moved(symbol.at.x, symbol.at.y));
    }
    let mut free: Vec<usize> = all.into_iter().filter(|&index| !symbols[index].pinned).collect();
    // From the top down, so that what has to give way does so to the side or downwards.
    arrange::sort_by_key(&mut free, |&index| (diagram[index].at.y, diagram[index].at.x, index));
    for index in free {
        let Symbol { at, turn, .. } = diagram[index];
        symbols[index].turn = turn;
        let footprint = with_studs(&symbols, &facts, index);
        let wish = Cell::new(at.x + dx, at.y + dy);
        let at = free_ground(&taken, footprint, wish, false);
        symbols[index].at = at;
        taken.push(footprint.moved(at.x, at.y));
    }
    symbols
}
