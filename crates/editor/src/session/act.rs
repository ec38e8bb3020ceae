//! Named actions, copies, new parts, and answers to offers.

use drawing::board::stand;
use drawing::geometry::{Cell, Rect, Turn};
use engine::document::{Edit, EditError, Part, Pose};
use engine::ids::{PartId, WireId};
use engine::kind::Kind;

use super::{Selection, Session};
use crate::action::Action;
use crate::clip::Clip;
use crate::ground::{free_shift, kept_on_sheet, nearest_cell, taken, turned};
use crate::tool::Tool;
use engine::document::Labels;

/// What one press of Larger zooms by.
const ZOOM_STEP: f64 = 1.3;

/// How far a copy stands from what it was copied from, in steps.
const COPY_SHIFT: (i32, i32) = (4, 4);

impl Session {
    /// Does an action. What cannot be done now does nothing.
    ///
    /// # Errors
    ///
    /// The reason why the edit does not apply; then nothing has changed.
    pub fn act(&mut self, action: Action) -> Result<(), EditError> {
        self.close_step();
        self.notice = None;
        match action {
            Action::Undo => self.undo(),
            Action::Redo => {
                let step = self.history.redo(&self.document, &self.selection);
                self.step(step, "Done again", "Nothing to do again");
            }
            Action::Delete => self.delete()?,
            Action::Duplicate => {
                if let Some(clip) = self.copy() {
                    let label = format!("duplicate {}", self.titles(&self.selection.parts, &[]));
                    self.insert(&clip, &label, COPY_SHIFT)?;
                }
            }
            Action::Turn => self.turn("turn", |turn| Turn { quarters: (turn.quarters + 1) % 4, ..turn })?,
            Action::Mirror => self.turn("mirror", seen_mirrored)?,
            Action::SelectAll => {
                let network = &self.document.network;
                self.selection = Selection {
                    parts: network.parts.iter().map(|part| part.id.clone()).collect(),
                    wires: network.wires.iter().map(|wire| wire.id.clone()).collect(),
                };
            }
            Action::SelectNone => self.select(Selection::default()),
            Action::MoreSelect => self.adding = !self.adding,
            Action::ShowAll => self.show_all(),
            Action::ZoomIn => self.zoom(ZOOM_STEP),
            Action::ZoomOut => self.zoom(1.0 / ZOOM_STEP),
        }
        Ok(())
    }

    /// Whether an action would do anything now.
    pub fn can(&self, action: Action) -> bool {
        match action {
            Action::Undo => self.undo_label().is_some(),
            Action::Redo => self.redo_label().is_some(),
            Action::Delete | Action::SelectNone => !self.selection.is_empty(),
            Action::Duplicate | Action::Turn | Action::Mirror => !self.selection.parts.is_empty(),
            Action::SelectAll => !self.document.network.parts.is_empty(),
            Action::MoreSelect | Action::ShowAll | Action::ZoomIn | Action::ZoomOut => true,
        }
    }

    pub(super) fn undo(&mut self) {
        let step = self.history.undo(&self.document, &self.selection);
        self.step(step, "Undone", "Nothing to undo");
    }

    fn delete(&mut self) -> Result<(), EditError> {
        if self.selection.is_empty() {
            return Ok(());
        }
        let Selection { parts, wires } = self.selection.clone();
        let titles = self.titles(&parts, &wires);
        let before = self.document.network.wires.len() - wires.len();
        self.commit(&format!("delete {titles}"), &[Edit::Remove { parts, wires }], false)?;
        // Wires go with the parts they end on; nobody should have to find that out later.
        let notice = match before - self.document.network.wires.len() {
            0 => format!("{titles} deleted"),
            1 => format!("{titles} deleted, and the wire on it"),
            n => format!("{titles} deleted, and the {n} wires on it"),
        };
        self.notice = Some(notice);
        Ok(())
    }

    /// Changes how the symbols of the selected parts are turned, each about its own anchor.
    fn turn(&mut self, word: &str, change: impl Fn(Turn) -> Turn) -> Result<(), EditError> {
        if self.selection.parts.is_empty() {
            return Ok(());
        }
        let mut poses = self.standing();
        for pose in poses.iter_mut().filter(|pose| self.selection.parts.contains(&pose.part)) {
            let turn = change(Turn { quarters: pose.turn, mirrored: pose.mirrored });
            (pose.turn, pose.mirrored) = (turn.quarters, turn.mirrored);
        }
        let label = format!("{word} {}", self.titles(&self.selection.parts, &[]));
        self.commit(&label, &[Edit::Place(poses)], false)?;
        Ok(())
    }

