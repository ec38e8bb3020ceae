//! Wires that a short circuit ruins before their fuse opens.

use std::collections::BTreeMap;

use crate::arrange;
use crate::check::Context;

use crate::document::Status;
use crate::finding::{Basis, Finding, Harm, Help, Label, Severity};
use crate::protection::Withstand;
use crate::protection::against::slowest_against;
use crate::protection::withstand::{SOURCE as WITHSTAND_SOURCE, k};
use crate::quantity::{Amps, Quantity, Unit, three_figures};
use crate::subject::Subject;
use crate::working::Working;

declare_check! {
    /// Finds wires that a short circuit heats beyond what their insulation stands before the fuse ahead of them opens.
    ///
    /// # What it checks
    ///
    /// The longest time the fuse may take is compared with the time the wire endures, for every current from twice the
    /// rating of the fuse to the most a short circuit may draw there, as far as the fuse takes no more than 5 s; slower is
    /// a matter of overload.
    /// The wire starts as warm as its insulation stands for good and may reach 160 degC, or 50 K above its class where that
    /// is more; the most a short circuit draws is that of a battery of 12.8 V (25.6 V) behind its internal resistance, 6
    /// milliohm (12) where it was not given, with cold wires and no joints, and of alternators at their limit (common
    /// practice, no source).
    /// A lead that ends at fuses of its own is judged as an unfused run.
    /// Where the size of a wire or the type of its fuse is not known it is not judged; of existing wires only those are
    /// that new work hangs on, and no more than as a Look where their insulation, surroundings or bundle are not known.
    ///
    /// # Why it matters
    ///
    /// A fuse ends a short circuit only after some tenths of a second, or seconds. What the wire has become by then stays.
    ///
    /// # Example
    ///
    /// A 30 A blade fuse ahead of 0.5 mm2: at 60 A the fuse may take 5 s, and the wire endures 0.6 s.
    ///
    /// # What to do
    ///
    /// Fit a smaller or a quicker fuse, or use a larger size.
    name: "short-circuit-withstand",
    summary: "a short circuit ruins a wire before its fuse opens",
    harm: Harm::Fire,
    explained_by: &["fuse-larger-than-wire", "undersized-conductor", "unfused-run", "fault-too-small-to-blow", "unconnected-terminal"],
    run: run,
}

/// The warmest insulation whose end temperature is that of a table, in degrees Celsius; above it is assumed.
const TABLE_CLASS_C: f64 = 110.0;

/// A wire, and the current at which its fuse is slowest against it.
struct Weak {
    branch: usize,
    amps: f64,
    opens_s: f64,
    endures_s: f64,
    doubtful: bool,
    links: Vec<usize>,
    source: &'static str,
}

fn run(context: &Context<'_>, findings: &mut Vec<Finding>) {
    let mut by_links: BTreeMap<Vec<usize>, Vec<Weak>> = BTreeMap::new();
    for (branch, ..) in context.wires() {
        if let Some(weak) = weak(context, branch) {
            by_links.entry(weak.links.clone()).or_default().push(weak);
        }
    }
    for mut weak in by_links.into_values() {
        arrange::sort_by(&mut weak, |a, b| {
            let ratio = |one: &Weak| one.opens_s / one.endures_s;
            a.doubtful.cmp(&b.doubtful).then(ratio(b).total_cmp(&ratio(a))).then(a.branch.cmp(&b.branch))
        });
        findings.push(finding(context, &weak));
    }
}

