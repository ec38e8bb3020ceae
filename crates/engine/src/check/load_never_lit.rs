//! Loads that no situation makes work.

use crate::check::Context;
use crate::check::context::{Way, passes};
use crate::check::survey::{MOST_COMBINATIONS, first_branch_of};
use crate::circuit::reach::walk;
use crate::circuit::{CHASSIS, Gate, NetIndex};
use crate::document::Status;
use crate::finding::{Basis, Finding, Harm, Help, Label, Severity};
use crate::kind::{Law, Role};
use crate::solve::Verdict;
use crate::subject::Subject;

declare_check! {
    /// Finds loads that work in no combination of switch positions and donor signals.
    ///
    /// # What it checks
    ///
    /// Each combination of the switches and signals that have a say in the load is entered from rest, the ones with the
    /// fewest on first, until it has been seen working; after 4096 combinations it is reported as not checked.
    /// Switches that share nothing with the load but the supply are left alone: they could only dim it.
    /// A filament lamp, motor or heater counts as working from a tenth of its rated power up (common practice, no
    /// source), an electronic lamp while its driver is on.
    ///
    /// # Why it matters
    ///
    /// The installation does not do what it was built for.
    ///
    /// # Example
    ///
    /// Both ends of a relay coil on the positive side: it never pulls in.
    ///
    /// # What to do
    ///
    /// The reasons name what is missing: a feed, a return, polarity, or the relay that does not pull in.
    name: "load-never-lit",
    summary: "a load that no situation makes work",
    harm: Harm::Failure,
    explained_by: &["coil-will-not-pull-in", "destroyed-when-reversed", "wrong-voltage", "unconnected-terminal", "missing-earth-return", "supply-shorted", "volt-drop", "switched-earth-donor", "suppression-reversed", "tap-without-signal"],
    run: run,
}

fn run(context: &Context<'_>, findings: &mut Vec<Finding>) {
    let circuit = context.circuit;
    let lit = context.survey.lit();
    let mut dark: Vec<(usize, Option<Reason>)> = Vec::new();
    for (branch, load) in circuit.loads() {
        // A telltale, or one source of a twin lamp, may be left without a feed of its own on purpose.
        let is_extra = !load.name.is_empty() && !is_wired(context, branch);
        if !lit.branches.contains(&branch)
            && context.is_judged(branch)
            && !is_existing(context, branch)
            && !is_extra
            && is_as_used(context, branch)
        {
            dark.push((branch, reason(context, branch)));
        }
    }
    // One reason is one finding, whatever hangs on it.
    while let Some((first, why)) = dark.first().cloned() {
        let (same, others): (Vec<_>, Vec<_>) = dark
            .into_iter()
            .partition(|(branch, other)| *branch == first || (why.is_some() && *other == why));
        dark = others;
        let loads: Vec<usize> = same.into_iter().map(|(branch, _)| branch).collect();
        let complete = !loads.iter().any(|load| lit.unfinished.contains(load));
        findings.push(finding(context, &loads, why, complete));
    }
}

fn is_existing(context: &Context<'_>, branch: usize) -> bool {
    context.part_of(branch).is_some_and(|(_, part)| part.status == Status::Existing)
}

/// Whether a load branch shows its part as it is used: a motor turning, a socket with something plugged in. A stalled
/// motor is no load that somebody wants to see working.
fn is_as_used(context: &Context<'_>, branch: usize) -> bool {
    let circuit = context.circuit;
    match circuit.branches[branch].gate {
        Gate::In(part, _) => {
            circuit.inputs.iter().any(|input| input.part == part) || first_branch_of(circuit, part) == branch
        }
        Gate::Always | Gate::Device(..) => true,
    }
}

fn is_wired(context: &Context<'_>, branch: usize) -> bool {
    context.circuit.at[context.circuit.branches[branch].from]
        .iter()
        .any(|index| context.wire_of(*index).is_some())
}

/// Why a load stays dark, when that can be told from the structure.
#[derive(Clone, Debug, PartialEq)]
enum Reason {
    /// There is no source in the job.
    NoSource,
    /// Neither side reaches a supply even with every contact closed; by the piece of the job that lacks it.
    NoFeed(NetIndex),
    /// It is connected the wrong way round.
    Reversed(usize),
    /// A diode on its way blocks.
    DiodeBlocks(usize),
    /// The contacts it needs belong to a relay that never pulls in, by device.
    RelayIdle(usize),
    /// A relay on its way never comes to rest, by device.
    Restless(usize, Verdict),
}

