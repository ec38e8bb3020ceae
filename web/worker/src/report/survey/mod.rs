//! Surveying a donor: one card after the other says where the leads go, and what was read so far says what the lamp is.
//!
//! What was read is carried by hidden fields of the place, and so is here again with every button that is pressed.

mod carried;
mod kept;

use engine::document::Document;
use engine::document::sentence::signal;
use engine::donor_survey::{
    Candidate, Next, Reading, Readings, Spot, Survey, Taken, Verdict, candidates, caution, donor_after,
    eligible, lights_words, offer, spot_words, survey, verdict_words, why_words,
};
use engine::ids::PartId;
use engine::kind::Class;
use engine::post::{Change, Report};
use engine::quantity::{Unit, by_hand};

use super::markup::Markup;
use super::records::meter_field;
use super::typed::Meter;
use super::{Asked, in_full};
use carried::{code, drive_word, signals, spot_of, written};

/// The name that a donor that is not yet in the job has in the list.
const NEW: &str = "new";

/// The greatest number that a survey takes, in volts.
const MOST_V: f64 = 100.0;

/// What was computed for the voltage of the system.
pub type Known = Option<(f64, Vec<Candidate>)>;

/// One state of a survey: what the fields carry, and what the readings come to.
struct State<'a> {
    asked: &'a Asked<'a>,
    readings: Readings,
    signal: String,
    has_begun: bool,
    /// The donor that was taken into the job.
    donor: Option<String>,
    survey: Survey,
    /// Whether the change that is under way keeps the readings with the job.
    keeps: bool,
}

/// Does what a button of the survey asks for, and shows where it stands.
pub fn answer(asked: &Asked<'_>, known: &mut Known) -> Option<Report> {
    let nominal_v = asked.document.settings.nominal_v;
    if known.as_ref().is_none_or(|(volts, _)| *volts != nominal_v) {
        *known = Some((nominal_v, candidates(nominal_v)));
    }
    let (_, all) = known.as_ref()?;
    let mut readings = carried::readings(asked);
    let (mut said, mut typed) = (String::new(), String::new());
    let mut wanted: Option<Spot> = None;
    let mut has_begun = asked.field("begun").is_some();
    match asked.words[..] {
        ["survey"] => {}
        ["survey-begin"] => has_begun = true,
        ["survey-names"] => has_begun = false,
        ["survey-clear"] => {
            readings = Readings::default();
            has_begun = false;
        }
        ["survey-take", spot, ref how @ ..] => {
            let (spot, is_milli) = (spot_of(spot)?, how == ["milli"]);
            let written = asked.field("volts").unwrap_or_default();
            match volts(written, nominal_v, is_milli) {
                Ok(volts) => readings.taken.push(Reading { spot, taken: Taken::Volts(volts) }),
                Err(why) => {
                    wanted = Some(spot);
                    (said, typed) = (why, written.to_owned());
                }
            }
        }
        ["survey-skip", spot] => {
            readings.taken.push(Reading { spot: spot_of(spot)?, taken: Taken::OutOfReach })
        }
        ["survey-drop", spot] => {
            let spot = spot_of(spot)?;
            readings.taken.retain(|reading| reading.spot != spot);
            wanted = Some(spot);
        }
        ["survey-at"] => wanted = Some(spot_of(asked.field("spot")?)?),
        ["survey-drive", word] => readings.drive = carried::drive_of(word),
        ["survey-donor" | "survey-wire" | "survey-keep"] => {}
        _ => return None,
    }
    let survey = survey(all, &readings, nominal_v);
    let signal = asked.field("signal").unwrap_or_default().to_owned();
    let donor = asked.field("made").filter(|made| !made.is_empty()).map(str::to_owned);
    let mut state = State { asked, readings, signal, has_begun, donor, survey, keeps: false };
    let mut report = match asked.words[..] {
        ["survey-donor"] => state.take(false),
        ["survey-wire"] => state.take(true),
        ["survey-keep"] => state.keep(),
        _ => Report { said, ..Report::default() },
    };
    state.keeps = report.change.as_ref().is_some_and(|change| change.records.is_some());
    report.markup = state.page(wanted, &typed);
    Some(report)
}

