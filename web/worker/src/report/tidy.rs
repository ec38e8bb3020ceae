//! Laying the drawing out anew, but for what is kept in its place.

use drawing::layout::{lay_out, tidy};
use engine::document::{Placement, Pose};
use engine::post::{Change, Report};

use super::Asked;

/// The drawing laid out anew, as one step; or that it is tidy already.
pub fn carry_out(asked: &Asked<'_>) -> Report {
    let placement = &asked.document.placement;
    let tidied = tidy(&asked.document.network, placement);
    if standing(asked, &tidied) == standing(asked, placement) {
        return Report { said: "The drawing is as tidy as it gets.".to_owned(), ..Report::default() };
    }
    let is_kept = placement.poses.iter().any(|pose| pose.pinned);
    let kept = if is_kept { " What is kept in place has stayed." } else { "" };
    let change = Change {
        label: "tidy".to_owned(),
        placement: Some(tidied),
        ..Change::between("", asked.document, asked.document)
    };
    Report { said: format!("Tidied.{kept} Undo brings it back."), change: Some(change), ..Report::default() }
}

/// Where every symbol stands with this placement, those too that the layout has to find a place for.
fn standing(asked: &Asked<'_>, placement: &Placement) -> Vec<Pose> {
    let network = &asked.document.network;
    lay_out(network, placement).standing(network).into_iter().map(|standing| standing.pose).collect()
}
