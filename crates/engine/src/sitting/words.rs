//! Where parts should sit, in words.

use super::{Sitting, Stays, StaysAs, Tried};
use crate::document::{Document, VehiclePlace};
use crate::finding::{Finding, Severity};
use crate::ids::{PlaceId, WireId};
use crate::quantity::{Quantity, Unit};
use crate::sizing::kilograms;
use crate::subject::Subject;

/// Copper and lengths of less than this differ by rounding alone, in square millimetres times metres and in metres.
const SAME: f64 = 1e-6;

/// What copper in square millimetres times metres weighs, as a person reads it: `214 g`.
pub fn weight(mm2_m: f64) -> String {
    Quantity::new(1000.0 * kilograms(mm2_m), Unit::One).map_or_else(String::new, |grams| format!("{grams} g"))
}

/// A length in metres, as a person reads it.
fn metres(length: f64) -> String {
    Quantity::new(length, Unit::Metre).map_or_else(String::new, |length| length.to_string())
}

/// What a person calls a place.
fn title(document: &Document, place: &PlaceId) -> String {
    document.plan.place(place).map_or(place.as_str(), VehiclePlace::title).to_owned()
}

impl Tried {
    /// The places as a row of a table names them: `dash`, and of several parts `K1 dash, F1 tray`.
    pub fn title(&self, sitting: &Sitting, document: &Document) -> String {
        let one = |(part, place)| match document.network.part(part) {
            Some(part) if sitting.parts.len() > 1 => format!("{} {}", part.title(), title(document, place)),
            _ => title(document, place),
        };
        sitting.parts.iter().zip(&self.places).map(one).collect::<Vec<_>>().join(", ")
    }

    /// What is found that the job does not have, or no more that it has: `new: ..; gone: ..`; empty when that is nothing.
    pub fn differences(&self) -> String {
        let all = |word: &str, findings: &[Finding]| {
            let one = |finding: &Finding| format!("{} {}", finding.severity.word(), finding.message);
            let told: Vec<String> = findings.iter().map(one).collect();
            (!told.is_empty()).then(|| format!("{word}: {}", told.join("; ")))
        };
        [all("new", &self.come), all("gone", &self.gone)].into_iter().flatten().collect::<Vec<_>>().join("; ")
    }
}

impl Sitting {
    /// Where the parts sit best and why, in full sentences.
    pub fn why(&self, document: &Document) -> String {
        let named = |(part, place)| {
            let part = Subject::Part(part).title(&document.network);
            format!("{part} at {}", title(document, place))
        };
        let best = self.best();
        let all: Vec<String> = self.parts.iter().cloned().zip(&best.places).map(named).collect();
        let all = all.join(", ");
        let mut sentences = Vec::new();
        if self.is_now_best() {
            let head = match self.parts.len() {
                1 => "It sits best where it is",
                _ => "They sit best where they are",
            };
            sentences.push(match self.cheaper() {
                None => format!("{head}, {all}: nowhere else less copper is needed"),
                Some(_) => format!("{head}, {all}: wherever less copper is needed something new is found"),
            });
        } else {
            let (gain, found) = (self.gain(), found(best));
            sentences.push(format!("Best is {all}: {gain}; {found}"));
        }
        if let Some(other) = self.cheaper().filter(|_| best.come.is_empty()) {
            let (place, less) = (other.title(self, document), weight(best.copper - other.copper));
            let message = other.come.first().map_or("", |finding| &finding.message);
            sentences.push(format!("At {place} {less} less would do, but there {message}"));
        }
        sentences.extend(self.proof());
        sentences.iter().map(|sentence| format!("{sentence}.")).collect::<Vec<_>>().join(" ")
    }

    /// What was tried that has the least copper, if that is less than the best has.
    fn cheaper(&self) -> Option<&Tried> {
        let least = self.tried.iter().min_by(|one, other| one.cost.cmp(&other.cost))?;
        (least.copper < self.best().copper - SAME).then_some(least)
    }

