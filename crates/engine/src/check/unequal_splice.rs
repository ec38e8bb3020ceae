//! Splices of wires that are too different in size.

use crate::check::Context;
use crate::document::Status;
use crate::finding::{Basis, Finding, Harm, Help, Label, Severity};
use crate::kind::Class;
use crate::quantity::{SquareMillimetres, Unit};
use crate::subject::Subject;
use crate::working::Working;

declare_check! {
    /// Finds splices that join a wire with one of more than four times its size.
    ///
    /// # What it checks
    ///
    /// The smallest and the largest of the wires of known size that meet in each splice with a new wire in it.
    ///
    /// # Why it matters
    ///
    /// A crimp that holds the large wire does not hold the small one, which pulls out or makes a poor joint.
    ///
    /// # Example
    ///
    /// A 1 mm2 feed of a tell-tale in one splice with a 6 mm2 feed of lamps.
    ///
    /// # What to do
    ///
    /// Use a splice made for both, double the small wire over, or join it at a bar.
    name: "unequal-splice",
    summary: "a splice joins wires of very different sizes",
    harm: Harm::Failure,
    explained_by: &["fuse-larger-than-wire", "undersized-conductor", "volt-drop"],
    run: run,
}

/// Times by which sizes in one splice may differ (common practice, no source).
const MOST: f64 = 4.0;

const SOURCE: &str = "common practice, no source: up to four times in one crimp";

fn run(context: &Context<'_>, findings: &mut Vec<Finding>) {
    let circuit = context.circuit;
    let network = &circuit.resolved.network;
    for (index, part) in network.parts.iter().enumerate() {
        // A joint without a way of its own in which nothing else is rated is a splice.
        let is_splice = part.kind.class == Class::Joint
            && circuit.branches_of_part(index).next().is_none()
            && part.kind.value("rating_a").is_none()
            && part.box_ways().is_none();
        if !is_splice || part.status == Status::Remove {
            continue;
        }
        let met: Vec<_> = context
            .wires()
            .filter(|(_, wire, _)| wire.from.part == part.id || wire.to.part == part.id)
            .filter(|(_, _, used)| used.size.is_some())
            .collect();
        let area = |one: &(usize, _, &crate::resolve::UsedWire)| one.2.area.used;
        let smallest = met.iter().min_by(|a, b| area(a).get().total_cmp(&area(b).get()));
        let largest = met.iter().max_by(|a, b| area(a).get().total_cmp(&area(b).get()));
        let (Some(smallest), Some(largest)) = (smallest, largest) else { continue };
        let ratio = area(largest).get() / area(smallest).get();
        if ratio <= MOST || met.iter().all(|(_, wire, _)| wire.status != Status::New) {
            continue;
        }
        let subject = Subject::Part(part.id.clone());
        let label = |one: &(usize, _, _), area: SquareMillimetres| Label {
            subject: circuit.subject(one.0),
            text: format!("has {area}"),
        };
        let working = Working::of("ratio of the sizes", "n = S_large / S_small", ratio, Unit::One, SOURCE)
            .map(|working| {
                let size = |working: Working, symbol, what, area: SquareMillimetres| {
                    working.with(symbol, what, area.get(), Unit::SquareMillimetre, Basis::Entered)
                };
                size(
                    size(working, "S_large", "largest wire in it", area(largest)),
                    "S_small",
                    "smallest wire in it",
                    area(smallest),
                )
            });
        findings.push(Finding {
            because: vec![label(smallest, area(smallest)), label(largest, area(largest))],
            help: vec![Help::words(
                "use a splice made for both, double the small wire over, or join it at a bar",
            )],
            working: working.into_iter().collect(),
            touches: vec![subject.clone(), circuit.subject(smallest.0)],
            ..Finding::of(
                CHECK.name,
                Severity::Note,
                subject.clone(),
                format!("{} joins {} with {}", subject.title(network), area(smallest), area(largest)),
                SOURCE,
            )
        });
    }
}
