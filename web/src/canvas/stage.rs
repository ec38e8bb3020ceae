//! Moving the view. While fingers are at it, what is painted already is moved as it is, as one picture: the browser then
//! neither lays out nor paints anything, however much is drawn. Once they rest, the drawing is painted at its new place.

use std::cell::{Cell, OnceCell};
use std::rc::{Rc, Weak};
use std::time::Duration;

use editor::{Density, View};
use engine::quantity::fixed;
use leptos::prelude::set_timeout;

use super::layer::set;

/// How far the drawing is painted beyond each edge of the worktop, in pixels; the style of the drawing says the same.
const BEYOND: f64 = 320.0;

/// The picture may be shown so much larger than it was painted, and so much smaller: beyond that it is painted anew.
const STRETCH: (f64, f64) = (0.5, 2.5);

/// A drawing of more elements takes longer to paint than fingers wait for. It is painted only when they rest; until then
/// it is seen as coarse, and as far, as it was painted before.
const LARGE: usize = 1000;

/// How long fingers must rest until the drawing is painted anew.
const REST: Duration = Duration::from_millis(150);

/// The group that is the view, and what is around the drawing.
pub struct Stage {
    /// What is around the drawing: moved by itself the drawing would have all its lettering laid out anew.
    frame: web_sys::HtmlElement,
    /// The groups that are the view: of the drawing, and of what is held above it.
    groups: [web_sys::Element; 3],
    /// The view as it is painted, and as it is seen.
    painted: Cell<View>,
    seen: Cell<View>,
    is_large: Cell<bool>,
    /// Whether the picture has been moved since it was painted, and since the waiting began.
    is_moved: Cell<bool>,
    has_moved: Cell<bool>,
    is_waiting: Cell<bool>,
    /// For what happens later.
    own: OnceCell<Weak<Stage>>,
}

impl Stage {
    /// The view in these groups, of the drawing that is in this frame and of what is held above it.
    pub fn new(frame: web_sys::HtmlElement, groups: [web_sys::Element; 3]) -> Rc<Stage> {
        let stage = Rc::new(Stage {
            frame,
            groups,
            painted: Cell::new(View::new()),
            seen: Cell::new(View::new()),
            is_large: Cell::new(false),
            is_moved: Cell::new(false),
            has_moved: Cell::new(false),
            is_waiting: Cell::new(false),
            own: OnceCell::new(),
        });
        let _ = stage.own.set(Rc::downgrade(&stage));
        stage
    }

    /// Pixels to a millimetre, as it is painted.
    pub fn scale(&self) -> f64 {
        self.painted.get().scale
    }

    /// How much lettering is shown.
    pub fn density(&self) -> Density {
        Density::at(self.painted.get().scale)
    }

    /// Whether the drawing is one that takes long to paint.
    pub fn is_large(&self) -> bool {
        self.is_large.get()
    }

    /// The drawing has so many elements.
    pub fn holds(&self, n_elements: usize) {
        if self.is_large.replace(n_elements > LARGE) != (n_elements > LARGE) {
            self.dress();
        }
    }

    /// Shows this view of a worktop of this size; as moved by fingers that may go on.
    pub fn move_to(&self, view: View, size: (f64, f64)) {
        self.seen.set(view);
        let painted = self.painted.get();
        if !self.is_large.get() && !reaches(&painted, &view, size) {
            return self.paint(view);
        }
        let (scale, x, y) = between(&painted, &view);
        let [scale, x, y] = [(scale, 9), (x, 3), (y, 3)].map(|(number, decimals)| fixed(number, decimals));
        self.transform(&format!("matrix({scale},0,0,{scale},{x},{y})"));
        self.is_moved.set(true);
        self.has_moved.set(true);
        if !self.is_waiting.replace(true) {
            self.wait();
        }
    }

    /// Paints this view.
    pub fn paint(&self, view: View) {
        self.seen.set(view);
        if self.is_moved.replace(false) {
            self.transform("none");
        }
        self.painted.set(view);
        let View { scale, left, top } = view;
        let place = [(scale, 9), (BEYOND - left * scale, 3), (BEYOND - top * scale, 3)];
        let [scale, x, y] = place.map(|(number, decimals)| fixed(number, decimals));
        let transform = format!("matrix({scale} 0 0 {scale} {x} {y})");
        self.groups.iter().for_each(|group| set(group, "transform", &transform));
        self.dress();
    }

    /// Sets the style for how much lettering is shown. That of everything depends on it, so it is only set when it differs.
    fn dress(&self) {
        let large = if self.is_large.get() { " large" } else { "" };
        let class = format!("{}{large}", self.density().class());
        for group in &self.groups {
            if group.get_attribute("class").as_ref() != Some(&class) {
                set(group, "class", &class);
            }
        }
    }

    /// Paints what is seen, when it was only moved so far.
    pub fn settle(&self) {
        if self.is_moved.get() {
            self.paint(self.seen.get());
        }
    }

    fn transform(&self, transform: &str) {
        // Without it the drawing is seen where it was painted, until it is painted anew.
        let _ = self.frame.style().set_property("transform", transform);
    }

    fn wait(&self) {
        self.has_moved.set(false);
        let own = self.own.get().cloned().unwrap_or_default();
        let look = move || {
            let Some(stage) = own.upgrade() else { return };
            if stage.has_moved.get() {
                stage.wait();
            } else {
                stage.is_waiting.set(false);
                stage.settle();
            }
        };
        let look: Box<dyn FnOnce()> = Box::new(look);
        set_timeout(look, REST);
    }
}

/// How the picture of one view has to be moved to show another: larger by how much, then to where, in pixels.
fn between(painted: &View, seen: &View) -> (f64, f64, f64) {
    let (x, y) = ((painted.left - seen.left) * seen.scale, (painted.top - seen.top) * seen.scale);
    (seen.scale / painted.scale, x, y)
}

/// Whether the picture of one view, moved to show another, covers the worktop and is fine enough.
fn reaches(painted: &View, seen: &View, (width, height): (f64, f64)) -> bool {
    let (scale, x, y) = between(painted, seen);
    let covers = |at: f64, length: f64| {
        let (low, high) = (at - BEYOND * scale, at + (length + BEYOND) * scale);
        low <= 0.0 && high >= length
    };
    (STRETCH.0..=STRETCH.1).contains(&scale) && covers(x, width) && covers(y, height)
}
