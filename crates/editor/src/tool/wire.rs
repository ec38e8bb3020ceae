//! Drawing wires, by taps, by drags, or from lists and keys: all by the same rules.

use drawing::geometry::{Cell, Point, Turn};
use drawing::hit::Target;
use drawing::scene::{ElementId, Scene};
use engine::document::{Edit, EditError, Network, Part, Pose, Status, Wire};
use engine::given::Given;
use engine::ids::{PartId, TerminalRef, WireId};
use engine::kind::glyph::Side;
use engine::kind::{Form, Value, joint_of_wires};

use super::{Drag, SYMBOL_REACH, Tool, WIRE_REACH, WIRING_REACH, along};
use crate::gesture::Screen;
use crate::ground::{free_shift, nearest_cell, taken, turned};
use crate::naming::Labels;
use crate::offer::Offer;
use crate::session::{Selection, Session};

/// Two terminals whose distances from a tap differ by less than this, in pixels, may both be
/// meant.
const ALIKE: f64 = 8.0;

/// Steps from a terminal to the splice that is put at it.
const TO_SPLICE: i32 = 5;

impl Session {
    /// Starts a wire at a terminal, as a tap on it does.
    pub fn start_wire(&mut self, from: &TerminalRef) {
        self.notice = None;
        start(self, from);
        self.refresh_preview();
    }

    /// Ends the wire that was started on a terminal, as a tap on it does.
    pub fn land_wire(&mut self, to: &TerminalRef) {
        self.notice = None;
        land(self, to);
        self.refresh_preview();
    }

    /// Answers the open question by the choice of this number.
    pub fn accept(&mut self, choice: usize) {
        let Some(offer) = self.offer.take() else { return };
        self.notice = None;
        if let Err(error) = answer(self, offer, choice) {
            self.notice = Some(error.to_string());
        }
        self.refresh_preview();
    }

    /// Leaves the open question unanswered.
    pub fn dismiss(&mut self) {
        self.offer = None;
        self.then_land = None;
    }

    /// Starts a wire at the selected part, or ends the one started there.
    pub(crate) fn wire_by_key(&mut self) -> bool {
        let Some(part) = self.selection().parts.last().cloned() else { return false };
        self.notice = None;
        self.close_step();
        choose_of(self, &part);
        self.refresh_preview();
        true
    }
}

/// Whether all terminals of a part are one point, so that any of them will do.
fn is_joint(part: &Part) -> bool {
    (part.kind.views)(&part.values).iter().any(|view| view.swappable)
}

/// The terminals out of `near`, with their distances, that may be meant: the nearest, and those
/// hardly further away. Of a joint one stands for all.
pub(super) fn not_clearly_one(session: &Session, near: &[(TerminalRef, i32)]) -> Vec<TerminalRef> {
    let network = &session.document().network;
    let nearest = near.first().map_or(0, |(_, distance)| *distance);
    let mut all: Vec<TerminalRef> = Vec::new();
    for (terminal, distance) in near {
        let close = distance - nearest < session.view.length(ALIKE);
        let same_point = all.iter().any(|other| {
            other == terminal
                || (other.part == terminal.part && network.part(&other.part).is_some_and(is_joint))
        });
        if close && !same_point {
            all.push(terminal.clone());
        }
    }
    all
}

/// The terminals that a tap here may mean.
fn terminals_at(session: &Session, at: Screen) -> Vec<TerminalRef> {
    let hits = session.hits(at, WIRING_REACH, 0.0, 0.0);
    let near: Vec<(TerminalRef, i32)> = (hits.into_iter())
        .filter_map(|hit| match hit.target {
            Target::Terminal { terminal, .. } => Some((terminal, hit.distance)),
            _ => None,
        })
        .collect();
    not_clearly_one(session, &near)
}

pub(super) fn tap(session: &mut Session, at: Screen) {
    take_end(session, at, true);
}

/// Starts or ends a wire at what lies at a point of the screen.
fn take_end(session: &mut Session, at: Screen, by_tap: bool) {
    let terminals = terminals_at(session, at);
    match terminals.as_slice() {
        [] => {}
        [only] => return choose(session, only),
        _ => {
            session.offer = Some(Offer::WhichTerminal(terminals));
            return;
        }
    }
    for hit in session.hits(at, 0.0, SYMBOL_REACH, WIRE_REACH) {
        match hit.target {
            Target::Symbol { part, .. } => return choose_of(session, &part),
            Target::Wire(wire) => {
                if let Err(error) = tap_off(session, &wire, at) {
                    session.notice = Some(error.to_string());
                }
                return;
            }
            Target::Terminal { .. } => {}
        }
    }
    // Empty ground ends it, but the tool stays in hand as long as no wire was started.
    if matches!(session.tool, Tool::Wire { from: Some(_) }) || !by_tap {
        session.tool = Tool::Select;
    }
}

pub(super) fn begin_drag(session: &Session, from: Screen) -> Drag {
    match terminals_at(session, from).into_iter().next() {
        Some(terminal) => Drag::Wire(terminal),
        None => Drag::Pan(session.view),
    }
}

