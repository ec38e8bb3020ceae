//! Which piece of the drawing is seen, and how large.

use drawing::geometry::{Point, Rect};

use crate::gesture::Screen;

/// Smallest and largest scale, in pixels a millimetre. At the smaller a symbol is a few pixels
/// high; at the larger it fills a telephone.
pub const SCALES: (f64, f64) = (0.25, 40.0);

/// The scale of an empty drawing, and the largest to which a small drawing is shown whole: a
/// symbol is then as high as a thumb is wide.
const COMFORTABLE: f64 = 6.0;

/// The smallest scale at which lettering is read with ease.
pub(crate) const READABLE: f64 = 4.0;

/// Pixels kept free around a drawing that is shown whole.
const MARGIN: f64 = 32.0;

/// What part of the drawing the worktop shows.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct View {
    /// Pixels a millimetre.
    pub scale: f64,
    /// Millimetres from the left of the drawing to the left edge of the worktop.
    pub left: f64,
    /// Millimetres from the top of the drawing to the upper edge of the worktop.
    pub top: f64,
}

/// What of the worktop lies below something else, such as a drawer, in pixels from each edge.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct Inset {
    /// From the left edge.
    pub left: f64,
    /// From the upper edge.
    pub top: f64,
    /// From the right edge.
    pub right: f64,
    /// From the lower edge.
    pub bottom: f64,
}

impl View {
    /// The view of a worktop before anything is known of it.
    pub fn new() -> View {
        View { scale: COMFORTABLE, left: 0.0, top: 0.0 }
    }

    /// The point of the drawing below a point of the screen.
    pub fn to_drawing(&self, at: Screen) -> Point {
        // Far outside of every drawing the nearest whole number still is right.
        let whole = |millimetres: f64| (millimetres * 100.0).round() as i32;
        Point::new(whole(self.left + at.x / self.scale), whole(self.top + at.y / self.scale))
    }

    /// Where a point of the drawing is seen.
    pub fn to_screen(&self, point: Point) -> Screen {
        Screen {
            x: (f64::from(point.x) / 100.0 - self.left) * self.scale,
            y: (f64::from(point.y) / 100.0 - self.top) * self.scale,
        }
    }

    /// How much of the drawing, in hundredths of a millimetre, so many pixels cover.
    pub fn length(&self, pixels: f64) -> i32 {
        (pixels / self.scale * 100.0).round() as i32
    }

    /// This view moved so that what was seen at `from` is seen at `to`.
    pub fn panned(&self, from: Screen, to: Screen) -> View {
        View {
            left: self.left - (to.x - from.x) / self.scale,
            top: self.top - (to.y - from.y) / self.scale,
            ..*self
        }
    }

    /// This view larger by `factor`, with what is seen at `at` staying there.
    pub fn zoomed(&self, factor: f64, at: Screen) -> View {
        let wanted = self.scale * factor;
        let scale = if wanted.is_finite() { wanted.clamp(SCALES.0, SCALES.1) } else { self.scale };
        View {
            scale,
            left: self.left + at.x / self.scale - at.x / scale,
            top: self.top + at.y / self.scale - at.y / scale,
        }
    }

    /// The view in which `bounds` is seen whole in the middle of a worktop of this size, what
    /// `covered` says left out.
    pub(crate) fn whole(bounds: Rect, (width, height): (f64, f64), covered: Inset) -> View {
        let free = (width - covered.left - covered.right, height - covered.top - covered.bottom);
        let fits =
            |free: f64, length: i32| (free - 2.0 * MARGIN).max(1.0) / (f64::from(length.max(1)) / 100.0);
        let scale = fits(free.0, bounds.width()).min(fits(free.1, bounds.height()));
        let scale = scale.min(COMFORTABLE).clamp(SCALES.0, SCALES.1);
        let middle = bounds.center();
        let at = Screen { x: covered.left + free.0 / 2.0, y: covered.top + free.1 / 2.0 };
        View {
            scale,
            left: f64::from(middle.x) / 100.0 - at.x / scale,
            top: f64::from(middle.y) / 100.0 - at.y / scale,
        }
    }

    /// This view with `bounds` in the middle of what `covered` leaves free of a worktop of this size:
    /// as large as it is now if that is enough to read by and `bounds` fits, else larger or smaller,
    /// but never too small to be read. `None` when even so it does not fit.
    pub(crate) fn centered(&self, bounds: Rect, (width, height): (f64, f64), covered: Inset) -> Option<View> {
        let free = (width - covered.left - covered.right, height - covered.top - covered.bottom);
        let fits =
            |free: f64, length: i32| (free - 2.0 * MARGIN).max(1.0) / (f64::from(length.max(1)) / 100.0);
        let most = fits(free.0, bounds.width()).min(fits(free.1, bounds.height()));
        let scale = self.scale.max(READABLE).min(most.max(READABLE));
        let middle = bounds.center();
        let at = Screen { x: covered.left + free.0 / 2.0, y: covered.top + free.1 / 2.0 };
        let view = View {
            scale,
            left: f64::from(middle.x) / 100.0 - at.x / scale,
            top: f64::from(middle.y) / 100.0 - at.y / scale,
        };
        (scale <= most).then_some(view)
    }

    /// Whether any of `bounds` lies within a worktop of this size.
    pub(crate) fn shows(&self, bounds: Rect, (width, height): (f64, f64)) -> bool {
        let low = self.to_screen(Point::new(bounds.left, bounds.top));
        let high = self.to_screen(Point::new(bounds.right, bounds.bottom));
        low.x < width && high.x > 0.0 && low.y < height && high.y > 0.0
    }

