//! A plan on a sheet: the same outline, places and routes as shapes, in hundredths of a millimetre.

use engine::arrange::sort_by_key;
use engine::document::{Network, Plan};

use super::lines::{self, length_words, letters};
use super::room::{Label, Room};
use super::{CM, PlanOptions, outline, place_label, point, vehicle_box, ways, weight};
use crate::geometry::{Point, Rect};
use crate::scene::{Anchor, Lettering, Role, Shape};
use crate::text::{HEIGHT, line_pitch};

/// Room around the vehicle for names, in hundredths of a millimetre.
const AROUND: i32 = 2500;

/// A plan on `field`, as large as it goes with names around it; capitals are 2.5 mm high. A name that finds no room is
/// left out: lists tell what sits where.
pub fn plan_shapes(plan: &Plan, network: &Network, field: Rect) -> Vec<Shape> {
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
        room.take(Rect::new(at.x, at.y, at.x, at.y).grown(h));
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
    let mut order: Vec<usize> = (0..plan.places.len()).collect();
    sort_by_key(&mut order, |place| weight(&plan.places[*place], network));
    let options = PlanOptions { lettering: h, ..PlanOptions::default() };
    let names = order
        .into_iter()
        .filter_map(|place| place_label(&plan.places[place], points[place], network, &options, &mut room));
    let mut labels: Vec<Label> = names.collect();
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
    shapes
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
