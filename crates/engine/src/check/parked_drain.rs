//! Current that new equipment draws while the vehicle is parked.

use crate::check::Context;
use crate::check::swept::uses;
use crate::circuit::series::chains;
use crate::document::Status;
use crate::document::settings::{DRAIN_LOOK, DRAIN_NOTE};
use crate::finding::{Basis, Finding, Harm, Help, Label, Severity};
use crate::quantity::{Amps, Quantity, Unit};
use crate::solve::Rest;
use crate::subject::Subject;
use crate::working::Working;

declare_check! {
    /// Finds equipment that draws current with everything at rest.
    ///
    /// # What it checks
    ///
    /// The current that all sources give with every switch, donor circuit and socket at rest, less what they give
    /// without anything new. Above 50 mA is Look, above 5 mA is Note (common practice, no source).
    ///
    /// # Why it matters
    ///
    /// 50 mA take more than 8 ampere-hours a week out of the battery.
    ///
    /// # Example
    ///
    /// A relay coil that the lights hold in while they are off.
    ///
    /// # What to do
    ///
    /// Feed it from a circuit that is live with the ignition only, or put a switch into its feed.
    name: "parked-drain",
    summary: "new equipment draws current with everything at rest",
    harm: Harm::Failure,
    explained_by: &["supply-shorted", "switched-earth-donor", "sneak-path", "chatter", "unconnected-terminal", "unfused-run", "load-never-lit", "interlock-broken", "split-charge", "tap-without-signal", "telltale-always-on"],
    run: run,
}

/// The least current, in amperes, with which a load is named as drawing.
const NAMED_A: f64 = 0.001;

/// How the current came about, and the limit.
fn working(given: f64, before: f64, limit: f64, source: &'static str) -> Vec<Working> {
    const CURRENT: &str = "Kirchhoff's current law";
    let drain = Working::of(
        "current of new equipment at rest",
        "I = I_now - I_before",
        given - before,
        Unit::Ampere,
        CURRENT,
    )
    .map(|working| {
        working
            .with(
                "I_now",
                "current of the batteries with everything at rest",
                given,
                Unit::Ampere,
                Basis::Calculated,
            )
            .with("I_before", "the same without what is new", before, Unit::Ampere, Basis::Calculated)
    });
    let most = Working::of("current that is told", "I_max = I_setting", limit, Unit::Ampere, source)
        .map(|working| working.with("I_setting", "setting of the job", limit, Unit::Ampere, Basis::Entered));
    drain.into_iter().chain(most).collect()
}

fn run(context: &Context<'_>, findings: &mut Vec<Finding>) {
    let circuit = context.circuit;
    let at_rest = &context.survey.situations[0];
    let Some(rest) = at_rest.rests().next() else { return };
    let chains = chains(circuit, &rest.state);
    let given: f64 =
        chains.iter().filter_map(|chain| chain.gives(|source| Some(-rest.steady.amps(source)))).sum();
    let amps_before = |source: usize| context.amps_before(source, &at_rest.positions).map(|amps| -amps);
    let before: f64 = chains.iter().filter_map(|chain| chain.gives(amps_before)).sum();
    let drain = given - before;
    let settings = &circuit.resolved.settings;
    let (severity, setting) = match drain {
        drain if drain > settings.number(&DRAIN_LOOK) => (Severity::Look, &DRAIN_LOOK),
        drain if drain > settings.number(&DRAIN_NOTE) => (Severity::Note, &DRAIN_NOTE),
        _ => return,
    };
    let limit = settings.number(setting);
    let drawing = drawing(context, rest);
    let Some((first, _, branch)) = drawing.first() else { return };
    let (Some(measured), Some(allowed)) =
        (Quantity::new(drain, Unit::Ampere), Quantity::new(limit, Unit::Ampere))
    else {
        return;
    };
    let network = &circuit.resolved.network;
    let mut touches: Vec<Subject> = drawing.iter().map(|(subject, ..)| subject.clone()).collect();
    touches.extend(context.misplaced_at(&context.deciders_of(*branch)));
    touches.extend(context.second_feeds_of(*branch));
    let because = drawing.iter().map(|(subject, amps, _)| Label {
        subject: subject.clone(),
        text: match amps {
            Some(amps) => format!("draws {amps}"),
            None => "draws something".to_owned(),
        },
    });
    findings.push(Finding {
        check: CHECK.name,
        severity,
        message: format!(
            "{measured} flow with everything at rest, the most of it into {}",
            first.title(network)
        ),
        subject: first.clone(),
        because: because.collect(),
        measured: Some(measured),
        basis: Basis::Calculated,
        allowed: Some(allowed),
        help: vec![Help::words(
            "feed it from a circuit that is live with the ignition only, or put a switch into its feed"
                .to_owned(),
        )],
        source: format!("more than {allowed}: {}", settings.source(setting)),
        working: working(given, before, limit, settings.source(setting)),
        touches,
    });
}

/// The new loads and coils that draw, how much, and by which branch; those that draw most first.
fn drawing(context: &Context<'_>, rest: &Rest) -> Vec<(Subject, Option<Amps>, usize)> {
    let circuit = context.circuit;
    let mut found: Vec<(f64, usize)> = Vec::new();
    for (index, branch) in circuit.branches.iter().enumerate() {
        let amps = rest.steady.amps(index).abs();
        let is_new = context.part_of(index).is_some_and(|(_, part)| part.status == Status::New);
        if uses(branch.role) && is_new && amps >= NAMED_A {
            found.push((amps, index));
        }
    }
    crate::arrange::sort_by(&mut found, |a, b| b.0.total_cmp(&a.0));
    found.into_iter().map(|(amps, index)| (circuit.subject(index), Amps::new(amps), index)).collect()
}
