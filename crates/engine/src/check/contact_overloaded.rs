//! Contacts, diodes and sockets that carry more than they are rated for.

use crate::arrange;
use crate::check::{Context, Surveyed};
use crate::circuit::reach::walk;
use crate::circuit::{CHASSIS, Circuit, Gate, NetIndex};
use crate::document::Status;
use crate::finding::{Basis, Finding, Harm, Help, Severity};
use crate::given::Given;
use crate::kind::{Class, Law, Role, Used, Value};
use crate::path::LEAST_AMPS;
use crate::quantity::{Amps, Unit};
use crate::solve::Rest;
use crate::solve::working::of_branch;
use crate::subject::Subject;
use crate::working::Working;

declare_check! {
    /// Finds relays, switches, connectors, diodes and sockets that carry more than they are rated for.
    ///
    /// # What it checks
    ///
    /// The greatest computed current of each new part's contacts in the situations looked at against the rating that was
    /// entered; the make and the break contact of a relay each have their own. Where an inrush rating was entered, the
    /// current with cold filaments against that. A rating stated for 12 V does not cover 24 V. A switch whose rating is
    /// not said to hold for lamps, coils or motors should be larger than they take, by factors.
    /// Situations with a blocked motor are left out where a fuse is sure to open; of a rating given as a range
    /// the lowest counts, and where only that one is exceeded it is no more than a Look.
    /// A part without a rating is not judged.
    ///
    /// # Why it matters
    ///
    /// Contacts that carry too much weld together or burn away; a socket melts.
    ///
    /// # Example
    ///
    /// Four work lamps of 55 W behind a switch rated 10 A.
    ///
    /// # What to do
    ///
    /// Let the switch work a relay, use a larger part, or split the load.
    name: "contact-overloaded",
    summary: "a contact, connector or socket carries more than its rating",
    harm: Harm::Fire,
    explained_by: &["wrong-voltage"],
    run: run,
}

/// Sizes of a switch over the current of what it switches, 24 V and 12 V: lamps, coils, plain resistance, motors
/// (FAA AC 43.13-1B Table 11-4).
const FACTORS: &[(Sort, f64, f64)] = &[
    (Sort::Lamp, 8.0, 5.0),
    (Sort::Inductive, 4.0, 2.0),
    (Sort::Resistive, 2.0, 1.0),
    (Sort::Motor, 3.0, 2.0),
];

/// The least current of what is counted as switched, in amperes.
const LEAST_USED_A: f64 = 1e-3;

const FACTOR_SOURCE: &str = "FAA AC 43.13-1B Table 11-4";
const RATING: &str = "the rating that was entered";

/// What a switch switches.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Sort {
    Lamp,
    Inductive,
    Resistive,
    Motor,
}

fn run(context: &Context<'_>, findings: &mut Vec<Finding>) {
    let circuit = context.circuit;
    for (index, part) in circuit.resolved.network.parts.iter().enumerate() {
        let Some(used) = &circuit.resolved.parts[index] else { continue };
        if part.status != Status::New || part.kind.class == Class::Protection {
            continue;
        }
        // One finding a part: the worst of its contacts speaks for it.
        let judged = rated_branches(context, index, used).into_iter().filter_map(|(branch, rated)| {
            let mut finding = judged(context, index, used, (branch, rated))?;
            finding.touches.extend(context.in_line_with(branch));
            Some(finding)
        });
        findings
            .extend(judged.min_by(|a, b| {
                a.severity.cmp(&b.severity).then_with(|| overload(b).total_cmp(&overload(a)))
            }));
    }
}

/// How many times what is allowed a finding has measured.
fn overload(finding: &Finding) -> f64 {
    match (&finding.measured, &finding.allowed) {
        (Some(measured), Some(allowed)) => measured.value / allowed.value,
        _ => 0.0,
    }
}

/// The value of a part that is the rating of a branch of it.
fn rating_key(gate: Gate) -> &'static str {
    match gate {
        Gate::Device(_, true) => "contact_a",
        Gate::Device(_, false) => "break_contact_a",
        _ => "rating_a",
    }
}

/// The branches of a part that have a rating, with it.
fn rated_branches(context: &Context<'_>, part: usize, used: &Used) -> Vec<(usize, f64)> {
    let circuit = context.circuit;
    let network = &circuit.resolved.network;
    let rating = |gate: Gate, role: Role| match role {
        Role::Path => used.number(rating_key(gate)),
        // A socket of which it is not said what is plugged in is solved as if it were its rating, which is no news.
        Role::Load(_) if network.parts[part].values.said("drawn_a").is_some() => used.number("rating_a"),
        _ => None,
    };
    let branches = circuit.branches_of_part(part);
    branches
        .filter(|(_, branch)| !matches!(branch.role, Role::Load(load) if load.name == "telltale"))
        .filter_map(|(index, branch)| Some((index, rating(branch.gate, branch.role)?)))
        .collect()
}

