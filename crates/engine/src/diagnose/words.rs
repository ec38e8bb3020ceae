//! The walk in words.

use super::belief::{Prediction, place, predict};
use super::{Awaited, Case, Expected, Moment, Proposal, Ranked, Step, Told, Walk};
use crate::document::{Complaint, Found, Network, Probe, Seen, Situation};
use crate::ids::PartId;
use crate::quantity::{Quantity, Unit, capital};
use crate::subject::Subject;

/// What stands between a number and how far off it may be.
const GIVE_OR_TAKE: &str = ", give or take ";

/// What is told of a vehicle that is as it is drawn, where the drawing asks for what is complained of.
const DRAWING_WRONG: &str = "the drawing itself is wrong";

impl Moment {
    /// How everything stands: `E1 on, S1 on, everything else at rest`.
    pub fn in_words(&self, network: &Network) -> String {
        let set = self.situation.set.iter();
        let mut words: Vec<String> = set
            .filter_map(|(id, position)| Some(format!("{} {position}", network.part(id)?.title())))
            .collect();
        if words.is_empty() {
            return "everything at rest".to_owned();
        }
        words.push("everything else at rest".to_owned());
        words.join(", ")
    }
}

impl Proposal {
    /// What to do, as a sentence with a full stop.
    pub fn instruction(&self, case: &Case) -> String {
        instruction(case, &self.probe, self.moment)
    }
}

impl Step {
    /// What to do, as a sentence with a full stop.
    pub fn instruction(&self, case: &Case) -> String {
        match &self.readings[..] {
            [one] => instruction(case, &one.probe, self.moment),
            _ => format!("{}: look at the loads named here.", capital(&case.moments[self.moment].when)),
        }
    }

    /// What passes: `11.7 to 12.5 V`, or of several loads `Lit: lamp E1. Dark: lamp E2, E3`.
    pub fn passes(&self, case: &Case) -> String {
        if let [one] = &self.readings[..] {
            return one.passes();
        }
        let network = &case.circuit.resolved.network;
        let of = |(seen, word): &(Seen, &str)| {
            let is_so = |one: &&Awaited| one.expected == Told::Plain(Found::Seen(*seen));
            let named = all_about(network, self.readings.iter().filter(is_so).map(|one| &one.probe));
            (!named.is_empty()).then(|| format!("{}: {named}", capital(word)))
        };
        Seen::WORDS.iter().filter_map(of).collect::<Vec<_>>().join(". ")
    }
}

impl Awaited {
    /// What passes: `11.7 to 12.5 V`, both ends included.
    pub fn passes(&self) -> String {
        let words = self.expected.in_words(&self.probe);
        // From the rounded words, so that the same passes as on sheets that were made with them.
        match (self.expected, range_of(&words)) {
            (Told::Number(..), Some((least, most))) if least < most => {
                format!("{} to {} {}", hundredths(least), hundredths(most), unit(&self.probe).symbol())
            }
            _ => words,
        }
    }
}

/// A number to the hundredth of its unit, as far as a meter shows it.
fn hundredths(value: f64) -> String {
    let text = format!("{value:.2}");
    match text.trim_end_matches('0').trim_end_matches('.') {
        "-0" => "0".to_owned(),
        text => text.to_owned(),
    }
}

/// The numbers that these words let pass, least and greatest: `11.7 to 12.5 V`, or `12.1 V, give or take 0.4 V`, which
/// sheets that were made earlier have.
fn range_of(passes: &str) -> Option<(f64, f64)> {
    let number = |words: &str| words.split(' ').next()?.replace('\u{2212}', "-").parse::<f64>().ok();
    if let Some((least, most)) = passes.split_once(" to ") {
        return number(least).zip(number(most));
    }
    let (value, off) = passes.split_once(GIVE_OR_TAKE).unwrap_or((passes, "0"));
    let (value, off) = number(value).zip(number(off))?;
    Some((value - off, value + off))
}

