//! Wires that carry more than they stand.

use std::collections::BTreeMap;

use crate::arrange;

use crate::check::{Context, Surveyed, remedy};
use crate::document::{Edit, Status, Wire};
use crate::finding::{Basis, Finding, Harm, Help, Label, Severity};
use crate::quantity::Amps;
use crate::resolve::UsedWire;
use crate::solve::Rest;
use crate::solve::working::of_branch;
use crate::subject::Subject;

declare_check! {
    /// Finds wires that carry more current than their size, insulation and surroundings allow.
    ///
    /// # What it checks
    ///
    /// In every situation looked at, the computed current of each wire is compared with the current it can carry:
    /// the table current of one conductor in free air, or of one in a bundle with its reduction, scaled by the square root
    /// of the temperature rise its insulation leaves over its surroundings.
    /// Situations with a blocked motor are left out where a fuse is sure to open: whether it protects the wire until then
    /// is judged as such.
    /// A wire whose size is not known is not judged. An existing wire is judged only where something new is joined to it or
    /// changes its current, and where its insulation, surroundings or bundle are not known it is no more than a Look.
    ///
    /// # Why it matters
    ///
    /// A conductor that is too thin heats up along its whole length; its insulation softens and it shorts to what it
    /// lies against.
    ///
    /// # Example
    ///
    /// Four work lamps of 55 W on one 1 mm2 wire in the engine bay: 18.3 A on a wire that can carry 12.8 A at
    /// 80 degC.
    ///
    /// # What to do
    ///
    /// Use a larger size, split the load over two wires, or keep the wire out of the heat and the bundle.
    name: "undersized-conductor",
    summary: "a wire carries more current than it can",
    harm: Harm::Fire,
    explained_by: &["insulation-too-cool", "unconnected-terminal", "wrong-voltage", "contact-overloaded"],
    run: run,
}

struct Overload<'c> {
    branch: usize,
    rest: &'c Rest,
    amps: f64,
    stands: Amps,
    stands_at_best: Amps,
    doubtful: bool,
    when: String,
}

fn run(context: &Context<'_>, findings: &mut Vec<Finding>) {
    // One run carries one current: its worst wire speaks for it.
    let mut by_run: BTreeMap<usize, Vec<Overload<'_>>> = BTreeMap::new();
    for (branch, wire, used) in context.wires() {
        let Some(stands) = used.ampacity() else { continue };
        let Some((amps, rest, situation)) =
            context.survey.greatest_amps(branch, |surveyed| surveyed.may_last)
        else {
            continue;
        };
        if amps > stands.low.get() && is_ours(context, branch, wire, amps, situation) {
            let run = context.run_of(context.circuit.branches[branch].from);
            let unsaid = wire.status == Status::Existing && !used.is_fully_said();
            let doubtful = amps <= stands.high.get() || unsaid;
            let when = situation.when.clone();
            by_run.entry(run).or_default().push(Overload {
                branch,
                rest,
                amps,
                stands: stands.low,
                stands_at_best: stands.high,
                doubtful,
                when,
            });
        }
    }
    for mut overloads in by_run.into_values() {
        arrange::sort_by(&mut overloads, |a, b| {
            (b.amps / b.stands.get()).total_cmp(&(a.amps / a.stands.get()))
        });
        findings.push(finding(context, &overloads));
    }
}

/// The share by which new work must change the current of an existing wire to count (common practice, no source).
const CHANGED_SHARE: f64 = 0.01;

/// Whether a wire is this job's business: new, or existing with new work on its run or in its current.
fn is_ours(context: &Context<'_>, branch: usize, wire: &Wire, amps: f64, surveyed: &Surveyed) -> bool {
    if wire.status != Status::Existing || context.touches_new(branch) {
        return true;
    }
    let before = context.amps_before(branch, &surveyed.positions);
    before.is_none_or(|before| (amps - before.abs()).abs() > CHANGED_SHARE * amps)
}

