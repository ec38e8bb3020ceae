//! The session: one document being edited, and everything that is true while it is.
//!
//! The document changes in one place, `Session::take`; whatever names a part or a wire is
//! dropped there when that is gone.

mod act;
mod input;
mod look;

use std::collections::BTreeMap;
use std::sync::Arc;

use drawing::board::Board;
use drawing::geometry::{Cell, Point};
use drawing::scene::{ElementId, Scene};
use engine::document::edit::apply;
use engine::document::{AT_REST, Document, Edit, EditError, Network, Placement, Pose, Situation, Standing};
use engine::ids::{PartId, TerminalRef, WireId};
use engine::kind::Kind;
use engine::post::Change;
use engine::subject::Subject;

use crate::gesture::Machine;
use crate::ground::kept_on_sheet;
use crate::history::{History, Step};
use crate::offer::Offer;
use crate::tool::{Drag, Tool};
use crate::view::View;

/// The name of a situation that has none.
const AS_SET: &str = "as set";

/// What is selected, in the order it was picked.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct Selection {
    /// Parts.
    pub parts: Vec<PartId>,
    /// Wires.
    pub wires: Vec<WireId>,
}

impl Selection {
    /// One part.
    pub fn part(part: PartId) -> Selection {
        Selection { parts: vec![part], wires: Vec::new() }
    }

    /// One wire.
    pub fn wire(wire: WireId) -> Selection {
        Selection { parts: Vec::new(), wires: vec![wire] }
    }

    /// The one thing that is selected; `None` when it is nothing or more.
    pub fn only(&self) -> Option<Subject> {
        match (self.parts.as_slice(), self.wires.as_slice()) {
            ([part], []) => Some(Subject::Part(part.clone())),
            ([], [wire]) => Some(Subject::Wire(wire.clone())),
            _ => None,
        }
    }

    /// Whether nothing is selected.
    pub fn is_empty(&self) -> bool {
        self.parts.is_empty() && self.wires.is_empty()
    }

    /// The same without what `network` does not have.
    fn within(mut self, network: &Network) -> Selection {
        self.parts.retain(|part| network.part(part).is_some());
        self.wires.retain(|wire| network.wire(wire).is_some());
        self
    }
}

/// What a gesture shows before it is committed; lengths in hundredths of a millimetre.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Preview {
    /// Elements that are shown moved.
    pub moved: Vec<ElementId>,
    /// By how much they are.
    pub by: (i32, i32),
    /// Lines to show for wires that have one end on something moved.
    pub wires: Vec<(WireId, Vec<Point>)>,
    /// Elements that are not shown meanwhile, those wires among them.
    pub hidden: Vec<ElementId>,
    /// The line of a wire that is being drawn.
    pub rubber: Option<(Point, Point)>,
    /// A part about to be put, and where its anchor would stand.
    pub ghost: Option<(&'static Kind, Cell)>,
    /// The terminal that a release or tap would take.
    pub target: Option<TerminalRef>,
}

/// One document being edited.
#[derive(Debug)]
pub struct Session {
    document: Document,
    history: History,
    pub(crate) board: Board,
    selection: Selection,
    pub(crate) tool: Tool,
    /// Whether the wire tool was taken in hand, and so stays there for one wire after the other; a
    /// wire begun without it leaves no tool behind.
    wiring: bool,
    positions: BTreeMap<PartId, String>,
    revision: u64,
    pub(crate) view: View,
    size: (f64, f64),
    moved_aside: Option<look::MovedAside>,
    /// The view that showed the whole drawing last.
    whole: Option<View>,
    machine: Machine,
    pub(crate) drag: Drag,
    pub(crate) preview: Preview,
    pub(crate) offer: Option<Offer>,
    /// Where a wire lands as soon as the offer about its start is settled.
    pub(crate) then_land: Option<TerminalRef>,
    pub(crate) notice: Option<String>,
    adding: bool,
}

