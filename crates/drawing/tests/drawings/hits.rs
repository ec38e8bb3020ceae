//! Whatever is drawn is found where it is drawn, and nothing is found where nothing is.

use crate::geometry::each_circuit;
use crate::support::wire_paths;
use drawing::geometry::{Point, STEP};
use drawing::hit::{Reach, Target, hits};
use drawing::scene::{ElementId, Shape};

const REACH: Reach = Reach { terminal: 300, symbol: 200, wire: 200 };

#[test]
fn every_terminal_is_found_first_at_each_of_its_points() {
    each_circuit(|_, scene, circuit| {
        for contact in scene.elements().iter().flat_map(|element| &element.contacts) {
            for &point in &contact.points {
                let hits = hits(scene, point, REACH);
                let expected = Target::Terminal { terminal: contact.terminal.clone(), at: point };
                assert_eq!(hits[0].target, expected, "{circuit}: {point:?}");
                assert_eq!(hits[0].distance, 0, "{circuit}: {point:?}");
            }
        }
    });
}

#[test]
fn every_symbol_is_found_in_its_middle() {
    each_circuit(|_, scene, circuit| {
        for element in scene.elements() {
            let (ElementId::Symbol(part, view, instance), Some(body)) = (&element.id, element.body) else {
                continue;
            };
            let expected = Target::Symbol { part: part.clone(), view, instance: *instance };
            let hits = hits(scene, body.center(), REACH);
            let found = hits.iter().find(|hit| hit.target == expected);
            assert_eq!(found.map(|hit| hit.distance), Some(0), "{circuit}: {}", element.id.name());
        }
    });
}

#[test]
fn every_wire_is_found_along_its_whole_length() {
    each_circuit(|_, scene, circuit| {
        for (element, points) in wire_paths(scene) {
            let ElementId::Wire(wire) = &element.id else { panic!("a path belongs to a wire") };
            for leg in points.windows(2) {
                let n_steps = ((leg[0].x - leg[1].x).abs() + (leg[0].y - leg[1].y).abs()) / STEP;
                for step in 0..=n_steps {
                    let along = |a: i32, b: i32| a + (b - a) * step / n_steps;
                    let at = Point::new(along(leg[0].x, leg[1].x), along(leg[0].y, leg[1].y));
                    let hits = hits(scene, at, REACH);
                    let found = hits.iter().find(|hit| hit.target == Target::Wire(wire.clone()));
                    assert_eq!(found.map(|hit| hit.distance), Some(0), "{circuit}: {wire} at {at:?}");
                }
            }
        }
    });
}

#[test]
fn lettering_is_found_as_what_it_belongs_to() {
    each_circuit(|_, scene, circuit| {
        for element in scene.elements() {
            let expected = match &element.id {
                ElementId::PartText(part, view, n) => {
                    Target::Symbol { part: part.clone(), view, instance: *n }
                }
                ElementId::WireText(wire) => Target::Wire(wire.clone()),
                _ => continue,
            };
            for shape in element.shapes.iter().filter(|shape| matches!(shape, Shape::Text(_))) {
                let hits = hits(scene, shape.bounds().center(), REACH);
                let found = hits.iter().find(|hit| hit.target == expected);
                assert_eq!(found.map(|hit| hit.distance), Some(0), "{circuit}: {}", element.id.name());
            }
        }
    });
}

#[test]
fn hits_are_in_order_and_each_target_comes_once() {
    each_circuit(|_, scene, circuit| {
        let Some(bounds) = scene.bounds() else { return };
        let wide = Reach { terminal: 2000, symbol: 2000, wire: 2000 };
        let found = hits(scene, bounds.center(), wide);
        assert!(found.is_sorted_by_key(|hit| hit.distance), "{circuit}");
        for (i, hit) in found.iter().enumerate() {
            assert!(found[..i].iter().all(|other| other.target != hit.target), "{circuit}: {hit:?}");
        }
    });
}

#[test]
fn nothing_is_found_off_the_drawing() {
    each_circuit(|_, scene, circuit| {
        let Some(bounds) = scene.bounds() else { return };
        let off = bounds.grown(REACH.terminal + 1);
        for at in [Point::new(off.left, off.top), Point::new(off.right, bounds.center().y)] {
            assert_eq!(hits(scene, at, REACH), [], "{circuit}");
        }
    });
}
