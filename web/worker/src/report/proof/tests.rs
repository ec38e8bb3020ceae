use std::ops::ControlFlow;
use std::sync::Arc;

use engine::answer::Prepared;
use engine::document::{Found, Seen};
use engine::file::read_json;
use engine::post::Inquiry;

use super::super::{Made, report};
use super::*;

const DARK: &str = include_str!("../../../../../fixtures/jobs/dark-lamps.json");

/// A job on the page, with what the worker keeps of it.
struct Page {
    document: Document,
    made: Made,
}

impl Page {
    fn new() -> Page {
        Page { document: read_json(DARK).unwrap(), made: Made::default() }
    }

    /// With a sheet that was begun.
    fn begun() -> Page {
        let mut page = Page::new();
        page.press("proof-begin\nby=A. Fitter\nmeter=M1\ntoday=2026-03-02");
        page
    }

    fn ask(&mut self, words: &str) -> Report {
        self.told(words).unwrap_or_else(|| panic!("nothing is told by {words}"))
    }

    fn told(&mut self, words: &str) -> Option<Report> {
        let inquiry = Inquiry { stamp: 1, situation: Situation::at_rest(), words: words.to_owned() };
        let prepared = Prepared::new(&self.document);
        report(&self.document, &prepared, &inquiry, &mut self.made, &mut |_, _| ControlFlow::Continue(()))
    }

    /// Presses a button, and does what comes of it.
    fn press(&mut self, words: &str) -> Report {
        let told = self.ask(words);
        if let Some(records) = told.change.as_ref().and_then(|change| change.records.clone()) {
            self.document.records = Arc::new(records);
        }
        told
    }

    fn record(&self) -> &Record {
        &self.document.records[present(&self.document).unwrap()]
    }

    fn markup(&mut self) -> String {
        self.ask("proof").markup
    }

    /// The place of the first reading of its sort.
    fn first(&self, is_it: impl Fn(&engine::document::Probe) -> bool) -> usize {
        self.record().readings.iter().position(|one| is_it(&one.probe)).unwrap()
    }
}

fn is_volts(probe: &engine::document::Probe) -> bool {
    matches!(probe, engine::document::Probe::Volts { .. })
}

/// The number that is expected of a reading, read from its words.
fn expected(reading: &engine::document::Reading) -> String {
    reading.expected.split(' ').next().unwrap().to_owned()
}

#[test]
fn a_sheet_is_a_record_that_says_who_and_when() {
    let page = Page::begun();
    let record = page.record();
    assert_eq!(
        (record.by.as_str(), record.meter.as_str(), record.date.as_str()),
        ("A. Fitter", "M1", "2026-03-02")
    );
    assert!(record.readings.len() > 5 && record.readings.iter().all(|one| one.found.is_none()));
    assert!(record.answer.is_empty());
}

#[test]
fn a_right_number_is_right_and_the_next_step_opens() {
    let mut page = Page::begun();
    let place = page.first(is_volts);
    let number = expected(&page.record().readings[place]);
    let told = page.press(&format!("proof-number {place}\nfound-{place}={} V", number.replace('.', ",")));
    assert!(told.said.starts_with("Right: "), "{}", told.said);
    assert_eq!(page.record().readings[place].is_right, Some(true));
    let markup = page.markup();
    assert!(markup.contains("1 of ") && markup.contains("This is right."), "{markup}");
    assert_eq!(markup.matches("name=\"proof-step\" open=\"\"").count(), 1);
}

#[test]
fn a_wrong_number_says_so_and_leads_to_the_fault_walk() {
    let mut page = Page::begun();
    let place = page.first(is_volts);
    let told = page.press(&format!("proof-number {place}\nfound-{place}=3,3"));
    assert!(told.said.starts_with("Not right: ") && told.said.contains("found 3.3 V"), "{}", told.said);
    assert_eq!(page.record().readings[place].is_right, Some(false));
    let markup = page.markup();
    assert!(markup.contains(&format!("data-ask=\"walk-from-proof {place}\"")), "{markup}");
    assert!(markup.contains("Found 3.3 V. It should be ") && markup.contains("This is not right."));
}

/// The card that is open, from its number on.
fn open_card(page: &mut Page) -> String {
    let markup = page.markup();
    let mut open = markup.split("name=\"proof-step\" open=\"\"").skip(1);
    let card = open.next().unwrap_or_else(|| panic!("no card is open: {markup}"));
    assert!(open.next().is_none(), "{markup}");
    card.split("</details>").next().unwrap().to_owned()
}

