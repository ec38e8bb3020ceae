//! Pointers, keys and the wheel: from what a person does to what a tool makes of it.

use drawing::geometry::{Cell, Point};
use drawing::scene::ElementId;
use engine::document::{Edit, Pose};
use engine::ids::PartId;
use engine::subject::Subject;

use super::{Preview, Selection, Session};
use crate::action::{Action, Key, Stroke};
use crate::gesture::{Act, Pointer, Screen};
use crate::ground::kept_on_sheet;
use crate::tool::{self, Drag, Tool};
use crate::view::{Inset, View};

/// Steps that the cursor of the put tool moves with the shift key held.
const STRIDE: i32 = 4;

/// What a wheel turned by so many pixels zooms by: twice as large in some seven notches.
const ZOOM_PER_PIXEL: f64 = 0.001;

impl Session {
    /// Takes in one event of a pointer. Nothing is committed before a release.
    pub fn pointer(&mut self, event: Pointer) {
        // Fingers that moved the view are lifted without a word.
        if self.machine.is_idle() {
            self.drag = Drag::None;
        }
        let Some(act) = self.machine.step(event) else { return };
        match act {
            Act::Hover(at) => {
                self.preview = Preview::default();
                tool::hover(self, at);
            }
            Act::Tap { at, shift } => self.tap(at, shift),
            Act::Drag { from, to } => {
                self.begin_drag(from);
                tool::drag(self, from, to);
            }
            Act::Drop { from, to } => {
                self.begin_drag(from);
                self.history.close();
                let drag = std::mem::take(&mut self.drag);
                self.preview = Preview::default();
                self.notice = None;
                tool::drop(self, drag, from, to);
                self.refresh_preview();
            }
            Act::Abort => self.give_up_drag(),
            Act::Grip => {
                self.give_up_drag();
                self.drag = Drag::Pan(self.view);
            }
            Act::Navigate { from, to } => {
                if let Drag::Pan(view) = self.drag {
                    self.view = pinched(view, from, to);
                }
            }
            Act::TwoFingerTap => {
                self.drag = Drag::None;
                self.undo();
            }
        }
    }

    /// Finds out what a drag from here does, unless it is under way. What moves or draws something leaves an open
    /// question, as a tap does; who looks around may still answer it.
    fn begin_drag(&mut self, from: Screen) {
        if matches!(self.drag, Drag::None) {
            self.drag = tool::begin_drag(self, from);
            if !matches!(self.drag, Drag::Pan(_)) {
                self.dismiss();
            }
        }
    }

    fn tap(&mut self, at: Screen, shift: bool) {
        self.history.close();
        self.notice = None;
        // An open question is answered or left, but a tap beside it must not act behind it.
        if self.offer.is_some() {
            self.dismiss();
            return;
        }
        self.preview = Preview::default();
        tool::tap(self, at, shift);
        self.refresh_preview();
    }

    /// Takes in a press on a part that has no place, as one who listens or speaks gives it: it does what a tap on the
    /// symbol does.
    pub fn press(&mut self, part: &PartId) {
        self.history.close();
        self.dismiss();
        if self.tool == Tool::Try && self.work(part) {
            return;
        }
        self.select(Selection::part(part.clone()));
        if matches!(self.tool, Tool::Wire { .. }) {
            self.wire_by_key();
        }
    }

    /// Drops what a drag showed, and takes back what it scrolled.
    fn give_up_drag(&mut self) {
        if let Drag::Pan(view) = std::mem::take(&mut self.drag) {
            self.view = view;
        }
        self.preview = Preview::default();
        self.refresh_preview();
    }

    /// Gives up whatever gesture is under way, as when the page is left or a dialog opens.
    pub fn abort(&mut self) {
        if self.machine.reset().is_some() {
            self.give_up_drag();
        }
        self.drag = Drag::None;
    }

    /// Shows what the tool shows by itself, without a pointer.
    pub(crate) fn refresh_preview(&mut self) {
        match &self.tool {
            Tool::Put { kind, at: Some(at) } => self.preview.ghost = Some((kind, *at)),
            Tool::Wire { from: Some(from) } if self.preview.rubber.is_none() => {
                self.preview.rubber = self.terminal_point(from, None).map(|at| (at, at));
            }
            _ => {}
        }
    }

    /// Takes in a turn of the wheel at a point of the worktop: zooms about it, or scrolls.
    pub fn wheel(&mut self, at: Screen, dx: f64, dy: f64, zoom: bool) {
        // While fingers or a button hold the drawing, the wheel would pull it away below them.
        if !self.machine.is_idle() {
            return;
        }
        if zoom {
            // Exact only for small turns, but the same on every machine.
            let turn = (-dy * ZOOM_PER_PIXEL).clamp(-0.5, 0.5);
            self.view = self.view.zoomed(if turn < 0.0 { 1.0 / (1.0 - turn) } else { 1.0 + turn }, at);
        } else {
            self.view = self.view.panned(at, Screen { x: at.x - dx, y: at.y - dy });
        }
    }

