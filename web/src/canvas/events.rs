//! From events of the page to pointers and keys of the session.
//!
//! Moves wait for the next frame and only the last of each finger counts; everything else is handed
//! on at once, after the moves before it.

use std::cell::RefCell;
use std::rc::Rc;

use drawing::hit::{Reach, Target, hits};
use editor::{Action, Hands, Key, Phase, Pointer, PointerKind, Screen, Stroke, Tool};
use leptos::prelude::{GetValue, LocalStorage, StoredValue, WithValue, document};
use wasm_bindgen::prelude::Closure;
use wasm_bindgen::{JsCast, JsValue};

use super::{Shown, root};
use crate::host;
use crate::piece::{after_this, by_id};
use crate::rest;
use crate::state::desk::{Desk, Side, State, Stop};

/// The listeners of the drawing.
#[derive(Clone)]
pub struct Events {
    desk: Desk,
    picture: Shown,
    /// Moves that wait for the next frame.
    waiting: Rc<RefCell<Vec<Pointer>>>,
    /// Where the drawing begins in the window.
    corner: Rc<RefCell<(f64, f64)>>,
    /// The mark of a finding that was pressed: its number.
    pressed: Rc<RefCell<Option<u32>>>,
}

impl Events {
    /// Listeners for the drawing.
    pub fn new(desk: Desk, picture: Shown) -> Events {
        Events { desk, picture, waiting: Rc::default(), corner: Rc::default(), pressed: Rc::default() }
    }

    /// Takes note of where the drawing lies and how large it is.
    pub fn measure(&self) {
        let Some(rect) = self.locate() else { return };
        if rect.width() > 0.0 && rect.height() > 0.0 {
            self.desk.act(|state| {
                let clear = crate::shell::covered(state);
                state.session.resize(rect.width(), rect.height(), clear);
            });
        }
    }

    /// Takes note of where the drawing lies.
    fn locate(&self) -> Option<web_sys::DomRect> {
        let rect = frame()?.get_bounding_client_rect();
        *self.corner.borrow_mut() = (rect.left(), rect.top());
        Some(rect)
    }

    /// Where an event happened on the drawing. Fingers are told to fractions of a pixel, which the typed
    /// interface cuts off; a pinch would drift by them.
    fn at(&self, event: &JsValue) -> Screen {
        let (left, top) = *self.corner.borrow();
        let of = |name: &str| host::number_of(event, name).unwrap_or_default();
        Screen { x: of("clientX") - left, y: of("clientY") - top }
    }

    /// A pointer touches, moves, leaves.
    pub fn pointer(&self, event: &web_sys::PointerEvent, phase: Phase) {
        let phase = if phase == Phase::Move && event.buttons() == 0 { Phase::Hover } else { phase };
        if phase == Phase::Down {
            // The drawing may lie elsewhere since, as when the details change sides.
            self.locate();
        }
        let kind = match event.pointer_type().as_str() {
            "mouse" => PointerKind::Mouse,
            "pen" => PointerKind::Pen,
            _ => PointerKind::Finger,
        };
        let pointer = Pointer {
            id: event.pointer_id(),
            phase,
            kind,
            at: self.at(event),
            shift: event.shift_key() || event.ctrl_key() || event.meta_key(),
            time_ms: event.time_stamp(),
        };
        if matches!(phase, Phase::Move | Phase::Hover) {
            let mut waiting = self.waiting.borrow_mut();
            let first = waiting.is_empty();
            waiting.retain(|other| other.id != pointer.id);
            waiting.push(pointer);
            if first {
                let events = self.clone();
                after_this(move || events.flush());
            }
            return;
        }
        if kind == PointerKind::Mouse && phase == Phase::Down && event.button() != 0 {
            return;
        }
        if phase == Phase::Down {
            enter_what_was_typed();
        }
        self.flush();
        if phase == Phase::Down {
            if let Some(root) = root() {
                // A pointer that is already gone cannot be captured, and need not be.
                let _ = root.set_pointer_capture(event.pointer_id());
            }
            *self.pressed.borrow_mut() = rest::fetched().and_then(|rest| (rest.finding_at)(self, pointer.at));
        }
        if phase == Phase::Up
            && let Some(number) = self.pressed.borrow_mut().take()
            && self.desk.look(|state| state.session.would_tap(&pointer))
        {
            self.give(Pointer { phase: Phase::Cancel, ..pointer });
            rest::with(self.desk, |rest| (rest.open_finding)(self.desk, number));
            return;
        }
        self.give(pointer);
    }

