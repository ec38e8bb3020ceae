//! What may change in a job, and the job with one choice made of it.

use std::sync::Arc;

use crate::check::{ALL, Context, run_each};
use crate::document::{Document, Edit, Size, Status, Use};
use crate::finding::{Finding, Severity};
use crate::given::Given;
use crate::ids::WireId;
use crate::kind::{Class, Value};
use crate::laid;
use crate::quantity::Metres;
use crate::sizing::series::{ratings, sizes};
use crate::sizing::{Reason, finds_sizes};
use crate::subject::Subject;

/// A wire that may change.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct FreeWire {
    /// Its index in the network.
    pub index: usize,
    /// It.
    pub subject: Subject,
    /// The sizes it may have, thinnest first.
    pub series: Vec<Size>,
    /// The copper of each in square millimetres times metres.
    pub copper: Vec<f64>,
}

/// A fuse whose rating may change.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct FreeFuse {
    /// Its index in the network.
    pub index: usize,
    /// It.
    pub subject: Subject,
    /// The ratings it may have in amperes, smallest first.
    pub series: &'static [f64],
}

/// What is chosen, by place in the series of each free wire and fuse.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Choice {
    /// By free wire.
    pub sizes: Vec<usize>,
    /// By free fuse.
    pub ratings: Vec<usize>,
}

/// A job and what may change in it.
pub(super) struct Task<'d> {
    /// The job as it is.
    pub document: &'d Document,
    /// The wires that may change.
    pub wires: Vec<FreeWire>,
    /// The fuses that may change.
    pub fuses: Vec<FreeFuse>,
    /// What is to be seen to in the job as it is, by check and subject.
    before: Vec<(&'static str, Subject)>,
}

