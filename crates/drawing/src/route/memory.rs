//! What a search knows, and which points it looks at next.

use super::grid::Grid;

/// What a search knows of a point entered in one direction: the least cost so far, and in the three
/// lowest bits the direction before the last step, or [`AT_START`].
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Known(u32);

/// In place of a direction: the path begins here.
pub(super) const AT_START: usize = 4;

impl Known {
    /// What is not known costs more than anything that is.
    const NOTHING: Known = Known(u32::MAX);

    pub(super) fn new(cost: u32, came: usize) -> Known {
        Known(cost << 3 | came as u32)
    }

    pub(super) fn cost(self) -> u32 {
        self.0 >> 3
    }

    pub(super) fn came(self) -> usize {
        (self.0 & 7) as usize
    }
}

/// The memory of searches, kept from one to the next so that it need not be made again.
#[derive(Clone, Debug, Default)]
pub(crate) struct Memory {
    /// The ground of the last drawing, for its space.
    pub(super) grid: Grid,
    /// What is known, by point and direction, with all bits turned over: new memory comes as noughts,
    /// and they stand for nothing. So does everything between two searches.
    known: Vec<[u32; 4]>,
    /// The points and directions of which something is known, each as one number.
    noted: Vec<u32>,
    /// Cost so far and point with direction, by the least cost that the whole path can have; costs
    /// are small whole numbers, so this is a list of lists.
    queue: Vec<Vec<(u32, u32)>>,
    /// The cost for which the first list of the queue stands.
    base: u32,
    /// The first list that may hold something.
    first: usize,
    /// How many lists have held something.
    n_lists: usize,
}

impl Memory {
    /// Makes room for so many points.
    pub(super) fn make_room(&mut self, n_points: usize) {
        if self.known.len() < n_points {
            self.known = vec![[0; 4]; n_points + n_points / 8];
        }
    }

    /// Begins a search in which no whole path costs less than `base`.
    pub(super) fn begin(&mut self, base: u32) {
        (self.base, self.first, self.n_lists) = (base, 0, 0);
    }

    pub(super) fn known(&self, index: usize, way: usize) -> Known {
        Known(!self.known[index][way])
    }

    /// Notes a way to a point; with it the whole path costs `whole` at the least.
    pub(super) fn note(&mut self, index: usize, way: usize, known: Known, whole: u32) {
        let state = (index * 4 + way) as u32;
        if self.known(index, way) == Known::NOTHING {
            self.noted.push(state);
        }
        self.known[index][way] = !known.0;
        let list = whole.saturating_sub(self.base) as usize;
        // In haste the way ahead counts double, and a step straight on makes the whole path look cheaper.
        self.first = self.first.min(list);
        if self.queue.len() <= list {
            self.queue.resize(list + 1, Vec::new());
        }
        self.n_lists = self.n_lists.max(list + 1);
        self.queue[list].push((known.cost(), state));
    }

    /// The cost, the point and the direction that look best; of equally good ones the last.
    pub(super) fn next(&mut self) -> Option<(u32, usize, usize)> {
        while self.first < self.n_lists {
            let Some((cost, state)) = self.queue[self.first].pop() else {
                self.first += 1;
                continue;
            };
            let (index, way) = (state as usize / 4, state as usize % 4);
            if self.known(index, way).cost() >= cost {
                return Some((cost, index, way));
            }
        }
        None
    }

    /// Forgets everything, after a search.
    pub(super) fn forget(&mut self) {
        for state in self.noted.drain(..) {
            self.known[state as usize / 4][state as usize % 4] = 0;
        }
        self.queue[self.first.min(self.n_lists)..self.n_lists].iter_mut().for_each(Vec::clear);
    }
}
