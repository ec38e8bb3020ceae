//! What taps and drags mean, tool by tool.

mod along;
mod put;
mod select;
mod splice;
mod try_out;
mod wire;

use drawing::board::SymbolKey;
use drawing::geometry::{Cell, STEP};
use engine::ids::TerminalRef;
use engine::kind::Kind;

use crate::gesture::Screen;
use crate::session::{Preview, Session};
use crate::view::View;

/// How far from a terminal a tap still means it, in pixels.
const TERMINAL_REACH: f64 = 22.0;

/// The same while wires are drawn and nothing else is meant.
const WIRING_REACH: f64 = 28.0;

/// How far from a wire a tap still means it, in pixels.
const WIRE_REACH: f64 = 16.0;

/// How far from a symbol a tap still means it, in pixels.
const SYMBOL_REACH: f64 = 6.0;

/// The tool in hand.
#[derive(Clone, Debug, PartialEq, Default)]
pub enum Tool {
    /// Selects, moves, and starts wires at terminals.
    #[default]
    Select,
    /// Puts a part.
    Put {
        /// What.
        kind: &'static Kind,
        /// Where the cursor of the keyboard stands.
        at: Option<Cell>,
    },
    /// Draws wires.
    Wire {
        /// Where the wire starts, once it has.
        from: Option<TerminalRef>,
    },
    /// Works switches and donors; edits nothing.
    Try,
}

/// What a drag under way does.
#[derive(Clone, Debug, PartialEq, Default)]
pub(crate) enum Drag {
    /// Nothing yet.
    #[default]
    None,
    /// Moves the view, which was this at first.
    Pan(View),
    /// Moves symbols.
    Move(Vec<SymbolKey>),
    /// Draws a wire.
    Wire(TerminalRef),
}

/// A tap.
pub(crate) fn tap(session: &mut Session, at: Screen, shift: bool) {
    match session.tool {
        Tool::Select => select::tap(session, at, shift),
        Tool::Put { kind, .. } => put::tap(session, kind, at),
        Tool::Wire { .. } => wire::tap(session, at),
        Tool::Try => try_out::tap(session, at),
    }
}

/// A pointer passes over the drawing.
pub(crate) fn hover(session: &mut Session, at: Screen) {
    match &session.tool {
        Tool::Put { kind, .. } => {
            let cell = crate::ground::nearest_cell(session.view.to_drawing(at));
            session.preview.ghost = Some((kind, cell));
        }
        Tool::Wire { from } => wire::follow(session, from.clone(), at),
        Tool::Select => session.preview.target = select::terminal_at(session, at),
        Tool::Try => {}
    }
}

/// What a drag from here does.
pub(crate) fn begin_drag(session: &Session, from: Screen) -> Drag {
    match &session.tool {
        Tool::Select => select::begin_drag(session, from),
        Tool::Wire { from: None } => wire::begin_drag(session, from),
        // With one end fixed already, a finger that drags from that end draws on.
        Tool::Wire { from: Some(start) } => match wire::begin_drag(session, from) {
            Drag::Wire(terminal) if terminal == *start => Drag::Wire(terminal),
            _ => Drag::Pan(session.view),
        },
        Tool::Put { .. } | Tool::Try => Drag::Pan(session.view),
    }
}

/// A drag goes on.
pub(crate) fn drag(session: &mut Session, from: Screen, to: Screen) {
    match session.drag.clone() {
        Drag::None => {}
        Drag::Pan(view) => session.view = view.panned(from, to),
        Drag::Move(symbols) => {
            let (dx, dy) = steps(session, from, to);
            if !session.preview.moved.is_empty() && session.preview.by == (dx * STEP, dy * STEP) {
                return;
            }
            let lifted = session.board.lifted(&symbols, dx, dy);
            session.preview = Preview {
                moved: lifted.moved,
                by: (dx * STEP, dy * STEP),
                wires: lifted.wires,
                hidden: lifted.hidden,
                ..Preview::default()
            };
        }
        Drag::Wire(start) => {
            session.preview = Preview::default();
            wire::follow(session, Some(start), to);
        }
    }
}

/// A drag ends by a release.
pub(crate) fn drop(session: &mut Session, drag: Drag, from: Screen, to: Screen) {
    match drag {
        Drag::None => {}
        Drag::Pan(view) => session.view = view.panned(from, to),
        Drag::Move(symbols) => {
            let (dx, dy) = steps(session, from, to);
            select::put_down(session, &symbols, dx, dy);
        }
        Drag::Wire(start) => wire::drop(session, &start, to),
    }
}

/// A way on the screen in whole steps of the drawing.
fn steps(session: &Session, from: Screen, to: Screen) -> (i32, i32) {
    let whole = |pixels: f64| (pixels / session.view.scale * 100.0 / f64::from(STEP)).round() as i32;
    (whole(to.x - from.x), whole(to.y - from.y))
}