fn weak(context: &Context<'_>, branch: usize) -> Option<Weak> {
    let (wire, used) = context.wire_of(branch)?;
    if wire.status != Status::New && !context.touches_new(branch) {
        return None;
    }
    let withstand = Withstand::of(used)?;
    // A lead to fuses of its own is a matter of how far away they are, as an unfused run is.
    if context.zones().lead(branch).is_some() {
        return None;
    }
    let prospects = context.prospects();
    let mut worst: Option<Weak> = None;
    for met in prospects.on_wire(branch) {
        let most = prospects.highest_through(branch, &met);
        let Some(guard) = &met.guard else { continue };
        let Some((amps, opens_s)) = slowest_against(guard, &withstand, most) else { continue };
        let endures_s = withstand.seconds(amps);
        let is_worse =
            worst.as_ref().is_none_or(|known| opens_s / endures_s > known.opens_s / known.endures_s);
        if opens_s > endures_s && is_worse {
            let mut links: Vec<usize> = guard.binding().map(|link| link.branch).collect();
            arrange::sort(&mut links);
            let source = guard
                .binding()
                .find_map(|link| link.band.as_ref())
                .map_or("", |band| band.source(amps / guard.rated()));
            let at_best = used.size.is_some_and(|size| size.low != size.high);
            let unsaid = wire.status == Status::Existing && !used.is_fully_said();
            let is_range = guard.binding().any(|link| link.rated_least < link.rated);
            let doubtful = at_best || unsaid || is_range || used.insulation.get() > TABLE_CLASS_C;
            worst = Some(Weak { branch, amps, opens_s, endures_s, doubtful, links, source });
        }
    }
    worst
}

/// How the time the wire endures came about, and that of the fuse.
fn working(context: &Context<'_>, weak: &Weak, title: &str) -> Vec<Working> {
    let opens =
        Working::of("longest time until it opens", "t = t_band", weak.opens_s, Unit::Second, weak.source)
            .map(|working| {
                working.with("t_band", "slow edge of its band", weak.opens_s, Unit::Second, Basis::Tabled)
            });
    let endures = context.wire_of(weak.branch).and_then(|(_, used)| {
        let withstand = Withstand::of(used)?;
        let area = used.size?.low.area().get();
        let k = k(withstand.start, withstand.end);
        let adiabatic = withstand.integral / (weak.amps * weak.amps);
        // Longer than five seconds the wire gives off heat, for which there is no formula of a few symbols.
        if (adiabatic - weak.endures_s).abs() > 1e-9 * adiabatic {
            return Working::of_network(
                format!("time {title} endures"),
                weak.endures_s,
                Unit::Second,
                WITHSTAND_SOURCE,
            );
        }
        let working = Working::of(
            format!("time {title} endures"),
            "t = (k * S / I) ^ 2",
            weak.endures_s,
            Unit::Second,
            WITHSTAND_SOURCE,
        )?;
        Some(
            working
                .with(
                    "k",
                    "what copper endures between its temperatures, in A s^0.5/mm2",
                    k,
                    Unit::One,
                    Basis::Calculated,
                )
                .with("S", "cross-section", area, Unit::SquareMillimetre, Basis::Entered)
                .with("I", "current of the short circuit", weak.amps, Unit::Ampere, Basis::Calculated),
        )
    });
    opens.into_iter().chain(endures).collect()
}

fn seconds(value: f64) -> String {
    format!("{} s", three_figures(value))
}

fn finding(context: &Context<'_>, weak: &[Weak]) -> Finding {
    let circuit = context.circuit;
    let network = &circuit.resolved.network;
    let worst = &weak[0];
    let subject = circuit.subject(worst.branch);
    let links: Vec<Subject> = worst.links.iter().map(|link| circuit.subject(*link)).collect();
    let names: Vec<String> = links.iter().map(|link| link.title(network)).collect();
    let names = names.join(" and ");
    let amps = Amps::new(worst.amps).expect("a current between finite ones is finite");
    let if_so = if worst.doubtful { ", if what is assumed of it holds" } else { "" };
    let message = format!(
        "a short circuit of {amps} ruins {} before {names} opens: it endures {}{if_so}, and the fuse may take {}",
        subject.title(network),
        seconds(worst.endures_s),
        seconds(worst.opens_s)
    );
    let mut because: Vec<Label> = links
        .iter()
        .map(|link| Label { subject: link.clone(), text: format!("its times: {}", worst.source) })
        .collect();
    because.extend(weak[1..].iter().map(|one| Label {
        subject: circuit.subject(one.branch),
        text: format!("endures {} where the fuse may take {}", seconds(one.endures_s), seconds(one.opens_s)),
    }));
    let mut touches: Vec<Subject> = weak.iter().map(|one| circuit.subject(one.branch)).collect();
    touches.extend(links);
    Finding {
        check: CHECK.name,
        severity: if worst.doubtful { Severity::Look } else { Severity::Stop },
        message,
        because,
        measured: Quantity::new(worst.opens_s, Unit::Second),
        basis: Basis::Calculated,
        allowed: Quantity::new(worst.endures_s, Unit::Second),
        help: vec![Help::words("fit a smaller or a quicker fuse, or use a larger size")],
        source: WITHSTAND_SOURCE.to_owned(),
        working: working(context, worst, &subject.title(network)),
        subject,
        touches,
    }
}

