//! How good the order of a drawing is, beside orders that begin by chance.

use crate::faults::{Toil, toil};
use crate::support::corpus;
use drawing::draw::{draw, draw_laid_out};
use drawing::layout::lay_out_by_chance;
use engine::document::Placement;

/// Some small circuits, a few restarts each; `cargo xtask measure tidy` takes more of both.
#[test]
fn hardly_anything_is_gained_by_beginning_with_another_order() {
    let (mut own, mut best) = (0, 0);
    for number in [0, 1, 8, 9, 16, 17, 24, 25] {
        let (_, network) = corpus(number);
        own += toil(&draw(&network, &Placement::default())).sum();
        let restarts = (0..12).map(|seed| toil(&draw_laid_out(&network, &lay_out_by_chance(&network, seed))));
        best += restarts.map(Toil::sum).min().unwrap();
    }
    assert!(own * 100 <= best * 115, "{own} crossings and bends, {best} at best");
}