/// Whether these words let the same pass.
pub(super) fn pass_the_same(one: &str, other: &str) -> bool {
    // Both ends have two digits behind the point.
    let is_near = |a: f64, b: f64| (a - b).abs() < 0.001;
    let ranges = range_of(one).zip(range_of(other));
    one == other || ranges.is_some_and(|(a, b)| is_near(a.0, b.0) && is_near(a.1, b.1))
}

/// Whether what was found is what these words of [`Awaited::passes`] let pass; `None` where nothing was found or the words
/// are none of these. The words count, not what they were made from: somebody went by them.
pub fn is_passed_by(probe: &Probe, passes: &str, found: Found) -> Option<bool> {
    match found {
        Found::CannotReach => None,
        Found::Number(found) => {
            let (least, most) = range_of(passes)?;
            // What is typed has as few digits as the words.
            Some((least - 1e-9..=most + 1e-9).contains(&found))
        }
        _ => Some(found_in_words(probe, found) == passes),
    }
}

/// Where the leads go, or what to look at, in which situation.
fn instruction(case: &Case, probe: &Probe, moment: usize) -> String {
    let network = &case.circuit.resolved.network;
    let when = capital(&case.moments[moment].when);
    let terminal = |terminal| network.terminal_in_full(terminal);
    match probe {
        Probe::Volts { at, against } => {
            let black = against.as_ref().map_or_else(|| "the body".to_owned(), terminal);
            format!("{when}: volts, red lead on {}, black lead on {black}.", terminal(at))
        }
        Probe::TestLamp { at, against } => {
            let other = against.as_ref().map_or_else(|| "the body".to_owned(), terminal);
            format!("{when}: test lamp between {} and {other}. Lit, dim or dark?", terminal(at))
        }
        Probe::Amps(wire) => format!(
            "{when}: clamp meter, set to direct current, around {}.",
            Subject::Wire(wire.clone()).title(network)
        ),
        Probe::Look(part, name) => {
            format!("{when}: look at {}. Lit, dim or dark?", load(network, part, name))
        }
        Probe::Listen(part) => {
            let relay = Subject::Part(part.clone()).title(network);
            format!("{when}, which you set while you listen: does {relay} click?")
        }
        Probe::Fuse(part) => {
            let fuse = Subject::Part(part.clone()).title(network);
            format!("Switch off, take {fuse} out and look at it: is it whole?")
        }
        Probe::Pin { wire, .. } => format!("{when}: volts at {wire}."),
    }
}

impl Expected {
    /// What would be found, and what it would speak for: `about 12.1 V if fuse F1 is open`.
    pub fn in_words(&self, walk: &Walk<'_>, probe: &Probe) -> String {
        const MOST: usize = 2;
        let is_drawn_so = walk.is_drawn_so();
        let one = |cause: &usize| match walk.case.causes[*cause].fault() {
            None if is_drawn_so => DRAWING_WRONG.to_owned(),
            _ => walk.case.causes[*cause].in_words(&walk.case.circuit),
        };
        let causes: Vec<String> = self.causes.iter().take(MOST).map(one).collect();
        let more = match self.causes.len().saturating_sub(MOST) {
            0 => String::new(),
            1 => ", or one more".to_owned(),
            n => format!(", or {n} more"),
        };
        format!("{} if {}{more}", self.told.in_words(probe), causes.join(", or if "))
    }
}

impl Told {
    /// What would be found: `12.1 V, give or take 0.4 V`.
    pub fn in_words(self, probe: &Probe) -> String {
        match self {
            Told::Plain(found) => found_in_words(probe, found),
            Told::Number(value, off) => {
                let unit = unit(probe);
                let round = |value: f64| {
                    let value = (100.0 * value).round() / 100.0;
                    Quantity::new(if value == 0.0 { 0.0 } else { value }, unit)
                        .map_or_else(|| "any".to_owned(), |q| q.to_string())
                };
                match off {
                    off if off < 0.005 => round(value),
                    off => format!("{}{GIVE_OR_TAKE}{}", round(value), round(off.max(0.01))),
                }
            }
        }
    }
}

fn unit(probe: &Probe) -> Unit {
    if matches!(probe, Probe::Amps(_)) { Unit::Ampere } else { Unit::Volt }
}

