//! Working switches and donors on the drawing. Edits nothing.

use drawing::hit::Target;

use super::{SYMBOL_REACH, WIRE_REACH};
use crate::gesture::Screen;
use crate::session::{Selection, Session};

pub(super) fn tap(session: &mut Session, at: Screen) {
    // A switch is worked by a tap anywhere near it, so its terminals count for it.
    let hits = session.hits(at, SYMBOL_REACH, SYMBOL_REACH, WIRE_REACH);
    for hit in hits {
        match hit.target {
            Target::Symbol { part, .. } => {
                if !session.work(&part) {
                    session.select(Selection::part(part));
                }
                return;
            }
            Target::Wire(wire) => {
                session.select(Selection::wire(wire));
                return;
            }
            Target::Terminal { .. } => {}
        }
    }
    session.select(Selection::default());
}