fn reason(context: &Context<'_>, branch: usize) -> Option<Reason> {
    let circuit = context.circuit;
    let ends = &circuit.branches[branch];
    if circuit.sources().next().is_none() {
        return Some(Reason::NoSource);
    }
    let (a, b) = (ends.from, ends.to);
    let good = |plus: NetIndex, minus: NetIndex| context.supplied[plus] && context.returned[minus];
    let polar = matches!(ends.law, Some(Law::Electronic { .. }));
    if !context.supplied[a] && !context.supplied[b] {
        return Some(
            blocking_diode(context, branch)
                .map_or_else(|| Reason::NoFeed(dead_piece(context, branch)), Reason::DiodeBlocks),
        );
    }
    if polar && !good(a, b) && good(b, a) {
        return Some(Reason::Reversed(branch));
    }
    let restless = context.survey.situations.iter().find_map(|surveyed| {
        let device = surveyed.solution.restless.first()?;
        matches!(surveyed.solution.verdict, Verdict::Chatter).then_some((*device, surveyed.solution.verdict))
    });
    if let Some((device, verdict)) = restless {
        return Some(Reason::Restless(device, verdict));
    }
    idle_relay(context, branch).map(Reason::RelayIdle)
}

/// The piece without a supply that a load hangs on, by the first of its nets: what one feed would bring to life.
fn dead_piece(context: &Context<'_>, load: usize) -> NetIndex {
    let circuit = context.circuit;
    let ends = [circuit.branches[load].from, circuit.branches[load].to];
    let dead = |net: NetIndex| !context.returned[net];
    // Where a feed was put on the other pole, both sides lead back, and only the body and the poles part the pieces.
    let is_pole = |net: NetIndex| {
        circuit
            .sources()
            .any(|source| [circuit.branches[source].from, circuit.branches[source].to].contains(&net))
    };
    let some_dead = ends.into_iter().any(dead);
    let is_in_it = |net: NetIndex| net != CHASSIS && if some_dead { dead(net) } else { !is_pole(net) };
    let start: Vec<NetIndex> = ends.into_iter().filter(|net| is_in_it(*net)).collect();
    let met = walk(circuit, &start, |index, near| {
        let is_path = matches!(circuit.branches[index].role, Role::Path | Role::Protection(_));
        is_path && circuit.branches[index].law.is_some() && is_in_it(near)
    });
    met.into_iter().map(|(net, _)| net).filter(|net| is_in_it(*net)).min().unwrap_or(ends[0])
}

/// A diode without which the load would be fed.
fn blocking_diode(context: &Context<'_>, branch: usize) -> Option<usize> {
    let circuit = context.circuit;
    let load = &circuit.branches[branch];
    let met = walk(circuit, &[load.from, load.to], |index, near| {
        let is_path = matches!(circuit.branches[index].role, Role::Path | Role::Protection(_));
        is_path && near != CHASSIS
    });
    met.into_iter().filter_map(|(_, by)| by).find(|by| {
        let diode = &circuit.branches[*by];
        matches!(diode.law, Some(Law::Diode { .. }))
            && (context.supplied[diode.from] != context.supplied[diode.to])
    })
}

/// The first relay on the way from what is live to the load that no surveyed situation energizes.
fn idle_relay(context: &Context<'_>, branch: usize) -> Option<usize> {
    let circuit = context.circuit;
    let load = &circuit.branches[branch];
    let pulls_in = |device: usize| {
        context.survey.situations.iter().any(|surveyed| {
            surveyed.solution.reached.iter().any(|reached| reached.rest.state.devices[device])
        })
    };
    let start = if context.supplied[load.from] { load.from } else { load.to };
    let met = walk(circuit, &[start], |index, near| {
        !context.live[near] && passes(circuit, index, near, Way::FromEarth)
    });
    met.into_iter().filter_map(|(_, by)| by).find_map(|by| match circuit.branches[by].gate {
        Gate::Device(device, true) if !pulls_in(device) => Some(device),
        _ => None,
    })
}

