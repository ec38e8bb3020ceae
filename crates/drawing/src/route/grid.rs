//! The ground on which paths are looked for: what is blocked, what is better avoided, and which
//! wire runs where.

use std::collections::BTreeSet;

use crate::geometry::{Cell, Rect};

/// No wire.
const NOBODY: u32 = 0;

/// One value for every grid point within a frame.
pub(super) struct Grid {
    frame: Rect,
    width: usize,
    blocked: Vec<bool>,
    cost: Vec<u16>,
    /// The wire that runs level through a point, as its index plus one; at a corner the same wire
    /// is in both lists, so that nothing crosses there.
    level: Vec<u32>,
    /// The wire that runs up and down through a point.
    upright: Vec<u32>,
}

impl Grid {
    /// Free ground within `frame`, in steps, borders included.
    pub(super) fn new(frame: Rect) -> Grid {
        let width = frame.width() as usize + 1;
        let n = width * (frame.height() as usize + 1);
        Grid {
            frame,
            width,
            blocked: vec![false; n],
            cost: vec![0; n],
            level: vec![NOBODY; n],
            upright: vec![NOBODY; n],
        }
    }

    pub(super) fn len(&self) -> usize {
        self.blocked.len()
    }

    /// The index of a point within the frame.
    pub(super) fn index(&self, cell: Cell) -> Option<usize> {
        let inside = cell.x >= self.frame.left
            && cell.x <= self.frame.right
            && cell.y >= self.frame.top
            && cell.y <= self.frame.bottom;
        inside.then(|| (cell.y - self.frame.top) as usize * self.width + (cell.x - self.frame.left) as usize)
    }

    pub(super) fn cell(&self, index: usize) -> Cell {
        Cell::new(self.frame.left + (index % self.width) as i32, self.frame.top + (index / self.width) as i32)
    }

    fn each(&self, rect: Rect) -> impl Iterator<Item = usize> + use<> {
        let frame = self.frame;
        let width = self.width;
        let rows = rect.top.max(frame.top)..=rect.bottom.min(frame.bottom);
        rows.flat_map(move |y| {
            let columns = rect.left.max(frame.left)..=rect.right.min(frame.right);
            columns.map(move |x| (y - frame.top) as usize * width + (x - frame.left) as usize)
        })
    }

    /// Closes every point of `rect` to wires.
    pub(super) fn block(&mut self, rect: Rect) {
        for index in self.each(rect) {
            self.blocked[index] = true;
        }
    }

    /// Makes every point of `rect` dearer by `cost`.
    pub(super) fn avoid(&mut self, rect: Rect, cost: u16) {
        for index in self.each(rect) {
            self.cost[index] = self.cost[index].saturating_add(cost);
        }
    }

    pub(super) fn is_blocked(&self, index: usize) -> bool {
        self.blocked[index]
    }

    pub(super) fn cost(&self, index: usize) -> u32 {
        u32::from(self.cost[index])
    }

    /// Whether a wire runs through the point in the given direction.
    pub(super) fn is_used(&self, index: usize, level: bool) -> bool {
        (if level { self.level[index] } else { self.upright[index] }) != NOBODY
    }

    /// Whether no wire runs through the point.
    pub(super) fn is_empty(&self, index: usize) -> bool {
        self.level[index] == NOBODY && self.upright[index] == NOBODY
    }

    /// Whether a wire in the given direction lies one step to either side.
    pub(super) fn has_company(&self, index: usize, level: bool) -> bool {
        let step = if level { self.width } else { 1 };
        let used = |index: Option<usize>| index.is_some_and(|i| i < self.len() && self.is_used(i, level));
        used(index.checked_sub(step)) || used(index.checked_add(step))
    }

    /// Calls `mark` for every point of a path but its ends, with whether the path uses it level
    /// and upright.
    fn walk(&self, path: &[Cell], mut mark: impl FnMut(usize, bool, bool)) {
        for three in path.windows(3) {
            let [before, at, after] = three else { continue };
            let Some(index) = self.index(*at) else { continue };
            let level_before = before.y == at.y;
            let level_after = at.y == after.y;
            let corner = level_before != level_after;
            mark(index, corner || level_before, corner || !level_before);
        }
    }

    /// Marks the points of `path`, given point by point, as used by `wire`.
    pub(super) fn lay(&mut self, wire: usize, path: &[Cell]) {
        self.change(path, wire as u32 + 1, NOBODY);
    }

    /// Undoes [`Grid::lay`].
    pub(super) fn take_up(&mut self, wire: usize, path: &[Cell]) {
        self.change(path, NOBODY, wire as u32 + 1);
    }

    fn change(&mut self, path: &[Cell], to: u32, from: u32) {
        let mut used = Vec::new();
        self.walk(path, |index, level, upright| used.push((index, level, upright)));
        for (index, level, upright) in used {
            if level && self.level[index] == from {
                self.level[index] = to;
            }
            if upright && self.upright[index] == from {
                self.upright[index] = to;
            }
        }
    }

    /// The wires that `path` would lie on or touch, rather than cross.
    pub(super) fn in_the_way(&self, path: &[Cell]) -> BTreeSet<usize> {
        let mut wires = BTreeSet::new();
        self.walk(path, |index, level, upright| {
            for (used, wire) in [(level, self.level[index]), (upright, self.upright[index])] {
                if used && wire != NOBODY {
                    wires.insert(wire as usize - 1);
                }
            }
        });
        wires
    }
}
