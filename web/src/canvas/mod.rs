//! The drawing, in a pane that scrolls on its own.
//!
//! The drawing is the very text that the command line writes: black on white whatever the theme, because
//! it is a sheet of paper and the colors of wires are data.

use leptos::prelude::*;

/// How large the sheet is shown.
#[derive(Clone, Copy, PartialEq)]
enum Zoom {
    /// The whole width fits into the pane.
    Whole,
    /// So many steps larger than the size at which it opens; may be negative.
    Steps(i32),
}

/// Three steps double the size.
const STEP: f64 = 1.26;
const MOST_STEPS: i32 = 6;

/// The drawing and the buttons that change its size.
#[component]
pub fn Drawing(svg: Memo<String>) -> impl IntoView {
    let zoom = RwSignal::new(Zoom::Steps(0));
    let step = move |by: i32| {
        zoom.update(|zoom| {
            let from = if let Zoom::Steps(steps) = *zoom { steps } else { 0 };
            *zoom = Zoom::Steps((from + by).clamp(-MOST_STEPS, MOST_STEPS));
        });
    };
    let scale = move || match zoom.get() {
        Zoom::Whole => "1".to_owned(),
        Zoom::Steps(steps) => format!(
            "{:.3}",
            (0..steps.abs()).fold(1.0, |scale, _| { if steps < 0 { scale / STEP } else { scale * STEP } })
        ),
    };
    view! {
        <section class="worktop" aria-labelledby="worktop-title">
            <div class="worktop-bar">
                <h2 id="worktop-title">"Drawing"</h2>
                <div class="buttons" role="group" aria-label="Size of the drawing">
                    <button type="button" aria-label="Smaller" on:click=move |_| step(-1)>"−"</button>
                    <button type="button" on:click=move |_| zoom.set(Zoom::Whole)>"Whole width"</button>
                    <button type="button" aria-label="Larger" on:click=move |_| step(1)>"+"</button>
                </div>
            </div>
            // Scrolling by keyboard needs the focus, so the pane takes it.
            <div class="pane" tabindex="0" role="region" aria-labelledby="worktop-title">
                <div
                    class="sheet"
                    class:sheet-whole=move || zoom.get() == Zoom::Whole
                    style:--scale=scale
                    inner_html=move || svg.get()
                ></div>
            </div>
        </section>
    }
}
