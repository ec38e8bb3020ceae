//! One step as a card: what to do, what passes, and where what was found goes.

use engine::diagnose::{Stand, Step, about, found_in_words};
use engine::document::{Found, Probe, Reading, Record, Seen};
use engine::quantity::capital;

use super::Sheet;
use super::steps::BEYOND;
use crate::report::Asked;
use crate::report::markup::Markup;
use crate::report::records::meter_field;

/// A step of a record.
pub struct Card<'a> {
    pub asked: &'a Asked<'a>,
    pub sheet: &'a Sheet,
    pub record: &'a Record,
    pub step: &'a Step,
    /// Its number, from 1 on.
    pub number: usize,
    /// The place of its first reading in the record.
    pub first: usize,
    /// Whether it is the one to take now, or the one that was just found not to be right.
    pub is_open: bool,
    /// Whether another one is still to be taken.
    pub has_next: bool,
}

impl Card<'_> {
    fn readings(&self) -> &[Reading] {
        &self.record.readings[self.first..self.first + self.step.readings.len()]
    }

    /// Adds the card.
    pub fn show(&self, page: &mut Markup) {
        let number = self.number.to_string();
        let mut attributes = vec![("class", "proof-step"), ("name", "proof-step")];
        if self.is_open {
            attributes.extend([("open", ""), ("data-awake", number.as_str())]);
        }
        let stand = Stand::of(self.readings());
        page.element("details", &attributes, |card| {
            card.element("summary", &[("dir", "auto")], |line| {
                line.text(&format!("{}. {}", self.number, self.title()));
                let (class, word) = match stand {
                    Stand::Open => return,
                    Stand::Right => ("proof-right", "Right"),
                    Stand::Wrong => ("proof-wrong", "Not right"),
                    Stand::OutOfReach => ("proof-beyond", "Out of reach"),
                };
                line.text(" ");
                line.line("span", class, word);
            });
            let heading = [("dir", "auto"), ("class", "proof-do"), ("tabindex", "-1")];
            let lines = if self.is_open { &heading[..] } else { &heading[..2] };
            card.element("p", lines, |line| line.text(&self.step.instruction(&self.sheet.case)));
            card.strong("Passes: ", &format!("{}.", self.step.passes(&self.sheet.case)));
            match self.readings().len() {
                1 => self.one(card),
                _ => self.several(card),
            }
            self.more(card);
        });
    }

    fn title(&self) -> String {
        let network = &self.asked.document.network;
        match self.readings() {
            [one] => {
                let what = about(network, &one.probe);
                capital(&match one.probe {
                    Probe::Amps(_) => format!("current of {what}"),
                    Probe::Volts { .. } => format!("volts, {what}"),
                    Probe::Listen(_) => format!("listen to {what}"),
                    Probe::Fuse(_) => format!("take out {what}"),
                    Probe::Look(..) | Probe::TestLamp { .. } | Probe::Pin { .. } => what,
                })
            }
            all => format!("Look at {} loads", all.len()),
        }
    }

    /// A single reading.
    fn one(&self, card: &mut Markup) {
        let reading = &self.readings()[0];
        match reading.found {
            Some(found) => self.found(card, self.first, reading, found),
            None => self.entry(card, self.first, &reading.probe),
        }
    }

    /// What was found already, said plainly where it is wrong.
    fn found(&self, card: &mut Markup, place: usize, reading: &Reading, found: Found) {
        let was = found_in_words(&reading.probe, found);
        let network = &self.asked.document.network;
        let whose = match self.readings().len() {
            1 => String::new(),
            _ => format!("{}: ", capital(&about(network, &reading.probe))),
        };
        match reading.is_right {
            Some(false) => {
                card.element("p", &[("class", "proof-wrong"), ("dir", "auto")], |line| {
                    let should = &reading.expected;
                    line.text(&capital(&format!(
                        "{whose}found {was}. It should be {should}. This is not right."
                    )));
                });
                card.button_opening("Find the fault", &format!("walk-from-proof {place}"), "walk");
            }
            Some(true) => card.paragraph(&capital(&format!("{whose}found {was}. This is right."))),
            None => card.paragraph(&capital(&format!("{whose}{was}. It shows nothing."))),
        }
    }

    /// Fields and buttons for what is found.
    fn entry(&self, card: &mut Markup, place: usize, probe: &Probe) {
        card.element("div", &[("class", "row")], |row| {
            match probe {
                Probe::Volts { .. } | Probe::Amps(_) | Probe::Pin { .. } => {
                    let (unit, symbol) = match probe {
                        Probe::Amps(_) => ("Amperes", "A"),
                        _ => ("Volts", "V"),
                    };
                    meter_field(row, &format!("found-{place}"), &format!("{unit} found"), "");
                    row.button("Enter", &format!("proof-number {place}"));
                    row.button(&format!("Enter as m{symbol}"), &format!("proof-number {place} milli"));
                }
                Probe::Look(..) | Probe::TestLamp { .. } => self.seen(row, place),
                Probe::Listen(_) => {
                    row.button("Clicks", &format!("proof-take {place} clicks"));
                    row.button("Silent", &format!("proof-take {place} silent"));
                }
                Probe::Fuse(_) => {
                    row.button("Whole", &format!("proof-take {place} whole"));
                    row.button("Open", &format!("proof-take {place} open"));
                }
            }
            row.button("Can't reach", &format!("proof-take {place} {BEYOND}"));
        });
    }

    fn seen(&self, row: &mut Markup, place: usize) {
        for (_, word) in Seen::WORDS {
            row.button(&capital(word), &format!("proof-take {place} {word}"));
        }
    }

    /// Several loads looked at together: as they should be, or with a choice for each.
    fn several(&self, card: &mut Markup) {
        let readings = self.readings();
        let n_open = readings.iter().filter(|one| one.found.is_none()).count();
        for (place, one) in (self.first..).zip(readings) {
            if let (Some(found), true) = (one.found, one.is_right != Some(true)) {
                self.found(card, place, one, found);
            }
        }
        if n_open == 0 {
            return;
        }
        card.element("div", &[("class", "row")], |row| {
            let caption = if n_open == readings.len() { "All as listed" } else { "The others as listed" };
            row.button(caption, &format!("proof-rest {}", self.first));
        });
        card.element("details", &[], |other| {
            other.line("summary", "", "Something is otherwise");
            let captions = Seen::WORDS.map(|(_, word)| capital(word));
            let words = Seen::WORDS.iter().map(|(_, word)| *word);
            let choices: Vec<(&str, &str)> =
                words.zip(captions.iter().map(String::as_str)).chain([(BEYOND, "Can't reach")]).collect();
            other.element("div", &[("class", "row")], |row| {
                for (place, one) in (self.first..).zip(readings).filter(|(_, one)| one.found.is_none()) {
                    let what = capital(&about(&self.asked.document.network, &one.probe));
                    let caption = format!("{what}, should be {}", one.expected);
                    row.select(&format!("seen-{place}"), &caption, &choices, &one.expected);
                }
                row.button("Enter", &format!("proof-looks {}", self.first));
            });
        });
    }

    fn more(&self, card: &mut Markup) {
        let is_taken = self.readings().iter().any(|one| one.found.is_some());
        card.element("div", &[("class", "row")], |row| {
            if is_taken {
                row.button("Take it again", &format!("proof-again {}", self.first));
            }
            // What is open though it was taken waits for the user.
            if self.is_open && Stand::of(self.readings()) == Stand::Wrong && self.has_next {
                row.button_of_place("Go on", "proof-on");
            }
            if let Some(subject) = self.readings()[0].probe.subjects().first() {
                row.button("Show where", &format!("show {}", subject.id()));
            }
        });
    }
}
