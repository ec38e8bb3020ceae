//! Relays that join two batteries while the engine does not run.

use super::CHECK;
use crate::check::Context;
use crate::check::interlock_broken::steps;
use crate::check::survey::Together;
use crate::circuit::Gate;
use crate::document::Rule;
use crate::document::sentence::signal;
use crate::finding::{Finding, Help, Severity};
use crate::kind::Class;
use crate::sweep::words;

const SOURCE: &str =
    "a split-charge relay is open while cranking and with the engine off: common practice, no source";

/// The state in which a relay joins two batteries although the engine is off or is being cranked, if there is one:
/// alternators stand still, and of the circuits of the vehicle none is on but those that are live with the ignition.
///
/// What another circuit of the vehicle says is taken as that the engine runs.
pub(super) fn joined(
    context: &Context<'_>,
    (first, second): (usize, usize),
    contact: usize,
) -> Option<Finding> {
    let circuit = context.circuit;
    let network = &circuit.resolved.network;
    let (part, relay) = context.part_of(contact)?;
    // What the job itself says of the relay stands in the place of what is usual.
    let speaks = |rule| matches!(rule, Rule::AnyTime | Rule::OnlyWith);
    let is_spoken_of = || context.interlocks.iter().any(|own| own.load == relay.id && speaks(own.rule));
    if !matches!(circuit.branches[contact].gate, Gate::Device(..)) || is_spoken_of() {
        return None;
    }
    let runs = |(part, position): (&crate::document::Part, &u8)| match part.kind.class {
        Class::Generator => *position > 0,
        Class::Donor => *position > 0 && signal(part) != Some("ignition"),
        _ => false,
    };
    let poles = [first, second].map(|battery| circuit.branches[battery].from);
    let state = context.survey.states().iter().find(|state| {
        let rest = &state.rest;
        rest.steady.conducting(contact)
            && !network.parts.iter().zip(&rest.state.positions).any(runs)
            && Together::new(circuit, rest).are_joined(poles[0], poles[1])
    })?;
    let by_ignition = network
        .parts
        .iter()
        .zip(&state.rest.state.positions)
        .any(|(part, position)| part.kind.class == Class::Donor && *position > 0);
    let actions = state.actions(&context.survey);
    let [first, second] = [first, second].map(|battery| circuit.subject(battery).title(network));
    let when = if by_ignition { "while the engine is cranked" } else { "with the engine off" };
    let message = format!(
        "{} joins {first} and {second} {when}, {}",
        context.title(part),
        words::after(network, &actions)
    );
    Some(Finding {
        because: steps(context, &actions),
        help: vec![Help::words(
            "work it by a circuit that is live only while the engine runs, or say with an interlock what it goes with, `any time` if that is meant",
        )],
        ..Finding::of(CHECK.name, Severity::Look, circuit.subject(contact), message, SOURCE)
    })
}
