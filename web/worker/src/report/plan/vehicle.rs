//! Acts on the plan as a whole: a plan to start from, and the outline of the vehicle.

use editor::form::metres;
use engine::document::{Outline, Shape, plan};
use engine::post::Report;

use super::{changed, said, value};
use crate::report::Asked;

/// Takes the plan to start from for a vehicle of this shape.
pub fn start(asked: &Asked<'_>, word: &str) -> Option<Report> {
    let shape = shape(word)?;
    if !asked.document.plan.is_empty() {
        return Some(said("There is a plan already."));
    }
    let report = changed(asked, &format!("begin with the plan of a {word}"), |own| *own = plan::start(shape));
    Some(Report {
        said: "Its dimensions are invented. Measure the vehicle and correct them.".to_owned(),
        ..report
    })
}

/// The shape that this word means.
fn shape(word: &str) -> Option<Shape> {
    Shape::WORDS.iter().find(|(_, one)| *one == word).map(|(shape, _)| *shape)
}

/// Changes a value of the outline.
pub fn change(asked: &Asked<'_>, field: &str) -> Report {
    let value = value(asked);
    let now = asked.document.plan.outline;
    if field == "shape" {
        // What is drawn first has the measures that such a vehicle has to start with.
        let measures = |shape| now.or_else(|| plan::start(shape).outline);
        let outline = shape(value).and_then(|shape| Some(Outline { shape, ..measures(shape)? }));
        let label = if value.is_empty() {
            "take the outline away".to_owned()
        } else {
            format!("draw the outline of a {value}")
        };
        return changed(asked, &label, |plan| plan.outline = outline);
    }
    let Some(now) = now else { return said("Choose first what the vehicle looks like.") };
    match metres(value) {
        Ok(Some(metres)) => {
            let outline = match field {
                "length" => Outline { length: metres, ..now },
                _ => Outline { width: metres, ..now },
            };
            let field = if field == "length" { "length" } else { "width" };
            changed(asked, &format!("change the {field} of the vehicle"), |plan| plan.outline = Some(outline))
        }
        Ok(None) => said("The outline needs its length and its width."),
        Err(why) => said(why),
    }
}
