//! The desk: the one place in which the page changes anything.
//!
//! The session is plain data outside the reactive graph. Every change goes through [`Desk::act`],
//! which compares what the shell may show before and after, and wakes only what changed. It also
//! hands a changed job to the keeper, and asks the worker when what it told no longer holds.

use std::collections::BTreeMap;
use std::sync::Arc;

use drawing::scene::Scene;
use editor::clip::Clip;
use editor::{Answers, Offer, Selection, Session, Tool};
use engine::answer::Answer;
use engine::document::{Document, Wire};
use engine::file;
use engine::ids::PartId;
use engine::post::{self, Inquiry, Reply, Report, Spot};
use engine::subject::Subject;
use leptos::prelude::*;

use crate::host;
use crate::rest::{self, Rest};

/// What a view depends on.
#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Topic {
    /// The job.
    Document,
    /// What is selected, what a tap does to that, and whether there is something to paste.
    Selection,
    /// The tool in hand.
    Tool,
    /// The positions of switches and donors.
    Situation,
    /// A question of the session to the user.
    Offer,
    /// What was done last.
    Notice,
    /// What the worker told, or that it has not told yet.
    Answer,
    /// Where the job is kept.
    Kept,
    /// What the session shows of the drawing: its view.
    View,
    /// Panels and dialogs.
    Panel,
    /// Whether readings are shown on the drawing.
    Readings,
    /// Whether the second half of the program is here.
    Whole,
    /// What of the drawing a report is about.
    Spot,
}

const N_TOPICS: usize = 13;

/// Which side of the drawer is shown.
#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Side {
    /// What is selected.
    Selected,
    /// The findings.
    Checks,
    /// Positions of switches and donors.
    Switches,
    /// What is measured and done at the vehicle.
    Prove,
    /// Title data, assumptions, cautions.
    Job,
}

/// How far the drawer stands open where it lies over the drawing.
#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Stop {
    /// Its tabs and the first line.
    Peek,
    /// Half of the height.
    Half,
    /// Nearly all of it.
    Full,
}

/// A dialog over the page.
#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Dialog {
    /// The file forms in which the job may be saved.
    Save,
    /// What to tap first.
    Help,
}

/// Where the job is kept.
#[derive(Clone, PartialEq, Eq)]
pub enum Kept {
    /// Nothing has changed yet.
    Untouched,
    /// The change is on its way.
    Keeping,
    /// On this device.
    Here,
    /// Not kept, and why.
    Refused(String),
    /// Another window has changed the same job.
    Elsewhere,
    /// Another window has the job; here it is only shown.
    Behind,
}

/// Why nothing is changed here.
const BEHIND: &str = "Nothing was changed: the job is open in another window.";

/// What is still to be done after changes.
#[derive(Clone, Copy, Default)]
struct Owed {
    question: bool,
    keeping: bool,
}

/// Everything the page holds.
pub struct State {
    /// The job being worked on.
    pub session: Session,
    /// What the worker told.
    pub answers: Answers,
    /// Where the job is kept.
    pub kept: Kept,
    /// What was copied, also from another job.
    pub clip: Option<Clip>,
    /// The wire that was changed last, for "as the last one".
    pub last_wire: Option<Wire>,
    /// The side of the drawer.
    pub side: Side,
    /// How far the drawer is open.
    pub stop: Stop,
    /// The dialog that is open.
    pub dialog: Option<Dialog>,
    /// Whether the part tray is open where it lies over the drawing.
    pub tray: bool,
    /// Whether readings are shown on the drawing.
    pub readings: bool,
    /// Whether the worker is to be asked, and the job to be kept: both wait for the second half of the program.
    owed: Owed,
    /// A message that is not of the session.
    pub said: String,
    /// What of the drawing the last report was about.
    pub spot: Spot,
    /// The job as the worker gets it, with the sitting and the revision it belongs to.
    packed: (u64, u64, Vec<u8>),
    /// The number of sessions begun: jobs that follow one another may have equal revisions. None has begun while the job
    /// of the last visit is still being opened.
    pub sitting: u64,
}

impl State {
    fn new() -> State {
        State {
            session: Session::laid_out(Document::default(), &[]),
            answers: Answers::default(),
            kept: Kept::Untouched,
            clip: None,
            last_wire: None,
            side: Side::Checks,
            stop: Stop::Peek,
            dialog: None,
            tray: false,
            readings: true,
            owed: Owed::default(),
            said: String::new(),
            spot: Spot::default(),
            packed: (0, u64::MAX, Vec::new()),
            sitting: 0,
        }
    }

    /// What of the drawing is told of on the side that is shown; none where everything is.
    pub fn spot(&self) -> Option<&Spot> {
        Some(&self.spot).filter(|spot| self.side == Side::Prove && !spot.is_empty())
    }

    /// The answer, while it belongs to what is shown.
    pub fn fresh(&self) -> Option<&Answer> {
        self.answers.fresh()
    }

    /// The answer, while its findings belong to what is shown too: they come after the readings.
    pub fn checked(&self) -> Option<&Answer> {
        self.answers.checked()
    }

