//! The proving sheet: a short list of readings that shows every wire, contact and fuse to be right.
//!
//! A reading shows a fault when what it should come to without any and what it comes to with that one lie further apart
//! than tolerances and the meter let them, or when something is seen or heard that is not there otherwise. The readings
//! are chosen greedily, by what each newly shows for every minute that it takes (Chvatal 1979: at most the harmonic number
//! of the most that one reading shows, times the least there is); what the others show by then is taken out again.

use std::collections::BTreeSet;

use super::belief::{Belief, Prediction, predict, shown};
use super::case::{Case, Target};
use super::probes::{Bench, Choice, Minutes, choices};
use super::{Cause, Told, Walk};
use crate::document::{Found, Probe, Seen};

/// How many standard deviations a reading may be off and still pass: nineteen of twenty good ones do.
const PASSES: f64 = 2.0;

/// How many standard deviations of the meter a fault must lie beyond that to count as shown.
const SHOWS: f64 = 2.0;

/// The loss from which on a bad joint is looked for: a volt in a path is printed as a sure fault, half of it leaves room for
/// a second joint; and the heat of a small lamp (both common practice, no source).
const JOINT_V: f64 = 0.5;
const JOINT_W: f64 = 5.0;

/// From which share on something seen or heard counts as certain, and up to which as out of the question.
const CERTAIN: f64 = 0.95;

/// Most readings weighed at all: beyond that a job is proved circuit by circuit.
const MOST_WEIGHED: usize = 60_000;

/// The proving sheet of a job.
#[derive(Clone, Debug, PartialEq)]
pub struct Proof {
    /// The readings, in the order in which they take least time.
    pub steps: Vec<Step>,
    /// The faults, by index among the causes of the case, that some reading of the sheet shows; of a bad joint, the least
    /// resistance that is shown, in ohms.
    pub shown: Vec<(usize, Option<f64>)>,
    /// The faults that no reading of any kind shows.
    pub unproved: Vec<Unproved>,
    /// No sheet has fewer readings than this: so many faults share no reading that shows two of them.
    pub at_least: usize,
    /// How long it takes, in minutes.
    pub minutes: f64,
}

/// One reading of the sheet.
#[derive(Clone, Debug, PartialEq)]
pub struct Step {
    /// The situation, by index in [`Case::moments`].
    pub moment: usize,
    /// What to look at.
    pub probe: Probe,
    /// What passes.
    pub expected: Told,
    /// The faults, by index in [`Case::causes`], that it shows.
    pub shows: Vec<usize>,
}

/// A fault that no reading shows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Unproved {
    /// Its index in [`Case::causes`].
    pub cause: usize,
    /// Whether it changes nothing that flows in any situation, so that only eyes could find it.
    pub is_out_of_sight: bool,
}

/// A reading that may stand on the sheet, and the variants that it shows.
struct Candidate {
    choice: usize,
    moment: usize,
    expected: Told,
    shows: Set,
}

/// The proving sheet of a job; `minutes` is how long it takes to get to parts and places.
pub fn prove(case: &Case, minutes: &Minutes) -> Proof {
    let choices = choices(case, minutes);
    let candidates = candidates(case, &choices);
    let mut all = Set::none(case.variants.len());
    candidates.iter().for_each(|one| all.add_all(&one.shows));
    let walk = Walk { case, complaints: &[], readings: &[], minutes };
    let mut chosen = cover(&walk, &choices, &candidates, &all);
    thin(&candidates, &mut chosen, &all);
    let (order, taken) = ordered(&walk, &choices, &candidates, chosen);
    let steps = order.iter().map(|index| step(case, &choices, &candidates[*index])).collect();
    Proof {
        steps,
        shown: shown_causes(case, &all),
        unproved: unproved(case, &all),
        at_least: apart(&candidates, &all),
        minutes: taken,
    }
}

