//! What of a drawing lies at a point, or near it.

use engine::arrange;
use engine::ids::{PartId, TerminalRef, WireId};

use crate::draw::middle_of_longest;
use crate::geometry::{Point, Rect};
use crate::scene::{Element, ElementId, Role, Scene, Shape};

/// Something that a point can mean.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Target {
    /// A terminal, where a wire may meet it.
    Terminal {
        /// Which.
        terminal: TerminalRef,
        /// The nearest of its meeting points.
        at: Point,
    },
    /// One symbol of a part, or the text beside it.
    Symbol {
        /// The part.
        part: PartId,
        /// Which of its views.
        view: &'static str,
        /// Which repetition of the view, counted from 0.
        instance: u32,
    },
    /// A wire, or its text.
    Wire(WireId),
}

/// A target and how far it is; lengths in hundredths of a millimetre.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Hit {
    /// What was found.
    pub target: Target,
    /// How far the point asked for is from it; 0 within.
    pub distance: i32,
    /// For a terminal, how far the point asked for is from the middle of the symbol it belongs to,
    /// which tells whether the symbol was meant; otherwise 0.
    pub from_middle: i32,
}

/// How far away each sort of target is still found, in hundredths of a millimetre.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Reach {
    /// For terminals.
    pub terminal: i32,
    /// For symbols and the texts beside them.
    pub symbol: i32,
    /// For wires and their texts.
    pub wire: i32,
}

/// Everything within `reach` of `at`, the nearest first; of what is equally near terminals come
/// first, then symbols, then wires, each in the order of the scene.
///
/// Looks at every element once.
pub fn hits(scene: &Scene, at: Point, reach: Reach) -> Vec<Hit> {
    let mut found: Vec<Hit> = Vec::new();
    let mut note = |target: Target, distance: i32, most: i32, from_middle: i32| {
        if distance > most {
            return;
        }
        match found.iter_mut().find(|hit| hit.target == target) {
            Some(known) => known.distance = known.distance.min(distance),
            None => found.push(Hit { target, distance, from_middle }),
        }
    };
    for element in scene.elements() {
        match &element.id {
            ElementId::Wire(wire) => {
                note(Target::Wire(wire.clone()), to_strokes(element, at), reach.wire, 0);
            }
            ElementId::WireText(wire) => {
                note(Target::Wire(wire.clone()), to_lettering(element, at), reach.wire, 0);
            }
            ElementId::Symbol(part, view, instance) => {
                let room = room(element);
                for contact in &element.contacts {
                    let nearest = contact.points.iter().min_by_key(|point| squared(at, **point));
                    if let Some(&point) = nearest {
                        let target = Target::Terminal { terminal: contact.terminal.clone(), at: point };
                        note(target, between(at, point), reach.terminal, between(at, room.center()));
                    }
                }
                let target = Target::Symbol { part: part.clone(), view, instance: *instance };
                note(target, to_rect(&room, at), reach.symbol, 0);
            }
            ElementId::PartText(part, view, instance) => {
                let target = Target::Symbol { part: part.clone(), view, instance: *instance };
                note(target, to_lettering(element, at), reach.symbol, 0);
            }
            ElementId::Stud(..)
            | ElementId::TerminalText(..)
            | ElementId::Link(_)
            | ElementId::Reading(_)
            | ElementId::Finding(_) => {}
        }
    }
    let rank = |target: &Target| match target {
        Target::Terminal { .. } => 0,
        Target::Symbol { .. } => 1,
        Target::Wire(_) => 2,
    };
    arrange::sort_by_key(&mut found, |hit| (hit.distance, rank(&hit.target)));
    found
}

/// Where along the course of a wire a point beside it lies; lengths in hundredths of a millimetre.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Foot {
    /// How far the point is from the wire.
    pub distance: i32,
    /// How far the nearest point of the wire is from its start, along the wire.
    pub from_start: i32,
    /// How long the wire is drawn.
    pub length: i32,
}

/// Where along the course of `wire` the point `at` lies; `None` when that wire is not drawn.
pub fn foot(scene: &Scene, wire: &WireId, at: Point) -> Option<Foot> {
    let course = course(scene, wire)?;
    let mut length = 0;
    let mut best: Option<(i32, i32)> = None;
    for leg in course.windows(2) {
        let [from, to] = [leg[0], leg[1]];
        let on_leg = Point::new(
            at.x.clamp(from.x.min(to.x), from.x.max(to.x)),
            at.y.clamp(from.y.min(to.y), from.y.max(to.y)),
        );
        let (distance, along) = (between(at, on_leg), length + between(from, on_leg));
        if best.is_none_or(|(least, _)| distance < least) {
            best = Some((distance, along));
        }
        length += between(from, to);
    }
    best.map(|(distance, from_start)| Foot { distance, from_start, length })
}

/// The middle of the longest leg of `wire`, by which it is known best; `None` when it is not drawn.
pub fn middle(scene: &Scene, wire: &WireId) -> Option<Point> {
    course(scene, wire).map(middle_of_longest)
}

/// The points of a wire from its start to its end.
fn course<'a>(scene: &'a Scene, wire: &WireId) -> Option<&'a [Point]> {
    scene.element(&ElementId::Wire(wire.clone()))?.shapes.iter().find_map(|shape| match shape {
        Shape::Line(Role::Wire(_), points) => Some(points.as_slice()),
        _ => None,
    })
}

