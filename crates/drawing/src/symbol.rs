//! One symbol on the grid: a view of a part with a pose.

use engine::document::{Network, Part, Pose};
use engine::ids::PartId;
use engine::kind::View;
use engine::kind::glyph::{Mark, Side};

use crate::geometry::{Cell, Point, Rect, STEP, Turn};

/// A view of a part where it stands on the drawing.
#[derive(Clone, Debug, PartialEq)]
pub struct Symbol {
    /// Index of the part in the network.
    pub part: usize,
    /// What is shown; a swappable view has its terminals in the order that suits the drawing.
    pub view: View,
    /// Which repetition of the view this is, counted from 0.
    pub instance: u32,
    /// Where its anchor stands.
    pub at: Cell,
    /// How it is turned.
    pub turn: Turn,
    /// Whether the user put it there; then nothing moves it.
    pub pinned: bool,
    /// Whether it stays there even when the drawing is tidied.
    pub kept: bool,
}

/// Which symbol of a drawing: what stays the same while parts come and go.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct SymbolKey {
    /// The part.
    pub part: PartId,
    /// The name of the view.
    pub view: &'static str,
    /// Which repetition of the view, counted from 0.
    pub instance: u32,
}

impl SymbolKey {
    /// The key of a symbol of a part of `network`.
    pub fn of(network: &Network, symbol: &Symbol) -> SymbolKey {
        let part = network.parts[symbol.part].id.clone();
        SymbolKey { part, view: symbol.view.name, instance: symbol.instance }
    }
}

/// A terminal of a symbol where it stands on the drawing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Port {
    /// Where a wire meets the symbol.
    pub at: Cell,
    /// The direction in which a wire leaves.
    pub side: Side,
}

impl Symbol {
    /// A symbol that has no place yet.
    pub fn new(part: usize, view: View, instance: u32) -> Symbol {
        Symbol {
            part,
            view,
            instance,
            at: Cell::default(),
            turn: Turn::default(),
            pinned: false,
            kept: false,
        }
    }

    /// A symbol where the user put it.
    pub fn posed(part: usize, view: View, instance: u32, pose: &Pose) -> Symbol {
        // Beyond this the arithmetic in hundredths of a millimetre would leave its range.
        const FARTHEST: i32 = 100_000;
        let clamp = |steps: i32| steps.clamp(-FARTHEST, FARTHEST);
        Symbol {
            at: Cell::new(clamp(pose.x), clamp(pose.y)),
            turn: Turn { quarters: pose.turn % 4, mirrored: pose.mirrored },
            pinned: true,
            kept: pose.pinned,
            ..Symbol::new(part, view, instance)
        }
    }

    /// The pose as the job file would keep it.
    pub fn pose(&self, part: &Part) -> Pose {
        Pose {
            part: part.id.clone(),
            view: self.view.name.to_owned(),
            x: self.at.x,
            y: self.at.y,
            turn: self.turn.quarters,
            mirrored: self.turn.mirrored,
            pinned: self.kept,
        }
    }

    /// The pin at `index`, relative to the anchor.
    pub fn offset(&self, index: usize) -> Port {
        let pin = &self.view.pins[index];
        let (x, y) = self.turn.cell(pin.at);
        Port { at: Cell::new(x, y), side: self.turn.side(pin.side) }
    }

    /// The pin at `index`, on the grid.
    pub fn port(&self, index: usize) -> Port {
        let Port { at, side } = self.offset(index);
        Port { at: Cell::new(self.at.x + at.x, self.at.y + at.y), side }
    }

    /// The space no foreign wire may cross, in steps relative to the anchor.
    pub fn local_body(&self) -> Rect {
        let (left, top, right, bottom) = self.view.body;
        let (x0, y0) = self.turn.cell((left, top));
        let (x1, y1) = self.turn.cell((right, bottom));
        Rect::new(x0, y0, x1, y1)
    }

    /// The space no foreign wire may cross, in steps.
    pub fn body(&self) -> Rect {
        self.local_body().moved(self.at.x, self.at.y)
    }

    /// The space its strokes take, relative to the anchor, in hundredths of a millimetre.
    pub fn local_ink(&self) -> Rect {
        let around = |center: (f64, f64), radius: f64| {
            vec![
                self.turn.point((center.0 - radius, center.1 - radius)),
                self.turn.point((center.0 + radius, center.1 + radius)),
            ]
        };
        let points = self.view.marks.iter().flat_map(|mark| match mark {
            Mark::Line(points) | Mark::Outline(points) | Mark::Solid(points) | Mark::Link(points) => {
                points.iter().map(|p| self.turn.point(*p)).collect()
            }
            Mark::Circle(center, radius)
            | Mark::Dot(center, radius)
            | Mark::HalfCircle(center, radius, _) => around(*center, *radius),
            Mark::Letter(center, _) | Mark::Word(center, _) => around(*center, 0.0),
        });
        Rect::around(points).unwrap_or(Rect::new(0, 0, 0, 0))
    }

    /// The space its strokes take.
    pub fn ink(&self) -> Rect {
        let Point { x, y } = self.at.point();
        self.local_ink().moved(x, y)
    }
}

/// `rect` in steps as one in hundredths of a millimetre.
pub fn in_sheet_units(rect: Rect) -> Rect {
    Rect::new(rect.left * STEP, rect.top * STEP, rect.right * STEP, rect.bottom * STEP)
}