#[test]
fn a_card_that_is_not_right_stays_open_until_the_user_goes_on() {
    let mut page = Page::begun();
    let place = page.first(is_volts);
    let before = open_card(&mut page);
    assert!(!before.contains("Go on"));
    page.press(&format!("proof-number {place}\nfound-{place}=3,3"));
    let wrong = open_card(&mut page);
    for what in ["Found 3.3 V.", "It should be ", "Find the fault", "Take it again", "Go on"] {
        assert!(wrong.contains(what), "{what}: {wrong}");
    }
    // Going on changes nothing of the job, and opens the next one.
    let on = page.ask("proof-on");
    assert!(on.change.is_none() && on.markup.contains("name=\"proof-step\" open"), "{}", on.said);
    let next = open_card(&mut page);
    assert!(!next.contains("Found 3.3 V.") && next.contains("Can't reach"), "{next}");
    // Taken again it is the open one, and once it is right the next one is.
    page.press(&format!("proof-again {place}"));
    assert!(open_card(&mut page).contains(&format!("found-{place}")));
    let number = expected(&page.record().readings[place]);
    page.press(&format!("proof-number {place}\nfound-{place}={number}"));
    assert!(!open_card(&mut page).contains(&format!("proof-again {place}")));
}

#[test]
fn minutes_are_told_only_of_what_is_left() {
    let mut page = Page::begun();
    assert!(page.markup().contains("They take some "));
    let place = page.first(is_volts);
    page.press(&format!("proof-take {place} beyond"));
    assert!(!page.markup().contains("They take some "));
}

#[test]
fn each_of_several_loads_is_chosen_and_all_are_entered_at_once() {
    let mut page = Page::begun();
    let place = page.first(|probe| matches!(probe, engine::document::Probe::Look(..)));
    let all = engine::diagnose::steps_of(&page.record().readings);
    let own = all.into_iter().find(|own| own.contains(&place)).unwrap();
    let markup = page.markup();
    // What is expected is chosen already.
    let is_lit = page.record().readings[place].expected == "lit";
    let list =
        markup.split(&format!("name=\"seen-{place}\"")).nth(1).unwrap().split("</select>").next().unwrap();
    let chosen = list.split("<option value=\"").find(|one| one.contains("selected")).unwrap();
    assert!(chosen.starts_with(if is_lit { "lit" } else { "dark" }), "{list}");
    assert!(markup.contains(&format!("proof-looks {}", own.start)), "{markup}");
    let odd = if is_lit { "dark" } else { "lit" };
    let fields: String = own.clone().map(|one| format!("\nseen-{one}={odd}")).collect();
    page.press(&format!("proof-looks {place}{fields}"));
    let record = page.record();
    let seen = seen_as(odd);
    assert!(own.clone().all(|one| record.readings[one].found == Some(seen)));
    let n_wrong = own.clone().filter(|one| record.readings[*one].is_right == Some(false)).count();
    assert_eq!(n_wrong, own.filter(|one| record.readings[*one].expected != odd).count());
    assert!(n_wrong > 0);
    // What was left out is no entry.
    page.press(&format!("proof-again {place}"));
    let half = page.told(&format!("proof-looks {place}\nseen-{place}=dark"));
    assert!(half.is_none());
}

fn seen_as(word: &str) -> Found {
    Found::Seen(if word == "lit" { Seen::Lit } else { Seen::Dark })
}

#[test]
fn what_is_no_number_is_asked_for_again() {
    let mut page = Page::begun();
    let place = page.first(is_volts);
    for (typed, why) in [
        ("", "Enter the number"),
        ("twelve", "“twelve” cannot be read as volts"),
        ("1e99999", "“1e99999” cannot be read as volts"),
        ("0.05A", "“0.05A” cannot be read as volts"),
        ("5000", "5000 V on a 12 V vehicle?"),
    ] {
        let told = page.ask(&format!("proof-number {place}\nfound-{place}={typed}"));
        assert!(told.change.is_none() && told.said.starts_with(why), "{typed}: {}", told.said);
    }
    // In thousandths, as they are typed or as the button says.
    for (words, typed) in [("", "50 mV"), (" milli", "50")] {
        page.press(&format!("proof-number {place}{words}\nfound-{place}={typed}"));
        assert_eq!(page.record().readings[place].found, Some(Found::Number(0.05)));
    }
}

