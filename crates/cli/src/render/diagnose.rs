//! The answer of `diagnose`, as text and as JSON.

use engine::diagnose::{
    End, Expected, Proposal, Ranked, Remade, Row, Standing, Told as Outcome, Walk, about, percent,
};
use engine::document::{Document, Found, Probe};
use engine::quantity::capital;
use serde_json::{Map, Value, json};

use super::json::{assumed as assumptions, subject, text as reply};
use super::layout::{table, wrapped};
use super::{assumed, harmless};

/// Most causes that are shown to people.
const MOST_CAUSES: usize = 8;

/// From which share on a cause is shown to people.
const LEAST_SHARE: f64 = 0.01;

/// What there is to tell.
pub struct Told<'t> {
    /// The job.
    pub document: &'t Document,
    /// The walk.
    pub walk: &'t Walk<'t>,
    /// Where it stands.
    pub standing: &'t Standing,
    /// The connections that, made otherwise, give what is wanted.
    pub remade: &'t [Remade],
}

/// Answer for people.
pub fn text(told: &Told<'_>) -> String {
    let Told { document, walk, standing, .. } = told;
    let mut out = String::new();
    if !document.card.title.is_empty() {
        wrapped(&mut out, "", &document.card.title);
        out.push('\n');
    }
    out.push_str("Likely causes\n");
    let rows = standing.rows(walk);
    let n_likely = rows.iter().filter(|row| row.share >= LEAST_SHARE).count();
    let shown = &rows[..n_likely.clamp(1, MOST_CAUSES).min(rows.len())];
    let lines: Vec<Vec<String>> = shown.iter().map(|row| line(told, row)).collect();
    table(&mut out, &lines);
    let n_more = standing.causes.len() - shown.iter().map(|row| row.places.len()).sum::<usize>();
    if n_more > 0 {
        wrapped(&mut out, "  ", &format!("{n_more} more are less likely."));
    }
    out.push('\n');
    for ranked in shown.iter().take(3).map(|row| &standing.causes[row.places[0]]) {
        let (cause, reasons) = (capital(&walk.cause_in_words(ranked)), capital(&walk.reasons(ranked)));
        wrapped(&mut out, "  ", &format!("{cause}. {reasons}."));
    }
    out.push('\n');
    if let Some(end) = standing.end {
        ended(&mut out, told, end);
    }
    if let Some(next) = &standing.next {
        next_reading(&mut out, told, next);
    }
    out.push_str(
        "Calculated, not measured. How often each thing happens and how long readings take is common practice, no source.\n",
    );
    assumed::for_checks(&mut out, &walk.case.circuit);
    out
}

/// How likely the causes of a row are together, and what they are.
fn line(told: &Told<'_>, row: &Row) -> Vec<String> {
    let Told { walk, standing, .. } = told;
    let causes: Vec<String> =
        row.places.iter().map(|place| harmless(&walk.cause_in_words(&standing.causes[*place]))).collect();
    let alike = if causes.len() > 1 { " (no reading asked for here tells these apart)" } else { "" };
    vec![percent(row.share), format!("{}{alike}", causes.join(", or "))]
}

fn ended(out: &mut String, told: &Told<'_>, end: End) {
    let Told { walk, standing, remade, .. } = told;
    let group: Vec<&Ranked> = standing.group.iter().filter_map(|place| standing.causes.get(*place)).collect();
    let words: Vec<String> = group.iter().map(|ranked| walk.cause_in_words(ranked)).collect();
    match (end, words.as_slice()) {
        (End::Found, [one]) => wrapped(out, "", &format!("Found: {one}.")),
        (End::Found, several) => {
            wrapped(out, "", &format!("Found, as far as any reading tells: {}.", several.join(", or ")));
        }
        (End::OutOfReach | End::NothingTells, left) => {
            wrapped(out, "", &format!("No reading tells these apart: {}.", left.join(", or ")));
        }
    }
    if let Some(probe) = &standing.beyond {
        let network = &told.document.network;
        wrapped(
            out,
            "",
            &format!("They would be told apart at {}, where nobody can get.", about(network, probe)),
        );
    }
    for ranked in &group {
        if let Some(fault) = walk.case.causes[ranked.cause].fault() {
            wrapped(out, "  ", &fault.remedy(&told.document.network));
        }
    }
    for one in remade.iter().take(3) {
        let found = match (one.n_stops, one.n_looks) {
            (0, 0) => "no Stop and no Look is found then".to_owned(),
            (stops, looks) => format!("{stops} Stop and {looks} Look are found then"),
        };
        wrapped(
            out,
            "  ",
            &format!("{} With that everything complained of is as it should be; {found}.", one.what),
        );
    }
}

