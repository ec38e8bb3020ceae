//! What is complained of: the form, and what its buttons do.

use engine::circuit::Circuit;
use engine::diagnose::{about, drawn, wrong_in_words};
use engine::document::{AT_REST, Complaint, Found, Probe, Purpose, Record, Seen, Situation};
use engine::ids::PartId;
use engine::kind::{Class, Role};
use engine::post::Report;

use super::super::Asked;
use super::super::markup::Markup;
use super::{Known, changed, open, refused, situations, with_record};

/// The situation that the drawing is set to, in the list of situations.
const NOW: &str = "now";

/// The form that a walk begins with.
pub fn form(asked: &Asked<'_>, page: &mut Markup) {
    page.paragraph("Say what you see. Each card then asks for one reading, the one that tells most for the least trouble.");
    page.strong(
        "Caution: ",
        "hands off bare metal while it is live, and everything off before a fuse is pulled. Airbag, brake and steering circuits and high voltage are none of this.",
    );
    things(asked, page);
}

/// What may be complained of, each with the buttons that say how it is.
pub fn things(asked: &Asked<'_>, page: &mut Markup) {
    let circuit = asked.prepared.circuit();
    page.element("div", &[("class", "row")], |row| {
        let all = whens(asked);
        let listed: Vec<(&str, &str)> =
            all.iter().map(|(value, title, _)| (value.as_str(), title.as_str())).collect();
        let chosen = asked.field("when").map_or_else(|| first_choice(&all), str::to_owned);
        row.select("when", "In which situation", &listed, &chosen);
        row.open("input", &[("type", "hidden"), ("name", "date"), ("data-today", "")]);
    });
    let network = &asked.document.network;
    for Sort { name, caption, answers } in SORTS {
        let probes = probes(circuit, name);
        if probes.is_empty() {
            continue;
        }
        let numbered = probes.iter().enumerate();
        let titles: Vec<(String, String)> =
            numbered.map(|(number, probe)| (number.to_string(), about(network, probe))).collect();
        let listed: Vec<(&str, &str)> =
            titles.iter().map(|(value, title)| (value.as_str(), title.as_str())).collect();
        page.element("div", &[("class", "row")], |row| {
            row.select(name, caption, &listed, asked.field(name).unwrap_or_default());
            for (caption, found) in answers.iter() {
                row.button(caption, &format!("walk-begin {name} {found}"));
            }
        });
    }
}

/// A sort of things that may be complained of.
struct Sort {
    name: &'static str,
    caption: &'static str,
    /// What is said of one, with the word for it.
    answers: &'static [(&'static str, &'static str)],
}

const SORTS: &[Sort] = &[
    Sort {
        name: "load",
        caption: "A load",
        answers: &[
            ("Stays dark or dead", "dark"),
            ("Is dim or weak", "dim"),
            ("Works, and should not", "lit"),
        ],
    },
    Sort {
        name: "relay",
        caption: "A relay",
        answers: &[("Does not click", "silent"), ("Clicks, and should not", "clicks")],
    },
    Sort { name: "fuse", caption: "A fuse", answers: &[("Has blown", "open")] },
];

/// Everything of a sort that the job has.
fn probes(circuit: &Circuit, sort: &str) -> Vec<Probe> {
    match sort {
        "load" => loads(circuit),
        "relay" => relays(circuit),
        "fuse" => fuses(circuit),
        _ => Vec::new(),
    }
}

/// The situations to choose from: value, title, and the situation.
fn whens(asked: &Asked<'_>) -> Vec<(String, String, Situation)> {
    let named = asked.document.situations.iter().enumerate();
    let mut all: Vec<(String, String, Situation)> =
        named.map(|(index, one)| (index.to_string(), one.name.clone(), one.clone())).collect();
    let now = asked.situation;
    let circuit = asked.prepared.circuit();
    let positions = circuit.positions(now);
    if all.iter().all(|(.., one)| circuit.positions(one) != positions) {
        let title = if now.name == AT_REST { "with everything at rest" } else { "as set on the drawing now" };
        all.push((NOW.to_owned(), title.to_owned(), now.clone()));
    }
    all
}

/// The situation that the drawing is set to comes first, unless it is at rest: hardly anything is complained of then.
fn first_choice(all: &[(String, String, Situation)]) -> String {
    let set = all.iter().find(|(value, _, one)| value == NOW && one.name != AT_REST);
    set.or(all.first()).map_or_else(String::new, |(value, ..)| value.clone())
}

fn loads(circuit: &Circuit) -> Vec<Probe> {
    let mut all: Vec<Probe> = Vec::new();
    for (index, part) in circuit.resolved.network.parts.iter().enumerate() {
        for (_, branch) in circuit.branches_of_part(index) {
            if let (Role::Load(load), Some(_)) = (branch.role, branch.law) {
                let probe = Probe::Look(part.id.clone(), load.name.to_owned());
                if !all.contains(&probe) {
                    all.push(probe);
                }
            }
        }
    }
    all
}

