//! Faults that draw too little for the fuse ahead of them.

use std::collections::BTreeMap;

use crate::arrange;
use crate::check::Context;
use crate::document::Status;
use crate::finding::{Basis, Finding, Harm, Help, Label, Severity};
use crate::kind::{Class, LARGEST_BLADE_A, OPENS_ABOVE};
use crate::protection::against::{ADIABATIC_S, opens_in_time_from};
use crate::protection::corner::lowest;
use crate::protection::ratings::{in_words, largest_up_to};
use crate::protection::{Case, Guard, Place};
use crate::quantity::{Amps, Metres, Unit, three_figures};
use crate::subject::Subject;
use crate::working::Working;

declare_check! {
    /// Finds places where a short circuit would draw too little current to open the fuse or breaker ahead of it in time.
    ///
    /// # What it checks
    ///
    /// The least current that a short circuit draws, at every net and across every load, in every state the circuit comes
    /// to: a battery of 12.0 V (24.0 V) behind at least 20 milliohm (40), alternators stopped, every wire of the greatest
    /// resistance its size allows and as warm as its insulation stands, 5 milliohm a contact, an earth point and the way of
    /// a battery pole to the body (all common practice, no source).
    /// It must be at least twice the rating of the fuse in its way, at which a blade fuse opens within 5 s; less is Look.
    /// It is Stop where it lies below 1.35 times the rating, so that the fuse need not open at all, and above what a wire
    /// on the way can carry.
    /// A breaker without a time to trip is Look, because nothing proves that it ends a fault in time; so is a fuse of more
    /// than 40 A that is not said to be of a type made for that, and a breaker that closes again by itself and stands
    /// alone: it cycles into the fault, and what flows over its cycle hangs on times that are not known. Before more than
    /// 1 m of wire it is no protection whatever they are.
    /// A place is looked at when something new is there, and only behind fuses of known rating.
    ///
    /// # Why it matters
    ///
    /// A long thin run limits the current of its own short circuit. The wire then glows while the fuse holds.
    ///
    /// # Example
    ///
    /// A 30 A fuse ahead of 5 m of 0.5 mm2: a short at the far end draws 50 A, and the fuse may take half a minute.
    ///
    /// # What to do
    ///
    /// Fit a smaller fuse, use a larger size, or shorten the run.
    name: "fault-too-small-to-blow",
    summary: "a short circuit draws too little to open its fuse in time",
    harm: Harm::Fire,
    explained_by: &["fuse-larger-than-wire", "undersized-conductor", "unfused-run", "volt-drop", "unconnected-terminal", "strap-overloaded"],
    run: run,
}

/// Multiple of its rating that the least fault must draw through a fuse.
const CLEARS_AT: f64 = 2.0;

/// Longest wire that a breaker which closes again by itself may guard alone, in metres (common practice, no source).
const ALONE_M: f64 = 1.0;

/// Share of a fault's current from which on a wire is on its way.
const ON_THE_WAY: f64 = 0.01;

const SOURCE: &str = "twice the rated current: common practice, no source; greatest resistance: ISO 6722-1:2011; battery and joints: common practice, no source";
const BREAKER_SOURCE: &str = "common practice, no source";

/// A place whose fault its guard may not end.
struct Weak<'p> {
    case: &'p Case,
    guard: Guard<'p>,
}

fn run(context: &Context<'_>, findings: &mut Vec<Finding>) {
    let mut small: BTreeMap<Vec<usize>, Vec<Weak<'_>>> = BTreeMap::new();
    let mut unproved: BTreeMap<Vec<usize>, Vec<Weak<'_>>> = BTreeMap::new();
    for case in &context.prospects().lowest {
        let Some(guard) = context.prospects().guard(case) else { continue };
        let weak = Weak { case, guard };
        let is_small = weak.multiple() < CLEARS_AT;
        let is_unproved = weak.guard.is_unproved() || weak.closes_again();
        if (is_small || is_unproved) && is_ours(context, case.place) {
            let mut links: Vec<usize> = weak.guard.binding().map(|link| link.branch).collect();
            arrange::sort(&mut links);
            if is_small { &mut small } else { &mut unproved }.entry(links).or_default().push(weak);
        }
    }
    for mut weak in small.into_values() {
        arrange::sort_by(&mut weak, |a, b| a.multiple().total_cmp(&b.multiple()));
        findings.push(finding(context, &weak));
    }
    for (links, weak) in unproved {
        findings.push(breaker_finding(context, &links, &weak));
    }
}

