//! The page as a whole: where the drawing, the checks and the cautions sit.

use leptos::prelude::*;

/// The whole page.
#[component]
pub fn App() -> impl IntoView {
    view! {
        <header class="edge">
            <p class="edge-name">"Loomwright"</p>
        </header>
        <main>
            <p>"No job yet."</p>
        </main>
    }
}
