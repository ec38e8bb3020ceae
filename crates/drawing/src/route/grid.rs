//! The ground on which paths are looked for: what is blocked, what is better avoided, and which
//! wire runs where.

use std::collections::BTreeSet;

use engine::arrange;
use engine::kind::glyph::Side;

use super::lines::{MOST_POINTS, lines, not_before, number};
use crate::geometry::{Cell, Rect};

/// A wire runs level through the point.
const LEVEL: u32 = 1;

/// A wire runs up and down through the point.
const UPRIGHT: u32 = 2;

/// The point is closed to wires.
const BLOCKED: u32 = 4;

/// A wire that runs level lies next to the point, above or below.
const LEVEL_COMPANY: u32 = 8;

/// A wire that runs up and down lies next to the point, on the left or the right.
const UPRIGHT_COMPANY: u32 = 16;

/// Where in the word of a point its cost begins.
const COST: u32 = 8;

/// What is on a point, in bits, and what passing it costs: see the constants above.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Ground(u32);

impl Ground {
    fn has(self, bits: u32) -> bool {
        self.0 & bits != 0
    }

    /// Whether it is closed to wires.
    pub(super) fn is_blocked(self) -> bool {
        self.has(BLOCKED)
    }

    /// What passing it costs beside the step.
    pub(super) fn cost(self) -> u32 {
        self.0 >> COST
    }

    /// Whether a wire runs through it in the given direction.
    pub(super) fn is_used(self, level: bool) -> bool {
        self.has(if level { LEVEL } else { UPRIGHT })
    }

    /// Whether no wire runs through it.
    pub(super) fn is_empty(self) -> bool {
        !self.has(LEVEL | UPRIGHT)
    }

    /// Whether a wire in the given direction lies next to it on either side.
    pub(super) fn has_company(self, level: bool) -> bool {
        self.has(if level { LEVEL_COMPANY } else { UPRIGHT_COMPANY })
    }
}

/// One value for every grid point that a path may visit.
///
/// Wide empty stretches are left out: only the columns and rows near something are there, so that
/// a symbol far away costs no more than one close by. Around them lies a border of closed points,
/// so that every point has neighbors.
#[derive(Clone, Debug, Default)]
pub(super) struct Grid {
    /// The columns there are, from left to right, and the rows, from the top.
    columns: Vec<i32>,
    rows: Vec<i32>,
    /// From one row to the next, in points.
    width: usize,
    points: Vec<Ground>,
    /// The wire that runs level through a point, only where one does; at a corner the same wire is in both
    /// lists, so that nothing crosses there.
    level: Vec<u32>,
    /// The wire that runs upright through a point.
    upright: Vec<u32>,
}

impl Grid {
    /// Free ground in and around `things`, up to `margin` steps from each, with the columns and rows
    /// of `corners`, in the space of a grid that is no longer needed; `None` when that is too much ground.
    pub(super) fn over(space: Grid, things: &[Rect], margin: i32, corners: &[Cell]) -> Option<Grid> {
        let columns = things.iter().map(|thing| (thing.left - margin, thing.right + margin));
        let rows = things.iter().map(|thing| (thing.top - margin, thing.bottom + margin));
        let columns = lines(columns, corners.iter().map(|corner| corner.x))?;
        let rows = lines(rows, corners.iter().map(|corner| corner.y))?;
        columns.len().checked_mul(rows.len()).filter(|n| *n <= MOST_POINTS)?;
        let width = columns.len() + 2;
        let n = width * (rows.len() + 2);
        let Grid { mut points, mut level, mut upright, .. } = space;
        if points.len() < n {
            // With room for a drawing that grows a little at each edit.
            let n = n + n / 8;
            (points, level, upright) = (vec![Ground(0); n], vec![0; n], vec![0; n]);
        }
        points[..n].fill(Ground(0));
        points[..width].fill(Ground(BLOCKED));
        points[n - width..n].fill(Ground(BLOCKED));
        for row in points[..n].chunks_exact_mut(width) {
            (row[0], row[width - 1]) = (Ground(BLOCKED), Ground(BLOCKED));
        }
        Some(Grid { columns, rows, width, points, level, upright })
    }

    pub(super) fn len(&self) -> usize {
        self.width * (self.rows.len() + 2)
    }

    /// The column and row of a point that is not of the border, by number.
    pub(super) fn place(&self, index: usize) -> (usize, usize) {
        // Half as wide numbers take half as long to divide.
        let (index, width) = (index as u32, self.width as u32);
        ((index % width - 1) as usize, (index / width - 1) as usize)
    }

    /// What is on a point.
    pub(super) fn point(&self, index: usize) -> Ground {
        self.points[index]
    }

    /// The point next to another that is not of the border.
    pub(super) fn neighbor(&self, index: usize, side: Side) -> usize {
        match side {
            Side::Up => index - self.width,
            Side::Down => index + self.width,
            Side::Left => index - 1,
            Side::Right => index + 1,
        }
    }

