//! Parts made for another voltage than they get.

use std::collections::BTreeSet;

use crate::check::Context;
use crate::document::Status;
use crate::finding::{Basis, Finding, Harm, Help, Severity};
use crate::given::Given;
use crate::kind::{Law, RATED_VOLTAGE, Role};
use crate::quantity::{Unit, Volts};
use crate::subject::Subject;
use crate::working::Working;

declare_check! {
    /// Finds loads, coils and fuses that are made for another voltage than they get.
    ///
    /// # What it checks
    ///
    /// The voltage across each new load and coil in the situations looked at against the voltage it is made for: more than
    /// four thirds of it is too much. A relay whose voltage is not said is made for no more than twice what it pulls in at.
    /// A load made for more than it ever gets is told. A fuse or breaker must be made for
    /// the highest voltage of the system, 16 V or 32 V.
    ///
    /// # Why it matters
    ///
    /// A 12 V lamp on 24 V takes four times its power and burns out; a fuse beyond its voltage may not end the arc.
    ///
    /// # Example
    ///
    /// A 12 V relay in a 24 V trailer.
    ///
    /// # What to do
    ///
    /// Use the part for this voltage, or a converter.
    name: "wrong-voltage",
    summary: "a part is made for another voltage than it gets",
    harm: Harm::Fire,
    explained_by: &[],
    run: run,
}

/// Highest voltage over nominal: 16 V on 12 V systems, 32 V on 24 V systems.
const HIGHEST: f64 = 4.0 / 3.0;

/// The share of its voltage below which a load is made for another system (common practice, no source).
const LOWEST: f64 = 0.6;

const SOURCE: &str = "ISO 16750-2:2010: supply up to 16 V on 12 V systems and 32 V on 24 V systems";

fn run(context: &Context<'_>, findings: &mut Vec<Finding>) {
    let circuit = context.circuit;
    let mut told = BTreeSet::new();
    for index in 0..circuit.branches.len() {
        let Some((at, part)) = context.part_of(index) else { continue };
        if part.status != Status::New || told.contains(&at) {
            continue;
        }
        let found = match circuit.branches[index].role {
            Role::Load(load) if load.name != "telltale" => of_user(context, index),
            Role::Coil { .. } => of_user(context, index),
            Role::Protection(_) => of_fuse(context, index),
            _ => None,
        };
        if let Some(finding) = found {
            told.insert(at);
            findings.push(finding);
        }
    }
}

/// The voltage that a load or coil is made for; `None` when its kind does not say.
fn made_for(context: &Context<'_>, index: usize) -> Option<f64> {
    let circuit = context.circuit;
    let (part, _) = context.part_of(index)?;
    let of_kind = || circuit.resolved.parts[part].as_ref()?.number(RATED_VOLTAGE);
    match (circuit.branches[index].law?, circuit.branches[index].role) {
        (Law::Filament { rated_v, .. }, _) => Some(rated_v.get()),
        (_, Role::Coil { pull_in, .. }) if is_said(context, part, "pull_in_v") => {
            let most = pull_in.get() / LEAST_PULL_IN;
            Some(of_kind().map_or(most, |volts| volts.min(most)))
        }
        _ => of_kind(),
    }
}

/// The least share of the voltage it is made for at which a relay pulls in (common practice, no source).
const LEAST_PULL_IN: f64 = 0.5;

fn is_said(context: &Context<'_>, part: usize, name: &'static str) -> bool {
    matches!(context.circuit.resolved.network.parts[part].values.get(name), Given::Known(_))
}

