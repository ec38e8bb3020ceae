//! Places for new symbols on a drawing that already has some: each near what it is wired to, on
//! free ground; what is wired to nothing that stands is arranged to the right.

use engine::kind::Class;

use super::{Facts, Rest};
use crate::geometry::{Cell, Rect};
use crate::symbol::Symbol;

/// Steps from a terminal to the one it is wired to, when there is room.
const WIRE_LENGTH: i32 = 7;

/// Free steps kept around every symbol.
const CLEARANCE: i32 = 2;

/// Places the symbols in `free`; all others stand already.
pub(super) fn fill_in(symbols: &mut [Symbol], facts: &mut Facts, free: &[usize], Rest(arrange, _): Rest) {
    let mut stands = vec![true; symbols.len()];
    for &symbol in free {
        stands[symbol] = false;
    }
    let footprints: Vec<Rect> = (0..symbols.len()).map(|symbol| with_studs(symbols, facts, symbol)).collect();
    let mut taken: Vec<Rect> = (0..symbols.len())
        .filter(|&symbol| stands[symbol])
        .map(|symbol| footprints[symbol].moved(symbols[symbol].at.x, symbols[symbol].at.y))
        .collect();
    while let Some((symbol, wish)) = next_wish(symbols, facts, &stands, free) {
        let at = free_ground(&taken, footprints[symbol], wish, facts.class[symbol] == Class::Earth);
        symbols[symbol].at = at;
        stands[symbol] = true;
        taken.push(footprints[symbol].moved(at.x, at.y));
    }
    let rest: Vec<usize> = free.iter().copied().filter(|&symbol| !stands[symbol]).collect();
    if rest.is_empty() {
        return;
    }
    arrange(symbols, facts, &rest);
    let placed = taken.iter().copied().reduce(Rect::joined).unwrap_or(Rect::new(0, 0, 0, 0));
    let new = rest.iter().map(|&symbol| footprints[symbol].moved(symbols[symbol].at.x, symbols[symbol].at.y));
    let new = new.reduce(Rect::joined).unwrap_or(placed);
    for symbol in rest {
        let at = symbols[symbol].at;
        symbols[symbol].at = Cell::new(at.x + placed.right + 6 - new.left, at.y + placed.top - new.top);
    }
}

/// Places `members` side by side.
pub(super) fn in_a_row(symbols: &mut [Symbol], facts: &mut Facts, members: &[usize]) {
    let mut right = 0;
    for &symbol in members {
        let footprint = with_studs(symbols, facts, symbol);
        symbols[symbol].at = Cell::new(right - footprint.left, 0);
        right += footprint.width() + CLEARANCE;
    }
}

/// The space a symbol takes with its lettering, its studs and the first step of each wire.
pub(super) fn with_studs(symbols: &[Symbol], facts: &Facts, symbol: usize) -> Rect {
    let wired = (0..facts.n_wires[symbol].len()).filter(|&pin| facts.n_wires[symbol][pin] > 0);
    let ends = wired.map(|pin| {
        let port = symbols[symbol].offset(pin);
        let end = port.at.towards(port.side, facts.stud(symbol, pin) + 1);
        Rect::new(end.x, end.y, end.x, end.y)
    });
    ends.fold(facts.footprint(symbols, symbol), Rect::joined)
}

/// The first free symbol that is wired to a standing one, and where its anchor would stand best.
fn next_wish(symbols: &[Symbol], facts: &Facts, stands: &[bool], free: &[usize]) -> Option<(usize, Cell)> {
    free.iter().copied().filter(|&symbol| !stands[symbol]).find_map(|symbol| {
        facts.links.iter().find_map(|link| {
            let [a, b] = link.ends;
            let (own, other) = match (a.symbol == symbol, b.symbol == symbol) {
                (true, false) if stands[b.symbol] => (a, b),
                (false, true) if stands[a.symbol] => (b, a),
                _ => return None,
            };
            let port = symbols[other.symbol].port(other.pin);
            let target = port.at.towards(port.side, WIRE_LENGTH);
            let offset = symbols[symbol].offset(own.pin).at;
            Some((symbol, Cell::new(target.x - offset.x, target.y - offset.y)))
        })
    })
}

/// The free ground nearest to `wish`; straight below it first when `downwards`.
pub(super) fn free_ground(taken: &[Rect], footprint: Rect, wish: Cell, downwards: bool) -> Cell {
    let fits = |at: &Cell| {
        let own = footprint.moved(at.x, at.y).grown(CLEARANCE);
        !taken.iter().any(|other| own.overlaps(other))
    };
    if downwards && let Some(below) = (0..20).map(|steps| Cell::new(wish.x, wish.y + steps)).find(fits) {
        return below;
    }
    wish.nearest(fits).unwrap_or(wish)
}
