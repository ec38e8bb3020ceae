//! Better paths once all wires lie.

use std::collections::BTreeMap;

use super::ROUNDS;
use super::router::Router;
use super::search;
use crate::geometry::Rect;

impl Router<'_> {
    /// Looks for a better path for each of the wires in `order`, the last one first.
    pub(super) fn improve_all(&mut self, order: &[usize]) {
        // With all others in place a wire may find a better way than it did at first, as long as
        // something changed near it.
        let everywhere = i32::MAX / 4;
        let mut changed = vec![Rect::new(-everywhere, -everywhere, everywhere, everywhere)];
        let mut seen = vec![0; self.paths.len()];
        for _ in 0..ROUNDS {
            for &wire in order.iter().rev() {
                if self.search.is_tired() {
                    return;
                }
                let near = |room: &Rect| self.room(wire).is_none_or(|own| own.grown(1).overlaps(room));
                if !changed[seen[wire]..].iter().any(near) {
                    continue;
                }
                let before = self.room(wire);
                if self.improve(wire) {
                    changed.extend(before.into_iter().chain(self.room(wire)));
                }
                seen[wire] = changed.len();
            }
        }
    }

    /// Lays a wire on a cheaper path if there is one, and a forced one on a clear one.
    fn improve(&mut self, wire: usize) -> bool {
        if self.forced.contains(&wire) {
            let found = self.find(wire, u32::MAX);
            if found {
                self.forced.remove(&wire);
            }
            return found;
        }
        let Some((path, gates)) = self.laid(wire) else { return false };
        self.take_up(wire);
        let price = search::price(&self.grid, &path);
        if self.find(wire, price) {
            return true;
        }
        self.lay(wire, path, gates);
        false
    }

    /// Lays pairs of the wires in `order` that cross anew together, where neither finds a better way
    /// alone.
    pub(super) fn untangle(&mut self, order: &[usize], patience: u64) {
        self.search.until = self.search.n_visited() + patience;
        // Where paths changed, and how many of these changes each pair has seen.
        let mut changed: Vec<Rect> = Vec::new();
        let mut seen: BTreeMap<[usize; 2], usize> = BTreeMap::new();
        for _ in 0..ROUNDS {
            let n_before = changed.len();
            for &wire in order {
                let Some(path) = &self.paths[wire] else { continue };
                for other in self.grid.across(path) {
                    if !order.contains(&other) {
                        continue;
                    }
                    if self.search.n_visited() > self.search.until || self.search.is_tired() {
                        return;
                    }
                    let pair = [wire.min(other), wire.max(other)];
                    let before = pair.map(|wire| self.room(wire));
                    let since = seen.get(&pair).map(|seen| &changed[*seen..]);
                    let is_near =
                        |room: &Rect| before.iter().flatten().any(|own| own.grown(1).overlaps(room));
                    if since.is_some_and(|since| !since.iter().any(is_near)) {
                        continue;
                    }
                    if self.improve_both(wire, other) {
                        let after = pair.map(|wire| self.room(wire));
                        changed.extend(before.into_iter().chain(after).flatten());
                    }
                    seen.insert(pair, changed.len());
                }
            }
            if changed.len() == n_before {
                return;
            }
        }
    }

    /// Lays two wires anew, one after the other, if that is cheaper whichever comes first.
    fn improve_both(&mut self, one: usize, other: usize) -> bool {
        let (Some(first), Some(second)) = (self.laid(one), self.laid(other)) else { return false };
        self.take_up(one);
        let mut price = search::price(&self.grid, &first.0);
        self.take_up(other);
        price += search::price(&self.grid, &second.0);
        for [a, b] in [[other, one], [one, other]] {
            if !self.find(a, price) {
                continue;
            }
            let rest = price.saturating_sub(self.price_of(a));
            if self.find(b, rest) {
                return true;
            }
            self.take_up(a);
        }
        self.lay(one, first.0, first.1);
        self.lay(other, second.0, second.1);
        false
    }

    /// What a path costs that is laid.
    fn price_of(&mut self, wire: usize) -> u32 {
        let Some((path, gates)) = self.laid(wire) else { return 0 };
        self.take_up(wire);
        let price = search::price(&self.grid, &path);
        self.lay(wire, path, gates);
        price
    }

    /// The rectangle around a path.
    fn room(&self, wire: usize) -> Option<Rect> {
        self.paths[wire].as_ref()?.iter().map(|cell| cell.room()).reduce(Rect::joined)
    }
}
