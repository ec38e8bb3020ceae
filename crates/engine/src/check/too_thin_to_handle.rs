//! New wires that are too thin to be handled and shaken.

use crate::check::{Context, remedy};
use crate::document::Status;
use crate::finding::{Basis, Finding, Harm, Help, Severity};
use crate::quantity::{SquareMillimetres, Unit};
use crate::resolve::UsedWire;
use crate::working::Working;

declare_check! {
    /// Finds new wires that are thinner than a vehicle leaves whole.
    ///
    /// # What it checks
    ///
    /// New wires longer than 200 mm: a single one has at least 1 mm2, one in a sleeve or a bundle at least 0.75 mm2.
    ///
    /// # Why it matters
    ///
    /// A thin wire breaks at its terminal when it is pulled or shaken, even where it carries next to nothing.
    ///
    /// # Example
    ///
    /// The 0.5 mm2 lead of a tell-tale, 3 m by itself through the cab.
    ///
    /// # What to do
    ///
    /// Use a larger size, or run it in a sleeve with others.
    name: "too-thin-to-handle",
    summary: "a new wire is too thin to last",
    harm: Harm::Failure,
    explained_by: &["fuse-larger-than-wire", "undersized-conductor", "volt-drop"],
    run: run,
}

const SOURCE: &str = "ISO 10133:2012 clause 7.7 (small craft), taken over for vehicles as common practice";

/// Length above which it holds in metres, and the least sizes in square millimetres, single and with others.
const LONGER_THAN_M: f64 = 0.2;
const SINGLE_MM2: f64 = 1.0;
const WITH_OTHERS_MM2: f64 = 0.75;

/// The least cross-section of a new wire in square millimetres; `None` for one that is short enough to have any.
pub fn least_mm2(used: &UsedWire) -> Option<f64> {
    let is_long = used.length_said() && used.length.low.get() > LONGER_THAN_M;
    let with_others = used.sleeved || used.bundle > 1;
    is_long.then_some(if with_others { WITH_OTHERS_MM2 } else { SINGLE_MM2 })
}

fn run(context: &Context<'_>, findings: &mut Vec<Finding>) {
    for (branch, wire, used) in context.wires() {
        let with_others = used.sleeved || used.bundle > 1;
        let Some(least) = least_mm2(used) else { continue };
        // A gauge counts as the size it is sold for: 18 AWG has 0.82 mm2.
        let is_thin = used.size.is_some() && used.area.used.get() < least;
        if wire.status != Status::New || !is_thin {
            continue;
        }
        let subject = context.circuit.subject(branch);
        let title = subject.title(&context.circuit.resolved.network);
        let least = SquareMillimetres::new(least).expect("a constant is finite");
        let manner = if with_others { "with others" } else { "by itself" };
        let message = format!("{title} runs {} {manner} and has {}", used.length.used, used.area.used);
        let working = Working::of(
            "least size",
            "S_min = S_rule",
            least.get(),
            Unit::SquareMillimetre,
            SOURCE,
        )
        .map(|working| {
            let area = Unit::SquareMillimetre;
            working.with("S_rule", format!("least size of a wire {manner}"), least.get(), area, Basis::Tabled)
        });
        let own = Working::of("size", "S = S_wire", used.area.used.get(), Unit::SquareMillimetre, SOURCE)
            .map(|working| {
                working.with(
                    "S_wire",
                    "size of it",
                    used.area.used.get(),
                    Unit::SquareMillimetre,
                    Basis::Entered,
                )
            });
        findings.push(Finding {
            measured: Some(used.area.used.into()),
            basis: Basis::Entered,
            allowed: Some(least.into()),
            help: vec![
                Help::words(format!("use at least {least}, or run it in a sleeve with others"))
                    .with_fix(remedy::larger(&context.circuit.resolved.network, &wire.id, least.get())),
            ],
            working: own.into_iter().chain(working).collect(),
            ..Finding::of(CHECK.name, Severity::Look, subject, message, SOURCE)
        });
    }
}
