//! The page as a whole: what it shows first, and where everything sits.

use leptos::prelude::*;
use leptos::task::spawn_local;
use wasm_bindgen::prelude::Closure;

use crate::canvas::Worktop;
use crate::host;
use crate::panel::drawer::Drawer;
use crate::panel::tray::Tray;
use crate::shell::dialogs::{Dialogs, FirstSteps, jobs};
use crate::shell::{Edge, Question, Status, ThumbBar};
use crate::state::desk::{Desk, Dialog, Kept, Topic};

/// The whole page.
#[component]
pub fn App() -> impl IntoView {
    let desk = Desk::new();
    listen(desk);
    first_job(desk);
    let empty = Memo::new(move |_| {
        desk.read(&[Topic::Document, Topic::Tool], |state| {
            state.session.document().network.parts.is_empty()
                && matches!(state.session.tool(), editor::Tool::Select)
        })
    });
    let welcome = move || {
        empty.get().then(|| {
            view! {
                <div class="welcome">
                    <h2>"What to tap first"</h2>
                    <FirstSteps/>
                    <button type="button" on:click=move |_| desk.act(|state| state.dialog = Some(Dialog::Jobs))>
                        "Or begin from a ready circuit"
                    </button>
                    <p class="hint">"Results are calculated, not measured. Take the battery off before you touch a cable; the Job side of the details has all cautions."</p>
                </div>
            }
        })
    };
    view! {
        <a class="skip" href="#drawing">"Skip to the drawing"</a>
        <Edge desk/>
        <main class="bench">
            <Tray desk/>
            <div class="table">
                <Worktop desk/>
                {welcome}
                <Status desk/>
                <Question desk/>
            </div>
            <Drawer desk/>
        </main>
        <ThumbBar desk/>
        <Dialogs desk/>
    }
}

/// Hears what the scripts of the page have to say.
fn listen(desk: Desk) {
    let answer = Closure::<dyn FnMut(String)>::new(move |text: String| desk.answered(&text));
    let failure = Closure::<dyn FnMut(String)>::new(move |why: String| desk.not_answered(&why));
    host::on_answer(&answer, &failure);
    let kept = Closure::<dyn FnMut(String, String)>::new(move |state: String, why: String| {
        desk.act(|desk| {
            desk.kept = match state.as_str() {
                "kept" => Kept::Here,
                "refused" => Kept::Refused(why),
                "elsewhere" => Kept::Elsewhere,
                _ => Kept::Keeping,
            };
        });
    });
    host::on_kept(&kept);
    // They are called for as long as the page is open.
    answer.forget();
    failure.forget();
    kept.forget();
}

/// The job that was open last; on the first visit an empty one.
fn first_job(desk: Desk) {
    let Some(id) = host::last_job() else {
        return jobs::begin(desk, Default::default(), None);
    };
    spawn_local(async move {
        if let Err(why) = jobs::open_stored(desk, &id).await {
            jobs::begin(desk, Default::default(), None);
            desk.act(|state| state.said = why);
        }
    });
}
