//! The worktop: the drawing, and what happens to it under fingers, mouse and keys.
//!
//! Pointers go to the session as they are, once a frame; what they mean is decided there. The shapes
//! of the drawing are patched by hand from scene differences, because a drag must touch nothing but
//! what moves; see [`layer`].

pub mod events;
mod halo;
mod layer;
mod lift;
mod picture;
mod spoken;
mod stage;

use std::cell::{Cell, RefCell};
use std::rc::Rc;
use std::time::Duration;

use editor::{Phase, Tool};
use leptos::prelude::{
    Get, GetUntracked, GetValue, LocalStorage, RwSignal, Set, SetValue, StoredValue, Track, UpdateValue,
    WithValue, set_timeout, window_event_listener_untyped,
};
use wasm_bindgen::JsCast;

use crate::host;
use crate::piece::{Tag, after_this, by_id, follow, styled};
use crate::rest;
use crate::state::desk::{Desk, State, Topic};
use events::Events;
use lift::Lift;
use stage::Stage;

pub use layer::set;
pub use picture::{Picture, overlay};

/// The drawing before there is anything on it: the grid, and a group for each layer.
const STAGE: &str = concat!(
    r#"<div id="stage" class="stage"><svg id="drawing" class="sheet" tabindex="0" role="group" "#,
    r#"aria-label="Drawing. Arrow keys go from part to part, Enter opens the details.">"#,
    r#"<defs><pattern id="grid" x="-1.25" y="-1.25" width="2.5" height="2.5" patternUnits="userSpaceOnUse">"#,
    r#"<circle class="grid-dot" cx="1.25" cy="1.25" r="0.16"/></pattern></defs>"#,
    r#"<g id="layer-view">"#,
    r#"<rect class="grid" x="-2500" y="-2500" width="5000" height="5000" fill="url(#grid)"/>"#,
    r#"<g id="layer-under" class="under" transform="scale(0.01)"></g>"#,
    r#"<g id="layer-scene" class="scene" fill="none" stroke-linecap="round" stroke-linejoin="round"></g>"#,
    r#"<g id="layer-marks" class="marks" fill="none" stroke-linecap="round" stroke-linejoin="round"></g>"#,
    r#"<g id="layer-over" class="over" transform="scale(0.01)"></g>"#,
    r#"</g></svg>"#,
    r#"<div id="layer-lift" class="lift" hidden=""><svg class="sheet" aria-hidden="true"><g id="layer-lift-view">"#,
    r#"<g id="layer-lift-scene" class="scene" fill="none" stroke-linecap="round" stroke-linejoin="round"></g>"#,
    r#"</g></svg></div>"#,
    r#"<div id="layer-hand" class="lift" hidden=""><svg class="sheet" aria-hidden="true"><g id="layer-hand-view">"#,
    r#"<g id="layer-hand-over" class="over" transform="scale(0.01)"></g>"#,
    r#"</g></svg></div></div>"#,
);

/// The drawing in the page.
fn root() -> Option<web_sys::Element> {
    by_id("drawing")
}

/// The layers of the drawing once they stand in the page.
type Shown = StoredValue<Option<Rc<RefCell<Picture>>>, LocalStorage>;