/// Whether something new is at a place.
fn is_ours(context: &Context<'_>, place: Place) -> bool {
    let circuit = context.circuit;
    match place {
        Place::Body(net) => circuit.at[net].iter().any(|branch| match context.wire_of(*branch) {
            Some((wire, _)) => wire.status == Status::New || context.touches_new(*branch),
            None => false,
        }),
        Place::Across(branch) => context
            .part_of(branch)
            .is_some_and(|(_, part)| part.status == Status::New && part.kind.class != Class::Donor),
    }
}

impl Weak<'_> {
    fn multiple(&self) -> f64 {
        self.case.amps.abs() / self.guard.rated()
    }

    fn amps(&self) -> Amps {
        Amps::new(self.case.amps.abs()).expect("the current of a fault is finite")
    }

    /// Where the limit is from, and the times of what opens.
    fn source(&self) -> String {
        let band = self.guard.binding().find_map(|link| link.band.as_ref());
        match band {
            Some(band) => format!("{SOURCE}; times of the fuse: {}", band.source(self.multiple())),
            None => SOURCE.to_owned(),
        }
    }

    /// The wires on the way, with their amperes.
    fn wires<'a>(&'a self, context: &'a Context<'_>) -> impl Iterator<Item = (usize, f64)> + 'a {
        let of = |(branch, ..): (usize, _, _)| (branch, self.case.currents[branch].abs());
        context.wires().map(of).filter(|(_, amps)| *amps > ON_THE_WAY * self.case.amps.abs())
    }

    /// The wire on the way that can carry least of what it has to, where that is not enough.
    fn overloaded(&self, context: &Context<'_>) -> Option<(usize, Amps)> {
        let stands = |(branch, amps): (usize, f64)| {
            let stands = context.wire_of(branch)?.1.ampacity()?.low;
            (amps > stands.get()).then_some((branch, stands, amps / stands.get().max(f64::MIN_POSITIVE)))
        };
        let worst = self.wires(context).filter_map(stands).max_by(|a, b| a.2.total_cmp(&b.2));
        worst.map(|(branch, stands, _)| (branch, stands))
    }

    /// Whether it is only breakers that close again by themselves.
    fn closes_again(&self) -> bool {
        self.guard.links().all(|link| link.is_automatic)
    }

    /// Metres of wire on the way between the guard and the fault.
    fn length_behind(&self, context: &Context<'_>) -> f64 {
        let zones = context.zones();
        let zone = zones.unfused_of(self.case.start(context.circuit));
        let behind = self
            .wires(context)
            .filter(|(wire, _)| zones.unfused_of(context.circuit.branches[*wire].from) == zone);
        behind.filter_map(|(wire, _)| context.wire_of(wire)).map(|(_, used)| used.length.high.get()).sum()
    }

    fn words(&self, context: &Context<'_>) -> String {
        let circuit = context.circuit;
        let network = &circuit.resolved.network;
        match self.case.place {
            Place::Body(net) => {
                let title =
                    circuit.net_subject(net).map(|subject| subject.title(network)).unwrap_or_default();
                format!("a short circuit from {title} to the body")
            }
            Place::Across(branch) => format!("a short circuit in {}", circuit.subject(branch).title(network)),
        }
    }
}

fn names(context: &Context<'_>, links: impl Iterator<Item = usize>) -> String {
    let circuit = context.circuit;
    let name = |branch: usize| {
        let rated = circuit.rating(branch).map_or_else(String::new, |rating| format!(" ({})", rating.high));
        format!("{}{rated}", circuit.subject(branch).title(&circuit.resolved.network))
    };
    links.map(name).collect::<Vec<_>>().join(" and ")
}

