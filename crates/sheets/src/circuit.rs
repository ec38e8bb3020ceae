//! The circuit on its sheets, at a scale of 1:1.
//!
//! What does not fit on one sheet is cut into pieces. A wire that is cut ends at a lozenge on both sheets, and beside it
//! stands where it goes on: its name, the terminal it leads to, and sheet and zone of the other lozenge.

use std::collections::BTreeMap;

use drawing::draw::{cross_of_wire, draw};
use drawing::geometry::{Point, Rect};
use drawing::overlay::{Overlay, marks_within};
use drawing::scene::{Element, ElementId, Role, Scene, Shape};
use drawing::style::{Ink, looks};
use drawing::wire_words;
use engine::document::{Document, Network, Status};
use engine::ids::{TerminalRef, WireId};

use crate::bands::{closed, moved};
use crate::cuts::{Axis, Room, pieces};
use crate::lozenge::{End, Side, ZONE, lettered, reach, says};
use crate::packing::{Stand, packed};
use crate::page::{Form, Page};
use crate::runs::{Run, held, homes, lines, needed, runs};
use crate::set::{Mark, Paper};

/// Free space between frame and drawing.
const FREE: i32 = 250;

/// The sheets of the circuit, the first of which will be sheet `first` of the set.
pub fn pages(document: &Document, overlay: &Overlay, paper: Paper, first: usize, ink: Ink) -> Vec<Page> {
    let scene = closed(draw(&document.network, &document.placement));
    let (form, cut, stands) = best(&scene, &document.network, paper);
    let zone = |piece: usize, at: Point| {
        let Stand { sheet, by } = stands[piece];
        format!("{}/{}", first + sheet, form.frame().zone(at.moved(by.0, by.1)))
    };
    let n_sheets = stands.last().map_or(0, |stand| stand.sheet + 1);
    let mut pages = Vec::new();
    for sheet in 0..n_sheets {
        let mut elements = Vec::new();
        for (index, stand) in stands.iter().enumerate().filter(|(_, stand)| stand.sheet == sheet) {
            let words = lettered(&cut.ends(index, &zone), &cut.pieces[index], index);
            elements.extend(cut.elements(index).into_iter().chain([words]).map(|one| moved(one, stand.by)));
        }
        let part = Scene::new(elements);
        let marks = marks_within(&part, overlay, form.field().grown(-FREE));
        let all = part.elements().iter().chain(&marks).flat_map(|element| looks(element, ink));
        let marks = all.map(|(shape, look)| Mark { shape: shape.clone(), look }).collect();
        let name = match n_sheets {
            1 => "Circuit diagram".to_owned(),
            _ => format!("Circuit diagram {}", sheet + 1),
        };
        let state = overlay.situation.as_ref().map(|name| format!("Readings with switches: {name}."));
        let holds = vec!["Circuit diagram".to_owned()];
        pages.push(Page { name, holds, form, marks, state: state.unwrap_or_default() });
    }
    pages
}

/// How the drawing takes the fewest sheets, and of those the fewest pieces: lying or upright, cut along one axis first or
/// the other.
fn best<'s>(scene: &'s Scene, network: &'s Network, paper: Paper) -> (Form, Cut<'s>, Vec<Stand>) {
    let bounds = scene.bounds().unwrap_or(Rect::new(0, 0, 0, 0));
    let beside = |wire: &WireId| room_for_words(network, wire);
    let mut best: Option<(Form, Cut<'s>, Vec<Stand>)> = None;
    let count = |stands: &[Stand]| (stands.last().map_or(0, |stand| stand.sheet + 1), stands.len());
    for landscape in [true, false] {
        let form = Form { paper, landscape, full: None };
        let field = form.field().grown(-FREE);
        let across = (Axis::Across, Room { sheet: field.width(), beside: &beside });
        let down = (Axis::Down, Room { sheet: field.height(), beside: &beside });
        for (one, other) in [(down, across), (across, down)] {
            let mut pieces = needed(scene, pieces(scene, &bounds, one, other));
            if pieces.is_empty() {
                pieces.push(bounds);
            }
            let cut = Cut::of(scene, network, pieces);
            let wholes: Vec<Rect> = (0..cut.pieces.len()).map(|index| cut.with_words(index)).collect();
            let stands = packed(&wholes, &field);
            if best.as_ref().is_none_or(|(.., least)| count(&stands) < count(least)) {
                best = Some((form, cut, stands));
            }
        }
    }
    let nothing =
        || (Form { paper, landscape: true, full: None }, Cut::of(scene, network, Vec::new()), Vec::new());
    best.unwrap_or_else(nothing)
}

/// How far the words at a cut through a wire reach from it, whether they tell what it is or not.
fn room_for_words(network: &Network, wire: &WireId) -> i32 {
    let Some(wire) = network.wire(wire) else { return 0 };
    let (name, what) = wire_words(wire);
    let of = |end: &TerminalRef| ["", &what].map(|what| reach(&says(network, &name, what, end, ZONE)));
    [of(&wire.from), of(&wire.to)].concat().into_iter().max().unwrap_or(0)
}

/// A drawing in pieces.
struct Cut<'s> {
    scene: &'s Scene,
    network: &'s Network,
    pieces: Vec<Rect>,
    /// Every line of every wire, with its runs.
    wires: BTreeMap<&'s WireId, Vec<(Role, Vec<Run>)>>,
    /// On which piece every thing but a wire stands.
    homes: BTreeMap<&'s ElementId, usize>,
    /// On which piece the text of a wire stands; it is lost with a piece that is left out.
    named: BTreeMap<&'s WireId, usize>,
}

