//! Relays whose coil gets too little, hot or with a weak battery.

use std::collections::BTreeMap;

use crate::check::{Context, Surveyed};
use crate::circuit::series::{Chain, chains};
use crate::circuit::{Device, Origin, State};
use crate::conductor::COPPER_PER_K;
use crate::document::{Part, Status, Surroundings};
use crate::finding::{Basis, Finding, Harm, Help, Severity};
use crate::kind::Law;
use crate::quantity::{Celsius, Unit, Volts};
use crate::solve::{Rest, Solver, Steady};
use crate::working::Working;

declare_check! {
    /// Finds relays that would not pull in when they are hot, or when the battery is weak.
    ///
    /// # What it checks
    ///
    /// The voltage at the coil's own terminals in the situation that works it, twice: with 13.0 V (26.0 V) at the battery
    /// and the coil 20 K warmer than its surroundings, which raises the voltage it needs by 0.39 % a kelvin; and with
    /// 10.5 V (21.0 V) at the battery at 20 degC. A coil that gets current but never enough is found too.
    ///
    /// # Why it matters
    ///
    /// The relay works in the workshop and fails on the road in summer, or on a cold morning.
    ///
    /// # Example
    ///
    /// A relay in the engine bay at the end of 8 m of thin wire.
    ///
    /// # What to do
    ///
    /// Shorten the coil's way or use a larger wire, move the relay to a cooler place, or use one made for this voltage.
    name: "coil-will-not-pull-in",
    summary: "a relay gets too little voltage to pull in when hot or with a weak battery",
    harm: Harm::Failure,
    explained_by: &["volt-drop"],
    run: run,
}

const SOURCE: &str = "13.0 V hot and 10.5 V at 20 degC: common practice, no source; copper warms by 0.393 % a kelvin: IEC 60028";

/// How much warmer than its surroundings a coil is, in kelvin (common practice, no source).
const WARMER_K: f64 = 20.0;

/// Volts at the posts of a 12 V battery: with the engine running and everything hot, and of a weak battery.
const HOT_V: f64 = 13.0;
const WEAK_V: f64 = 10.5;

/// The share of the pull-in voltage above which a coil that never moves was meant to move.
const MEANT: f64 = 0.3;

struct Test {
    supply_v: f64,
    coil_c: f64,
}

fn run(context: &Context<'_>, findings: &mut Vec<Finding>) {
    let circuit = context.circuit;
    let mut supplies = Supplies { context, at: BTreeMap::new(), known: BTreeMap::new() };
    for (index, device) in circuit.devices.iter().enumerate() {
        let Origin::Part(part, _) = circuit.branches[device.branch].origin else { continue };
        let part = &circuit.resolved.network.parts[part];
        if !device.relay || part.status != Status::New {
            continue;
        }
        let Some((surveyed, rest)) = weakest(context, index, device) else { continue };
        if let Some(finding) = judged(&mut supplies, part, (index, device), surveyed, rest) {
            findings.push(finding);
        }
    }
}

/// Volts across the coil.
fn across(context: &Context<'_>, device: &Device, steady: &Steady) -> f64 {
    let branch = &context.circuit.branches[device.branch];
    steady.between(branch.from, branch.to).unwrap_or(0.0).abs()
}

/// The situation in which a relay is on with the least voltage across its coil; where it never is, the one with the
/// most voltage, if that was meant to move it.
fn weakest<'a>(context: &'a Context<'_>, index: usize, device: &Device) -> Option<(&'a Surveyed, &'a Rest)> {
    let rests = || context.survey.rests();
    let volts = |one: &(&Surveyed, &Rest)| across(context, device, &one.1.steady);
    let on = rests().filter(|(_, rest)| rest.state.devices[index]);
    on.min_by(|a, b| volts(a).total_cmp(&volts(b))).or_else(|| {
        let most = rests().max_by(|a, b| volts(a).total_cmp(&volts(b)))?;
        (volts(&most) > MEANT * device.on_at).then_some(most)
    })
}

/// The circuit at other supplies. Most relays get least in the same situation, so the same few are asked for.
struct Supplies<'a, 'c> {
    context: &'a Context<'c>,
    /// By what is added to every chain of sources, the bits of its volts.
    at: BTreeMap<(u64, Vec<Chain>), Solver<'c>>,
    /// What situations came to, by the same and the positions.
    known: BTreeMap<(u64, Vec<Chain>, Vec<u8>), Option<Rest>>,
}

impl<'c> Supplies<'_, 'c> {
    /// The circuit with so many volts more from every chain of sources.
    fn solver(&mut self, more: f64, chains: &[Chain]) -> &Solver<'c> {
        self.at.entry((more.to_bits(), chains.to_vec())).or_insert_with(|| {
            let shared = |source: usize, law: Law| with_share(chains, more, source, law);
            self.context.survey.solver().with_changed(shared)
        })
    }

    /// Volts across a coil with so many volts more from every chain of sources while everything stays as it is.
    fn held_v(&mut self, more: f64, chains: &[Chain], device: &Device, state: &State) -> Option<f64> {
        let steady = self.solver(more, chains).held(state)?;
        Some(across(self.context, device, &steady))
    }

    /// What a situation comes to with so many volts more from every chain of sources.
    fn rest(&mut self, more: f64, chains: &[Chain], positions: &[u8]) -> Option<Rest> {
        let key = (more.to_bits(), chains.to_vec(), positions.to_vec());
        if let Some(known) = self.known.get(&key) {
            return known.clone();
        }
        let rest = self.solver(more, chains).enter(positions.to_vec()).rests.into_iter().next();
        self.known.insert(key, rest.clone());
        rest
    }
}

