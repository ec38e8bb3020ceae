//! Vehicle circuits fed from behind, and supplies of different voltage joined.

use crate::check::Context;
use crate::check::interlock_broken::steps;
use crate::check::survey::joined;
use crate::check::swept::SweptState;
use crate::circuit::{CHASSIS, Gate, NetIndex};
use crate::finding::{Basis, Finding, Harm, Help, Label, Severity};
use crate::kind::{Class, Law, Role};
use crate::quantity::{Quantity, Unit};
use crate::subject::Subject;
use crate::sweep::words;
use crate::working::Working;

declare_check! {
    /// Finds circuits of the vehicle that come alive from behind while they are switched off, and supplies of different
    /// voltage that are joined.
    ///
    /// # What it checks
    ///
    /// Every state that working the switches and donor circuits one at a time can lead to: the voltage across the lamp of
    /// each donor circuit that is off, from a quarter of nominal up, where a filament begins to be seen (common practice,
    /// no source); and whether the positive poles of two sources that differ by more than 4 V hang together without a
    /// load between.
    ///
    /// # Why it matters
    ///
    /// The vehicle's own lamps light when nobody switched them on, its modules report faults, and its fuse no longer makes
    /// the circuit dead.
    ///
    /// # Example
    ///
    /// One relay coil worked by main and dipped beam, the two wires simply joined: either beam lights both.
    ///
    /// # What to do
    ///
    /// A diode in each wire, pointing to the coil, or two relays.
    name: "back-feed",
    summary: "a circuit that is off comes alive from behind",
    harm: Harm::Failure,
    explained_by: &["supply-shorted", "switched-earth-donor", "sneak-path", "unconnected-terminal"],
    run: run,
}

/// The share of nominal voltage from which a circuit counts as alive.
const ALIVE_SHARE: f64 = 0.25;

/// Volts between the voltages of two sources from which they are not of one system (common practice, no source).
const OTHER_SYSTEM_V: f64 = 4.0;

fn run(context: &Context<'_>, findings: &mut Vec<Finding>) {
    let circuit = context.circuit;
    let mut told: Vec<Subject> = Vec::new();
    for state in context.survey.states() {
        for input in &circuit.inputs {
            let part = &circuit.resolved.network.parts[input.part];
            let is_off = state.rest.state.positions[input.part] == 0;
            let subject = Subject::Part(part.id.clone());
            if part.kind.class != Class::Donor || !is_off || told.contains(&subject) {
                continue;
            }
            if let Some(volts) = alive(context, state, input.part) {
                told.push(subject.clone());
                findings.push(finding(context, state, subject, volts));
            }
        }
        if let Some((one, other)) = mixed(context, state)
            && !told.contains(&circuit.subject(other))
        {
            told.push(circuit.subject(other));
            findings.push(mixed_finding(context, state, one, other));
        }
    }
}

/// Volts across the lamp of a donor that is off, where it is alive.
fn alive(context: &Context<'_>, state: &SweptState, part: usize) -> Option<f64> {
    let circuit = context.circuit;
    let (lamp, at) =
        circuit.branches_of_part(part).find(|(_, branch)| matches!(branch.role, Role::Load(_)))?;
    // A lamp that is switched on its earth side is always live on one of its wires; only across it does it show.
    let volts = state.rest.steady.between(at.from, at.to)?.abs();
    // One wire may be fed through what is itself fed by the lamp: then it is the lamp that carries, dimly.
    let is_fed = volts >= ALIVE_SHARE * circuit.resolved.nominal_v;
    let feeds_itself = circuit.branches_of_part(part).any(|(index, branch)| {
        matches!(branch.gate, Gate::In(..)) && index != lamp && circuit.closed(index, &state.rest.state)
    });
    (is_fed && !feeds_itself).then_some(volts)
}

/// How the voltage came about, and the one from which on a filament is seen.
fn working(context: &Context<'_>, volts: Option<Quantity>) -> Vec<Working> {
    const SEEN: &str = "a filament begins to be seen at a quarter of its voltage: common practice, no source";
    let nominal = context.circuit.resolved.nominal_v;
    let across = volts.and_then(|volts| {
        Working::of_network("voltage across the lamp", volts.value, Unit::Volt, "Kirchhoff's voltage law")
    });
    let seen =
        Working::of("voltage that is seen", "U_seen = s * U_n", ALIVE_SHARE * nominal, Unit::Volt, SEEN).map(
            |working| {
                working.with("s", "share that is seen", ALIVE_SHARE, Unit::One, Basis::Tabled).with(
                    "U_n",
                    "nominal voltage",
                    nominal,
                    Unit::Volt,
                    Basis::Entered,
                )
            },
        );
    across.into_iter().chain(seen).collect()
}

