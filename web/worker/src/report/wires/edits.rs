//! What the wire list does to the circuit. An editing session of its own carries it out, so that parts find free room,
//! full terminals get a splice and nothing on the drawing jumps, as when it is done there.

use drawing::geometry::{Cell, STEP};
use editor::form::{changed_part, changed_wire};
use editor::{Action, Offer, Selection, Session, Tool};
use engine::document::Edit;
use engine::ids::{TerminalRef, WireId};
use engine::kind;
use engine::post::{Change, Report};
use engine::quantity::capital;
use engine::subject::Subject;

use super::super::{Asked, shown};

/// Where the first part of an empty drawing stands, in steps.
const FIRST: (i32, i32) = (20, 20);

/// Adds a part of the kind that was chosen: into a wire if one was, else where there is room.
pub fn add(asked: &Asked<'_>) -> Option<Report> {
    let kind = kind::by_name(asked.field("kind")?)?;
    let into = asked.field("into").and_then(WireId::new);
    Some(carried_out(asked, |session| {
        let put = match into.filter(|wire| asked.document.network.wire(wire).is_some()) {
            Some(wire) => session.put_into_wire(kind, &wire),
            None => {
                let at = free_wish(session);
                session.put(kind, at)
            }
        };
        put.map(|_| ()).map_err(|error| error.to_string())
    }))
}

/// About where a new part is looked for room: in the middle of the drawing, so that it stays together.
pub(in super::super) fn free_wish(session: &Session) -> Cell {
    let middle = session.scene().bounds().map(|all| all.center());
    middle.map_or(Cell::new(FIRST.0, FIRST.1), |at| Cell::new(at.x / STEP, at.y / STEP))
}

/// Adds a wire between what was chosen as its ends; the second may be a wire, which then gets a splice.
pub fn join(asked: &Asked<'_>) -> Report {
    let end = |name: &str| asked.field(name).unwrap_or_default().to_owned();
    let (from, to) = (end("from"), end("to"));
    let Some(from) = TerminalRef::parse(&from) else {
        return refused("Choose where the wire starts.");
    };
    if to.is_empty() {
        return refused("Choose where the wire ends.");
    }
    let splices = asked.field("full") != Some("anyway");
    carried_out(asked, |session| {
        session.start_wire(&from);
        settle(session, splices);
        match (TerminalRef::parse(&to), WireId::new(&to)) {
            (Some(to), _) => session.land_wire(&to),
            (None, Some(wire)) => session.join_wire(&wire),
            (None, None) => {}
        }
        settle(session, splices);
        match session.tool() {
            // The wire has not found its end.
            Tool::Wire { .. } => Err(session.notice().unwrap_or("The wire cannot end there").to_owned()),
            _ => Ok(()),
        }
    })
}

/// Answers what is asked about a full terminal: a splice, or the terminal all the same. A joint gets another way.
fn settle(session: &mut Session, splices: bool) {
    let choice = match session.offer() {
        Some(Offer::Splice { .. }) if !splices => 1,
        _ => 0,
    };
    session.accept(choice);
}

/// Enters a text into a field of a part or a wire. What is refused is told as markup, for the field.
pub fn set(asked: &Asked<'_>, subject: &Subject) -> Option<Report> {
    let [name, text, unit] = ["field", "text", "unit"].map(|field| asked.field(field).unwrap_or_default());
    let document = asked.document;
    let (title, changed) = match subject {
        Subject::Part(id) => {
            let part = document.network.part(id)?;
            (part.title(), changed_part(document, part, name, text, unit).map(Edit::ChangePart))
        }
        Subject::Wire(id) => {
            let wire = document.network.wire(id)?;
            (wire.title(), changed_wire(&document.plan, wire, name, text).map(Edit::ChangeWire))
        }
        _ => return None,
    };
    let label = format!("change {title}");
    let edit = match changed {
        Ok(edit) => edit,
        Err(why) => return Some(shown(why)),
    };
    let mut session = Session::new(document.clone());
    if let Err(error) = session.edit(&label, edit) {
        return Some(shown(error.to_string()));
    }
    let said = format!("{} changed", subject.title(&session.document().network));
    Some(changed_by(asked, &session, capital(&said)))
}

/// Sets a part to a position; that changes nothing of the job.
pub fn position(asked: &Asked<'_>, subject: &Subject) -> Option<Report> {
    let Subject::Part(id) = subject else { return None };
    let mut session = Session::new(asked.document.clone());
    session.set_situation(asked.situation);
    let text = asked.field("text")?;
    session.set_position(id, text).then(|| Report {
        said: format!("{}: {text}", asked.document.network.part(id).map_or("", |part| part.title())),
        positions: Some(session.situation()),
        ..Report::default()
    })
}

/// Deletes a part with the wires on it, or a wire.
pub fn delete(asked: &Asked<'_>, subject: &Subject) -> Report {
    let selection = match subject {
        Subject::Wire(id) => Selection::wire(id.clone()),
        other => other.part().cloned().map_or_else(Selection::default, Selection::part),
    };
    carried_out(asked, |session| {
        session.select(selection);
        session.act(Action::Delete).map_err(|error| error.to_string())
    })
}

/// What `act` does to the job as one change, with what the session says of it. Where it fails the job is left as it is.
pub(in super::super) fn carried_out(
    asked: &Asked<'_>,
    act: impl FnOnce(&mut Session) -> Result<(), String>,
) -> Report {
    let mut session = Session::new(asked.document.clone());
    if let Err(why) = act(&mut session) {
        return refused(&why);
    }
    let said = session.notice().unwrap_or_default().to_owned();
    changed_by(asked, &session, said)
}

fn changed_by(asked: &Asked<'_>, session: &Session, said: String) -> Report {
    let change = session.undo_label().map(|label| Change::between(label, asked.document, session.document()));
    Report { said, change, ..Report::default() }
}

fn refused(why: &str) -> Report {
    Report { said: why.to_owned(), ..Report::default() }
}
