//! The circuit on its sheets, at a scale of 1:1.
//!
//! What does not fit on one sheet is cut into pieces. A wire that is cut ends at a lozenge on both sheets, and beside it
//! stands where it goes on: its name, the terminal it leads to, and sheet and zone of the other lozenge.

use drawing::draw::{cross_of_wire, draw};
use drawing::geometry::{Point, Rect};
use drawing::overlay::{Overlay, marks_within};
use drawing::scene::{Anchor, Element, ElementId, Layer, Lettering, Role, Scene, Shape};
use drawing::style::{Ink, looks};
use drawing::text::{HEIGHT, clean, cut, width};
use engine::document::{Document, Network, Status};
use engine::ids::{TerminalRef, WireId};

use crate::cuts::{Axis, Room, holds, pieces};
use crate::page::{Form, Page};
use crate::set::{Mark, Paper};

/// Free space between frame and drawing.
const FREE: i32 = 250;

/// How far words stand from the cut, and from the end of the line that leads to them.
const AWAY: i32 = 350;
const GAP: i32 = 60;

/// From one line of words at a cut to the next.
const PITCH: i32 = 360;

/// Half the height of a lozenge.
const LOZENGE: i32 = 90;

/// A piece of the drawing and where it lies.
struct Piece {
    /// Its part of the drawing.
    rect: Rect,
    /// The place of the sheet that its middle comes to stand on, less its middle.
    by: (i32, i32),
}