fn finding(context: &Context<'_>, loads: &[usize], why: Option<Reason>, complete: bool) -> Finding {
    let circuit = context.circuit;
    let network = &circuit.resolved.network;
    let mut touches: Vec<Subject> = loads.iter().map(|load| circuit.subject(*load)).collect();
    touches.dedup();
    let title = touches[0].title(network);
    let dark = match touches.len() {
        1 => format!("{title} does not work in any switch position"),
        2 => format!("{title} and one other do not work in any switch position"),
        n => format!("{title} and {} others do not work in any switch position", n - 1),
    };
    let mut because: Vec<Label> = touches[1..]
        .iter()
        .map(|s| Label { subject: s.clone(), text: "for the same reason".to_owned() })
        .collect();
    let subject = touches[0].clone();
    let message = match &why {
        None if !complete => {
            format!(
                "{title} was not seen working in {MOST_COMBINATIONS} combinations of positions; not checked further"
            )
        }
        None => dark,
        Some(Reason::NoSource) => format!("{dark}: the job has no source"),
        Some(Reason::NoFeed(_)) => format!("{dark}: neither side of it leads to a supply"),
        Some(Reason::Reversed(_)) => format!("{dark}: its polarity is reversed"),
        Some(Reason::DiodeBlocks(diode)) => {
            let diode = circuit.subject(*diode);
            let text = format!("{dark}: {} blocks its feed", diode.title(network));
            because.push(Label { subject: diode, text: "blocks its feed".to_owned() });
            text
        }
        Some(Reason::RelayIdle(device) | Reason::Restless(device, _)) => {
            let relay = circuit.subject(circuit.devices[*device].branch);
            let does = if matches!(why, Some(Reason::RelayIdle(_))) {
                "never pulls in"
            } else {
                "never comes to rest"
            };
            let text = format!("{dark}: {} {does}", relay.title(network));
            because.push(Label { subject: relay, text: does.to_owned() });
            touches.extend(way(context, circuit.devices[*device].branch));
            text
        }
    };
    touches.extend(loads.iter().flat_map(|load| way(context, *load)));
    // What is the wrong way round is dark for that alone.
    if !matches!(why, Some(Reason::Reversed(_) | Reason::DiodeBlocks(_))) {
        let deciders: Vec<Subject> = loads.iter().flat_map(|load| context.deciders_of(*load)).collect();
        // What shorts the supply over a part that stands in the way feeds nothing behind it.
        let shorts = context.survey.situations.iter().flat_map(|surveyed| &surveyed.shorts);
        touches.extend(shorts.map(|short| circuit.subject(short.root)).filter(|root| {
            let of_it = |decider: &Subject| decider.part().is_some() && decider.part() == root.part();
            deciders.iter().any(of_it)
        }));
        touches.extend(deciders);
    }
    if matches!(why, Some(Reason::NoFeed(_))) {
        touches.extend(context.only_live_end().map(Subject::Terminal));
    }
    let help = match why {
        Some(Reason::Reversed(_)) => "swap its two wires",
        Some(Reason::DiodeBlocks(_)) => "turn the diode round",
        Some(Reason::RelayIdle(_)) => "bring positive to 86 and earth to 85 in the situation meant",
        _ => {
            "check its voltage against what it is made for, then follow its current path from the supply and from the earth"
        }
    };
    let checked = complete || why.is_some();
    Finding {
        check: CHECK.name,
        severity: if checked { Severity::Stop } else { Severity::Note },
        message,
        subject,
        because,
        measured: None,
        basis: Basis::Calculated,
        allowed: None,
        help: vec![Help::words(help.to_owned())],
        source: "computed over all combinations of positions from rest".to_owned(),
        working: Vec::new(),
        touches,
    }
}

/// What hangs on the two sides of a branch up to what has been seen live or grounded: that is where
/// its way may be interrupted.
fn way(context: &Context<'_>, branch: usize) -> Vec<Subject> {
    let circuit = context.circuit;
    let ends = [circuit.branches[branch].from, circuit.branches[branch].to];
    let met = walk(circuit, &ends, |index, near| {
        let role = circuit.branches[index].role;
        !context.live[near] && !context.grounded[near] && matches!(role, Role::Path | Role::Protection(_))
    });
    let mut subjects = Vec::new();
    for (net, by) in met {
        subjects.extend(by.map(|by| circuit.subject(by)));
        subjects.extend(circuit.nets[net].iter().map(|terminal| Subject::Terminal(terminal.clone())));
    }
    subjects
}
