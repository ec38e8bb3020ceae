//! Where symbols stand: what the user put stays, the rest gets a place.
//!
//! Without any pose the drawing becomes a current-path diagram: the supply at the top, the earth
//! at the bottom, one column a current path, coil and contact of a relay apart, an earth point
//! repeated under everything it serves. With some poses given, what has none is put near what it
//! is wired to. The result depends on nothing but its arguments.

mod columns;
mod flow;
mod ladder;
mod near;
mod order;
mod rows;

use std::collections::BTreeMap;

use engine::document::{Network, Placement};
use engine::ids::TerminalRef;
use engine::kind::{Class, Join};

use crate::geometry::{Rect, STEP};
use crate::label;
use crate::symbol::{Symbol, SymbolKey, in_sheet_units};
use crate::words;

/// The end of a wire: which pin of which symbol.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct End {
    /// Index into [`Layout::symbols`].
    pub symbol: usize,
    /// Index of the pin in its view.
    pub pin: usize,
}

/// Every symbol with its place, and what each wire joins.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Layout {
    /// All symbols, by part, view and repetition.
    pub symbols: Vec<Symbol>,
    /// Both ends of each wire of the network; `None` for a wire that ends on nothing.
    pub ends: Vec<Option<[End; 2]>>,
}

/// Something that should be drawn as a line between two symbols, or at least close together.
#[derive(Clone, Debug)]
struct Link {
    /// Both ends.
    ends: [End; 2],
    /// Whether each end leaves its symbol upwards.
    above: [bool; 2],
    /// Whether it stands for the seat of a fuse in a box, without a wire; the box is the first end.
    is_seat: bool,
}

/// What the layout needs to know of the network beside the symbols themselves.
struct Facts {
    /// Class of the part of each symbol.
    class: Vec<Class>,
    /// Space each symbol takes with its lettering before turning is undone, in steps around its anchor.
    links: Vec<Link>,
    /// Number of wires on each pin of each symbol.
    n_wires: Vec<Vec<usize>>,
    /// Size of the text beside each symbol, in hundredths of a millimetre.
    text: Vec<(i32, i32)>,
}

impl Facts {
    /// The space `symbol` takes with its lettering, in steps around its anchor.
    fn footprint(&self, symbols: &[Symbol], symbol: usize) -> Rect {
        let shown = &symbols[symbol];
        let mut rect = in_sheet_units(shown.local_body());
        let (width, height) = self.text[symbol];
        if width > 0 {
            rect = rect.joined(label::part_text_places(shown, width, height)[0]);
        }
        for pin in 0..shown.view.pins.len() {
            if let Some(name) = label::terminal_text(shown, pin) {
                let (dx, dy) = (-shown.at.x * STEP, -shown.at.y * STEP);
                rect = rect.joined(name.bounds().moved(dx, dy));
            }
        }
        let floor = |v: i32| v.div_euclid(STEP);
        let ceil = |v: i32| -(-v).div_euclid(STEP);
        Rect::new(floor(rect.left), floor(rect.top), ceil(rect.right), ceil(rect.bottom))
    }

    /// How many steps the stud reaches beyond a pin.
    fn stud(&self, symbol: usize, pin: usize) -> i32 {
        stud_length(self.n_wires[symbol][pin])
    }
}

/// How many steps beyond its pin a terminal reaches on which `n_wires` wires meet: each point
/// takes one wire sideways, the last one two, so that three lines meet at a dot and never four.
pub fn stud_length(n_wires: usize) -> i32 {
    i32::try_from(n_wires.saturating_sub(1)).unwrap_or(i32::MAX).min(200)
}

/// Gives every symbol a place and every wire its ends.
///
/// Grows with the square of the number of symbols in one row, and is linear otherwise.
pub fn lay_out(network: &Network, placement: &Placement) -> Layout {
    lay_out_beside(network, placement, &[])
}

/// The same, but symbols without a pose that are among those that `stand` stay where they are.
pub(crate) fn lay_out_beside(
    network: &Network,
    placement: &Placement,
    stand: &[(SymbolKey, Symbol)],
) -> Layout {
    let mut symbols = expand(network, placement);
    for symbol in symbols.iter_mut().filter(|symbol| !symbol.pinned) {
        let key = SymbolKey::of(network, symbol);
        if let Some((_, stood)) = stand.iter().find(|(known, _)| *known == key) {
            (symbol.at, symbol.turn, symbol.pinned) = (stood.at, stood.turn, true);
        }
    }
    let (ends, n_wires) = wire_ends(network, &symbols);
    let designations = words::designations(network);
    let text = symbols
        .iter()
        .map(|symbol| {
            let part = &network.parts[symbol.part];
            let (n_bold, lines) = words::part_lines(network, &designations, part, &designations[symbol.part]);
            label::part_block_size(n_bold, &lines)
        })
        .collect();
    let mut links: Vec<Link> =
        ends.iter().flatten().map(|ends| Link { ends: *ends, above: [false; 2], is_seat: false }).collect();
    links.extend(seat_links(network, &symbols));
    let class = symbols.iter().map(|symbol| network.parts[symbol.part].kind.class).collect();
    let mut facts = Facts { class, links, n_wires, text };

    let free: Vec<usize> = (0..symbols.len()).filter(|&i| !symbols[i].pinned).collect();
    if free.len() == symbols.len() {
        ladder::climb(&mut symbols, &mut facts, &free);
    } else {
        near::fill_in(&mut symbols, &mut facts, &free);
    }
    // A swappable view may have its terminals in another order now, and the nearest of several
    // repetitions is only known when all of them stand.
    let (ends, _) = wire_ends(network, &symbols);
    Layout { symbols, ends }
}