impl<'d> Task<'d> {
    /// The wires and fuses of a job that may change: what is new, or of that the wires that are chosen alone.
    pub fn new(document: &'d Document, chosen: Option<&[WireId]>) -> Result<Task<'d>, Reason> {
        let network = &document.network;
        let circuit = laid::circuit(document);
        let resolved = &circuit.resolved;
        let mut wires = Vec::new();
        for (index, wire) in network.wires.iter().enumerate() {
            let is_chosen = chosen.is_none_or(|chosen| chosen.contains(&wire.id));
            let is_ordinary = wire.used_for != Some(Use::StarterCable);
            let Some(used) = resolved.wires[index].as_ref().filter(|_| is_chosen && is_ordinary) else {
                continue;
            };
            if wire.status != Status::New {
                continue;
            }
            let subject = Subject::Wire(wire.id.clone());
            if !used.length_said() {
                let what = format!("the length of {} is not given", subject.title(network));
                return Err(Reason { what, subject: Some(subject) });
            }
            let series = sizes(wire);
            let copper = series.iter().map(|size| volume(*size, used.length.used)).collect();
            wires.push(FreeWire { index, subject, series, copper });
        }
        if wires.is_empty() {
            let what = match chosen {
                Some(_) => "none of the wires named is new: only new wires are given another size",
                None => "the job has no new wire to give a size",
            };
            return Err(Reason { what: what.to_owned(), subject: None });
        }
        let may_change = |index: &usize| {
            let part = &network.parts[*index];
            let is_link = part.kind.class == Class::Protection && part.kind.value("family").is_some();
            chosen.is_none() && is_link && part.status == Status::New
        };
        let fuses = (0..network.parts.len()).filter(may_change).filter_map(|index| {
            let series = ratings(resolved.parts[index].as_ref()?.word("family")?);
            let subject = Subject::Part(network.parts[index].id.clone());
            (!series.is_empty()).then_some(FreeFuse { index, subject, series })
        });
        let fuses = fuses.collect();
        let mut task = Task { document, wires, fuses, before: Vec::new() };
        let before = looked_at(document, |context| grave(run_each(context)));
        task.before = before.into_iter().map(|finding| (finding.check, finding.subject)).collect();
        Ok(task)
    }

    /// The most of everything, with which every drop is least.
    pub fn ample(&self) -> Choice {
        Choice {
            sizes: self.wires.iter().map(|wire| wire.series.len() - 1).collect(),
            ratings: vec![0; self.fuses.len()],
        }
    }

    /// The job with a choice made.
    pub fn document(&self, choice: &Choice) -> Document {
        let mut document = self.document.clone();
        let network = Arc::make_mut(&mut document.network);
        for (wire, size) in self.wires.iter().zip(&choice.sizes) {
            network.wires[wire.index].size = Given::Known(wire.series[*size]);
        }
        for (fuse, rating) in self.fuses.iter().zip(&choice.ratings) {
            let rating = Value::Number(fuse.series[*rating]);
            network.parts[fuse.index].values.set("rating_a", Given::Known(rating));
        }
        document
    }

    /// The edits that make a choice in the job.
    pub fn edits(&self, choice: &Choice) -> Vec<Edit> {
        let chosen = self.document(choice).network;
        let old = &self.document.network;
        let wires = self.wires.iter().map(|wire| wire.index).filter(|i| chosen.wires[*i] != old.wires[*i]);
        let fuses = self.fuses.iter().map(|fuse| fuse.index).filter(|i| chosen.parts[*i] != old.parts[*i]);
        wires
            .map(|index| Edit::ChangeWire(chosen.wires[index].clone()))
            .chain(fuses.map(|index| Edit::ChangePart(chosen.parts[index].clone())))
            .collect()
    }

    /// The copper of a choice in square millimetres times metres.
    pub fn copper(&self, choice: &Choice) -> f64 {
        self.wires.iter().zip(&choice.sizes).map(|(wire, size)| wire.copper[*size]).sum()
    }

    /// The copper of the job as it is; `None` when a size is not known.
    pub fn copper_before(&self) -> Option<f64> {
        let circuit = laid::circuit(self.document);
        let resolved = &circuit.resolved;
        let of = |wire: &FreeWire| {
            let used = resolved.wires[wire.index].as_ref()?;
            Some(volume(used.size?.used, used.length.used))
        };
        self.wires.iter().map(of).sum()
    }

    /// What speaks against a choice: findings of Stop and Look that the job did not have, and those about sizes and
    /// ratings that it had and that touch what may change. Where the checks about sizes find some, the others are not
    /// asked.
    pub fn objections(&self, choice: &Choice) -> Vec<Finding> {
        let is_old = |finding: &Finding| {
            self.before.iter().any(|(check, subject)| *check == finding.check && *subject == finding.subject)
        };
        let about_us =
            |finding: &Finding| finds_sizes(finding.check) && self.touched(finding).next().is_some();
        let counts = |finding: &Finding| !is_old(finding) || about_us(finding);
        looked_at(&self.document(choice), |context| {
            let found = |of_sizes: bool| {
                let mut findings = Vec::new();
                for check in ALL.iter().filter(|check| finds_sizes(check.name) == of_sizes) {
                    (check.run)(context, &mut findings);
                }
                grave(findings).into_iter().filter(counts).collect::<Vec<Finding>>()
            };
            let of_sizes = found(true);
            if of_sizes.is_empty() { found(false) } else { of_sizes }
        })
    }

    /// The free wires that a finding touches, by their place among the free wires.
    pub fn touched<'t>(&'t self, finding: &'t Finding) -> impl Iterator<Item = usize> + 't {
        (0..self.wires.len()).filter(move |wire| {
            let subject = &self.wires[*wire].subject;
            finding.subject == *subject || finding.touches.contains(subject)
        })
    }
}

/// Copper in square millimetres times metres.
fn volume(size: Size, length: Metres) -> f64 {
    size.area().get() * length.get()
}

/// The findings that are Stop or Look.
fn grave(findings: Vec<Finding>) -> Vec<Finding> {
    findings.into_iter().filter(|finding| finding.severity != Severity::Note).collect()
}

/// What `look` sees in a job.
pub(super) fn looked_at<T>(document: &Document, look: impl FnOnce(&Context<'_>) -> T) -> T {
    let circuit = laid::circuit(document);
    look(&Context::new(&circuit, &document.situations, &document.interlocks))
}
