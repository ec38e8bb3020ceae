//! What is complained of, the card with the next reading or with what was found, and what was read so far.

use engine::diagnose::{End, Proposal, Remade, Standing, Walk, about, found_in_words};
use engine::document::{Found, Probe, Situation};
use engine::quantity::capital;

use super::super::markup::Markup;
use super::super::records::meter_field;
use super::begin::in_words;
use super::{causes, steps};

/// What is complained of, one line each.
pub fn complaints(page: &mut Markup, walk: &Walk<'_>) {
    let network = &walk.case.circuit.resolved.network;
    for complaint in walk.complaints {
        let what = about(network, &complaint.probe);
        page.strong(&format!("{} {}.", capital(&what), in_words(complaint)), "");
    }
}

/// The next reading.
pub fn next(card: &mut Markup, walk: &Walk<'_>, standing: &Standing) {
    let Some(next) = &standing.next else { return };
    let sure = if standing.confirms { ", to make sure" } else { "" };
    card.heading(&format!("Reading {}{sure}", walk.readings.len() + 1));
    if let Some(index) = standing.suspicious {
        let item = walk.item_in_words(walk.complaints.len() + index);
        card.strong("This does not go with the rest: ", &format!("{item}. Take it again."));
    }
    card.strong(&next.instruction(walk.case), "");
    let moment = &walk.case.moments[next.moment];
    card.line("p", "hint", &format!("That is: {}.", moment.in_words(&walk.case.circuit.resolved.network)));
    answers(card, walk, next);
    if let Probe::Volts { .. } = next.probe {
        with_a_lamp(card, walk.readings.len());
    }
    card.line("p", "hint", &format!("It takes about {}. What it may come to:", minutes(next.minutes)));
    card.element("ul", &[], |list| {
        for expected in next.expected.iter().take(MOST_EXPECTED) {
            list.line("li", "", &format!("{}.", capital(&expected.in_words(walk, &next.probe))));
        }
    });
}

/// Most outcomes that a card tells.
const MOST_EXPECTED: usize = 4;

/// Most changes of the drawing that are told.
const MOST_REMADE: usize = 3;

/// The fields and buttons that take what was found.
fn answers(card: &mut Markup, walk: &Walk<'_>, next: &Proposal) {
    let place = walk.readings.len();
    match next.probe {
        Probe::Volts { .. } | Probe::Pin { .. } => meter_field(card, "number", "The meter shows, in V", ""),
        Probe::Amps(_) => meter_field(card, "number", "The meter shows, in A", ""),
        _ => {}
    }
    card.element("div", &[("class", "row")], |row| {
        for (caption, word) in buttons(&next.probe) {
            row.button(caption, &format!("walk-take {place} {word}"));
        }
        row.button("Can't reach", &format!("walk-take {place} out"));
        if let Some(last) = place.checked_sub(1) {
            row.button("Take the last one back", &format!("walk-drop {last}"));
        }
        if let Some(words) = switches(walk, &walk.case.moments[next.moment].situation) {
            row.button("Set the drawing so", &words);
        }
    });
}

/// The same place with a test lamp, for who has no meter at hand.
fn with_a_lamp(card: &mut Markup, place: usize) {
    card.element("details", &[], |details| {
        details.line("summary", "", "With a test lamp instead");
        details.strong("Caution: ", "never where a control module may be at the other end: a filament takes more than it can give.");
        details.line("p", "hint", "Hold the lamp between the same two points. It takes current, so a bad joint leaves it dim where a meter shows full volts.");
        details.element("div", &[("class", "row")], |row| {
            for (caption, word) in [("Lit", "lit"), ("Dim", "dim"), ("Dark", "dark")] {
                row.button(caption, &format!("walk-take {place} lamp-{word}"));
            }
        });
    });
}

/// What can be answered, each with its word.
fn buttons(probe: &Probe) -> &'static [(&'static str, &'static str)] {
    match probe {
        Probe::Volts { .. } | Probe::Pin { .. } => {
            &[("Enter this reading", "number"), ("Enter it as mV", "milli")]
        }
        Probe::Amps(_) => &[("Enter this reading", "number"), ("Enter it as mA", "milli")],
        Probe::Look(..) | Probe::TestLamp { .. } => &[("Lit", "lit"), ("Dim", "dim"), ("Dark", "dark")],
        Probe::Listen(_) => &[("Clicks", "clicks"), ("Silent", "silent")],
        Probe::Fuse(_) => &[("Whole", "whole"), ("Blown", "open")],
    }
}

/// The words that set switches and donor circuits so; none where that is what they are at rest.
fn switches(walk: &Walk<'_>, situation: &Situation) -> Option<String> {
    let network = &walk.case.circuit.resolved.network;
    let one = |(id, position): (_, &String)| {
        let number = network.part(id)?.positions().iter().position(|one| one == position)?;
        Some(format!(" {id}:{number}"))
    };
    let set: Option<Vec<String>> = situation.set.iter().map(one).collect();
    Some(format!("set{}", set?.concat()))
}