fn next_reading(out: &mut String, told: &Told<'_>, next: &Proposal) {
    let Told { walk, standing, .. } = told;
    if let Some(index) = standing.suspicious {
        let item = walk.item_in_words(walk.complaints.len() + index);
        wrapped(out, "", &format!("This does not go with the rest: {item}. Take it again."));
    }
    let begins = if standing.confirms { "To make sure: " } else { "Next: " };
    wrapped(out, begins, &format!("{} About {:.1} minutes.", next.instruction(walk.case), next.minutes));
    let moment = &walk.case.moments[next.moment];
    wrapped(out, "  ", &format!("That is: {}.", moment.in_words(&walk.case.circuit.resolved.network)));
    for expected in &next.expected {
        wrapped(out, "  ", &format!("{}.", expected.in_words(walk, &next.probe)));
    }
}

/// Answer for programs.
pub fn json(told: &Told<'_>) -> String {
    let Told { document, walk, standing, remade } = told;
    let causes: Vec<Value> = standing.causes.iter().map(|ranked| cause(walk, ranked)).collect();
    let end = standing.end.map(|end| match end {
        End::Found => "found",
        End::OutOfReach => "out of reach",
        End::NothingTells => "nothing tells",
    });
    let remade: Vec<Value> = (remade.iter())
        .map(|one| json!({ "what": one.what, "stops": one.n_stops, "looks": one.n_looks }))
        .collect();
    reply(&json!({
        "job": document.card.title,
        "causes": causes,
        "alike": standing.rows(walk).into_iter().map(|row| row.places).filter(|row| row.len() > 1).collect::<Vec<_>>(),
        "group": standing.group,
        "end": end,
        "suspicious": standing.suspicious,
        "beyond": standing.beyond.as_ref().map(probe),
        "remade": remade,
        "next": standing.next.as_ref().map(|next| proposal(walk, next)),
        "assumed": assumptions(&walk.case.circuit),
    }))
}

fn cause(walk: &Walk<'_>, ranked: &Ranked) -> Value {
    let fault = walk.case.causes[ranked.cause].fault();
    json!({
        "what": walk.cause_in_words(ranked),
        "subject": fault.map(|fault| subject(&fault.subject)),
        "share": ranked.share,
        "ohm": ranked.ohm,
        "explains": ranked.explains.iter().map(|item| walk.item_in_words(*item)).collect::<Vec<_>>(),
        "against": ranked.against.iter().map(|item| walk.item_in_words(*item)).collect::<Vec<_>>(),
        "remedy": fault.map(|fault| fault.remedy(&walk.case.circuit.resolved.network)),
    })
}

fn proposal(walk: &Walk<'_>, next: &Proposal) -> Value {
    let moment = &walk.case.moments[next.moment];
    let set: Map<String, Value> =
        moment.situation.set.iter().map(|(part, position)| (part.to_string(), json!(position))).collect();
    json!({
        "situation": { "name": moment.situation.name, "set": set },
        "probe": probe(&next.probe),
        "what": next.instruction(walk.case),
        "minutes": next.minutes,
        "information": next.information,
        "expected": next.expected.iter().map(|one| expected(walk, &next.probe, one)).collect::<Vec<_>>(),
    })
}

fn expected(walk: &Walk<'_>, probe: &Probe, one: &Expected) -> Value {
    let (found, within) = match one.told {
        Outcome::Number(value, off) => (json!({ "number": value }), Some(off)),
        Outcome::Plain(found) => (self::found(found), None),
    };
    let causes = one.causes.iter().map(|cause| walk.case.causes[*cause].in_words(&walk.case.circuit));
    json!({
        "found": found,
        "give_or_take": within,
        "share": one.share,
        "what": one.in_words(walk, probe),
        "causes": causes.collect::<Vec<_>>(),
    })
}

/// A probe, as observations have it.
pub fn probe(probe: &Probe) -> Value {
    match probe {
        Probe::Volts { at, against: None } => json!({ "volts_at": at.to_string() }),
        Probe::Volts { at, against: Some(against) } => {
            json!({ "volts_at": at.to_string(), "against": against.to_string() })
        }
        Probe::TestLamp { at, against: None } => json!({ "lamp_at": at.to_string() }),
        Probe::TestLamp { at, against: Some(against) } => {
            json!({ "lamp_at": at.to_string(), "against": against.to_string() })
        }
        Probe::Amps(wire) => json!({ "amps_in": wire.as_str() }),
        Probe::Look(part, load) if load.is_empty() => json!({ "look_at": part.as_str() }),
        Probe::Look(part, load) => json!({ "look_at": part.as_str(), "load": load }),
        Probe::Listen(part) => json!({ "listen_to": part.as_str() }),
        Probe::Fuse(part) => json!({ "fuse_of": part.as_str() }),
        Probe::Pin { wire, against_positive } => {
            json!({ "pin": wire, "against_positive": against_positive })
        }
    }
}

fn found(found: Found) -> Value {
    match found {
        Found::Number(value) => json!({ "number": value }),
        Found::Seen(seen) => json!({ "seen": seen.word() }),
        Found::Heard(heard) => json!({ "heard": heard }),
        Found::Whole(whole) => json!({ "whole": whole }),
        Found::CannotReach => json!("cannot reach"),
    }
}