impl Session {
    /// A session on `document`, with nothing selected and everything at rest. The view does not
    /// show anything in particular yet.
    pub fn new(document: Document) -> Session {
        let board = Board::new(&document.network, &document.placement);
        Session::on(document, board)
    }

    /// The same on a document whose symbols stand as they were laid out elsewhere.
    pub fn laid_out(document: Document, standing: &[Standing]) -> Session {
        let board = Board::laid_out(&document.network, &document.placement, standing);
        Session::on(document, board)
    }

    fn on(document: Document, board: Board) -> Session {
        Session {
            document,
            history: History::default(),
            board,
            selection: Selection::default(),
            tool: Tool::Select,
            wiring: false,
            positions: BTreeMap::new(),
            revision: 0,
            view: View::new(),
            size: (0.0, 0.0),
            moved_aside: None,
            whole: None,
            machine: Machine::default(),
            drag: Drag::default(),
            preview: Preview::default(),
            offer: None,
            then_land: None,
            notice: None,
            adding: false,
        }
    }

    /// The present document.
    pub fn document(&self) -> &Document {
        &self.document
    }

    /// The drawing of the present document.
    pub fn scene(&self) -> &Arc<Scene> {
        self.board.scene()
    }

    /// How often the document has changed, by edits, undo and redo.
    pub fn revision(&self) -> u64 {
        self.revision
    }

    /// What is selected.
    pub fn selection(&self) -> &Selection {
        &self.selection
    }

    /// Selects this, what does not exist left out. What was done before is no longer told.
    pub fn select(&mut self, selection: Selection) {
        self.notice = None;
        self.selection = selection.within(&self.document.network);
        self.history.close();
    }

    /// Whether taps add to the selection.
    pub fn adds_to_selection(&self) -> bool {
        self.adding
    }

    /// The tool in hand.
    pub fn tool(&self) -> &Tool {
        &self.tool
    }

    /// Takes another tool in hand. What a gesture or an offer left open is dropped.
    pub fn set_tool(&mut self, tool: Tool) {
        self.abandon();
        self.notice = None;
        self.wiring = matches!(tool, Tool::Wire { .. });
        match tool {
            // By the same rules as a tap there.
            Tool::Wire { from: Some(from) } => {
                self.tool = Tool::Wire { from: None };
                self.start_wire(&from);
            }
            tool => self.tool = tool,
        }
        self.refresh_preview();
    }

    /// Takes the wire tool in hand for the one wire that begins at this terminal, or draws on with it.
    pub(crate) fn begin_wire(&mut self, from: TerminalRef) {
        self.wiring &= matches!(self.tool, Tool::Wire { .. });
        self.tool = Tool::Wire { from: Some(from) };
    }

    /// Is done with a wire, drawn or given up: the next one may be begun if the wire tool was taken in
    /// hand.
    pub(crate) fn end_wire(&mut self) {
        self.tool = if self.wiring { Tool::Wire { from: None } } else { Tool::Select };
    }

    /// The positions of all parts now. It bears the name of the situation that sets the same, if
    /// there is one.
    pub fn situation(&self) -> Situation {
        let named = self.document.situations.iter().find(|named| self.away(&named.set) == self.positions);
        let name = match named {
            _ if self.positions.is_empty() => AT_REST,
            Some(named) => &named.name,
            None => AS_SET,
        };
        Situation { name: name.to_owned(), set: self.positions.clone() }
    }

    /// The positions of all parts that are not at rest.
    pub fn positions(&self) -> &BTreeMap<PartId, String> {
        &self.positions
    }

    /// Sets all parts as `situation` says; what it leaves out is at rest.
    pub fn set_situation(&mut self, situation: &Situation) {
        self.notice = None;
        self.positions = self.away(&situation.set);
    }

