//! What to tap first, and where the work can hurt someone.

use editor::action;
use leptos::prelude::*;

use super::head;
use crate::panel::cautions::Cautions;
use crate::state::desk::Desk;

/// The first steps, also shown on an empty drawing.
#[component]
pub fn FirstSteps() -> impl IntoView {
    view! {
        <ol class="first-steps">
            <li><b>"Parts"</b>": choose a battery, then tap the drawing where it should stand. Go on with a fuse, a switch, a lamp and an earth point."</li>
            <li><b>"Wires"</b>": tap a terminal (the small ring), then the terminal where the wire ends."</li>
            <li><b>"Values"</b>": tap a part or a wire and say what you know of it: watts, amperes, size, length. What you do not know stays empty; what is assumed for it carries the mark ≈."</li>
            <li><b>"Try"</b>": tap the switch. The readings show what every wire carries; tap a load to see the way its current takes."</li>
            <li><b>"Checks"</b>": each finding says what is wrong, where, and what to do."</li>
        </ol>
    }
}

/// The help.
#[component]
pub fn Help(desk: Desk) -> impl IntoView {
    let keys: Vec<_> = action::ALL
        .iter()
        .filter(|entry| !entry.shortcut.is_empty())
        .map(|entry| view! { <tr><th scope="row">{entry.name}</th><td><kbd>{entry.shortcut}</kbd></td></tr> })
        .collect();
    view! {
        {head(desk, "Help")}
        <h3>"What to tap first"</h3>
        <FirstSteps/>
        <h3>"On the drawing"</h3>
        <ul>
            <li>"Two fingers move and zoom the drawing, whatever they touch. A tap of two fingers takes the last step back."</li>
            <li>"One finger on a part moves it; on empty ground it moves the drawing."</li>
            <li>"Put a fuse or a switch onto a wire, and it is inserted there. End a wire on a wire, and a splice joins them."</li>
            <li>"Everything can be undone. The job is kept on this device with every change; Save makes a copy that is yours."</li>
        </ul>
        <h3>"With keys, while the drawing has the focus"</h3>
        <table class="keys">
            <tbody>
                <tr><th scope="row">"From part to part"</th><td><kbd>"Arrows"</kbd></td></tr>
                <tr><th scope="row">"Move what is selected"</th><td><kbd>"Shift+Arrows"</kbd></td></tr>
                <tr><th scope="row">"Details of the part"</th><td><kbd>"Enter"</kbd></td></tr>
                <tr><th scope="row">"Start or land a wire"</th><td><kbd>"W"</kbd></td></tr>
                <tr><th scope="row">"Work a switch"</th><td><kbd>"P"</kbd></td></tr>
                {keys}
            </tbody>
        </table>
        <Cautions/>
    }
}