    /// The index of a point, if it is on the grid.
    pub(super) fn index(&self, cell: Cell) -> Option<usize> {
        let (column, row) = (number(&self.columns, cell.x)?, number(&self.rows, cell.y)?);
        Some((row + 1) * self.width + column + 1)
    }

    /// The point at an index that is not of the border.
    pub(super) fn cell(&self, index: usize) -> Cell {
        let (column, row) = self.place(index);
        self.cell_at(column, row)
    }

    /// The point in this column and row.
    pub(super) fn cell_at(&self, column: usize, row: usize) -> Cell {
        Cell::new(self.columns[column], self.rows[row])
    }

    /// The point next to `cell`, which stands in this column and row, on a side where there is one.
    pub(super) fn next(&self, cell: Cell, (column, row): (usize, usize), side: Side) -> Cell {
        match side {
            Side::Up => Cell::new(cell.x, self.rows[row - 1]),
            Side::Down => Cell::new(cell.x, self.rows[row + 1]),
            Side::Left => Cell::new(self.columns[column - 1], cell.y),
            Side::Right => Cell::new(self.columns[column + 1], cell.y),
        }
    }

    /// The columns and the rows within `rect`, by number, the last ones excluded.
    pub(super) fn within(&self, rect: &Rect) -> [(usize, usize); 2] {
        let span = |lines: &[i32], from: i32, to: i32| {
            (not_before(lines, from), not_before(lines, to.saturating_add(1)))
        };
        [span(&self.columns, rect.left, rect.right), span(&self.rows, rect.top, rect.bottom)]
    }

    /// The points of the grid along a path given by its corners, from its start to its end.
    pub(super) fn along(&self, corners: &[Cell]) -> Vec<Cell> {
        let mut cells: Vec<Cell> = corners.first().copied().into_iter().collect();
        for leg in corners.windows(2) {
            let (from, to) = (leg[0], leg[1]);
            let [(left, right), (top, bottom)] = self.within(&Rect::new(from.x, from.y, to.x, to.y));
            let first = cells.len();
            for &y in &self.rows[top..bottom] {
                let level = self.columns[left..right].iter().map(|&x| Cell::new(x, y));
                cells.extend(level.filter(|cell| *cell != from));
            }
            if (to.x, to.y) < (from.x, from.y) {
                cells[first..].reverse();
            }
        }
        cells
    }

    fn each(&self, rect: Rect) -> impl Iterator<Item = usize> + use<> {
        let [(left, right), (top, bottom)] = self.within(&rect);
        let width = self.width;
        (top..bottom).flat_map(move |row| (left..right).map(move |column| (row + 1) * width + column + 1))
    }

    /// Closes every point of `rect` to wires.
    pub(super) fn block(&mut self, rect: Rect) {
        for index in self.each(rect) {
            self.points[index].0 |= BLOCKED;
        }
    }

    /// Makes every point of `rect` dearer by `cost`.
    pub(super) fn avoid(&mut self, rect: Rect, cost: u16) {
        for index in self.each(rect) {
            let point = self.points[index];
            let (bits, sum) = (point.0 & ((1 << COST) - 1), point.cost() + u32::from(cost));
            self.points[index] = Ground(bits | (sum.min(u32::from(u16::MAX)) << COST));
        }
    }

    /// Every point of a path but its ends, with whether the path uses it level and upright.
    fn walk(&self, path: &[Cell]) -> impl Iterator<Item = (usize, bool, bool)> {
        let mut index = path.first().and_then(|first| self.index(*first));
        let width = self.width;
        path.windows(3).filter_map(move |three| {
            let [before, at, after] = [three[0], three[1], three[2]];
            let level_before = before.y == at.y;
            let step = if level_before { 1 } else { width };
            let is_onwards = (before.x, before.y) < (at.x, at.y);
            index = index.map(|index| if is_onwards { index + step } else { index - step });
            let level_after = at.y == after.y;
            let corner = level_before != level_after;
            Some((index?, corner || level_before, corner || !level_before))
        })
    }

    /// Marks the points of `path`, given point by point, as used by `wire`.
    pub(super) fn lay(&mut self, wire: usize, path: &[Cell]) {
        let used: Vec<(usize, bool, bool)> = self.walk(path).collect();
        for (index, level, upright) in used {
            if level && !self.points[index].has(LEVEL) {
                self.level[index] = wire as u32;
                self.points[index].0 |= LEVEL;
                self.points[index - self.width].0 |= LEVEL_COMPANY;
                self.points[index + self.width].0 |= LEVEL_COMPANY;
            }
            if upright && !self.points[index].has(UPRIGHT) {
                self.upright[index] = wire as u32;
                self.points[index].0 |= UPRIGHT;
                self.points[index - 1].0 |= UPRIGHT_COMPANY;
                self.points[index + 1].0 |= UPRIGHT_COMPANY;
            }
        }
    }