fn finding(context: &Context<'_>, overloads: &[Overload<'_>]) -> Finding {
    let worst = &overloads[0];
    let subject = context.circuit.subject(worst.branch);
    let title = subject.title(&context.circuit.resolved.network);
    let amps = Amps::new(worst.amps).expect("a solved current is finite");
    let used = context.wire_of(worst.branch).map(|(_, used)| used);
    let cooler = used.and_then(|used| Some((used, used.cooler_column()?)));
    let message = if let Some((used, column)) = cooler.filter(|_| worst.stands_at_best.get() == 0.0) {
        format!(
            "it is {} around {title}, whose insulation stands {}; the table's column for that is the one of {column}, by which it may carry no current",
            used.ambient, used.insulation
        )
    } else if worst.stands_at_best.get() == 0.0 {
        format!("it is as hot around {title} as its insulation can take, so it may carry no current")
    } else {
        let Overload { when, stands, .. } = worst;
        match worst.doubtful {
            true => format!(
                "{title} carries {amps} {when}, and can carry no more than {stands} if what is assumed of it holds"
            ),
            false => format!("{title} carries {amps} {when}, more than the {stands} it can carry"),
        }
    };
    let mut working = of_branch(context.circuit, worst.rest, worst.branch, &title);
    working.extend(used.and_then(|used| used.ampacity_working(&title)));
    let mut touches: Vec<Subject> = overloads.iter().map(|o| context.circuit.subject(o.branch)).collect();
    touches.extend(context.in_line_with(worst.branch));
    let because = overloads[1..]
        .iter()
        .map(|o| Label {
            subject: context.circuit.subject(o.branch),
            text: format!(
                "on the same run, carries {} and can carry {}",
                Amps::new(o.amps).expect("a solved current is finite"),
                o.stands
            ),
        })
        .collect();
    Finding {
        check: CHECK.name,
        severity: if worst.doubtful { Severity::Look } else { Severity::Stop },
        message,
        subject,
        because,
        measured: Some(amps.into()),
        basis: Basis::Calculated,
        allowed: Some(worst.stands.into()),
        help: vec![match cooler.filter(|_| worst.stands_at_best.get() == 0.0) {
            Some((used, _)) => Help::words("use a wire of a hotter class, or run it where it is cooler")
                .with_fix(hotter(context, worst.branch, used)),
            None => Help::words(
                "use a larger size, split the load over two wires, or take the wire out of the heat or the bundle",
            )
            .with_fix(larger(context, overloads)),
        }],
        source: used.map_or("", |used| used.table.source()).to_owned(),
        working,
        touches,
    }
}

/// Kelvin left for a wire to warm itself when another class is offered (common practice, no source).
const WARMS_K: f64 = 20.0;

/// A new wire in a class that leaves it room to warm itself.
fn hotter(context: &Context<'_>, branch: usize, used: &UsedWire) -> Vec<Edit> {
    let network = &context.circuit.resolved.network;
    let wire = context.wire_of(branch).map(|(wire, _)| wire);
    wire.map_or_else(Vec::new, |wire| remedy::hotter(network, &wire.id, used.ambient.get() + WARMS_K))
}

