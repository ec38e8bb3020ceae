//! Checks: one file each, and the table that lists them.
//!
//! A check reads a [`Context`] and reports findings. It changes nothing, knows nothing outside the
//! context, and never looks at what another check found: effects are put under their causes once,
//! after all of them, by [`crate::finding::fold`]. Its doc comment is the manual that users read.
//! To add one, write its file, its fixture and its two lines below.

use crate::circuit::Circuit;
use crate::document::{Interlock, Situation};
use crate::finding::{Finding, Harm, Standing, fold};

mod clearing;
mod context;
mod loose;
mod one_cause;
mod remedy;
mod survey;

mod swept;

pub use clearing::opens;
pub use context::Context;
pub use fuse_larger_than_wire::{stands_its_fuse, unprotected, unprotected_with};
pub use survey::{Short, Survey, Surveyed, worth_a_look};
pub use swept::SweptState;
pub use too_thin_to_handle::least_mm2;
pub use volt_drop::{fed_through, greatest_drop, warm_resistance};

pub use crate::sweep::works;

/// Declares `CHECK`, keeping its doc comment as the manual shown to users.
macro_rules! declare_check {
    ($(#[doc = $doc:literal])+ $($field:ident : $value:expr),+ $(,)?) => {
        $(#[doc = $doc])+
        pub static CHECK: $crate::check::Check = $crate::check::Check {
            manual: concat!($($doc, "\n"),+),
            $($field: $value),+
        };
    };
}

mod against_marking;
mod back_feed;
mod breaking_capacity;
mod charge_exceeded;
mod chatter;
mod coil_will_not_pull_in;
mod color_changes;
mod contact_overloaded;
mod destroyed_when_reversed;
mod earth_overloaded;
mod fault_too_small_to_blow;
mod fuse_larger_than_wire;
mod fuse_too_small;
mod insulation_too_cool;
mod interlock_broken;
mod label_used_twice;
mod latches;
mod load_never_lit;
mod missing_earth_return;
mod module_tapped;
mod no_grommet;
mod not_kept_apart;
mod not_selective;
mod parked_drain;
mod poor_earth_surface;
mod race;
mod sensor_bypassed;
mod series_batteries_tapped;
mod short_circuit_withstand;
mod shorter_than_its_way;
mod sneak_path;
mod split_charge;
mod stands_in_for_strap;
mod stiff_where_it_moves;
mod strap_overloaded;
mod supply_shorted;
mod suppression_reversed;
mod switched_earth_donor;
mod tap_without_signal;
mod taut_where_it_moves;
mod telltale_always_on;
mod too_thin_to_handle;
mod unconnected_terminal;
mod undersized_conductor;
mod unequal_splice;
mod unfused_run;
mod unsealed_in_the_wet;
mod volt_drop;
mod works_upside_down;
mod wrong_voltage;

/// Every check, by name.
pub static ALL: &[&Check] = &[
    &against_marking::CHECK,
    &back_feed::CHECK,
    &breaking_capacity::CHECK,
    &charge_exceeded::CHECK,
    &chatter::CHECK,
    &coil_will_not_pull_in::CHECK,
    &color_changes::CHECK,
    &contact_overloaded::CHECK,
    &destroyed_when_reversed::CHECK,
    &earth_overloaded::CHECK,
    &fault_too_small_to_blow::CHECK,
    &fuse_larger_than_wire::CHECK,
    &fuse_too_small::CHECK,
    &insulation_too_cool::CHECK,
    &interlock_broken::CHECK,
    &label_used_twice::CHECK,
    &latches::CHECK,
    &load_never_lit::CHECK,
    &missing_earth_return::CHECK,
    &module_tapped::CHECK,
    &no_grommet::CHECK,
    &not_kept_apart::CHECK,
    &not_selective::CHECK,
    &parked_drain::CHECK,
    &poor_earth_surface::CHECK,
    &race::CHECK,
    &sensor_bypassed::CHECK,
    &series_batteries_tapped::CHECK,
    &short_circuit_withstand::CHECK,
    &shorter_than_its_way::CHECK,
    &sneak_path::CHECK,
    &split_charge::CHECK,
    &stands_in_for_strap::CHECK,
    &stiff_where_it_moves::CHECK,
    &strap_overloaded::CHECK,
    &supply_shorted::CHECK,
    &suppression_reversed::CHECK,
    &switched_earth_donor::CHECK,
    &tap_without_signal::CHECK,
    &taut_where_it_moves::CHECK,
    &telltale_always_on::CHECK,
    &too_thin_to_handle::CHECK,
    &unconnected_terminal::CHECK,
    &undersized_conductor::CHECK,
    &unequal_splice::CHECK,
    &unfused_run::CHECK,
    &unsealed_in_the_wet::CHECK,
    &volt_drop::CHECK,
    &works_upside_down::CHECK,
    &wrong_voltage::CHECK,
];

/// One check.
pub struct Check {
    /// Name, which says what is wrong: kebab-case, the same as its file.
    pub name: &'static str,
    /// What it finds, in one line.
    pub summary: &'static str,
    /// The doc comment, one line a line, each with a leading space.
    pub manual: &'static str,
    /// What its findings lead to; within a severity the worst is told first.
    pub harm: Harm,
    /// Checks whose findings are causes of what this one finds.
    pub explained_by: &'static [&'static str],
    /// Reports what it finds.
    pub run: fn(&Context<'_>, &mut Vec<Finding>),
}

impl Check {
    /// The manual as Markdown.
    pub fn manual(&self) -> String {
        crate::kind::undent(self.manual)
    }
}

/// The check with this name.
pub fn by_name(name: &str) -> Option<&'static Check> {
    ALL.iter().copied().find(|check| check.name == name)
}

/// Runs every check and puts effects under their causes; the worst finding first, and within a severity what can start
/// a fire before what merely does not work.
///
/// `situations` are the named ones of the job; at rest and others worth looking at are added. `interlocks` are the
/// rules of the job; those that are usual are added.
pub fn run_all(circuit: &Circuit, situations: &[Situation], interlocks: &[Interlock]) -> Vec<Finding> {
    run_in(&Context::new(circuit, situations, interlocks), situations)
}

/// The same in a context that was made for the circuit, with the named situations that it was made with.
pub fn run_in(context: &Context<'_>, situations: &[Situation]) -> Vec<Finding> {
    let findings = run_each(context);
    let alone = one_cause::keys(&findings);
    one_cause::gathered(context, situations, &alone, under_causes(context, findings))
}

/// What every check found by itself, with effects put under their causes; no single change of the wiring is looked for
/// that would explain several of them.
pub fn under_causes(context: &Context<'_>, mut findings: Vec<Finding>) -> Vec<Finding> {
    for finding in &mut findings {
        finding.touches.extend(context.misplaced_at(&finding.touches));
        finding.touches.extend(context.pieces_at(&finding.touches));
    }
    let standing =
        |check: &&Check| Standing { check: check.name, harm: check.harm, explained_by: check.explained_by };
    let checks: Vec<Standing> = ALL.iter().map(standing).collect();
    fold(&context.circuit.resolved.network, &checks, findings)
}

/// What every check finds by itself, check by check: effects stand beside their causes.
pub fn run_each(context: &Context<'_>) -> Vec<Finding> {
    let mut findings = Vec::new();
    for check in ALL {
        (check.run)(context, &mut findings);
    }
    findings
}

#[cfg(test)]
impl Check {
    /// What this check alone finds in a circuit written in the notation of tests.
    pub(crate) fn alone_on(&self, text: &str) -> Vec<Finding> {
        let network = crate::notation::network(text).unwrap_or_else(|error| panic!("{error}"));
        let circuit = crate::circuit::build(&network, &crate::document::Settings::default());
        let mut findings = Vec::new();
        (self.run)(&Context::new(&circuit, &[], &[]), &mut findings);
        findings
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_unique_sorted_and_found() {
        assert!(ALL.is_sorted_by_key(|check| check.name));
        for check in ALL {
            assert!(by_name(check.name).is_some_and(|found| std::ptr::eq(found, *check)));
            for cause in check.explained_by {
                assert!(by_name(cause).is_some(), "{} is explained by {cause}", check.name);
            }
        }
    }

    #[test]
    fn every_manual_has_its_headings() {
        for check in ALL {
            for heading in ["# What it checks", "# Why it matters", "# Example", "# What to do"] {
                assert!(check.manual().contains(heading), "{} lacks {heading}", check.name);
            }
        }
    }

    /// No circle of causes: folding follows causes to the first.
    #[test]
    fn causes_form_no_circle() {
        fn depth(check: &Check, left: usize) -> usize {
            assert!(left > 0, "{} explains itself", check.name);
            let deeper = check
                .explained_by
                .iter()
                .filter_map(|name| by_name(name))
                .map(|cause| depth(cause, left - 1));
            1 + deeper.max().unwrap_or(0)
        }
        for check in ALL {
            depth(check, ALL.len());
        }
    }
}