/// Shows the wire that is being drawn, and the terminal it would take.
pub(super) fn follow(session: &mut Session, from: Option<TerminalRef>, at: Screen) {
    let target = terminals_at(session, at).into_iter().next();
    let to = session.view.to_drawing(at);
    if let Some(from) = from {
        let start = session.terminal_point(&from, Some(to));
        let end = target.as_ref().and_then(|target| session.terminal_point(target, Some(to))).unwrap_or(to);
        session.preview.rubber = start.map(|start| (start, end));
        session.preview.target = target.filter(|target| *target != from);
    } else {
        session.preview.target = target;
    }
}

/// A drag from a terminal is a tap on it and a tap where it ends.
pub(super) fn drop(session: &mut Session, start_at: &TerminalRef, to: Screen) {
    let tool = session.tool.clone();
    if !matches!(&tool, Tool::Wire { from: Some(from) } if from == start_at) {
        session.tool = Tool::Wire { from: None };
        start(session, start_at);
    }
    if session.offer.is_some() {
        // The question about the start comes first; then the wire goes where it was dragged.
        session.then_land = terminals_at(session, to).into_iter().next();
        return;
    }
    take_end(session, to, false);
}

/// Starts a wire here, or ends the one that was started.
fn choose(session: &mut Session, terminal: &TerminalRef) {
    if matches!(session.tool, Tool::Wire { from: Some(_) }) {
        land(session, terminal);
    } else {
        start(session, terminal);
    }
}

/// The same at a part as a whole: asks for the terminal where there are several.
fn choose_of(session: &mut Session, part: &PartId) {
    let Some(found) = session.document().network.part(part) else { return };
    let joint = is_joint(found);
    let mut terminals: Vec<TerminalRef> = (found.terminals().into_iter())
        .map(|terminal| TerminalRef { part: part.clone(), terminal: terminal.name })
        .collect();
    if joint || terminals.len() == 1 {
        terminals.truncate(1);
    }
    match terminals.as_slice() {
        [] => {}
        [only] => choose(session, only),
        _ => session.offer = Some(Offer::WhichTerminal(terminals)),
    }
}

/// Where a wire can be joined: `terminal` itself, or another way of the same joint; else what to
/// ask.
fn room(network: &Network, terminal: &TerminalRef, landing: bool) -> Result<TerminalRef, Offer> {
    let Some(part) = network.part(&terminal.part) else { return Ok(terminal.clone()) };
    let free = |name: &engine::ids::TerminalName, holds: u32| {
        let at = TerminalRef { part: part.id.clone(), terminal: name.clone() };
        network.wires_at(&at).count() < holds as usize
    };
    let terminals = part.terminals();
    let own = terminals.iter().find(|one| one.name == terminal.terminal);
    if own.is_none_or(|own| free(&own.name, own.holds)) {
        return Ok(terminal.clone());
    }
    if !is_joint(part) {
        return Err(Offer::Splice { terminal: terminal.clone(), landing });
    }
    match terminals.iter().find(|one| free(&one.name, one.holds)) {
        Some(other) => Ok(TerminalRef { part: part.id.clone(), terminal: other.name.clone() }),
        None => Err(Offer::Widen { part: part.id.clone(), landing }),
    }
}

/// Starts a wire at a terminal.
pub(super) fn start(session: &mut Session, terminal: &TerminalRef) {
    if !exists(&session.document().network, terminal) {
        return;
    }
    match room(&session.document().network, terminal, false) {
        Ok(terminal) => begin(session, terminal),
        Err(offer) => session.offer = Some(offer),
    }
}

fn exists(network: &Network, terminal: &TerminalRef) -> bool {
    network.part(&terminal.part).is_some_and(|part| part.has_terminal(&terminal.terminal))
}

/// A wire starts here, whatever the terminal holds.
fn begin(session: &mut Session, terminal: TerminalRef) {
    session.tool = Tool::Wire { from: Some(terminal) };
    if let Some(to) = session.then_land.take() {
        land(session, &to);
    }
}

/// Ends the wire that was started on a terminal.
fn land(session: &mut Session, to: &TerminalRef) {
    let Tool::Wire { from: Some(from) } = session.tool.clone() else { return start(session, to) };
    let network = &session.document().network;
    if !exists(network, to) || is_pointless(session, &from, to) {
        return;
    }
    match room(&session.document().network, to, true) {
        Ok(to) => {
            if let Err(error) = connect(session, &from, &to) {
                session.notice = Some(error.to_string());
            }
        }
        Err(offer) => session.offer = Some(offer),
    }
}