    /// What the best places bring.
    fn gain(&self) -> String {
        let best = self.best();
        let times = |n: usize| if n == 1 { "once".to_owned() } else { format!("{n} times") };
        let Some(now) = &self.now else {
            let through = match best.n_bulkheads {
                0 => "passes no bulkhead".to_owned(),
                n => format!("passes a bulkhead {}", times(n)),
            };
            let (copper, wire) = (weight(best.copper), metres(best.wire_m));
            return format!("that needs {copper} of copper and {wire} of wire and {through}");
        };
        let saved = now.copper - best.copper;
        let copper = match saved > SAME {
            true => format!("saves {} of copper", weight(saved)),
            false => "needs as much copper".to_owned(),
        };
        let shorter = now.wire_m - best.wire_m;
        let wire = match shorter {
            _ if shorter > SAME => Some(format!("{} of wire", metres(shorter))),
            _ if shorter < -SAME => Some(format!("takes {} more wire", metres(-shorter))),
            _ => None,
        };
        let through = match (now.n_bulkheads, best.n_bulkheads) {
            (before, after) if after < before => {
                Some(format!("passes a bulkhead {} less", times(before - after)))
            }
            (before, after) if after > before => {
                Some(format!("passes a bulkhead {} more", times(after - before)))
            }
            _ => None,
        };
        let told: Vec<String> = std::iter::once(copper).chain(wire).chain(through).collect();
        format!("that {}", told.join(" and "))
    }

    /// How far the search went, where that is not plain.
    fn proof(&self) -> Option<String> {
        let least = weight(self.left_out?);
        Some(match self.is_proved {
            true => format!("Not everything was tried; what was left out needs at least {least} of copper"),
            false => format!(
                "The search ended at its limit: other places with nothing new found may do with less copper, but with no \
                 less than {least}"
            ),
        })
    }

    /// What else has to be known of the result, a sentence each.
    pub fn notes(&self, document: &Document) -> Vec<String> {
        let wire =
            |id: &WireId| document.network.wire(id).map_or(id.as_str(), |wire| wire.title()).to_owned();
        let listed = |wires: Vec<String>| {
            let noun = if wires.len() == 1 { "wire" } else { "wires" };
            (!wires.is_empty()).then(|| format!("{noun} {}", wires.join(", ")))
        };
        let mut notes = Vec::new();
        if self.wires.is_empty() {
            notes.push(
                "The length of no wire hangs on it: the places differ only in what is found.".to_owned(),
            );
        }
        let typed = |stays: &&Stays| stays.why == StaysAs::Typed;
        let all = listed(self.stays.iter().filter(typed).map(|stays| wire(&stays.wire)).collect());
        notes.extend(all.map(|wires| format!("The length of {wires} was typed and does not change.")));
        let ends_nowhere = |stays: &Stays| match &stays.why {
            StaysAs::EndsNowhere(part) => Some(format!(
                "{} ({})",
                wire(&stays.wire),
                Subject::Part(part.clone()).title(&document.network)
            )),
            StaysAs::Typed => None,
        };
        let all = listed(self.stays.iter().filter_map(ends_nowhere).collect());
        notes.extend(all.map(|wires| {
            format!(
                "What is at the other end sits nowhere, so that nothing is known of the length of {wires}."
            )
        }));
        let all = listed(self.assumed.iter().map(wire).collect());
        notes.extend(all.map(|wires| {
            format!("The size of {wires} is not known: its copper is that of the size assumed.")
        }));
        let mut not_joined: Vec<String> = Vec::new();
        for (part, place) in &self.not_joined {
            let told = match self.parts.len() {
                1 => title(document, place),
                _ => format!(
                    "{} for {}",
                    title(document, place),
                    Subject::Part(part.clone()).title(&document.network)
                ),
            };
            not_joined.push(told);
        }
        if !not_joined.is_empty() {
            notes.push(format!(
                "Not joined by routes with all that is wired to it: {}.",
                not_joined.join(", ")
            ));
        }
        notes
    }
}

/// What is found at the best places.
fn found(best: &Tried) -> String {
    let counted = |n: usize, noun: &str| match n {
        1 => format!("1 {noun}"),
        n => format!("{n} {noun}s"),
    };
    let new: Vec<String> = [Severity::Stop, Severity::Look]
        .into_iter()
        .map(|severity| (best.n_new(severity), severity.word()))
        .filter(|(n, _)| *n > 0)
        .map(|(n, word)| counted(n, word))
        .collect();
    let gone = match best.gone.len() {
        0 => String::new(),
        1 => " and 1 finding goes".to_owned(),
        n => format!(" and {n} findings go"),
    };
    match new.is_empty() {
        true => format!("nothing new is found{gone}"),
        false => format!("new there: {}{gone}, the fewest of what was tried", new.join(" and ")),
    }
}
