//! Points, rectangles and turns; all in whole numbers, so that every target agrees bit for bit.

use engine::kind::glyph::Side;

/// Hundredths of a millimetre in one grid step: 2.5 mm.
pub const STEP: i32 = 250;

/// A point of the drawing in hundredths of a millimetre; y grows downwards.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Default)]
pub struct Point {
    /// From the left.
    pub x: i32,
    /// From the top.
    pub y: i32,
}

impl Point {
    /// The point `(x, y)`.
    pub const fn new(x: i32, y: i32) -> Point {
        Point { x, y }
    }

    /// This point moved by `(dx, dy)`.
    pub const fn moved(self, dx: i32, dy: i32) -> Point {
        Point { x: self.x + dx, y: self.y + dy }
    }
}

/// A point of the grid, in whole steps.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Default)]
pub struct Cell {
    /// From the left.
    pub x: i32,
    /// From the top.
    pub y: i32,
}

impl Cell {
    /// The grid point `(x, y)`.
    pub const fn new(x: i32, y: i32) -> Cell {
        Cell { x, y }
    }

    /// The grid point `steps` further in the direction of `side`.
    pub const fn towards(self, side: Side, steps: i32) -> Cell {
        let (dx, dy) = direction(side);
        Cell { x: self.x + dx * steps, y: self.y + dy * steps }
    }

    /// The rectangle in steps that holds it alone.
    pub const fn room(self) -> Rect {
        Rect { left: self.x, top: self.y, right: self.x, bottom: self.y }
    }

    /// Where it lies on the drawing.
    pub const fn point(self) -> Point {
        Point { x: self.x * STEP, y: self.y * STEP }
    }

    /// The cell nearest to this one that `fits`, looked for ring by ring; `None` when none does far around.
    pub fn nearest(self, fits: impl Fn(&Cell) -> bool) -> Option<Cell> {
        const FARTHEST: i32 = 400;
        let Cell { x, y } = self;
        (0..FARTHEST).find_map(|ring| {
            let around = (-ring..=ring).flat_map(|d| {
                [
                    Cell::new(x + d, y - ring),
                    Cell::new(x + d, y + ring),
                    Cell::new(x - ring, y + d),
                    Cell::new(x + ring, y + d),
                ]
            });
            around.filter(|at| fits(at)).min_by_key(|at| (at.distance(self), at.y, at.x))
        })
    }

    /// Steps between this and `other`, along the grid.
    pub const fn distance(self, other: Cell) -> i32 {
        (self.x - other.x).abs() + (self.y - other.y).abs()
    }
}

/// The step taken when leaving towards `side`.
pub const fn direction(side: Side) -> (i32, i32) {
    match side {
        Side::Up => (0, -1),
        Side::Down => (0, 1),
        Side::Left => (-1, 0),
        Side::Right => (1, 0),
    }
}

/// The side opposite to `side`.
pub const fn opposite(side: Side) -> Side {
    match side {
        Side::Up => Side::Down,
        Side::Down => Side::Up,
        Side::Left => Side::Right,
        Side::Right => Side::Left,
    }
}

/// A rectangle in hundredths of a millimetre, or in grid steps where said so; the borders belong
/// to it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Rect {
    /// Left border.
    pub left: i32,
    /// Upper border.
    pub top: i32,
    /// Right border, not left of `left`.
    pub right: i32,
    /// Lower border, not above `top`.
    pub bottom: i32,
}

impl Rect {
    /// The rectangle with these borders, put in order.
    pub const fn new(x0: i32, y0: i32, x1: i32, y1: i32) -> Rect {
        let (left, right) = if x0 <= x1 { (x0, x1) } else { (x1, x0) };
        let (top, bottom) = if y0 <= y1 { (y0, y1) } else { (y1, y0) };
        Rect { left, top, right, bottom }
    }

    /// The smallest rectangle around `points`; `None` when there are none.
    pub fn around(points: impl IntoIterator<Item = Point>) -> Option<Rect> {
        points.into_iter().map(|p| Rect::new(p.x, p.y, p.x, p.y)).reduce(Rect::joined)
    }

    /// The smallest rectangle around both.
    pub fn joined(self, other: Rect) -> Rect {
        Rect {
            left: self.left.min(other.left),
            top: self.top.min(other.top),
            right: self.right.max(other.right),
            bottom: self.bottom.max(other.bottom),
        }
    }

