//! An inspection in words: full sentences for a buyer, without a term that only the trade knows where there is another.

use crate::document::{Network, Severity};
use crate::finding::Harm;
use crate::inspect::{Inspection, Item, LookAt, Reason, Turn, Unknown, Verdict, may_happen};
use crate::quantity::capital;
use crate::subject::{Subject, titles};

/// What no drawing shows.
pub const NOT_SEEN: &str = "What was not drawn was not judged. A drawing shows no bad crimp, no chafed or brittle insulation, no \
    corrosion and no painted earth point: it does not replace the look, the meter and a qualified person.";

fn plural(n: usize, one: &str, several: &str) -> String {
    if n == 1 { format!("1 {one}") } else { format!("{n} {several}") }
}

impl Inspection {
    fn network(&self) -> &Network {
        &self.as_used.network
    }

    fn count(&self, verdict: Verdict, is_counted: impl Fn(&Item) -> bool) -> usize {
        self.items.iter().filter(|item| item.verdict == verdict && is_counted(item)).count()
    }

    /// The conclusion and how much of what was found, as the head line.
    pub fn head(&self) -> String {
        let conclusion = self.conclusion().words();
        if self.is_empty {
            return format!("{conclusion}.");
        }
        let counts = |verdict| {
            let fire =
                self.count(verdict, |item| item.severity == Severity::Stop && item.harm() == Harm::Fire);
            let all = self.count(verdict, |_| true);
            let fire = if fire == 0 { String::new() } else { format!(" ({fire} can start a fire)") };
            format!("{all} {}{fire}", verdict.word())
        };
        match self.items.is_empty() {
            true => format!("{conclusion}."),
            false => {
                format!("{conclusion}. Found: {}, {}.", counts(Verdict::Sure), counts(Verdict::Possible))
            }
        }
    }

    /// What the verdicts rest on and what they do not reach: always told.
    pub fn limits(&self) -> Vec<String> {
        let mut told = vec![NOT_SEEN.to_owned()];
        if !self.unknowns.is_empty() {
            let said = self.unknowns.iter().filter(|unknown| unknown.said).count();
            let usual = self.unknowns.len() - said;
            let spans = match (said, usual) {
                (said, 0) => format!("the ranges given for {}", plural(said, "value", "values")),
                (0, usual) => format!(
                    "what is usual in the trade for {} of which nothing was said",
                    plural(usual, "value", "values")
                ),
                (said, usual) => format!(
                    "the ranges given for {}, and what is usual in the trade for {} of which nothing was said",
                    plural(said, "value", "values"),
                    plural(usual, "other", "others")
                ),
            };
            told.push(format!(
                "Judged with {spans}: the checks were run on {} with values out of these.",
                plural(self.n_tried, "layout", "layouts")
            ));
        }
        if !self.own.is_empty() {
            let names: Vec<&str> = self.own.iter().map(|own| name(self.network(), own)).collect();
            told.push(format!(
                "Taken as the vehicle's own, and judged only as far as the rest changes what it carries: {}.",
                names.join(", ")
            ));
        }
        told
    }

    /// What cannot be judged, one sentence each.
    pub fn not_judged_in_words(&self) -> Vec<String> {
        let one = |(subject, what): &(Subject, String)| {
            format!("{}: {what} is not known, and nothing bounds it.", subject.title(self.network()))
        };
        self.not_judged.iter().map(one).collect()
    }

    /// Among the checks for what can start a fire, what was not found.
    pub fn not_found_in_words(&self) -> String {
        let summaries: Vec<&str> = self
            .not_found
            .iter()
            .filter_map(|name| crate::check::by_name(name))
            .map(|check| check.summary)
            .collect();
        match summaries.is_empty() {
            true => String::new(),
            false => format!("Not found in anything tried: {}.", summaries.join("; ")),
        }
    }