impl<'s> Cut<'s> {
    fn of(scene: &'s Scene, network: &'s Network, pieces: Vec<Rect>) -> Cut<'s> {
        let mut wires: BTreeMap<&WireId, Vec<(Role, Vec<Run>)>> = BTreeMap::new();
        for (wire, role, points) in scene.elements().iter().flat_map(lines) {
            wires.entry(wire).or_default().push((role, runs(&pieces, points)));
        }
        let texts = scene.elements().iter().filter_map(|element| match &element.id {
            ElementId::WireText(wire) => Some((wire, held(&pieces, element.bounds()?.center())?)),
            _ => None,
        });
        let named = engine::arrange::map_of(texts);
        let homes = homes(scene, &pieces);
        Cut { scene, network, pieces, wires, homes, named }
    }

    /// What lies on one piece.
    fn elements(&self, index: usize) -> Vec<Element> {
        let piece = &self.pieces[index];
        let mut elements = Vec::new();
        for element in self.scene.elements() {
            let is_here = match &element.id {
                ElementId::Wire(wire) => {
                    elements.extend(self.wire(element, wire, index));
                    false
                }
                ElementId::WireText(wire) => self.named.get(wire) == Some(&index),
                // A link that a cut would part says nothing on either sheet.
                ElementId::Link(_) => element.bounds().is_some_and(|bounds| piece.holds(&bounds)),
                id => self.homes.get(id) == Some(&index),
            };
            if !is_here {
                continue;
            }
            let mut own = element.clone();
            // What a cut could not spare moves inwards, off the words at the cut.
            let by = own.bounds().map_or((0, 0), |bounds| inwards(&bounds, piece));
            if matches!(own.id, ElementId::WireText(_) | ElementId::PartText(..)) && by != (0, 0) {
                own.shapes = own.shapes.iter().map(|shape| shape.moved(by.0, by.1)).collect();
            }
            elements.push(own);
        }
        elements
    }

    /// What of a wire lies on a piece.
    fn wire(&self, element: &Element, wire: &WireId, index: usize) -> Option<Element> {
        let mut own = Element { shapes: Vec::new(), ..element.clone() };
        for (role, runs) in self.wires.get(wire).into_iter().flatten() {
            let here = runs.iter().filter(|run| run.piece == index);
            own.shapes.extend(here.map(|run| Shape::Line(*role, run.points.clone())));
        }
        if own.shapes.is_empty() {
            return None;
        }
        // What else it has, such as the cross of a wire that comes out, stands where its middle is.
        let is_line = |shape: &&Shape| matches!(shape, Shape::Line(Role::Wire(_), _));
        let here = |shape: &&Shape| held(&self.pieces, shape.bounds().center()) == Some(index);
        own.shapes.extend(element.shapes.iter().filter(|shape| !is_line(shape)).filter(here).cloned());
        if element.status == Status::Remove {
            own.shapes.extend(cross_lacking(&own.shapes));
        }
        Some(own)
    }

    /// The room that a piece takes with the words at its cuts.
    fn with_words(&self, index: usize) -> Rect {
        let drawn = self.elements(index).iter().filter_map(Element::bounds).reduce(Rect::joined);
        let ends = self.ends(index, &|_, _| ZONE.to_owned());
        let far = ends.iter().map(End::far).map(|far| Rect::new(far.x, far.y, far.x, far.y));
        far.fold(drawn.unwrap_or(self.pieces[index]), Rect::joined)
    }

    /// Where wires leave a piece; `zone` tells where a point of a piece lies in the set.
    fn ends(&self, index: usize, zone: &dyn Fn(usize, Point) -> String) -> Vec<End> {
        let mut ends = Vec::new();
        for (id, lines) in &self.wires {
            // Most wires are on one piece, and need no looking up.
            if lines.iter().all(|(_, runs)| runs.len() < 2) {
                continue;
            }
            let Some(wire) = self.network.wire(id) else { continue };
            let (name, what) = wire_words(wire);
            let what = if self.named.get(id) == Some(&index) { "" } else { what.as_str() };
            let mut end = |at: &[Point], terminal: &TerminalRef, piece: usize, beyond: Option<&Point>| {
                let ([at, inside], Some(beyond)) = (at, beyond) else { return };
                let says = says(self.network, &name, what, terminal, &zone(piece, *beyond));
                ends.push(End { at: *at, side: Side::of(*inside, *at), says });
            };
            for two in lines.iter().flat_map(|(_, runs)| runs.windows(2)) {
                let [before, after] = two else { continue };
                if before.piece == index
                    && let [.., inside, at] = before.points.as_slice()
                {
                    end(&[*at, *inside], &wire.to, after.piece, after.points.first());
                }
                if after.piece == index
                    && let [at, inside, ..] = after.points.as_slice()
                {
                    end(&[*at, *inside], &wire.from, before.piece, before.points.last());
                }
            }
        }
        ends
    }
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