/// All symbols, those of the user posed. An earth point without a pose stands once under each of
/// its wires.
fn expand(network: &Network, placement: &Placement) -> Vec<Symbol> {
    let mut n_ends: BTreeMap<&TerminalRef, u32> = BTreeMap::new();
    for wire in &network.wires {
        *n_ends.entry(&wire.from).or_default() += 1;
        *n_ends.entry(&wire.to).or_default() += 1;
    }
    let mut symbols = Vec::new();
    for (index, part) in network.parts.iter().enumerate() {
        for view in (part.kind.views)(&part.values) {
            let poses = placement.of(&part.id).filter(|pose| pose.view == view.name);
            let first = symbols.len();
            for (instance, pose) in (0..).zip(poses) {
                symbols.push(Symbol::posed(index, view.clone(), instance, pose));
            }
            if symbols.len() == first {
                let wanted = if part.kind.class == Class::Earth {
                    let terminal = view.pins.first().map(|pin| TerminalRef::new(&part.id, &pin.terminal));
                    terminal.and_then(|terminal| n_ends.get(&terminal).copied()).unwrap_or(1)
                } else {
                    1
                };
                symbols.extend((0..wanted).map(|instance| Symbol::new(index, view.clone(), instance)));
            }
        }
    }
    symbols
}

/// The ends of each wire and the number of wires on each pin.
///
/// Where a terminal is shown several times, free repetitions serve one wire each in the order of
/// the wires, and of pinned ones the nearest to the other end does.
fn wire_ends(network: &Network, symbols: &[Symbol]) -> (Vec<Option<[End; 2]>>, Vec<Vec<usize>>) {
    let mut shown: BTreeMap<TerminalRef, Vec<End>> = BTreeMap::new();
    for (index, symbol) in symbols.iter().enumerate() {
        for (pin, at) in symbol.view.pins.iter().enumerate() {
            let terminal = TerminalRef::new(&network.parts[symbol.part].id, &at.terminal);
            shown.entry(terminal).or_default().push(End { symbol: index, pin });
        }
    }
    let mut next: BTreeMap<&TerminalRef, usize> = BTreeMap::new();
    let mut choices: Vec<Option<[Vec<End>; 2]>> = Vec::new();
    for wire in &network.wires {
        let mut choose = |terminal| -> Option<Vec<End>> {
            let all = shown.get(terminal)?;
            if all.iter().any(|end| symbols[end.symbol].pinned) {
                return Some(all.iter().copied().filter(|end| symbols[end.symbol].pinned).collect());
            }
            let turn = next.entry(terminal).or_default();
            let end = all[(*turn).min(all.len() - 1)];
            *turn += 1;
            Some(vec![end])
        };
        let from = choose(&wire.from);
        let to = choose(&wire.to);
        choices.push(from.zip(to).filter(|_| wire.from != wire.to).map(|(from, to)| [from, to]));
    }
    let mut n_wires: Vec<Vec<usize>> = symbols.iter().map(|symbol| vec![0; symbol.view.pins.len()]).collect();
    let ends = choices
        .into_iter()
        .map(|choice| {
            let [from, to] = choice?;
            let pairs = from.iter().flat_map(|a| to.iter().map(move |b| [*a, *b]));
            let far = |ends: &[End; 2]| {
                let at = |end: &End| symbols[end.symbol].port(end.pin).at;
                at(&ends[0]).distance(at(&ends[1]))
            };
            let best = pairs.min_by_key(|ends| (far(ends), *ends))?;
            for end in best {
                n_wires[end.symbol][end.pin] += 1;
            }
            Some(best)
        })
        .collect();
    (ends, n_wires)
}

/// A fuse in a box belongs below the box though no wire leads there.
fn seat_links(network: &Network, symbols: &[Symbol]) -> Vec<Link> {
    let find = |part: usize, terminal: &str| {
        symbols.iter().enumerate().filter(|(_, symbol)| symbol.part == part).find_map(|(index, symbol)| {
            let pin = symbol.view.pins.iter().position(|pin| pin.terminal == terminal)?;
            Some(End { symbol: index, pin })
        })
    };
    let mut links = Vec::new();
    for (index, part) in network.parts.iter().enumerate() {
        for join in (part.kind.joins)(&part.values) {
            let Join::Other(own, other, terminal) = join else { continue };
            let Some(other) = network.parts.iter().position(|part| part.id == other) else { continue };
            if let (Some(a), Some(b)) = (find(other, terminal.as_str()), find(index, own.as_str())) {
                links.push(Link { ends: [a, b], above: [false; 2], is_seat: true });
            }
        }
    }
    links
}