fn finding(context: &Context<'_>, weak: &[Weak<'_>]) -> Finding {
    let circuit = context.circuit;
    let network = &circuit.resolved.network;
    let worst = &weak[0];
    let links: Vec<usize> = worst.guard.binding().map(|link| link.branch).collect();
    let (multiple, amps) = (worst.multiple(), worst.amps());
    let corner = lowest();
    let lost = |(branch, amps): &(usize, f64)| amps / corner.line(circuit, *branch).conductance;
    // The wire that loses most is the one to make larger; without any wire there is only the fuse.
    let root = worst
        .wires(context)
        .max_by(|a, b| lost(a).total_cmp(&lost(b)))
        .map_or(links[0], |(branch, _)| branch);
    let overloaded = worst.overloaded(context);
    let assumed = worst.wires(context).any(|(wire, _)| context.is_assumed(wire))
        || links.iter().any(|link| context.is_guessed(*link))
        || worst.guard.binding().any(|link| link.rated_least < link.rated);
    let never = multiple < OPENS_ABOVE;
    let severity = if never && overloaded.is_some() && !assumed { Severity::Stop } else { Severity::Look };
    let takes = match (never, worst.guard.seconds(amps.get()).filter(|seconds| seconds.is_finite())) {
        (true, _) => "need not open at all".to_owned(),
        (false, Some(seconds)) => format!("may take {} s to open", three_figures(seconds)),
        (false, None) => "may take long to open".to_owned(),
    };
    let title = names(context, links.iter().copied());
    let if_so = if assumed { ", if what is assumed of the way there holds" } else { "" };
    let message = format!(
        "{} may draw no more than {amps}, {} times what {title} is rated for, so it {takes}{if_so}",
        worst.words(context),
        three_figures(multiple)
    );
    let mut because: Vec<Label> = Vec::new();
    if let Some((wire, stands)) = overloaded {
        because.push(Label { subject: circuit.subject(wire), text: format!("can carry {stands} meanwhile") });
    }
    let in_time = match opens_in_time_from(&worst.guard).and_then(Amps::new) {
        Some(amps) => format!("opens within {ADIABATIC_S} s only from {amps} on"),
        None => "nothing is known of how soon it opens".to_owned(),
    };
    because.extend(links.iter().map(|link| Label { subject: circuit.subject(*link), text: in_time.clone() }));
    for other in &weak[1..] {
        let subject = circuit
            .net_subject(other.case.start(circuit))
            .filter(|_| matches!(other.case.place, Place::Body(_)));
        if let Some(subject) = subject
            && because.iter().all(|told| told.subject != subject)
        {
            because.push(Label {
                subject,
                text: format!("a short circuit there may draw no more than {}", other.amps()),
            });
        }
    }
    let mut touches: Vec<Subject> =
        weak.iter().flat_map(|one| one.wires(context)).map(|(wire, _)| circuit.subject(wire)).collect();
    touches.extend(links.iter().map(|link| circuit.subject(*link)));
    // A load that is too far away for its fuse is too far away for its voltage as well.
    touches.extend(weak.iter().filter_map(|one| match one.case.place {
        Place::Across(branch) => Some(circuit.subject(branch)),
        Place::Body(_) => None,
    }));
    let subject = circuit.subject(root);
    Finding {
        check: CHECK.name,
        severity,
        message,
        because,
        measured: Some(amps.into()),
        basis: Basis::Calculated,
        allowed: Amps::new(CLEARS_AT * worst.guard.rated()).map(Into::into),
        help: vec![Help::words(remedy(&subject.title(network), amps, links.len()))],
        subject,
        source: worst.source(),
        working: working(amps.get(), worst.guard.rated()),
        touches,
    }
}