/// What was typed, in volts; else what to say.
fn volts(text: &str, nominal_v: f64, is_milli: bool) -> Result<f64, String> {
    let volts = Meter { unit: Unit::Volt, is_milli, nominal_v }.read(text)?;
    match volts.abs() <= MOST_V {
        true => Ok(volts),
        false => Err("No lamp of a vehicle shows that many volts. Look at the meter again.".to_owned()),
    }
}

impl State<'_> {
    /// What is shown; `typed` is what could not be taken and stays in its field.
    fn page(&self, wanted: Option<Spot>, typed: &str) -> String {
        let mut page = Markup::new();
        self.carry(&mut page);
        if !self.has_begun {
            self.start(&mut page);
            return page.done();
        }
        page.element("section", &[("class", "working")], |card| self.card(card, wanted, typed));
        self.so_far(&mut page);
        self.follows(&mut page);
        self.more(&mut page);
        self.keeping(&mut page);
        page.element("div", &[("class", "row")], |row| {
            row.button("Change lamp or names", "survey-names");
            row.button("Begin another survey", "survey-clear");
        });
        page.done()
    }

    /// The fields that are not seen.
    fn carry(&self, page: &mut Markup) {
        let mut hidden = |name: &str, value: &str| {
            page.open("input", &[("type", "hidden"), ("name", name), ("value", value)]);
        };
        hidden("readings", &written(&self.readings));
        if let Some(drive) = self.readings.drive {
            hidden("drive", drive_word(drive));
        }
        hidden("made", self.donor.as_deref().unwrap_or_default());
        if self.has_begun {
            hidden("begun", "yes");
            hidden("signal", &self.signal);
            hidden("name1", &self.readings.names[0]);
            hidden("name2", &self.readings.names[1]);
        }
    }

    /// Which lamp it is, and what its wires are called.
    fn start(&self, page: &mut Markup) {
        page.heading("Before you begin");
        page.paragraph("Find out what the two wires of a vehicle's own lamp are, before a relay is worked from it. You need a meter on volts, and the plug of the lamp.");
        page.strong("Caution: ", caution());
        page.element("div", &[("class", "row")], |row| {
            let listed: Vec<(&str, &str)> =
                [("", "not said")].into_iter().chain(signals().iter().map(|word| (*word, *word))).collect();
            let drawn = self.asked.document.network.parts.iter().find_map(signal);
            let chosen = if self.signal.is_empty() { drawn.unwrap_or_default() } else { &self.signal };
            row.select("signal", "Which lamp", &listed, chosen);
            row.field("name1", "Colour of one wire, if you like", &self.readings.names[0]);
            row.field("name2", "Colour of the other", &self.readings.names[1]);
        });
        page.element("div", &[("class", "row")], |row| row.button("Begin", "survey-begin"));
    }

    /// The card that says what is to be done next.
    fn card(&self, card: &mut Markup, wanted: Option<Spot>, typed: &str) {
        let next = wanted.map(Next::Take).or(self.survey.next);
        match next {
            Some(Next::Take(spot)) => {
                let code = code(spot);
                card.heading(&format!("Reading {}", self.readings.taken.len() + 1));
                card.paragraph(&format!("{}.", lights_words(spot.lights, &self.signal)));
                card.strong("", &format!("{}.", spot_words(spot, &self.readings)));
                meter_field(card, "volts", "The meter shows, in V", typed);
                card.element("div", &[("class", "row")], |row| {
                    row.button("Enter this reading", &format!("survey-take {code}"));
                    row.button("Enter it as mV", &format!("survey-take {code} milli"));
                    row.button("Can't reach", &format!("survey-skip {code}"));
                });
            }
            Some(Next::SayDrive) => {
                card.heading("What drives the lamp?");
                card.paragraph("No meter tells a quiet module from a contact. The vehicle's wiring diagram does, or a relay that clicks with the light.");
                card.element("div", &[("class", "row")], |row| {
                    row.button("A switch or a relay", "survey-drive contact");
                    row.button("A module", "survey-drive module");
                    row.button("Not known", "survey-drive not-known");
                });
            }
            None => {
                card.heading("What the readings say");
                card.paragraph(match self.survey.verdict {
                    Verdict::Disagree(_) | Verdict::AgainstWhatIsSaid => {
                        "Something has to be looked at again."
                    }
                    _ => "No further reading is needed.",
                });
            }
        }
    }

    /// What the readings come to, and each of them with a way to take it again.
    fn so_far(&self, page: &mut Markup) {
        if self.readings.taken.is_empty() && self.readings.drive.is_none() {
            return;
        }
        page.heading("So far");
        for (number, sentence) in verdict_words(&self.survey, &self.readings, &self.signal).iter().enumerate()
        {
            let is_told = !matches!(self.survey.verdict, Verdict::Several(_));
            match number {
                0 if is_told => page.strong(sentence, ""),
                _ => page.paragraph(sentence),
            }
        }
        let is_open = matches!(self.survey.verdict, Verdict::Disagree(_) | Verdict::AgainstWhatIsSaid);
        let open: &[(&str, &str)] = if is_open { &[("open", "")] } else { &[] };
        page.element("details", open, |details| {
            details.line("summary", "", "The readings");
            for spot in Spot::every() {
                let shown = match self.readings.at(spot) {
                    None => continue,
                    Some(Taken::Volts(volts)) => format!("{volts} V"),
                    Some(Taken::OutOfReach) => "not reached".to_owned(),
                };
                let how = spot_words(spot, &self.readings);
                details.paragraph(&format!("{}. {how}: {shown}", lights_words(spot.lights, &self.signal)));
                details.button("Take it again", &format!("survey-drop {}", code(spot)));
            }
            if let Some(drive) = self.readings.drive {
                details.paragraph(&format!("The lamp is driven by: {}", drive_word(drive).replace('-', " ")));
                for (caption, word) in
                    [("A switch or a relay", "contact"), ("A module", "module"), ("Not known", "not-known")]
                {
                    details.button(caption, &format!("survey-drive {word}"));
                }
            }
        });
    }

    /// What it means, and the buttons that take it into the drawing.
    fn follows(&self, page: &mut Markup) {
        for sentence in why_words(&self.survey) {
            page.paragraph(sentence);
        }
        let document = self.asked.document;
        if donor_after(document, &self.survey, &self.readings, None, "").is_err() {
            return;
        }
        page.heading("Into the drawing");
        let donors: Vec<(String, String)> = self.donors();
        let listed: Vec<(&str, &str)> =
            donors.iter().map(|(id, title)| (id.as_str(), title.as_str())).collect();
        let chosen = self.donor.as_deref().or(self.asked.field("donor")).unwrap_or_default();
        page.element("div", &[("class", "row")], |row| {
            row.select("donor", "This lamp is", &listed, chosen);
            row.button("Take the answer into the drawing", "survey-donor");
        });
        if !self.may_be_wired() {
            return;
        }
        let (relays, switches) = eligible(document);
        let named = |ids: Vec<PartId>| -> Vec<(String, String)> {
            let title = |id: &PartId| document.network.part(id).map_or_else(String::new, in_full);
            ids.iter().map(|id| (id.to_string(), title(id))).collect()
        };
        let (relays, switches) = (named(relays), named(switches));
        if relays.is_empty() {
            page.line(
                "p",
                "hint",
                "Put a relay and a switch on the drawing, and its coil can be wired to this lamp here.",
            );
            return;
        }
        page.element("div", &[("class", "row")], |row| {
            let options: Vec<(&str, &str)> =
                relays.iter().map(|(id, title)| (id.as_str(), title.as_str())).collect();
            row.select("relay", "Relay", &options, self.asked.field("relay").unwrap_or_default());
            let first = switches.first().map_or("", |(id, _)| id);
            let mut options: Vec<(&str, &str)> =
                switches.iter().map(|(id, title)| (id.as_str(), title.as_str())).collect();
            options.push(("", "no switch"));
            row.select("switch", "Cab switch", &options, self.asked.field("switch").unwrap_or(first));
            row.button("Wire the coil so", "survey-wire");
        });
        page.line("p", "hint", "It is tried on the job first: nothing is changed when the checks find something new, or the relay would not follow lamp and switch.");
    }

    /// Readings that nothing asks for.
    fn more(&self, page: &mut Markup) {
        page.element("details", &[], |details| {
            details.line("summary", "", "Other readings");
            details.line("p", "hint", "Of a wire in pulses a plain meter shows the mean; one that holds the highest value shows whether there are pulses at all.");
            let is_left = |spot: &Spot| self.readings.at(*spot).is_none();
            let mut spots: Vec<Spot> = Spot::every().into_iter().filter(is_left).collect();
            spots.sort_by_key(|spot| spot.is_peak);
            let option = |spot: Spot| {
                let (lights, how) = (lights_words(spot.lights, &self.signal), spot_words(spot, &self.readings));
                (code(spot), format!("{lights}. {how}"))
            };
            let options: Vec<(String, String)> = spots.into_iter().map(option).collect();
            let shown: Vec<(&str, &str)> = options.iter().map(|(code, words)| (code.as_str(), words.as_str())).collect();
            if let Some((first, _)) = shown.first() {
                details.select("spot", "Which", &shown, first);
                details.element("div", &[("class", "row")], |row| row.button("Take this reading", "survey-at"));
            }
        });
    }

    fn may_be_wired(&self) -> bool {
        use engine::donor_survey::Nature::{EarthPermanent, EarthSwitched, Positive};
        let natures = self.survey.natures();
        natures.iter().all(|nature| [Positive, EarthPermanent, EarthSwitched].contains(nature))
    }

    /// The donors of the job, those of this signal first, and a new one unless it was made already.
    fn donors(&self) -> Vec<(String, String)> {
        let parts = self.asked.document.network.parts.iter();
        let donors = parts.filter(|part| part.kind.class == Class::Donor);
        let mut all: Vec<(bool, String, String)> = donors
            .map(|part| (signal(part) != Some(&self.signal), part.id.to_string(), in_full(part)))
            .collect();
        engine::arrange::sort_by_key(&mut all, |(is_other, ..)| *is_other);
        let mut listed: Vec<(String, String)> = all.into_iter().map(|(_, id, title)| (id, title)).collect();
        if self.donor.is_none() {
            listed.push((NEW.to_owned(), "a new donor circuit".to_owned()));
        }
        listed
    }

    /// Takes the answer into the job, and wires the coil where that is wanted.
    fn take(&mut self, is_wired: bool) -> Report {
        match self.taken(is_wired) {
            Ok((report, donor)) => {
                self.donor = Some(donor);
                report
            }
            Err(why) => {
                let said = format!("Nothing was changed: {}.", by_hand(&why));
                Report { said, ..Report::default() }
            }
        }
    }

    fn taken(&self, is_wired: bool) -> Result<(Report, String), String> {
        let before = self.asked.document;
        let named = |field: &str| self.asked.field(field).filter(|id| *id != NEW).and_then(PartId::new);
        let donor = named("donor");
        let in_words = |why: engine::donor_survey::NotOffered| why.in_words();
        let (mut after, donor) =
            donor_after(before, &self.survey, &self.readings, donor.as_ref(), &self.signal)
                .map_err(in_words)?;
        if is_wired {
            let relay = named("relay").ok_or("no relay is chosen")?;
            let wired = offer(&after.document, &self.survey, &donor, &relay, named("switch").as_ref());
            let wired = wired.map_err(in_words)?;
            after.document = wired.document;
            after.does.extend(wired.does);
        }
        if !after.does.is_empty() {
            self.keep_in(&mut after.document);
        }
        let title = after.document.network.part(&donor).map_or_else(String::new, in_full);
        let label = if is_wired { format!("wire a coil to {title}") } else { format!("survey {title}") };
        Ok((changed(before, &after.document, &label, &title, &after.does), donor.to_string()))
    }
}

fn changed(before: &Document, after: &Document, label: &str, title: &str, does: &[String]) -> Report {
    if does.is_empty() {
        return Report {
            said: format!("Nothing to change: {title} is drawn so already."),
            ..Report::default()
        };
    }
    let said = format!("Done with {title}: {}. Undo takes it back.", by_hand(&does.join("; ")));
    Report { said, change: Some(Change::between(label, before, after)), ..Report::default() }
}

#[cfg(test)]
mod tests;
