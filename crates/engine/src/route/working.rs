//! How the length of a wire came about.

use super::Way;
use crate::document::{Settings, settings};
use crate::quantity::{Metres, Unit};
use crate::working::{Basis, Working};

/// Where the rule is from.
const SOURCE: &str = "the vehicle plan of this job; slack and what ends need are common practice, no source";

/// What the last part of a length is.
const ENDS: &str = "from the way to both terminals";

impl Way {
    /// How its length came about; `title` names the wire.
    pub fn length_working(&self, title: &str, settings: &Settings) -> Option<Working> {
        let formula = "L = L_way * (1 + s / 100) + L_loops + L_ends";
        let length = self.length.high.get();
        let slack = settings.number(&settings::SLACK);
        let of_slack = Basis::said(settings.is_said(&settings::SLACK));
        let working = Working::of(format!("length of {title}"), formula, length, Unit::Metre, SOURCE)?
            .with("L_way", "routes of its way", self.makes.along, Unit::Metre, self.basis())
            .with("s", "slack", slack, Unit::Percent, of_slack);
        Some(self.with_loops_and_ends(working))
    }

    /// How much a wire of this length is too short to reach along it, and how the least came about that it must be;
    /// `title` names the wire.
    pub fn shortfall_workings(&self, title: &str, length: Metres) -> Vec<Working> {
        let need = self.reach.get();
        let missing = Working::of(
            format!("what {title} is too short by"),
            "d = L_need - L",
            need - length.get(),
            Unit::Metre,
            SOURCE,
        );
        let missing = missing.map(|working| {
            working
                .with("L_need", "length that it needs to reach", need, Unit::Metre, Basis::Calculated)
                .with("L", "length", length.get(), Unit::Metre, Basis::Entered)
        });
        let what = format!("length that {title} needs to reach");
        let reach = Working::of(what, "L = L_way + L_loops + L_ends", need, Unit::Metre, SOURCE);
        let reach = reach.map(|working| {
            let at_least = self.makes.at_least;
            self.with_loops_and_ends(working.with(
                "L_way",
                "routes of its way",
                at_least,
                Unit::Metre,
                self.basis(),
            ))
        });
        missing.into_iter().chain(reach).collect()
    }

    fn basis(&self) -> Basis {
        if self.is_off_plan { Basis::Assumed } else { Basis::Entered }
    }

    fn with_loops_and_ends(&self, working: Working) -> Working {
        working
            .with("L_loops", "loops left for movement", self.makes.loops, Unit::Metre, Basis::Entered)
            .with("L_ends", ENDS, self.makes.ends, Unit::Metre, Basis::Calculated)
    }
}
