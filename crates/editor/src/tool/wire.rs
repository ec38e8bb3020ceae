//! Drawing wires, by taps, by drags, or from lists and keys: all by the same rules.

use drawing::hit::{Target, middle};
use engine::document::{Edit, EditError, Network, Part, Status, Wire};
use engine::ids::{PartId, TerminalRef, WireId};

use super::splice::{splice, tap_off, widen};
use super::{Drag, SYMBOL_REACH, Tool, WIRE_REACH, WIRING_REACH};
use crate::gesture::Screen;
use crate::offer::Offer;
use crate::session::{Selection, Session};
use engine::document::Labels;

/// Two terminals whose distances from a tap differ by less than this, in pixels, may both be
/// meant.
const ALIKE: f64 = 8.0;

impl Session {
    /// Starts a wire at a terminal, as a tap on it does; an open question is left.
    pub fn start_wire(&mut self, from: &TerminalRef) {
        self.notice = None;
        self.dismiss();
        start(self, from);
        self.refresh_preview();
    }

    /// Ends the wire that was started on a terminal, as a tap on it does; an open question is left.
    pub fn land_wire(&mut self, to: &TerminalRef) {
        self.notice = None;
        self.dismiss();
        land(self, to);
        self.refresh_preview();
    }

    /// Joins the wire that was started to another wire, as a tap on its middle does: a splice is put there.
    pub fn join_wire(&mut self, wire: &WireId) {
        self.notice = None;
        self.dismiss();
        let Some(near) = middle(self.scene(), wire) else { return };
        if let Err(error) = tap_off(self, wire, near) {
            self.notice = Some(error.to_string());
        }
        self.refresh_preview();
    }

    /// Answers the open question by the choice of this number.
    pub fn accept(&mut self, choice: usize) {
        let Some(offer) = self.offer.take() else { return };
        self.notice = None;
        if let Err(error) = answer(self, offer, choice) {
            self.dismiss();
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
        self.dismiss();
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
        let close = distance - nearest < session.reach(ALIKE);
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
    take_end(session, at);
}

/// Starts or ends a wire at what lies at a point of the screen.
fn take_end(session: &mut Session, at: Screen) {
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
                let near = session.view.to_drawing(at);
                if let Err(error) = tap_off(session, &wire, near) {
                    session.notice = Some(error.to_string());
                }
                return;
            }
            Target::Terminal { .. } => {}
        }
    }
    // Empty ground ends the wire that was started.
    session.end_wire();
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
        if matches!(tool, Tool::Wire { .. }) {
            session.tool = Tool::Wire { from: None };
        }
        start(session, start_at);
    }
    if session.offer.is_some() {
        // The question about the start comes first; then the wire goes where it was dragged.
        session.then_land = terminals_at(session, to).into_iter().next();
        return;
    }
    take_end(session, to);
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

/// A wire starts here, whatever the terminal holds. The part it starts at is what is dealt with from
/// now on, not what was selected before.
pub(super) fn begin(session: &mut Session, terminal: TerminalRef) {
    session.select(Selection::part(terminal.part.clone()));
    session.begin_wire(terminal);
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
        let (from, to) = (network.terminal_in_full(from), network.terminal_in_full(to));
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

pub(super) fn new_wire(network: &Network, from: &TerminalRef, to: &TerminalRef) -> Wire {
    let label = Labels::of(network).wire();
    Wire { label, ..Wire::new(network.fresh_wire_id(), from.clone(), to.clone()) }
}

/// Commits a new wire after what has to be done for it; `more` is added to the notice.
pub(super) fn finish(
    session: &mut Session,
    wire: Wire,
    mut edits: Vec<Edit>,
    more: &str,
) -> Result<(), EditError> {
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
    session.end_wire();
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
pub(super) fn proceed(session: &mut Session, terminal: TerminalRef, landing: bool) -> Result<(), EditError> {
    match session.tool.clone() {
        Tool::Wire { from: Some(from) } if landing => connect(session, &from, &terminal),
        _ => {
            begin(session, terminal);
            Ok(())
        }
    }
}
