//! The worktop: the drawing, and what happens to it under fingers, mouse and keys.
//!
//! Pointers go to the session as they are, once a frame; what they mean is decided there. The shapes
//! of the drawing are patched by hand from scene differences, because a drag must touch nothing but
//! what moves; see [`layer`].

mod events;
mod halo;
mod layer;
mod picture;
mod spoken;

use std::cell::RefCell;
use std::rc::Rc;

use leptos::html::Div;
use leptos::prelude::*;
use leptos::svg::{G, Svg};

use crate::state::desk::{Desk, Topic};
use events::Events;
use picture::Picture;

pub use layer::set;
pub use picture::overlay;

/// The drawing.
#[component]
pub fn Worktop(desk: Desk) -> impl IntoView {
    let root: NodeRef<Svg> = NodeRef::new();
    let frame: NodeRef<Div> = NodeRef::new();
    let layers: [NodeRef<G>; 5] = std::array::from_fn(|_| NodeRef::new());
    let picture: StoredValue<Option<Rc<RefCell<Picture>>>, LocalStorage> = StoredValue::new_local(None);
    let events = StoredValue::new_local(Events::new(desk, root, picture));

    // The layers exist once the page has them; everything after that follows the topics.
    Effect::new(move |_| {
        let [view, under, scene, marks, over] = layers.map(|layer| layer.get());
        let (Some(view), Some(under), Some(scene), Some(marks), Some(over)) =
            (view, under, scene, marks, over)
        else {
            return;
        };
        let groups = [view, under, scene, marks, over].map(Into::into);
        picture.set_value(Some(Rc::new(RefCell::new(Picture::new(groups)))));
        events.with_value(Events::measure);
    });
    let with_picture = move |change: &dyn Fn(&mut Picture)| {
        if let Some(picture) = picture.get_value() {
            change(&mut picture.borrow_mut());
        }
    };
    Effect::new(move |_| {
        root.track();
        desk.read(&[Topic::Document], |_| ());
        with_picture(&|picture| picture.show_scene(desk));
    });
    Effect::new(move |_| {
        root.track();
        desk.read(&[Topic::Document, Topic::Answer, Topic::Panel], |_| ());
        with_picture(&|picture| picture.show_marks(desk));
    });
    Effect::new(move |_| {
        root.track();
        desk.read(&[Topic::Document, Topic::Answer, Topic::Selection, Topic::Tool, Topic::Offer], |_| ());
        with_picture(&|picture| picture.show_halos(desk));
    });
    Effect::new(move |_| {
        root.track();
        desk.read(&[Topic::View], |_| ());
        with_picture(&|picture| picture.show_view(desk));
    });
    events::follow_size(frame, events);

    let class = move || {
        desk.read(&[Topic::Tool, Topic::Answer], |state| {
            let tool = match state.session.tool() {
                editor::Tool::Select => "select",
                editor::Tool::Put { .. } => "put",
                editor::Tool::Wire { .. } => "run-wire",
                editor::Tool::Try => "try",
            };
            let stale = if state.fresh().is_none() { " stale" } else { "" };
            format!("sheet {tool}{stale}")
        })
    };
    view! {
        <div class="worktop" node_ref=frame>
            <svg
                class=class
                id="drawing"
                node_ref=root
                tabindex="0"
                role="group"
                aria-label="Drawing. Arrow keys go from part to part, Enter opens the details."
                on:pointerdown=move |event| events.with_value(|events| events.pointer(&event, editor::Phase::Down))
                on:pointermove=move |event| events.with_value(|events| events.pointer(&event, editor::Phase::Move))
                on:pointerup=move |event| events.with_value(|events| events.pointer(&event, editor::Phase::Up))
                on:pointercancel=move |event| events.with_value(|events| events.pointer(&event, editor::Phase::Cancel))
                on:lostpointercapture=move |event| events.with_value(|events| events.lost(&event))
                on:wheel=move |event| events.with_value(|events| events.wheel(&event))
                on:keydown=move |event| events.with_value(|events| events.key(&event))
                on:contextmenu=move |event| event.prevent_default()
            >
                <defs>
                    <pattern id="grid" x="-1.25" y="-1.25" width="2.5" height="2.5" patternUnits="userSpaceOnUse">
                        <circle class="grid-dot" cx="1.25" cy="1.25" r="0.16"/>
                    </pattern>
                </defs>
                <g node_ref=layers[0]>
                    <rect class="grid" x="-2500" y="-2500" width="5000" height="5000" fill="url(#grid)"/>
                    <g class="under" transform="scale(0.01)" node_ref=layers[1]></g>
                    <g class="scene" fill="none" stroke-linecap="round" stroke-linejoin="round" node_ref=layers[2]></g>
                    <g class="marks" fill="none" stroke-linecap="round" stroke-linejoin="round" node_ref=layers[3]></g>
                    <g class="over" transform="scale(0.01)" node_ref=layers[4]></g>
                </g>
            </svg>
        </div>
    }
}