/// A wire at a cut, seen from one of the two pieces.
struct End {
    /// Where it is cut.
    at: Point,
    /// From which side of the piece it leaves.
    side: Side,
    /// What stands there.
    says: String,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Side {
    Left,
    Right,
    Top,
    Bottom,
}

impl Side {
    /// One step out of the piece.
    fn outwards(self) -> (i32, i32) {
        match self {
            Side::Left => (-1, 0),
            Side::Right => (1, 0),
            Side::Top => (0, -1),
            Side::Bottom => (0, 1),
        }
    }
}

/// The sheets of the circuit, the first of which will be sheet `first` of the set.
pub fn pages(document: &Document, overlay: &Overlay, paper: Paper, first: usize, ink: Ink) -> Vec<Page> {
    let scene = draw(&document.network, &document.placement);
    let bounds = scene.bounds().unwrap_or(Rect::new(0, 0, 0, 0));
    let beside = |wire: &WireId| room_for_words(&document.network, wire);
    let (form, rects) = best(&scene, &bounds, paper, &beside);
    let field = form.field().grown(-FREE);
    let network = &document.network;
    // Where wires are cut, first without the zones, which depend on where the pieces stand.
    let mut pieces: Vec<Piece> = rects.into_iter().map(|rect| Piece { rect, by: (0, 0) }).collect();
    for index in 0..pieces.len() {
        let (elements, ends) = part_of(&scene, network, &pieces, index, &|_, _| String::new());
        let drawn = elements.iter().filter_map(Element::bounds).reduce(Rect::joined);
        let mut whole = drawn.unwrap_or(pieces[index].rect);
        for end in &ends {
            let (dx, dy) = end.side.outwards();
            let reach = reach(&format!("{}{ZONE}", end.says));
            let far = end.at.moved(dx * reach, dy * reach);
            whole = whole.joined(Rect::new(far.x, far.y, far.x, far.y));
        }
        let (to, from) = (field.center(), whole.center());
        pieces[index].by = (to.x - from.x, to.y - from.y);
    }
    let zone = |piece: usize, at: Point| {
        let at = at.moved(pieces[piece].by.0, pieces[piece].by.1);
        format!("{}/{}", first + piece, form.frame().zone(at))
    };
    let mut pages = Vec::new();
    for (index, piece) in pieces.iter().enumerate() {
        let (mut elements, ends) = part_of(&scene, network, &pieces, index, &zone);
        elements.push(lettered(&ends, piece, index));
        let part = Scene::new(elements);
        let bounds = field.moved(-piece.by.0, -piece.by.1);
        let marks = marks_within(&part, overlay, bounds);
        let all = part.elements().iter().chain(&marks).flat_map(|element| looks(element, ink));
        let marks =
            all.map(|(shape, look)| Mark { shape: shape.moved(piece.by.0, piece.by.1), look }).collect();
        let name = match pieces.len() {
            1 => "Circuit diagram".to_owned(),
            _ => format!("Circuit diagram {}", index + 1),
        };
        let state = overlay.situation.as_ref().map(|name| format!("Readings with switches: {name}."));
        let holds = vec!["Circuit diagram".to_owned()];
        pages.push(Page { name, holds, form, marks, state: state.unwrap_or_default() });
    }
    pages
}

/// How the drawing takes the fewest sheets: lying or upright, cut along one axis first or the other.
fn best(scene: &Scene, bounds: &Rect, paper: Paper, beside: &dyn Fn(&WireId) -> i32) -> (Form, Vec<Rect>) {
    let mut best: Option<(Form, Vec<Rect>)> = None;
    for landscape in [true, false] {
        let form = Form { paper, landscape, full: false };
        let field = form.field().grown(-FREE);
        let across = (Axis::Across, Room { sheet: field.width(), beside });
        let down = (Axis::Down, Room { sheet: field.height(), beside });
        for (one, other) in [(down, across), (across, down)] {
            let pieces = pieces(scene, bounds, one, other);
            if best.as_ref().is_none_or(|(_, least)| pieces.len() < least.len()) {
                best = Some((form, pieces));
            }
        }
    }
    let (form, mut pieces) = best.unwrap_or((Form { paper, landscape: true, full: false }, Vec::new()));
    if pieces.is_empty() {
        pieces.push(*bounds);
    }
    (form, pieces)
}

/// A sheet and its zone as wide as they may be in words at a cut.
const ZONE: &str = "00/A0";

/// How far the words at a cut through a wire reach from it.
fn room_for_words(network: &Network, wire: &WireId) -> i32 {
    let Some(wire) = network.wire(wire) else { return 0 };
    let of = |end: &TerminalRef| reach(&says(network, wire.title(), end, ZONE));
    of(&wire.from).max(of(&wire.to))
}

/// How far words at a cut reach from it.
fn reach(says: &str) -> i32 {
    width(says, HEIGHT) + AWAY + 2 * GAP
}

/// Which piece a thing is drawn on: the one that its middle lies in.
fn home(pieces: &[Piece], at: Point) -> usize {
    let inside = |piece: &Piece| holds(&piece.rect, at);
    let apart = |piece: &Piece| {
        let middle = piece.rect.center();
        (middle.x - at.x).abs() + (middle.y - at.y).abs()
    };
    let nearest = || (0..pieces.len()).min_by_key(|index| apart(&pieces[*index])).unwrap_or(0);
    pieces.iter().position(inside).unwrap_or_else(nearest)
}

/// What of a drawing lies on one piece, and where wires leave it.
fn part_of(
    scene: &Scene,
    network: &Network,
    pieces: &[Piece],
    index: usize,
    zone: &dyn Fn(usize, Point) -> String,
) -> (Vec<Element>, Vec<End>) {
    let mut elements = Vec::new();
    let mut ends = Vec::new();
    for element in scene.elements() {
        let mut own = Element { shapes: Vec::new(), ..element.clone() };
        for shape in &element.shapes {
            match (&element.id, shape) {
                (ElementId::Wire(wire), Shape::Line(role @ Role::Wire(_), points)) => {
                    let wire = network.wire(wire);
                    let mut run: Vec<Point> = Vec::new();
                    for (from, to) in points.iter().zip(points.iter().skip(1)) {
                        for (piece, start, end) in legs(pieces, *from, *to) {
                            if piece != index {
                                continue;
                            }
                            if run.last() != Some(&start) {
                                // It comes in from elsewhere, or begins here.
                                if run.len() > 1 {
                                    own.shapes.push(Shape::Line(*role, std::mem::take(&mut run)));
                                }
                                run = vec![start];
                                if start != *from {
                                    let says = wire.map(|wire| (wire.title(), &wire.from));
                                    ends.extend(end_at(network, pieces, index, start, *from, says, zone));
                                }
                            }
                            run.push(end);
                            if end != *to {
                                let says = wire.map(|wire| (wire.title(), &wire.to));
                                ends.extend(end_at(network, pieces, index, end, *to, says, zone));
                            }
                        }
                    }
                    if run.len() > 1 {
                        own.shapes.push(Shape::Line(*role, run));
                    }
                }
                // The cross of a wire that comes out stands where its middle is, the rest with its element.
                (ElementId::Wire(_), shape) if home(pieces, shape.bounds().center()) == index => {
                    own.shapes.push(shape.clone());
                }
                (ElementId::Wire(_), _) => {}
                (_, shape) => own.shapes.push(shape.clone()),
            }
        }
        if let (ElementId::Wire(_), Status::Remove) = (&element.id, element.status) {
            own.shapes.extend(cross_lacking(&own.shapes));
        }
        let is_here = match &element.id {
            ElementId::Wire(_) => !own.shapes.is_empty(),
            // A link that a cut would part says nothing on either sheet.
            ElementId::Link(_) => element.bounds().is_some_and(|bounds| pieces[index].rect.holds(&bounds)),
            _ => element.bounds().is_some_and(|bounds| home(pieces, bounds.center()) == index),
        };
        if is_here {
            // What a cut could not spare moves inwards, off the words at the cut.
            let by = own.bounds().map_or((0, 0), |bounds| inwards(&bounds, &pieces[index].rect));
            if matches!(own.id, ElementId::WireText(_) | ElementId::PartText(..)) && by != (0, 0) {
                own.shapes = own.shapes.iter().map(|shape| shape.moved(by.0, by.1)).collect();
            }
            elements.push(own);
        }
    }
    (elements, ends)
}

/// The cross of a wire that comes out, on a piece of it that has none yet.
fn cross_lacking(shapes: &[Shape]) -> Vec<Shape> {
    if shapes.iter().any(|shape| matches!(shape, Shape::Line(Role::Cross, _))) {
        return Vec::new();
    }
    let legs = shapes.iter().filter_map(|shape| match shape {
        Shape::Line(Role::Wire(_), points) => Some(points.windows(2)),
        _ => None,
    });
    let length = |leg: &&[Point]| (leg[0].x - leg[1].x).abs() + (leg[0].y - leg[1].y).abs();
    legs.flatten().max_by_key(length).map_or_else(Vec::new, cross_of_wire)
}

/// How far a rectangle must move to lie within another, as far as it fits.
fn inwards(rect: &Rect, within: &Rect) -> (i32, i32) {
    let by = |(low, high): (i32, i32), (least, most): (i32, i32)| {
        if high > most { (most - high).max(least - low).min(0) } else { (least - low).max(0) }
    };
    (
        by(Axis::Across.span(rect), Axis::Across.span(within)),
        by(Axis::Down.span(rect), Axis::Down.span(within)),
    )
}

/// A straight leg of a wire by the pieces it runs through, in its own direction.
fn legs(pieces: &[Piece], from: Point, to: Point) -> Vec<(usize, Point, Point)> {
    let leg = Rect::new(from.x, from.y, to.x, to.y);
    let mut all: Vec<(i32, usize, Point, Point)> = Vec::new();
    for (index, Piece { rect, .. }) in pieces.iter().enumerate() {
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

/// The end of a wire that leaves a piece at `at` towards `beyond`.
fn end_at(
    network: &Network,
    pieces: &[Piece],
    index: usize,
    at: Point,
    beyond: Point,
    leads: Option<(&str, &TerminalRef)>,
    zone: &dyn Fn(usize, Point) -> String,
) -> Option<End> {
    let (name, terminal) = leads?;
    let side = match ((beyond.x - at.x).signum(), (beyond.y - at.y).signum()) {
        (1, _) => Side::Right,
        (-1, _) => Side::Left,
        (_, 1) => Side::Bottom,
        _ => Side::Top,
    };
    let (dx, dy) = side.outwards();
    let other = pieces.iter().position(|piece| holds(&piece.rect, at.moved(dx, dy)));
    let other = other.filter(|other| *other != index)?;
    Some(End { at, side, says: says(network, name, terminal, &zone(other, at)) })
}

/// What stands at a cut: the wire, where it leads, sheet and zone.
fn says(network: &Network, name: &str, terminal: &TerminalRef, zone: &str) -> String {
    /// Widest name of a wire, and of a terminal with its part.
    const WIDEST: i32 = 1500;
    let full = clean(&network.terminal_title(terminal));
    // Of a long name the terminal stays: it is what one looks for.
    let to = match full.rsplit_once(':') {
        Some((part, name)) if width(&full, HEIGHT) > WIDEST => {
            let left = WIDEST - width(&format!(":{name}"), HEIGHT);
            format!("{}:{name}", cut(part, HEIGHT, left.max(WIDEST / 3)))
        }
        _ => full,
    };
    format!("{} to {to} {zone}", cut(&clean(name), HEIGHT, WIDEST))
}

/// Lozenges and words at the cuts of a piece, the words apart from each other.
fn lettered(ends: &[End], piece: &Piece, index: usize) -> Element {
    let id = ElementId::Reading(format!("cuts.{index}"));
    let mut element = Element::new(id, Layer::Text, Status::New);
    for side in [Side::Left, Side::Right, Side::Top, Side::Bottom] {
        let upright = matches!(side, Side::Top | Side::Bottom);
        let along = |at: Point| if upright { at.x } else { at.y };
        let mut here: Vec<&End> = ends.iter().filter(|end| end.side == side).collect();
        here.sort_by_key(|end| along(end.at));
        here.dedup_by(|a, b| a.at == b.at && a.says == b.says);
        let span =
            if upright { (piece.rect.left, piece.rect.right) } else { (piece.rect.top, piece.rect.bottom) };
        let places = spread(&here.iter().map(|end| along(end.at)).collect::<Vec<_>>(), span);
        for (end, place) in here.into_iter().zip(places) {
            element.shapes.extend(mark(end, place));
        }
    }
    element
}

/// Places at least a line apart and as near to where they are wanted as goes, in order.
fn spread(wanted: &[i32], (low, high): (i32, i32)) -> Vec<i32> {
    let mut places = Vec::with_capacity(wanted.len());
    let mut next = low;
    for at in wanted {
        let place = (*at).max(next);
        places.push(place);
        next = place + PITCH;
    }
    // What was pushed beyond the end moves back, and what is in its way with it.
    let mut last = high.max(low + (wanted.len() as i32 - 1) * PITCH);
    for place in places.iter_mut().rev() {
        *place = (*place).min(last);
        last = *place - PITCH;
    }
    places
}

/// One lozenge with its words; where they had to give way, a thin line leads to them.
fn mark(end: &End, place: i32) -> Vec<Shape> {
    let Point { x, y } = end.at;
    let (dx, dy) = end.side.outwards();
    let center = end.at.moved(dx * LOZENGE, dy * LOZENGE);
    let corners = [(LOZENGE, 0), (0, LOZENGE), (-LOZENGE, 0), (0, -LOZENGE)];
    let lozenge = corners.iter().map(|(x, y)| center.moved(*x, *y)).collect();
    let upright = dy != 0;
    let foot = if upright { Point::new(place, y + dy * AWAY) } else { Point::new(x + dx * AWAY, place) };
    let from = end.at.moved(dx * 2 * LOZENGE, dy * 2 * LOZENGE);
    let long = width(&end.says, HEIGHT).max(1);
    let (at, anchor) = match end.side {
        Side::Right => (foot.moved(GAP, HEIGHT / 2), Anchor::Start),
        Side::Left => (foot.moved(-GAP, HEIGHT / 2), Anchor::End),
        // Upright words begin below and end above.
        Side::Top => (foot.moved(HEIGHT / 2, -GAP), Anchor::Start),
        Side::Bottom => (foot.moved(HEIGHT / 2, GAP + long), Anchor::Start),
    };
    vec![
        Shape::Line(Role::Leader, vec![from, foot]),
        Shape::Area(Role::Card, lozenge),
        Shape::Text(Lettering {
            text: end.says.clone(),
            at,
            anchor,
            height: HEIGHT,
            upright,
            role: Role::Lettering,
        }),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_at_a_cut_stand_a_line_apart_and_in_order() {
        for wanted in [vec![0, 0, 0], vec![0, 250, 500, 750], vec![100, 9_900, 9_950, 10_000], vec![5_000]] {
            let places = spread(&wanted, (0, 10_000));
            assert!(places.windows(2).all(|two| two[1] - two[0] >= PITCH), "{places:?}");
            assert!(places.iter().all(|place| (0..=10_000).contains(place)), "{places:?}");
        }
    }

    #[test]
    fn a_leg_is_cut_at_every_border_it_crosses() {
        let piece = |left, right| Piece { rect: Rect::new(left, 0, right, 1000), by: (0, 0) };
        let pieces = [piece(0, 1000), piece(1000, 2000), piece(2000, 3000)];
        let cut = legs(&pieces, Point::new(2500, 500), Point::new(500, 500));
        let at = |x| Point::new(x, 500);
        assert_eq!(cut, [(2, at(2500), at(2000)), (1, at(2000), at(1000)), (0, at(1000), at(500))]);
    }
}