    /// The number of the finding whose mark is meant there. There are no marks without the second half of the program.
    pub fn finding_at(&self, at: Screen) -> Option<u32> {
        /// A mark is smaller than a finger.
        const REACH_PX: f64 = 6.0;
        /// A terminal this near is what a finger means, whatever mark stands beside it.
        const TERMINAL_PX: f64 = 12.0;
        /// And so is a wire, unless the mark itself is touched.
        const WIRE_PX: f64 = 3.0;
        let (point, reach, at_terminal) = self.desk.look(|state| {
            let session = &state.session;
            // Who picks several things wants none of them to lead elsewhere.
            if session.adds_to_selection() || !matches!(session.tool(), Tool::Select | Tool::Try) {
                return None;
            }
            let view = session.view();
            let point = view.to_drawing(at);
            let near = Reach { terminal: view.length(TERMINAL_PX), symbol: 0, wire: view.length(WIRE_PX) };
            let found = hits(session.scene(), point, near);
            let at_terminal = found.iter().any(|hit| matches!(hit.target, Target::Terminal { .. }));
            let reach = if found.is_empty() { view.length(REACH_PX) } else { 0 };
            Some((point, reach, at_terminal))
        })?;
        if at_terminal {
            return None;
        }
        self.picture.get_value()?.borrow().finding_at(point, reach)
    }

    fn flush(&self) {
        for pointer in std::mem::take(&mut *self.waiting.borrow_mut()) {
            self.give(pointer);
        }
    }

    fn give(&self, pointer: Pointer) {
        if let Some(picture) = self.picture.get_value() {
            match pointer.phase {
                Phase::Move => picture.borrow().is_moving(),
                _ => picture.borrow().rest(),
            }
        }
        self.desk.act(|state| {
            if pointer.phase == Phase::Down {
                state.said.clear();
                state.session.set_hands(hands());
            }
            state.session.pointer(pointer);
        });
        if let Some(picture) = self.picture.get_value() {
            picture.borrow_mut().show_gesture(self.desk);
        }
    }

    /// A press on a symbol that no pointer made, as from a screen reader or by voice: those have no place to tell. What
    /// pointers press was taken in by then.
    pub fn click(&self, event: &web_sys::MouseEvent) {
        let target = event.target().and_then(|target| target.dyn_into().ok()).filter(|_| event.detail() == 0);
        let picture = self.picture.get_value();
        let part = target.zip(picture).and_then(|(target, picture)| picture.borrow().part_of(&target));
        if let Some(part) = part {
            self.desk.act(|state| state.session.press(&part));
        }
    }

    /// The wheel turns: with Ctrl, and on a touchpad's pinch, it zooms.
    pub fn wheel(&self, event: &web_sys::WheelEvent) {
        event.prevent_default();
        let at = self.at(event);
        // A mouse wheel comes in large whole steps; a touchpad scrolls finely and in both directions.
        let notched = event.delta_mode() != 0 || (event.delta_x() == 0.0 && event.delta_y().abs() >= 50.0);
        let zoom = event.ctrl_key() || notched;
        if let Some(picture) = self.picture.get_value() {
            picture.borrow().is_moving();
        }
        self.desk.act(|state| state.session.wheel(at, event.delta_x(), event.delta_y(), zoom));
    }

    /// A key while the drawing has the focus.
    pub fn key(&self, event: &web_sys::KeyboardEvent) {
        rest::with(self.desk, |rest| (rest.key)(self, event));
    }

