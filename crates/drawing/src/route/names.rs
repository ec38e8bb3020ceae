//! Ways around the names of terminals.

use super::router::Router;
use super::search;
use super::terminal::Gate;
use crate::geometry::Cell;

impl Router<'_> {
    /// Leads those of the wires in `order` that run over the name of a terminal around it, farther than they
    /// were looked for at first, or across others that find another way.
    pub(super) fn clear_names(&mut self, order: &[usize]) {
        self.search.is_thorough = true;
        for &wire in order {
            let Some((path, gates)) = self.laid(wire) else { continue };
            if !self.runs_over_a_name(&path) {
                continue;
            }
            self.take_up(wire);
            let price = search::price(&self.grid, &path);
            let around = self.look(wire, price, false, false);
            if let Some((better, gates)) = around.filter(|(better, _)| !self.runs_over_a_name(better)) {
                self.lay(wire, better, gates);
                continue;
            }
            let across = self.look(wire, price, true, false);
            let across = across.filter(|(better, _)| !self.runs_over_a_name(better));
            let is_better = across.is_some_and(|found| self.lay_across(wire, found));
            if !is_better {
                self.lay(wire, path, gates);
            }
        }
        self.search.is_thorough = false;
    }

    fn runs_over_a_name(&self, path: &[Cell]) -> bool {
        let is_name = |cell: &Cell| {
            let index = self.grid.index(*cell);
            index.is_some_and(|index| self.grid.point(index).cost() >= search::OVER_A_NAME.into())
        };
        path.iter().any(is_name)
    }

    /// Lays a wire across others if all of them find a way that runs over no name; otherwise they
    /// lie as they did.
    fn lay_across(&mut self, wire: usize, (path, gates): (Vec<Cell>, [Gate; 2])) -> bool {
        let mut pushed = self.grid.in_the_way(&path);
        pushed.remove(&wire);
        let before: Vec<_> =
            pushed.iter().map(|&other| (other, self.paths[other].clone(), self.gates[other])).collect();
        pushed.iter().for_each(|&other| self.take_up(other));
        self.lay(wire, path, gates);
        let mut is_better = true;
        for &other in &pushed {
            is_better = is_better
                && self.find(other, u32::MAX)
                && self.paths[other].clone().is_some_and(|path| !self.runs_over_a_name(&path));
        }
        if !is_better {
            self.take_up(wire);
            pushed.iter().for_each(|&other| self.take_up(other));
            for (other, path, gates) in before {
                if let (Some(path), Some(gates)) = (path, gates) {
                    self.lay(other, path, gates);
                }
            }
        }
        is_better
    }
}
