//! Joints: another way of one, a splice at a terminal that is full, and one put into a wire.

use drawing::geometry::{Cell, Point, Turn};
use drawing::scene::{ElementId, Scene};
use engine::document::{Edit, EditError, Part, Pose, Wire};
use engine::given::Given;
use engine::ids::{PartId, TerminalRef, WireId};
use engine::kind::glyph::Side;
use engine::kind::{Form, Value, joint_of_wires};

use super::wire::{begin, finish, new_wire, proceed};
use super::{Tool, along};
use crate::ground::{free_shift, nearest_cell, taken, turned};
use crate::session::Session;
use engine::document::Labels;

/// Steps from a terminal to the splice that is put at it.
const TO_SPLICE: i32 = 5;

/// Gives a joint one more way, and starts or ends a wire there.
pub(super) fn widen(session: &mut Session, id: &PartId, landing: bool) -> Result<(), EditError> {
    let Some(part) = session.document().network.part(id) else { return Ok(()) };
    let counted = part.kind.values.iter().find(|spec| matches!(spec.form, Form::Count { .. }));
    let Some(spec) = counted else { return Ok(()) };
    let before = part.terminals();
    let mut wider = part.clone();
    wider.values.set(spec.name, Given::Known(Value::Number((before.len() + 1) as f64)));
    let new = wider.terminals().into_iter().find(|one| before.iter().all(|old| old.name != one.name));
    let Some(new) = new else { return Ok(()) };
    let way = TerminalRef { part: id.clone(), terminal: new.name };
    let change = Edit::ChangePart(wider);
    match session.tool.clone() {
        Tool::Wire { from: Some(from) } if landing => {
            let wire = new_wire(&session.document().network, &from, &way);
            finish(session, wire, vec![change], "")
        }
        _ => {
            let then = session.then_land.clone();
            let label = format!("another way of {}", session.titles(std::slice::from_ref(id), &[]));
            session.commit(&label, &[change], false)?;
            session.then_land = then;
            begin(session, way);
            Ok(())
        }
    }
}

/// What putting a splice takes: the edits, and the way of it that is left free.
struct Splicing {
    edits: Vec<Edit>,
    free: TerminalRef,
    /// The number of the next id is beyond those used here.
    wire: WireId,
    label: String,
}

/// Puts a splice at a terminal that is full: the wire that came last moves over to it, a short
/// wire joins both, and the third way is left.
pub(super) fn splice(session: &mut Session, terminal: &TerminalRef, landing: bool) -> Result<(), EditError> {
    let Some(splicing) = splice_at(session, terminal) else {
        return proceed(session, terminal.clone(), landing);
    };
    carry_on(
        session,
        splicing,
        landing,
        &format!("splice at {}", session.document().network.terminal_title(terminal)),
        "",
    )
}

/// Draws on from the free way of a splice, or lands there.
fn carry_on(
    session: &mut Session,
    splicing: Splicing,
    landing: bool,
    label: &str,
    more: &str,
) -> Result<(), EditError> {
    let Splicing { edits, free, wire, label: wire_label } = splicing;
    match session.tool.clone() {
        Tool::Wire { from: Some(from) } if landing => {
            let wire = Wire { label: wire_label, ..Wire::new(wire, from, free) };
            finish(session, wire, edits, more)
        }
        _ => {
            let then = session.then_land.clone();
            session.commit(label, &edits, false)?;
            session.then_land = then;
            begin(session, free);
            if session.notice.is_none() && !more.is_empty() {
                session.notice = Some(format!("Splice put{more}"));
            }
            Ok(())
        }
    }
}

fn new_splice(id: PartId, labels: &mut Labels) -> Part {
    let kind = joint_of_wires();
    let label = labels.part(kind.letter);
    Part::new(id, kind, label)
}