/// Every new wire that carries too much in a size that can carry it.
fn larger(context: &Context<'_>, overloads: &[Overload<'_>]) -> Vec<Edit> {
    let network = &context.circuit.resolved.network;
    let wires = overloads.iter().filter_map(|one| Some((one, context.wire_of(one.branch)?)));
    wires.flat_map(|(one, (wire, used))| remedy::carrying(network, &wire.id, used, one.amps)).collect()
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeMap;

    use crate::circuit::build;
    use crate::document::{Settings, Situation, settings};
    use crate::finding::{Finding, Severity};
    use crate::given::Given;
    use crate::ids::PartId;
    use crate::kind::Value;
    use crate::{check, notation};

    fn found(text: &str, settings: &Settings, set: &[(&str, &str)]) -> Vec<Finding> {
        let circuit = build(&notation::network(text).unwrap(), settings);
        let set: BTreeMap<PartId, String> =
            set.iter().map(|(id, at)| (PartId::new(id).unwrap(), (*at).to_owned())).collect();
        let named = Situation { name: "as set".to_owned(), set };
        let mut findings = Vec::new();
        (super::CHECK.run)(&check::Context::new(&circuit, &[named], &[]), &mut findings);
        findings
    }

    /// Class A stands 85 degC; the hottest column of 33 CFR 183.425 Table 5 that it may go by is the one of 80 degC.
    #[test]
    fn at_80_degc_class_a_is_told_to_have_no_current_by_the_column_it_goes_by() {
        let text = "battery G1\nlamp E1 watts=5\nearth X1
            wire w1 G1.+ E1.1 mm2=2.5 m=1 insulation=A surroundings=engine_bay
            wire w2 E1.2 X1.1 mm2=2.5 m=1 insulation=B surroundings=cabin";
        let mut settings = Settings::default();
        assert_eq!(found(text, &settings, &[]), []);
        settings.said.set("current_table", Given::Known(Value::Word(settings::CFR_TABLE)));
        let findings = found(text, &settings, &[]);
        assert_eq!(findings.len(), 1, "{findings:?}");
        let message = &findings[0].message;
        for part in ["80 °C around wire w1", "stands 85 °C", "the one of 80 °C"] {
            let part = part.replace("°C", "degC");
            assert!(message.contains(&part), "{message}");
        }
        assert!(findings[0].help[0].text.contains("hotter class") && !findings[0].help[0].fix.is_empty());
    }

    /// 0.75 mm2 of class B can carry 16.0 A in the cabin. The motor takes 30 A for as long as its fuse lets it.
    #[test]
    fn a_blocked_motor_is_left_to_its_fuse() {
        let text = "battery G1\nfuse F1 rating_a=15\nmotor M1 run_a=8 stall_a=30\nearth X1
            wire w1 G1.+ F1.1 mm2=2.5 m=0.1 insulation=B surroundings=cabin
            wire w2 F1.2 M1.+ mm2=0.75 m=1 insulation=B surroundings=cabin
            wire w3 M1.- X1.1 mm2=2.5 m=1 insulation=B surroundings=cabin";
        assert_eq!(found(text, &Settings::default(), &[("M1", "stalled")]), []);
        // A fuse of 25 A is sure to open from 33.75 A on only, so what the motor takes may last.
        let lasting = text.replace("rating_a=15", "rating_a=25");
        let findings = found(&lasting, &Settings::default(), &[("M1", "stalled")]);
        assert_eq!(findings.iter().map(|one| one.subject.id()).collect::<Vec<_>>(), ["w2"]);
        let running = text.replace("run_a=8", "run_a=20");
        let findings = found(&running, &Settings::default(), &[]);
        assert_eq!(findings.iter().map(|one| one.subject.id()).collect::<Vec<_>>(), ["w2"]);
    }

    /// 0.75 mm2 alone 15 A, among two or three 12 A at 30 degC; class B at 50 degC 1.0668 times that: 16.0 A and 12.8 A.
    #[test]
    fn in_a_sleeve_of_which_nothing_else_is_said_it_is_a_look() {
        let text = |amps: f64, more: &str| {
            format!(
                "battery G1 internal_ohm=0.001\nresistor E1 watts={} at_v=12.6\nearth X1
                wire w1 G1.+ E1.1 mm2=0.75 m=0.3 insulation=B surroundings=cabin {more}
                wire w2 E1.2 X1.1 mm2=6 m=0.3 insulation=B surroundings=cabin bundle=1",
                12.6 * amps
            )
        };
        let told = |amps: f64, more: &str| {
            let findings = found(&text(amps, more), &Settings::default(), &[]);
            findings.first().map(|one| one.severity)
        };
        assert_eq!(told(14.5, ""), None);
        assert_eq!(told(14.5, "sleeve=conduit"), Some(Severity::Look));
        assert_eq!(told(14.5, "sleeve=conduit bundle=1"), None);
        assert_eq!(told(14.5, "sleeve=conduit bundle=2"), Some(Severity::Stop));
        assert_eq!(told(17.5, "sleeve=conduit"), Some(Severity::Stop));
    }
}
