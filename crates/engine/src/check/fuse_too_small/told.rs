//! What is said about a fuse that is too small.

use super::{CHECK, Fault, Weak, for_good};
use crate::check::{Context, opens};
use crate::circuit::Origin;
use crate::finding::{Basis, Finding, Help, Label, Severity};
use crate::kind::{OPENS_ABOVE, OPENS_SOURCE};
use crate::protection::Link;
use crate::protection::ratings::{in_words, smallest_from};
use crate::quantity::{Amps, Quantity, Unit, three_figures};
use crate::working::Working;

/// Share of a fuse's current from which on a load is named.
const NAMED_SHARE: f64 = 0.01;

const FOR_GOOD_SOURCE: &str = "share for good: a setting of the job, 80 %: common practice, no source";
const INRUSH_SOURCE: &str = "least integral: printed for links declared to ISO 8820-3, other types from memory; inrush as half its peak squared times 20 to 50 ms: common practice, no source";

pub(super) fn finding(context: &Context<'_>, fuse: usize, weak: &Weak) -> Finding {
    let circuit = context.circuit;
    let network = &circuit.resolved.network;
    let subject = circuit.subject(fuse);
    let none = Amps::new(0.0).expect("nought is finite");
    let (rated, highest) = circuit.rating(fuse).map_or((none, none), |rating| (rating.low, rating.high));
    let (title, opening) = match circuit.branches[fuse].origin {
        Origin::Part(part, _) => opens(network, &network.parts[part].id, rated),
        Origin::Wire(_) => (subject.title(network), "blow"),
    };
    let amps = Amps::new(weak.amps).expect("a solved current is finite");
    let share = three_figures(100.0 * weak.amps / rated.get());
    let when = &weak.when;
    let is_at_least = weak.amps <= OPENS_ABOVE * highest.get() && rated < highest;
    let guessed = context.is_guessed(fuse) || is_at_least;
    let if_so = match (guessed, is_at_least) {
        (_, true) => ", if it has the lowest rating that is given",
        (true, _) => ", if its rating is what is assumed",
        _ => "",
    };
    let (severity, message, allowed) = match weak.fault {
        Fault::Opens => (
            if guessed { Severity::Look } else { Severity::Stop },
            format!("{title} would {opening} {when}: it carries {amps}{if_so}"),
            OPENS_ABOVE,
        ),
        Fault::AboveRating => {
            (Severity::Look, format!("{title} carries {amps} {when}, more than its rating{if_so}"), 1.0)
        }
        Fault::ForGood => (
            Severity::Look,
            format!(
                "{title} carries {amps} {when} at the voltage its loads are rated for, {share} % of its rating{if_so}; up to {} % is good practice",
                three_figures(100.0 * for_good(circuit))
            ),
            for_good(circuit),
        ),
        Fault::Inrush | Fault::SlowInrush => (
            if weak.fault == Fault::Inrush { Severity::Look } else { Severity::Note },
            format!(
                "{title} may {opening} when cold lamps are switched on {when}: they draw {amps} at first"
            ),
            0.0,
        ),
    };
    let is_inrush = matches!(weak.fault, Fault::Inrush | Fault::SlowInrush);
    let ends = [circuit.branches[fuse].from, circuit.branches[fuse].to];
    Finding {
        check: CHECK.name,
        severity,
        message,
        because: because(context, fuse, weak),
        measured: Some(amps.into()),
        basis: Basis::Calculated,
        allowed: Amps::new(allowed * rated.get()).filter(|_| !is_inrush).map(Quantity::from),
        help: vec![Help::words(remedy(weak, rated, for_good(circuit)))],
        touches: [subject.clone()]
            .into_iter()
            .chain(context.misplaced_at(&context.joined_with(&ends)))
            .chain(context.in_line_with(fuse))
            .collect(),
        subject,
        source: match weak.fault {
            Fault::Inrush | Fault::SlowInrush => INRUSH_SOURCE.to_owned(),
            _ => format!("{}; {FOR_GOOD_SOURCE}", opening_source(context, fuse)),
        },
        working: working(weak, allowed, rated.get(), opening_source(context, fuse)),
    }
}

/// Where it is from that it opens from 1.35 times its rating on: what is printed for blades, or the source of its own
/// type.
fn opening_source(context: &Context<'_>, fuse: usize) -> &'static str {
    let family = context.part_of(fuse).and_then(|(part, _)| context.circuit.resolved.parts[part].as_ref());
    let is_blade = family.and_then(|used| used.word("family")).is_none_or(|word| word.starts_with("blade-"));
    let band = Link::of(context.circuit, fuse).and_then(|link| link.band).filter(|_| !is_blade);
    band.map_or(OPENS_SOURCE, |band| band.opens_from().1)
}

/// How the current came about, and what the fuse stands.
fn working(weak: &Weak, share: f64, rated: f64, opening_source: &'static str) -> Vec<Working> {
    let current =
        Working::of_network("current through it", weak.amps, Unit::Ampere, "Kirchhoff's current law");
    let source = match weak.fault {
        Fault::Inrush | Fault::SlowInrush => return current.into_iter().collect(),
        Fault::ForGood => FOR_GOOD_SOURCE,
        _ => opening_source,
    };
    let most = Working::of("current it stands", "I_max = f * I_n", share * rated, Unit::Ampere, source).map(
        |working| {
            working.with("f", "share of its rating", share, Unit::One, Basis::Tabled).with(
                "I_n",
                "its rating",
                rated,
                Unit::Ampere,
                Basis::Entered,
            )
        },
    );
    current.into_iter().chain(most).collect()
}

/// The loads that work in the situation and that the fuse carries the current of.
fn because(context: &Context<'_>, fuse: usize, weak: &Weak) -> Vec<Label> {
    let circuit = context.circuit;
    let zones = context.zones();
    let branch = &circuit.branches[fuse];
    let surveyed = context.survey.situations.iter().find(|surveyed| surveyed.when == weak.when);
    let Some(rest) = surveyed.and_then(|surveyed| surveyed.rests().next()) else { return Vec::new() };
    let far = if rest.steady.amps(fuse) >= 0.0 { branch.to } else { branch.from };
    let is_behind = |load: &usize| {
        let amps = rest.steady.amps(*load).abs();
        zones.unfused_of(circuit.branches[*load].from) == zones.unfused_of(far)
            && amps > NAMED_SHARE * weak.amps
    };
    let label = |load: usize| Label { subject: circuit.subject(load), text: "is fed through it".to_owned() };
    let loads = circuit.loads().map(|(load, _)| load);
    let mut labels: Vec<Label> = loads.filter(is_behind).map(label).collect();
    labels.dedup_by(|a, b| a.subject == b.subject);
    labels
}

fn remedy(weak: &Weak, rated: Amps, for_good: f64) -> String {
    let needed = match weak.fault {
        // Which rating stands an inrush depends on the type as well: the next one is a try.
        Fault::Inrush | Fault::SlowInrush => 1.01 * rated.get(),
        _ => weak.amps / for_good,
    };
    match Amps::new(needed).and_then(smallest_from) {
        Some(rating) => {
            let rating = in_words(rating);
            format!("fit {rating} if the wires behind it allow it, or share the load out over two fuses")
        }
        None => "share the load out over several fuses".to_owned(),
    }
}