    /// Sets one part; `false` when there is no such part or position. This is no step to undo.
    pub fn set_position(&mut self, part: &PartId, position: &str) -> bool {
        let possible =
            self.document.network.part(part).is_some_and(|part| part.positions().contains(&position));
        if possible {
            self.notice = None;
            let mut set = self.positions.clone();
            set.insert(part.clone(), position.to_owned());
            self.positions = self.away(&set);
        }
        possible
    }

    /// Works a part: its next position, the first after the last; `false` when it has none.
    pub fn work(&mut self, part: &PartId) -> bool {
        let Some(found) = self.document.network.part(part) else { return false };
        let positions = found.positions();
        let now = self.positions.get(part).and_then(|now| positions.iter().position(|one| one == now));
        let Some(next) = positions.get((now.unwrap_or(0) + 1) % positions.len().max(1)) else { return false };
        let notice = format!("{}: {next}", found.title());
        let is_set = self.set_position(part, next);
        self.notice = Some(notice);
        is_set
    }

    /// Those of `set` that exist and are not the position at rest.
    fn away(&self, set: &BTreeMap<PartId, String>) -> BTreeMap<PartId, String> {
        let mut away = BTreeMap::new();
        for (id, position) in set {
            let positions = self.document.network.part(id).map_or(&[][..], |part| part.positions());
            if positions.iter().skip(1).any(|one| one == position) {
                away.insert(id.clone(), position.clone());
            }
        }
        away
    }

    /// Makes one edit, one step to undo. An edit that changes nothing is no step.
    ///
    /// # Errors
    ///
    /// The reason why the edit does not apply; then nothing has changed.
    pub fn edit(&mut self, label: &str, edit: Edit) -> Result<(), EditError> {
        self.notice = None;
        self.commit(label, &[edit], false).map(|_| ())
    }

    /// Makes some edits, all in one step to undo. Edits that change nothing are no step.
    ///
    /// # Errors
    ///
    /// The reason why one of them does not apply; then nothing has changed.
    pub fn edit_all(&mut self, label: &str, edits: &[Edit]) -> Result<(), EditError> {
        self.notice = None;
        self.commit(label, edits, false).map(|_| ())
    }

    /// Takes over what was changed elsewhere, as one step to undo. What it does not speak of stays shared.
    pub fn take_over(&mut self, change: Change) {
        self.notice = None;
        let mut next = self.document.clone();
        if let Some(card) = change.card {
            next.card = Arc::new(card);
        }
        if let Some(settings) = change.settings {
            next.settings = Arc::new(settings);
        }
        if let Some(network) = change.network {
            // As with any edit of parts and wires, nothing on the drawing may jump.
            let poses = self.standing().into_iter().filter(|pose| network.part(&pose.part).is_some());
            next.placement = Arc::new(Placement { poses: poses.collect() });
            next.network = Arc::new(network);
        }
        if let Some(plan) = change.plan {
            next.plan = Arc::new(plan);
        }
        if let Some(situations) = change.situations {
            next.situations = Arc::new(situations);
        }
        if let Some(interlocks) = change.interlocks {
            next.interlocks = Arc::new(interlocks);
        }
        if let Some(accepted) = change.accepted {
            next.accepted = Arc::new(accepted);
        }
        if let Some(records) = change.records {
            next.records = Arc::new(records);
        }
        if let Some(placement) = change.placement {
            next.placement = Arc::new(placement);
        }
        self.history.commit(&change.label, self.document.clone(), self.selection.clone(), false);
        self.take(next);
    }

    /// Puts the document back that was there before an edit which must not be made. No step can be undone or done again any
    /// more: who may not change the job may not take back either.
    pub fn put_back(&mut self, document: Document, revision: u64) {
        self.take(document);
        self.history = History::default();
        self.revision = revision;
        self.notice = None;
    }

    /// Keeps the last step from taking in further edits.
    pub fn close_step(&mut self) {
        self.history.close();
    }

    /// What undo would take back.
    pub fn undo_label(&self) -> Option<&str> {
        self.history.undo_label()
    }

