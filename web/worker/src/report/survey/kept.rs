//! What was read at a donor, kept with the job.

use std::collections::BTreeMap;
use std::sync::Arc;

use engine::document::{Document, Found, Probe, Purpose, Reading, Record, Situation};
use engine::donor_survey::{Against, At, Spot, Taken, lights_words, verdict_words};
use engine::post::{Change, Report};

use super::super::markup::Markup;
use super::State;

impl State<'_> {
    /// The way to keep the readings with the job.
    pub(super) fn keeping(&self, page: &mut Markup) {
        if self.readings.taken.is_empty() {
            return;
        }
        if self.keeps || self.is_kept(self.asked.document) {
            page.line("p", "hint", "These readings are kept with the job and stand in the printed set.");
            return;
        }
        page.element("div", &[("class", "row")], |row| {
            row.open("input", &[("type", "hidden"), ("name", "date"), ("data-today", "")]);
            row.button("Keep the readings with the job", "survey-keep");
        });
    }

    /// Keeps them.
    pub(super) fn keep(&self) -> Report {
        let before = self.asked.document;
        if self.readings.taken.is_empty() || self.is_kept(before) {
            return Report {
                said: "There is nothing to keep that is not kept.".to_owned(),
                ..Report::default()
            };
        }
        let mut after = before.clone();
        self.keep_in(&mut after);
        let change = Change::between("keep the readings of a survey", before, &after);
        Report {
            said: "Kept with the job. Undo takes it back.".to_owned(),
            change: Some(change),
            ..Report::default()
        }
    }

    /// Adds the record of this survey to a job that does not have it.
    pub(super) fn keep_in(&self, document: &mut Document) {
        if !self.is_kept(document) {
            Arc::make_mut(&mut document.records).push(self.record());
        }
    }

    fn is_kept(&self, document: &Document) -> bool {
        let readings = self.record().readings;
        document.records.iter().any(|one| one.purpose == Purpose::Survey && one.readings == readings)
    }

    fn record(&self) -> Record {
        let card = &self.asked.document.card;
        let lamp = if self.signal.is_empty() {
            "a lamp of the vehicle".to_owned()
        } else {
            format!("the lamp for {}", self.signal)
        };
        let answer = verdict_words(&self.survey, &self.readings, &self.signal).join(" ");
        Record {
            purpose: Purpose::Survey,
            about: lamp,
            date: self.asked.field("date").unwrap_or_default().to_owned(),
            by: card.drawn_by.clone(),
            meter: String::new(),
            complaints: Vec::new(),
            minutes: BTreeMap::new(),
            readings: self.readings.taken.iter().map(|one| self.reading(one.spot, one.taken)).collect(),
            answer,
        }
    }

    fn reading(&self, spot: Spot, taken: Taken) -> Reading {
        let wire = |number: usize| match self.readings.names[number].as_str() {
            "" => format!("wire {}", number + 1),
            name => format!("the {name} wire"),
        };
        let wire = match spot.at {
            At::Battery => "battery positive".to_owned(),
            At::First => wire(0),
            At::Second => wire(1),
        };
        let lights = lights_words(spot.lights, &self.signal);
        let name = if spot.is_peak { format!("{lights}, highest value") } else { lights };
        Reading {
            situation: Situation { name, ..Situation::default() },
            probe: Probe::Pin { wire, against_positive: spot.against == Against::Positive },
            expected: String::new(),
            found: Some(match taken {
                Taken::Volts(volts) => Found::Number(volts),
                Taken::OutOfReach => Found::CannotReach,
            }),
            is_right: None,
        }
    }
}
