//! The view of a session, and what lies at a point of it.

use drawing::geometry::{Point, Rect};
use drawing::hit::{Hit, Reach, hits, middle};
use drawing::scene::ElementId;
use engine::ids::{PartId, TerminalRef};
use engine::subject::Subject;

use super::Session;
use crate::gesture::{Hands, Pointer, Screen};
use crate::view::{Inset, READABLE, View};

/// A view that was moved so that the selected thing is not covered.
#[derive(Clone, Copy, Debug)]
pub(super) struct MovedAside {
    /// What was seen before.
    before: View,
    /// The size of the worktop then.
    roomy: (f64, f64),
    /// What is seen since; once it is something else, the user has moved on.
    now: View,
}

impl Session {
    /// What part of the drawing is seen.
    pub fn view(&self) -> View {
        self.view
    }

    /// Tells the size of the worktop in CSS pixels, and what of it lies below something else.
    ///
    /// What is seen stays where it is, as when details open below the drawing; only when that would
    /// cover the one selected thing, which was seen, the view moves, and goes back as soon as there
    /// is room again, unless it was changed meanwhile. A worktop that changes in both directions is
    /// another one, as when a tablet is turned: then what was in its middle stays there.
    pub fn resize(&mut self, width: f64, height: f64, clear: Inset) {
        let old_size = std::mem::replace(&mut self.size, (width, height));
        let (old_width, old_height) = old_size;
        if old_width <= 0.0 || old_height <= 0.0 {
            return;
        }
        let subject = self.selection.only();
        let selected = subject.and_then(|subject| self.bounds_of(&subject));
        let selected = selected.filter(|bounds| self.view.shows(*bounds, old_size));
        let (before, roomy) = match self.moved_aside.take() {
            Some(aside) if aside.now == self.view => (aside.before, aside.roomy),
            _ => (self.view, old_size),
        };
        if width != old_width && height != old_height {
            let from = Screen { x: old_width / 2.0, y: old_height / 2.0 };
            self.view = self.view.panned(from, self.middle());
            return;
        }
        self.view = before;
        let is_covered = |bounds: &Rect| {
            let end = before.to_screen(Point::new(bounds.right, bounds.bottom));
            let has_shrunk = width < roomy.0 || height < roomy.1;
            has_shrunk && (end.x > width - clear.right || end.y > height - clear.bottom)
        };
        let Some(bounds) = selected.filter(is_covered) else { return };
        let now = self.view.revealing(bounds, self.size, clear);
        // A thing too large for the room that is left is only followed when nothing of it is seen.
        if now.scale == before.scale {
            self.view = now;
        } else if !before.shows(bounds, self.size) {
            self.view = before.panned(before.to_screen(bounds.center()), self.middle());
        }
        if self.view != before {
            self.moved_aside = Some(MovedAside { before, roomy, now: self.view });
        }
    }

    /// The size of the worktop in CSS pixels.
    pub fn size(&self) -> (f64, f64) {
        self.size
    }

    /// Takes over the size of the worktop from another session, which this one takes the place of.
    ///
    /// What touches it stays the same too.
    pub fn take_window(&mut self, other: &Session) {
        self.size = other.size;
        self.machine.hands = other.machine.hands;
    }

    /// Tells what touches the worktop from now on.
    pub fn set_hands(&mut self, hands: Hands) {
        self.machine.hands = hands;
    }

    /// So many pixels for a bare finger, for what touches, as a length on the drawing.
    pub(crate) fn reach(&self, pixels: f64) -> i32 {
        self.view.length(pixels * self.machine.hands.reach())
    }

    /// Whether lifting this pointer now would be a tap.
    pub fn would_tap(&self, pointer: &Pointer) -> bool {
        self.machine.would_tap(pointer)
    }

    /// The middle of the worktop.
    pub(crate) fn middle(&self) -> Screen {
        Screen { x: self.size.0 / 2.0, y: self.size.1 / 2.0 }
    }

    /// Shows the whole drawing; an empty one at a comfortable size.
    pub fn show_all(&mut self) {
        self.show_all_with(None);
    }

    /// The same with what is laid over the drawing, such as readings, which takes this space.
    pub fn show_all_with(&mut self, marks: Option<Rect>) {
        let bounds = self.scene().bounds().into_iter().chain(marks).reduce(Rect::joined);
        self.view = View::whole(bounds.unwrap_or(Rect::new(0, 0, 0, 0)), self.size, Inset::default());
        self.whole = Some(self.view);
    }

