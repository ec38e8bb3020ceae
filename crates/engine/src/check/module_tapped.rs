//! Taps on lamps that an electronic module drives.

use crate::check::Context;
use crate::circuit::Circuit;
use crate::circuit::reach::walk;
use crate::document::Status;
use crate::finding::{Basis, Finding, Harm, Help, Label, Severity};
use crate::kind::{Class, Role, Used};
use crate::quantity::{Amps, Unit};
use crate::subject::Subject;
use crate::working::Working;

declare_check! {
    /// Finds relay coils and loads that are tapped from a lamp driven by an electronic module.
    ///
    /// # What it checks
    ///
    /// For each donor driven by a module: coils on its wires, which chatter when it pulses (Stop where a situation of the
    /// job has it pulse, else Look), and the current that is tapped against what was said to be spare, or 0.2 A. What is
    /// tapped beside its lamp is noted, because the module may take it for a lamp or miss one that failed.
    ///
    /// # Why it matters
    ///
    /// A module measures its lamp, pulses it, and switches off what takes more than it expects; a coil without a diode may
    /// destroy it.
    ///
    /// # Example
    ///
    /// A relay coil on the main-beam wire of a vehicle whose headlamps are dimmed as daytime lamps.
    ///
    /// # What to do
    ///
    /// Use an interface with a trigger input, or another donor that a plain contact switches.
    name: "module-tapped",
    summary: "something is tapped from a lamp that an electronic module drives",
    harm: Harm::Failure,
    explained_by: &[],
    run: run,
}

/// Current that may be tapped from a module when nothing was said, in amperes (common practice, no source).
const SPARE_A: f64 = 0.2;

const SOURCE: &str = "common practice, no source";

fn run(context: &Context<'_>, findings: &mut Vec<Finding>) {
    let circuit = context.circuit;
    for (index, part) in circuit.resolved.network.parts.iter().enumerate() {
        let Some(used) = &circuit.resolved.parts[index] else { continue };
        if part.kind.class != Class::Donor || used.word("drive") != Some("module") {
            continue;
        }
        let tapped = tapped(context, index);
        if tapped.is_empty() {
            continue;
        }
        findings.extend(judged(context, index, used, &tapped));
    }
}

/// The coils and loads of new parts that hang on the wires of a donor without anything in between.
fn tapped(context: &Context<'_>, donor: usize) -> Vec<usize> {
    let circuit = context.circuit;
    let nets: Vec<usize> = circuit
        .branches_of_part(donor)
        .filter(|(_, branch)| matches!(branch.role, Role::Load(_)))
        .flat_map(|(_, branch)| [branch.from, branch.to])
        .collect();
    let met = walk(circuit, &nets, |index, _| {
        matches!(circuit.branches[index].role, Role::Path | Role::Protection(_))
            && context.part_of(index).is_none_or(|(part, _)| part != donor)
            && circuit.branches[index].from != crate::circuit::CHASSIS
            && circuit.branches[index].to != crate::circuit::CHASSIS
    });
    let reached: Vec<usize> = met.into_iter().map(|(net, _)| net).collect();
    (0..circuit.branches.len())
        .filter(|index| {
            let branch = &circuit.branches[*index];
            let is_user = matches!(branch.role, Role::Coil { .. } | Role::Load(_));
            let is_new =
                context.part_of(*index).is_some_and(|(at, part)| at != donor && part.status == Status::New);
            is_user && is_new && (reached.contains(&branch.from) || reached.contains(&branch.to))
        })
        .collect()
}