    /// Does what a key means.
    pub fn press_key(&self, event: &web_sys::KeyboardEvent) {
        let name = event.key();
        let stroke = match name.as_str() {
            "ArrowLeft" => Stroke::Left,
            "ArrowRight" => Stroke::Right,
            "ArrowUp" => Stroke::Up,
            "ArrowDown" => Stroke::Down,
            "Enter" | " " => Stroke::Enter,
            "Escape" => Stroke::Escape,
            "Delete" | "Backspace" => Stroke::Delete,
            name => match name.chars().next() {
                Some(letter) if name.chars().count() == 1 && !event.alt_key() => {
                    Stroke::Letter(letter.to_ascii_lowercase())
                }
                _ => return,
            },
        };
        let key = Key { stroke, shift: event.shift_key(), control: event.ctrl_key() || event.meta_key() };
        if stroke == Stroke::Enter && event.repeat() {
            // Enter that chose a part in the tray and is still held must not put it too.
            return;
        }
        self.desk.act(|state| state.said.clear());
        if stroke == Stroke::Letter('c') && key.control {
            crate::shell::copy(self.desk);
            event.prevent_default();
            return;
        }
        if stroke == Stroke::Letter('v') && key.control {
            crate::shell::paste(self.desk);
            event.prevent_default();
            return;
        }
        if let Some(action @ (Action::ShowAll | Action::Tidy)) = Action::of_key(key) {
            crate::shell::act(self.desk, action);
            event.prevent_default();
            return;
        }
        let mut used = false;
        self.desk.act(|state| used = state.session.key(key));
        if !used && stroke == Stroke::Enter && self.desk.look(|state| state.only_part().is_some()) {
            self.desk.act(|state| {
                state.side = Side::Selected;
                state.stop = Stop::Half;
            });
            // The focus leaves the drawing, so it must not be brought back to the part.
            crate::panel::focus_drawer();
            event.prevent_default();
            return;
        }
        if used {
            event.prevent_default();
            if let Some(picture) = self.picture.get_value() {
                picture.borrow_mut().show_gesture(self.desk);
            }
            self.focus_selected();
        }
    }

    /// Keeps the focus on the part that is selected, so that it is told and never lost.
    fn focus_selected(&self) {
        let part = self.desk.look(State::only_part);
        if let (Some(part), Some(picture)) = (part, self.picture.get_value())
            && self.desk.look(|state| {
                state.session.offer().is_none()
                    && matches!(state.session.tool(), Tool::Select | Tool::Wire { .. } | Tool::Try)
            })
            && root().is_some_and(|root| root.contains(document().active_element().as_deref()))
        {
            // The symbol may only appear with the effects that follow this change.
            after_this(move || picture.borrow().focus(&part));
        }
    }
}

/// What touches the drawing, by the settings of this device; see `web/host/device.js`.
fn hands() -> Hands {
    let root = document().document_element();
    if root.is_some_and(|root| root.has_attribute("data-gloves")) { Hands::Gloved } else { Hands::Bare }
}

/// The worktop that the drawing is seen in; the drawing itself is painted beyond its edges.
fn frame() -> Option<web_sys::Element> {
    by_id("worktop")
}

/// Takes the focus out of a field, which enters what was typed there. By touch it would only go when the finger is
/// lifted; by then a tap has selected something else and the field is gone with its form.
fn enter_what_was_typed() {
    let active =
        document().active_element().filter(|active| root().is_some_and(|root| !root.contains(Some(active))));
    if let Some(active) = active {
        // The call is the same for every element that can have the focus.
        let _ = active.unchecked_ref::<web_sys::HtmlElement>().blur();
    }
}

/// Keeps the session's idea of the drawing's size right.
pub fn follow_size(events: StoredValue<Events, LocalStorage>) {
    let Some(frame) = frame() else { return };
    let measure = Closure::<dyn FnMut()>::new(move || events.with_value(Events::measure));
    if let Ok(observer) = web_sys::ResizeObserver::new(measure.as_ref().unchecked_ref()) {
        observer.observe(&frame);
        // It lives as long as the page does.
        std::mem::forget(observer);
        measure.forget();
    }
}