    /// How sure an item is, and why.
    pub fn how_sure(&self, item: &Item) -> String {
        if item.verdict == Verdict::Sure {
            return match item.reason {
                Some(Reason::NothingUnknown) => "Sure: it follows from what was drawn.",
                Some(Reason::Joined) => "Sure: it follows from what is joined, whatever the values are.",
                Some(Reason::OneWay) => "Sure: it holds with the values that are kindest to it.",
                Some(Reason::EveryCorner) => "Sure: it holds at every end of what is not known.",
                None => "Sure.",
            }
            .to_owned();
        }
        let known = match item.at_least {
            Some(Severity::Look) => " That it is outside good practice is sure.",
            Some(_) => " That it is worth a note is sure.",
            None => "",
        };
        let why = match (item.decided_by.is_empty(), item.together.is_empty()) {
            (false, _) => "it hangs on what is not known".to_owned(),
            (true, false) => {
                let names: Vec<String> =
                    item.together.iter().map(|index| self.unknowns[*index].title(self.network())).collect();
                format!("it hangs on several values together: {}", names.join(", "))
            }
            (true, true) if item.always => {
                "it was there with every value tried, but these act together, so that is no proof".to_owned()
            }
            (true, true) => "it hangs on several values together".to_owned(),
        };
        format!("Possible: {why}.{known}")
    }

    /// The values that an item's numbers were worked out with; empty when none of them is unknown.
    pub fn worked_out_with(&self, item: &Item) -> String {
        let of = |(index, number): &(usize, f64)| {
            let unknown = &self.unknowns[*index];
            let title = unknown.subject.title(self.network());
            format!("{} of {title}: {}", unknown.what, unknown.title_of(*number))
        };
        match item.with.is_empty() {
            true => String::new(),
            false => format!("Worked out with {}.", item.with.iter().map(of).collect::<Vec<_>>().join("; ")),
        }
    }