fn judged(context: &Context<'_>, part: usize, used: &Used, (branch, rated): (usize, f64)) -> Option<Finding> {
    let circuit = context.circuit;
    let title = context.title(part);
    let subject = Subject::Part(circuit.resolved.network.parts[part].id.clone());
    let (amps, rest, surveyed) = context.survey.greatest_amps(branch, |surveyed| surveyed.may_last)?;
    let shown = |amps: f64| Amps::new(amps).map_or_else(String::new, |amps| amps.to_string());
    let numbers = |measured: f64, allowed: f64| {
        (Amps::new(measured).map(Into::into), Amps::new(allowed).map(Into::into))
    };
    let limit = |what: &str, value: f64, source| {
        Working::of(what, "I_max = I_n", value, Unit::Ampere, source)
            .map(|working| working.with("I_n", what, value, Unit::Ampere, Basis::Entered))
    };
    if amps > rated {
        let key = rating_key(circuit.branches[branch].gate);
        let given = circuit.resolved.network.parts[part].values.get(key);
        let is_at_least = matches!(given, Given::Between(_, Value::Number(high)) if amps <= high);
        let if_so = if is_at_least { ", if it has the lowest rating that is given" } else { "" };
        let message = format!(
            "{title} carries {} {}, and is rated {}{if_so}",
            shown(amps),
            surveyed.when,
            shown(rated)
        );
        let (measured, allowed) = numbers(amps, rated);
        let mut working = of_branch(circuit, rest, branch, &title);
        working.extend(limit("rated current", rated, RATING));
        return Some(Finding {
            measured,
            allowed,
            help: vec![Help::words(match circuit.branches[branch].gate {
                Gate::In(..) => "let it work a relay, use a larger part, or split the load",
                _ => "use a larger part, or split the load",
            })],
            working,
            ..Finding::of(
                CHECK.name,
                if is_at_least { Severity::Look } else { Severity::Stop },
                subject,
                message,
                RATING,
            )
        });
    }
    if let Some(stated) =
        used.number("inrush_a").filter(|_| matches!(circuit.branches[branch].gate, Gate::Device(_, true)))
        && let Some(inrush) = inrush(context, branch, surveyed)
        && inrush > stated
    {
        let message = format!(
            "{title} closes on {} of cold filaments {}, and is rated for {} of inrush",
            shown(inrush),
            surveyed.when,
            shown(stated)
        );
        let (measured, allowed) = numbers(inrush, stated);
        let current = Working::of(
            "current with cold filaments",
            "I = I_cold",
            inrush,
            Unit::Ampere,
            "computed with every filament at its cold resistance",
        )
        .map(|working| {
            working.with("I_cold", "current through the contact", inrush, Unit::Ampere, Basis::Calculated)
        });
        return Some(Finding {
            measured,
            allowed,
            help: vec![Help::words(
                "use a relay rated for lamps of this power, or one relay for each pair of lamps",
            )],
            working: current
                .into_iter()
                .chain(limit("inrush the contact is rated for", stated, RATING))
                .collect(),
            ..Finding::of(CHECK.name, Severity::Look, subject, message, RATING)
        });
    }
    let stated_v = used.number("contact_at_v").or_else(|| used.number("rating_v"));
    if let Some(volts) = stated_v.filter(|volts| *volts < 0.9 * circuit.resolved.nominal_v)
        && amps > 0.0
    {
        let message = format!(
            "the {} rating of {title} is stated for {volts} V, and the system has {} V",
            shown(rated),
            circuit.resolved.nominal_v
        );
        return Some(Finding {
            help: vec![Help::words("use a part whose rating is stated for this voltage")],
            ..Finding::of(
                CHECK.name,
                Severity::Look,
                subject,
                message,
                "common practice, no source: a contact breaks less current at more voltage",
            )
        });
    }
    // What a blocked motor takes is no size to choose a switch by.
    let running = context.survey.greatest_amps(branch, |surveyed| !surveyed.is_blocked)?;
    factor(context, part, used, branch, running, rated)
}