fn splice_at(session: &Session, terminal: &TerminalRef) -> Option<Splicing> {
    let network = &session.document().network;
    let last = network.wires_at(terminal).last()?.clone();
    let mut ids = network.fresh_ids();
    let mut labels = Labels::of(network);
    let part = new_splice(ids.part(), &mut labels);
    let way = |name: &str| TerminalRef::new(&part.id, name);
    let point = session.terminal_point(terminal, None)?;
    let side = side_of(session.scene(), terminal, point);
    // The short wire meets the way that faces the terminal: 1 lies above, 2 below, 3 to the right.
    let (link_way, moved_way, free, mirrored) = match side {
        Side::Down => ("1", "2", "3", false),
        Side::Up => ("2", "1", "3", false),
        Side::Left => ("3", "2", "1", false),
        Side::Right => ("3", "2", "1", true),
    };
    let wish = nearest_cell(point).towards(side, TO_SPLICE);
    let turn = Turn { quarters: 0, mirrored };
    let body = body_of(&part);
    let own = [turned(body, turn).moved(wish.x, wish.y)];
    let (dx, dy) = free_shift(&own, &taken(session.scene(), &[]), (0, 0));
    let pose = pose(&part, Cell::new(wish.x + dx, wish.y + dy), turn);
    let ends_here = last.to == *terminal;
    let link = Wire {
        label: labels.wire(),
        size: last.size,
        color: last.color,
        insulation: last.insulation,
        surroundings: last.surroundings,
        // What joined the wire to the terminal stays there.
        joint_from: if ends_here { last.joint_to.clone() } else { last.joint_from.clone() },
        ..Wire::new(ids.wire(), terminal.clone(), way(link_way))
    };
    let moved = if ends_here {
        Wire { to: way(moved_way), joint_to: None, ..last }
    } else {
        Wire { from: way(moved_way), joint_from: None, ..last }
    };
    let free = way(free);
    let edits =
        vec![Edit::Add { parts: vec![part], wires: vec![link], poses: vec![pose] }, Edit::ChangeWire(moved)];
    Some(Splicing { edits, free, wire: ids.wire(), label: labels.wire() })
}

/// Taps a wire: a splice is put into it, and a wire starts or ends there.
pub(super) fn tap_off(session: &mut Session, id: &WireId, near: Point) -> Result<(), EditError> {
    let network = &session.document().network;
    let Some(wire) = network.wire(id) else { return Ok(()) };
    if let Tool::Wire { from: Some(from) } = &session.tool
        && [&wire.from, &wire.to].contains(&from)
    {
        session.notice = Some(format!("{} ends on {} already", wire.title(), network.terminal_in_full(from)));
        return Ok(());
    }
    let Some(splicing) = splice_into(session, id, near) else { return Ok(()) };
    let (label, more) = (format!("splice in {}", wire.title()), along::about_length(wire));
    carry_on(session, splicing, true, &label, more)
}

fn splice_into(session: &Session, id: &WireId, near: Point) -> Option<Splicing> {
    let network = &session.document().network;
    let wire = network.wire(id)?;
    let mut ids = network.fresh_ids();
    let mut labels = Labels::of(network);
    let part = new_splice(ids.part(), &mut labels);
    let way = |name: &str| TerminalRef::new(&part.id, name);
    // The free way looks to where the wire comes from that will be joined to it.
    let other = match &session.tool {
        Tool::Wire { from: Some(from) } => session.terminal_point(from, Some(near)),
        _ => None,
    };
    let turn = |side: Side| {
        let from = other.unwrap_or(near);
        match side {
            Side::Up | Side::Down => Turn { quarters: 0, mirrored: from.x < near.x },
            // Turned by a quarter, way 1 lies to the right and way 2 to the left.
            Side::Left | Side::Right => Turn { quarters: 1, mirrored: from.y < near.y },
        }
    };
    let spot = along::free_spot(session, id, near, body_of(&part), &turn)?;
    let (first_way, second_way) = match spot.along {
        Side::Down | Side::Left => ("1", "2"),
        Side::Up | Side::Right => ("2", "1"),
    };
    let second = (ids.wire(), labels.wire());
    let [first, second] = along::halves(wire, way(first_way), way(second_way), second);
    let pose = pose(&part, spot.at, turn(spot.along));
    let free = way("3");
    let edits = vec![
        Edit::Add { parts: vec![part], wires: vec![second], poses: vec![pose] },
        Edit::ChangeWire(first),
    ];
    Some(Splicing { edits, free, wire: ids.wire(), label: labels.wire() })
}

fn body_of(part: &Part) -> (i32, i32, i32, i32) {
    (part.kind.views)(&part.values).first().map_or((0, 0, 0, 0), |view| view.body)
}

fn pose(part: &Part, at: Cell, turn: Turn) -> Pose {
    let view = (part.kind.views)(&part.values).first().map_or("main", |view| view.name);
    Pose {
        part: part.id.clone(),
        view: view.to_owned(),
        x: at.x,
        y: at.y,
        turn: turn.quarters,
        mirrored: turn.mirrored,
        pinned: false,
    }
}

/// The side of its symbol on which a terminal lies.
fn side_of(scene: &Scene, terminal: &TerminalRef, point: Point) -> Side {
    let body = scene.elements().iter().find_map(|element| {
        let here = matches!(&element.id, ElementId::Symbol(..))
            && element.contacts.iter().any(|one| one.terminal == *terminal && one.points.contains(&point));
        element.body.filter(|_| here)
    });
    let Some(body) = body else { return Side::Down };
    let sides = [
        (Side::Down, body.bottom - point.y),
        (Side::Up, point.y - body.top),
        (Side::Left, point.x - body.left),
        (Side::Right, body.right - point.x),
    ];
    sides.into_iter().min_by_key(|(_, far)| *far).map_or(Side::Down, |(side, _)| side)
}