/// Every reading that shows anything. What is the same in every situation is taken at rest.
fn candidates(case: &Case, choices: &[Choice]) -> Vec<Candidate> {
    let matters: Vec<bool> = (0..case.variants.len()).map(|variant| matters(case, variant)).collect();
    let mut found = Vec::new();
    for moment in 0..case.moments.len() {
        for (index, choice) in choices.iter().enumerate() {
            if found.len() == MOST_WEIGHED || choice.is_of_all && moment > 0 {
                continue;
            }
            let Some(expected) = Expected::of(case, moment, &choice.target) else { continue };
            let is_shown = |variant: &usize| {
                (choice.is_of_all || !case.reads_the_same(0, *variant, moment))
                    && expected.differs(&shown(case, *variant, moment, &choice.target))
            };
            let mut shows = Set::none(case.variants.len());
            (1..case.variants.len())
                .filter(|variant| matters[*variant])
                .filter(is_shown)
                .for_each(|variant| shows.add(variant));
            if shows.n() > 0 {
                found.push(Candidate { choice: index, moment, expected: expected.told(), shows });
            }
        }
    }
    found
}

/// Whether a variant is worth a reading: a bad joint from where on it takes enough to be felt somewhere, anything else always.
fn matters(case: &Case, variant: usize) -> bool {
    let own = &case.variants[variant];
    let joint = case.causes[own.cause].fault().and_then(crate::fault::Fault::joint);
    let (Some(joint), Some(ohm)) = (joint, own.ohm) else { return true };
    (0..case.moments.len()).any(|moment| {
        let rest = case.row(variant, moment).rest.as_ref();
        let amps = rest.map_or(0.0, |rest| rest.steady.amps(joint).abs());
        amps * ohm >= JOINT_V || amps * amps * ohm >= JOINT_W
    })
}

/// What passes for right.
enum Expected {
    /// A number, and how far it may be off, and how far beyond that the meter is not sure.
    Number { mean: f64, passes: f64, margin: f64 },
    /// One of what may be seen or heard, by its place.
    Plain { place: usize, found: Found },
}

impl Expected {
    /// What the job as drawn shows; `None` where that is not certain.
    fn of(case: &Case, moment: usize, target: &Target) -> Option<Expected> {
        match predict(case, 0, moment, target) {
            Prediction::Unknown => None,
            Prediction::Number(mean, variance, by) => {
                let Prediction::Number(_, meter, _) = shown(case, 0, moment, target) else { return None };
                let (mean, variance) = Belief::new(case, 0).expected(mean, variance, &by);
                let passes = PASSES * libm::sqrt(variance);
                Some(Expected::Number { mean, passes, margin: SHOWS * libm::sqrt(meter) })
            }
            Prediction::Odds(odds) => {
                let place = odds.iter().position(|share| *share >= CERTAIN)?;
                let found = match (target, place) {
                    (Target::Look(_), place) => Found::Seen([Seen::Lit, Seen::Dim, Seen::Dark][place]),
                    (Target::Fuse(_), place) => Found::Whole(place == 0),
                    (_, place) => Found::Heard(place == 0),
                };
                Some(Expected::Plain { place, found })
            }
        }
    }

    /// Whether something else would not pass.
    fn differs(&self, other: &Prediction) -> bool {
        match (self, other) {
            (Expected::Number { mean, passes, margin }, Prediction::Number(shown, ..)) => {
                (shown - mean).abs() > passes + margin
            }
            (Expected::Plain { place, .. }, Prediction::Odds(odds)) => odds[*place] <= 1.0 - CERTAIN,
            _ => false,
        }
    }

    fn told(&self) -> Told {
        match *self {
            Expected::Number { mean, passes, .. } => Told::Number(mean, passes),
            Expected::Plain { found, .. } => Told::Plain(found),
        }
    }
}

/// Readings that together show all that any shows, each chosen for what it newly shows a minute.
fn cover(walk: &Walk<'_>, choices: &[Choice], candidates: &[Candidate], all: &Set) -> Vec<usize> {
    let mut left = all.clone();
    let mut bench = Bench::new(walk);
    let mut chosen = Vec::new();
    while left.n() > 0 {
        let worth = |one: &Candidate| {
            let newly = one.shows.n_shared(&left) as f64;
            newly / bench.minutes(walk.case, walk.minutes, &choices[one.choice], one.moment)
        };
        let best =
            (0..candidates.len()).max_by(|a, b| worth(&candidates[*a]).total_cmp(&worth(&candidates[*b])));
        let Some(best) = best else { break };
        let one = &candidates[best];
        left.remove_all(&one.shows);
        bench.take(&choices[one.choice], one.moment);
        chosen.push(best);
    }
    chosen
}