    /// What redo would do again.
    pub fn redo_label(&self) -> Option<&str> {
        self.history.redo_label()
    }

    /// The last thing done, in words.
    pub fn notice(&self) -> Option<&str> {
        self.notice.as_deref()
    }

    /// Tells the last thing done no longer.
    pub fn forget_notice(&mut self) {
        self.notice = None;
    }

    /// What the gesture under way shows.
    pub fn preview(&self) -> Preview {
        self.preview.clone()
    }

    /// The question that is open.
    pub fn offer(&self) -> Option<&Offer> {
        self.offer.as_ref()
    }

    /// Where every symbol stands now.
    pub(crate) fn standing(&self) -> Vec<Pose> {
        let kept = |pose: Pose| {
            let at = kept_on_sheet(Cell::new(pose.x, pose.y));
            Pose { x: at.x, y: at.y, ..pose }
        };
        self.board.poses().into_iter().map(kept).collect()
    }

    /// Makes some edits in one step; tells whether anything changed.
    ///
    /// Symbols without a pose are pinned where they stand in the same step, so that nothing on the
    /// drawing jumps because something else was changed.
    pub(crate) fn commit(&mut self, label: &str, edits: &[Edit], merging: bool) -> Result<bool, EditError> {
        let may_move = |edit: &Edit| {
            matches!(edit, Edit::Add { .. } | Edit::Remove { .. } | Edit::ChangePart(_) | Edit::ChangeWire(_))
        };
        let mut base = self.document.clone();
        if edits.iter().any(may_move) {
            let standing = self.standing();
            if standing.len() != base.placement.poses.len() {
                base = apply(&base, &Edit::Place(standing))?;
            }
        }
        let mut next = base.clone();
        for edit in edits {
            next = apply(&next, edit)?;
        }
        if shares_all(&base, &next) {
            return Ok(false);
        }
        self.history.commit(label, self.document.clone(), self.selection.clone(), merging);
        self.take(next);
        Ok(true)
    }

    /// Makes `document` the present one.
    fn take(&mut self, document: Document) {
        self.document = document;
        self.board.update(&self.document.network, &self.document.placement);
        self.revision += 1;
        self.abandon();
        let network = &self.document.network;
        self.selection = std::mem::take(&mut self.selection).within(network);
        self.positions = self.away(&self.positions);
        if let Tool::Wire { from: Some(from) } = &self.tool {
            let stands = network.part(&from.part).is_some_and(|part| part.has_terminal(&from.terminal));
            if !stands {
                self.end_wire();
            }
        }
        self.refresh_preview();
    }

    /// Gives up what a gesture or an offer left open.
    pub(crate) fn abandon(&mut self) {
        self.machine.reset();
        self.drag = Drag::default();
        self.offer = None;
        self.then_land = None;
        self.preview = Preview::default();
    }

    /// Takes back or does again one step that history handed out.
    fn step(&mut self, step: Option<Step>, done: &str, nothing: &str) {
        match step {
            Some(step) => {
                self.selection = step.selection;
                self.take(step.document);
                self.notice = Some(format!("{done}: {}", step.label));
            }
            None => self.notice = Some(nothing.to_owned()),
        }
    }
}

/// Whether two documents are one, all of it shared.
fn shares_all(a: &Document, b: &Document) -> bool {
    Arc::ptr_eq(&a.card, &b.card)
        && Arc::ptr_eq(&a.settings, &b.settings)
        && Arc::ptr_eq(&a.network, &b.network)
        && Arc::ptr_eq(&a.placement, &b.placement)
        && Arc::ptr_eq(&a.situations, &b.situations)
        && Arc::ptr_eq(&a.plan, &b.plan)
        && Arc::ptr_eq(&a.interlocks, &b.interlocks)
        && Arc::ptr_eq(&a.accepted, &b.accepted)
        && Arc::ptr_eq(&a.records, &b.records)
}
