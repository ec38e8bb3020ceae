//! Where wires meet terminals: at the pin itself, or along a stud that is drawn on from it.

use engine::kind::glyph::Side;

use crate::geometry::Cell;
use crate::layout::{End, Layout, stud_length};
use crate::symbol::Port;

/// A point at which a path may begin or end, and the side on which it leaves the terminal there.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Gate {
    pub cell: Cell,
    pub side: Side,
}

/// A terminal of a symbol, and the wires on it.
pub(super) struct Terminal {
    port: Port,
    /// How many wires are to meet it.
    n_wires: usize,
    /// The gates in use.
    used: Vec<Gate>,
}

impl Terminal {
    /// The side towards which its stud is drawn on.
    pub(super) fn side(&self) -> Side {
        self.port.side
    }

    /// How many points of a stud there are beyond the pin.
    pub(super) fn reach(&self) -> i32 {
        stud_length(self.n_wires)
    }

    /// The pin itself, then each point of the stud outwards.
    pub(super) fn cells(&self) -> impl Iterator<Item = Cell> + use<> {
        let Port { at, side } = self.port;
        (0..=self.reach()).map(move |steps| at.towards(side, steps))
    }

    /// The outermost of them.
    pub(super) fn last(&self) -> Cell {
        self.port.at.towards(self.port.side, self.reach())
    }

    /// The gates that no wire uses yet: each point of a stud takes one wire sideways, the last one two.
    pub(super) fn free_gates(&self) -> Vec<Gate> {
        let side = self.port.side;
        let reach = self.reach();
        if reach == 0 {
            return vec![Gate { cell: self.port.at, side }];
        }
        let sideways = match side {
            Side::Up | Side::Down => [Side::Left, Side::Right],
            Side::Left | Side::Right => [Side::Up, Side::Down],
        };
        let mut gates = Vec::new();
        for steps in 1..=reach {
            let cell = self.port.at.towards(side, steps);
            let room = if steps == reach { 2 } else { 1 };
            if self.used.iter().filter(|gate| gate.cell == cell).count() >= room {
                continue;
            }
            let ways = sideways.iter().copied().chain((steps == reach).then_some(side));
            gates.extend(ways.map(|side| Gate { cell, side }).filter(|gate| !self.used.contains(gate)));
        }
        gates
    }

    /// Notes that a wire uses a gate.
    pub(super) fn take(&mut self, gate: Gate) {
        self.used.push(gate);
    }

    /// Notes that it does no more.
    pub(super) fn give_back(&mut self, gate: Gate) {
        if let Some(at) = self.used.iter().position(|other| *other == gate) {
            self.used.swap_remove(at);
        }
    }
}

/// All terminals of a drawing.
pub(super) struct Terminals {
    /// Where the terminals of each symbol begin.
    first: Vec<usize>,
    all: Vec<(End, Terminal)>,
}

impl Terminals {
    pub(super) fn new(layout: &Layout) -> Terminals {
        let mut terminals = Terminals { first: Vec::new(), all: Vec::new() };
        for (symbol, shown) in layout.symbols.iter().enumerate() {
            terminals.first.push(terminals.all.len());
            terminals.all.extend((0..shown.view.pins.len()).map(|pin| {
                (End { symbol, pin }, Terminal { port: shown.port(pin), n_wires: 0, used: Vec::new() })
            }));
        }
        for end in layout.ends.iter().flatten().flatten() {
            terminals.get_mut(*end).n_wires += 1;
        }
        terminals
    }

    pub(super) fn get(&self, end: End) -> &Terminal {
        &self.all[self.first[end.symbol] + end.pin].1
    }

    pub(super) fn get_mut(&mut self, end: End) -> &mut Terminal {
        &mut self.all[self.first[end.symbol] + end.pin].1
    }

    /// Those that a wire meets, in the order of symbols and pins.
    pub(super) fn iter(&self) -> impl Iterator<Item = (End, &Terminal)> {
        let met = self.all.iter().filter(|(_, terminal)| terminal.n_wires > 0);
        met.map(|(end, terminal)| (*end, terminal))
    }
}
