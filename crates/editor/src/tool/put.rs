//! Putting parts: on free ground, or into a wire.

use drawing::geometry::{Cell, Point, Turn};
use drawing::hit::{Hit, Target, middle};
use engine::document::{Edit, EditError, Pose};
use engine::ids::{PartId, TerminalName, TerminalRef, WireId};
use engine::kind::glyph::Side;
use engine::kind::{Class, Kind, Values};
use engine::subject::Subject;

use super::{SYMBOL_REACH, WIRE_REACH, along};
use crate::gesture::Screen;
use crate::ground::nearest_cell;
use crate::session::Session;
use crate::supply::steps_to_supply;
use engine::document::Labels;

pub(super) fn tap(session: &mut Session, kind: &'static Kind, at: Screen) {
    let near = session.hits(at, 0.0, SYMBOL_REACH, WIRE_REACH);
    put_at(session, kind, session.view.to_drawing(at), near);
}

impl Session {
    /// Where the cursor of the keyboard stands before it was moved: on the selected wire, if the part
    /// can go into it, else in the middle of what is seen.
    pub(crate) fn first_cursor(&self, kind: &Kind) -> Cell {
        nearest_cell(match self.selected_wire(kind) {
            Some((_, middle)) => middle,
            None => self.view.to_drawing(self.middle()),
        })
    }

    /// The wire into which Enter puts a part of this kind before the cursor was moved.
    pub fn wire_for(&self, kind: &Kind) -> Option<WireId> {
        self.selected_wire(kind).map(|(wire, _)| wire)
    }

    /// The selected wire and its middle, if a part of this kind can be put into it.
    fn selected_wire(&self, kind: &Kind) -> Option<(WireId, Point)> {
        match self.selection().only() {
            Some(Subject::Wire(wire)) if goes_into_wires(kind) => {
                let middle = middle(self.scene(), &wire)?;
                Some((wire, middle))
            }
            _ => None,
        }
    }

    /// Puts a part into the middle of a wire, as a tap there does; beside it, if a part of this kind goes into no wire.
    ///
    /// # Errors
    ///
    /// The reason why the part cannot be added; then nothing has changed.
    pub fn put_into_wire(&mut self, kind: &'static Kind, wire: &WireId) -> Result<PartId, EditError> {
        let near = middle(self.scene(), wire).unwrap_or(Point::new(0, 0));
        self.close_step();
        if goes_into_wires(kind) {
            put_into(self, kind, wire, near)
        } else {
            self.put(kind, nearest_cell(near))
        }
    }

    /// Puts a part where the cursor of the keyboard stands, or into the selected wire while it was not
    /// moved yet; `false` when there is neither.
    pub(crate) fn put_by_key(&mut self, kind: &'static Kind, at: Option<Cell>) -> bool {
        if at.is_none() && self.selected_wire(kind).is_none() {
            return false;
        }
        self.close_step();
        self.notice = None;
        let point = at.unwrap_or_else(|| self.first_cursor(kind)).point();
        // A key means exactly where the cursor stands; a wire lies on the same grid.
        let exact = self.hits(self.view.to_screen(point), 0.0, 0.0, 1.0);
        put_at(self, kind, point, exact);
        true
    }
}

/// Puts a part at a point: into a wire, if that is the nearest thing there, else on the ground.
fn put_at(session: &mut Session, kind: &'static Kind, point: Point, near: Vec<Hit>) {
    // What is nearest is meant; a tap on a symbol that has wires is none on its wires.
    let wire = match near.into_iter().next().map(|hit| hit.target) {
        Some(Target::Wire(wire)) => Some(wire),
        _ => None,
    };
    let put = match wire.filter(|_| goes_into_wires(kind)) {
        Some(wire) => put_into(session, kind, &wire, point),
        None => session.put(kind, nearest_cell(point)),
    };
    if let Err(error) = put {
        session.notice = Some(error.to_string());
    }
}

/// Whether a new part of this kind has two terminals and can stand in a wire: all but those that
/// begin or end a current path.
fn goes_into_wires(kind: &Kind) -> bool {
    let values = Values::default();
    let ends = matches!(kind.class, Class::Battery | Class::Generator | Class::Donor | Class::Earth);
    !ends
        && (kind.terminals)(&values).len() == 2
        && matches!((kind.views)(&values).as_slice(), [view] if view.pins.len() == 2)
}

/// Puts a new part into a wire, its first terminal towards the supply as far as that can be told.
fn put_into(
    session: &mut Session,
    kind: &'static Kind,
    wire: &WireId,
    near: Point,
) -> Result<PartId, EditError> {
    let part = session.new_part(kind);
    let network = &session.document().network;
    let views = (kind.views)(&part.values);
    let (Some(old), [view]) = (network.wire(wire).cloned(), views.as_slice()) else {
        return session.put(kind, nearest_cell(near));
    };
    let first_is_supply = {
        let steps = |end| steps_to_supply(network, end, wire).unwrap_or(usize::MAX);
        match steps(&old.from).cmp(&steps(&old.to)) {
            std::cmp::Ordering::Less => Some(true),
            std::cmp::Ordering::Greater => Some(false),
            std::cmp::Ordering::Equal => None,
        }
    };
    // The first terminal meets the first half; without a supply in sight it lies above or left.
    let starts_first = |along: Side| first_is_supply.unwrap_or(matches!(along, Side::Down | Side::Right));
    let turn = |along: Side| {
        let quarters = match (along, starts_first(along)) {
            (Side::Down, true) | (Side::Up, false) => 0,
            (Side::Left, true) | (Side::Right, false) => 1,
            (Side::Up, true) | (Side::Down, false) => 2,
            (Side::Right, true) | (Side::Left, false) => 3,
        };
        Turn { quarters, mirrored: false }
    };
    let Some(spot) = along::free_spot(session, wire, near, view.body, &turn) else {
        return session.put(kind, nearest_cell(near));
    };
    let terminal = |pin: usize| TerminalRef {
        part: part.id.clone(),
        terminal: TerminalName::new(&view.pins[pin].terminal),
    };
    let (towards_start, towards_end) =
        if starts_first(spot.along) { (terminal(0), terminal(1)) } else { (terminal(1), terminal(0)) };
    let second = (network.fresh_wire_id(), Labels::of(network).wire());
    let [first, second] = along::halves(&old, towards_start, towards_end, second);
    let turn = turn(spot.along);
    let pose = Pose {
        part: part.id.clone(),
        view: view.name.to_owned(),
        x: spot.at.x,
        y: spot.at.y,
        turn: turn.quarters,
        mirrored: turn.mirrored,
        pinned: false,
    };
    let (id, title) = (part.id.clone(), part.title().to_owned());
    let edits =
        [Edit::Add { parts: vec![part], wires: vec![second], poses: vec![pose] }, Edit::ChangeWire(first)];
    let wire_title = old.title();
    session.commit(&format!("add {} in {wire_title}", kind.noun), &edits, false)?;
    let notice = format!("{title} put into {wire_title}{}", along::about_length(&old));
    session.finish_put(id.clone(), notice);
    Ok(id)
}
