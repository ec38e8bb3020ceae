//! The page as a whole: which job is shown, and where the drawing, the checks and the cautions sit.

use leptos::prelude::*;

use crate::canvas::Drawing;
use crate::panel::cautions::Cautions;
use crate::panel::checks::Checks;
use crate::state::derived::Derived;
use crate::state::jobs;

/// The whole page.
#[component]
pub fn App() -> impl IntoView {
    let job = RwSignal::new(0);
    let derived = Derived::of(job.into());
    view! {
        <a class="skip" href="#checks">"Skip to the checks"</a>
        <Edge job derived/>
        <main class="bench">
            {move || match derived.document.get() {
                Ok(_) => view! { <Drawing svg=derived.drawing/> }.into_any(),
                Err(error) => view! { <pre class="unreadable" role="alert">{error.to_string()}</pre> }.into_any(),
            }}
            <div class="side">
                <Checks derived/>
                <Cautions/>
            </div>
        </main>
    }
}

/// The strip along the upper edge: the name of the app, the job, and whose it is.
#[component]
fn Edge(job: RwSignal<usize>, derived: Derived) -> impl IntoView {
    let options: Vec<_> = jobs::ALL
        .iter()
        .enumerate()
        .map(|(number, demonstration)| view! { <option value=number>{demonstration.name}</option> })
        .collect();
    let choose = move |event| {
        if let Some(number) = event_target_value(&event).parse().ok().filter(|n| *n < jobs::ALL.len()) {
            job.set(number);
        }
    };
    let title =
        move || derived.document.get().map(|document| document.card.title.clone()).unwrap_or_default();
    let facts = move || {
        let Ok(document) = derived.document.get() else { return String::new() };
        let card = &document.card;
        let facts = [card.customer.as_str(), card.vehicle.as_str(), card.number.as_str()];
        facts.into_iter().filter(|fact| !fact.is_empty()).collect::<Vec<_>>().join(" · ")
    };
    view! {
        <header class="edge">
            <p class="edge-name">"Loomwright"</p>
            <label class="edge-job">
                <span>"Demonstration job"</span>
                <select on:change=choose>{options}</select>
            </label>
            <div class="edge-card">
                <h1 dir="auto">{title}</h1>
                <p dir="auto">{facts}</p>
            </div>
        </header>
    }
}