    /// The names of some parts and wires for a sentence: one by its name, several by their number.
    pub(crate) fn titles(&self, parts: &[PartId], wires: &[WireId]) -> String {
        let network = &self.document.network;
        let count = |n: usize, word: &str| match n {
            1 => format!("1 {word}"),
            n => format!("{n} {word}s"),
        };
        match (parts, wires) {
            ([part], []) => {
                network.part(part).map_or_else(|| part.to_string(), |part| part.title().to_owned())
            }
            ([], [wire]) => {
                network.wire(wire).map_or_else(|| wire.to_string(), |wire| wire.title().to_owned())
            }
            (parts, []) => count(parts.len(), "part"),
            ([], wires) => count(wires.len(), "wire"),
            (parts, wires) => format!("{} and {}", count(parts.len(), "part"), count(wires.len(), "wire")),
        }
    }

    /// A copy of the selected parts with the wires between them; `None` when no part is selected.
    pub fn copy(&self) -> Option<Clip> {
        Clip::of(&self.document.network, &self.selection.parts, &self.standing())
    }

    /// Puts a copy in the middle of what is seen, where there is room, and selects it.
    pub fn paste(&mut self, clip: &Clip) {
        if clip.parts.is_empty() {
            return;
        }
        let label = match clip.parts.as_slice() {
            [only] => format!("paste {}", only.title()),
            parts => format!("paste {} parts", parts.len()),
        };
        let middle = bodies(clip).into_iter().reduce(Rect::joined).map(|all| all.center());
        let to = nearest_cell(self.view.to_drawing(self.middle()));
        let wish = middle.map_or(COPY_SHIFT, |from| (to.x - from.x, to.y - from.y));
        self.close_step();
        if let Err(error) = self.insert(clip, &label, wish) {
            self.notice = Some(error.to_string());
        }
    }

    /// Adds a copy, moved from where its parts stood by about `wish`.
    fn insert(&mut self, clip: &Clip, label: &str, wish: (i32, i32)) -> Result<(), EditError> {
        let (dx, dy) = free_shift(&bodies(clip), &taken(self.scene(), &[]), wish);
        let Clip { parts, wires, poses } = clip.renewed(&self.document);
        let poses = super::input::shifted(poses, |_| true, dx, dy);
        let selection = Selection {
            parts: parts.iter().map(|part| part.id.clone()).collect(),
            wires: wires.iter().map(|wire| wire.id.clone()).collect(),
        };
        self.commit(label, &[Edit::Add { parts, wires, poses }], false)?;
        self.tool = Tool::Select;
        self.notice = Some(format!("{} added", self.titles(&selection.parts, &[])));
        self.select(selection);
        Ok(())
    }

    /// Puts a new part where there is room near `at`, and selects it.
    ///
    /// # Errors
    ///
    /// The reason why the part cannot be added; then nothing has changed.
    pub fn put(&mut self, kind: &'static Kind, at: Cell) -> Result<PartId, EditError> {
        let part = self.new_part(kind);
        let spot = self.board.free_spot(kind, &part.values, kept_on_sheet(at));
        let pose = |(view, offset): (&'static str, Cell)| Pose {
            part: part.id.clone(),
            view: view.to_owned(),
            x: spot.x + offset.x,
            y: spot.y + offset.y,
            turn: 0,
            mirrored: false,
            pinned: false,
        };
        let poses = stand(kind, &part.values).into_iter().map(pose).collect();
        let (id, title) = (part.id.clone(), part.title().to_owned());
        let edit = Edit::Add { parts: vec![part], wires: Vec::new(), poses };
        self.close_step();
        self.commit(&format!("add {}", kind.noun), &[edit], false)?;
        self.finish_put(id.clone(), format!("{title} added"));
        Ok(id)
    }

    /// A part of this kind of which nothing is known but its label.
    pub(crate) fn new_part(&self, kind: &'static Kind) -> Part {
        let network = &self.document.network;
        Part::new(network.fresh_part_id(), kind, Labels::of(network).part(kind.letter))
    }

    /// Lays the put tool down after a part was put.
    pub(crate) fn finish_put(&mut self, part: PartId, notice: String) {
        self.tool = Tool::Select;
        self.preview = super::Preview::default();
        self.select(Selection::part(part));
        self.notice = Some(notice);
    }
}

/// `turn` mirrored left to right as it is seen, not as the symbol was before turning.
fn seen_mirrored(turn: Turn) -> Turn {
    Turn { quarters: (4 - turn.quarters % 4) % 4, mirrored: !turn.mirrored }
}

/// The space that the symbols of a copy take, in steps.
fn bodies(clip: &Clip) -> Vec<Rect> {
    let body = |pose: &Pose| {
        let part = clip.parts.iter().find(|part| part.id == pose.part)?;
        let view = (part.kind.views)(&part.values).into_iter().find(|view| view.name == pose.view)?;
        let turn = Turn { quarters: pose.turn, mirrored: pose.mirrored };
        Some(turned(view.body, turn).moved(pose.x, pose.y))
    };
    clip.poses.iter().filter_map(body).collect()
}
