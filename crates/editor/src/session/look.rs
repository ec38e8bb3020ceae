//! The view of a session, and what lies at a point of it.

use drawing::geometry::{Point, Rect};
use drawing::hit::{Hit, Reach, hits};
use drawing::scene::ElementId;
use engine::ids::{PartId, TerminalRef};
use engine::subject::Subject;

use super::Session;
use crate::gesture::Screen;
use crate::view::{Inset, View};

impl Session {
    /// What part of the drawing is seen.
    pub fn view(&self) -> View {
        self.view
    }

    /// Tells the size of the worktop in CSS pixels. What is in its middle stays there.
    pub fn resize(&mut self, width: f64, height: f64) {
        let (old_width, old_height) = self.size;
        self.size = (width, height);
        if old_width > 0.0 && old_height > 0.0 {
            let from = Screen { x: old_width / 2.0, y: old_height / 2.0 };
            self.view = self.view.panned(from, self.middle());
        }
    }

    /// Takes over the size of the worktop from another session, which this one takes the place of.
    pub fn take_window(&mut self, other: &Session) {
        self.size = other.size;
    }

    /// The middle of the worktop.
    pub(crate) fn middle(&self) -> Screen {
        Screen { x: self.size.0 / 2.0, y: self.size.1 / 2.0 }
    }

    /// Shows the whole drawing; an empty one at a comfortable size.
    pub fn show_all(&mut self) {
        let bounds = self.scene().bounds().unwrap_or(Rect::new(0, 0, 0, 0));
        self.view = View::whole(bounds, self.size, Inset::default());
    }

    /// Shows the drawing larger by `factor`, or smaller, about the middle of the worktop.
    pub fn zoom(&mut self, factor: f64) {
        self.view = self.view.zoomed(factor, self.middle());
    }

    /// Moves the view, and only if needed makes it smaller, so that `subject` is seen where
    /// nothing covers the worktop.
    pub fn reveal(&mut self, subject: &Subject, clear: Inset) {
        let bounds = match subject {
            Subject::Part(part) => self.bounds_of_part(part),
            Subject::Wire(wire) => {
                self.scene().element(&ElementId::Wire(wire.clone())).and_then(|wire| wire.bounds())
            }
            Subject::Terminal(terminal) | Subject::Net(terminal) => {
                self.terminal_point(terminal, None).map(|at| Rect::new(at.x, at.y, at.x, at.y))
            }
        };
        if let Some(bounds) = bounds {
            self.view = self.view.revealing(bounds, self.size, clear);
        }
    }

    /// The space that the symbols of a part take.
    pub(crate) fn bounds_of_part(&self, id: &PartId) -> Option<Rect> {
        let symbols = self
            .scene()
            .elements()
            .iter()
            .filter(|element| matches!(&element.id, ElementId::Symbol(part, ..) if part == id));
        symbols.filter_map(|symbol| symbol.body.or_else(|| symbol.bounds())).reduce(Rect::joined)
    }

    /// Where a terminal is met; of several places the nearest to `near`.
    pub(crate) fn terminal_point(&self, terminal: &TerminalRef, near: Option<Point>) -> Option<Point> {
        let contacts = self.scene().elements().iter().flat_map(|element| &element.contacts);
        let points = contacts.filter(|contact| contact.terminal == *terminal).flat_map(|one| &one.points);
        let far = |point: &&Point| near.map_or(0, |near| squared(near, **point));
        points.min_by_key(far).copied()
    }

    /// What lies within so many pixels of a point of the screen: of terminals, symbols, wires.
    pub(crate) fn hits(&self, at: Screen, terminal: f64, symbol: f64, wire: f64) -> Vec<Hit> {
        let reach = Reach {
            terminal: self.view.length(terminal),
            symbol: self.view.length(symbol),
            wire: self.view.length(wire),
        };
        hits(self.scene(), self.view.to_drawing(at), reach)
    }
}

/// The square of the distance of two points.
pub(crate) fn squared(a: Point, b: Point) -> i64 {
    let (dx, dy) = (i64::from(a.x) - i64::from(b.x), i64::from(a.y) - i64::from(b.y));
    dx * dx + dy * dy
}
