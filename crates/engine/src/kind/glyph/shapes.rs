//! Shapes that several kinds share, after IEC 60617 (shapes from memory, numbers in brackets).

use super::{Mark, Pin, Side, View};

/// Where the terminals of an ordinary two-terminal symbol sit above and below its anchor.
pub const REACH: i32 = 3;

/// The body of an ordinary two-terminal symbol.
pub const SLIM: (i32, i32, i32, i32) = (-2, -REACH, 2, REACH);

/// A line between two points.
pub fn line(from: (f64, f64), to: (f64, f64)) -> Mark {
    Mark::Line(vec![from, to])
}

/// The four corners of a rectangle.
pub fn corners(left: f64, top: f64, right: f64, bottom: f64) -> Vec<(f64, f64)> {
    vec![(left, top), (right, top), (right, bottom), (left, bottom)]
}

/// The border of a group of things, dashed all around.
pub fn dashed_border(left: f64, top: f64, right: f64, bottom: f64) -> Mark {
    let mut points = corners(left, top, right, bottom);
    points.push((left, top));
    Mark::Link(points)
}

/// The lead from the upper terminal at `x` down to `y`.
pub fn upper_lead(x: f64, y: f64) -> Mark {
    line((x, f64::from(-REACH)), (x, y))
}

/// The lead from `y` down to the lower terminal at `x`.
pub fn lower_lead(x: f64, y: f64) -> Mark {
    line((x, y), (x, f64::from(REACH)))
}

/// A two-terminal symbol whose strokes reach from `-half` to `half`: leads are added.
pub fn two_terminal(upper: &str, lower: &str, half: f64, marks: Vec<Mark>) -> View {
    let mut all = vec![upper_lead(0.0, -half), lower_lead(0.0, half)];
    all.extend(marks);
    View::main(all, vec![Pin::up(upper, 0, -REACH), Pin::down(lower, 0, REACH)], SLIM)
}

/// Radius of the circle of a lamp or machine.
pub const ROUND: f64 = 1.5;

/// Lamp: a circle with a diagonal cross [08-10-01].
pub fn filament_lamp(x: f64, y: f64, radius: f64) -> Vec<Mark> {
    let d = radius * std::f64::consts::FRAC_1_SQRT_2;
    vec![
        Mark::Circle((x, y), radius),
        line((x - d, y - d), (x + d, y + d)),
        line((x - d, y + d), (x + d, y - d)),
    ]
}

/// Diode pointing down: a triangle and a bar at its cathode [05-03-01].
pub fn diode(x: f64, y: f64, half: f64) -> Vec<Mark> {
    vec![
        Mark::Outline(vec![(x - half, y - half), (x + half, y - half), (x, y + half)]),
        line((x - half, y + half), (x + half, y + half)),
    ]
}

/// Electronic lamp: the light-emitting diode [05-03-02] in the circle of a lamp.
pub fn electronic_lamp(x: f64, y: f64) -> Vec<Mark> {
    let half = 0.7;
    let mut marks = vec![
        Mark::Circle((x, y), ROUND),
        line((x, y - ROUND), (x, y - half)),
        line((x, y + half), (x, y + ROUND)),
    ];
    marks.extend(diode(x, y, half));
    for shift in [0.0, 0.7] {
        let tip = (x - 2.0, y - 1.4 + shift);
        marks.push(line((x - 1.1, y - 0.8 + shift), tip));
        marks.push(Mark::Solid(vec![tip, (tip.0 + 0.5, tip.1 + 0.1), (tip.0 + 0.2, tip.1 + 0.5)]));
    }
    marks
}

/// Rotating machine: a circle with its letter and the sign of direct current [06-04-01].
pub fn machine(letter: &'static str) -> Vec<Mark> {
    vec![
        Mark::Circle((0.0, 0.0), ROUND),
        Mark::Letter((0.0, -0.2), letter),
        line((-0.6, 0.8), (0.6, 0.8)),
        Mark::Link(vec![(-0.6, 1.05), (0.6, 1.05)]),
    ]
}

/// Frame, chassis: a bar with three slanted strokes beneath [02-15-04], hung from `(x, y)`.
pub fn chassis(x: f64, y: f64) -> Vec<Mark> {
    let mut marks = vec![line((x - 0.9, y), (x + 0.9, y))];
    for i in [-1.0, 0.0, 1.0] {
        let top = x + 0.8 * i;
        marks.push(line((top, y), (top - 0.5, y + 0.7)));
    }
    marks
}