fn relays(circuit: &Circuit) -> Vec<Probe> {
    with_role(circuit, |role| matches!(role, Role::Coil { .. })).map(Probe::Listen).collect()
}

fn fuses(circuit: &Circuit) -> Vec<Probe> {
    let network = &circuit.resolved.network;
    let is_own = |id: &PartId| network.part(id).is_some_and(|part| part.kind.class == Class::Protection);
    with_role(circuit, |role| matches!(role, Role::Protection(_))).filter(is_own).map(Probe::Fuse).collect()
}

fn with_role(circuit: &Circuit, is_it: impl Fn(&Role) -> bool) -> impl Iterator<Item = PartId> {
    let parts = circuit.resolved.network.parts.iter().enumerate();
    parts
        .filter(move |(index, _)| circuit.branches_of_part(*index).any(|(_, branch)| is_it(&branch.role)))
        .map(|(_, part)| part.id.clone())
}

/// Takes a complaint in: a walk begins with it, or the one that goes on has one more.
pub fn begin(asked: &Asked<'_>, what: &str, found: &str) -> Report {
    match complaint(asked, what, found) {
        Some(complaint) => taken_in(asked, complaint, asked.field("date").unwrap_or_default()),
        None => refused("Choose what is wrong first."),
    }
}

fn complaint(asked: &Asked<'_>, what: &str, found: &str) -> Option<Complaint> {
    let circuit = asked.prepared.circuit();
    let when = asked.field("when")?;
    let (.., situation) = whens(asked).into_iter().find(|(value, ..)| value == when)?;
    let probe = probes(circuit, what).into_iter().nth(asked.field(what)?.parse().ok()?)?;
    let (should, found) = match found {
        "dark" => (Found::Seen(Seen::Lit), Found::Seen(Seen::Dark)),
        "dim" => (Found::Seen(Seen::Lit), Found::Seen(Seen::Dim)),
        "lit" => (Found::Seen(Seen::Dark), Found::Seen(Seen::Lit)),
        "silent" => (Found::Heard(true), Found::Heard(false)),
        "clicks" => (Found::Heard(false), Found::Heard(true)),
        "open" => (Found::Whole(true), Found::Whole(false)),
        _ => return None,
    };
    let complaint = Complaint { situation, probe, should, found };
    complaint.not_an_answer().is_none().then_some(complaint)
}

fn taken_in(asked: &Asked<'_>, complaint: Complaint, date: &str) -> Report {
    let document = asked.document;
    let what = format!("{} {}", about(&document.network, &complaint.probe), in_words(&complaint));
    if let Some(place) = open(document) {
        if document.records[place]
            .complaints
            .iter()
            .any(|one| (&one.probe, &one.situation.set) == (&complaint.probe, &complaint.situation.set))
        {
            return refused("That was said already.");
        }
        return with_record(document, place, "add a complaint", &format!("Added: {what}."), |record| {
            record.complaints.push(complaint);
        });
    }
    let last = document.records.iter().rev().find(|one| one.purpose == Purpose::Fault);
    let record = Record {
        purpose: Purpose::Fault,
        about: what,
        date: date.to_owned(),
        // Who looks, with which meter, and how long it takes to get anywhere, is as it was last time.
        by: last.map_or_else(|| document.card.drawn_by.clone(), |last| last.by.clone()),
        meter: last.map_or_else(String::new, |last| last.meter.clone()),
        minutes: last.map(|last| last.minutes.clone()).unwrap_or_default(),
        complaints: vec![complaint],
        readings: Vec::new(),
        answer: String::new(),
    };
    let mut records = (*document.records).clone();
    records.push(record);
    changed(document, "begin a fault walk", "", records)
}

/// What is wrong, behind the name of what it is about: `stays dark in main beam`.
pub fn in_words(complaint: &Complaint) -> String {
    let what = wrong_in_words(complaint);
    match complaint.situation.name.as_str() {
        "" => format!("{what} as it was set"),
        name => format!("{what} ({name})"),
    }
}

/// Takes a reading of the last proving record that was not right for a complaint.
pub fn from_proof(asked: &Asked<'_>, known: &mut Known, reading: usize) -> Option<Report> {
    let document = asked.document;
    let record = document.records.iter().rev().find(|one| one.purpose == Purpose::Proof)?;
    let reading = record.readings.get(reading)?;
    let case = known.case(asked.prepared, &situations(document, record));
    let Some(should) = drawn(case, &reading.situation, &reading.probe) else {
        return Some(refused("What was measured there is not in the drawing any more."));
    };
    let found = reading.found?;
    let complaint =
        Complaint { situation: reading.situation.clone(), probe: reading.probe.clone(), should, found };
    if complaint.not_an_answer().is_some() {
        return Some(refused("Where nobody could get, nothing is known to be wrong."));
    }
    // It is the day of the proving, as far as anybody said.
    Some(taken_in(asked, complaint, &record.date))
}