/// How the current of the short circuit came about, and the one that opens the fuse in time.
fn working(amps: f64, rated: f64) -> Vec<Working> {
    let least = Working::of_network("current of the short circuit", amps, Unit::Ampere, SOURCE);
    let clears = Working::of(
        "current that opens it in time",
        "I_min = 2 * I_n",
        CLEARS_AT * rated,
        Unit::Ampere,
        SOURCE,
    )
    .map(|working| working.with("I_n", "rating of what guards it", rated, Unit::Ampere, Basis::Entered));
    least.into_iter().chain(clears).collect()
}

/// How much wire a breaker that closes by itself guards alone, and how much it may.
fn alone(metres: f64) -> Vec<Working> {
    let behind = Working::of("wire it guards alone", "L = L_behind", metres, Unit::Metre, BREAKER_SOURCE)
        .map(|working| {
            working.with("L_behind", "longest way behind it", metres, Unit::Metre, Basis::Entered)
        });
    let most = Working::of("wire it may guard alone", "L_max = L_rule", ALONE_M, Unit::Metre, BREAKER_SOURCE)
        .map(|working| working.with("L_rule", "limit", ALONE_M, Unit::Metre, Basis::Tabled));
    behind.into_iter().chain(most).collect()
}

fn remedy(root: &str, amps: Amps, n_links: usize) -> String {
    let smaller = Amps::new(amps.get() / CLEARS_AT).and_then(largest_up_to).filter(|_| n_links == 1);
    match smaller {
        Some(rating) => format!(
            "use a larger size for {root}, shorten the run, or fit a fuse of at most {} if the load allows it",
            in_words(rating)
        ),
        None => format!("use a larger size for {root}, or shorten the run"),
    }
}

fn breaker_finding(context: &Context<'_>, links: &[usize], weak: &[Weak<'_>]) -> Finding {
    let circuit = context.circuit;
    let again = weak
        .iter()
        .filter(|one| one.closes_again())
        .map(|one| one.length_behind(context))
        .fold(0.0, f64::max);
    let title = names(context, links.iter().copied());
    let (message, help) = if again > ALONE_M {
        let length = Metres::new(again).map_or_else(String::new, |metres| metres.to_string());
        (
            format!(
                "{title} closes again by itself, and guards {length} of wire alone: it would feed a short circuit again and again"
            ),
            "put a fuse ahead of it, or fit a breaker that is closed again by hand",
        )
    } else if weak.iter().any(Weak::closes_again) {
        (
            format!(
                "{title} closes again by itself and guards alone: how long it stays open each time is not known, so neither is the current of a short circuit over its cycle (r.m.s.) that the wire must carry"
            ),
            "put a fuse ahead of it, or fit a breaker that is closed again by hand",
        )
    } else if weak.iter().any(|one| one.guard.binding().any(|link| !link.is_breaker && link.is_unproved())) {
        (
            format!(
                "nothing proves that {title} ends a short circuit in time: the usual blade fuse is not made for more than {LARGEST_BLADE_A} A"
            ),
            "give the type of fuse it is, one that is made for its rating",
        )
    } else {
        (
            format!(
                "how long {title} takes to trip is not given, so nothing proves that it ends a short circuit in time"
            ),
            "give the longest time it takes to trip at twice its rated current, or fit a fuse",
        )
    };
    let mut touches: Vec<Subject> = links.iter().map(|link| circuit.subject(*link)).collect();
    touches.extend(weak.iter().flat_map(|one| one.wires(context)).map(|(wire, _)| circuit.subject(wire)));
    Finding {
        check: CHECK.name,
        severity: Severity::Look,
        message,
        subject: circuit.subject(links[0]),
        because: Vec::new(),
        measured: Metres::new(again).filter(|_| again > ALONE_M).map(Into::into),
        basis: Basis::Entered,
        allowed: Metres::new(ALONE_M).filter(|_| again > ALONE_M).map(Into::into),
        help: vec![Help::words(help.to_owned())],
        source: BREAKER_SOURCE.to_owned(),
        working: alone(again),
        touches,
    }
}

#[cfg(test)]
mod tests {
    use crate::finding::{Finding, Severity};

