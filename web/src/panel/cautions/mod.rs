//! Where the work, or trust in these results, can hurt someone. Always in full, never folded away.

use crate::piece::{Tag, styled, tag};

/// The cautions.
const CAUTIONS: [&str; 6] = [
    "Take the battery off first, negative before positive, and put it back last.",
    "The wrong cable or the wrong fuse can start a fire.",
    "Everything on this page is calculated, not measured. Measure before the vehicle leaves.",
    "Local regulations, the vehicle maker's instructions and a qualified person come first.",
    "Not for airbag, brake or steering circuits, not for the high voltage of hybrid and electric drives, and not for \
     wiring in spaces where gas can gather.",
    "In most places auxiliary driving lamps must go out with main beam. Which rule holds where you drive is for you \
     to confirm.",
];

/// The cautions under their heading.
pub fn cautions() -> Tag {
    styled("section", "panel cautions")
        .set("aria-labelledby", "cautions-title")
        .add(tag("h2").set("id", "cautions-title").text("Before you touch a cable"))
        .add(tag("ul").all(CAUTIONS.map(|caution| tag("li").text(caution))))
}
