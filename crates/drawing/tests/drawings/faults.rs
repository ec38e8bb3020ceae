//! What is wrong with a drawing, found from the shapes of its scene alone and listed in words; and
//! how good one is that has no faults.

use drawing::geometry::{Point, Rect};
use drawing::scene::{Element, ElementId, Role, Scene, Shape};
use engine::document::Network;
use engine::kind::Class;

use crate::support::{bodies, common, contacts, legs, texts, wire_paths};

/// Everything that may not be on any drawing.
pub fn faults(network: &Network, scene: &Scene) -> Vec<String> {
    let mut all = forced(network, scene);
    all.extend(faults_beside_forced(network, scene));
    all
}

/// The same, but for wires without a clear path, which none may have where symbols leave it no way.
pub fn faults_beside_forced(network: &Network, scene: &Scene) -> Vec<String> {
    let mut all = symbols_that_overlap(scene);
    all.extend(wires_that_miss_terminals(network, scene));
    all.extend(wires_through_symbols(scene));
    all.extend(wires_that_touch(scene));
    all.extend(dots_of_four(scene));
    all.extend(lettering_on_lettering(scene));
    all.extend(lettering_on_strokes(scene));
    all
}

/// The same of a drawing that was laid out as a whole.
pub fn faults_as_laid_out(network: &Network, scene: &Scene) -> Vec<String> {
    let mut all = faults(network, scene);
    all.extend(earths_that_are_not_lowest(network, scene));
    all
}

/// Wires without a clear path, or without any.
pub fn forced(network: &Network, scene: &Scene) -> Vec<String> {
    let paths = wire_paths(scene);
    let mut all: Vec<String> = (paths.iter().filter(|(wire, _)| wire.forced))
        .map(|(wire, _)| format!("{} has no clear path", wire.id.name()))
        .collect();
    if paths.len() != network.wires.len() {
        all.push(format!("{} of {} wires have a path", paths.len(), network.wires.len()));
    }
    all
}

/// Symbols on one another.
pub fn symbols_that_overlap(scene: &Scene) -> Vec<String> {
    let bodies = bodies(scene);
    let mut all = Vec::new();
    for (i, (a, body_a)) in bodies.iter().enumerate() {
        for (b, body_b) in &bodies[..i] {
            if body_a.overlaps(body_b) {
                all.push(format!("{} on {}", a.id.name(), b.id.name()));
            }
        }
    }
    all
}

/// Wires that lie aslant or end elsewhere than at their terminals.
pub fn wires_that_miss_terminals(network: &Network, scene: &Scene) -> Vec<String> {
    let contacts = contacts(scene);
    let mut all = Vec::new();
    for (element, points) in wire_paths(scene) {
        let ElementId::Wire(id) = &element.id else { continue };
        let Some(wire) = network.wire(id) else {
            all.push(format!("{id} is no wire"));
            continue;
        };
        let is_straight = |leg: &[Point]| (leg[0].x == leg[1].x) != (leg[0].y == leg[1].y);
        if !points.windows(2).all(is_straight) {
            all.push(format!("{id} lies aslant"));
        }
        for (end, at) in [(&wire.from, points[0]), (&wire.to, points[points.len() - 1])] {
            if !contacts.get(end).is_some_and(|points| points.contains(&at)) {
                all.push(format!("{id} misses {end}"));
            }
        }
    }
    all
}

/// Wires through symbols.
pub fn wires_through_symbols(scene: &Scene) -> Vec<String> {
    let bodies = bodies(scene);
    let mut all = Vec::new();
    for (wire, points) in clear_paths(scene) {
        let ends = [points[0], points[points.len() - 1]].map(|p| Rect::new(p.x, p.y, p.x, p.y));
        for leg in legs(points) {
            for (symbol, body) in &bodies {
                if common(leg, *body).is_some_and(|touched| !ends.contains(&touched)) {
                    all.push(format!("{} through {}", wire.id.name(), symbol.id.name()));
                }
            }
        }
    }
    all
}

/// Wires that lie on one another or touch, rather than cross at right angles or share a terminal.
pub fn wires_that_touch(scene: &Scene) -> Vec<String> {
    let mut all = Vec::new();
    each_meeting(scene, |a, b, shared, points_a, points_b| {
        let what = || format!("{} and {} at {shared:?}", a.id.name(), b.id.name());
        if shared.width() > 0 || shared.height() > 0 {
            all.push(format!("one on the other: {}", what()));
            return;
        }
        let point = Point::new(shared.left, shared.top);
        let is_end = |points: &[Point]| points[0] == point || points[points.len() - 1] == point;
        let shares_terminal = is_end(points_a) && is_end(points_b);
        if !shares_terminal && (points_a.contains(&point) || points_b.contains(&point)) {
            all.push(format!("touching: {}", what()));
        }
    });
    all
}

