//! Where the work, or trust in these results, can hurt someone. Always in view, never folded away.

use leptos::prelude::*;

/// The cautions.
#[component]
pub fn Cautions() -> impl IntoView {
    view! {
        <section class="panel cautions" aria-labelledby="cautions-title">
            <h2 id="cautions-title">"Before you touch a cable"</h2>
            <ul>
                <li><strong>"Take the battery off first"</strong>", negative before positive, and put it back last."</li>
                <li>"The wrong cable or the wrong fuse can start a " <strong>"fire"</strong> "."</li>
                <li>"Everything on this page is " <strong>"calculated, not measured"</strong> ". Measure before the vehicle leaves."</li>
                <li>
                    "Local regulations, the vehicle maker's instructions and a qualified person come first."
                </li>
                <li>
                    "Not for airbag, brake or steering circuits, not for the high voltage of hybrid and electric drives,
                    and not for wiring in spaces where gas can gather."
                </li>
                <li>
                    "In most places auxiliary driving lamps must go out with main beam. Which rule holds where you drive
                    is for you to confirm."
                </li>
            </ul>
        </section>
    }
}