    /// This rectangle with every border moved outwards by `by`.
    pub const fn grown(self, by: i32) -> Rect {
        Rect { left: self.left - by, top: self.top - by, right: self.right + by, bottom: self.bottom + by }
    }

    /// This rectangle moved by `(dx, dy)`.
    pub const fn moved(self, dx: i32, dy: i32) -> Rect {
        Rect { left: self.left + dx, top: self.top + dy, right: self.right + dx, bottom: self.bottom + dy }
    }

    /// Whether the insides share a point; touching borders do not count.
    pub const fn overlaps(&self, other: &Rect) -> bool {
        self.left < other.right
            && other.left < self.right
            && self.top < other.bottom
            && other.top < self.bottom
    }

    /// Whether the two share a point, borders included.
    pub const fn meets(&self, other: &Rect) -> bool {
        self.left <= other.right
            && other.left <= self.right
            && self.top <= other.bottom
            && other.top <= self.bottom
    }

    /// Whether `other` lies within, borders included.
    pub const fn holds(&self, other: &Rect) -> bool {
        self.left <= other.left
            && other.right <= self.right
            && self.top <= other.top
            && other.bottom <= self.bottom
    }

    /// Width.
    pub const fn width(&self) -> i32 {
        self.right - self.left
    }

    /// Height.
    pub const fn height(&self) -> i32 {
        self.bottom - self.top
    }

    /// The point in the middle.
    pub const fn center(&self) -> Point {
        Point { x: self.left + (self.right - self.left) / 2, y: self.top + (self.bottom - self.top) / 2 }
    }
}

/// How a symbol is turned: mirrored left to right first, then turned clockwise.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Default)]
pub struct Turn {
    /// Quarter turns clockwise, 0 to 3.
    pub quarters: u8,
    /// Mirrored left to right before turning.
    pub mirrored: bool,
}

impl Turn {
    /// Where the whole-step point `at` of a symbol comes to lie, relative to its anchor.
    pub fn cell(self, at: (i32, i32)) -> (i32, i32) {
        let (mut x, mut y) = at;
        if self.mirrored {
            x = -x;
        }
        for _ in 0..self.quarters % 4 {
            (x, y) = (-y, x);
        }
        (x, y)
    }

    /// Where the point `at` of a symbol, in steps, comes to lie relative to its anchor, in
    /// hundredths of a millimetre.
    pub fn point(self, at: (f64, f64)) -> Point {
        let round = |steps: f64| libm::round(steps * f64::from(STEP)) as i32;
        let (x, y) = self.cell((round(at.0), round(at.1)));
        Point { x, y }
    }

    /// The side to which `side` of the symbol comes to lie.
    pub fn side(self, side: Side) -> Side {
        let mut side = match (self.mirrored, side) {
            (true, Side::Left) => Side::Right,
            (true, Side::Right) => Side::Left,
            (_, other) => other,
        };
        for _ in 0..self.quarters % 4 {
            side = match side {
                Side::Up => Side::Right,
                Side::Right => Side::Down,
                Side::Down => Side::Left,
                Side::Left => Side::Up,
            };
        }
        side
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn four_quarter_turns_are_none() {
        let half = Turn { quarters: 2, mirrored: false };
        assert_eq!(half.cell((3, -1)), (-3, 1));
        assert_eq!(Turn { quarters: 4, mirrored: false }.cell((3, -1)), (3, -1));
    }

    #[test]
    fn sides_turn_with_the_points_on_them() {
        for mirrored in [false, true] {
            for quarters in 0..4 {
                let turn = Turn { quarters, mirrored };
                for side in [Side::Up, Side::Down, Side::Left, Side::Right] {
                    assert_eq!(turn.cell(direction(side)), direction(turn.side(side)), "{turn:?} {side:?}");
                }
            }
        }
    }

    #[test]
    fn touching_rectangles_do_not_overlap() {
        let left = Rect::new(0, 0, 10, 10);
        assert!(!left.overlaps(&Rect::new(10, 0, 20, 10)));
        assert!(left.overlaps(&Rect::new(9, 9, 20, 20)));
    }
}