/// Calls `meet` wherever a leg of one clear path meets a leg of another.
fn each_meeting<'a>(
    scene: &'a Scene,
    mut meet: impl FnMut(&'a Element, &'a Element, Rect, &'a [Point], &'a [Point]),
) {
    let paths: Vec<_> =
        clear_paths(scene).into_iter().map(|(wire, points)| (wire, points, legs(points))).collect();
    for (i, (a, points_a, legs_a)) in paths.iter().enumerate() {
        for (b, points_b, legs_b) in &paths[..i] {
            for leg_a in legs_a {
                for leg_b in legs_b {
                    if let Some(shared) = common(*leg_a, *leg_b) {
                        meet(a, b, shared, points_a, points_b);
                    }
                }
            }
        }
    }
}

/// The paths that do not lie across other things for want of a better one.
fn clear_paths(scene: &Scene) -> Vec<(&Element, &[Point])> {
    wire_paths(scene).into_iter().filter(|(wire, _)| !wire.forced).collect()
}

/// Dots at which other than three lines meet; as long as all wires have a clear path.
pub fn dots_of_four(scene: &Scene) -> Vec<String> {
    let paths = wire_paths(scene);
    let mut all = Vec::new();
    if paths.iter().any(|(wire, _)| wire.forced) {
        return all;
    }
    for element in scene.elements() {
        let (ElementId::Stud(..), Some(Shape::Line(_, ends))) = (&element.id, element.shapes.first()) else {
            continue;
        };
        for shape in &element.shapes {
            let Shape::Circle(Role::Solid, dot, _) = shape else { continue };
            let n_wires: usize = paths
                .iter()
                .map(|(_, points)| [points[0], points[points.len() - 1]].iter().filter(|p| *p == dot).count())
                .sum();
            let n_stud = if *dot == ends[1] { 1 } else { 2 };
            if n_wires + n_stud != 3 {
                all.push(format!("{}: {} lines meet", element.id.name(), n_wires + n_stud));
            }
        }
    }
    all
}

/// Lettering on other lettering.
pub fn lettering_on_lettering(scene: &Scene) -> Vec<String> {
    let texts = texts(scene);
    let mut all = Vec::new();
    for (i, (a, room_a)) in texts.iter().enumerate() {
        for (b, room_b) in &texts[..i] {
            if a.id != b.id && room_a.overlaps(room_b) {
                all.push(format!("lettering: {} on {}", a.id.name(), b.id.name()));
            }
        }
    }
    all
}

/// Lettering on wires and symbols.
pub fn lettering_on_strokes(scene: &Scene) -> Vec<String> {
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
    let mut all = Vec::new();
    for (text, room) in texts(scene) {
        for (other, stroke) in &strokes {
            if text.id != other.id && room.overlaps(&stroke.grown(1)) {
                all.push(format!("lettering: {} on {}", text.id.name(), other.id.name()));
            }
        }
    }
    all
}

/// Earth points that stand no lower than everything else.
pub fn earths_that_are_not_lowest(network: &Network, scene: &Scene) -> Vec<String> {
    let is_earth = |id: &ElementId| match id {
        ElementId::Symbol(part, ..) => network.part(part).is_some_and(|part| part.kind.class == Class::Earth),
        _ => false,
    };
    let bodies = bodies(scene);
    let foot = bodies.iter().filter(|(symbol, _)| !is_earth(&symbol.id)).map(|(_, body)| body.bottom).max();
    (bodies.iter().filter(|(symbol, _)| is_earth(&symbol.id)))
        .filter(|(_, body)| foot.is_some_and(|foot| body.top <= foot))
        .map(|(symbol, _)| format!("{} is not below everything else", symbol.id.name()))
        .collect()
}

/// How much a reader has to follow: where wires cross, and their corners.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Default)]
pub struct Toil {
    /// Right-angled crossings between two wires.
    pub n_crossings: usize,
    /// Corners of wires.
    pub n_bends: usize,
}

impl Toil {
    /// Crossings and bends together.
    pub fn sum(self) -> usize {
        self.n_crossings + self.n_bends
    }
}

/// The crossings and bends of a drawing.
pub fn toil(scene: &Scene) -> Toil {
    let mut toil = Toil::default();
    for (_, points) in wire_paths(scene) {
        toil.n_bends += points.len().saturating_sub(2);
    }
    each_meeting(scene, |_, _, shared, points_a, points_b| {
        let point = Point::new(shared.left, shared.top);
        if !points_a.contains(&point) && !points_b.contains(&point) {
            toil.n_crossings += 1;
        }
    });
    toil
}