    /// What to look at, what clears most doubts first; values that tell the same of their own thing are one entry.
    pub fn looks(&self) -> Vec<Looks> {
        let mut looks: Vec<(&'static str, String, Vec<usize>)> = Vec::new();
        for look in &self.look_at {
            let (key, tells) = (self.unknowns[look.unknown].key, self.tells(look));
            match looks.iter_mut().find(|(known, told, _)| (*known, told) == (key, &tells)) {
                Some((.., all)) => all.push(look.unknown),
                None => looks.push((key, tells, vec![look.unknown])),
            }
        }
        let worded = |(_, tells, unknowns): (_, String, Vec<usize>)| {
            let subjects: Vec<&Subject> =
                unknowns.iter().map(|index| &self.unknowns[*index].subject).collect();
            let instruction = self.unknowns[unknowns[0]].instruction(self.network(), &subjects);
            Looks { words: format!("{}. {tells}", capital(&instruction)), unknowns }
        };
        looks.into_iter().map(worded).collect()
    }

    /// What a value tells of the items that it decides.
    fn tells(&self, look: &LookAt) -> String {
        let unknown = &self.unknowns[look.unknown];
        let one = |index: &usize| {
            let item = &self.items[*index];
            let turn = item.decided_by.iter().find(|turn| turn.unknown == look.unknown)?;
            let about = match item.finding.subject == unknown.subject {
                true => String::new(),
                false => format!(" ({})", item.finding.subject.title(self.network())),
            };
            Some(format!(
                "{}{about}: {}",
                capital(&unknown.range(turn)),
                first_lower(may_happen(item.finding.check))
            ))
        };
        let tells: Vec<String> = look.clears.iter().filter_map(one).collect();
        match tells.is_empty() {
            true => {
                format!(
                    "It decides {} together with other values.",
                    plural(look.helps.len(), "doubt", "doubts")
                )
            }
            false => tells.join(" "),
        }
    }

    /// The items by their index, the worst first; doubts of one sort that turn at the same values are one entry.
    pub fn gathered(&self) -> Vec<Vec<usize>> {
        let sort = |item: &Item| {
            let turns = item.decided_by.iter().map(|turn| {
                let unknown = &self.unknowns[turn.unknown];
                (unknown.subject == item.finding.subject).then(|| (unknown.key, unknown.range(turn)))
            });
            let turns = turns.collect::<Option<Vec<_>>>();
            turns.filter(|_| item.verdict == Verdict::Possible).map(|turns| {
                (item.finding.check, item.severity, item.at_least, item.together.is_empty(), turns)
            })
        };
        let mut all: Vec<(Option<_>, Vec<usize>)> = Vec::new();
        for (index, item) in self.items.iter().enumerate() {
            let sort = sort(item);
            match all.iter_mut().find(|(known, _)| known.is_some() && *known == sort) {
                Some((_, indices)) => indices.push(index),
                None => all.push((sort, vec![index])),
            }
        }
        all.into_iter().map(|(_, indices)| indices).collect()
    }

    /// What some items are about, as a sentence names it.
    pub fn about(&self, indices: &[usize]) -> String {
        titles(self.network(), &self.subjects(indices))
    }

    fn subjects(&self, indices: &[usize]) -> Vec<&Subject> {
        indices.iter().map(|index| &self.items[*index].finding.subject).collect()
    }

    /// What may come of some items of one sort, in words that need no trade.
    pub fn may_happen(&self, indices: &[usize]) -> String {
        let check = indices.first().map_or("", |index| self.items[*index].finding.check);
        match indices.len() {
            0 | 1 => may_happen(check).to_owned(),
            _ => format!("Of each of them: {}", first_lower(may_happen(check))),
        }
    }

    /// Where the values turn that decide some items of one sort, one sentence each.
    pub fn turns_of(&self, indices: &[usize]) -> Vec<String> {
        let Some(first) = indices.first().map(|index| &self.items[*index]) else { return Vec::new() };
        let one = |turn: &Turn| {
            let unknown = &self.unknowns[turn.unknown];
            let subjects = match unknown.subject == first.finding.subject {
                true => self.subjects(indices),
                false => vec![&unknown.subject],
            };
            let instruction = unknown.instruction(self.network(), &subjects);
            format!("{}: {} it is so.", capital(&instruction), unknown.range(turn))
        };
        first.decided_by.iter().map(one).collect()
    }
}

/// Values to look at that tell the same.
#[derive(Clone, Debug, PartialEq)]
pub struct Looks {
    /// Which values, by their index among the unknown ones.
    pub unknowns: Vec<usize>,
    /// What to do, and what it tells.
    pub words: String,
}

impl Unknown {
    /// What to do to learn it of these things: `read the size printed on wire W7`.
    pub fn instruction(&self, network: &Network, subjects: &[&Subject]) -> String {
        let title = titles(network, subjects);
        let one_or =
            |one: &'static str, several: &'static str| if subjects.len() == 1 { one } else { several };
        match self.key {
            "size" => {
                let conductor = one_or("its conductor", "their conductors");
                format!("read the size printed on {title}, or measure {conductor}")
            }
            "length_m" => format!("measure how long {title} {}", one_or("is", "are")),
            "insulation" => format!("read the class printed on {title}"),
            "surroundings" => format!("see where {title} {}", one_or("runs", "run")),
            "bundle" => {
                let with = one_or("", "each of ");
                format!("count the wires that lie with {with}{title} and carry a load, itself included")
            }
            "coil_ohm" => format!("measure the {} of {title} with the meter", one_or("coil", "coils")),
            _ => format!("read or measure the {} of {title}", self.what),
        }
    }

    /// From where to where something stands along it: `at 1.5 mm2 or less`.
    pub fn range(&self, turn: &Turn) -> String {
        let one = |(low, high): &(f64, f64)| {
            let (first, last) = (self.title_of(*low), self.title_of(*high));
            match (*low <= self.span.low, *high >= self.span.high) {
                _ if low == high && !self.is_told_by_number() => format!("if it is {first}"),
                (true, false) if self.is_told_by_number() => format!("at {last} or less"),
                (false, true) if self.is_told_by_number() => format!("at {first} or more"),
                (true, false) => format!("up to {last}"),
                (false, true) => format!("from {first} on"),
                _ if low == high => format!("at {first}"),
                _ => format!("between {first} and {last}"),
            }
        };
        turn.stands.iter().map(one).collect::<Vec<_>>().join(" and ")
    }

    /// Whether people call its values by a number: they do not of a class, a place or a bundle.
    fn is_told_by_number(&self) -> bool {
        !matches!(self.key, "insulation" | "surroundings" | "bundle")
    }
}

fn name<'a>(network: &'a Network, subject: &'a Subject) -> &'a str {
    match subject {
        Subject::Wire(id) => network.wire(id).map_or(id.as_str(), |wire| wire.title()),
        other => other.part().and_then(|id| network.part(id)).map_or("", |part| part.title()),
    }
}

fn first_lower(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_lowercase().chain(letters).collect())
}
