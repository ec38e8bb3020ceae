//! Where the drawing itself is what is complained of: the one connection that, made otherwise, gives what is wanted.
//!
//! Every mistake of fitting in the list of faults is also a way to put one right: a tap moved to another wire, two wires
//! exchanged. Those that lead to everything that is wanted are ranked by what the checks then find.

use std::sync::Arc;

use super::belief::{Prediction, place, predict};
use super::{Case, Cause, Standing, Walk};
use crate::arrange;
use crate::check::run_all;
use crate::circuit::{Change, Circuit};
use crate::document::{Complaint, Interlock, Network, Situation};
use crate::fault::{Fault, Mode};
use crate::finding::Severity;
use crate::ids::TerminalRef;
use crate::subject::Subject;

/// A connection made otherwise than drawn, and what is found then.
#[derive(Clone, Debug, PartialEq)]
pub struct Remade {
    /// Its index in [`Case::causes`]: as a fault it is the mistake of having it so.
    pub cause: usize,
    /// What to do, as a sentence.
    pub what: String,
    /// Findings that are a Stop after it.
    pub n_stops: usize,
    /// Findings to look at after it.
    pub n_looks: usize,
}

impl Remade {
    /// What to look at on the drawing: what is changed, and what a wire is moved to.
    pub fn subjects(&self, case: &Case) -> Vec<Subject> {
        case.causes[self.cause].fault().map(Fault::subjects).unwrap_or_default()
    }
}

impl Standing {
    /// Whether the likeliest answer is that the vehicle is as it is drawn.
    pub fn is_as_drawn(&self, case: &Case) -> bool {
        let first = self.group.first().map(|place| self.causes[*place].cause);
        first.is_some_and(|cause| case.causes[cause].fault().is_none())
    }
}

impl Walk<'_> {
    /// What to make otherwise, as [`remade`] tells it, where the walk ended with the drawing being what is wrong: where the
    /// vehicle is as it is drawn, and what is complained of is what the drawing asks for.
    pub fn remade(
        &self,
        standing: &Standing,
        situations: &[Situation],
        interlocks: &[Interlock],
    ) -> Vec<Remade> {
        match standing.end.is_some() && self.is_drawn_so() && standing.is_as_drawn(self.case) {
            true => remade(self.case, self.complaints, situations, interlocks),
            false => Vec::new(),
        }
    }
}

/// The single changes of a connection after which everything complained of is as it should be, the best first.
pub fn remade(
    case: &Case,
    complaints: &[Complaint],
    situations: &[Situation],
    interlocks: &[Interlock],
) -> Vec<Remade> {
    let mut found = Vec::new();
    for variant in 0..case.variants.len() {
        let cause = case.variants[variant].cause;
        let Cause::Fault(fault) = &case.causes[cause] else { continue };
        let helps = |complaint: &Complaint| {
            let Some((moment, target)) = case.moment(&complaint.situation).zip(case.target(&complaint.probe))
            else {
                return false;
            };
            match predict(case, variant, moment, &target) {
                Prediction::Odds(odds) => odds[place(complaint.should).0] > 0.5,
                // A number that somebody wants is no reason to move a wire.
                _ => false,
            }
        };
        if complaints.is_empty() || !complaints.iter().all(helps) {
            continue;
        }
        let Some((what, network)) = made_otherwise(&case.circuit, fault) else { continue };
        let circuit = case.circuit.of_changed(&Arc::new(network));
        let findings = run_all(&circuit, situations, interlocks);
        let count = |severity| findings.iter().filter(|finding| finding.severity == severity).count();
        found.push(Remade { cause, what, n_stops: count(Severity::Stop), n_looks: count(Severity::Look) });
    }
    arrange::sort_by(&mut found, |a, b| (a.n_stops, a.n_looks).cmp(&(b.n_stops, b.n_looks)));
    found
}

/// The connection that a mistake of fitting would make, and the job with it; none for what is no such mistake.
fn made_otherwise(circuit: &Circuit, fault: &Fault) -> Option<(String, Network)> {
    let mut network = (*circuit.resolved.network).clone();
    match (&fault.mode, &fault.subject) {
        (Mode::WrongTap(terminal), Subject::Wire(id)) => {
            let changes = fault.changes(circuit, crate::quantity::Ohms::new(0.0)?);
            let Some(Change::Ends(branch, from, _)) = changes.first() else { return None };
            let is_first = circuit.branches[*branch].from != *from;
            let wire = network.wires.iter_mut().find(|wire| wire.id == *id)?;
            *(if is_first { &mut wire.from } else { &mut wire.to }) = terminal.clone();
            let to = Subject::Terminal(terminal.clone()).title(&network);
            Some((format!("Move {} to {to}.", fault.subject.title(&network)), network))
        }
        (Mode::Swapped(a, b), Subject::Part(id)) => {
            let ends = [a, b].map(|name| TerminalRef { part: id.clone(), terminal: name.clone() });
            exchange(&mut network, &ends);
            Some((
                format!("Exchange the wires at {a} and {b} of {}.", fault.subject.title(&network)),
                network,
            ))
        }
        (Mode::Reversed, Subject::Part(id)) => {
            let terminals = network.part(id)?.terminals();
            let [a, b] = terminals.as_slice() else { return None };
            let ends = [a, b].map(|one| TerminalRef { part: id.clone(), terminal: one.name.clone() });
            exchange(&mut network, &ends);
            Some((format!("Exchange the two wires of {}.", fault.subject.title(&network)), network))
        }
        _ => None,
    }
}

fn exchange(network: &mut Network, [a, b]: &[TerminalRef; 2]) {
    for end in network.wires.iter_mut().flat_map(|wire| [&mut wire.from, &mut wire.to]) {
        if end == a {
            *end = b.clone();
        } else if end == b {
            *end = a.clone();
        }
    }
}