fn judged(context: &Context<'_>, donor: usize, used: &Used, tapped: &[usize]) -> Option<Finding> {
    let circuit = context.circuit;
    let network = &circuit.resolved.network;
    let donor_subject = Subject::Part(network.parts[donor].id.clone());
    let donor_title = donor_subject.title(network);
    let coil =
        tapped.iter().copied().find(|index| matches!(circuit.branches[*index].role, Role::Coil { .. }));
    let touches = || -> Vec<Subject> {
        let users = tapped.iter().map(|index| circuit.subject(*index));
        users.chain([donor_subject.clone()]).collect()
    };
    let help = || {
        vec![Help::words(
            "use an interface with a trigger input, or another donor that a plain contact switches",
        )]
    };
    let first = circuit.subject(*tapped.first()?);
    let spare = used.number("spare_a");
    let (most, allowed) = (drawn(context, tapped), spare.unwrap_or(SPARE_A));
    let shown = |amps: f64| Amps::new(amps).map_or_else(String::new, |amps| amps.to_string());
    let driven = Label { subject: donor_subject.clone(), text: "is driven by a module".to_owned() };
    if let Some(coil) = coil {
        let subject = circuit.subject(coil);
        let pulses = context
            .survey
            .situations
            .iter()
            .any(|surveyed| surveyed.is_named && is_pulsed(circuit, donor, &surveyed.positions));
        let bare = !circuit.branches.iter().any(|branch| {
            branch.role == Role::Suppression && branch.origin.part() == circuit.branches[coil].origin.part()
        });
        let title = subject.title(network);
        let message = match (pulses, bare) {
            (true, _) => {
                format!("the coil of {title} hangs on {donor_title}, which a module pulses: it chatters")
            }
            (false, true) => format!(
                "the coil of {title} hangs on {donor_title}, which a module drives, and nothing keeps its switch-off voltage down"
            ),
            (false, false) => {
                format!("the coil of {title} hangs on {donor_title}, which a module drives and may pulse")
            }
        };
        let severity = if pulses { Severity::Stop } else { Severity::Look };
        let mut because = vec![driven];
        if most > allowed {
            let text = format!("{} are taken from it in all, {} may be tapped", shown(most), shown(allowed));
            because.push(Label { subject: donor_subject.clone(), text });
        }
        return Some(Finding {
            because,
            help: help(),
            touches: touches(),
            ..Finding::of(CHECK.name, severity, subject, message, SOURCE)
        });
    }
    if most > allowed {
        let message = format!(
            "{} takes {} from {donor_title}, which a module drives; {} may be tapped",
            first.title(network),
            shown(most),
            shown(allowed)
        );
        let taken = Working::of(
            "current that is tapped",
            "I = I_tapped",
            most,
            Unit::Ampere,
            "Kirchhoff's current law",
        )?
        .with(
            "I_tapped",
            "currents of all that hangs on its wires",
            most,
            Unit::Ampere,
            Basis::Calculated,
        );
        let spare_working =
            Working::of("current that may be tapped", "I_max = I_spare", allowed, Unit::Ampere, SOURCE)?
                .with(
                    "I_spare",
                    "current that is spare",
                    allowed,
                    Unit::Ampere,
                    Basis::said(spare.is_some()),
                );
        return Some(Finding {
            because: vec![driven],
            measured: Amps::new(most).map(Into::into),
            allowed: Amps::new(allowed).map(Into::into),
            help: help(),
            working: vec![taken, spare_working],
            touches: touches(),
            ..Finding::of(CHECK.name, Severity::Look, first, message, SOURCE)
        });
    }
    let message = format!(
        "{} hangs beside the lamp of {donor_title}: its module may tell of a failed lamp, or miss one",
        first.title(network)
    );
    Some(Finding {
        because: vec![driven],
        help: help(),
        touches: touches(),
        ..Finding::of(CHECK.name, Severity::Note, first, message, SOURCE)
    })
}

/// The most that all of these take together.
fn drawn(context: &Context<'_>, users: &[usize]) -> f64 {
    let rests = context.survey.situations.iter().flat_map(|surveyed| surveyed.rests());
    rests.map(|rest| users.iter().map(|user| rest.steady.amps(*user).abs()).sum::<f64>()).fold(0.0, f64::max)
}

/// Whether a donor pulses in these positions.
fn is_pulsed(circuit: &Circuit, donor: usize, positions: &[u8]) -> bool {
    let part = &circuit.resolved.network.parts[donor];
    part.positions().get(usize::from(positions[donor])) == Some(&"pwm")
}