/// Leaves out readings that show nothing that the others do not, the one that shows least first.
fn thin(candidates: &[Candidate], chosen: &mut Vec<usize>, all: &Set) {
    let mut by_size: Vec<usize> = chosen.clone();
    crate::arrange::sort_by_key(&mut by_size, |index| candidates[*index].shows.n());
    for index in by_size {
        let mut left = all.clone();
        let rest = chosen.iter().filter(|other| **other != index);
        rest.for_each(|other| left.remove_all(&candidates[*other].shows));
        if left.n() == 0 {
            chosen.retain(|other| *other != index);
        }
    }
}

/// The readings in an order that takes little time, each next one the quickest from there, and the minutes of all.
fn ordered(
    walk: &Walk<'_>,
    choices: &[Choice],
    candidates: &[Candidate],
    mut chosen: Vec<usize>,
) -> (Vec<usize>, f64) {
    let mut bench = Bench::new(walk);
    let (mut order, mut minutes) = (Vec::new(), 0.0);
    while !chosen.is_empty() {
        let takes = |index: usize| {
            let one = &candidates[index];
            bench.minutes(walk.case, walk.minutes, &choices[one.choice], one.moment)
        };
        let mut next = 0;
        for place in 1..chosen.len() {
            if takes(chosen[place]) < takes(chosen[next]) {
                next = place;
            }
        }
        minutes += takes(chosen[next]);
        let index = chosen.remove(next);
        bench.take(&choices[candidates[index].choice], candidates[index].moment);
        order.push(index);
    }
    (order, minutes)
}

fn step(case: &Case, choices: &[Choice], one: &Candidate) -> Step {
    let causes: BTreeSet<usize> = one.shows.iter().map(|variant| case.variants[variant].cause).collect();
    Step {
        moment: one.moment,
        probe: choices[one.choice].probe.clone(),
        expected: one.expected,
        shows: causes.into_iter().collect(),
    }
}

/// The causes that are shown, and from which resistance on.
fn shown_causes(case: &Case, all: &Set) -> Vec<(usize, Option<f64>)> {
    let mut found: Vec<(usize, Option<f64>)> = Vec::new();
    for variant in all.iter().map(|index| &case.variants[index]) {
        match found.last_mut().filter(|(cause, _)| *cause == variant.cause) {
            Some((_, least)) => *least = least.zip(variant.ohm).map(|(least, ohm)| least.min(ohm)),
            None => found.push((variant.cause, variant.ohm)),
        }
    }
    found
}

fn unproved(case: &Case, all: &Set) -> Vec<Unproved> {
    let shown: BTreeSet<usize> = all.iter().map(|variant| case.variants[variant].cause).collect();
    let is_fault = |cause: &usize| matches!(case.causes[*cause], Cause::Fault(_));
    let unproved = |cause: usize| {
        let own = case.variants.iter().enumerate().filter(|(_, variant)| variant.cause == cause);
        let mut own = own.map(|(index, _)| index);
        let is_still =
            |variant: usize| (0..case.moments.len()).all(|moment| case.reads_the_same(0, variant, moment));
        Unproved { cause, is_out_of_sight: own.all(is_still) }
    };
    (0..case.causes.len()).filter(is_fault).filter(|cause| !shown.contains(cause)).map(unproved).collect()
}

/// How many faults were found of which no reading shows two: each needs a reading of its own.
fn apart(candidates: &[Candidate], all: &Set) -> usize {
    let shows =
        |variant: usize| (0..candidates.len()).filter(move |index| candidates[*index].shows.has(variant));
    let mut rarest: Vec<(usize, usize)> =
        all.iter().map(|variant| (shows(variant).count(), variant)).collect();
    crate::arrange::sort(&mut rarest);
    let mut reserved = Set::none(candidates.len());
    let mut n = 0;
    for (_, variant) in rarest {
        if shows(variant).all(|index| !reserved.has(index)) {
            shows(variant).for_each(|index| reserved.add(index));
            n += 1;
        }
    }
    n
}

/// Some of a fixed number of things, one bit each.
#[derive(Clone)]
struct Set(Vec<u64>);

impl Set {
    /// None of `n` things.
    fn none(n: usize) -> Set {
        Set(vec![0; n.div_ceil(64)])
    }

