//! What must hold of every drawing, whatever the circuit.

use std::collections::BTreeSet;
use std::sync::OnceLock;

use crate::support::{bodies, common, contacts, legs, senseless, sensible, texts, wire_paths};
use drawing::draw::draw;
use drawing::geometry::{Point, Rect};
use drawing::scene::{Element, ElementId, Role, Scene, Shape};
use engine::document::{Network, Placement};
use engine::kind::Class;

/// The demonstration jobs.
const JOBS: [(&str, &str); 5] = [
    ("apiary-flatbed", include_str!("../../../../fixtures/jobs/apiary-flatbed.json")),
    ("apiary-flatbed-as-bought", include_str!("../../../../fixtures/jobs/apiary-flatbed-as-bought.json")),
    ("switched-earth-donor", include_str!("../../../../fixtures/jobs/switched-earth-donor.json")),
    ("honey-stall-trailer", include_str!("../../../../fixtures/jobs/honey-stall-trailer.json")),
    ("dark-lamps", include_str!("../../../../fixtures/jobs/dark-lamps.json")),
];

/// Draws the demonstration jobs and circuits of all sizes, and hands each to `check` with words to
/// tell it by.
pub fn each_circuit(check: impl Fn(&Network, &Scene, &str)) {
    static DRAWN: OnceLock<Vec<(String, Network, Scene)>> = OnceLock::new();
    let drawn = DRAWN.get_or_init(|| {
        let drawn = |(name, network): (String, Network)| {
            let scene = draw(&network, &Placement::default());
            (name, network, scene)
        };
        circuits().map(drawn).collect()
    });
    for (name, network, scene) in drawn {
        check(network, scene, name);
    }
}

/// The demonstration jobs and circuits of all sizes, with words to tell them by.
pub fn circuits() -> impl Iterator<Item = (String, Network)> {
    let jobs = JOBS.iter().map(|(name, text)| {
        let job = engine::file::read_json(text).unwrap();
        ((*name).to_owned(), (*job.network).clone())
    });
    let made = (0..24).flat_map(|seed| {
        let n_parts = 5 + (seed as usize * 7) % 56;
        [("sensible", sensible(seed, n_parts)), ("senseless", senseless(seed, n_parts))]
            .map(|(word, network)| (format!("{word} {seed}, {} parts", network.parts.len()), network))
    });
    jobs.chain(made)
}

#[test]
fn symbols_do_not_overlap() {
    each_circuit(symbols_are_apart);
}

/// Symbols do not overlap.
pub fn symbols_are_apart(_: &Network, scene: &Scene, circuit: &str) {
    let bodies = bodies(scene);
    for (i, (a, body_a)) in bodies.iter().enumerate() {
        for (b, body_b) in &bodies[..i] {
            assert!(!body_a.overlaps(body_b), "{circuit}: {} on {}", a.id.name(), b.id.name());
        }
    }
}

#[test]
fn every_wire_finds_a_clear_path() {
    each_circuit(|network, scene, circuit| {
        let paths = wire_paths(scene);
        assert_eq!(paths.len(), network.wires.len(), "{circuit}");
        let forced: Vec<_> = paths
            .iter()
            .filter(|(element, _)| element.forced)
            .map(|(element, _)| element.id.name())
            .collect();
        assert!(forced.is_empty(), "{circuit}: {forced:?}");
    });
}

#[test]
fn wires_are_orthogonal_and_meet_their_terminals() {
    each_circuit(wires_meet_their_terminals);
}

/// Wires are orthogonal and meet their terminals.
pub fn wires_meet_their_terminals(network: &Network, scene: &Scene, circuit: &str) {
    let contacts = contacts(scene);
    for (element, points) in wire_paths(scene) {
        let ElementId::Wire(id) = &element.id else { panic!("a path belongs to a wire") };
        let wire = network.wire(id).unwrap();
        for leg in points.windows(2) {
            let straight = (leg[0].x == leg[1].x) != (leg[0].y == leg[1].y);
            assert!(straight, "{circuit}: {id} {leg:?}");
        }
        assert!(contacts[&wire.from].contains(&points[0]), "{circuit}: {id} misses {}", wire.from);
        assert!(contacts[&wire.to].contains(&points[points.len() - 1]), "{circuit}: {id} misses {}", wire.to);
    }
}

#[test]
fn no_wire_runs_through_a_symbol() {
    each_circuit(wires_keep_out_of_symbols);
}

/// No wire with a clear path runs through a symbol.
pub fn wires_keep_out_of_symbols(_: &Network, scene: &Scene, circuit: &str) {
    let bodies = bodies(scene);
    for (wire, points) in clear_paths(scene) {
        let ends: Vec<Rect> =
            [points[0], points[points.len() - 1]].iter().map(|p| Rect::new(p.x, p.y, p.x, p.y)).collect();
        for leg in legs(points) {
            for (symbol, body) in &bodies {
                if let Some(touched) = common(leg, *body) {
                    let at_end = ends.contains(&touched);
                    assert!(at_end, "{circuit}: {} through {}", wire.id.name(), symbol.id.name());
                }
            }
        }
    }
}

#[test]
fn wires_meet_only_in_right_angled_crossings_or_at_a_shared_terminal() {
    each_circuit(wires_only_cross);
}

