//! How the length of a wire came about.

use super::Way;
use crate::document::{Settings, settings};
use crate::quantity::Unit;
use crate::working::{Basis, Working};

/// Where the rule is from.
const SOURCE: &str = "the vehicle plan of this job; slack and what ends need are common practice, no source";

impl Way {
    /// How its length came about; `title` names the wire.
    pub fn length_working(&self, title: &str, settings: &Settings) -> Option<Working> {
        let formula = "L = L_way * (1 + s / 100) + L_loops + L_ends";
        let length = self.length.high.get();
        let along = if self.is_off_plan { Basis::Assumed } else { Basis::Entered };
        let slack = settings.number(&settings::SLACK);
        let of_slack = Basis::said(settings.is_said(&settings::SLACK));
        let working = Working::of(format!("length of {title}"), formula, length, Unit::Metre, SOURCE)?
            .with("L_way", "routes of its way", self.makes.along, Unit::Metre, along)
            .with("s", "slack", slack, Unit::Percent, of_slack)
            .with("L_loops", "loops left for movement", self.makes.loops, Unit::Metre, Basis::Entered)
            .with(
                "L_ends",
                "from the way to both terminals",
                self.makes.ends,
                Unit::Metre,
                Basis::Calculated,
            );
        Some(working)
    }
}
