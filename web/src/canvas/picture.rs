//! The layers of the worktop, and how each follows what it shows.

use std::cell::Cell;
use std::rc::Rc;
use std::sync::Arc;

use drawing::geometry::Rect;
use drawing::overlay::{FindingMark, Overlay, Readings, marks};
use drawing::scene::{ElementId, Scene};
use editor::density::{Room, names_with_room, rooms, space_of};
use engine::answer::{Answer, Told};

use super::layer::Layer;
use super::lift::Lift;
use super::spoken::spoken;
use super::stage::Stage;
use super::{halo, root};
use crate::state::desk::{Desk, State};

/// The groups of the drawing in the page, and what stands in them.
pub struct Picture {
    stage: Rc<Stage>,
    /// Whether the view is moved by fingers or a wheel, which may go on.
    under_way: Cell<bool>,
    under: web_sys::Element,
    scene: Layer,
    marks: Layer,
    over: web_sys::Element,
    /// What a gesture has taken from its place.
    lift: Lift,
    /// The scene that the marks were laid over.
    marked: Arc<Scene>,
    /// How each of the marks may grow.
    rooms: Vec<Room>,
    /// What the lowest and the uppermost group hold now.
    drawn_under: String,
    drawn_over: String,
}

impl Picture {
    /// The layers in these groups of the stage: under, scene, marks, over; and what lies above them.
    pub fn new(stage: Rc<Stage>, groups: [web_sys::Element; 4], lift: Lift) -> Picture {
        let [under, scene, marks, over] = groups;
        Picture {
            stage,
            under_way: Cell::new(false),
            under,
            scene: Layer::new(scene),
            marks: Layer::new(marks),
            over,
            lift,
            marked: Arc::default(),
            rooms: Vec::new(),
            drawn_under: String::new(),
            drawn_over: String::new(),
        }
    }

    /// Shows the drawing of the job as it is now.
    pub fn show_scene(&mut self, desk: Desk) {
        self.put_back();
        let scene = desk.scene();
        self.stage.holds(scene.elements().len());
        self.scene.show(&scene);
    }

    /// Shows readings and findings. Until new ones are known the last ones of the job stay, where their things now are:
    /// that is mostly for less than a frame, and the style lets them fade when it takes longer.
    pub fn show_marks(&mut self, desk: Desk) {
        let marked = desk.look(|state| {
            let scene = state.session.scene();
            if state.answers.last().is_some() && state.fresh().is_none() && Arc::ptr_eq(&self.marked, scene) {
                return None;
            }
            self.marked = Arc::clone(scene);
            let overlay = state.answers.last().map(|answer| overlay_of(state, answer, &answer.findings));
            Some(Arc::new(Scene::new(marks(scene, &overlay.unwrap_or_default()))))
        });
        let Some(marked) = marked else { return };
        self.marks.show(&marked);
        self.rooms = rooms(marked.elements(), &self.marked);
        for (mark, Room { foot, most }) in marked.elements().iter().zip(&self.rooms) {
            let class = match mark.id {
                ElementId::Finding(_) => "finding-mark",
                _ => "reading-mark",
            };
            self.marks.dress(&mark.id, &format!("{class} room-{most}"), *foot);
        }
        // Of a large drawing none is shown from afar.
        if !self.stage.is_large() {
            for (id, has_room) in names_with_room(&self.marked, marked.elements(), &self.rooms) {
                self.scene.mark(id, "data-room", has_room);
            }
        }
        desk.look(|state| {
            let (document, answer) = (state.session.document(), state.answers.last());
            self.scene.name_things(|subject| spoken(document, answer, subject));
        });
    }

    /// Shows what is selected and lit.
    pub fn show_halos(&mut self, desk: Desk) {
        let under = desk.look(|state| {
            let lit = state.fresh().and_then(|answer| answer.path.as_ref());
            let spot = state.spot();
            self.scene.stand_back(spot);
            halo::under(&state.session, lit, spot)
        });
        if under != self.drawn_under {
            self.under.set_inner_html(&under);
            self.drawn_under = under;
        }
    }