    /// Whether there is a job to work on.
    pub fn has_begun(&self) -> bool {
        self.sitting > 0
    }

    /// The one part that is selected.
    pub fn only_part(&self) -> Option<PartId> {
        match self.session.selection().only() {
            Some(Subject::Part(part)) => Some(part),
            _ => None,
        }
    }

    /// What is selected, by ids with blanks between.
    fn selected_ids(&self) -> String {
        let selection = self.session.selection();
        let parts = selection.parts.iter().map(PartId::as_str);
        parts.chain(selection.wires.iter().map(|wire| wire.as_str())).collect::<Vec<_>>().join(" ")
    }

    /// The job as the text of its file.
    pub fn text(&self) -> String {
        file::write_json(self.session.document())
    }

    /// The job as the worker gets it; selecting and working switches ask about the same one again.
    fn packed(&mut self) -> &[u8] {
        let revision = self.session.revision();
        if (self.packed.0, self.packed.1) != (self.sitting, revision) {
            self.packed = (self.sitting, revision, post::packed(self.session.document()));
        }
        &self.packed.2
    }

    /// Tells one state of one job from all others.
    fn stamp(&self) -> u64 {
        (self.sitting << 32) + self.session.revision()
    }

    /// Does what is owed, when it can be done.
    fn pay(&mut self) {
        let Some(rest) = rest::fetched() else { return };
        let Owed { question, keeping } = std::mem::take(&mut self.owed);
        // The worker is asked first, so that it computes while the rest is done here.
        if question {
            (rest.ask)(self);
        }
        if keeping {
            (rest.keep)(self);
        }
    }

    /// Whether the job has changed and nobody was there to keep it.
    pub fn owes_keeping(&self) -> bool {
        self.owed.keeping
    }

    /// Has the job kept as it is now.
    pub fn keep(&self) {
        host::keep_job(&self.session.document().card.title, &self.text());
    }

    /// Asks the worker about the job as it is now.
    pub fn ask(&mut self) {
        let request = self.answers.ask(self.session.situation(), self.only_part());
        host::ask(post::question(self.packed(), &request));
    }
}

/// What was there before a change, to tell what changed.
struct Before {
    sitting: u64,
    document: Document,
    revision: u64,
    selection: Selection,
    tool: Tool,
    positions: BTreeMap<PartId, String>,
    offer: Option<Offer>,
    notice: (Option<String>, String),
    asked: u64,
    answered: Option<(u64, bool)>,
    failed: bool,
    kept: Kept,
    view: [f64; 3],
    panel: (Side, Stop, Option<Dialog>, bool),
    readings: bool,
    spot: Option<Spot>,
    /// Whether taps add to the selection, and whether something was copied.
    selecting: (bool, bool),
}

impl Before {
    fn of(state: &State) -> Before {
        let session = &state.session;
        let view = session.view();
        Before {
            sitting: state.sitting,
            document: session.document().clone(),
            revision: session.revision(),
            selection: session.selection().clone(),
            tool: session.tool().clone(),
            positions: session.positions().clone(),
            offer: session.offer().cloned(),
            notice: (session.notice().map(str::to_owned), state.said.clone()),
            asked: state.answers.asked(),
            answered: state.answers.last().map(|answer| (answer.revision, answer.checked)),
            failed: !state.answers.failure().is_empty(),
            kept: state.kept.clone(),
            view: [view.scale, view.left, view.top],
            panel: (state.side, state.stop, state.dialog, state.tray),
            readings: state.readings,
            spot: state.spot().cloned(),
            selecting: (session.adds_to_selection(), state.clip.is_some()),
        }
    }
}

/// The handle every view holds.
#[derive(Clone, Copy)]
pub struct Desk {
    state: StoredValue<State, LocalStorage>,
    topics: StoredValue<[RwSignal<u32>; N_TOPICS]>,
}

impl Desk {
    /// A desk with an empty job that is kept nowhere yet.
    pub fn new() -> Desk {
        Desk {
            state: StoredValue::new_local(State::new()),
            topics: StoredValue::new(std::array::from_fn(|_| RwSignal::new(0))),
        }
    }

    fn topic(self, topic: Topic) -> RwSignal<u32> {
        self.topics.with_value(|topics| topics[topic as usize])
    }

    /// Reads, and reads again whenever one of `topics` changes.
    pub fn read<R>(self, topics: &[Topic], read: impl FnOnce(&State) -> R) -> R {
        for topic in topics {
            self.topic(*topic).track();
        }
        self.state.with_value(read)
    }

    /// Reads once.
    pub fn look<R>(self, read: impl FnOnce(&State) -> R) -> R {
        self.state.with_value(read)
    }

    /// Changes something.
    pub fn act(self, change: impl FnOnce(&mut State)) {
        let before = self.state.with_value(Before::of);
        self.state.update_value(change);
        self.settle(before);
    }

