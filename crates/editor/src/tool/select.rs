//! Selecting and moving, and starting wires where a terminal is meant.

use drawing::board::SymbolKey;
use drawing::geometry::Point;
use drawing::hit::{Foot, Target, foot};
use drawing::scene::{Element, ElementId};
use engine::document::{Edit, Pose};
use engine::ids::{PartId, TerminalRef, WireId};

use super::{Drag, SYMBOL_REACH, TERMINAL_REACH, WIRE_REACH, wire};
use crate::gesture::Screen;
use crate::offer::Offer;
use crate::session::{Selection, Session};

/// A symbol smaller than this on the screen, in pixels, is meant as a whole: its terminals lie
/// too close together for a finger.
const SMALL: f64 = 48.0;

/// A tap that is closer to a wire than this, and further from a terminal than [`OFF_TERMINAL`],
/// means the wire, in pixels.
const ON_WIRE: f64 = 6.0;

/// See [`ON_WIRE`].
const OFF_TERMINAL: f64 = 11.0;

/// What a point of the screen means.
enum Meaning {
    /// One of these terminals, the nearest first.
    Terminals(Vec<TerminalRef>),
    /// A symbol.
    Symbol(SymbolKey),
    /// A wire.
    Wire(WireId),
    /// Empty ground.
    Nothing,
}

fn meaning(session: &Session, at: Screen) -> Meaning {
    let hits = session.hits(at, TERMINAL_REACH, SYMBOL_REACH, WIRE_REACH);
    let mut terminals: Vec<(TerminalRef, i32)> = Vec::new();
    let mut small = None;
    for hit in &hits {
        let Target::Terminal { terminal, at: point } = &hit.target else { continue };
        match symbol_at(session, terminal, *point) {
            Some((symbol, element)) if is_small(session, element) => small = small.or(Some(symbol)),
            _ if hit.distance < hit.from_middle => terminals.push((terminal.clone(), hit.distance)),
            _ => {}
        }
    }
    let px = |pixels: f64| session.view.length(pixels);
    let nearest = terminals.first().map_or(i32::MAX, |(_, distance)| *distance);
    let on_wire = hits.iter().find(|hit| matches!(hit.target, Target::Wire(_)));
    let wire_is_meant = nearest > px(OFF_TERMINAL) && on_wire.is_some_and(|hit| hit.distance < px(ON_WIRE));
    if let Some(wire) = wire_by_its_middle(session, at, &terminals) {
        return Meaning::Wire(wire);
    }
    if !terminals.is_empty() && !wire_is_meant {
        return Meaning::Terminals(wire::not_clearly_one(session, &terminals));
    }
    for hit in hits {
        match hit.target {
            Target::Symbol { part, view, instance } => {
                return Meaning::Symbol(SymbolKey { part, view, instance });
            }
            Target::Wire(wire) => return Meaning::Wire(wire),
            Target::Terminal { .. } => {}
        }
    }
    small.map_or(Meaning::Nothing, Meaning::Symbol)
}

/// The wire to whose middle half a tap came nearest, if one of the terminals within reach is its own
/// and those of others are clearly further away.
///
/// On a short wire its own terminals are within reach of every tap; without this it could not be
/// meant at all.
fn wire_by_its_middle(session: &Session, at: Screen, terminals: &[(TerminalRef, i32)]) -> Option<WireId> {
    let point = session.view.to_drawing(at);
    let reach = session.view.length(WIRE_REACH);
    let mut best: Option<(i32, &WireId)> = None;
    for (terminal, _) in terminals {
        for wire in session.document().network.wires_at(terminal) {
            let Some(Foot { distance, from_start, length }) = foot(session.scene(), &wire.id, point) else {
                continue;
            };
            let gives_way = |(terminal, far): &(TerminalRef, i32)| {
                [&wire.from, &wire.to].contains(&terminal)
                    || *far > distance.max(session.view.length(OFF_TERMINAL))
            };
            let in_middle = (length / 4..=length - length / 4).contains(&from_start);
            let is_nearer = best.is_none_or(|(least, _)| distance < least);
            if in_middle && distance <= reach && is_nearer && terminals.iter().all(gives_way) {
                best = Some((distance, &wire.id));
            }
        }
    }
    best.map(|(_, wire)| wire.clone())
}

/// The symbol that has a terminal met at this point.
fn symbol_at<'a>(
    session: &'a Session,
    terminal: &TerminalRef,
    point: Point,
) -> Option<(SymbolKey, &'a Element)> {
    session.scene().elements().iter().find_map(|element| {
        let ElementId::Symbol(part, view, instance) = &element.id else { return None };
        let has = element.contacts.iter().any(|one| one.terminal == *terminal && one.points.contains(&point));
        has.then(|| (SymbolKey { part: part.clone(), view, instance: *instance }, element))
    })
}