/// The body of a symbol with [`strap_to_chassis`].
pub const STRAPPED: (i32, i32, i32, i32) = (-2, -REACH, 3, REACH);

/// The strap that ties a pole with its lead at `x = 0` to the chassis.
pub fn strap_to_chassis() -> Vec<Mark> {
    let mut marks = vec![Mark::Dot((0.0, 1.7), 0.2), Mark::Line(vec![(0.0, 1.7), (2.1, 1.7), (2.1, 2.3)])];
    marks.extend(chassis(2.1, 2.3));
    marks
}

/// A resting contact with its pivot at the upper terminal and its blade to the left [07-02-01].
pub fn make_contact() -> Vec<Mark> {
    vec![upper_lead(0.0, -1.0), lower_lead(0.0, 1.0), line((0.0, -1.0), (-1.2, 1.1))]
}

/// A change-over contact with its pivot at the upper terminal, its blade on the contact that ends
/// at `rest` steps left of the pivot, the other contact straight below [07-02-04].
pub fn change_over_contact(rest: f64) -> Vec<Mark> {
    vec![
        upper_lead(0.0, -1.0),
        lower_lead(0.0, 1.0),
        Mark::Line(vec![(-rest, f64::from(REACH)), (-rest, 0.9), (-0.75, 0.9)]),
        line((0.0, -1.0), (-1.2, 1.3)),
    ]
}

/// Hand operation: a dashed link from the blade to a short bar [07-07-01].
pub fn worked_by_hand() -> Vec<Mark> {
    vec![Mark::Link(vec![(-0.6, 0.0), (-2.4, 0.0)]), line((-2.4, -0.6), (-2.4, 0.6))]
}

/// A push-button: a dashed link from the blade to an E-shaped head [07-07-02].
pub fn worked_by_push() -> Vec<Mark> {
    vec![
        Mark::Link(vec![(-0.6, 0.0), (-2.4, 0.0)]),
        Mark::Line(vec![(-1.9, -0.6), (-2.4, -0.6), (-2.4, 0.6), (-1.9, 0.6)]),
    ]
}

/// A joint of `n` wires: one above, the others below along a short line to the right, the last
/// one leaving sideways; a dot wherever three lines meet, never four [03-02-01, 03-02-04].
pub fn joint(n: u32) -> View {
    let straight = i32::try_from(n).unwrap_or(2).max(2) - 1;
    let below = (straight - 1).max(1);
    let mut pins = vec![Pin::up("1", 0, -1).unnamed()];
    let mut marks = vec![line((0.0, -1.0), (0.0, 0.0))];
    for i in 0..below {
        let x = f64::from(2 * i);
        marks.push(line((x, 0.0), (x, 1.0)));
        marks.push(Mark::Dot((x, 0.0), JOINT_DOT));
        pins.push(Pin::down(&(i + 2).to_string(), 2 * i, 1).unnamed());
    }
    let mut right = 2 * (below - 1);
    if straight > 1 {
        right += 1;
        marks.push(line((0.0, 0.0), (f64::from(right), 0.0)));
        pins.push(Pin { side: Side::Right, ..Pin::up(&n.to_string(), right, 0).unnamed() });
    }
    View { swappable: true, ..View::main(marks, pins, (0, -1, right, 1)) }
}

/// Radius of the dot of a joint.
const JOINT_DOT: f64 = 0.3;

/// Steps between neighboring studs of a bar.
const STUD_PITCH: i32 = 4;

/// A bar of `n` studs: one above, the others below.
pub fn bar(n: u32) -> View {
    let below = i32::try_from(n).unwrap_or(2).max(2) - 1;
    let last = STUD_PITCH * (below - 1);
    let above = STUD_PITCH * ((below - 1) / 2);
    let mut pins = vec![Pin::up("1", above, -2)];
    let mut marks = vec![
        Mark::Solid(corners(-1.0, -0.2, f64::from(last) + 1.0, 0.2)),
        line((f64::from(above), -2.0), (f64::from(above), 0.0)),
    ];
    for i in 0..below {
        let x = STUD_PITCH * i;
        marks.push(line((f64::from(x), 0.0), (f64::from(x), 2.0)));
        pins.push(Pin::down(&(i + 2).to_string(), x, 2));
    }
    View { swappable: true, ..View::main(marks, pins, (-1, -2, last + 1, 2)) }
}