/// The advice for a switch whose rating is not said to hold for what it switches.
fn factor(
    context: &Context<'_>,
    part: usize,
    used: &Used,
    branch: usize,
    (amps, rest, surveyed): (f64, &Rest, &Surveyed),
    rated: f64,
) -> Option<Finding> {
    let circuit = context.circuit;
    let is_switch = matches!(circuit.branches[branch].gate, Gate::In(..))
        && circuit.resolved.network.parts[part].kind.class == Class::Contact;
    if !is_switch || used.word("rated_for").is_some() {
        return None;
    }
    let factor_of = |(_, at_24, at_12): &(Sort, f64, f64)| match circuit.resolved.nominal_v > 18.0 {
        true => *at_24,
        false => *at_12,
    };
    let mut wanting: Vec<(Sort, f64)> = FACTORS.iter().map(|row| (row.0, factor_of(row))).collect();
    wanting.retain(|(_, factor)| amps * factor > rated);
    arrange::sort_by(&mut wanting, |a, b| b.1.total_cmp(&a.1));
    if wanting.is_empty() {
        return None;
    }
    let users = users_over(circuit, rest, branch);
    let is_switched = |sort: Sort| users.iter().any(|user| sort_of(context, *user) == Some(sort));
    let (sort, factor) = wanting.into_iter().find(|(sort, _)| is_switched(*sort))?;
    let title = context.title(part);
    let what = match sort {
        Sort::Lamp => "lamps",
        Sort::Inductive => "coils",
        Sort::Resistive => "plain loads",
        Sort::Motor => "motors",
    };
    let needs = amps * factor;
    let message = format!(
        "{title} switches {} of {what} {}; unless its {} are rated for them, a switch of {} is wanted",
        Amps::new(amps)?,
        surveyed.when,
        Amps::new(rated)?,
        Amps::new(needs)?
    );
    let wanted =
        Working::of("size of switch that is wanted", "I_wanted = f * I", needs, Unit::Ampere, FACTOR_SOURCE)?
            .with("f", format!("factor for {what}"), factor, Unit::One, Basis::Tabled)
            .with("I", format!("current of {title}"), amps, Unit::Ampere, Basis::Calculated);
    let has = Working::of("rating", "I_max = I_n", rated, Unit::Ampere, RATING)?.with(
        "I_n",
        "rated current",
        rated,
        Unit::Ampere,
        Basis::Entered,
    );
    Some(Finding {
        measured: Amps::new(needs).map(Into::into),
        allowed: Amps::new(rated).map(Into::into),
        help: vec![Help::words("say what its rating holds for, or let it work a relay")],
        working: vec![wanted, has],
        ..Finding::of(
            CHECK.name,
            Severity::Note,
            Subject::Part(circuit.resolved.network.parts[part].id.clone()),
            message,
            FACTOR_SOURCE,
        )
    })
}

/// What a user of energy is to a switch.
fn sort_of(context: &Context<'_>, branch: usize) -> Option<Sort> {
    let found = &context.circuit.branches[branch];
    let can_stall = || context.part_of(branch).is_some_and(|(_, part)| part.kind.value("stall_a").is_some());
    match (found.role, found.law?) {
        (Role::Coil { .. }, _) => Some(Sort::Inductive),
        (Role::Load(_), Law::Filament { .. }) => Some(Sort::Lamp),
        // What can stall turns.
        (Role::Load(_), _) if can_stall() => Some(Sort::Motor),
        (Role::Load(_), _) => Some(Sort::Resistive),
        _ => None,
    }
}

/// What uses the energy that comes over a branch: what the current meets on its way on to the body, and what it has met
/// on its way from the source, up to the first on each way.
fn users_over(circuit: &Circuit, rest: &Rest, branch: usize) -> Vec<usize> {
    // Amperes of a branch as they leave one of its ends.
    let leaving = |index: usize, near: NetIndex| match circuit.branches[index].from == near {
        true => rest.steady.amps(index),
        false => -rest.steady.amps(index),
    };
    let at = &circuit.branches[branch];
    let (before, behind) = if rest.steady.amps(branch) < 0.0 { (at.to, at.from) } else { (at.from, at.to) };
    let met = |start: NetIndex, sign: f64| {
        let met = walk(circuit, &[start], |index, near| {
            let is_path = matches!(circuit.branches[index].role, Role::Path | Role::Protection(_));
            near != CHASSIS && is_path && sign * leaving(index, near) > LEAST_AMPS
        });
        let nets = met.into_iter().map(|(net, _)| net).filter(|net| *net != CHASSIS);
        let users = nets.flat_map(move |net| circuit.at[net].iter().map(move |index| (*index, net)));
        users.filter(move |(index, net)| sign * leaving(*index, *net) >= LEAST_USED_A).map(|(index, _)| index)
    };
    met(behind, 1.0).chain(met(before, -1.0)).collect()
}

/// The current through a branch while every filament is still cold.
fn inrush(context: &Context<'_>, branch: usize, surveyed: &Surveyed) -> Option<f64> {
    let solver = context.survey.solver().with_changed(|_, law| match law {
        Law::Filament { cold, .. } => Some(Law::Resistance(cold)),
        _ => None,
    });
    let solution = solver.enter(surveyed.positions.clone());
    Some(solution.shown()?.steady.amps(branch).abs())
}
