//! Wires that carry more than they stand.

use std::collections::BTreeMap;

use crate::arrange;
use crate::check::context::is_fully_said;
use crate::check::{Context, Surveyed, remedy};
use crate::document::{Edit, Status, Wire};
use crate::finding::{Basis, Finding, Harm, Help, Label, Severity};
use crate::quantity::Amps;
use crate::solve::Rest;
use crate::solve::working::of_branch;
use crate::subject::Subject;

declare_check! {
    /// Finds wires that carry more current than their size, insulation and surroundings allow.
    ///
    /// # What it checks
    ///
    /// In every situation looked at, the computed current of each wire is compared with the current it can carry:
    /// the table current of one conductor in free air, scaled by the square root of the temperature rise its insulation
    /// leaves over its surroundings, times the reduction for its bundle.
    /// A wire whose size is not known is not judged. An existing wire is judged only where something new is joined to it or
    /// changes its current, and where its insulation, surroundings or bundle are not known it is no more than a Look.
    ///
    /// # Why it matters
    ///
    /// A conductor that is too thin heats up along its whole length; its insulation softens and it shorts to what it
    /// lies against.
    ///
    /// # Example
    ///
    /// Four work lamps of 55 W on one 1 mm2 wire in the engine bay: 18.3 A on a wire that can carry 12.8 A at
    /// 80 degC.
    ///
    /// # What to do
    ///
    /// Use a larger size, split the load over two wires, or keep the wire out of the heat and the bundle.
    name: "undersized-conductor",
    summary: "a wire carries more current than it can",
    harm: Harm::Fire,
    explained_by: &["insulation-too-cool", "unconnected-terminal", "wrong-voltage", "contact-overloaded"],
    run: run,
}

struct Overload<'c> {
    branch: usize,
    rest: &'c Rest,
    amps: f64,
    stands: Amps,
    stands_at_best: Amps,
    doubtful: bool,
    when: String,
}

fn run(context: &Context<'_>, findings: &mut Vec<Finding>) {
    // One run carries one current: its worst wire speaks for it.
    let mut by_run: BTreeMap<usize, Vec<Overload<'_>>> = BTreeMap::new();
    for (branch, wire, used) in context.wires() {
        let Some(stands) = used.ampacity() else { continue };
        let Some((amps, rest, situation)) = context.survey.greatest_amps(branch, |_| true) else { continue };
        if amps > stands.low.get() && is_ours(context, branch, wire, amps, situation) {
            let run = context.run_of(context.circuit.branches[branch].from);
            let unsaid = wire.status == Status::Existing && !is_fully_said(wire);
            let doubtful = amps <= stands.high.get() || unsaid;
            let when = situation.when.clone();
            by_run.entry(run).or_default().push(Overload {
                branch,
                rest,
                amps,
                stands: stands.low,
                stands_at_best: stands.high,
                doubtful,
                when,
            });
        }
    }
    for mut overloads in by_run.into_values() {
        arrange::sort_by(&mut overloads, |a, b| {
            (b.amps / b.stands.get()).total_cmp(&(a.amps / a.stands.get()))
        });
        findings.push(finding(context, &overloads));
    }
}

/// The share by which new work must change the current of an existing wire to count (common practice, no source).
const CHANGED_SHARE: f64 = 0.01;

/// Whether a wire is this job's business: new, or existing with new work on its run or in its current.
fn is_ours(context: &Context<'_>, branch: usize, wire: &Wire, amps: f64, surveyed: &Surveyed) -> bool {
    if wire.status != Status::Existing || context.touches_new(branch) {
        return true;
    }
    let before = context.amps_before(branch, &surveyed.positions);
    before.is_none_or(|before| (amps - before.abs()).abs() > CHANGED_SHARE * amps)
}

fn finding(context: &Context<'_>, overloads: &[Overload<'_>]) -> Finding {
    let worst = &overloads[0];
    let subject = context.circuit.subject(worst.branch);
    let title = subject.title(&context.circuit.resolved.network);
    let amps = Amps::new(worst.amps).expect("a solved current is finite");
    let message = if worst.stands_at_best.get() == 0.0 {
        format!("it is as hot around {title} as its insulation can take, so it may carry no current")
    } else {
        let Overload { when, stands, .. } = worst;
        match worst.doubtful {
            true => format!(
                "{title} carries {amps} {when}, and can carry no more than {stands} if what is assumed of it holds"
            ),
            false => format!("{title} carries {amps} {when}, more than the {stands} it can carry"),
        }
    };
    let used = context.wire_of(worst.branch).map(|(_, used)| used);
    let mut working = of_branch(context.circuit, worst.rest, worst.branch, &title);
    working.extend(used.and_then(|used| used.ampacity_working(&title)));
    let mut touches: Vec<Subject> = overloads.iter().map(|o| context.circuit.subject(o.branch)).collect();
    touches.extend(context.in_line_with(worst.branch));
    let because = overloads[1..]
        .iter()
        .map(|o| Label {
            subject: context.circuit.subject(o.branch),
            text: format!(
                "on the same run, carries {} and can carry {}",
                Amps::new(o.amps).expect("a solved current is finite"),
                o.stands
            ),
        })
        .collect();
    Finding {
        check: CHECK.name,
        severity: if worst.doubtful { Severity::Look } else { Severity::Stop },
        message,
        subject,
        because,
        measured: Some(amps.into()),
        basis: Basis::Calculated,
        allowed: Some(worst.stands.into()),
        help: vec![Help::words("use a larger size, split the load over two wires, or take the wire out of the heat or the bundle").with_fix(larger(context, overloads))],
        source: used.map_or("", |used| used.table.source()).to_owned(),
        working,
        touches,
    }
}

/// Every new wire that carries too much in a size that can carry it.
fn larger(context: &Context<'_>, overloads: &[Overload<'_>]) -> Vec<Edit> {
    let network = &context.circuit.resolved.network;
    let wires = overloads.iter().filter_map(|one| Some((one, context.wire_of(one.branch)?)));
    wires.flat_map(|(one, (wire, used))| remedy::carrying(network, &wire.id, used, one.amps)).collect()
}
