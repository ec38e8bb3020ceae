//! Straps of batteries that lose too much voltage.

use crate::check::Context;
use crate::check::swept::uses;
use crate::circuit::CHASSIS;
use crate::document::Status;
use crate::finding::{Basis, Finding, Harm, Help, Severity};
use crate::kind::{Class, Role};
use crate::quantity::{Amps, Unit, Volts};
use crate::subject::Subject;
use crate::working::Working;

declare_check! {
    /// Finds batteries whose strap to the body loses more than 0.3 V.
    ///
    /// # What it checks
    ///
    /// The computed voltage across the strap between each battery and the vehicle body, in the situation in which it is
    /// greatest, where new loads change it. In a 24 V system it may be twice that.
    ///
    /// # Why it matters
    ///
    /// Everything that returns through the body loses this voltage: lamps dim together, relays drop out, and a short
    /// circuit may draw too little to blow its fuse.
    ///
    /// # Example
    ///
    /// A corroded strap of 0.1 ohm: 2 V are lost when the loads take 20 A.
    ///
    /// # What to do
    ///
    /// Clean both ends of the strap, or fit a new one; measure it again under load.
    name: "strap-overloaded",
    summary: "the strap between a battery and the body loses too much voltage",
    harm: Harm::Failure,
    explained_by: &["supply-shorted", "unconnected-terminal"],
    run: run,
}

/// Most volts across a strap, of 12 V: half of what a load may lose on its whole way.
const MOST_V: f64 = 0.3;

/// The share by which new work must change the current of a strap to count (common practice, no source).
const CHANGED_SHARE: f64 = 0.01;

const SOURCE: &str = "half of the 5 % that a load may lose on its whole way: common practice, no source";

fn run(context: &Context<'_>, findings: &mut Vec<Finding>) {
    let circuit = context.circuit;
    for (index, part) in circuit.resolved.network.parts.iter().enumerate() {
        if part.kind.class == Class::Battery {
            let strap = circuit.branches_of_part(index).find(|(_, branch)| {
                branch.role == Role::Path
                    && [branch.from, branch.to].contains(&CHASSIS)
                    && branch.law.is_some()
            });
            findings.extend(strap.and_then(|(strap, _)| lost(context, strap)));
        }
    }
}

fn lost(context: &Context<'_>, strap: usize) -> Option<Finding> {
    let circuit = context.circuit;
    let network = &circuit.resolved.network;
    let (amps, rest, surveyed) = context.survey.greatest_amps(strap, |_| true)?;
    let ends = &circuit.branches[strap];
    let volts = rest.steady.between(ends.from, ends.to)?.abs();
    let most = MOST_V * circuit.resolved.nominal_v / 12.0;
    let before = context.amps_before(strap, &surveyed.positions);
    let is_ours = before.is_none_or(|before| (amps - before.abs()).abs() > CHANGED_SHARE * amps);
    if volts <= most || !is_ours {
        return None;
    }
    let subject = circuit.subject(strap);
    let message = format!(
        "{} are lost at the strap of {} {}: {} flow through it",
        Volts::new(volts)?,
        subject.title(network),
        surveyed.when,
        Amps::new(amps)?
    );
    let working = Working::of("voltage lost at the strap", "U = I * R", volts, Unit::Volt, "Ohm's law")?
        .with("I", "current through the strap", amps, Unit::Ampere, Basis::Calculated)
        .with("R", "resistance of the strap", volts / amps, Unit::Ohm, Basis::Entered);
    let limit = Working::of("most that may be lost", "U_max = U_rule", most, Unit::Volt, SOURCE)?.with(
        "U_rule",
        "limit for the strap",
        most,
        Unit::Volt,
        Basis::Tabled,
    );
    // Whatever returns through the body suffers from it.
    let suffers = (0..circuit.branches.len()).filter(|index| {
        let is_new = context.part_of(*index).is_some_and(|(_, part)| part.status == Status::New);
        is_new && uses(circuit.branches[*index].role) || context.wire_of(*index).is_some()
    });
    let mut touches: Vec<Subject> = vec![subject.clone()];
    touches.extend(suffers.map(|index| circuit.subject(index)));
    touches.dedup();
    Some(Finding {
        measured: Some(Volts::new(volts)?.into()),
        allowed: Some(Volts::new(most)?.into()),
        help: vec![Help::words("clean both ends of the strap or fit a new one, and measure it under load")],
        working: vec![working, limit],
        touches,
        ..Finding::of(CHECK.name, Severity::Look, subject, message, SOURCE)
    })
}