/// The drawing.
pub fn worktop(desk: Desk) -> Tag {
    let picture: Shown = StoredValue::new_local(None);
    let staged = RwSignal::new(false);
    let events = StoredValue::new_local(Events::new(desk, picture));
    after_this(move || {
        let groups = ["view", "under", "scene", "marks", "over"].map(|name| by_id(&format!("layer-{name}")));
        let held = ["lift-view", "lift-scene", "hand-view", "hand", "hand-over"];
        let held = held.map(|name| by_id(&format!("layer-{name}")));
        if let (Some(root), Some(sheet)) = (by_id("stage"), by_id("layer-lift"))
            && let [Some(view), Some(under), Some(scene), Some(marks), Some(over)] = groups
            && let [Some(lift_view), Some(lifted), Some(hand_view), Some(hand), Some(drawn)] = held
        {
            let stage = Stage::new(root, [view, lift_view, hand_view]);
            let lift = Lift::new(sheet, [lifted, hand, drawn]);
            let made = Picture::new(stage, [under, scene, marks, over], lift);
            picture.set_value(Some(Rc::new(RefCell::new(made))));
            events::follow_size(events);
            events.with_value(Events::measure);
            desk.act(|state| state.session.show_all());
            staged.set(true);
        }
    });
    follow(move || {
        if desk.read(&[Topic::Document], State::has_begun) && staged.get() {
            host::ready();
        }
    });
    // A job is shown whole when it is opened, before anything is read of it. Once its readings and
    // findings are there they are to be seen too, unless the user has moved on.
    let seen = Cell::new(0);
    follow(move || {
        let (checked, sitting) =
            desk.read(&[Topic::Answer], |state| (state.checked().is_some(), state.sitting));
        if checked && seen.replace(sitting) != sitting && desk.look(|state| state.session.shows_all()) {
            crate::shell::show_all(desk);
        }
    });
    // Who turns to another window or tab has let go of everything, whatever the browser tells of it.
    for left in ["blur", "visibilitychange"] {
        let _ = window_event_listener_untyped(left, move |_| {
            desk.act(|state| state.session.abort());
            if let Some(picture) = picture.get_value() {
                picture.borrow_mut().show_gesture(desk);
            }
        });
    }
    let show = move |topics: &'static [Topic], change: fn(&mut Picture, Desk)| {
        follow(move || {
            staged.track();
            desk.read(topics, |_| ());
            if let Some(picture) = picture.get_value() {
                change(&mut picture.borrow_mut(), desk);
            }
        });
    };
    show(&[Topic::Document], Picture::show_scene);
    show(&[Topic::Document, Topic::Answer, Topic::Readings, Topic::Whole], |picture, desk| {
        if let Some(rest) = rest::fetched() {
            (rest.marks)(picture, desk);
        }
    });
    show(&[Topic::Document, Topic::Answer, Topic::Selection, Topic::Spot, Topic::Whole], |picture, desk| {
        if let Some(rest) = rest::fetched() {
            (rest.halos)(picture, desk);
        }
    });
    show(&[Topic::Document, Topic::Tool, Topic::Offer], Picture::show_open);
    show(&[Topic::View], |picture, desk| picture.show_view(desk));
    let slow = slow_answer(desk);
    follow(move || {
        let slow = slow.get();
        let class = desk.read(&[Topic::Tool, Topic::Answer], |state| {
            let tool = match state.session.tool() {
                Tool::Select => "sheet select",
                Tool::Put { .. } => "sheet put",
                Tool::Wire { .. } => "sheet run-wire",
                Tool::Try => "sheet try",
            };
            match state.fresh() {
                // No style knows `stale` and `unchecked`, which come and go at every change: the browser would look at
                // the style of the whole drawing each time.
                None => format!("{tool} stale{}", if slow { " faded" } else { "" }),
                Some(answer) if !answer.checked => {
                    format!("{tool} unchecked{}", if slow { " findings-faded" } else { "" })
                }
                Some(_) => tool.to_owned(),
            }
        });
        if staged.get()
            && let Some(root) = root()
        {
            set(&root, "class", &class);
        }
    });

    let mut stage = styled("div", "worktop").set("id", "worktop").markup(|| STAGE.to_owned());
    let phases = [
        ("pointerdown", Phase::Down),
        ("pointermove", Phase::Move),
        ("pointerup", Phase::Up),
        ("pointercancel", Phase::Cancel),
        ("lostpointercapture", Phase::Cancel),
    ];
    for (name, phase) in phases {
        stage = stage.on(name, move |event| {
            events.with_value(|events| events.pointer(event.unchecked_ref(), phase));
        });
    }
    stage
        .on("click", move |event| events.with_value(|events| events.click(event.unchecked_ref())))
        .on("wheel", move |event| events.with_value(|events| events.wheel(event.unchecked_ref())))
        .on("keydown", move |event| events.with_value(|events| events.key(event.unchecked_ref())))
        .on("contextmenu", |event| event.prevent_default())
}

/// Whether the whole answer has been waited for so long that the last one may no longer stand there as if it held.
///
/// A delay of the style would do the same, but it costs the browser half of the time from an edit to its readings: a
/// transition is begun and given up at every answer that comes in time, as nearly all do.
fn slow_answer(desk: Desk) -> RwSignal<bool> {
    const SLOW: Duration = Duration::from_millis(100);
    let slow = RwSignal::new(false);
    // How often the whole answer was there.
    let told = StoredValue::new(0_u32);
    follow(move || {
        if desk.read(&[Topic::Answer], |state| state.checked().is_some()) {
            told.update_value(|told| *told = told.wrapping_add(1));
            if slow.get_untracked() {
                slow.set(false);
            }
            return;
        }
        let then = told.get_value();
        let look = move || {
            if told.get_value() == then && desk.look(|state| state.checked().is_none()) {
                slow.set(true);
            }
        };
        let look: Box<dyn FnOnce()> = Box::new(look);
        set_timeout(look, SLOW);
    });
    slow
}
