//! What lies under and over the drawing while it is worked on: halos of what is selected, the current
//! path that is lit or what blocks it, terminals to tap, and what a gesture would do.
//!
//! Everything here is plain markup in hundredths of a millimetre; it is never part of the drawing itself.

use drawing::board::stand;
use drawing::geometry::{Point, STEP};
use drawing::scene::{Element, ElementId, Role, Scene, Shape};
use editor::{Preview, Selection, Session, Tool};
use engine::answer::LitPath;
use engine::document::Pose;
use engine::ids::{PartId, TerminalRef, WireId};
use engine::kind::Values;
use engine::post::Spot;
use engine::subject::Subject;

/// Room between a symbol and the border of its halo.
const ROOM: i32 = 90;

/// Radius of the ring at a terminal.
const RING: i32 = 70;

/// What lies under the drawing: halos of the selection, of the lit path, and of what a report asks to look at.
pub fn under(session: &Session, lit: Option<&LitPath>, spot: Option<&Spot>) -> String {
    let mut markup = String::new();
    let scene = session.scene();
    if let Some(path) = lit {
        let wires = |wire: &WireId| path.wires.contains(wire);
        let network = &session.document().network;
        let ends: Vec<&TerminalRef> = network
            .wires
            .iter()
            .filter(|wire| wires(&wire.id))
            .flat_map(|wire| [&wire.from, &wire.to])
            .collect();
        let is_met =
            |element: &Element| element.contacts.iter().any(|contact| ends.contains(&&contact.terminal));
        let of =
            |element: &Element, part: &PartId| matches!(&element.id, ElementId::Symbol(id, ..) if id == part);
        // The coil of a relay does not lie on the path through its contact.
        let symbols = |part: &PartId, symbol: &Element| {
            path.parts.contains(part)
                && (is_met(symbol)
                    || !scene.elements().iter().any(|element| of(element, part) && is_met(element)))
        };
        halos(&mut markup, scene, "lit", &symbols, &wires);
        halos(&mut markup, scene, "blocked", &|part, _| path.blocked_by.contains(part), &|_| false);
    }
    if let Some(Spot { at, .. }) = spot {
        let is_at = |subject: Subject| at.contains(&subject);
        let part = |part: &PartId, _: &Element| is_at(Subject::Part(part.clone()));
        halos(&mut markup, scene, "lit", &part, &|wire| is_at(Subject::Wire(wire.clone())));
    }
    let Selection { parts, wires } = session.selection();
    halos(&mut markup, scene, "picked", &|part, _| parts.contains(part), &|wire| wires.contains(wire));
    markup
}

fn halos(
    markup: &mut String,
    scene: &Scene,
    class: &str,
    symbol: &dyn Fn(&PartId, &Element) -> bool,
    wire: &dyn Fn(&WireId) -> bool,
) {
    for element in scene.elements() {
        match &element.id {
            ElementId::Wire(id) if wire(id) => {
                if let Some(points) = course(element) {
                    line(markup, class, points);
                }
            }
            ElementId::Symbol(id, ..) if symbol(id, element) => frame(markup, class, element),
            _ => {}
        }
    }
}

/// The points of a wire.
fn course(element: &Element) -> Option<&[Point]> {
    element.shapes.iter().find_map(|shape| match shape {
        Shape::Line(Role::Wire(_), points) => Some(points.as_slice()),
        _ => None,
    })
}

fn frame(markup: &mut String, class: &str, element: &Element) {
    let Some(bounds) = element.bounds() else { return };
    let room = bounds.grown(ROOM);
    markup.push_str(&format!(
        "<rect class=\"{class}\" x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" rx=\"{ROOM}\"/>",
        room.left,
        room.top,
        room.width(),
        room.height()
    ));
}

fn line(markup: &mut String, class: &str, points: &[Point]) {
    markup.push_str("<polyline class=\"");
    markup.push_str(class);
    markup.push_str("\" points=\"");
    for point in points {
        markup.push_str(&format!("{},{} ", point.x, point.y));
    }
    markup.push_str("\"/>");
}