    /// This view moved, and only if there is no other way made smaller, so that `bounds` lies in
    /// what `covered` leaves free of a worktop of this size.
    pub(crate) fn revealing(&self, bounds: Rect, (width, height): (f64, f64), covered: Inset) -> View {
        let free = (width - covered.left - covered.right, height - covered.top - covered.bottom);
        let span = (f64::from(bounds.width()) / 100.0, f64::from(bounds.height()) / 100.0);
        let room = |free: f64| (free - 2.0 * MARGIN).max(1.0);
        if span.0 * self.scale > room(free.0) || span.1 * self.scale > room(free.1) {
            return View::whole(bounds, (width, height), covered);
        }
        let (low, high) = (
            self.to_screen(Point::new(bounds.left, bounds.top)),
            self.to_screen(Point::new(bounds.right, bounds.bottom)),
        );
        // No further than needed, so that the eye keeps hold of what it saw.
        let shift = |low: f64, high: f64, least: f64, most: f64| {
            if low < least {
                least - low
            } else if high > most {
                most - high
            } else {
                0.0
            }
        };
        let dx = shift(low.x, high.x, covered.left + MARGIN, width - covered.right - MARGIN);
        let dy = shift(low.y, high.y, covered.top + MARGIN, height - covered.bottom - MARGIN);
        self.panned(Screen { x: 0.0, y: 0.0 }, Screen { x: dx, y: dy })
    }
}

impl Default for View {
    fn default() -> View {
        View::new()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const VIEW: View = View { scale: 4.0, left: 10.0, top: -5.0 };

    fn screen(x: f64, y: f64) -> Screen {
        Screen { x, y }
    }

    #[test]
    fn drawing_and_screen_turn_into_one_another() {
        let point = VIEW.to_drawing(screen(40.0, 80.0));
        assert_eq!(point, Point::new(2000, 1500));
        assert_eq!(VIEW.to_screen(point), screen(40.0, 80.0));
        assert_eq!(VIEW.length(22.0), 550);
    }

    #[test]
    fn what_is_below_the_fingers_stays_there() {
        for factor in [0.5, 3.0, 1e6, 0.0] {
            let zoomed = VIEW.zoomed(factor, screen(100.0, 60.0));
            assert_eq!(
                zoomed.to_drawing(screen(100.0, 60.0)),
                VIEW.to_drawing(screen(100.0, 60.0)),
                "{factor}"
            );
            assert!((SCALES.0..=SCALES.1).contains(&zoomed.scale));
        }
        assert_eq!(VIEW.zoomed(f64::NAN, screen(1.0, 1.0)), VIEW);
    }

    #[test]
    fn a_drawing_shown_whole_lies_in_the_free_part() {
        let bounds = Rect::new(-5000, 200, 25_000, 9000);
        let covered = Inset { bottom: 200.0, right: 90.0, ..Inset::default() };
        let view = View::whole(bounds, (800.0, 600.0), covered);
        let (low, high) = (view.to_screen(Point::new(-5000, 200)), view.to_screen(Point::new(25_000, 9000)));
        assert!(low.x >= 31.9 && low.y >= 31.9 && high.x <= 678.1 && high.y <= 368.1, "{low:?} {high:?}");
    }

    #[test]
    fn what_is_centered_lies_in_the_middle_of_the_free_part_and_can_be_read() {
        let (size, covered) = ((800.0, 600.0), Inset { bottom: 100.0, ..Inset::default() });
        let far = Rect::new(90_000, 0, 91_000, 1000);
        let view = VIEW.centered(far, size, covered).unwrap();
        assert_eq!((view.scale, view.to_screen(far.center())), (VIEW.scale, screen(400.0, 250.0)));
        let small = View { scale: 0.5, ..VIEW }.centered(far, size, covered).unwrap();
        assert_eq!((small.scale, small.to_screen(far.center())), (READABLE, screen(400.0, 250.0)));
        // As small as it must be to be seen whole, but no smaller than can be read.
        let large = View { scale: 20.0, ..VIEW };
        let wide = Rect::new(0, 0, 8000, 1000);
        assert_eq!(large.centered(wide, size, covered).map(|view| view.scale), Some(9.2));
        assert_eq!(large.centered(Rect::new(0, 0, 80_000, 1000), size, covered), None);
    }

    #[test]
    fn what_is_seen_already_is_not_moved() {
        let size = (400.0, 300.0);
        let seen = Rect::new(2000, 1000, 3000, 2000);
        assert_eq!(VIEW.revealing(seen, size, Inset::default()), VIEW);
        let below = VIEW.revealing(seen, size, Inset { bottom: 150.0, ..Inset::default() });
        assert_eq!(below.scale, VIEW.scale);
        assert!(below.to_screen(Point::new(3000, 2000)).y <= 300.0 - 150.0 - 31.9);
        let far = Rect::new(90_000, 0, 91_000, 1000);
        let moved = VIEW.revealing(far, size, Inset::default());
        assert!(moved.scale == VIEW.scale && moved.to_screen(Point::new(91_000, 1000)).x < 400.0);
        let large = VIEW.revealing(Rect::new(0, 0, 100_000, 1000), size, Inset::default());
        assert!(large.scale < VIEW.scale);
    }
}