/// Whether a wire between these would join nothing new; says so.
fn is_pointless(session: &mut Session, from: &TerminalRef, to: &TerminalRef) -> bool {
    let network = &session.document().network;
    let one_point = from.part == to.part && network.part(&from.part).is_some_and(is_joint);
    let joins = |wire: &&Wire| {
        wire.status != Status::Remove
            && ((wire.from == *from && wire.to == *to) || (wire.from == *to && wire.to == *from))
    };
    let notice = if from == to || one_point {
        "A wire needs another terminal to end on".to_owned()
    } else if let Some(wire) = network.wires.iter().find(joins) {
        let (from, to) = (network.terminal_title(from), network.terminal_title(to));
        format!("{} joins {from} and {to} already", wire.title())
    } else {
        return false;
    };
    session.notice = Some(notice);
    true
}

/// A wire between two terminals, whatever they hold.
fn connect(session: &mut Session, from: &TerminalRef, to: &TerminalRef) -> Result<(), EditError> {
    let wire = new_wire(&session.document().network, from, to);
    finish(session, wire, Vec::new(), "")
}

fn new_wire(network: &Network, from: &TerminalRef, to: &TerminalRef) -> Wire {
    let label = Labels::of(network).wire();
    Wire { label, ..Wire::new(network.fresh_wire_id(), from.clone(), to.clone()) }
}

/// Commits a new wire after what has to be done for it; `more` is added to the notice.
fn finish(session: &mut Session, wire: Wire, mut edits: Vec<Edit>, more: &str) -> Result<(), EditError> {
    let (id, title) = (wire.id.clone(), wire.title().to_owned());
    let network = &session.document().network;
    let (from, to) = (wire.from.clone(), wire.to.clone());
    // A splice that comes with the wire has no name in the document yet.
    let new_part = |id: &PartId| {
        edits.iter().find_map(|edit| match edit {
            Edit::Add { parts, .. } => {
                parts.iter().find(|part| part.id == *id).map(|part| part.title().to_owned())
            }
            _ => None,
        })
    };
    let name = |end: &TerminalRef| new_part(&end.part).unwrap_or_else(|| network.terminal_title(end));
    let label = format!("wire {} to {}", name(&from), name(&to));
    edits.push(Edit::Add { parts: Vec::new(), wires: vec![wire], poses: Vec::new() });
    session.commit(&label, &edits, false)?;
    session.tool = Tool::Select;
    session.select(Selection::wire(id));
    session.notice = Some(format!("{title} added{more}"));
    Ok(())
}

fn answer(session: &mut Session, offer: Offer, choice: usize) -> Result<(), EditError> {
    match offer {
        Offer::WhichTerminal(terminals) => {
            if let Some(terminal) = terminals.get(choice) {
                choose(session, terminal);
            }
        }
        Offer::Splice { terminal, landing } => match choice {
            0 => splice(session, &terminal, landing)?,
            1 => proceed(session, terminal, landing)?,
            _ => session.dismiss(),
        },
        Offer::Widen { part, landing } => match choice {
            0 => widen(session, &part, landing)?,
            _ => session.dismiss(),
        },
    }
    Ok(())
}

/// Starts or ends a wire at a terminal, whatever it holds.
fn proceed(session: &mut Session, terminal: TerminalRef, landing: bool) -> Result<(), EditError> {
    match session.tool.clone() {
        Tool::Wire { from: Some(from) } if landing => connect(session, &from, &terminal),
        _ => {
            begin(session, terminal);
            Ok(())
        }
    }
}

/// Gives a joint one more way, and starts or ends a wire there.
fn widen(session: &mut Session, id: &PartId, landing: bool) -> Result<(), EditError> {
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
fn splice(session: &mut Session, terminal: &TerminalRef, landing: bool) -> Result<(), EditError> {
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

fn new_splice(network: &Network, id: PartId, labels: &mut Labels) -> Part {
    let kind = joint_of_wires();
    let label = labels.part(kind.letter);
    debug_assert!(network.part(&id).is_none());
    Part { id, kind, label, status: Status::New, values: engine::kind::Values::default() }
}

fn splice_at(session: &Session, terminal: &TerminalRef) -> Option<Splicing> {
    let network = &session.document().network;
    let last = network.wires_at(terminal).last()?.clone();
    let mut ids = network.fresh_ids();
    let mut labels = Labels::of(network);
    let part = new_splice(network, ids.part(), &mut labels);
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
fn tap_off(session: &mut Session, id: &WireId, at: Screen) -> Result<(), EditError> {
    let Some(splicing) = splice_into(session, id, at) else { return Ok(()) };
    let Some(wire) = session.document().network.wire(id) else { return Ok(()) };
    let (label, more) = (format!("splice in {}", wire.title()), along::about_length(wire));
    carry_on(session, splicing, true, &label, more)
}

fn splice_into(session: &Session, id: &WireId, at: Screen) -> Option<Splicing> {
    let network = &session.document().network;
    let wire = network.wire(id)?;
    let mut ids = network.fresh_ids();
    let mut labels = Labels::of(network);
    let part = new_splice(network, ids.part(), &mut labels);
    let way = |name: &str| TerminalRef::new(&part.id, name);
    let near = session.view.to_drawing(at);
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
    let spot = along::free_spot(session, id, near, body_of(&part), turn)?;
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