    /// Whether the view is still the one in which the whole drawing was shown.
    pub fn shows_all(&self) -> bool {
        self.whole == Some(self.view)
    }

    /// Shows the drawing larger by `factor`, or smaller, about the middle of the worktop.
    pub fn zoom(&mut self, factor: f64) {
        self.view = self.view.zoomed(factor, self.middle());
    }

    /// Moves the view, and only if needed makes it smaller, so that `subject` is seen where
    /// nothing covers the worktop.
    pub fn reveal(&mut self, subject: &Subject, clear: Inset) {
        if let Some(bounds) = self.bounds_of(subject) {
            self.view = self.view.revealing(bounds, self.size, clear);
        }
    }

    /// Moves the view so that `subject` is seen in the middle of where nothing covers the worktop, at
    /// a size at which it can be read. Of what is too large for that, a piece is seen there: the
    /// longest leg of a wire, the first symbol of a part.
    pub fn center(&mut self, subject: &Subject, clear: Inset) {
        let Some(bounds) = self.bounds_of(subject) else { return };
        let piece = match subject {
            Subject::Wire(wire) => middle(self.scene(), wire).map(|at| Rect::new(at.x, at.y, at.x, at.y)),
            Subject::Part(part) => self.bodies_of_part(part).next(),
            Subject::Terminal(_) | Subject::Net(_) => None,
        };
        let smaller = View { scale: READABLE, ..self.view };
        let at = piece.unwrap_or(bounds).center();
        let found = (self.view.centered(bounds, self.size, clear))
            .or_else(|| smaller.centered(piece?, self.size, clear))
            .or_else(|| smaller.centered(Rect::new(at.x, at.y, at.x, at.y), self.size, clear));
        self.view = found.unwrap_or(self.view);
    }

    /// The space that something takes on the drawing; `None` when it is not drawn.
    fn bounds_of(&self, subject: &Subject) -> Option<Rect> {
        match subject {
            Subject::Part(part) => self.bounds_of_part(part),
            Subject::Wire(wire) => {
                self.scene().element(&ElementId::Wire(wire.clone())).and_then(|wire| wire.bounds())
            }
            Subject::Terminal(terminal) | Subject::Net(terminal) => {
                self.terminal_point(terminal, None).map(|at| Rect::new(at.x, at.y, at.x, at.y))
            }
        }
    }

    /// The space that the symbols of a part take.
    pub(crate) fn bounds_of_part(&self, id: &PartId) -> Option<Rect> {
        self.bodies_of_part(id).reduce(Rect::joined)
    }

    fn bodies_of_part(&self, id: &PartId) -> impl Iterator<Item = Rect> {
        let symbols = self
            .scene()
            .elements()
            .iter()
            .filter(move |element| matches!(&element.id, ElementId::Symbol(part, ..) if part == id));
        symbols.filter_map(|symbol| symbol.body.or_else(|| symbol.bounds()))
    }

    /// Where a terminal is met; of several places the nearest to `near`.
    pub(crate) fn terminal_point(&self, terminal: &TerminalRef, near: Option<Point>) -> Option<Point> {
        let contacts = self.scene().elements().iter().flat_map(|element| &element.contacts);
        let points = contacts.filter(|contact| contact.terminal == *terminal).flat_map(|one| &one.points);
        let far = |point: &&Point| near.map_or(0, |near| squared(near, **point));
        points.min_by_key(far).copied()
    }

    /// What lies within so many pixels of a point of the screen, more with gloves: of terminals, symbols, wires.
    pub(crate) fn hits(&self, at: Screen, terminal: f64, symbol: f64, wire: f64) -> Vec<Hit> {
        let reach =
            Reach { terminal: self.reach(terminal), symbol: self.reach(symbol), wire: self.reach(wire) };
        hits(self.scene(), self.view.to_drawing(at), reach)
    }
}

/// The square of the distance of two points.
pub(crate) fn squared(a: Point, b: Point) -> i64 {
    let (dx, dy) = (i64::from(a.x) - i64::from(b.x), i64::from(a.y) - i64::from(b.y));
    dx * dx + dy * dy
}