    /// Undoes [`Grid::lay`].
    pub(super) fn take_up(&mut self, wire: usize, path: &[Cell]) {
        let used: Vec<(usize, bool, bool)> = self.walk(path).collect();
        for (index, level, upright) in used {
            if level && self.points[index].has(LEVEL) && self.level[index] == wire as u32 {
                self.points[index].0 &= !LEVEL;
                self.leave(index, self.width, LEVEL, LEVEL_COMPANY);
            }
            if upright && self.points[index].has(UPRIGHT) && self.upright[index] == wire as u32 {
                self.points[index].0 &= !UPRIGHT;
                self.leave(index, 1, UPRIGHT, UPRIGHT_COMPANY);
            }
        }
    }

    /// Notes at the points that lie `step` before and after another that nothing runs through that any
    /// more.
    fn leave(&mut self, index: usize, step: usize, bit: u32, company: u32) {
        let has =
            |at: Option<usize>| at.and_then(|at| self.points.get(at)).is_some_and(|point| point.has(bit));
        let farther = [has(index.checked_sub(2 * step)), has(Some(index + 2 * step))];
        for (next, beyond) in [index - step, index + step].into_iter().zip(farther) {
            if !beyond {
                self.points[next].0 &= !company;
            }
        }
    }

    /// The wires that `path` crosses.
    pub(super) fn across(&self, path: &[Cell]) -> BTreeSet<usize> {
        let crossed = |(index, level, upright): (usize, bool, bool)| match (level, upright) {
            (true, false) => self.runs(index, false),
            (false, true) => self.runs(index, true),
            _ => None,
        };
        arrange::set_of(self.walk(path).filter_map(crossed))
    }

    /// The wires that `path` would lie on or touch, rather than cross.
    pub(super) fn in_the_way(&self, path: &[Cell]) -> BTreeSet<usize> {
        let met = |(index, level, upright): (usize, bool, bool)| {
            let level = self.runs(index, true).filter(|_| level);
            let upright = self.runs(index, false).filter(|_| upright);
            level.into_iter().chain(upright)
        };
        arrange::set_of(self.walk(path).flat_map(met))
    }

    /// The wire that runs through a point in the given direction.
    fn runs(&self, index: usize, level: bool) -> Option<usize> {
        let wire = if level { self.level[index] } else { self.upright[index] };
        self.points[index].is_used(level).then_some(wire as usize)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_far_symbol_costs_no_more_ground_than_a_close_one() {
        let symbol = |at: i32| Rect::new(at, at, at + 4, at + 6);
        let grid = Grid::over(Grid::default(), &[symbol(0), symbol(90_000)], 10, &[]).unwrap();
        // With the border around.
        assert_eq!(grid.len(), (2 * 25 + 2) * (2 * 27 + 2));
        let far = grid.index(Cell::new(90_004, 90_006)).unwrap();
        assert_eq!(grid.cell(far), Cell::new(90_004, 90_006));
        assert_eq!(grid.index(Cell::new(500, 0)), None);
    }

    #[test]
    fn too_much_ground_is_refused() {
        let things: Vec<Rect> =
            (0..300).map(|i| Rect::new(i * 100, i * 100, i * 100 + 4, i * 100 + 6)).collect();
        assert!(Grid::over(Grid::default(), &things, 10, &[]).is_none());
    }

    #[test]
    fn a_corner_is_used_both_ways_and_given_back() {
        let mut grid = Grid::over(Grid::default(), &[Rect::new(0, 0, 4, 4)], 2, &[]).unwrap();
        let path: Vec<Cell> = [(0, 0), (1, 0), (2, 0), (2, 1), (2, 2)].map(|(x, y)| Cell::new(x, y)).into();
        grid.lay(7, &path);
        let at = |grid: &Grid, x: i32, y: i32| grid.point(grid.index(Cell::new(x, y)).unwrap());
        let (straight, corner) = (at(&grid, 1, 0), at(&grid, 2, 0));
        assert!(straight.is_used(true) && !straight.is_used(false));
        assert!(corner.is_used(true) && corner.is_used(false));
        assert_eq!(grid.in_the_way(&path), BTreeSet::from([7]));
        grid.take_up(7, &path);
        assert!(at(&grid, 1, 0).is_empty() && at(&grid, 2, 0).is_empty());
    }

    #[test]
    fn a_point_between_two_wires_keeps_company_until_both_are_gone() {
        let mut grid = Grid::over(Grid::default(), &[Rect::new(0, 0, 4, 4)], 2, &[]).unwrap();
        let level = |y: i32| (0..4).map(|x| Cell::new(x, y)).collect::<Vec<Cell>>();
        let has_company = |grid: &Grid| {
            let point = grid.point(grid.index(Cell::new(1, 2)).unwrap());
            assert!(!point.has_company(false));
            point.has_company(true)
        };
        grid.lay(1, &level(1));
        grid.lay(2, &level(3));
        grid.take_up(1, &level(1));
        assert!(has_company(&grid));
        grid.take_up(2, &level(3));
        assert!(!has_company(&grid));
    }
}