    fn found(text: &str) -> Vec<Finding> {
        super::CHECK.alone_on(text)
    }

    fn run_of(fuse: &str, mm2: f64, metres: f64) -> String {
        format!(
            "battery G1
            {fuse}
            lamp E1 watts=5
            earth X2
            wire w1 G1.+ F1.1 mm2=4 m=0.1 insulation=B
            wire w2 F1.2 E1.1 mm2={mm2} m={metres} insulation=B
            wire w3 E1.2 X2.1 mm2=4 m=0.5 insulation=B"
        )
    }

    /// 5 m of 0.5 mm2 at 37.1 milliohm a metre and 100 degC are 0.2438 ohm; battery, strap and the 4 mm2 about 0.029.
    #[test]
    fn a_thin_run_behind_a_large_fuse_is_dangerous_and_behind_a_small_one_well() {
        let findings = found(&run_of("fuse F1 rating_a=40", 0.5, 5.0));
        assert_eq!(findings.len(), 1, "{findings:?}");
        assert_eq!((findings[0].severity, findings[0].subject.id()), (Severity::Stop, "w2".to_owned()));
        assert!(findings[0].message.contains("need not open at all"), "{}", findings[0].message);
        assert_eq!(found(&run_of("fuse F1 rating_a=20", 0.5, 5.0)), []);
    }

    #[test]
    fn between_the_two_limits_it_is_out_of_practice_and_the_time_is_told() {
        let findings = found(&run_of("fuse F1 rating_a=25", 0.5, 5.0));
        assert_eq!(findings.len(), 1, "{findings:?}");
        assert_eq!(findings[0].severity, Severity::Look);
        assert!(findings[0].message.contains("may take"), "{}", findings[0].message);
    }

    #[test]
    fn what_rests_on_an_assumed_length_is_no_more_than_a_look() {
        let text = run_of("fuse F1 rating_a=40", 0.22, 5.0);
        assert_eq!(found(&text)[0].severity, Severity::Stop);
        let text = text.replace("m=0.1", "");
        assert_eq!(found(&text)[0].severity, Severity::Look);
    }

    #[test]
    fn a_breaker_without_a_time_is_told_once() {
        let findings = found(&run_of("breaker F1 rating_a=10", 2.5, 0.5));
        assert_eq!(findings.len(), 1, "{findings:?}");
        assert!(findings[0].message.contains("is not given"), "{}", findings[0].message);
    }

    #[test]
    fn a_breaker_that_closes_again_by_itself_guards_no_long_lead_alone() {
        let findings = found(&run_of("breaker F1 rating_a=10 reset=automatic", 2.5, 1.5));
        assert_eq!(findings.len(), 1, "{findings:?}");
        assert!(findings[0].message.contains("again and again"), "{}", findings[0].message);
        // What flows over its cycle hangs on how long it stays open.
        let findings = found(&run_of("breaker F1 rating_a=10 reset=automatic trip_s=5", 2.5, 0.5));
        assert_eq!(findings.len(), 1, "{findings:?}");
        assert!(findings[0].message.contains("r.m.s."), "{}", findings[0].message);
        assert_eq!(found(&run_of("breaker F1 rating_a=10 trip_s=5", 2.5, 0.5)), []);
    }

    /// Type E, 60 A: 60 s at twice its rating (the slower of two values), 5 s at 3.84 times.
    #[test]
    fn the_time_told_is_that_of_the_fuses_own_type() {
        let findings = found(&run_of("fuse F1 rating_a=60 family=blade-E", 1.0, 6.0));
        assert_eq!(findings.len(), 1, "{findings:?}");
        let told = &findings[0].because.iter().find(|label| label.subject.id() == "F1").unwrap().text;
        assert_eq!(told, "opens within 5 s only from 231 A on");
        assert!(findings[0].source.contains("printed by one maker"), "{}", findings[0].source);
        let glass = found(&run_of("fuse F1 rating_a=25 family=glass", 0.5, 5.0));
        assert!(glass[0].source.contains("SAE J554"), "{}", glass[0].source);
    }
}
