//! Plain outlines of vehicles from above, front to the left, scaled to length and width.
//!
//! They say where front, cab and load are and nothing more. Points are thousandths of length and width.

use engine::document::{Outline, Shape};
use svg::node::Node;
use svg::node::element::Element as Tag;

use super::{CM, lineal, number};
use crate::geometry::Point;

/// Ink of the outline, which stays behind places and routes.
const INK: &str = "#8a9298";
/// What the vehicle's body is filled with.
const BODY: &str = "#f1efe8";
/// What loads lie on, and wheels.
const SHADE: &str = "#e4e1d8";

/// A point in thousandths of the length and of the width.
type Spot = (i32, i32);

/// The stroke of a mark.
#[derive(Clone, Copy)]
enum Mark {
    /// A closed shape with rounded corners.
    Body(&'static [Spot]),
    /// The same, lying lower or flat.
    Flat(&'static [Spot]),
    /// A thin line over the body: an edge, a pane, a rail.
    Edge(&'static [Spot]),
    /// A wheel: the thousandths of the length over which it reaches, and on which side.
    Wheel(i32, i32, bool),
}

use Mark::{Body, Edge, Flat, Wheel};

static TRUCK: &[Mark] = &[
    Wheel(120, 230, false),
    Wheel(120, 230, true),
    Wheel(720, 830, false),
    Wheel(720, 830, true),
    Edge(&[(400, 330), (430, 330)]),
    Edge(&[(400, 670), (430, 670)]),
    Flat(&[(428, 15), (990, 15), (990, 985), (428, 985)]),
    Edge(&[(446, 70), (972, 70), (972, 930), (446, 930), (446, 70)]),
    Edge(&[(1000, 40), (1000, 960)]),
    Body(&[(0, 190), (0, 810), (70, 950), (405, 950), (405, 50), (70, 50)]),
    Edge(&[(232, 110), (208, 300), (200, 500), (208, 700), (232, 890)]),
    Edge(&[(385, 150), (385, 850)]),
];

static VAN: &[Mark] = &[
    Wheel(110, 215, false),
    Wheel(110, 215, true),
    Wheel(720, 825, false),
    Wheel(720, 825, true),
    Body(&[(0, 230), (0, 770), (60, 955), (1000, 965), (1000, 35), (60, 45)]),
    Edge(&[(186, 110), (162, 300), (154, 500), (162, 700), (186, 890)]),
    Edge(&[(378, 50), (378, 950)]),
    Edge(&[(384, 50), (384, 950)]),
    Edge(&[(985, 60), (985, 940)]),
    Edge(&[(985, 500), (1000, 500)]),
];

static CAR: &[Mark] = &[
    Wheel(140, 270, false),
    Wheel(140, 270, true),
    Wheel(745, 875, false),
    Wheel(745, 875, true),
    Body(&[(0, 270), (0, 730), (80, 950), (920, 950), (1000, 770), (1000, 230), (920, 50), (80, 50)]),
    Edge(&[(335, 120), (302, 300), (292, 500), (302, 700), (335, 880)]),
    Edge(&[(792, 150), (812, 500), (792, 850)]),
    Edge(&[(345, 120), (792, 150)]),
    Edge(&[(345, 880), (792, 850)]),
];

static TRAILER: &[Mark] = &[
    Wheel(560, 720, false),
    Wheel(560, 720, true),
    Edge(&[(255, 90), (30, 470), (0, 500), (30, 530), (255, 910)]),
    Edge(&[(255, 500), (0, 500)]),
    Flat(&[(250, 30), (1000, 30), (1000, 970), (250, 970)]),
    Edge(&[(272, 95), (972, 95), (972, 905), (272, 905), (272, 95)]),
];

fn marks(shape: Shape) -> &'static [Mark] {
    match shape {
        Shape::Truck => TRUCK,
        Shape::Van => VAN,
        Shape::Car => CAR,
        Shape::Trailer => TRAILER,
    }
}

/// What is drawn of an outline.
pub fn tag(outline: &Outline) -> Tag {
    let mut group = Tag::new("g");
    group.assign("class", "vehicle");
    group.assign("stroke", INK);
    group.assign("stroke-width", number(CM));
    group.assign("stroke-linejoin", "round");
    let (length, width) = size(outline);
    let scaled =
        |(x, y): &Spot| (i64::from(length) * i64::from(*x) / 1000, i64::from(width) * i64::from(*y) / 1000);
    // A corner takes an eighth of the width.
    let radius = f64::from(width) / 8.0;
    for mark in marks(outline.shape) {
        let (points, fill, radius) = match mark {
            Body(points) => (*points, BODY, radius),
            Flat(points) => (*points, SHADE, radius / 3.0),
            Edge(points) => (*points, "none", 0.0),
            Wheel(from, to, is_right) => {
                let mut wheel = Tag::new("rect");
                let (x, far) = (scaled(&(*from, 0)).0, scaled(&(*to, 0)).0);
                let high = i64::from(width) / 9;
                let y = if *is_right { i64::from(width) - high } else { 0 };
                for (name, value) in
                    [("x", x), ("y", y), ("width", far - x), ("height", high), ("rx", high / 3)]
                {
                    wheel.assign(name, number(i32::try_from(value).unwrap_or(0)));
                }
                wheel.assign("fill", SHADE);
                group.append(wheel);
                continue;
            }
        };
        let points: Vec<(f64, f64)> = points.iter().map(scaled).map(|(x, y)| (x as f64, y as f64)).collect();
        let mut path = Tag::new("path");
        path.assign("d", if radius > 0.0 { rounded(&points, radius) } else { open(&points) });
        path.assign("fill", fill);
        group.append(path);
    }
    group
}

/// Length and width in hundredths of a centimetre.
pub fn size(outline: &Outline) -> (i32, i32) {
    (lineal(outline.length.get()), lineal(outline.width.get()))
}

fn at((x, y): (f64, f64)) -> String {
    format!("{} {}", number(x as i32), number(y as i32))
}

fn open(points: &[(f64, f64)]) -> String {
    let all: Vec<String> = points.iter().map(|point| at(*point)).collect();
    format!("M{}", all.join("L"))
}

/// A closed path whose corners are cut off by curves of `radius`, less where an edge is short.
fn rounded(points: &[(f64, f64)], radius: f64) -> String {
    let n = points.len();
    let mut path = String::new();
    for (i, corner) in points.iter().enumerate() {
        let (before, after) = bend(points[(i + n - 1) % n], *corner, points[(i + 1) % n], radius);
        let step = if i == 0 { 'M' } else { 'L' };
        path.push_str(&format!("{step}{}Q{} {}", at(before), at(*corner), at(after)));
    }
    path.push('Z');
    path
}

/// The strokes of an outline as points, curves broken into short lines: each with whether it is closed.
pub fn strokes(outline: &Outline) -> Vec<(Vec<Point>, bool)> {
    let (length, width) = size(outline);
    let scaled = |(x, y): &Spot| {
        let share = |whole: i32, part: i32| f64::from(whole) * f64::from(part) / 1000.0;
        (share(length, *x), share(width, *y))
    };
    let radius = f64::from(width) / 8.0;
    let point = |(x, y): (f64, f64)| Point::new(x as i32, y as i32);
    let of = |mark: &Mark| match mark {
        Body(points) => (softened(&points.iter().map(scaled).collect::<Vec<_>>(), radius), true),
        Flat(points) => (softened(&points.iter().map(scaled).collect::<Vec<_>>(), radius / 3.0), true),
        Edge(points) => (points.iter().map(scaled).collect(), false),
        Wheel(from, to, is_right) => {
            let (near, far) = if *is_right { (889, 1000) } else { (0, 111) };
            let corners = [(*from, near), (*to, near), (*to, far), (*from, far)];
            (corners.iter().map(scaled).collect(), true)
        }
    };
    let all = marks(outline.shape).iter().map(of);
    all.map(|(points, closed)| (points.into_iter().map(point).collect(), closed)).collect()
}

/// The points of a closed path whose corners are cut off by curves of `radius`, less where an edge is short.
fn softened(points: &[(f64, f64)], radius: f64) -> Vec<(f64, f64)> {
    const STEPS: u32 = 6;
    let n = points.len();
    let mut all = Vec::new();
    for (i, corner) in points.iter().enumerate() {
        let (before, after) = bend(points[(i + n - 1) % n], *corner, points[(i + 1) % n], radius);
        for step in 0..=STEPS {
            let t = f64::from(step) / f64::from(STEPS);
            // A curve of Bézier with the corner as its one handle.
            let mix =
                |a: f64, b: f64, c: f64| (1.0 - t) * (1.0 - t) * a + 2.0 * t * (1.0 - t) * b + t * t * c;
            all.push((mix(before.0, corner.0, after.0), mix(before.1, corner.1, after.1)));
        }
    }
    all
}

/// Where the curve around a corner begins and ends.
fn bend(from: (f64, f64), corner: (f64, f64), to: (f64, f64), radius: f64) -> ((f64, f64), (f64, f64)) {
    let toward = |other: (f64, f64)| {
        let (dx, dy) = (other.0 - corner.0, other.1 - corner.1);
        let far = libm::sqrt(dx * dx + dy * dy).max(1.0);
        let part = (radius / far).min(0.5);
        (corner.0 + dx * part, corner.1 + dy * part)
    };
    (toward(from), toward(to))
}
