//! What meters and eyes would tell of one situation: readings of terminals, wires and parts.
//!
//! Readings are taken off a [`Solution`]; nothing is computed that it does not hold. Where it shows
//! no lasting state there are no readings, only the positions that were set.

use std::mem::discriminant;

use crate::check::{opens, works};
use crate::circuit::{Circuit, Gate, Origin, State};
use crate::document::{Network, Situation};
use crate::ids::{PartId, TerminalRef, WireId};
use crate::kind::{OPENS_ABOVE, Role};
use crate::quantity::{Amps, Volts, Watts};
use crate::solve::{Balance, Rest, Solution};

/// All readings of one situation, in document order; what is to be removed has none.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Readings {
    /// Volts to the chassis; `None` where no such voltage is defined.
    pub terminals: Vec<(TerminalRef, Option<Volts>)>,
    /// Readings of wires.
    pub wires: Vec<(WireId, Flow)>,
    /// Readings of parts.
    pub parts: Vec<(PartId, PartReading)>,
    /// Fuses and breakers that would not stay closed at the current they carry.
    pub opening: Vec<Opening>,
    /// What is left over after adding everything up; `None` without a solution.
    pub balance: Option<Balance>,
}

/// What goes through a wire, or through one branch of a part. `None` is not known.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct Flow {
    /// Volts of the first end against the second.
    pub volts: Option<Volts>,
    /// Amperes from the first end to the second.
    pub amps: Option<Amps>,
    /// Power taken; negative for a source that gives.
    pub watts: Option<Watts>,
}

/// Readings of a part.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct PartReading {
    /// Its position, or whether it is `on` or `off`; `None` when it has no state or it is not known.
    pub state: Option<&'static str>,
    /// Readings of its coil, closed contact, lamp, winding or source.
    pub flow: Flow,
    /// Its loads that have a name of their own: the beam of a twin lamp, a tell-tale.
    pub loads: Vec<(&'static str, PartReading)>,
    /// Readings of the contact that is closed, of a relay.
    pub contact: Option<Flow>,
}

/// A fuse or breaker that carries more than it lets pass for long.
#[derive(Clone, Debug, PartialEq)]
pub struct Opening {
    /// The fuse, the breaker, or the donor that has the fuse in it.
    pub part: PartId,
    /// Its rated current.
    pub rated: Amps,
    /// The current through it.
    pub amps: Amps,
}

impl Opening {
    /// That it does not stand its current, in words: lowercase, no full stop.
    pub fn in_words(&self, network: &Network) -> String {
        let (who, does) = opens(network, &self.part, self.rated);
        format!("{who} would {does}: {}", self.amps)
    }
}

/// The words for the state of what has no positions.
const OFF_ON: [&str; 2] = ["off", "on"];

/// Takes the readings of `solution`, which `situation` came to.
pub fn readings(circuit: &Circuit, situation: &Situation, solution: &Solution) -> Readings {
    let rest = solution.shown();
    let positions = circuit.positions(situation);
    let network = &circuit.resolved.network;
    let mut readings = Readings { balance: rest.map(|rest| rest.steady.balance), ..Readings::default() };
    for (index, part) in network.parts.iter().enumerate() {
        if circuit.resolved.parts[index].is_none() {
            continue;
        }
        for terminal in part.terminals() {
            let terminal = TerminalRef { part: part.id.clone(), terminal: terminal.name };
            let volts = rest.zip(circuit.net_of(&terminal)).and_then(|(rest, net)| rest.steady.volts(net));
            readings.terminals.push((terminal, volts.and_then(Volts::new)));
        }
        readings.parts.push((part.id.clone(), part_reading(circuit, index, &positions, rest)));
    }
    for (index, wire) in network.wires.iter().enumerate() {
        if circuit.resolved.wires[index].is_none() {
            continue;
        }
        let branch = circuit.branches.iter().position(|branch| branch.origin == Origin::Wire(index));
        let flow = branch.zip(rest).map(|(branch, rest)| flow(circuit, rest, branch)).unwrap_or_default();
        readings.wires.push((wire.id.clone(), flow));
    }
    readings.opening = rest.map(|rest| opening(circuit, rest)).unwrap_or_default();
    readings
}

