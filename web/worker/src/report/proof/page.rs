//! The sheet as a whole: who, how far, the steps by situation, and what it shows.

use engine::diagnose::{HowTested, NOT_WHOLE, Stand, all_of, caution, not_right, steps_of};
use engine::document::sentence::print;
use engine::document::{Purpose, Record};
use engine::post::Report;
use engine::quantity::capital;

use super::card::Card;
use super::steps::CHANGED;
use super::{Known, Sheet, present};
use crate::report::markup::Markup;
use crate::report::{Asked, plural};

/// Most things told of one sort before the rest is only counted.
const MOST_TOLD: usize = 200;

/// Where the sheet stands, or how to begin one.
pub fn page(asked: &Asked<'_>, known: &mut Known) -> Report {
    let mut page = Markup::new();
    match present(asked.document) {
        Some(index) => {
            let record = &asked.document.records[index];
            let last = known.last;
            let sheet = known.sheet(asked, &record.minutes);
            match sheet.is_that_of(record) {
                true => filled_in(&mut page, asked, sheet, record, last),
                false => out_of_date(&mut page, record),
            }
            ends(&mut page, asked, index, record);
        }
        None => {
            page.line("p", "hint", "Few readings that show every wire, contact, fuse and interlock that is new to be right. Each says where the leads go, in which position of the switches, and what passes.");
            page.line(
                "p",
                "hint",
                "What passes is calculated, from tolerances of parts that are common practice.",
            );
            who(&mut page, "", "", None);
            page.button("Make the proving sheet", "proof-begin");
        }
    }
    Report { markup: page.done(), ..Report::default() }
}

/// The steps; `last` is the reading that was entered last.
fn filled_in(page: &mut Markup, asked: &Asked<'_>, sheet: &Sheet, record: &Record, last: Option<usize>) {
    let ranges = steps_of(&record.readings);
    let stands: Vec<Stand> = ranges.iter().map(|own| Stand::of(&record.readings[own.clone()])).collect();
    let n = |wanted: Stand| stands.iter().filter(|stand| **stand == wanted).count();
    let (all, done) = (stands.len(), stands.len() - n(Stand::Open));
    let next = stands.iter().position(|stand| *stand == Stand::Open);
    how_far(page, sheet, record, (done, all), n(Stand::Wrong));
    let findings = asked.prepared.findings().iter();
    let n_stops = findings.filter(|finding| finding.is_open_stop(&asked.document.accepted)).count();
    if let Some(caution) = caution(n_stops) {
        page.line("p", "refused", &caution);
    }
    if !sheet.proof.is_whole {
        page.line("p", "refused", NOT_WHOLE);
    }
    // What was just found not to be right, or is to be taken again, stays open.
    let is_last = |place: &usize| last.is_some_and(|last| ranges[*place].contains(&last));
    let waits = |place: &usize| matches!(stands[*place], Stand::Open | Stand::Wrong);
    let open = (0..all).find(|place| is_last(place) && waits(place)).or(next);
    let mut moment = None;
    for (place, step) in sheet.proof.steps.iter().enumerate() {
        if moment != Some(step.moment) {
            moment = Some(step.moment);
            page.line("h4", "", &capital(&sheet.case.moments[step.moment].when));
            page.element("div", &[("class", "row")], |row| {
                row.button("Set the drawing so", &format!("proof-set {}", ranges[place].start));
            });
        }
        let (is_open, has_next) = (open == Some(place), next.is_some());
        let first = ranges[place].start;
        Card { asked, sheet, record, step, number: place + 1, first, is_open, has_next }.show(page);
    }
    shows(page, sheet, record, next.is_none());
}

/// How far the sheet is, and at its end what came of it.
fn how_far(page: &mut Markup, sheet: &Sheet, record: &Record, (done, all): (usize, usize), n_wrong: usize) {
    if !record.answer.is_empty() {
        page.element("h4", &[("tabindex", "-1"), ("dir", "auto")], |line| line.text(&record.answer));
        page.paragraph("It is not signed until somebody signs it: the printed set has the record with a line for the signature.");
        return;
    }
    // How long the rest of a sheet takes was not worked out.
    let minutes = match done {
        0 => format!(". They take some {:.0} minutes.", sheet.proof.minutes),
        _ => ".".to_owned(),
    };
    page.strong(&format!("{done} of {all} steps done"), &minutes);
    if n_wrong > 0 {
        page.line("p", "proof-wrong", &format!("{}.", not_right(n_wrong, all)));
    }
}

