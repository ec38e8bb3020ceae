//! Routes as lines. What a route leads along or through is told by the pattern of its line, by a mark on its middle and
//! by two letters, never by color.

use engine::document::{Plan, Route, RouteKind};
use engine::given::Given;
use engine::quantity::{Metres, Quantity, Unit};
use svg::node::Node;
use svg::node::element::Element as Tag;

use super::{INK, LIT, PAPER, number};
use crate::geometry::{Point, Rect};

/// The letters of a kind, as the legend explains them.
pub fn letters(kind: RouteKind) -> &'static str {
    match kind {
        RouteKind::AlongChassis => "CH",
        RouteKind::InConduit => "CO",
        RouteKind::ThroughBulkhead => "BH",
        RouteKind::OverHinge => "HI",
    }
}

/// How long a route is, `≈` where that is only how far its places lie apart on the plan.
pub fn length_words(plan: &Plan, route: &Route) -> String {
    let metres = |m: Metres| Quantity::new(m.get(), Unit::Metre).map_or_else(String::new, |m| m.to_string());
    match route.length {
        Given::Known(m) => metres(m),
        Given::Between(low, high) => {
            format!("{} to {}", engine::quantity::three_figures(low.get()), metres(high))
        }
        Given::NotKnown => plan.apart(route).map_or_else(String::new, |m| format!("≈ {}", metres(m))),
    }
}

/// Where a route lies.
pub struct Way {
    from: Point,
    to: Point,
    /// The point its curve bends towards; between its ends when it is straight.
    bend: Point,
    /// Its middle.
    pub middle: Point,
    /// Along it at its middle, of length 1.
    along: (f64, f64),
}

impl Way {
    /// Between two places; `aside` keeps routes between the same places apart.
    pub fn new(from: Point, to: Point, aside: i32) -> Way {
        let (dx, dy) = (f64::from(to.x) - f64::from(from.x), f64::from(to.y) - f64::from(from.y));
        let far = libm::sqrt(dx * dx + dy * dy);
        let along = if far > 0.0 { (dx / far, dy / far) } else { (1.0, 0.0) };
        let center = Point::new(i32::midpoint(from.x, to.x), i32::midpoint(from.y, to.y));
        let aside = f64::from(aside);
        let off = |by: f64| center.moved((-along.1 * by) as i32, (along.0 * by) as i32);
        Way { from, to, bend: off(2.0 * aside), middle: off(aside), along }
    }

    fn path(&self) -> String {
        let at = |point: Point| format!("{} {}", number(point.x), number(point.y));
        if self.bend == self.middle {
            format!("M{}L{}", at(self.from), at(self.to))
        } else {
            format!("M{}Q{} {}", at(self.from), at(self.bend), at(self.to))
        }
    }

    /// The points along it, its curve broken into short lines.
    pub fn points(&self) -> Vec<Point> {
        const STEPS: i32 = 12;
        if self.bend == self.middle {
            return vec![self.from, self.to];
        }
        let at = |step: i32| {
            let t = f64::from(step) / f64::from(STEPS);
            let mix = |a: i32, b: i32, c: i32| {
                let [a, b, c] = [a, b, c].map(f64::from);
                libm::round((1.0 - t) * (1.0 - t) * a + 2.0 * t * (1.0 - t) * b + t * t * c) as i32
            };
            Point::new(mix(self.from.x, self.bend.x, self.to.x), mix(self.from.y, self.bend.y, self.to.y))
        };
        (0..=STEPS).map(at).collect()
    }

    /// The point that lies `along` beyond the middle and `aside` of it.
    fn off(&self, along: f64, aside: f64) -> Point {
        let (x, y) = self.along;
        self.middle.moved((x * along - y * aside) as i32, (y * along + x * aside) as i32)
    }
}

/// Adds the line of a route and its mark to `group`, for capitals of height `h`.
pub fn draw(group: &mut Tag, way: &Way, route: &Route, h: i32, is_lit: bool) {
    let path = |class: &str, stroke: &str, width: i32| {
        let mut path = Tag::new("path");
        path.assign("class", class);
        path.assign("d", way.path());
        path.assign("stroke", stroke);
        path.assign("stroke-width", number(width));
        path
    };
    group.append(path("glow", if is_lit { LIT } else { "none" }, h * 6 / 5));
    let mut line = path("line", INK, h * 22 / 100);
    let dashes = match route.kind {
        RouteKind::AlongChassis => None,
        RouteKind::InConduit => {
            // Two lines: a wide one and paper within it.
            group.append(path("line", INK, h * 56 / 100));
            line = path("line", PAPER, h * 28 / 100);
            None
        }
        RouteKind::ThroughBulkhead => Some((h, h * 4 / 10)),
        RouteKind::OverHinge => Some((1, h * 45 / 100)),
    };
    if let Some((dash, free)) = dashes {
        line.assign("stroke-dasharray", format!("{} {}", number(dash), number(free)));
        line.assign("stroke-linecap", if route.kind == RouteKind::OverHinge { "round" } else { "butt" });
    }
    group.append(line);
    group.append(mark(way, route, h));
}

/// What stands on the middle of a route: a clip on the chassis, a collar of a conduit, the two sides of a bulkhead with
/// the ring of a grommet between, or the pin of a hinge.
fn mark(way: &Way, route: &Route, h: i32) -> Tag {
    let mut mark = Tag::new("g");
    mark.assign("class", "mark");
    mark.assign("stroke", INK);
    mark.assign("stroke-width", number(h / 4));
    let unit = f64::from(h);
    let mut bar = |along: f64, aside: f64| {
        let (from, to) = (way.off(along * unit, -aside * unit), way.off(along * unit, aside * unit));
        let mut line = Tag::new("line");
        for (name, value) in [("x1", from.x), ("y1", from.y), ("x2", to.x), ("y2", to.y)] {
            line.assign(name, number(value));
        }
        mark.append(line);
    };
    let ring = |radius: i32| {
        let mut ring = Tag::new("circle");
        ring.assign("cx", number(way.middle.x));
        ring.assign("cy", number(way.middle.y));
        ring.assign("r", number(radius));
        ring.assign("fill", PAPER);
        ring
    };
    match route.kind {
        RouteKind::AlongChassis => bar(0.0, 0.45),
        RouteKind::InConduit => {
            bar(-0.2, 0.5);
            bar(0.2, 0.5);
        }
        RouteKind::ThroughBulkhead => {
            bar(-0.35, 1.1);
            bar(0.35, 1.1);
            if route.grommet == Some(true) {
                mark.append(ring(h * 45 / 100));
            }
        }
        RouteKind::OverHinge => mark.append(ring(h * 6 / 10)),
    }
    mark
}

/// The room that the mark on a route takes.
pub fn mark_room(way: &Way, h: i32) -> Rect {
    let Point { x, y } = way.middle;
    Rect::new(x, y, x, y).grown(h * 7 / 10)
}

/// The room that its line takes, in pieces.
pub fn line_room(way: &Way, h: i32) -> impl Iterator<Item = Rect> {
    /// Enough for lettering to find its way between lines.
    const N_PIECES: i64 = 24;
    let between =
        |a: i32, b: i32, n: i64| (i64::from(a) + (i64::from(b) - i64::from(a)) * n / N_PIECES) as i32;
    let (from, to) = (way.from, way.to);
    (0..=N_PIECES).map(move |n| {
        let (x, y) = (between(from.x, to.x, n), between(from.y, to.y, n));
        Rect::new(x, y, x, y).grown(h / 4)
    })
}
