//! The outline of a symbol as inert data on a grid.
//!
//! One unit is one grid step: 2.5 mm on the sheet. The origin is the part's anchor, x grows to
//! the right, y grows downwards. Terminals sit on whole steps. No colors and no pixels live here;
//! what each stroke looks like is for the drawing to decide.

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
    /// A filled circle: center and radius.
    Dot((f64, f64), f64),
    /// A dashed line (a mechanical link).
    Link(Vec<(f64, f64)>),
    /// A short text centered on the point, for letters that belong to the symbol (`M`).
    Letter((f64, f64), &'static str),
}

/// The side of the symbol on which a terminal leaves it, before turning.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
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
    /// Where a wire meets the symbol, in whole grid steps.
    pub at: (i32, i32),
    /// The direction in which a wire leaves.
    pub side: Side,
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
    /// Left, top, right and bottom of the space no wire may cross, in grid steps.
    pub body: (i32, i32, i32, i32),
}

/// A plain box with terminals along its top and bottom edges, two steps apart: the symbol of a
/// part for which the trade has no other.
pub fn block(name: &'static str, up: &[String], down: &[String]) -> View {
    let columns = up.len().max(down.len()).max(1) as i32;
    let right = 2 * (columns - 1) + 1;
    let row = |names: &[String], y: i32, side: Side| -> Vec<Pin> {
        names
            .iter()
            .enumerate()
            .map(|(i, name)| Pin { terminal: name.clone(), at: (2 * i as i32, y), side })
            .collect()
    };
    let mut pins = row(up, -2, Side::Up);
    pins.extend(row(down, 2, Side::Down));
    let mut marks = vec![Mark::Outline(vec![
        (-1.0, -1.0),
        (f64::from(right), -1.0),
        (f64::from(right), 1.0),
        (-1.0, 1.0),
    ])];
    for pin in &pins {
        let (x, y) = (f64::from(pin.at.0), f64::from(pin.at.1));
        marks.push(Mark::Line(vec![(x, y), (x, y / 2.0)]));
    }
    View { name, marks, pins, body: (-1, -2, right, 2) }
}