    fn add(&mut self, index: usize) {
        self.0[index / 64] |= 1 << (index % 64);
    }

    fn has(&self, index: usize) -> bool {
        self.0[index / 64] & (1 << (index % 64)) != 0
    }

    fn n(&self) -> usize {
        self.0.iter().map(|bits| bits.count_ones() as usize).sum()
    }

    fn n_shared(&self, other: &Set) -> usize {
        self.0.iter().zip(&other.0).map(|(a, b)| (a & b).count_ones() as usize).sum()
    }

    fn add_all(&mut self, other: &Set) {
        self.0.iter_mut().zip(&other.0).for_each(|(own, bits)| *own |= bits);
    }

    fn remove_all(&mut self, other: &Set) {
        self.0.iter_mut().zip(&other.0).for_each(|(own, bits)| *own &= !bits);
    }

    fn iter(&self) -> impl Iterator<Item = usize> + '_ {
        (0..64 * self.0.len()).filter(|index| self.has(*index))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::circuit::{CHASSIS, Circuit, Origin, build};
    use crate::document::Settings;
    use crate::fault::{Mode, seen};
    use crate::notation;
    use crate::quantity::Ohms;
    use crate::solve::{Rest, Solver};

    /// Two lamps on a relay, worked by a switch, and a third one on a switch of its own.
    const LAMPS: &str = "
        battery G1
        earth X1
        fuse F1 rating_a=15 family=blade-C
        fuse F2 rating_a=5 family=blade-C
        splice X2 ways=3
        switch S1
        switch S2
        relay K1 contact=make suppression=resistor
        lamp E1 watts=55
        lamp E2 watts=55
        lamp E3 watts=5
        wire w1 G1.+ F1.1 mm2=2.5 m=0.3
        wire w2 F1.2 K1.30 mm2=2.5 m=1
        wire w3 K1.87 X2.1 mm2=2.5 m=1
        wire w4 X2.2 E1.1 mm2=1.5 m=1
        wire w5 X2.3 E2.1 mm2=1.5 m=1
        wire w6 E1.2 X1.1 mm2=1.5 m=0.5
        wire w7 E2.2 X1.1 mm2=1.5 m=0.5
        wire w8 G1.+ F2.1 mm2=1 m=0.3
        wire w9 F2.2 S1.in mm2=1 m=2
        wire w10 S1.out K1.86 mm2=1 m=2
        wire w11 K1.85 X1.1 mm2=1 m=0.5
        wire w12 F2.2 S2.in mm2=1 m=2
        wire w13 S2.out E3.1 mm2=1 m=2
        wire w14 E3.2 X1.1 mm2=1 m=0.5";

    fn lamps() -> Circuit {
        build(&notation::network(LAMPS).unwrap(), &Settings::default())
    }

    /// Whether a circuit that was solved by itself passes a reading. Exchanged wires are left out: there a lead at a
    /// terminal touches another net.
    fn passes(
        circuit: &Circuit,
        rest: Option<&Rest>,
        at_rest: Option<&Rest>,
        blown: &[usize],
        step: &Step,
    ) -> bool {
        let Some(rest) = rest else { return false };
        let net = |terminal: &crate::ids::TerminalRef| circuit.net_of(terminal).unwrap();
        let of_part = |id: &crate::ids::PartId| {
            let index = circuit.resolved.network.parts.iter().position(|part| part.id == *id).unwrap();
            circuit.branches_of_part(index).map(|(branch, _)| branch).collect::<Vec<_>>()
        };
        let number = |value: f64| match step.expected {
            Told::Number(mean, off) => (value - mean).abs() <= off,
            Told::Plain(_) => false,
        };
        match &step.probe {
            Probe::Volts { at, against } => {
                let other = against.as_ref().map_or(CHASSIS, net);
                number(rest.steady.between(net(at), other).unwrap_or(0.0))
            }
            Probe::Amps(wire) => {
                let index = circuit.wire_index(wire).unwrap();
                let is_it = |branch: &usize| circuit.branches[*branch].origin == Origin::Wire(index);
                number(rest.steady.amps((0..circuit.branches.len()).find(is_it).unwrap()).abs())
            }
            Probe::Look(part, _) => {
                let own = of_part(part);
                let (branch, load) = circuit.loads().find(|(branch, _)| own.contains(branch)).unwrap();
                step.expected == Told::Plain(Found::Seen(seen(circuit, rest, branch, load)))
            }
            Probe::Listen(part) => {
                let own = of_part(part);
                let device = circuit.devices.iter().position(|device| own.contains(&device.branch)).unwrap();
                let was_on = at_rest.is_some_and(|rest| rest.state.devices[device]);
                step.expected == Told::Plain(Found::Heard(rest.state.devices[device] && !was_on))
            }
            Probe::Fuse(part) => {
                let is_open = of_part(part).iter().any(|branch| blown.contains(branch));
                step.expected == Told::Plain(Found::Whole(!is_open))
            }
            Probe::Pin { .. } | Probe::TestLamp { .. } => true,
        }
    }