#[test]
fn a_reading_is_taken_again() {
    let mut page = Page::begun();
    let place = page.first(is_volts);
    page.press(&format!("proof-take {place} beyond"));
    assert_eq!(page.record().readings[place].found, Some(Found::CannotReach));
    assert_eq!(page.record().readings[place].is_right, None);
    page.press(&format!("proof-again {place}"));
    assert_eq!(page.record().readings[place].found, None);
}

#[test]
fn loads_are_looked_at_together_and_one_that_is_wrong_is_told_by_itself() {
    let mut page = Page::begun();
    let place = page.first(|probe| matches!(probe, engine::document::Probe::Look(..)));
    let own = engine::diagnose::steps_of(&page.record().readings)
        .into_iter()
        .find(|own| own.contains(&place))
        .unwrap();
    assert!(own.len() > 1);
    let odd = own.clone().last().unwrap();
    let is_lit = page.record().readings[odd].expected == "lit";
    page.press(&format!("proof-take {odd} {}", if is_lit { "dark" } else { "lit" }));
    page.press(&format!("proof-rest {place}"));
    let record = page.record();
    assert_eq!(record.readings[odd].is_right, Some(false));
    assert_eq!(record.readings[odd].found, Some(Found::Seen(if is_lit { Seen::Dark } else { Seen::Lit })));
    assert!(own.filter(|other| *other != odd).all(|other| record.readings[other].is_right == Some(true)));
}

#[test]
fn at_the_end_it_is_told_what_is_shown_and_that_nobody_has_signed() {
    let mut page = Page::begun();
    for place in 0..page.record().readings.len() {
        let reading = &page.record().readings[place];
        let words = match reading.probe {
            engine::document::Probe::Volts { .. } | engine::document::Probe::Amps(_) => {
                format!("proof-number {place}\nfound-{place}={}", expected(reading))
            }
            _ => format!("proof-take {place} {}", reading.expected),
        };
        page.press(&words);
    }
    assert!(page.record().answer.starts_with("All "), "{}", page.record().answer);
    let markup = page.markup();
    assert!(markup.contains("not signed until somebody signs"), "{markup}");
    assert!(
        markup.contains("Fuse F1, F2: another rating than drawn. Read what is printed on it."),
        "{markup}"
    );
    // This drawing has its tap on the wrong wire.
    assert!(markup.contains("the drawing breaks it"), "{markup}");
    let n_shown = page.made.proof.sheet.as_ref().unwrap().proof.shown.len();
    let proof = &page.made.proof.sheet.as_ref().unwrap().proof;
    let n_unshown = proof.unproved.len() + proof.by_eye.len();
    assert!(n_unshown > 0);
    let told = format!("{n_shown} of {}</strong> things that could be wrong were shown", n_shown + n_unshown);
    assert!(markup.contains(&told), "{markup}");
    assert!(markup.contains(&format!("{n_unshown}</strong> cannot be shown by any reading")), "{markup}");
    assert!(!markup.contains("steps done") && !markup.contains("minutes"), "{markup}");
}

#[test]
fn a_drawing_that_was_changed_takes_no_more_entries_and_offers_a_new_sheet() {
    let mut page = Page::begun();
    let place = page.first(is_volts);
    page.press(&format!("proof-take {place} beyond"));
    let network = Arc::make_mut(&mut page.document.network);
    let wire = network.wires.iter_mut().find(|wire| wire.status == engine::document::Status::New).unwrap();
    wire.length = engine::given::Given::Known(engine::quantity::Metres::new(40.0).unwrap());
    page.made = Made::default();
    let markup = page.markup();
    assert!(markup.contains("The drawing was changed") && markup.contains("Make a new sheet"), "{markup}");
    assert!(!markup.contains("proof-number"));
    page.press("proof-begin\ntoday=2026-03-03");
    assert_eq!(page.document.records.len(), 2);
    assert!(page.markup().contains("proof-number"));
}

#[test]
fn only_proving_sheets_are_thrown_away_here() {
    let mut page = Page::begun();
    page.press("proof-delete 0");
    assert!(page.document.records.is_empty());
    assert!(page.markup().contains("Make the proving sheet"));
}

#[test]
fn what_a_user_wrote_stays_a_text() {
    let mut page = Page::new();
    page.press("proof-begin\nby=<b>me</b>\ntoday=2026-03-02");
    let markup = page.markup();
    assert!(!markup.contains("<b>") && markup.contains("&lt;b&gt;me"), "{markup}");
}