fn ring(markup: &mut String, class: &str, at: Point, radius: i32) {
    markup.push_str(&format!("<circle class=\"{class}\" cx=\"{}\" cy=\"{}\" r=\"{radius}\"/>", at.x, at.y));
}

/// What lies over the drawing between gestures: rings at terminals that can be tapped.
pub fn over(session: &Session) -> String {
    let mut markup = String::new();
    let (all, from) = match session.tool() {
        Tool::Wire { from } => (true, from.as_ref()),
        Tool::Select => (false, None),
        Tool::Put { .. } | Tool::Try => return markup,
    };
    let network = &session.document().network;
    for element in session.scene().elements() {
        for contact in &element.contacts {
            let Some(at) = contact.points.last() else { continue };
            let armed = from == Some(&contact.terminal);
            if armed {
                ring(&mut markup, "armed", *at, 2 * RING);
            } else if all || network.wires_at(&contact.terminal).next().is_none() {
                ring(&mut markup, if all { "open ready" } else { "open" }, *at, RING);
            }
        }
    }
    markup
}

/// The marks of what is kept in its place: a pin that points at the upper left corner of each symbol.
pub fn kept(session: &Session) -> String {
    let mut markup = String::new();
    let poses = &session.document().placement.poses;
    for (index, pose) in poses.iter().enumerate().filter(|(_, pose)| pose.pinned) {
        // A symbol that is there several times has a pose for each, in their order.
        let is_same = |other: &&Pose| (&other.part, &other.view) == (&pose.part, &pose.view);
        let repetition = poses[..index].iter().filter(is_same).count();
        let is_its = |element: &&Element| match &element.id {
            ElementId::Symbol(part, view, number) => {
                (part, *view, *number as usize) == (&pose.part, pose.view.as_str(), repetition)
            }
            _ => false,
        };
        let symbol = session.scene().elements().iter().find(is_its);
        if let Some(bounds) = symbol.and_then(Element::bounds) {
            let (x, y) = (bounds.left - ROOM, bounds.top - ROOM);
            markup.push_str(&format!("<path class=\"pin\" d=\"M{x} {y}l-75 -160a110 110 0 1 1 150 0z\"/>"));
        }
    }
    markup
}

/// What a gesture shows before it is released.
pub fn gesture(session: &Session, preview: &Preview) -> String {
    let mut markup = String::new();
    for (_, points) in &preview.wires {
        line(&mut markup, "rubber", points);
    }
    if let Some((from, to)) = preview.rubber {
        line(&mut markup, "rubber", &[from, to]);
    }
    if let Some((kind, cell)) = &preview.ghost {
        let at = cell.point();
        markup.push_str(&format!("<g class=\"ghost\" transform=\"translate({} {})\">", at.x, at.y));
        let values = Values::default();
        for (view, (_, stands)) in (kind.views)(&values).iter().zip(stand(kind, &values)) {
            let (left, top, right, bottom) = view.body;
            markup.push_str(&format!(
                "<rect x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" rx=\"{ROOM}\"/>",
                (left + stands.x) * STEP,
                (top + stands.y) * STEP,
                (right - left) * STEP,
                (bottom - top) * STEP
            ));
        }
        markup.push_str("</g>");
    }
    if let Some(at) = preview.target.as_ref().and_then(|terminal| meeting_point(session.scene(), terminal)) {
        ring(&mut markup, "target", at, 2 * RING);
    }
    markup
}

/// Where a terminal is met first.
fn meeting_point(scene: &Scene, terminal: &TerminalRef) -> Option<Point> {
    let contacts = scene.elements().iter().flat_map(|element| &element.contacts);
    contacts
        .filter(|contact| contact.terminal == *terminal)
        .find_map(|contact| contact.points.last().copied())
}
