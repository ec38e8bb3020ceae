//! Where symbols stand: what the user put stays, the rest gets a place.
//!
//! Without any pose the drawing becomes a current-path diagram: the supply at the top, the earth
//! at the bottom, one column a current path, coil and contact of a relay apart, an earth point
//! repeated under everything it serves. With some poses given, what has none is put near what it
//! is wired to. The result depends on nothing but its arguments.

mod around;
mod columns;
mod cross;
mod ends;
mod flow;
mod former;
mod joints;
mod ladder;
mod near;
mod order;
mod pins;
mod rows;
mod starts;

use std::collections::BTreeMap;

use engine::document::{Network, Placement, Pose, Standing};
use engine::ids::{PartId, TerminalName, TerminalRef};
use engine::kind::{Class, Join};

use crate::geometry::{Rect, STEP};
use crate::label;
use crate::symbol::{Symbol, in_sheet_units};
use crate::words;

use ends::{n_wires, wire_ends};
use former::{origin, resume};

pub(crate) use former::{Former, Origin};

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
    /// Where the search for orders begins at random: what the next choice is made from.
    chance: Option<u64>,
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
            if let Some(name) = label::terminal_text(shown, pin, self.stud(symbol, pin)) {
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
    lay_out_with(Rest::AS_DIAGRAM, network, placement)
}

/// The same for a job without poses, with rows in an order made by chance to begin with.
pub fn lay_out_by_chance(network: &Network, seed: u64) -> Layout {
    let rest = Rest(ladder::climb, Some(seed));
    lay_out_with(rest, network, &Placement::default())
}

/// For measuring: the crossings and bends of the orders that are found by searching, and the least that
/// any orders of the same rows have; `None` when more than `most` would have to be tried.
pub fn beside_the_least(network: &Network, most: usize) -> Option<[usize; 2]> {
    let mut symbols = expand(network, &Placement::default());
    let (ends, n_wires) = wire_ends(network, &symbols, &origin(network, &symbols, None), None);
    let mut facts = facts(network, &symbols, &ends, n_wires);
    let all: Vec<usize> = (0..symbols.len()).collect();
    ladder::beside_the_least(&mut symbols, &mut facts, &all, most)
}

/// How symbols are arranged that are wired to nothing that stands.
///
/// Where nothing names a way, it is not in the program: the page of the app does without the long one.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Rest(fn(&mut [Symbol], &mut Facts, &[usize]), Option<u64>);

impl Rest {
    /// As a current-path diagram.
    pub(crate) const AS_DIAGRAM: Rest = Rest(ladder::climb, None);
    /// Side by side.
    pub(crate) const IN_A_ROW: Rest = Rest(near::in_a_row, None);
}

/// The same with a choice of how to arrange what is wired to nothing that stands.
pub(crate) fn lay_out_with(rest: Rest, network: &Network, placement: &Placement) -> Layout {
    lay_out_by(rest, network, placement, None).0
}

impl Layout {
    /// By symbol and pin, how many steps its stud is long.
    pub(crate) fn studs(&self) -> Vec<Vec<i32>> {
        let n_wires = n_wires(&self.symbols, &self.ends);
        n_wires.iter().map(|pins| pins.iter().map(|n| stud_length(*n)).collect()).collect()
    }

    /// Where every symbol stands.
    pub fn standing(&self, network: &Network) -> Vec<Standing> {
        let of = |symbol: &Symbol| Standing {
            pose: symbol.pose(&network.parts[symbol.part]),
            terminals: symbol.view.pins.iter().map(|pin| TerminalName::new(&pin.terminal)).collect(),
        };
        self.symbols.iter().map(of).collect()
    }

    /// The layout whose symbols stand like this; `None` when these are not the symbols of the job.
    ///
    /// `Layout::of(n, p, &lay_out(n, p).standing(n))` is `lay_out(n, p)`.
    pub fn of(network: &Network, placement: &Placement, standing: &[Standing]) -> Option<Layout> {
        let mut symbols = expand(network, placement);
        if symbols.len() != standing.len() {
            return None;
        }
        for (symbol, stands) in symbols.iter_mut().zip(standing) {
            let Standing { pose, terminals } = stands;
            let is_it = network.parts[symbol.part].id == pose.part
                && symbol.view.name == pose.view
                && symbol.view.pins.len() == terminals.len()
                && symbol
                    .view
                    .pins
                    .iter()
                    .all(|pin| terminals.iter().any(|name| name.as_str() == pin.terminal));
            if !is_it {
                return None;
            }
            let posed = Symbol::posed(symbol.part, symbol.view.clone(), symbol.instance, pose);
            (symbol.at, symbol.turn) = (posed.at, posed.turn);
            for (pin, name) in symbol.view.pins.iter_mut().zip(terminals) {
                pin.terminal = name.as_str().to_owned();
            }
        }
        // What is laid out as a whole has its ends chosen as if every symbol had been put where it stands.
        let is_whole = !symbols.iter().any(|symbol| symbol.pinned);
        symbols.iter_mut().for_each(|symbol| symbol.pinned |= is_whole);
        let (ends, _) = wire_ends(network, &symbols, &origin(network, &symbols, None), None);
        symbols.iter_mut().for_each(|symbol| symbol.pinned &= !is_whole);
        Some(Layout { symbols, ends })
    }
}