/// What was found, in a word or two.
pub fn found_in_words(probe: &Probe, found: Found) -> String {
    match found {
        Found::Number(value) => Quantity::new(value, unit(probe))
            .map_or_else(|| "no number".to_owned(), |quantity| quantity.to_string()),
        Found::Seen(seen) => seen.word().to_owned(),
        Found::Heard(true) => "clicks".to_owned(),
        Found::Heard(false) => "silent".to_owned(),
        Found::Whole(true) => "whole".to_owned(),
        Found::Whole(false) => "open".to_owned(),
        Found::CannotReach => "out of reach".to_owned(),
    }
}

/// What a probe is about: `lamp E3`, `relay K1:30 against the body`.
pub fn about(network: &Network, probe: &Probe) -> String {
    let part = |id: &PartId| Subject::Part(id.clone()).title(network);
    match probe {
        Probe::Volts { at, against: None } => format!("{} against the body", network.terminal_in_full(at)),
        Probe::Volts { at, against: Some(against) } => {
            format!("{} against {}", network.terminal_in_full(at), network.terminal_in_full(against))
        }
        Probe::TestLamp { at, against } => {
            let other =
                against.as_ref().map_or_else(|| "the body".to_owned(), |one| network.terminal_in_full(one));
            format!("a test lamp between {} and {other}", network.terminal_in_full(at))
        }
        Probe::Amps(wire) => Subject::Wire(wire.clone()).title(network),
        Probe::Look(id, name) => load(network, id, name),
        Probe::Listen(id) | Probe::Fuse(id) => part(id),
        Probe::Pin { wire, .. } => wire.clone(),
    }
}

/// What several probes are about, each sort of part named once where they follow each other: `lamp E3, E4, socket X1`.
pub fn all_about<'p>(network: &Network, probes: impl IntoIterator<Item = &'p Probe>) -> String {
    let titles = probes.into_iter().map(|probe| match probe {
        // What has a name of its own is no designation.
        Probe::Look(_, name) if !name.is_empty() => (about(network, probe), false),
        _ => (about(network, probe), true),
    });
    listed(titles)
}

/// Several subjects, each sort named once where they follow each other: `wire W3, W4, lamp E1`.
pub fn all_of<'s>(network: &Network, subjects: impl IntoIterator<Item = &'s Subject>) -> String {
    listed(subjects.into_iter().map(|subject| (subject.title(network), true)))
}

/// Titles in a row; those that end with a designation share the words before it.
fn listed(titles: impl Iterator<Item = (String, bool)>) -> String {
    let mut said = String::new();
    let mut last = String::new();
    for (title, has_sort) in titles {
        let sort = title.rsplit_once(' ').filter(|_| has_sort).map_or("", |(sort, _)| sort);
        let told =
            if sort.is_empty() || sort != last { &title[..] } else { title[sort.len()..].trim_start() };
        said.push_str(if said.is_empty() { "" } else { ", " });
        said.push_str(told);
        last = sort.to_owned();
    }
    said
}

fn load(network: &Network, part: &PartId, name: &str) -> String {
    let part = Subject::Part(part.clone()).title(network);
    if name.is_empty() { part } else { format!("the {name} of {part}") }
}

/// What is wrong, to stand behind the name of what it is about: `stays dark`.
pub fn wrong_in_words(complaint: &Complaint) -> String {
    match (complaint.should, complaint.found) {
        (Found::Seen(Seen::Dark), _) => "works and should not".to_owned(),
        (_, Found::Seen(Seen::Dark)) => "stays dark".to_owned(),
        (_, Found::Seen(Seen::Dim)) => "is dim".to_owned(),
        (_, Found::Heard(false)) => "does not click".to_owned(),
        (_, Found::Heard(true)) => "clicks and should not".to_owned(),
        (_, Found::Whole(false)) => "has blown".to_owned(),
        (should, found) => {
            let words = |found| found_in_words(&complaint.probe, found);
            format!("is {} and should be {}", words(found), words(should))
        }
    }
}