fn of_user(context: &Context<'_>, index: usize) -> Option<Finding> {
    let circuit = context.circuit;
    let made_for = made_for(context, index)?;
    let branch = &circuit.branches[index];
    let rests = context.survey.rests();
    let gets = rests
        .filter_map(|(surveyed, rest)| Some((surveyed, rest.steady.between(branch.from, branch.to)?.abs())));
    let (surveyed, most) = gets.max_by(|a, b| a.1.total_cmp(&b.1))?;
    let volts = |volts: f64| Volts::new(volts).map_or_else(String::new, |volts| volts.to_string());
    let subject = circuit.subject(index);
    let title = subject.title(&circuit.resolved.network);
    let what = match branch.role {
        Role::Coil { .. } => format!("the coil of {title}"),
        _ => title,
    };
    let limit = |value: f64, formula| {
        Working::of(format!("limit for {what}"), formula, value, Unit::Volt, SOURCE).map(|working| {
            working.with("U_n", "voltage it is made for", made_for, Unit::Volt, Basis::Calculated)
        })
    };
    let own =
        Working::of(format!("voltage of {what}"), "U = U_most", most, Unit::Volt, "Kirchhoff's voltage law")
            .map(|working| {
                working.with(
                    "U_most",
                    "the most in any situation looked at",
                    most,
                    Unit::Volt,
                    Basis::Calculated,
                )
            });
    if most > HIGHEST * made_for {
        let message =
            format!("{what} gets {} {} and is made for {}", volts(most), surveyed.when, volts(made_for));
        return Some(Finding {
            measured: Volts::new(most).map(Into::into),
            allowed: Volts::new(HIGHEST * made_for).map(Into::into),
            help: vec![Help::words("use the part for this voltage, or a converter")],
            working: own.into_iter().chain(limit(HIGHEST * made_for, "U_max = 4 / 3 * U_n")).collect(),
            ..Finding::of(CHECK.name, Severity::Stop, subject, message, SOURCE)
        });
    }
    let is_for_more = made_for > HIGHEST * circuit.resolved.nominal_v;
    (is_for_more && most < LOWEST * made_for).then(|| {
        let message =
            format!("{what} is made for {} and never gets more than {}", volts(made_for), volts(most));
        Finding {
            measured: Volts::new(most).map(Into::into),
            allowed: Volts::new(LOWEST * made_for).map(Into::into),
            help: vec![Help::words("use the part for this voltage")],
            working: own.into_iter().chain(limit(LOWEST * made_for, "U_min = 0.6 * U_n")).collect(),
            ..Finding::of(CHECK.name, Severity::Look, subject, message, "common practice, no source")
        }
    })
}

fn of_fuse(context: &Context<'_>, index: usize) -> Option<Finding> {
    let circuit = context.circuit;
    let (part, _) = context.part_of(index)?;
    let rated = circuit.resolved.parts[part].as_ref()?.number("rated_v")?;
    let highest = HIGHEST * circuit.resolved.nominal_v;
    if rated >= highest {
        return None;
    }
    let subject = Subject::Part(circuit.resolved.network.parts[part].id.clone());
    let message = format!(
        "{} is made for up to {rated} V, and the system reaches {highest} V",
        subject.title(&circuit.resolved.network)
    );
    let has = Working::of("voltage it is made for", "U_max = U_rated", rated, Unit::Volt, SOURCE)?.with(
        "U_rated",
        "what was entered",
        rated,
        Unit::Volt,
        Basis::Entered,
    );
    let needs = Working::of("highest voltage of the system", "U = 4 / 3 * U_n", highest, Unit::Volt, SOURCE)?
        .with("U_n", "nominal voltage", circuit.resolved.nominal_v, Unit::Volt, Basis::Entered);
    Some(Finding {
        measured: Volts::new(rated).map(Into::into),
        basis: Basis::Entered,
        allowed: Volts::new(highest).map(Into::into),
        help: vec![Help::words("use one that is made for this voltage")],
        working: vec![has, needs],
        ..Finding::of(
            CHECK.name,
            Severity::Stop,
            subject,
            message,
            "33 CFR 183.455(d): voltage rating at least that of the system; highest voltage: ISO 16750-2:2010",
        )
    })
}