fn finding(context: &Context<'_>, state: &SweptState, subject: Subject, volts: f64) -> Finding {
    let network = &context.circuit.resolved.network;
    let actions = state.actions(&context.survey);
    let mut touches = vec![subject.clone()];
    touches.extend(around(context, state));
    let volts = Quantity::new(volts, Unit::Volt);
    let shown = volts.as_ref().map_or_else(String::new, ToString::to_string);
    Finding {
        check: CHECK.name,
        severity: Severity::Stop,
        message: format!(
            "{} is off and has {shown} across its lamp, {}",
            subject.title(network),
            words::after(network, &actions)
        ),
        subject: subject.clone(),
        because: steps(context, &actions),
        measured: volts,
        basis: Basis::Calculated,
        allowed: Quantity::new(ALIVE_SHARE * context.circuit.resolved.nominal_v, Unit::Volt),
        help: vec![Help::words(
            "put a diode into each wire that is tapped, pointing to what it feeds, or use a relay for each",
        )],
        source: "a filament begins to be seen at a quarter of its voltage: common practice, no source"
            .to_owned(),
        working: working(context, volts),
        touches,
    }
}

/// The wires that are tapped from donors, and what may have been connected wrongly there: where what feeds from behind
/// comes in.
fn around(context: &Context<'_>, state: &SweptState) -> Vec<Subject> {
    let circuit = context.circuit;
    let mut subjects = Vec::new();
    let mut tapped: Vec<usize> = Vec::new();
    for (branch, at) in circuit.branches.iter().enumerate() {
        let of_donor = |net: NetIndex| {
            circuit.nets[net].iter().any(|terminal| {
                circuit
                    .resolved
                    .network
                    .part(&terminal.part)
                    .is_some_and(|part| part.kind.class == Class::Donor)
            })
        };
        let carries = state.rest.steady.amps(branch).abs() > 0.0;
        if context.wire_of(branch).is_some() && carries && (of_donor(at.from) || of_donor(at.to)) {
            subjects.push(circuit.subject(branch));
            tapped.extend([at.from, at.to]);
        }
    }
    subjects.extend(context.misplaced_at(&context.joined_with(&tapped)));
    subjects
}

/// Two sources of different systems whose positive poles hang together, by branch.
fn mixed(context: &Context<'_>, state: &SweptState) -> Option<(usize, usize)> {
    let circuit = context.circuit;
    let sources: Vec<(usize, f64)> = circuit
        .sources()
        .filter(|source| {
            circuit.closed(*source, &state.rest.state) && circuit.branches[*source].from != CHASSIS
        })
        .filter_map(|source| match circuit.branches[source].law {
            Some(Law::Source { emf, .. }) => Some((source, emf.get())),
            _ => None,
        })
        .collect();
    for (place, (one, low)) in sources.iter().enumerate() {
        let others = &sources[place + 1..];
        if others.iter().all(|(_, high)| (high - low).abs() <= OTHER_SYSTEM_V) {
            continue;
        }
        let met = joined(circuit, &state.rest, &[circuit.branches[*one].from]);
        let is_mixed = |(other, high): &&(usize, f64)| {
            // In a series of batteries the positive pole of one is the negative pole of the next, which joins nothing.
            (high - low).abs() > OTHER_SYSTEM_V
                && met.contains(&circuit.branches[*other].from)
                && state.grounded[circuit.branches[*one].to]
                && state.grounded[circuit.branches[*other].to]
        };
        if let Some((other, _)) = others.iter().find(is_mixed) {
            return Some((*one, *other));
        }
    }
    None
}

fn mixed_finding(context: &Context<'_>, state: &SweptState, one: usize, other: usize) -> Finding {
    let circuit = context.circuit;
    let network = &circuit.resolved.network;
    let (one, other) = (circuit.subject(one), circuit.subject(other));
    let actions = state.actions(&context.survey);
    let mut because = steps(context, &actions);
    because.push(Label { subject: one.clone(), text: "is of another voltage".to_owned() });
    Finding {
        check: CHECK.name,
        severity: Severity::Stop,
        message: format!(
            "the positive poles of {} and {} are joined, and they are of different voltage, {}",
            one.title(network),
            other.title(network),
            words::after(network, &actions)
        ),
        subject: other.clone(),
        because,
        measured: None,
        basis: Basis::Calculated,
        allowed: None,
        help: vec![Help::words("keep systems of different voltage apart; they share nothing but the earth")],
        source: "sources that differ by more than 4 V are of different systems: common practice, no source"
            .to_owned(),
        working: Vec::new(),
        touches: vec![other, one],
    }
}