impl Walk<'_> {
    /// Whether everything that is complained of is what the drawing asks for, so that a vehicle that is built as it is
    /// drawn leaves only the drawing to be wrong.
    pub fn is_drawn_so(&self) -> bool {
        let case = self.case;
        let is_drawn = |one: &Complaint| {
            let at = case.moment(&one.situation).zip(case.target(&one.probe));
            at.is_some_and(|(moment, target)| match predict(case, 0, moment, &target) {
                Prediction::Odds(odds) => odds[place(one.found).0] > 0.5,
                // A number is complained of because it is not the one that is drawn.
                _ => false,
            })
        };
        !self.complaints.is_empty() && self.complaints.iter().all(is_drawn)
    }

    /// What is complained of, in a row: `lamp E3 stays dark`.
    fn complaints_in_words(&self) -> String {
        let network = &self.case.circuit.resolved.network;
        let one = |one: &Complaint| format!("{} {}", about(network, &one.probe), wrong_in_words(one));
        let mut all: Vec<String> = Vec::new();
        for words in self.complaints.iter().map(one) {
            if !all.contains(&words) {
                all.push(words);
            }
        }
        all.join(" and ")
    }

    /// One thing that was found, by its place among complaints and readings: `lamp E3 dark (main beam)`.
    pub fn item_in_words(&self, index: usize) -> String {
        let n = self.complaints.len();
        let one = |situation: &Situation, probe: &Probe, found: Found| {
            let network = &self.case.circuit.resolved.network;
            format!("{} {} ({})", about(network, probe), found_in_words(probe, found), situation.name)
        };
        match (self.complaints.get(index), index.checked_sub(n).and_then(|index| self.readings.get(index))) {
            (Some(complaint), _) => one(&complaint.situation, &complaint.probe, complaint.found),
            (None, Some(reading)) => match reading.found {
                Some(found) => one(&reading.situation, &reading.probe, found),
                None => about(&self.case.circuit.resolved.network, &reading.probe),
            },
            (None, None) => String::new(),
        }
    }

    /// Why a cause is as likely as it is: `explains lamp E3 dark (main beam); relay K1 clicks (main beam) speaks
    /// against it`.
    pub fn reasons(&self, ranked: &Ranked) -> String {
        let all = |items: &[usize]| {
            items.iter().map(|item| self.item_in_words(*item)).collect::<Vec<_>>().join(", ")
        };
        let mut said = Vec::new();
        if !ranked.explains.is_empty() {
            said.push(format!("explains {}", all(&ranked.explains)));
        }
        if !ranked.against.is_empty() {
            said.push(format!("speaks against it: {}", all(&ranked.against)));
        }
        if said.is_empty() { "nothing found so far speaks against it".to_owned() } else { said.join("; ") }
    }

    /// A cause in words, with the resistance of a bad joint: `wire W5 has a bad joint at one of its ends, about 1.3 ohm`.
    /// Where the vehicle is as it is drawn and something is wrong all the same, it is the drawing.
    pub fn cause_in_words(&self, ranked: &Ranked) -> String {
        if self.case.causes[ranked.cause].fault().is_none() && self.is_drawn_so() {
            return format!("{DRAWING_WRONG}: built as it is drawn, {}", self.complaints_in_words());
        }
        let cause = self.case.causes[ranked.cause].in_words(&self.case.circuit);
        match ranked.ohm.and_then(|ohm| Quantity::new(two_digits(ohm), Unit::Ohm)) {
            Some(ohm) => format!("{cause}, about {ohm}"),
            None => cause,
        }
    }
}

/// A positive number with its first two digits.
fn two_digits(value: f64) -> f64 {
    let scale = libm::pow(10.0, 1.0 - libm::floor(libm::log10(value)));
    (value * scale).round() / scale
}

/// A share as people say it: `26 %`, `under 1 %`.
pub fn percent(share: f64) -> String {
    match 100.0 * share {
        share if share < 1.0 => "under 1 %".to_owned(),
        share if share > 99.0 => "over 99 %".to_owned(),
        share => format!("{share:.0} %"),
    }
}
