//! The outline of a symbol as inert data on a grid.
//!
//! One unit is one grid step: 2.5 mm on the sheet, the module of IEC 60617 symbols.
//! The origin is the symbol's anchor, x grows to the right, y grows downwards.
//! Terminals sit on whole steps.
//! No colors and no pixels live here; what each stroke looks like is for the drawing to decide.

mod shapes;

pub(super) use shapes::*;

/// One stroke or mark of a symbol, in grid steps.
#[derive(Clone, Debug, PartialEq)]
pub enum Mark {
    /// An open line through the points.
    Line(Vec<(f64, f64)>),
    /// A closed outline, not filled.
    Outline(Vec<(f64, f64)>),
    /// A closed filled shape.
    Solid(Vec<(f64, f64)>),
    /// A circle: center and radius.
    Circle((f64, f64), f64),
    /// A half circle: center, radius, and the side towards which it bulges.
    HalfCircle((f64, f64), f64, Side),
    /// A filled circle: center and radius.
    Dot((f64, f64), f64),
    /// A dashed line: a mechanical link, or the border around things that belong together.
    Link(Vec<(f64, f64)>),
    /// A large letter centered on the point that belongs to the symbol (`M`).
    Letter((f64, f64), &'static str),
    /// A short word centered on the point that belongs to the symbol.
    Word((f64, f64), &'static str),
}

/// The side of the symbol on which a terminal leaves it, before turning.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Side {
    /// Towards the supply.
    Up,
    /// Towards the earth.
    Down,
    /// To the left.
    Left,
    /// To the right.
    Right,
}

/// A terminal as it appears in one view of a symbol.
#[derive(Clone, Debug, PartialEq)]
pub struct Pin {
    /// The terminal's name within the part.
    pub terminal: String,
    /// Where a wire meets the symbol, in whole grid steps, on the border of the view's body.
    pub at: (i32, i32),
    /// The direction in which a wire leaves.
    pub side: Side,
    /// Whether the drawing prints the terminal's name; a joint of two wires needs none.
    pub named: bool,
}

impl Pin {
    /// A named terminal on the upper side.
    pub fn up(terminal: &str, x: i32, y: i32) -> Pin {
        Pin { terminal: terminal.to_owned(), at: (x, y), side: Side::Up, named: true }
    }

    /// A named terminal on the lower side.
    pub fn down(terminal: &str, x: i32, y: i32) -> Pin {
        Pin { terminal: terminal.to_owned(), at: (x, y), side: Side::Down, named: true }
    }

    /// The same terminal, its name not printed.
    pub fn unnamed(self) -> Pin {
        Pin { named: false, ..self }
    }
}

/// One of the symbols that stand for a part: a relay has a coil and a contact.
#[derive(Clone, Debug, PartialEq)]
pub struct View {
    /// The name of the view as the job file writes it (`main`, `coil`, `contact`).
    pub name: &'static str,
    /// Strokes of the symbol.
    pub marks: Vec<Mark>,
    /// The terminals this view shows.
    pub pins: Vec<Pin>,
    /// Left, top, right and bottom of the space no wire may cross, in grid steps, border included.
    pub body: (i32, i32, i32, i32),
    /// Whether the pins are one point electrically, so that the drawing may give any of them to
    /// any terminal.
    pub swappable: bool,
}

impl View {
    /// The view `main` with these strokes, terminals and body.
    pub fn main(marks: Vec<Mark>, pins: Vec<Pin>, body: (i32, i32, i32, i32)) -> View {
        View { name: "main", marks, pins, body, swappable: false }
    }

    /// The same view under another name.
    pub fn called(self, name: &'static str) -> View {
        View { name, ..self }
    }
}
