//! What the job as drawn leads to.

use super::Case;
use super::belief::{Prediction, predict};
use super::case::Target;
use crate::document::{Found, Probe, Seen, Situation};

/// What the job as drawn shows a probe in a situation; none where the job has no such thing, or it does not come to rest.
pub fn drawn(case: &Case, situation: &Situation, probe: &Probe) -> Option<Found> {
    let (moment, target) = (case.moment(situation)?, case.target(probe)?);
    match predict(case, 0, moment, &target) {
        Prediction::Unknown => None,
        Prediction::Number(mean, ..) => Some(Found::Number((100.0 * mean).round() / 100.0)),
        Prediction::Odds(odds) => {
            let most = (0..odds.len()).max_by(|a, b| odds[*a].total_cmp(&odds[*b]))?;
            Some(match target {
                Target::Look(_) | Target::TestLamp(..) => {
                    Found::Seen([Seen::Lit, Seen::Dim, Seen::Dark][most])
                }
                Target::Fuse(_) => Found::Whole(most == 0),
                _ => Found::Heard(most == 0),
            })
        }
    }
}