/// Wires with a clear path meet only in right-angled crossings or at a shared terminal.
pub fn wires_only_cross(_: &Network, scene: &Scene, circuit: &str) {
    let paths = clear_paths(scene);
    for (i, (a, points_a)) in paths.iter().enumerate() {
        for (b, points_b) in &paths[..i] {
            for leg_a in legs(points_a) {
                for leg_b in legs(points_b) {
                    let Some(shared) = common(leg_a, leg_b) else { continue };
                    let what = format!("{circuit}: {} and {} at {shared:?}", a.id.name(), b.id.name());
                    assert!(shared.width() == 0 && shared.height() == 0, "one on the other: {what}");
                    let point = Point::new(shared.left, shared.top);
                    let is_end = |points: &[Point]| points[0] == point || points[points.len() - 1] == point;
                    let shared_terminal = is_end(points_a) && is_end(points_b);
                    let corner = points_a.contains(&point) || points_b.contains(&point);
                    assert!(shared_terminal || !corner, "touching: {what}");
                }
            }
        }
    }
}

#[test]
fn three_lines_meet_at_a_dot_and_never_four() {
    each_circuit(three_lines_meet_at_a_dot);
}

/// The paths that do not lie across other things for want of a better one.
fn clear_paths(scene: &Scene) -> Vec<(&Element, &[Point])> {
    wire_paths(scene).into_iter().filter(|(wire, _)| !wire.forced).collect()
}

/// Three lines meet at a dot and never four, as long as all wires have a clear path.
pub fn three_lines_meet_at_a_dot(_: &Network, scene: &Scene, circuit: &str) {
    let paths = wire_paths(scene);
    if paths.iter().any(|(wire, _)| wire.forced) {
        return;
    }
    for element in scene.elements() {
        let ElementId::Stud(..) = element.id else { continue };
        let Some(Shape::Line(_, ends)) = element.shapes.first() else { panic!("a stud has a line") };
        for shape in &element.shapes {
            let Shape::Circle(Role::Solid, dot, _) = shape else { continue };
            let n_wires: usize = paths
                .iter()
                .map(|(_, points)| [points[0], points[points.len() - 1]].iter().filter(|p| *p == dot).count())
                .sum();
            let n_stud = if *dot == ends[1] { 1 } else { 2 };
            assert_eq!(n_wires + n_stud, 3, "{circuit}: {} at {dot:?}", element.id.name());
        }
    }
}

#[test]
fn lettering_covers_no_other_lettering() {
    each_circuit(lettering_is_apart);
}

/// Lettering covers no other lettering.
pub fn lettering_is_apart(_: &Network, scene: &Scene, circuit: &str) {
    let texts = texts(scene);
    for (i, (a, room_a)) in texts.iter().enumerate() {
        for (b, room_b) in &texts[..i] {
            let clear = a.id == b.id || !room_a.overlaps(room_b);
            assert!(clear, "{circuit}: {} on {}", a.id.name(), b.id.name());
        }
    }
}

#[test]
fn lettering_stands_on_no_wire_and_no_symbol() {
    each_circuit(lettering_stands_free);
}

/// Lettering stands on no wire and no symbol.
pub fn lettering_stands_free(_: &Network, scene: &Scene, circuit: &str) {
    let strokes: Vec<_> = scene
        .elements()
        .iter()
        .filter(|element| {
            matches!(element.id, ElementId::Wire(_) | ElementId::Symbol(..) | ElementId::Stud(..))
                && !element.forced
        })
        .flat_map(|element| element.shapes.iter().map(move |shape| (element, shape)))
        .flat_map(|(element, shape)| match shape {
            // The word within a symbol's border belongs to the symbol, and the cross of what
            // comes out lies over it.
            Shape::Text(_) | Shape::Line(Role::Cross, _) => Vec::new(),
            Shape::Line(_, points) => legs(points).into_iter().map(|leg| (element, leg)).collect::<Vec<_>>(),
            other => vec![(element, other.bounds())],
        })
        .collect();
    for (text, room) in texts(scene) {
        for (other, stroke) in &strokes {
            let clear = text.id == other.id || !room.overlaps(&stroke.grown(1));
            assert!(clear, "{circuit}: {} on {}", text.id.name(), other.id.name());
        }
    }
}

#[test]
fn earth_points_stand_below_everything_else() {
    each_circuit(|network, scene, circuit| {
        let is_earth = |id: &ElementId| match id {
            ElementId::Symbol(part, ..) => network.part(part).unwrap().kind.class == Class::Earth,
            _ => false,
        };
        let bodies = bodies(scene);
        let foot =
            bodies.iter().filter(|(symbol, _)| !is_earth(&symbol.id)).map(|(_, body)| body.bottom).max();
        for (symbol, body) in bodies.iter().filter(|(symbol, _)| is_earth(&symbol.id)) {
            assert!(foot.is_none_or(|foot| body.top > foot), "{circuit}: {}", symbol.id.name());
        }
    });
}

#[test]
fn every_element_has_a_name_of_its_own() {
    each_circuit(names_are_unique);
}

/// Every element has a name of its own.
pub fn names_are_unique(_: &Network, scene: &Scene, circuit: &str) {
    let names: BTreeSet<_> = scene.elements().iter().map(|element| element.id.name()).collect();
    assert_eq!(names.len(), scene.elements().len(), "{circuit}");
}