    /// Whether what these changes make of the circuit, each situation solved from nothing, passes the whole sheet.
    fn passes_all(case: &Case, proof: &Proof, changes: &[crate::circuit::Change]) -> bool {
        let mut open: Vec<usize> = Vec::new();
        loop {
            let cut = open.iter().map(|branch| crate::circuit::Change::Law(*branch, None));
            let changed = case.circuit.changed(&changes.iter().copied().chain(cut).collect::<Vec<_>>());
            let solver = Solver::new(&changed);
            let rests: Vec<Option<Rest>> =
                case.moments.iter().map(|one| solver.enter(one.positions.clone()).shown().cloned()).collect();
            let blows = |branch: &usize| {
                let Some(rated) = changed.rating(*branch) else { return false };
                let opens = crate::kind::OPENS_ABOVE * rated.high.get();
                !open.contains(branch)
                    && rests.iter().flatten().any(|rest| rest.steady.amps(*branch).abs() >= opens)
            };
            let more: Vec<usize> = (0..case.circuit.branches.len()).filter(blows).collect();
            if more.is_empty() {
                let drawn_open = |branch: &usize| {
                    case.circuit.branches[*branch].law.is_some() && changed.branches[*branch].law.is_none()
                };
                let blown: Vec<usize> = (0..case.circuit.branches.len()).filter(drawn_open).collect();
                return proof.steps.iter().all(|step| {
                    passes(&changed, rests[step.moment].as_ref(), rests[0].as_ref(), &blown, step)
                });
            }
            open.extend(more);
        }
    }

    #[test]
    fn the_sheet_lets_the_sound_job_pass_and_no_fault_that_it_says_it_shows() {
        let circuit = lamps();
        let case = Case::new(&circuit, &[]);
        let proof = prove(&case, &Minutes::new());
        assert!(passes_all(&case, &proof, &[]));
        assert!(proof.shown.len() > 40, "{}", proof.shown.len());
        for (cause, least) in &proof.shown {
            let fault = case.causes[*cause].fault().unwrap();
            if matches!(fault.mode, Mode::Swapped(..) | Mode::Reversed) {
                continue;
            }
            let ohm = Ohms::new(least.unwrap_or(1.0)).unwrap();
            let changes = fault.changes(&circuit, ohm);
            assert!(!passes_all(&case, &proof, &changes), "{}", fault.in_words(&circuit.resolved.network));
        }
    }

    #[test]
    fn what_cannot_be_shown_is_told() {
        let circuit = lamps();
        let case = Case::new(&circuit, &[]);
        let proof = prove(&case, &Minutes::new());
        let told = |one: &Unproved| {
            let fault = case.causes[one.cause].fault().unwrap();
            (fault.subject.id(), fault.mode.clone())
        };
        let unproved: Vec<_> = proof.unproved.iter().map(told).collect();
        // A return wire that touches the body does what it does anyway.
        assert!(unproved.contains(&("w6".to_owned(), Mode::TouchesBody)), "{unproved:?}");
        assert!(!unproved.iter().any(|(_, mode)| *mode == Mode::Open), "{unproved:?}");
    }

    #[test]
    fn no_sheet_could_be_much_shorter() {
        let circuit = lamps();
        let case = Case::new(&circuit, &[]);
        let proof = prove(&case, &Minutes::new());
        assert!(proof.at_least <= proof.steps.len(), "{} of {}", proof.at_least, proof.steps.len());
        assert!(proof.at_least >= 3, "{} of {}", proof.at_least, proof.steps.len());
    }
}