/// The same after an edit: symbols without a pose stay where they were, joints keep their terminals in order and wires
/// keep their ends as long as what they join stays where it was.
pub(crate) fn lay_out_after(
    rest: Rest,
    network: &Network,
    placement: &Placement,
    former: &Former,
) -> (Layout, Origin) {
    lay_out_by(rest, network, placement, Some(former))
}

fn lay_out_by(
    rest: Rest,
    network: &Network,
    placement: &Placement,
    former: Option<&Former>,
) -> (Layout, Origin) {
    let mut symbols = expand(network, placement);
    let origin = origin(network, &symbols, former);
    if let Some(former) = former {
        for (symbol, was) in symbols.iter_mut().zip(&origin.symbols) {
            if let Some(was) = was {
                resume(symbol, &former.layout.symbols[*was]);
            }
        }
    }
    let (mut ends, n_wires) = wire_ends(network, &symbols, &origin, former);
    let free: Vec<usize> = (0..symbols.len()).filter(|&i| !symbols[i].pinned).collect();
    if !free.is_empty() {
        let mut facts = facts(network, &symbols, &ends, n_wires);
        facts.chance = rest.1;
        if free.len() == symbols.len() {
            rest.0(&mut symbols, &mut facts, &free);
            return (settled(network, &symbols), origin);
        }
        near::fill_in(&mut symbols, &mut facts, &free, rest);
        // A swappable view may have its terminals in another order now, and the nearest of several
        // repetitions is only known when all of them stand.
        ends = wire_ends(network, &symbols, &origin, former).0;
    }
    if free.len() < symbols.len() && joints::fit(&mut symbols, &ends, &origin, former) {
        ends = wire_ends(network, &symbols, &origin, former).0;
    }
    (Layout { symbols, ends }, origin)
}

/// The layout that a job has whose file puts every symbol where these stand: what is laid out as a whole is
/// drawn as it will be when it is opened again.
fn settled(network: &Network, symbols: &[Symbol]) -> Layout {
    let poses = symbols.iter().map(|symbol| symbol.pose(&network.parts[symbol.part])).collect();
    let mut layout = lay_out_with(Rest::IN_A_ROW, network, &Placement { poses });
    layout.symbols.iter_mut().for_each(|symbol| symbol.pinned = false);
    layout
}

/// Poses for every symbol of a job, chosen anew but for those that are pinned: as a current-path
/// diagram, and around what is pinned as close to one as there is room.
///
/// What is tidy stays as it is, and a job without pinned poses is drawn with these exactly as it is
/// without any.
pub fn tidy(network: &Network, placement: &Placement) -> Placement {
    let pinned: Vec<Pose> = placement.poses.iter().filter(|pose| pose.pinned).cloned().collect();
    let symbols = if pinned.is_empty() {
        lay_out(network, &Placement::default()).symbols
    } else {
        around::arrange_around(network, &Placement { poses: pinned })
    };
    Placement { poses: symbols.iter().map(|symbol| symbol.pose(&network.parts[symbol.part])).collect() }
}

fn facts(
    network: &Network,
    symbols: &[Symbol],
    ends: &[Option<[End; 2]>],
    n_wires: Vec<Vec<usize>>,
) -> Facts {
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
    links.extend(seat_links(network, symbols));
    let class = symbols.iter().map(|symbol| network.parts[symbol.part].kind.class).collect();
    Facts { class, links, n_wires, text, chance: None }
}

/// All symbols, those of the user posed. An earth point without a pose stands once under each of
/// its wires.
fn expand(network: &Network, placement: &Placement) -> Vec<Symbol> {
    expand_with(network, placement, false)
}

/// The same; with `more`, an earth point stands once under each of its wires even where some of its
/// symbols have a pose.
fn expand_with(network: &Network, placement: &Placement, more: bool) -> Vec<Symbol> {
    let mut n_ends: BTreeMap<&TerminalRef, u32> = BTreeMap::new();
    for wire in &network.wires {
        *n_ends.entry(&wire.from).or_default() += 1;
        *n_ends.entry(&wire.to).or_default() += 1;
    }
    let mut poses_of: BTreeMap<&PartId, Vec<&Pose>> = BTreeMap::new();
    for pose in &placement.poses {
        poses_of.entry(&pose.part).or_default().push(pose);
    }
    let mut symbols = Vec::new();
    for (index, part) in network.parts.iter().enumerate() {
        let poses = poses_of.get(&part.id).map_or(&[][..], Vec::as_slice);
        for view in (part.kind.views)(&part.values) {
            let poses = poses.iter().filter(|pose| pose.view == view.name);
            let first = symbols.len();
            for (instance, pose) in (0..).zip(poses) {
                symbols.push(Symbol::posed(index, view.clone(), instance, pose));
            }
            let n_posed = (symbols.len() - first) as u32;
            if n_posed == 0 || more {
                let wanted = if part.kind.class == Class::Earth {
                    let terminal = view.pins.first().map(|pin| TerminalRef::new(&part.id, &pin.terminal));
                    terminal.and_then(|terminal| n_ends.get(&terminal).copied()).unwrap_or(1)
                } else {
                    1
                };
                symbols.extend((n_posed..wanted).map(|instance| Symbol::new(index, view.clone(), instance)));
            }
        }
    }
    symbols
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
