//! The computing behind an answer. What does not depend on the situation is kept from one answer to the next, because
//! a switch is tapped far more often than a job is changed. Checks look at many situations and take several times as
//! long as the readings of one, so readings can be had before them.

use std::cell::OnceCell;
use std::collections::BTreeSet;

use super::carried::{Carried, carried};
use super::{Answer, PartReading, Request, Told, WireReading, Words, lit};
use crate::check::{self, Context};
use crate::circuit::Circuit;
use crate::document::{Document, Network};
use crate::finding::{Finding, Help};
use crate::ids::{PartId, WireId};
use crate::kind::{self, Class};
use crate::laid;
use crate::mend::all_in_words;
use crate::quantity::{Amps, Quantity, Unit, Volts, by_hand};
use crate::reading::{self, Flow, readings};
use crate::solve::{Solution, Verdict, solve};
use crate::subject::Subject;

/// A job with everything about it that holds in every situation.
pub struct Prepared {
    document: Document,
    circuit: Circuit,
    checked: OnceCell<Checked>,
    assumed: BTreeSet<Subject>,
}

/// What the checks came to.
struct Checked {
    findings: Vec<Finding>,
    told: Vec<Told>,
    carried: Vec<Carried>,
}

/// Answers one question about a job; to ask several of the same job, keep a [`Prepared`].
pub fn answer(document: &Document, request: &Request) -> Answer {
    Prepared::new(document).answer(request)
}

/// Keys of a wire that its readings depend on; its other values only decide its limits.
const OF_READINGS: [&str; 2] = ["size", "length_m"];

impl Prepared {
    /// Builds the circuit of a job. Its checks are run when they are first needed.
    pub fn new(document: &Document) -> Prepared {
        let circuit = laid::circuit(document);
        let counts = circuit.resolved.assumptions.iter().filter(|assumption| match assumption.subject {
            Subject::Wire(_) => OF_READINGS.contains(&assumption.key),
            _ => true,
        });
        let assumed = counts.map(|assumption| assumption.subject.clone()).collect();
        Prepared { document: document.clone(), circuit, checked: OnceCell::new(), assumed }
    }

    /// Whether everything kept here holds for this job too: only what nothing electrical reads differs.
    pub fn serves(&self, document: &Document) -> bool {
        self.document.network == document.network
            && self.document.settings == document.settings
            && self.document.plan == document.plan
            && self.document.situations == document.situations
            && self.document.interlocks == document.interlocks
    }

    /// Answers one question about the job.
    pub fn answer(&self, request: &Request) -> Answer {
        self.findings();
        self.at_once(request)
    }

    /// Everything that the checks report, in the order in which an answer tells it.
    pub fn findings(&self) -> &[Finding] {
        &self.checked().findings
    }

    /// The most that each wire carries in the situations that the checks look at.
    pub fn carried(&self) -> &[Carried] {
        &self.checked().carried
    }

    /// The situations are solved once for the checks and for what wires carry.
    fn checked(&self) -> &Checked {
        self.checked.get_or_init(|| {
            let network = &self.circuit.resolved.network;
            let Document { situations, interlocks, .. } = &self.document;
            let context = Context::new(&self.circuit, situations, interlocks);
            let findings = check::run_in(&context, situations);
            let told = findings.iter().map(|finding| told(&self.document, network, finding)).collect();
            Checked { told, carried: carried(&context), findings }
        })
    }

    /// The job.
    pub fn document(&self) -> &Document {
        &self.document
    }

    /// Its circuit.
    pub fn circuit(&self) -> &Circuit {
        &self.circuit
    }

    /// The same without waiting for checks: findings are in it only if an answer before had them.
    pub fn at_once(&self, request: &Request) -> Answer {
        let circuit = &self.circuit;
        let network = &circuit.resolved.network;
        let solution = solve(circuit, &request.situation);
        let taken = readings(circuit, &request.situation, &solution);
        let is_assumed = |subject: Subject| self.assumed.contains(&subject);
        let volts = |volts: Option<Volts>| volts.map(|volts| shown(volts.into()));
        Answer {
            revision: request.revision,
            verdict: solution.verdict.word().to_owned(),
            verdict_words: verdict_words(circuit, &solution),
            checked: self.checked.get().is_some(),
            findings: self.checked.get().map(|checked| checked.told.clone()).unwrap_or_default(),
            wires: taken
                .wires
                .into_iter()
                .map(|(id, flow)| {
                    let assumed = is_assumed(Subject::Wire(id.clone()));
                    wire_reading(id, &flow, circuit.resolved.nominal_v, assumed)
                })
                .collect(),
            parts: taken
                .parts
                .into_iter()
                .map(|(id, reading)| {
                    let assumed = is_assumed(Subject::Part(id.clone()));
                    part_reading(network, id, &reading, assumed)
                })
                .collect(),
            terminals: taken.terminals.into_iter().map(|(terminal, read)| (terminal, volts(read))).collect(),
            opening: taken.opening.iter().map(|one| (one.part.clone(), one.in_words(network))).collect(),
            assumptions: circuit
                .resolved
                .assumptions
                .iter()
                .map(|assumption| (assumption.subject.clone(), by_hand(&assumption.text)))
                .collect(),
            unjudged: circuit
                .resolved
                .assumptions
                .iter()
                .filter_map(|assumption| Some((assumption.subject.clone(), assumption.unjudged.clone()?)))
                .collect(),
            path: request.load.as_ref().and_then(|load| lit::path(circuit, &solution, load)),
        }
    }
}

