//! The wires of a drawing by the pieces they run through.

use std::collections::BTreeMap;

use drawing::geometry::{Point, Rect};
use drawing::scene::{Element, ElementId, Role, Scene, Shape};
use engine::ids::WireId;

use crate::cuts::holds;

/// A stretch of a wire on one piece.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Run {
    /// The piece, by index.
    pub piece: usize,
    /// Its corners, in the direction of the wire.
    pub points: Vec<Point>,
}

/// The runs of each line of a wire in its direction. Where one run follows another, the wire is cut between them.
pub fn runs(pieces: &[Rect], points: &[Point]) -> Vec<Run> {
    let mut runs: Vec<Run> = Vec::new();
    for (from, to) in points.iter().zip(points.iter().skip(1)) {
        for (piece, start, end) in legs(pieces, *from, *to) {
            match runs.last_mut() {
                Some(run) if run.piece == piece && run.points.last() == Some(&start) => run.points.push(end),
                _ => runs.push(Run { piece, points: vec![start, end] }),
            }
        }
    }
    runs.retain(|run| run.points.windows(2).any(|leg| leg[0] != leg[1]));
    runs
}

/// A straight leg of a wire by the pieces it runs through, in its own direction.
fn legs(pieces: &[Rect], from: Point, to: Point) -> Vec<(usize, Point, Point)> {
    let leg = Rect::new(from.x, from.y, to.x, to.y);
    let mut all: Vec<(i32, usize, Point, Point)> = Vec::new();
    for (index, rect) in pieces.iter().enumerate() {
        let here = |p: Point| Point::new(p.x.clamp(rect.left, rect.right), p.y.clamp(rect.top, rect.bottom));
        if rect.meets(&leg) {
            let (start, end) = (here(from), here(to));
            let along = (start.x - from.x).abs() + (start.y - from.y).abs();
            all.push((along, index, start, end));
        }
    }
    all.sort_unstable_by_key(|(along, index, ..)| (*along, *index));
    all.into_iter().map(|(_, index, start, end)| (index, start, end)).collect()
}

/// On which piece every thing but a wire is drawn: the one that its middle lies in, else the nearest. What is lettered
/// beside a symbol stands on the sheet of the symbol.
pub fn homes<'s>(scene: &'s Scene, pieces: &[Rect]) -> BTreeMap<&'s ElementId, usize> {
    let mut homes = BTreeMap::new();
    for element in scene.elements() {
        let symbol = match &element.id {
            ElementId::Wire(_) | ElementId::WireText(_) | ElementId::Link(_) => continue,
            ElementId::PartText(part, view, n)
            | ElementId::Stud(part, view, n, _)
            | ElementId::TerminalText(part, view, n, _) => {
                scene.element(&ElementId::Symbol(part.clone(), view, *n)).and_then(Element::bounds)
            }
            _ => None,
        };
        if let Some(bounds) = symbol.or_else(|| element.bounds()) {
            homes.insert(&element.id, home(pieces, bounds.center()));
        }
    }
    homes
}

fn home(pieces: &[Rect], at: Point) -> usize {
    let apart = |rect: &Rect| {
        let middle = rect.center();
        (middle.x - at.x).abs() + (middle.y - at.y).abs()
    };
    let nearest = || (0..pieces.len()).min_by_key(|index| apart(&pieces[*index])).unwrap_or(0);
    held(pieces, at).unwrap_or_else(nearest)
}

/// The piece that a point lies in.
pub fn held(pieces: &[Rect], at: Point) -> Option<usize> {
    pieces.iter().position(|rect| holds(rect, at))
}

/// The lines of an element that are a wire.
pub fn lines(element: &Element) -> impl Iterator<Item = (&WireId, Role, &Vec<Point>)> {
    element.shapes.iter().filter_map(|shape| match (&element.id, shape) {
        (ElementId::Wire(wire), Shape::Line(role @ Role::Wire(_), points)) => Some((wire, *role, points)),
        _ => None,
    })
}

/// The pieces on which something stands or a wire ends. Through the others wires only pass, and what is cut at them goes
/// on beyond.
pub fn needed(scene: &Scene, pieces: Vec<Rect>) -> Vec<Rect> {
    let mut is_needed = vec![false; pieces.len()];
    for element in scene.elements() {
        for (.., points) in lines(element) {
            let ends = points.first().into_iter().chain(points.last());
            ends.filter_map(|at| held(&pieces, *at)).for_each(|piece| is_needed[piece] = true);
        }
    }
    homes(scene, &pieces).into_values().for_each(|piece| is_needed[piece] = true);
    let mut is_needed = is_needed.into_iter();
    pieces.into_iter().filter(|_| is_needed.next().unwrap_or(true)).collect()
}

#[cfg(test)]
mod tests {
    use drawing::scene::{Layer, Weight};
    use engine::document::Status;
    use engine::ids::PartId;

    use super::*;

    fn at(x: i32) -> Point {
        Point::new(x, 500)
    }

    fn piece(left: i32) -> Rect {
        Rect::new(left, 0, left + 1000, 1000)
    }

    #[test]
    fn a_leg_is_cut_at_every_border_it_crosses() {
        let cut = legs(&[piece(0), piece(1000), piece(2000)], at(2500), at(500));
        assert_eq!(cut, [(2, at(2500), at(2000)), (1, at(2000), at(1000)), (0, at(1000), at(500))]);
    }

    #[test]
    fn what_is_lettered_beside_a_symbol_stands_on_its_sheet() {
        let part = PartId::new("p1").expect("an id");
        let element = |id: ElementId, middle: i32| {
            let mut element = Element::new(id, Layer::Symbols, Status::New);
            element.shapes.push(Shape::Circle(Role::Outline, at(middle), 100));
            element
        };
        let text = ElementId::PartText(part.clone(), "main", 0);
        let scene =
            Scene::new(vec![element(ElementId::Symbol(part, "main", 0), 800), element(text.clone(), 1200)]);
        let pieces = [piece(0), piece(1000)];
        assert_eq!(homes(&scene, &pieces).get(&text), Some(&0));
        assert_eq!(needed(&scene, pieces.to_vec()), [piece(0)]);
    }

    #[test]
    fn a_piece_that_wires_only_pass_is_left_out_and_the_wire_goes_on_beyond_it() {
        let id = ElementId::Wire(WireId::new("w1").expect("an id"));
        let mut wire = Element::new(id, Layer::Wires, Status::New);
        wire.shapes.push(Shape::Line(Role::Wire(Weight::Light), vec![at(500), at(2500)]));
        let pieces = vec![piece(0), piece(1000), piece(2000)];
        let kept = needed(&Scene::new(vec![wire.clone()]), pieces.clone());
        assert_eq!(kept, [piece(0), piece(2000)]);
        let run = |piece, from, to| Run { piece, points: vec![at(from), at(to)] };
        assert_eq!(runs(&kept, &[at(500), at(2500)]), [run(0, 500, 1000), run(1, 2000, 2500)]);
        // A symbol on it keeps it.
        let id = ElementId::Symbol(PartId::new("p1").expect("an id"), "main", 0);
        let mut symbol = Element::new(id, Layer::Symbols, Status::New);
        symbol.shapes.push(Shape::Circle(Role::Outline, at(1500), 100));
        assert_eq!(needed(&Scene::new(vec![wire, symbol]), pieces).len(), 3);
    }
}
