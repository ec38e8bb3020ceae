//! A plan on a sheet: the same outline, places and routes as shapes, in hundredths of a millimetre.

use engine::arrange::sort_by_key;
use engine::document::{Network, Plan};
use engine::ids::PlaceId;

use super::lines::{self, length_words, letters};
use super::room::{Label, Room};
use super::{CM, EVERY_PERCENT, outline, parts_at, point, vehicle_box, ways, weight};
use crate::geometry::{Point, Rect};
use crate::scene::{Anchor, Lettering, Role, Shape};
use crate::text::{HEIGHT, bold, clean, line_pitch, width, wrapped};

/// Room around the vehicle for names, in hundredths of a millimetre.
const AROUND: i32 = 2500;

/// Widest lettering beside a place, and the most lines of designations, in heights of capitals.
const WIDEST: i32 = 18;
const MOST_LINES: usize = 2;

/// A plan on a sheet.
pub struct PlanOnPaper {
    /// Everything that is drawn.
    pub shapes: Vec<Shape>,
    /// The places that stand on it as numbers only, counted from 1 in this order: for a key beside it.
    pub numbered: Vec<PlaceId>,
}

/// A plan on `field`, as large as it goes with names around it; capitals are 2.5 mm high. Where a name and what sits there
/// find no clear room, a number stands.
pub fn plan_shapes(plan: &Plan, network: &Network, field: Rect) -> PlanOnPaper {
    let vehicle = vehicle_box(plan);
    let ratio = |room: i32, of: i32| f64::from((room - 2 * AROUND).max(1)) / f64::from(of.max(1));
    let scale = ratio(field.width(), vehicle.width()).min(ratio(field.height(), vehicle.height()));
    let from = vehicle.center();
    let to_sheet = |p: Point| {
        let along = |v: i32, middle: i32| libm::round(f64::from(v - middle) * scale) as i32;
        field.center().moved(along(p.x, from.x), along(p.y, from.y))
    };
    // Names are placed on the vehicle, where capitals have this height.
    let h = (libm::ceil(f64::from(HEIGHT) / scale) as i32).max(1);
    let within = |v: i32| libm::floor(f64::from(v) / scale / 2.0) as i32;
    let (half_width, half_height) = (within(field.width()), within(field.height()));
    let seen =
        Rect::new(from.x - half_width, from.y - half_height, from.x + half_width, from.y + half_height);
    let mut room = Room::new(h, seen);
    let points: Vec<Point> = plan.places.iter().map(point).collect();
    for at in &points {
        room.take(Rect::new(at.x, at.y, at.x, at.y).grown(h * 7 / 10));
    }
    let ways = ways(plan, h);
    for way in ways.iter().flatten() {
        lines::line_room(way, h).for_each(|piece| room.spare(piece));
    }
    let mut shapes: Vec<Shape> = Vec::new();
    for (points, closed) in plan.outline.iter().flat_map(outline::strokes) {
        let points = points.into_iter().map(to_sheet).collect();
        shapes.push(if closed { Shape::Area(Role::Field, points) } else { Shape::Line(Role::Field, points) });
    }
    shapes.extend(
        ways.iter()
            .flatten()
            .map(|way| Shape::Line(Role::Outline, way.points().into_iter().map(to_sheet).collect())),
    );
    let (mut labels, numbered) = place_labels(plan, network, &points, &mut room, h);
    for (route, way) in plan.routes.iter().zip(&ways) {
        let Some(way) = way else { continue };
        let words = vec![format!("{} {}", letters(route.kind), length_words(plan, route))];
        labels.extend(room.put(words, false, way.middle, h * 6 / 5, 0));
    }
    shapes.extend(points.iter().map(|at| Shape::Circle(Role::Card, to_sheet(*at), 100)));
    for label in labels {
        let at = to_sheet(label.at);
        for (line, n) in label.lines.into_iter().zip(0..) {
            let role = if n == 0 && label.is_bold { Role::Designation } else { Role::Lettering };
            shapes.push(word(line, at.moved(0, n * line_pitch(HEIGHT)), role));
        }
    }
    shapes.extend(metre(field, (f64::from(100 * CM) * scale) as i32));
    PlanOnPaper { shapes, numbered }
}

/// What stands beside the places, and which of them have a number.
fn place_labels(
    plan: &Plan,
    network: &Network,
    points: &[Point],
    room: &mut Room,
    h: i32,
) -> (Vec<Label>, Vec<PlaceId>) {
    // Names come first, and of them those of places where something sits.
    let mut order: Vec<usize> = (0..plan.places.len()).collect();
    sort_by_key(&mut order, |place| weight(&plan.places[*place], network));
    let mut labels: Vec<Label> = Vec::new();
    let mut numbered: Vec<usize> = Vec::new();
    for index in order {
        let place = &plan.places[index];
        let name = clean(&place.name);
        let parts: Vec<String> = parts_at(network, place).iter().map(|part| clean(part.title())).collect();
        // A place without a name only has one where routes were begun in a hurry; an id says nothing to anybody.
        if name.is_empty() && parts.is_empty() {
            continue;
        }
        let lines: Vec<String> = (!name.is_empty()).then(|| name.clone()).into_iter().collect();
        let sits = wrapped(&parts.join(" "), h, WIDEST * h, MOST_LINES + 1);
        let is_short = bold(width(&name, h)) <= WIDEST * h && sits.len() <= MOST_LINES;
        let lines: Vec<String> =
            lines.into_iter().chain(sits.into_iter().filter(|line| !line.is_empty())).collect();
        let label =
            is_short.then(|| room.put_clear(lines, !name.is_empty(), points[index], h * 6 / 5)).flatten();
        match label {
            Some(label) => labels.push(label),
            None => numbered.push(index),
        }
    }
    // Numbers rise from the front to the rear, so that one finds them.
    sort_by_key(&mut numbered, |index| (plan.places[*index].x_cm, plan.places[*index].y_cm));
    for (number, index) in (1..).zip(&numbered) {
        labels.extend(room.put(vec![number.to_string()], true, points[*index], h * 9 / 10, EVERY_PERCENT));
    }
    let numbered = numbered.into_iter().map(|index| plan.places[index].id.clone()).collect();
    (labels, numbered)
}

/// A metre in the lower left corner, and where the front is.
fn metre(field: Rect, long: i32) -> Vec<Shape> {
    const TICK: i32 = 100;
    let from = Point::new(field.left, field.bottom - 2 * TICK);
    let to = from.moved(long, 0);
    let line = |a: Point, b: Point| Shape::Line(Role::Outline, vec![a, b]);
    vec![
        line(from, to),
        line(from.moved(0, -TICK), from.moved(0, TICK)),
        line(to.moved(0, -TICK), to.moved(0, TICK)),
        word("1 m · ← front".to_owned(), to.moved(HEIGHT, HEIGHT / 2), Role::Lettering),
    ]
}

fn word(text: String, at: Point, role: Role) -> Shape {
    Shape::Text(Lettering { text, at, anchor: Anchor::Start, height: HEIGHT, upright: false, role })
}