/// A source with its share of what its chain gives more: batteries in series share alike.
fn with_share(chains: &[Chain], more: f64, source: usize, law: Law) -> Option<Law> {
    let Law::Source { emf, internal, limit, one_way } = law else { return None };
    let chain = chains.iter().find(|chain| chain.sources.contains(&source))?;
    let emf = Volts::new((emf.get() + more / chain.sources.len() as f64).max(0.0))?;
    Some(Law::Source { emf, internal, limit, one_way })
}

fn judged(
    supplies: &mut Supplies<'_, '_>,
    part: &Part,
    (index, device): (usize, &Device),
    surveyed: &Surveyed,
    rest: &Rest,
) -> Option<Finding> {
    let context = supplies.context;
    let circuit = context.circuit;
    let settings = &circuit.resolved.settings;
    let scale = circuit.resolved.nominal_v / 12.0;
    let place = circuit.resolved.surroundings_of(part).unwrap_or(Surroundings::Cabin).ambient_c(settings);
    let tests = [
        Test { supply_v: HOT_V * scale, coil_c: place + WARMER_K },
        Test { supply_v: WEAK_V * scale, coil_c: 20.0 },
    ];
    let chains = chains(circuit, &rest.state);
    let posts = posts_v(context, &chains, rest)?;
    let subject = circuit.subject(device.branch);
    let title = subject.title(&circuit.resolved.network);
    tests.iter().find_map(|test| {
        let needs = device.on_at * (1.0 + COPPER_PER_K * (test.coil_c - 20.0));
        let more = test.supply_v - posts;
        // Mostly there is enough with everything on as it is, and nobody has to see how it comes to be on.
        let is_on = rest.state.devices[index];
        if is_on && supplies.held_v(more, &chains, device, &rest.state).is_some_and(|volts| volts >= needs) {
            return None;
        }
        let now = supplies.rest(more, &chains, &surveyed.positions)?;
        let gets = across(context, device, &now.steady);
        if gets >= needs {
            return None;
        }
        let volts = |volts: f64| Volts::new(volts).map_or_else(String::new, |volts| volts.to_string());
        let is_said = part.values.said("pull_in_v").is_some();
        let assumed = if is_said { "" } else { ", if the pull-in voltage assumed of it holds" };
        let message = format!(
            "{title} gets {} at its coil {} with {} at the battery, and needs {} at {}{assumed}",
            volts(gets),
            surveyed.when,
            volts(test.supply_v),
            volts(needs),
            Celsius::new(test.coil_c)?
        );
        let needed = Working::of(
            format!("voltage at which {title} pulls in"),
            "U_needed = U_pull * (1 + a * (T - 20))",
            needs,
            Unit::Volt,
            SOURCE,
        )?
        .with("U_pull", "pull-in voltage at 20 degC", device.on_at, Unit::Volt, Basis::said(is_said))
        .with("a", "temperature coefficient of copper per kelvin", COPPER_PER_K, Unit::One, Basis::Tabled)
        .with("T", "temperature of the coil", test.coil_c, Unit::Celsius, Basis::Calculated);
        let branch = &circuit.branches[device.branch];
        let ends = [branch.from, branch.to].map(|net| now.steady.volts(net));
        let got = match ends {
            [Some(from), Some(to)] => Working::of(
                format!("voltage at the coil of {title}"),
                "U = abs(U_86 - U_85)",
                gets,
                Unit::Volt,
                "Kirchhoff's voltage law",
            )
            .map(|working| {
                working
                    .with("U_86", "voltage of 86 against the vehicle body", from, Unit::Volt, Basis::Calculated)
                    .with("U_85", "voltage of 85 against the vehicle body", to, Unit::Volt, Basis::Calculated)
            }),
            _ => None,
        };
        Some(Finding {
            measured: Volts::new(gets).map(Into::into),
            allowed: Volts::new(needs).map(Into::into),
            help: vec![Help::words(
                "shorten the coil's way or use a larger wire, move the relay to a cooler place, or use one made for this voltage",
            )],
            working: got.into_iter().chain([needed]).collect(),
            ..Finding::of(CHECK.name, Severity::Stop, subject.clone(), message, SOURCE)
        })
    })
}

/// Volts between the posts of the first battery, with those it is in series with.
fn posts_v(context: &Context<'_>, chains: &[Chain], rest: &Rest) -> Option<f64> {
    context.batteries().find_map(|battery| {
        let chain = chains.iter().find(|chain| chain.sources.contains(&battery))?;
        let (positive, negative) = chain.posts(context.circuit);
        rest.steady.between(positive, negative)
    })
}