fn opening(circuit: &Circuit, rest: &Rest) -> Vec<Opening> {
    let opening = |index: usize| {
        let branch = &circuit.branches[index];
        let Origin::Part(part, _) = branch.origin else { return None };
        // Of a range the lower end is the worse: with it the fuse may open.
        let rated = circuit.rating(index)?.low;
        let amps = Amps::new(rest.steady.amps(index).abs())?;
        (amps.get() > OPENS_ABOVE * rated.get()).then(|| Opening {
            part: circuit.resolved.network.parts[part].id.clone(),
            rated,
            amps,
        })
    };
    (0..circuit.branches.len()).filter_map(opening).collect()
}

fn flow(circuit: &Circuit, rest: &Rest, index: usize) -> Flow {
    let branch = &circuit.branches[index];
    let volts = rest.steady.between(branch.from, branch.to).and_then(Volts::new);
    if branch.law.is_none() {
        return Flow { volts, ..Flow::default() };
    }
    Flow {
        volts,
        amps: Amps::new(rest.steady.amps(index)),
        watts: Watts::new(rest.steady.watts(circuit, index)),
    }
}

fn part_reading(circuit: &Circuit, index: usize, positions: &[u8], rest: Option<&Rest>) -> PartReading {
    let mut reading = PartReading::default();
    let spoken_for = spoken_for(circuit, index, rest);
    for (branch, own) in circuit.branches_of_part(index) {
        let flow = rest.map(|rest| flow(circuit, rest, branch)).unwrap_or_default();
        let state = rest.and_then(|rest| state_of(circuit, rest, branch));
        if Some(branch) == spoken_for {
            reading.flow = flow;
            reading.state = state;
        }
        if let Role::Load(load) = &own.role
            && !load.name.is_empty()
        {
            reading.loads.push((load.name, PartReading { state, flow, ..PartReading::default() }));
        }
        let closed = || rest.is_some_and(|rest| circuit.closed(branch, &rest.state));
        if own.role == Role::Path && matches!(own.gate, Gate::Device(..)) && closed() {
            reading.contact = Some(flow);
        }
    }
    let names = circuit.resolved.network.parts[index].positions();
    if !names.is_empty() {
        reading.state = names.get(usize::from(positions[index])).copied();
    }
    reading
}

/// The branch a part's readings speak of: its first one, or the one of the same role that conducts
/// in its stead, such as the other contact of a change-over switch or the winding of a stalled motor.
fn spoken_for(circuit: &Circuit, index: usize, rest: Option<&Rest>) -> Option<usize> {
    let (first, own) = circuit.branches_of_part(index).next()?;
    let conducts = |branch: usize| rest.is_some_and(|rest| rest.steady.conducting(branch));
    let instead = circuit
        .branches_of_part(index)
        .find(|(branch, other)| conducts(*branch) && discriminant(&other.role) == discriminant(&own.role));
    Some(instead.map_or(first, |(branch, _)| branch))
}