/// What the sheet shows, and what no reading does.
fn shows(page: &mut Markup, sheet: &Sheet, record: &Record, is_done: bool) {
    let Sheet { case, proof, .. } = sheet;
    let open: &[(&str, &str)] = if is_done { &[("open", "")] } else { &[] };
    page.element("details", open, |details| {
        details.line("summary", "", "What it shows, and what it does not");
        let left = proof.left_open(&record.readings);
        let n_shown = proof.shown.len() - left.len();
        counts(details, n_shown, left.len(), proof.unproved.len() + proof.by_eye.len());
        let kept = proof.kept_rules(&record.readings);
        for (index, one) in proof.rules.iter().enumerate() {
            let how = match one.how {
                HowTested::OnTheSheet if kept.contains(&index) => "holds wherever it was looked at",
                HowTested::OnTheSheet => "not shown yet",
                HowTested::BrokenAsDrawn => "the drawing breaks it, so no reading can show it",
                HowTested::NotOnTheSheet => "no step shows it",
            };
            details.paragraph(&format!(
                "Rule “{}”: {how}.",
                print(&one.interlock, &case.circuit.resolved.network)
            ));
        }
        let in_words = |cause: usize| case.causes[cause].in_words(&case.circuit);
        if is_done {
            list(
                details,
                "Not shown, because a step is not right or was out of reach",
                left.iter().map(|cause| in_words(*cause)),
            );
        }
        let network = &case.circuit.resolved.network;
        let unshown = proof.unshown(case).into_iter().map(|one| {
            let of = all_of(network, &one.of);
            let what = if of.is_empty() { one.what } else { format!("{of}: {}", one.what) };
            format!("{}. {}", capital(&what), one.why)
        });
        list(details, "No reading shows", unshown);
        if proof.n_old > 0 {
            details.paragraph(&format!(
                "What was there before is not proved: {} in it not looked for.",
                if proof.n_old == 1 {
                    "1 fault is".to_owned()
                } else {
                    format!("{} faults are", proof.n_old)
                }
            ));
        }
    });
}

/// How much of what could be wrong was shown not to be.
fn counts(page: &mut Markup, n_shown: usize, n_left: usize, n_unshown: usize) {
    let all = n_shown + n_left + n_unshown;
    page.strong(&format!("{n_shown} of {all}"), " things that could be wrong were shown to be right.");
    if n_left > 0 {
        page.strong(
            &n_left.to_string(),
            " were not shown: a step is not right, was out of reach, or is still to be taken.",
        );
    }
    if n_unshown > 0 {
        page.strong(
            &n_unshown.to_string(),
            " cannot be shown by any reading. Look at them; they are listed below.",
        );
    }
}

fn list(page: &mut Markup, heading: &str, all: impl ExactSizeIterator<Item = String>) {
    let n = all.len();
    if n == 0 {
        return;
    }
    page.line("p", "", &format!("{heading}:"));
    page.element("ul", &[], |list| {
        all.take(MOST_TOLD).for_each(|words| list.line("li", "", &capital(&words)));
        if n > MOST_TOLD {
            list.line("li", "", &format!("and {} more", n - MOST_TOLD));
        }
    });
}

/// The drawing is another one by now: what was found stays, and nothing is entered any more.
fn out_of_date(page: &mut Markup, record: &Record) {
    page.line("p", "refused", CHANGED);
    let taken = record.readings.iter().filter(|one| one.found.is_some()).count() as u64;
    page.paragraph(&format!(
        "The old sheet stays in the job, with {}.",
        if taken == 0 { "nothing taken".to_owned() } else { format!("{} taken", plural(taken, "reading")) }
    ));
    page.button("Make a new sheet", "proof-begin");
}

/// Who takes the readings and with what.
fn who(page: &mut Markup, by: &str, meter: &str, date: Option<&str>) {
    page.element("div", &[("class", "row")], |row| {
        row.field("by", "Who takes the readings", by);
        row.field("meter", "With which meter", meter);
        if let Some(date) = date {
            row.field("date", "Date", date);
        }
        // The day on which a button is pressed.
        row.open("input", &[("type", "hidden"), ("name", "today"), ("data-today", "")]);
    });
}

/// What stands below the steps.
fn ends(page: &mut Markup, asked: &Asked<'_>, index: usize, record: &Record) {
    let is_filled_in = record.readings.iter().any(|one| one.found.is_some());
    page.element("details", &[], |details| {
        details.line("summary", "", "Who took the readings");
        who(details, &record.by, &record.meter, Some(&record.date));
        details.button("Keep", "proof-who");
    });
    page.element("details", &[], |details| {
        details.line("summary", "", "Other sheets");
        let records = asked.document.records.iter().enumerate();
        let others = records.filter(|(other, one)| *other != index && one.purpose == Purpose::Proof);
        for (other, one) in others {
            let answer = if one.answer.is_empty() { "not finished" } else { &one.answer };
            let title = [&one.date, &one.by].map(String::as_str).join(" ");
            details.paragraph(&format!(
                "{}: {answer}",
                if title.trim().is_empty() { "No date" } else { title.trim() }
            ));
            details.button("Throw it away", &format!("proof-delete {other}"));
        }
        if is_filled_in {
            details.button("Begin a new sheet", "proof-begin");
        }
        details.button("Throw this sheet away", &format!("proof-delete {index}"));
    });
}
