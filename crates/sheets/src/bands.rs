//! Empty bands of a drawing, closed. Between parts that stand far apart nothing is drawn but the wires that lead from one
//! to the other; on paper that would be sheets to leaf over.

use drawing::geometry::{Point, Rect, STEP};
use drawing::scene::{Element, ElementId, Scene, Shape};

use crate::cuts::Axis;

/// A band wider than this is closed, to the width that is left of it.
const WIDE: i32 = 24 * STEP;
const LEFT: i32 = 8 * STEP;

/// The drawing without its wide empty bands, or as it is where it has none. What is beyond a band moves as a whole; a
/// wire that crosses it becomes shorter.
pub fn closed(scene: Scene) -> Scene {
    let [across, down] = [Axis::Across, Axis::Down].map(|axis| Bands::of(&scene, axis));
    if across.0.is_empty() && down.0.is_empty() {
        return scene;
    }
    let there = |at: Point| Point::new(across.moved(at.x), down.moved(at.y));
    let by = |rect: &Rect| {
        let (from, to) = (rect.center(), there(rect.center()));
        (to.x - from.x, to.y - from.y)
    };
    let elements = scene.elements().iter().map(|element| {
        let mut element = element.clone();
        if !is_stretched(&element) {
            let whole = element.bounds().map_or((0, 0), |bounds| by(&bounds));
            return moved(element, whole);
        }
        for shape in &mut element.shapes {
            match shape {
                Shape::Line(_, points) => points.iter_mut().for_each(|at| *at = there(*at)),
                _ => {
                    let (dx, dy) = by(&shape.bounds());
                    *shape = shape.moved(dx, dy);
                }
            }
        }
        element
    });
    Scene::new(elements.collect())
}

/// An element in another place.
pub fn moved(mut element: Element, (dx, dy): (i32, i32)) -> Element {
    for shape in &mut element.shapes {
        *shape = shape.moved(dx, dy);
    }
    for contact in &mut element.contacts {
        contact.points.iter_mut().for_each(|at| *at = at.moved(dx, dy));
    }
    element.body = element.body.map(|body| body.moved(dx, dy));
    element
}

/// Whether an element leads from one place to another, and may become shorter.
fn is_stretched(element: &Element) -> bool {
    matches!(element.id, ElementId::Wire(_) | ElementId::Link(_))
}

/// How far what begins here, and all beyond it, moves towards the beginning of an axis; from the first to the last.
struct Bands(Vec<(i32, i32)>);

impl Bands {
    fn of(scene: &Scene, axis: Axis) -> Bands {
        let mut taken: Vec<(i32, i32)> = Vec::new();
        for element in scene.elements() {
            if !is_stretched(element) {
                taken.extend(element.bounds().map(|bounds| axis.span(&bounds)));
                continue;
            }
            for shape in &element.shapes {
                match shape {
                    // Wires run along an axis, so between their corners they take nothing of it but a point.
                    Shape::Line(_, points) => taken.extend(points.iter().map(|at| match axis {
                        Axis::Across => (at.x, at.x),
                        Axis::Down => (at.y, at.y),
                    })),
                    _ => taken.push(axis.span(&shape.bounds())),
                }
            }
        }
        engine::arrange::sort(&mut taken);
        let mut bands = Bands(Vec::new());
        let (mut reached, mut in_all) = (taken.first().map_or(0, |(low, _)| *low), 0);
        for (low, high) in taken {
            let gap = low - reached;
            if gap > WIDE {
                // By whole steps, so that everything stays on the grid.
                in_all += (gap - LEFT) / STEP * STEP;
                bands.0.push((low, in_all));
            }
            reached = reached.max(high);
        }
        bands
    }

    fn moved(&self, at: i32) -> i32 {
        let n_before = self.0.partition_point(|(from, _)| *from <= at);
        at - n_before.checked_sub(1).map_or(0, |last| self.0[last].1)
    }
}

#[cfg(test)]
mod tests {
    use drawing::scene::{Layer, Role, Weight};
    use engine::document::Status;
    use engine::ids::{PartId, WireId};

    use super::*;

    fn scene(gap: i32) -> Scene {
        let symbol = |name: &str, left: i32| {
            let id = ElementId::Symbol(PartId::new(name).expect("an id"), "main", 0);
            let mut symbol = Element::new(id, Layer::Symbols, Status::New);
            symbol
                .shapes
                .push(Shape::Area(Role::Outline, vec![Point::new(left, 0), Point::new(left + 1000, 1000)]));
            symbol
        };
        let id = ElementId::Wire(WireId::new("w1").expect("an id"));
        let mut wire = Element::new(id, Layer::Wires, Status::New);
        let ends = vec![Point::new(1000, 500), Point::new(1000 + gap, 500)];
        wire.shapes.push(Shape::Line(Role::Wire(Weight::Light), ends));
        Scene::new(vec![symbol("p1", 0), symbol("p2", 1000 + gap), wire])
    }

    #[test]
    fn a_wide_band_becomes_narrow_whatever_its_width_and_wires_follow() {
        for gap in [WIDE + STEP, 40 * WIDE, 1000 * WIDE] {
            let closed = closed(scene(gap));
            let bounds = closed.bounds().expect("something is drawn");
            assert_eq!(bounds, Rect::new(0, 0, 2000 + LEFT, 1000), "{gap}");
            let wire = closed.elements().iter().find_map(|element| match element.id {
                ElementId::Wire(_) => element.bounds(),
                _ => None,
            });
            assert_eq!(wire, Some(Rect::new(1000, 500, 1000 + LEFT, 500)), "{gap}");
        }
        assert_eq!(closed(scene(WIDE)), scene(WIDE), "a band that is not wide stays");
    }
}