    fn settle(self, before: Before) {
        let mut changed = Vec::new();
        self.state.update_value(|state| {
            let other_job = state.sitting != before.sitting;
            if other_job {
                state.spot = Spot::default();
            }
            let mut revised = state.session.revision() != before.revision;
            if revised && !other_job && state.kept == Kept::Behind {
                state.session.put_back(before.document.clone(), before.revision);
                state.said = BEHIND.to_owned();
                revised = false;
            }
            let document = revised || other_job;
            let selection = *state.session.selection() != before.selection;
            let situation = *state.session.positions() != before.positions;
            state.owed.question |= document || situation || selection;
            state.owed.keeping |= revised && !other_job;
            state.pay();
            if document || situation {
                host::renew_reports(document);
            }
            if selection {
                host::selected(&state.selected_ids());
                state.follow_selection();
            }
            // What the session has to say now, or what the tool in hand asks for, is newer than what was said before.
            let notice = state.session.notice();
            let speaks = notice.is_some() && notice != before.notice.0.as_deref();
            if (speaks || *state.session.tool() != before.tool) && state.said == before.notice.1 {
                state.said.clear();
            }
            let now = Before::of(state);
            let told =
                now.asked != before.asked || now.answered != before.answered || now.failed != before.failed;
            for (topic, differs) in [
                (Topic::Document, document),
                (Topic::Selection, selection || document || now.selecting != before.selecting),
                (Topic::Tool, now.tool != before.tool),
                (Topic::Situation, situation || document),
                (Topic::Offer, now.offer != before.offer),
                (Topic::Notice, now.notice != before.notice),
                (Topic::Answer, told),
                (Topic::Kept, now.kept != before.kept),
                (Topic::View, now.view != before.view),
                (Topic::Panel, now.panel != before.panel),
                (Topic::Readings, now.readings != before.readings),
                (Topic::Spot, now.spot != before.spot),
            ] {
                if differs {
                    changed.push(topic);
                }
            }
        });
        for topic in changed {
            self.topic(topic).update(|n| *n = n.wrapping_add(1));
        }
    }

    /// The drawing of the job.
    pub fn scene(self) -> Arc<Scene> {
        self.state.with_value(|state| Arc::clone(state.session.scene()))
    }

    /// The second half of the program once it is here, for a view that waits for it.
    pub fn rest(self) -> Option<&'static Rest> {
        self.topic(Topic::Whole).track();
        rest::fetched()
    }

    /// The second half of the program has come.
    pub fn is_whole(self) {
        self.state.update_value(State::pay);
        self.topic(Topic::Whole).update(|n| *n = n.wrapping_add(1));
    }

    /// An answer of the worker, as it arrived.
    pub fn answered(self, bytes: &[u8]) {
        self.act(|state| match Reply::from_bytes(bytes) {
            Reply::Answer(answer) => state.answers.take(*answer),
            Reply::Failure(why) => state.answers.fail(&why),
            Reply::Job(..) | Reply::Report(_) => state.answers.fail("the answer is none"),
        });
    }

    /// The question for a report that these words ask for.
    pub fn inquiry(self, words: String) -> Vec<u8> {
        let mut bytes = Vec::new();
        self.state.update_value(|state| {
            let inquiry = Inquiry { stamp: state.stamp(), situation: state.session.situation(), words };
            bytes = post::inquiry(state.packed(), &inquiry);
        });
        bytes
    }

    /// Does what a report says, and gives what it shows. What is about another state of the job changes nothing.
    pub fn reported(self, bytes: &[u8]) -> String {
        let report = match Reply::from_bytes(bytes) {
            Reply::Report(report) => *report,
            Reply::Failure(why) => Report { said: why, ..Report::default() },
            Reply::Answer(_) | Reply::Job(..) => Report::default(),
        };
        if let Some(subject) = &report.show {
            let was = self.look(|state| state.side);
            crate::shell::show(self, subject);
            // Who goes through a list at the vehicle goes on with it. Elsewhere what is selected already is no change of
            // the selection, but asked for all the same.
            self.act(|state| state.side = if was == Side::Prove { was } else { Side::Selected });
        }
        self.act(|state| {
            if let Some(spot) = report.spot {
                state.spot = spot;
            }
            let is_late = report.change.is_some() && report.stamp != state.stamp();
            if is_late {
                state.said = "The job has changed meanwhile, so nothing was done.".to_owned();
                return;
            }
            if let Some(change) = report.change {
                state.session.take_over(change);
            }
            if let Some(situation) = &report.positions {
                state.session.set_situation(situation);
            }
            if !report.said.is_empty() {
                state.said = report.said;
            }
        });
        report.markup
    }

    /// The worker broke down.
    pub fn not_answered(self, why: &str) {
        self.act(|state| state.answers.fail(why));
    }
}

impl State {
    /// What was picked is what the drawer shows.
    fn follow_selection(&mut self) {
        if !self.session.selection().is_empty() {
            self.side = Side::Selected;
        } else if self.side == Side::Selected {
            self.side = Side::Checks;
            self.stop = Stop::Peek;
        }
    }
}