/// Whether a load works or a relay's armature is held; `None` for what is neither.
fn state_of(circuit: &Circuit, rest: &Rest, index: usize) -> Option<&'static str> {
    let held = |state: &State| {
        circuit.devices.iter().position(|device| device.branch == index).map(|device| state.devices[device])
    };
    let on = match &circuit.branches[index].role {
        Role::Coil { .. } => held(&rest.state)?,
        Role::Load(load) => {
            circuit.branches[index].law?;
            works(circuit, rest, index, load)
        }
        _ => return None,
    };
    Some(OFF_ON[usize::from(on)])
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::circuit::build;
    use crate::document::Settings;
    use crate::notation;
    use crate::solve::solve;

    fn taken(text: &str, set: &[(&str, &str)]) -> Readings {
        let circuit = build(&notation::network(text).unwrap(), &Settings::default());
        let set = set.iter().map(|(id, at)| (PartId::new(id).unwrap(), (*at).to_owned())).collect();
        let situation = Situation { name: String::new(), set };
        readings(&circuit, &situation, &solve(&circuit, &situation))
    }

    const RELAY: &str = "battery G1 open_circuit_v=12 internal_ohm=0.01
        switch S1
        relay K1 coil_ohm=100
        resistor R1 ohm=10
        earth X1
        wire w1 G1.+ S1.in mm2=2.5 m=1
        wire w2 S1.out K1.86 mm2=2.5 m=1
        wire w3 K1.85 X1.1 mm2=2.5 m=1
        wire w4 G1.+ K1.30 mm2=2.5 m=1
        wire w5 K1.87 R1.1 mm2=2.5 m=1
        wire w6 R1.2 X1.1 mm2=2.5 m=1";

    fn part<'a>(readings: &'a Readings, id: &str) -> &'a PartReading {
        &readings.parts.iter().find(|(part, _)| part.as_str() == id).unwrap().1
    }

    #[test]
    fn a_relay_reads_on_while_its_switch_is_on() {
        let rest = taken(RELAY, &[]);
        assert_eq!((part(&rest, "K1").state, part(&rest, "R1").state), (Some("off"), Some("off")));
        let on = taken(RELAY, &[("S1", "on")]);
        assert_eq!(part(&on, "S1").state, Some("on"));
        assert_eq!(part(&on, "K1").state, Some("on"));
        let load = part(&on, "R1");
        assert_eq!(load.state, Some("on"));
        // 12 V over 10 ohm, less the little that the wires, contacts and battery take: 1.2 A less
        // about 0.05 ohm in 10.
        let amps = load.flow.amps.unwrap().get();
        assert!((1.19..1.2).contains(&amps), "{amps}");
        let battery = part(&on, "G1").flow;
        assert!(battery.watts.unwrap().get() < 0.0, "{battery:?}");
    }

    #[test]
    fn a_relay_that_is_on_reads_the_current_of_its_contact() {
        assert_eq!(part(&taken(RELAY, &[]), "K1").contact, None);
        let on = taken(RELAY, &[("S1", "on")]);
        let contact = part(&on, "K1").contact.unwrap();
        let apart = contact.amps.unwrap().get() - part(&on, "R1").flow.amps.unwrap().get();
        assert!(apart.abs() < 1e-9, "{contact:?}");
    }

    #[test]
    fn a_fuse_that_carries_more_than_135_percent_would_open() {
        // 12 V over 2 ohm, less what battery and wires take: 5.9 A, which is 1.35 times 4.4 A.
        let text = |rating: &str| {
            format!(
                "battery G1 open_circuit_v=12 internal_ohm=0.01
                fuse F1 rating_a={rating}
                resistor R1 ohm=2
                earth X1
                wire w1 G1.+ F1.1 mm2=2.5 m=1
                wire w2 F1.2 R1.1 mm2=2.5 m=1
                wire w3 R1.2 X1.1 mm2=2.5 m=1"
            )
        };
        assert_eq!(taken(&text("4.5"), &[]).opening, Vec::new());
        let blown = taken(&text("4.2"), &[]).opening;
        assert_eq!(blown.len(), 1);
        assert_eq!(blown[0].part.as_str(), "F1");
        assert_eq!(blown[0].rated.get(), 4.2);
        assert!((5.8..5.95).contains(&blown[0].amps.get()), "{:?}", blown[0].amps);
        assert_eq!(taken(&text("4.2"), &[("F1", "out")]).opening, Vec::new());
        // Of a range the lower end counts, as it is the worse.
        let opening = taken(&text("4.2..10"), &[]).opening;
        assert_eq!(opening.iter().map(|one| one.rated.get()).collect::<Vec<_>>(), [4.2]);
    }

    #[test]
    fn a_stalled_motor_reads_its_stall_current() {
        let text = "battery G1 open_circuit_v=12 internal_ohm=0.01
            motor M1 run_a=5 stall_a=20
            earth X1
            wire w1 G1.+ M1.+ mm2=6 m=1
            wire w2 M1.- X1.1 mm2=6 m=1";
        let amps = |set: &[(&str, &str)]| part(&taken(text, set), "M1").flow.amps.unwrap().get();
        assert!((4.9..5.0).contains(&amps(&[])), "{}", amps(&[]));
        assert!((19.0..20.0).contains(&amps(&[("M1", "stalled")])), "{}", amps(&[("M1", "stalled")]));
    }

    #[test]
    fn an_open_end_has_no_voltage() {
        let rest = taken(RELAY, &[]);
        let volts = |name: &str| rest.terminals.iter().find(|(t, _)| t.to_string() == name).unwrap().1;
        let reads = |name: &str, expected: f64| {
            let read = volts(name).unwrap().get();
            assert!((read - expected).abs() < 1e-9, "{name} reads {read}, not {expected}");
        };
        reads("G1.+", 12.0);
        reads("R1.1", 0.0);
        let open = taken("battery G1\nlamp E1 watts=5", &[]);
        assert_eq!(open.terminals.iter().filter(|(_, volts)| volts.is_none()).count(), 2);
    }
}
