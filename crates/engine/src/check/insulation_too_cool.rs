//! Wires whose insulation does not stand the heat where they run.

use crate::check::{Context, remedy};
use crate::document::Status;
use crate::finding::{Basis, Finding, Harm, Help, Label, Severity};
use crate::working::Working;

declare_check! {
    /// Finds wires whose insulation stands no more than the air around them.
    ///
    /// # What it checks
    ///
    /// The temperature that a wire's insulation stands against the air temperature where it runs: equal is too little,
    /// because the wire warms itself. Existing wiring whose insulation is not known is no more than a Look.
    ///
    /// # Why it matters
    ///
    /// Insulation that is too hot grows brittle or soft, whatever the wire carries, and then touches metal.
    ///
    /// # Example
    ///
    /// Ordinary cable of 70 degC in an engine bay of 80 degC.
    ///
    /// # What to do
    ///
    /// Use a wire of a hotter class, or run it where it is cooler.
    name: "insulation-too-cool",
    summary: "a wire runs where it is hotter than its insulation stands",
    harm: Harm::Fire,
    explained_by: &[],
    run: run,
}

const SOURCE: &str = "ISO 6722-1:2011 Table 1 (from memory): the class says what the insulation stands";

/// Kelvin left for a wire to warm itself when another class is offered (common practice, no source).
const WARMS_K: f64 = 20.0;

fn run(context: &Context<'_>, findings: &mut Vec<Finding>) {
    for (branch, wire, used) in context.wires() {
        if used.insulation > used.ambient || wire.status == Status::Existing && !context.touches_new(branch) {
            continue;
        }
        let subject = context.circuit.subject(branch);
        let title = subject.title(&context.circuit.resolved.network);
        let doubtful = !used.insulation_said || !used.ambient_said;
        let severity =
            if wire.status == Status::Existing && doubtful { Severity::Look } else { Severity::Stop };
        let message =
            format!("it is {} around {title}, and its insulation stands {}", used.ambient, used.insulation);
        let working = Working::of(
            format!("room for {title} to warm itself"),
            "d = max(T - T_amb, 0)",
            0.0,
            crate::quantity::Unit::Celsius,
            SOURCE,
        )
        .map(|working| {
            let unit = crate::quantity::Unit::Celsius;
            let of_insulation = Basis::said(used.insulation_said);
            working
                .with("T", "temperature the insulation stands", used.insulation.get(), unit, of_insulation)
                .with(
                    "T_amb",
                    "air temperature where it runs",
                    used.ambient.get(),
                    unit,
                    Basis::said(used.ambient_said),
                )
        });
        let resolved = &context.circuit.resolved;
        let hottest = context.way_of(branch).and_then(|way| way.hottest);
        let hottest = hottest.filter(|hottest| wire.surroundings.is_none() && hottest.air == used.ambient);
        let because = hottest.map(|hottest| Label {
            subject: subject.clone(),
            text: format!("the hottest of its way is {}", hottest.at.title(&resolved.plan)),
        });
        findings.push(Finding {
            because: because.into_iter().collect(),
            measured: Some(used.ambient.into()),
            basis: Basis::said(used.ambient_said),
            allowed: Some(used.insulation.into()),
            help: vec![Help::words("use a wire of a hotter class, or run it where it is cooler").with_fix(
                remedy::hotter(&context.circuit.resolved.network, &wire.id, used.ambient.get() + WARMS_K),
            )],
            working: working.into_iter().collect(),
            ..Finding::of(CHECK.name, severity, subject, message, SOURCE)
        });
    }
}