/// The manual of the check or the part kind of this name, as Markdown.
pub fn manual(name: &str) -> Option<String> {
    let of_check = check::by_name(name).map(check::Check::manual);
    of_check.or_else(|| kind::by_name(name).map(kind::Kind::manual)).map(|manual| by_hand(&manual))
}

/// The verdict in a sentence, with the devices it is about; empty when there is nothing to say.
fn verdict_words(circuit: &Circuit, solution: &Solution) -> String {
    if solution.verdict == Verdict::Settled {
        return String::new();
    }
    let meaning = solution.verdict.meaning();
    let mut devices: Vec<String> = Vec::new();
    for device in &solution.restless {
        let title = circuit.subject(circuit.devices[*device].branch).title(&circuit.resolved.network);
        // A part may hold two devices, such as the two lights of one lamp.
        if !devices.contains(&title) {
            devices.push(title);
        }
    }
    match devices.is_empty() {
        true => meaning.to_owned(),
        false => format!("{} ({}).", meaning.trim_end_matches('.'), devices.join(", ")),
    }
}

fn told(document: &Document, network: &Network, finding: &Finding) -> Told {
    Told {
        severity: finding.severity,
        check: finding.check.to_owned(),
        subject: finding.subject.clone(),
        title: finding.subject.title(network),
        message: by_hand(&finding.message),
        because: finding
            .because
            .iter()
            .map(|label| (label.subject.clone(), label.subject.title(network), by_hand(&label.text)))
            .collect(),
        limits: match (&finding.measured, &finding.allowed) {
            (Some(measured), Some(allowed)) => {
                Some(format!("{} {measured}, limit {allowed}", finding.basis.word()))
            }
            (Some(measured), None) => Some(format!("{} {measured}", finding.basis.word())),
            (None, Some(allowed)) => Some(format!("limit {allowed}")),
            (None, None) => None,
        },
        help: finding.help.iter().map(|help| by_hand(&help.text)).collect(),
        fixes: (0..)
            .zip(&finding.help)
            .filter_map(|(index, help)| Some((index, fix(document, help)?)))
            .collect(),
        has_working: !finding.working.is_empty(),
        source: by_hand(&finding.source),
    }
}

/// What carrying out a help changes, in words; `None` where a person has to do it.
fn fix(document: &Document, help: &Help) -> Option<String> {
    let changes = all_in_words(document, &help.fix);
    (!changes.is_empty()).then(|| by_hand(&changes.join("; ")))
}

fn shown(quantity: Quantity) -> String {
    quantity.to_the_thousandth().to_string()
}

/// The same without its sign, which the raw number tells.
fn size_of(quantity: Quantity) -> String {
    shown(Quantity { value: quantity.value.abs(), ..quantity })
}

fn wire_reading(id: WireId, flow: &Flow, nominal_v: f64, assumed: bool) -> WireReading {
    let share = |volts: Volts| {
        // Tenths are as fine as anyone compares a loss with its limit.
        let percent = (volts.get().abs() / nominal_v * 1000.0).round() / 10.0;
        Quantity::new(percent, Unit::Percent).map(|share| share.to_string())
    };
    WireReading {
        id,
        amps: flow.amps.map(|amps| size_of(amps.into())),
        drop: flow.volts.map(|volts| size_of(volts.into())),
        share: flow.volts.and_then(share),
        flow: flow.amps.map(Amps::get),
        assumed,
    }
}

fn words(flow: &Flow) -> Words {
    Words {
        volts: flow.volts.map(|volts| shown(volts.into())),
        amps: flow.amps.map(|amps| size_of(amps.into())),
        watts: flow.watts.map(|watts| size_of(watts.into())),
        flow: flow.amps.map(Amps::get),
    }
}

fn part_reading(network: &Network, id: PartId, reading: &reading::PartReading, assumed: bool) -> PartReading {
    let of_load = |(name, load): &(&'static str, reading::PartReading)| {
        ((*name).to_owned(), load.state.map(str::to_owned), words(&load.flow))
    };
    let is_source =
        network.part(&id).is_some_and(|part| matches!(part.kind.class, Class::Battery | Class::Generator));
    let state = match reading.state {
        None if is_source => reading.flow.amps.map(source_state),
        state => state,
    };
    PartReading {
        id,
        state: state.map(str::to_owned),
        words: words(&reading.flow),
        loads: reading.loads.iter().map(of_load).collect(),
        contact: reading.contact.as_ref().map(words),
        assumed,
    }
}

/// What a source does with this current through it, counted from its positive pole to its negative.
fn source_state(amps: Amps) -> &'static str {
    // A thousandth is what is shown; less than half of it reads as nought.
    match amps.get() {
        amps if amps < -0.0005 => "delivers",
        amps if amps > 0.0005 => "is charged",
        _ => "idle",
    }
}
