//! Trying places: the circuit of the job with the parts there, and what the checks find in it.

use std::collections::BTreeSet;

use super::Tried;
use super::task::Task;
use crate::check::{Context, fed_through, greatest_drop, run_each, run_in};
use crate::circuit::Origin;
use crate::document::Document;
use crate::finding::{Finding, Severity};
use crate::laid;

/// What choices of places are tried against.
pub(super) struct Trial<'t, 'd> {
    task: &'t Task<'d>,
    wires: Vec<usize>,
    /// The loads that the wires that change feed or lead back from.
    loads: BTreeSet<Origin>,
    /// What each check finds by itself in the job as it is: what is folded into another finding is a finding too.
    before: Vec<Finding>,
}

impl<'t, 'd> Trial<'t, 'd> {
    /// The job as it is.
    pub fn new(task: &'t Task<'d>) -> Trial<'t, 'd> {
        let wires = task.wires();
        let Document { situations, interlocks, .. } = task.document;
        let circuit = laid::circuit(task.document);
        let context = Context::new(&circuit, situations, interlocks);
        let loads = fed_through(&context, &wires);
        let before = grave(run_each(&context));
        Trial { task, wires, loads, before }
    }

    /// What follows when each part is at this one of its places.
    pub fn of(&mut self, at: &[usize]) -> Tried {
        let document = self.task.document(at);
        let Document { situations, interlocks, plan, .. } = &document;
        let circuit = laid::circuit(&document);
        let context = Context::new(&circuit, situations, interlocks);
        let found = grave(run_each(&context));
        let told = grave(run_in(&context, situations));
        let drop = greatest_drop(&context, &self.loads);
        let resolved = &circuit.resolved;
        let used = |wire: usize| resolved.wires[wire].as_ref();
        let copper_of = |wires: &mut dyn Iterator<Item = usize>| -> f64 {
            wires.filter_map(used).map(|used| used.area.used.get() * used.length.used.get()).sum()
        };
        let passes = |wire: &usize| resolved.ways.of(*wire).map_or(0, |way| way.n_bulkheads(plan));
        let n_of = |severity| told.iter().filter(|finding| finding.severity == severity).count();
        let places = self.task.movable.iter().zip(at).map(|(movable, at)| {
            let place = movable.places[*at];
            plan.places[place].id.clone()
        });
        Tried {
            places: places.collect(),
            copper: copper_of(&mut self.wires.iter().copied()),
            job_copper: copper_of(&mut (0..resolved.wires.len())),
            wire_m: self.wires.iter().filter_map(|wire| used(*wire)).map(|used| used.length.used.get()).sum(),
            n_bulkheads: self.wires.iter().map(passes).sum(),
            drop: drop.map(|(load, share)| (circuit.subject(load), share)),
            n_stops: n_of(Severity::Stop),
            n_looks: n_of(Severity::Look),
            come: without(&found, |one| {
                self.before.iter().any(|old| is_same(old, one) && old.severity <= one.severity)
            }),
            gone: without(&self.before, |one| found.iter().any(|new| is_same(new, one))),
            cost: self.task.cost(at).unwrap_or(0),
            at: at.to_vec(),
        }
    }
}

/// The findings that are Stop or Look.
fn grave(findings: Vec<Finding>) -> Vec<Finding> {
    findings.into_iter().filter(|finding| finding.severity != Severity::Note).collect()
}

fn is_same(one: &Finding, other: &Finding) -> bool {
    one.check == other.check && one.subject == other.subject
}

fn without(findings: &[Finding], is_known: impl Fn(&Finding) -> bool) -> Vec<Finding> {
    findings.iter().filter(|finding| !is_known(finding)).cloned().collect()
}