/// The space a symbol takes.
fn room(element: &Element) -> Rect {
    element.body.or_else(|| element.bounds()).unwrap_or(Rect::new(0, 0, 0, 0))
}

fn squared(a: Point, b: Point) -> i64 {
    let (dx, dy) = (i64::from(a.x) - i64::from(b.x), i64::from(a.y) - i64::from(b.y));
    dx.saturating_mul(dx).saturating_add(dy.saturating_mul(dy))
}

/// The distance of two points as the crow flies, rounded down.
fn between(a: Point, b: Point) -> i32 {
    i32::try_from(squared(a, b).isqrt()).unwrap_or(i32::MAX)
}

fn to_rect(rect: &Rect, at: Point) -> i32 {
    between(at, Point::new(at.x.clamp(rect.left, rect.right), at.y.clamp(rect.top, rect.bottom)))
}

/// How far `at` is from the nearest leg of a line among the shapes of `element`.
fn to_strokes(element: &Element, at: Point) -> i32 {
    let legs = element.shapes.iter().flat_map(|shape| match shape {
        Shape::Line(_, points) => points.windows(2),
        _ => [].windows(2),
    });
    // The legs of a wire are level or upright; the cross over one that comes out lies on it.
    legs.map(|leg| to_rect(&Rect::new(leg[0].x, leg[0].y, leg[1].x, leg[1].y), at)).min().unwrap_or(i32::MAX)
}

/// How far `at` is from the nearest line of lettering of `element`.
fn to_lettering(element: &Element, at: Point) -> i32 {
    let texts = element.shapes.iter().filter(|shape| matches!(shape, Shape::Text(_)));
    texts.map(|text| to_rect(&text.bounds(), at)).min().unwrap_or(i32::MAX)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scene::{Contact, Layer, Weight};
    use engine::document::Status;

    const REACH: Reach = Reach { terminal: 300, symbol: 200, wire: 100 };

    /// A symbol of 1000 by 2000 with a terminal at its top, from which a wire goes up.
    fn scene() -> Scene {
        let part = PartId::new("p1").unwrap();
        let mut symbol =
            Element::new(ElementId::Symbol(part.clone(), "main", 0), Layer::Symbols, Status::New);
        symbol.body = Some(Rect::new(0, 0, 1000, 2000));
        let terminal = TerminalRef::new(&part, "1");
        symbol.contacts.push(Contact { terminal, points: vec![Point::new(500, 0)] });
        let mut wire = Element::new(ElementId::Wire(WireId::new("w1").unwrap()), Layer::Wires, Status::New);
        let path = vec![Point::new(500, 0), Point::new(500, -3000), Point::new(4000, -3000)];
        wire.shapes.push(Shape::Line(Role::Wire(Weight::Light), path));
        Scene::new(vec![symbol, wire])
    }

    fn found(x: i32, y: i32) -> Vec<(&'static str, i32)> {
        let word = |target: &Target| match target {
            Target::Terminal { .. } => "terminal",
            Target::Symbol { .. } => "symbol",
            Target::Wire(_) => "wire",
        };
        let hits = hits(&scene(), Point::new(x, y), REACH);
        hits.iter().map(|hit| (word(&hit.target), hit.distance)).collect()
    }

    #[test]
    fn of_what_is_equally_near_the_terminal_comes_first_and_the_wire_last() {
        assert_eq!(found(500, 0), [("terminal", 0), ("symbol", 0), ("wire", 0)]);
        assert_eq!(found(500, -90), [("wire", 0), ("terminal", 90), ("symbol", 90)]);
    }

    #[test]
    fn each_sort_of_target_is_found_within_its_own_reach() {
        assert_eq!(found(500, 1000), [("symbol", 0)]);
        assert_eq!(found(-200, 1000), [("symbol", 200)]);
        assert_eq!(found(-201, 1000), []);
        assert_eq!(found(2000, -3100), [("wire", 100)]);
        assert_eq!(found(2000, -3101), []);
    }

    #[test]
    fn the_foot_of_a_point_is_told_along_the_wire_around_its_corner() {
        let wire = WireId::new("w1").unwrap();
        let of = |x: i32, y: i32| foot(&scene(), &wire, Point::new(x, y)).unwrap();
        assert_eq!(of(580, -1000), Foot { distance: 80, from_start: 1000, length: 6500 });
        assert_eq!(of(2500, -3050), Foot { distance: 50, from_start: 5000, length: 6500 });
        assert_eq!(of(9000, -3000), Foot { distance: 5000, from_start: 6500, length: 6500 });
        assert_eq!(foot(&scene(), &WireId::new("w2").unwrap(), Point::new(0, 0)), None);
    }

    #[test]
    fn a_terminal_tells_how_far_the_middle_of_its_symbol_is() {
        let hits = hits(&scene(), Point::new(500, 200), REACH);
        let terminal = hits.iter().find(|hit| matches!(hit.target, Target::Terminal { .. })).unwrap();
        assert_eq!((terminal.distance, terminal.from_middle), (200, 800));
    }
}
