//! Wires that leave one terminal in a better order.
//!
//! Each wire takes the point of the stud that suits it when it is laid, so the last ones take what is left, and a
//! wire that goes far may have to cross all that go down before. Two of them that exchange their points often
//! need not cross, and nothing has to be looked for: only the first leg of each moves along.

use std::collections::BTreeMap;

use super::corners;
use super::keep::is_open;
use super::router::Router;
use super::search::price;
use super::terminal::Gate;
use crate::geometry::Cell;
use crate::layout::End;

/// How often all pairs of wires of one terminal are tried at most.
const ROUNDS: usize = 4;

/// Of a wire, which one it is and which of its ends lies at the terminal.
type Leaving = (usize, usize);

impl Router<'_> {
    /// Exchanges the points at which the wires in `order` leave their terminals, as long as that makes them
    /// cheaper together.
    pub(super) fn exchange_gates(&mut self, order: &[usize]) {
        let mut leaving: BTreeMap<End, Vec<Leaving>> = BTreeMap::new();
        for &wire in order.iter().filter(|&&wire| self.paths[wire].is_some()) {
            for (i, end) in self.layout.ends[wire].iter().flatten().enumerate() {
                // A single point beyond the pin leaves nothing to exchange.
                if self.terminals.get(*end).reach() > 1 {
                    leaving.entry(*end).or_default().push((wire, i));
                }
            }
        }
        for leaving in leaving.values() {
            for _ in 0..ROUNDS {
                let mut has_helped = false;
                for (i, &one) in leaving.iter().enumerate() {
                    for &other in &leaving[..i] {
                        has_helped |= self.exchange_two(one, other);
                    }
                }
                if !has_helped {
                    break;
                }
            }
        }
    }

    /// Lets two wires exchange the points at which they leave a terminal, if that is cheaper.
    fn exchange_two(&mut self, one: Leaving, other: Leaving) -> bool {
        let (Some(first), Some(second)) = (self.laid(one.0), self.laid(other.0)) else { return false };
        let (a, b) = (first.1[one.1], second.1[other.1]);
        let crosses = |path: &[Cell]| !self.grid.across(path).is_empty();
        if a.cell == b.cell || !(crosses(&first.0) || crosses(&second.0)) {
            return false;
        }
        let Some(new_first) = self.moved(one, b.cell) else { return false };
        let Some(new_second) = self.moved(other, a.cell) else { return false };
        self.take_up(one.0);
        let mut before = price(&self.grid, &first.0);
        self.take_up(other.0);
        before += price(&self.grid, &second.0);
        if is_open(self, &new_first.0) {
            let after = price(&self.grid, &new_first.0);
            self.lay(one.0, new_first.0, new_first.1);
            if is_open(self, &new_second.0) && after + price(&self.grid, &new_second.0) < before {
                self.lay(other.0, new_second.0, new_second.1);
                return true;
            }
            self.take_up(one.0);
        }
        self.lay(one.0, first.0, first.1);
        self.lay(other.0, second.0, second.1);
        false
    }

    /// The path of a wire that leaves its terminal at `cell`, on the side on which it leaves it now.
    fn moved(&self, (wire, i): Leaving, cell: Cell) -> Option<(Vec<Cell>, [Gate; 2])> {
        let mut gates = self.gates[wire]?;
        let end = self.layout.ends[wire]?[i];
        if gates[i].side == self.terminals.get(end).side() {
            // What leaves the stud onwards has no other point to leave it from.
            return None;
        }
        let mut path = corners(self.paths[wire].as_deref()?);
        if i == 1 {
            path.reverse();
        }
        let [first, second, _, ..] = path.as_mut_slice() else { return None };
        if first.y == second.y {
            second.y = cell.y;
        } else {
            second.x = cell.x;
        }
        *first = cell;
        gates[i].cell = cell;
        let mut path = self.grid.along(&corners(&path));
        if i == 1 {
            path.reverse();
        }
        Some((path, gates))
    }
}