    /// Shows what is open to be wired.
    pub fn show_open(&mut self, desk: Desk) {
        let over = desk.look(|state| halo::over(&state.session) + &halo::kept(&state.session));
        if over != self.drawn_over {
            self.over.set_inner_html(&over);
            self.drawn_over = over;
        }
        self.show_gesture(desk);
    }

    /// Moves the view.
    pub fn show_view(&self, desk: Desk) {
        let (view, size) = desk.look(|state| (state.session.view(), state.session.size()));
        match self.under_way.take() {
            true => self.stage.move_to(view, size),
            false => self.stage.paint(view),
        }
    }

    /// What comes next moves the view as fingers do, step by step.
    pub fn is_moving(&self) {
        self.under_way.set(true);
    }

    /// The fingers are lifted: what was only moved is painted where it is now.
    pub fn rest(&self) {
        self.under_way.set(false);
        self.stage.settle();
    }

    /// Shows what a gesture would do on release.
    pub fn show_gesture(&mut self, desk: Desk) {
        let (preview, markup) = desk.look(|state| {
            let preview = state.session.preview();
            let markup = halo::gesture(&state.session, &preview);
            (preview, markup)
        });
        let is_dragging = self.lift.show(&self.scene, self.stage.scale(), preview, markup);
        self.is_dragging(is_dragging);
    }

    /// Puts back on the drawing what a gesture has taken off it.
    fn put_back(&mut self) {
        self.lift.put_back(&self.scene);
        self.is_dragging(false);
    }

    fn is_dragging(&self, is_dragging: bool) {
        if let Some(root) = root() {
            // Which fails for names that are none only.
            let _ = root.class_list().toggle_with_force("dragging", is_dragging);
        }
    }

    /// The number of the finding whose mark lies at a point of the drawing.
    pub fn finding_at(&self, at: drawing::geometry::Point, reach: i32) -> Option<u32> {
        let density = self.stage.density();
        self.marks.scene().elements().iter().zip(&self.rooms).find_map(|(element, room)| match element.id {
            ElementId::Finding(number) => {
                // The badge without the line that leads to it: that ends where a terminal may be meant.
                let bounds = space_of(element, density.factor(room.most)).grown(reach);
                let here = Rect::new(at.x, at.y, at.x, at.y);
                bounds.holds(&here).then_some(number)
            }
            _ => None,
        })
    }

    /// The part whose symbol an element of the page belongs to.
    pub fn part_of(&self, element: &web_sys::Node) -> Option<engine::ids::PartId> {
        self.scene.symbols().find_map(|(id, child)| match id {
            ElementId::Symbol(part, ..) if child.contains(Some(element)) => Some(part.clone()),
            _ => None,
        })
    }

    /// Gives the focus to the first symbol of a part.
    pub fn focus(&self, part: &engine::ids::PartId) {
        use wasm_bindgen::JsCast;
        let child =
            self.scene.symbols().find(|(id, _)| matches!(id, ElementId::Symbol(other, ..) if other == part));
        if let Some(child) = child.and_then(|(_, child)| child.dyn_ref::<web_sys::SvgElement>()) {
            // A symbol that cannot take the focus leaves it where it was.
            let _ = child.focus();
        }
    }
}

/// Readings and findings as they stand; nothing while they are not known, but that.
pub fn overlay(state: &State) -> Overlay {
    let findings = state.checked().map(|answer| answer.findings.as_slice()).unwrap_or_default();
    let overlay = state.fresh().map(|answer| overlay_of(state, answer, findings)).unwrap_or_default();
    Overlay { unchecked: state.checked().is_none(), ..overlay }
}

fn overlay_of(state: &State, answer: &Answer, findings: &[Told]) -> Overlay {
    let findings = findings
        .iter()
        .map(|told| FindingMark { subject: told.subject.clone(), severity: told.severity })
        .collect();
    let readings = if state.readings {
        Readings::of(&state.session.document().network, answer)
    } else {
        Readings::default()
    };
    Overlay { readings, findings, ..Overlay::default() }
}