fn minutes(minutes: f64) -> String {
    match minutes.round() {
        n if n <= 1.0 => "a minute".to_owned(),
        n => format!("{n} minutes"),
    }
}

/// What was found, and what to do about it.
pub fn found(card: &mut Markup, walk: &Walk<'_>, standing: &Standing, end: End, remade: &[Remade]) {
    let network = &walk.case.circuit.resolved.network;
    let group: Vec<_> = standing.group.iter().filter_map(|place| standing.causes.get(*place)).collect();
    let words: Vec<String> = group.iter().map(|ranked| walk.cause_in_words(ranked)).collect();
    match (end, words.as_slice()) {
        (End::Found, [one]) => {
            card.heading("Found");
            card.strong(&format!("{}.", capital(one)), "");
        }
        (End::Found, _) => {
            card.heading("Found, as far as any reading tells");
            several(card, &words);
            card.paragraph("Whatever is read, it comes out the same for all of these: look at each of them.");
        }
        (End::OutOfReach | End::NothingTells, _) => {
            card.heading("No reading tells these apart");
            several(card, &words);
            if standing.beyond.is_none() {
                card.paragraph(
                    "What could still be read comes out so nearly the same that it would tell nothing.",
                );
            }
        }
    }
    if standing.is_as_drawn(walk.case) {
        match walk.is_drawn_so() {
            true => card.paragraph(
                "What you complain of is what the drawing asks for: it is the drawing that has to change.",
            ),
            false => card.paragraph(
                "What was read is as it is drawn, but what you complain of is not. Look whether it is still so.",
            ),
        }
        if remade.is_empty() && walk.is_drawn_so() {
            card.paragraph("No single connection made otherwise gives what is wanted: more than one thing has to change.");
        }
    }
    if let Some(probe) = &standing.beyond {
        card.paragraph(&format!(
            "They would be told apart at {}, where nobody could get. Take that reading back in the list below if somebody can after all.",
            about(network, probe)
        ));
    }
    let remedies: Vec<String> = group
        .iter()
        .filter_map(|ranked| walk.case.causes[ranked.cause].fault())
        .map(|fault| fault.remedy(network))
        .collect();
    let mut told: Vec<&str> = Vec::new();
    for remedy in remedies.iter().map(String::as_str) {
        if !told.contains(&remedy) {
            told.push(remedy);
            card.paragraph(remedy);
        }
    }
    for one in remade.iter().take(MOST_REMADE) {
        let then = match (one.n_stops, one.n_looks) {
            (0, 0) => "the checks find no Stop and no Look".to_owned(),
            (stops, looks) => format!("the checks find {stops} Stop and {looks} Look"),
        };
        card.strong(&one.what, &format!(" Then everything complained of is as it should be, and {then}."));
    }
    card.line("p", "hint", "Calculated, not measured: put it right, then look whether it works.");
    steps::closing(card, &answer(&words, remade));
    if let Some(last) = walk.readings.len().checked_sub(1) {
        card.button("Take the last reading back", &format!("walk-drop {last}"));
    }
}

/// What the record says it was, unless the user writes otherwise: the cause, and what has to be changed in the drawing.
fn answer(words: &[String], remade: &[Remade]) -> String {
    let cause = format!("{}.", capital(&words.join(", or ")));
    match remade.iter().take(MOST_REMADE).map(|one| one.what.as_str()).collect::<Vec<_>>().join(" Or: ") {
        change if change.is_empty() => cause,
        change => format!("{cause} {change}"),
    }
}

fn several(card: &mut Markup, words: &[String]) {
    card.element("ul", &[], |list| {
        for one in words.iter().take(causes::MOST) {
            list.line("li", "", &format!("{}.", capital(one)));
        }
    });
    if words.len() > causes::MOST {
        card.paragraph(&format!("And {} more.", words.len() - causes::MOST));
    }
}

/// The readings, each with a way to take it again.
pub fn so_far(page: &mut Markup, walk: &Walk<'_>) {
    if walk.readings.is_empty() {
        return;
    }
    page.element("details", &[], |details| {
        details.line("summary", "", &format!("Readings so far: {}", walk.readings.len()));
        details.element("ol", &[], |list| {
            for (number, reading) in walk.readings.iter().enumerate() {
                let found = reading.found.unwrap_or(Found::CannotReach);
                let network = &walk.case.circuit.resolved.network;
                list.element("li", &[("dir", "auto")], |item| {
                    item.text(&format!(
                        "{}: {} ({})",
                        capital(&about(network, &reading.probe)),
                        found_in_words(&reading.probe, found),
                        name(&reading.situation)
                    ));
                    item.text(" ");
                    item.button("Take it back", &format!("walk-drop {number}"));
                });
            }
        });
    });
}

/// What a situation is called.
pub fn name(situation: &Situation) -> &str {
    if situation.name.is_empty() { "as it was set" } else { &situation.name }
}
