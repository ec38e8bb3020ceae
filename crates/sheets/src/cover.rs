//! The first sheet: what the set holds, how to read it, what it rests on, and what must be heeded.

use drawing::sheet::{CAUTIONS, LEGEND, LEGEND_OF_READINGS};
use drawing::text::clean;
use engine::answer::Answer;
use engine::document::settings;
use engine::finding::Severity;
use engine::kind::Form;
use engine::protection::rules;
use engine::quantity::by_hand;

use crate::facts::{Facts, in_words};
use crate::lists::{Row, Setting, Table, assumptions};
use crate::page::Page;

/// What the first sheet tells, as lists; `readings` are those on the circuit and the name of their positions. It comes on `before` sheets before these `pages`; `lost` is what could
/// not be printed.
pub fn tables(
    facts: &Facts<'_>,
    readings: Option<&(&str, Answer)>,
    before: usize,
    pages: &[Page],
    lost: &[String],
) -> Vec<Table> {
    let mut contents =
        Table::new("In this set", "contents", &[("Sheet", Setting::Name), ("Shows", Setting::Words)]);
    for (name, from, to) in runs(before, pages) {
        let sheets = if from == to { from.to_string() } else { format!("{from} to {to}") };
        contents.rows.push(entry(&[&sheets, &name]));
    }
    let mut read = sentences("How to read it", LEGEND.iter().map(|line| (*line).to_owned()));
    read.rows.push(entry(&[
        "Width of wires: up to 1 mm² or not known 0.35 mm, up to 4 mm² 0.5 mm, up to 16 mm² 0.7 mm, above 1 mm; what is \
         already there one step thinner.",
    ]));
    read.rows.push(entry(&[
        "A lozenge at the end of a wire: it goes on at the lozenge on the sheet and in the zone that are written beside \
         it, and leads to the terminal named.",
    ]));
    if readings.is_some() {
        read.rows.push(entry(&[LEGEND_OF_READINGS]));
    }
    let heed = sentences("To be heeded", CAUTIONS.iter().map(|line| (*line).to_owned()));
    let mut all = vec![job(facts), state(facts, readings), heed, contents, read];
    if !lost.is_empty() {
        all.push(sentences("What could not be printed", lost.iter().cloned()));
    }
    all
}

/// What the pages hold, each with the first and the last sheet that it stands on.
fn runs(before: usize, pages: &[Page]) -> Vec<(String, usize, usize)> {
    let mut runs = vec![("Overview".to_owned(), 1, before)];
    for (number, page) in (before + 1..).zip(pages) {
        for name in &page.holds {
            match runs.iter_mut().find(|(held, ..)| held == name) {
                Some((.., to)) => *to = number,
                None => runs.push((name.clone(), number, number)),
            }
        }
    }
    runs
}

fn entry(cells: &[&str]) -> Row {
    Row::Entry(cells.iter().map(|cell| (*cell).to_owned()).collect())
}

/// A list of sentences without a head.
fn sentences(name: &'static str, lines: impl Iterator<Item = String>) -> Table {
    let mut table = Table::new(name, "", &[("", Setting::Words)]);
    table.rows = lines.map(|line| Row::Entry(vec![line])).collect();
    table
}

/// The title data in full, as far as the title block below may have to cut it short.
fn job(facts: &Facts<'_>) -> Table {
    /// What a title block has whole when it is no longer than this.
    const SHORT: [&str; 3] = ["number", "revision", "date"];
    const WHOLE: usize = 10;
    let card = facts.card();
    let mut table = Table::new("The job", "", &[("", Setting::Name), ("", Setting::Words)]);
    for (what, says) in [
        ("title", &card.title),
        ("customer", &card.customer),
        ("vehicle", &card.vehicle),
        ("number", &card.number),
        ("revision", &card.revision),
        ("workshop", &card.owner),
        ("drawn by", &card.drawn_by),
        ("approved by", &card.approved_by),
        ("date", &card.date),
    ] {
        let is_whole = SHORT.contains(&what) && clean(says).chars().count() <= WHOLE;
        if !says.trim().is_empty() && !is_whole {
            table.rows.push(entry(&[what, &clean(says)]));
        }
    }
    table
}

/// How it stands with the job, and what it was reckoned with.
fn state(facts: &Facts<'_>, readings: Option<&(&str, Answer)>) -> Table {
    let mut table = Table::new("How it stands", "", &[("", Setting::Name), ("", Setting::Words)]);
    let count = |severity: Severity, is_accepted: bool| {
        let findings = facts.numbered().filter(|(_, finding, _)| finding.severity == severity);
        findings.filter(|(.., accepted)| accepted.is_some() == is_accepted).count()
    };
    let open = Severity::ALL
        .map(|severity| format!("{} {} ({})", count(severity, false), severity.word(), severity.meaning()));
    table.rows.push(entry(&["open findings", &open.join(", ")]));
    if facts.numbered().any(|(.., accepted)| accepted.is_some()) {
        let counts = Severity::ALL.map(|severity| format!("{} {}", count(severity, true), severity.word()));
        let says = format!("{}; by whom and why is told with the findings", counts.join(", "));
        table.rows.push(entry(&["accepted findings", &says]));
    }
    for (number, finding, accepted) in facts.numbered().filter(|(_, one, _)| one.severity == Severity::Stop) {
        let state = if accepted.is_some() { ", accepted" } else { "" };
        table.rows.push(entry(&[&format!("Stop {number}{state}"), &by_hand(&finding.message)]));
    }
    let n_assumed = facts.circuit().resolved.assumptions.len();
    let kinds = assumptions(facts).rows.len();
    let assumed = match n_assumed {
        0 => "nothing".to_owned(),
        _ => format!("{n_assumed} values, of {kinds} sorts; the sheet of assumptions lists them"),
    };
    table.rows.push(entry(&["assumed", &assumed]));
    let settings = &facts.document().settings;
    let number = |setting: &settings::Setting| match setting.spec.form {
        Form::Number { unit, .. } => in_words(settings.number(setting), unit).unwrap_or_default(),
        _ => String::new(),
    };
    let air = [&settings::CABIN_C, &settings::OUTSIDE_C, &settings::UNDER_BODY_C, &settings::ENGINE_BAY_C]
        .map(|setting| {
            format!("{} {}", setting.spec.meaning.trim_start_matches("air temperature "), number(setting))
        });
    table.rows.push(entry(&["air", &air.join(", ")]));
    let drop = format!(
        "told from {} on, too much above {}",
        number(&settings::DROP_LOOK),
        number(&settings::DROP_STOP)
    );
    let volts = in_words(settings.nominal_v, engine::quantity::Unit::Volt).unwrap_or_default();
    table.rows.push(entry(&["voltage", &format!("{volts} nominal; drop {drop}")]));
    if let Some(rules) = rules::chosen_in_words(settings) {
        table.rows.push(entry(&["rules", &rules]));
    }
    let drawn = match readings {
        Some((name, _)) => format!("contacts at rest; readings with switches: {name}"),
        None => "contacts at rest".to_owned(),
    };
    table.rows.push(entry(&["state drawn", &drawn]));
    if let Some((_, answer)) = readings {
        let verdict = Some(&answer.verdict_words).filter(|words| !words.is_empty());
        for words in verdict.into_iter().chain(answer.opening.iter().map(|(_, words)| words)) {
            table.rows.push(entry(&["then", &by_hand(words)]));
        }
    }
    table
}