    /// Takes in a key while the drawing has the focus; `false` when it means nothing here.
    pub fn key(&mut self, key: Key) -> bool {
        let arrow = match key.stroke {
            Stroke::Left => Some((-1, 0)),
            Stroke::Right => Some((1, 0)),
            Stroke::Up => Some((0, -1)),
            Stroke::Down => Some((0, 1)),
            _ => None,
        };
        if let Some((dx, dy)) = arrow {
            return !key.control && self.arrow(dx, dy, key.shift);
        }
        if let Some(action) = Action::of_key(key) {
            if !self.can(action) {
                return false;
            }
            if let Err(error) = self.act(action) {
                self.notice = Some(error.to_string());
            }
            return true;
        }
        if key.control {
            return false;
        }
        match key.stroke {
            Stroke::Escape => self.escape(),
            Stroke::Enter => self.enter(),
            Stroke::Letter('w') => self.wire_by_key(),
            Stroke::Letter('p') => match self.selection.parts.last().cloned() {
                Some(part) => self.work(&part),
                None => false,
            },
            _ => false,
        }
    }

    fn arrow(&mut self, dx: i32, dy: i32, shift: bool) -> bool {
        if let Tool::Put { kind, at } = self.tool {
            let at = at.unwrap_or_else(|| self.first_cursor(kind));
            let stride = if shift { STRIDE } else { 1 };
            let at = kept_on_sheet(Cell::new(at.x + dx * stride, at.y + dy * stride));
            self.tool = Tool::Put { kind, at: Some(at) };
            self.preview = Preview::default();
            self.refresh_preview();
            return true;
        }
        if shift {
            return self.nudge(dx, dy);
        }
        let next = match self.selection.parts.last() {
            Some(part) => self.neighbor(part, (dx, dy)),
            None => self.nearest_part(),
        };
        let Some(next) = next else { return false };
        self.select(Selection::part(next.clone()));
        self.reveal(&Subject::Part(next), Inset::default());
        true
    }

    /// Moves the selected parts by one step; steps in a row are one step to undo.
    fn nudge(&mut self, dx: i32, dy: i32) -> bool {
        if self.selection.parts.is_empty() {
            return false;
        }
        let selected = self.selection.parts.clone();
        let moves = |pose: &Pose| selected.contains(&pose.part);
        let label = format!("move {}", self.titles(&selected, &[]));
        let edit = Edit::Place(shifted(self.standing(), moves, dx, dy));
        if let Err(error) = self.commit(&label, &[edit], true) {
            self.notice = Some(error.to_string());
        }
        true
    }

    /// The part next to `part` in this direction, as they are seen: from any of its symbols to any of another part.
    pub fn neighbor(&self, part: &PartId, (dx, dy): (i32, i32)) -> Option<PartId> {
        let mut symbols: Vec<(&PartId, Point)> = Vec::new();
        for element in self.scene().elements() {
            if let ElementId::Symbol(id, ..) = &element.id
                && let Some(bounds) = element.body.or_else(|| element.bounds())
            {
                symbols.push((id, bounds.center()));
            }
        }
        let mut best: Option<(i64, &PartId)> = None;
        for (_, from) in symbols.iter().filter(|(id, _)| *id == part) {
            for (id, to) in symbols.iter().filter(|(id, _)| *id != part) {
                let (x, y) = (i64::from(to.x) - i64::from(from.x), i64::from(to.y) - i64::from(from.y));
                let along = x * i64::from(dx) + y * i64::from(dy);
                let across = (x * i64::from(dy)).abs() + (y * i64::from(dx)).abs();
                // What lies aside counts twice: straight on is what an arrow means.
                let cost = along + 2 * across;
                if along > 0 && best.is_none_or(|(least, _)| cost < least) {
                    best = Some((cost, id));
                }
            }
        }
        best.map(|(_, id)| id.clone())
    }

    /// The part nearest to the middle of what is seen.
    fn nearest_part(&self) -> Option<PartId> {
        let middle = self.view.to_drawing(self.middle());
        let far = |id: &PartId| {
            self.bounds_of_part(id).map_or(i64::MAX, |bounds| super::look::squared(bounds.center(), middle))
        };
        self.document.network.parts.iter().map(|part| &part.id).min_by_key(|id| far(id)).cloned()
    }

    /// Leaves the innermost thing that is open: a gesture, an offer, the tool, the selection.
    fn escape(&mut self) -> bool {
        if !self.machine.is_idle() {
            self.abort();
        } else if self.offer.is_some() {
            self.dismiss();
        } else if matches!(self.tool, Tool::Wire { from: Some(_) }) {
            self.abandon();
            self.notice = None;
            self.end_wire();
        } else if self.tool != Tool::Select {
            self.set_tool(Tool::Select);
        } else if !self.selection.is_empty() {
            self.select(Selection::default());
        } else {
            return false;
        }
        true
    }

    fn enter(&mut self) -> bool {
        match self.tool {
            Tool::Put { kind, at } => self.put_by_key(kind, at),
            _ => false,
        }
    }
}

/// `view` as two fingers changed it: what lay between them lies between them still.
fn pinched(view: View, from: [Screen; 2], to: [Screen; 2]) -> View {
    let (apart, now) = (from[0].distance(from[1]), to[0].distance(to[1]));
    let middle = from[0].middle(from[1]);
    // Two fingers in one spot say nothing of a scale.
    let factor = if apart > 1.0 { now / apart } else { 1.0 };
    view.zoomed(factor, middle).panned(middle, to[0].middle(to[1]))
}

/// `poses` with some of them moved.
pub(crate) fn shifted(poses: Vec<Pose>, moves: impl Fn(&Pose) -> bool, dx: i32, dy: i32) -> Vec<Pose> {
    let shift = |pose: Pose| {
        if !moves(&pose) {
            return pose;
        }
        let at = kept_on_sheet(Cell::new(pose.x + dx, pose.y + dy));
        Pose { x: at.x, y: at.y, ..pose }
    };
    poses.into_iter().map(shift).collect()
}