#[cfg(test)]
mod tests {
    use crate::circuit::build;
    use crate::document::Settings;
    use crate::finding::{Finding, Severity};
    use crate::{check, notation};

    fn found(fuse: &str, wire: &str) -> Vec<Finding> {
        let text = format!(
            "battery G1
            fuse F1 {fuse}
            lamp E1 watts=5
            earth X2
            wire w1 G1.+ F1.1 mm2=16 m=0.1 insulation=B
            wire w2 F1.2 E1.1 {wire}
            wire w3 E1.2 X2.1 mm2=16 m=0.5 insulation=B"
        );
        let circuit = build(&notation::network(&text).unwrap(), &Settings::default());
        let mut findings = Vec::new();
        (super::CHECK.run)(&check::Context::new(&circuit, &[], &[]), &mut findings);
        findings
    }

    /// 0.5 mm2 from 100 to 160 degC endures 2107 A2s: 0.585 s at 60 A, where the fuse may take 5 s.
    #[test]
    fn a_blade_fuse_of_30_a_does_not_protect_half_a_square_millimetre() {
        let findings = found("rating_a=30", "mm2=0.5 m=1 insulation=B");
        assert_eq!(findings.len(), 1, "{findings:?}");
        assert_eq!((findings[0].severity, findings[0].subject.id()), (Severity::Stop, "w2".to_owned()));
        assert!((findings[0].measured.unwrap().value - 5.0).abs() < 1e-6);
        assert!((findings[0].allowed.unwrap().value - 0.585).abs() < 0.002, "{:?}", findings[0].allowed);
    }

    /// 15 A on 0.75 mm2 of class B: 4740 A2s over 30 A squared is 5.27 s, just above the 5 s of the fuse.
    #[test]
    fn a_fuse_that_is_right_for_overload_is_right_for_a_short_circuit() {
        assert_eq!(found("rating_a=15", "mm2=0.75 m=1 insulation=B"), []);
        assert_eq!(found("rating_a=20", "mm2=0.75 m=1 insulation=B").len(), 1);
    }

    #[test]
    fn a_slow_link_is_judged_from_where_it_takes_5_s() {
        // A strip of 60 A takes 5 s at 210 A: 220 500 A2s; 6 mm2 endures 303 400, and 4 mm2 134 800.
        assert_eq!(found("rating_a=60 family=strip", "mm2=6 m=0.5 insulation=B"), []);
        let findings = found("rating_a=60 family=strip", "mm2=4 m=0.5 insulation=B");
        assert_eq!(findings.len(), 1, "{findings:?}");
        assert!(findings[0].message.contains("210 A"), "{}", findings[0].message);
    }

    #[test]
    fn an_end_temperature_that_is_assumed_leaves_it_a_look() {
        let findings = found("rating_a=40", "mm2=0.75 m=1 insulation=C");
        assert_eq!(findings[0].severity, Severity::Look);
    }

    #[test]
    fn what_cannot_be_known_is_not_judged() {
        assert_eq!(found("", "mm2=0.5 m=1"), []);
        assert_eq!(found("rating_a=30", "m=1"), []);
    }
}
