//! A vehicle that is not quite the drawing, and what a user finds on it.

use engine::circuit::{Change, Circuit};
use engine::diagnose::{Case, figure, share};
use engine::document::{Complaint, Found, Probe, Seen, Situation};
use engine::fault::{BAD_JOINT_OHM, BRIGHT_SHARE, Fault, GLOW_SHARE, Mode, Outcome, Trial, brightness, seen};
use engine::kind::{Law, Role};
use engine::quantity::{Amps, Ohms, Volts, Watts};
use engine::subject::Subject;

use crate::chance::Chance;

/// A vehicle with one fault.
pub struct Vehicle<'c> {
    drawn: &'c Circuit,
    actual: Circuit,
    moments: Vec<Situation>,
    /// What the drawing leads to.
    asked: Vec<Outcome>,
    /// What the vehicle does.
    does: Vec<Outcome>,
    open: Vec<usize>,
    moved: Vec<(engine::ids::TerminalRef, usize)>,
    /// Of a bad joint, its resistance.
    pub(super) ohm: Option<f64>,
}

impl<'c> Vehicle<'c> {
    /// A vehicle with this fault, or one that is as drawn.
    pub fn new(drawn: &'c Circuit, case: &Case, fault: Option<&Fault>, chance: &mut Chance) -> Vehicle<'c> {
        let actual = varied(drawn, chance);
        let ohm = fault
            .is_some_and(Fault::is_resistive)
            .then(|| chance.decades(BAD_JOINT_OHM.0.log10(), BAD_JOINT_OHM.1.log10()));
        let joint = Ohms::new(ohm.unwrap_or(0.0)).expect("a resistance");
        let mut changes = fault.map_or_else(Vec::new, |fault| fault.changes(&actual, joint));
        let positions: Vec<Vec<u8>> = case.moments.iter().map(|moment| moment.positions.clone()).collect();
        let asked = Trial::new(drawn).healthy(&positions);
        let mut open: Vec<usize> = match fault {
            Some(Fault { mode: Mode::Blown, .. }) => changes.iter().map(|change| change.branch()).collect(),
            _ => Vec::new(),
        };
        let moved = fault.map_or_else(Vec::new, |fault| exchanged(drawn, fault));
        let trial = Trial::new(&actual);
        // A fuse that opens once stays open.
        let does = loop {
            let does = trial.changed(&changes, &positions);
            let more: Vec<usize> = (does.iter().zip(&asked))
                .filter(|(_, asked)| asked.blown.is_empty())
                .flat_map(|(does, _)| does.blown.iter().map(|blown| blown.branch))
                .filter(|branch| !open.contains(branch))
                .collect();
            if more.is_empty() {
                break does;
            }
            for branch in more {
                if !open.contains(&branch) {
                    open.push(branch);
                    changes.push(Change::Law(branch, None));
                }
            }
        };
        let moments = case.moments.iter().map(|moment| moment.situation.clone()).collect();
        let actual = actual.changed(&changes);
        Vehicle { drawn, actual, moments, asked, does, open, moved, ohm }
    }

    /// What somebody would complain of: a load that is not as drawn, in a situation by chance, else a fuse that is open.
    pub(super) fn complaint(&self, chance: &mut Chance) -> Option<Complaint> {
        let network = &self.drawn.resolved.network;
        let mut all = Vec::new();
        for (moment, (asked, does)) in self.asked.iter().zip(&self.does).enumerate() {
            let (Some(asked), Some(does)) = (asked.rest(), does.rest()) else { continue };
            for (branch, load) in self.drawn.loads() {
                let should = seen(self.drawn, asked, branch, load);
                let found = seen(&self.actual, does, branch, load);
                // What is just below bright is nothing to complain of.
                let level = brightness(&self.actual, does, branch, load);
                let is_plain =
                    [BRIGHT_SHARE, GLOW_SHARE].iter().all(|at| (level - at).abs() > 2.0 * figure::EYE);
                if let (true, true, Subject::Part(part)) =
                    (should != found, is_plain, self.drawn.subject(branch))
                {
                    all.push(Complaint {
                        situation: self.moments[moment].clone(),
                        probe: Probe::Look(part, load.name.to_owned()),
                        should: Found::Seen(should),
                        found: Found::Seen(found),
                    });
                }
            }
        }
        // The one branch that is not in use of a load with several says nothing.
        all.retain(|complaint| self.look(&complaint.probe, complaint) == complaint.found);
        if !all.is_empty() {
            return Some(chance.one_of(&all));
        }
        let fuse = self.open.iter().find_map(|branch| match self.drawn.subject(*branch) {
            Subject::Part(part)
                if network
                    .part(&part)
                    .is_some_and(|part| part.kind.class == engine::kind::Class::Protection) =>
            {
                Some(part)
            }
            _ => None,
        })?;
        Some(Complaint {
            situation: Situation::at_rest(),
            probe: Probe::Fuse(fuse),
            should: Found::Whole(true),
            found: Found::Whole(false),
        })
    }

    fn look(&self, probe: &Probe, complaint: &Complaint) -> Found {
        let moment = self.moments.iter().position(|one| one.set == complaint.situation.set);
        moment.map_or(Found::CannotReach, |moment| Found::Seen(self.bright(probe, moment, 0.0)))
    }

    /// How bright a load is to an eye whose thresholds are off by so much.
    fn bright(&self, probe: &Probe, moment: usize, off: f64) -> Seen {
        let Probe::Look(part, name) = probe else { return Seen::Dark };
        let Some(rest) = self.does[moment].rest() else { return Seen::Dark };
        let own = self.drawn.loads().filter(|(branch, load)| {
            load.name == name && self.drawn.subject(*branch) == Subject::Part(part.clone())
        });
        let level =
            own.map(|(branch, load)| brightness(&self.actual, rest, branch, load)).fold(0.0, f64::max);
        match level {
            level if level >= BRIGHT_SHARE + off => Seen::Lit,
            level if level >= GLOW_SHARE + off => Seen::Dim,
            _ => Seen::Dark,
        }
    }

    /// What a user finds.
    pub fn read(&self, probe: &Probe, moment: usize, chance: &mut Chance) -> Found {
        let rest = self.does[moment].rest();
        let net = |terminal: &engine::ids::TerminalRef| {
            let moved = self.moved.iter().find(|(moved, _)| moved == terminal).map(|(_, net)| *net);
            moved.or_else(|| self.drawn.net_of(terminal)).unwrap_or(0)
        };
        match probe {
            Probe::Volts { at, against } => {
                let (from, to) = (net(at), against.as_ref().map_or(0, net));
                let volts = rest.and_then(|rest| rest.steady.between(from, to)).unwrap_or(0.0);
                Found::Number(
                    volts * (1.0 + figure::METER_SHARE * normal(chance)) + figure::METER_V * normal(chance),
                )
            }
            Probe::Amps(wire) => {
                let wire = self.drawn.wire_index(wire).expect("a wire of the job");
                let is_it = |branch: &usize| {
                    self.drawn.branches[*branch].origin == engine::circuit::Origin::Wire(wire)
                };
                let branch = (0..self.drawn.branches.len()).find(is_it);
                let amps = branch.zip(rest).map_or(0.0, |(branch, rest)| rest.steady.amps(branch).abs());
                let read =
                    amps * (1.0 + figure::CLAMP_SHARE * normal(chance)) + figure::CLAMP_A * normal(chance);
                Found::Number(read.abs())
            }
            Probe::Look(..) => Found::Seen(self.bright(probe, moment, figure::EYE * normal(chance))),
            Probe::Listen(part) => {
                let is_on = |outcome: &Outcome| {
                    let device = self.drawn.devices.iter().position(|device| {
                        device.relay && self.drawn.subject(device.branch) == Subject::Part(part.clone())
                    });
                    device.zip(outcome.rest()).is_some_and(|(device, rest)| rest.state.devices[device])
                };
                Found::Heard(is_on(&self.does[moment]) && !is_on(&self.does[0]))
            }
            Probe::Fuse(part) => {
                let is_it = |branch: &usize| self.drawn.subject(*branch) == Subject::Part(part.clone());
                Found::Whole(!self.open.iter().any(is_it))
            }
            Probe::Pin { .. } | Probe::TestLamp { .. } => Found::CannotReach,
        }
    }
}

/// The terminals of a part whose wires are exchanged, each with the net that is there instead.
fn exchanged(drawn: &Circuit, fault: &Fault) -> Vec<(engine::ids::TerminalRef, usize)> {
    let Subject::Part(id) = &fault.subject else { return Vec::new() };
    let names = match &fault.mode {
        Mode::Swapped(a, b) => vec![a.clone(), b.clone()],
        Mode::Reversed => {
            let part = drawn.resolved.network.part(id).map(|part| part.terminals()).unwrap_or_default();
            part.into_iter().map(|terminal| terminal.name).collect()
        }
        _ => return Vec::new(),
    };
    let at = |name: &engine::ids::TerminalName| {
        let terminal = engine::ids::TerminalRef { part: id.clone(), terminal: name.clone() };
        drawn.net_of(&terminal).map(|net| (terminal, net))
    };
    match names.iter().filter_map(at).collect::<Vec<_>>().as_slice() {
        [(a, net_a), (b, net_b)] => vec![(a.clone(), *net_b), (b.clone(), *net_a)],
        _ => Vec::new(),
    }
}

/// The circuit of a vehicle, whose parts differ by chance from what is printed.
fn varied(drawn: &Circuit, chance: &mut Chance) -> Circuit {
    let mut changes = Vec::new();
    for (branch, own) in drawn.branches.iter().enumerate() {
        let Some(law) = own.law else { continue };
        // Loads of one part that differ in how they are used are one thing.
        let factor = (1.0 + share(drawn, branch).min(0.6) * normal(chance)).clamp(0.3, 3.0);
        let law = match law {
            Law::Resistance(ohm) => Ohms::new(ohm.get() * factor).map(Law::Resistance),
            Law::Source { emf, internal, limit, one_way } => {
                let off = if one_way { figure::ALTERNATOR } else { figure::CHARGE };
                let emf =
                    Volts::new(emf.get() + off * drawn.resolved.nominal_v * normal(chance)).unwrap_or(emf);
                let internal = Ohms::new(internal.get() * factor).unwrap_or(internal);
                Some(Law::Source { emf, internal, limit, one_way })
            }
            Law::Filament { rated_v, rated_a, cold } => Some(Law::Filament {
                rated_v,
                rated_a: Amps::new(rated_a.get() * factor).unwrap_or(rated_a),
                cold: Ohms::new(cold.get() / factor).unwrap_or(cold),
            }),
            Law::Electronic { power, limit, off_below, on_above, leak, conducts_reversed } => {
                let power = Watts::new(power.get() * factor).unwrap_or(power);
                Some(Law::Electronic { power, limit, off_below, on_above, leak, conducts_reversed })
            }
            Law::Diode { .. } => Some(law),
        };
        if law.is_some() && !matches!(own.role, Role::Suppression) {
            changes.push(Change::Law(branch, law));
        }
    }
    drawn.changed(&changes)
}

/// A number of the normal distribution (Box and Muller 1958), not beyond two and a half.
fn normal(chance: &mut Chance) -> f64 {
    let (a, b) = (chance.unit().max(1e-12), chance.unit());
    ((-2.0 * a.ln()).sqrt() * (std::f64::consts::TAU * b).cos()).clamp(-2.5, 2.5)
}