fn is_small(session: &Session, symbol: &Element) -> bool {
    let length = |hundredths: i32| f64::from(hundredths) / 100.0 * session.view.scale;
    symbol.body.is_some_and(|body| length(body.width().max(body.height())) < SMALL)
}

/// The terminal that a tap here would start a wire from.
pub(super) fn terminal_at(session: &Session, at: Screen) -> Option<TerminalRef> {
    match meaning(session, at) {
        Meaning::Terminals(terminals) => terminals.into_iter().next(),
        _ => None,
    }
}

pub(super) fn tap(session: &mut Session, at: Screen, shift: bool) {
    let adds = shift || session.adds_to_selection();
    let meant = meaning(session, at);
    match meant {
        Meaning::Terminals(terminals) if !adds => match terminals.as_slice() {
            [only] => wire::start(session, only),
            _ => session.offer = Some(Offer::WhichTerminal(terminals)),
        },
        Meaning::Terminals(terminals) => {
            if let Some(first) = terminals.first() {
                toggle_part(session, first.part.clone());
            }
        }
        Meaning::Symbol(symbol) if adds => toggle_part(session, symbol.part),
        Meaning::Symbol(symbol) => session.select(Selection::part(symbol.part)),
        Meaning::Wire(wire) if adds => {
            let mut selection = session.selection().clone();
            toggle(&mut selection.wires, wire);
            session.select(selection);
        }
        Meaning::Wire(wire) => session.select(Selection::wire(wire)),
        Meaning::Nothing if adds => {}
        Meaning::Nothing => session.select(Selection::default()),
    }
}

fn toggle_part(session: &mut Session, part: PartId) {
    let mut selection = session.selection().clone();
    toggle(&mut selection.parts, part);
    session.select(selection);
}

fn toggle<T: PartialEq>(all: &mut Vec<T>, one: T) {
    match all.iter().position(|other| *other == one) {
        Some(index) => {
            all.remove(index);
        }
        None => all.push(one),
    }
}

pub(super) fn begin_drag(session: &Session, from: Screen) -> Drag {
    match meaning(session, from) {
        Meaning::Terminals(terminals) => {
            terminals.into_iter().next().map_or(Drag::Pan(session.view), Drag::Wire)
        }
        Meaning::Symbol(symbol) => {
            let selected = &session.selection().parts;
            if selected.len() < 2 || !selected.contains(&symbol.part) {
                return Drag::Move(vec![symbol]);
            }
            let mut all = Vec::new();
            for element in session.scene().elements() {
                if let ElementId::Symbol(part, view, instance) = &element.id
                    && selected.contains(part)
                {
                    all.push(SymbolKey { part: part.clone(), view, instance: *instance });
                }
            }
            Drag::Move(all)
        }
        Meaning::Wire(_) | Meaning::Nothing => Drag::Pan(session.view),
    }
}

/// Moves symbols for good.
pub(super) fn put_down(session: &mut Session, symbols: &[SymbolKey], dx: i32, dy: i32) {
    if (dx, dy) == (0, 0) {
        return;
    }
    let mut parts: Vec<PartId> = Vec::new();
    for symbol in symbols {
        if !parts.contains(&symbol.part) {
            parts.push(symbol.part.clone());
        }
    }
    let titles = session.titles(&parts, &[]);
    // Poses of one view of one part stand in the order of its repetitions.
    let mut seen: Vec<(PartId, String, u32)> = Vec::new();
    let mut poses = Vec::new();
    for pose in session.standing() {
        let key = |(part, view, _): &&mut (PartId, String, u32)| *part == pose.part && *view == pose.view;
        let instance = match seen.iter_mut().find(key) {
            Some((.., next)) => {
                *next += 1;
                *next
            }
            None => {
                seen.push((pose.part.clone(), pose.view.clone(), 0));
                0
            }
        };
        let moves = symbols.iter().any(|symbol| {
            symbol.part == pose.part && symbol.view == pose.view && symbol.instance == instance
        });
        let at = if moves {
            crate::ground::kept_on_sheet(drawing::geometry::Cell::new(pose.x + dx, pose.y + dy))
        } else {
            drawing::geometry::Cell::new(pose.x, pose.y)
        };
        poses.push(Pose { x: at.x, y: at.y, ..pose });
    }
    match session.commit(&format!("move {titles}"), &[Edit::Place(poses)], false) {
        Ok(_) => {
            if !parts.iter().all(|part| session.selection().parts.contains(part)) {
                session.select(Selection { parts, wires: Vec::new() });
            }
            session.notice = Some(format!("{titles} moved"));
        }
        Err(error) => session.notice = Some(error.to_string()),
    }
}
