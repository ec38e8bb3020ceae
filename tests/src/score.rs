//! Planted mistakes against what the checks find.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt;
use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};

use engine::document::Document;
use engine::finding::{Finding, Severity};

use crate::chance::Chance;
use crate::judge::{Fault, Harm, Judged, Setting, consequences, judge, settings};
use crate::mistake::{Mistake, plant};

/// How a mistake fared.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Fate {
    /// It changes nothing that the judge sees, and the checks say nothing.
    NoEffect,
    /// It changes nothing that the judge sees, but brings a load so near to its limit that the checks may speak.
    Near,
    /// It changes nothing that the judge sees, but the checks speak.
    Questioned,
    /// One Stop or Look, about what was done wrong.
    Found,
    /// One Stop or Look, about something that suffers from it.
    FoundAtVictim,
    /// Several Stops or Looks, one of them at one of those places.
    Several,
    /// Stops or Looks, none of them there.
    Elsewhere,
    /// Nothing.
    Missed,
}

impl Fate {
    fn word(self) -> &'static str {
        match self {
            Fate::NoEffect => "no effect",
            Fate::Near => "near its limit",
            Fate::Questioned => "found without an effect",
            Fate::Found => "found",
            Fate::FoundAtVictim => "found at what suffers",
            Fate::Several => "several findings",
            Fate::Elsewhere => "found elsewhere only",
            Fate::Missed => "missed",
        }
    }
}

/// One mistake and how it fared.
#[derive(Clone, Debug)]
pub struct Scored {
    /// The job it was planted in.
    pub job: String,
    /// Kind of mistake.
    pub kind: &'static str,
    /// What was done.
    pub what: String,
    /// What the judge says of it.
    pub consequences: Vec<Fault>,
    /// Stops and Looks, as `check subject`.
    pub findings: Vec<String>,
    /// How it fared.
    pub fate: Fate,
}

/// A job without a mistake, and what is known of it.
pub struct Plot {
    /// Its name.
    pub name: String,
    /// The job.
    pub document: Document,
    settings: Vec<Setting>,
    judged: Judged,
}

impl Plot {
    /// Judges a job that is taken to be sound.
    pub fn new(name: String, document: Document) -> Plot {
        let settings = settings(&document);
        let judged = judge(&document, &settings);
        Plot { name, document, settings, judged }
    }

    /// The Stops and Looks on the job itself: there must be none.
    pub fn false_alarms(&self) -> Vec<String> {
        findings(&self.document).iter().map(|finding| format!("{}: {}", self.name, told(finding))).collect()
    }

    /// How many situations it is looked at in.
    pub fn n_settings(&self) -> usize {
        self.settings.len()
    }

    /// Every mistake that can be planted in it.
    pub fn mistakes(&self) -> Vec<Mistake> {
        plant(&self.document, &self.judged)
    }

    /// Scores one mistake.
    pub fn score(&self, mistake: &Mistake) -> Scored {
        let judged = judge(&mistake.document, &self.settings);
        let effect = consequences(&self.judged, &judged);
        let near = judged.near.difference(&self.judged.near).next().is_some();
        let found = findings(&mistake.document);
        let id = |finding: &Finding| match finding.subject.part() {
            Some(part) => part.to_string(),
            None => finding.subject.id(),
        };
        let at_it = found.iter().any(|finding| mistake.places.contains(&id(finding)));
        let at_victim = found.iter().any(|finding| effect.iter().any(|fault| fault.of == id(finding)));
        let fate = match (effect.is_empty(), found.len()) {
            (true, 0) => Fate::NoEffect,
            (true, _) if near => Fate::Near,
            (true, _) => Fate::Questioned,
            (false, 0) => Fate::Missed,
            (false, 1) if at_it => Fate::Found,
            (false, 1) if at_victim => Fate::FoundAtVictim,
            (false, _) if at_it || at_victim => Fate::Several,
            _ => Fate::Elsewhere,
        };
        Scored {
            job: self.name.clone(),
            kind: mistake.kind,
            what: mistake.what.clone(),
            consequences: effect.into_iter().collect(),
            findings: found.iter().map(told).collect(),
            fate,
        }
    }
}

/// Scores the mistakes of these jobs, one in so many of them by chance, and always the same ones.
pub fn run(plots: &[Plot], one_in: usize) -> Report {
    let next = AtomicUsize::new(0);
    let all = Mutex::new(Vec::new());
    let n_threads = std::thread::available_parallelism().map_or(1, usize::from);
    std::thread::scope(|scope| {
        for _ in 0..n_threads {
            scope.spawn(|| {
                loop {
                    let index = next.fetch_add(1, Ordering::Relaxed);
                    let Some(plot) = plots.get(index) else { break };
                    let mut chance = Chance::new(index as u64);
                    let mut mistakes = plot.mistakes();
                    mistakes.retain(|_| chance.once_in(one_in));
                    let scored = mistakes.iter().map(|mistake| plot.score(mistake));
                    all.lock().expect("no thread stops half way").extend(scored);
                }
            });
        }
    });
    let mut scored = all.into_inner().expect("no thread stops half way");
    scored.sort_by(|a, b| (a.kind, &a.job, &a.what).cmp(&(b.kind, &b.job, &b.what)));
    Report { scored }
}

fn findings(document: &Document) -> Vec<Finding> {
    let circuit = engine::laid::circuit(document);
    let mut found = engine::check::run_all(&circuit, &document.situations, &document.interlocks);
    found.retain(|finding| finding.severity != Severity::Note);
    found
}

fn told(finding: &Finding) -> String {
    format!("{} {}", finding.check, finding.subject.id())
}

/// All that was scored, by kind of mistake.
#[derive(Clone, Debug, Default)]
pub struct Report {
    /// Every mistake.
    pub scored: Vec<Scored>,
}

impl Report {
    fn count(&self, kind: Option<&str>, fates: &[Fate]) -> usize {
        let counts = |one: &&Scored| kind.is_none_or(|kind| one.kind == kind) && fates.contains(&one.fate);
        self.scored.iter().filter(counts).count()
    }

    /// Mistakes that have an effect.
    pub fn with_effect(&self) -> usize {
        self.count(None, &[Fate::Found, Fate::FoundAtVictim, Fate::Several, Fate::Elsewhere, Fate::Missed])
    }

    /// The share of the mistakes with an effect that gave a Stop or Look at the right place, perhaps among others.
    pub fn seen_share(&self) -> f64 {
        self.count(None, &[Fate::Found, Fate::FoundAtVictim, Fate::Several]) as f64
            / self.with_effect().max(1) as f64
    }

    /// The share of the mistakes with an effect that gave one Stop or Look, at the right place.
    pub fn found_share(&self) -> f64 {
        self.count(None, &[Fate::Found, Fate::FoundAtVictim]) as f64 / self.with_effect().max(1) as f64
    }

    /// The mistakes from which this harm follows.
    fn following(&self, harm: Harm) -> impl Iterator<Item = &Scored> {
        let follows = move |one: &&Scored| one.consequences.iter().any(|fault| fault.harm == harm);
        self.scored.iter().filter(follows)
    }

    /// Every sort of harm that follows from some mistake.
    pub fn harms(&self) -> BTreeSet<Harm> {
        self.scored.iter().flat_map(|one| &one.consequences).map(|fault| fault.harm).collect()
    }

    fn line(&self, f: &mut fmt::Formatter<'_>, title: &str, kind: Option<&str>) -> fmt::Result {
        use Fate::{Elsewhere, Found, FoundAtVictim, Missed, Near, NoEffect, Questioned, Several};
        let count = |fates: &[Fate]| self.count(kind, fates);
        let with_effect = count(&[Found, FoundAtVictim, Several, Elsewhere, Missed]);
        let share = match with_effect {
            0 => "-".to_owned(),
            n => format!("{:.0} %", 100.0 * count(&[Found, FoundAtVictim]) as f64 / n as f64),
        };
        writeln!(
            f,
            "{title:<38} {:>7} {:>9} {:>9} {:>6} {:>6} {:>7} {:>7} {:>7} {:>10} {share:>6}",
            count(&[NoEffect, Near, Questioned]) + with_effect,
            count(&[NoEffect, Near, Questioned]),
            with_effect,
            count(&[Found]),
            count(&[FoundAtVictim]),
            count(&[Several]),
            count(&[Elsewhere]),
            count(&[Missed]),
            count(&[Questioned]),
        )
    }
}

impl fmt::Display for Report {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let mut kinds: Vec<&str> = Vec::new();
        for one in &self.scored {
            if !kinds.contains(&one.kind) {
                kinds.push(one.kind);
            }
        }
        writeln!(
            f,
            "{:<38} {:>7} {:>9} {:>9} {:>6} {:>6} {:>7} {:>7} {:>7} {:>10} {:>6}",
            "mistake",
            "planted",
            "no effect",
            "effect",
            "at it",
            "victim",
            "several",
            "else",
            "missed",
            "questioned",
            "found"
        )?;
        for kind in kinds {
            self.line(f, kind, Some(kind))?;
        }
        self.line(f, "all", None)?;
        writeln!(
            f,
            "\n{:<38} {:>9} {:>6} {:>7} {:>7} {:>7}",
            "what follows", "mistakes", "found", "several", "else", "missed"
        )?;
        for harm in self.harms() {
            let count = |fates: &[Fate]| self.following(harm).filter(|one| fates.contains(&one.fate)).count();
            writeln!(
                f,
                "{:<38} {:>9} {:>6} {:>7} {:>7} {:>7}",
                format!("{harm:?}"),
                self.following(harm).count(),
                count(&[Fate::Found, Fate::FoundAtVictim]),
                count(&[Fate::Several]),
                count(&[Fate::Elsewhere]),
                count(&[Fate::Missed]),
            )?;
        }
        writeln!(
            f,
            "\nof {} with an effect {:.1} % are found as one Stop or Look at the right place, {:.1} % as one or several",
            self.with_effect(),
            100.0 * self.found_share(),
            100.0 * self.seen_share()
        )?;
        writeln!(f, "\nnot found as one Stop or Look at the right place, by kind and what follows from it:")?;
        let mut groups: BTreeMap<(&str, Fate, String), Vec<&Scored>> = BTreeMap::new();
        for one in &self.scored {
            if matches!(one.fate, Fate::Missed | Fate::Elsewhere | Fate::Several | Fate::Questioned) {
                let mut harms: Vec<String> =
                    one.consequences.iter().map(|fault| format!("{:?}", fault.harm)).collect();
                harms.dedup();
                groups.entry((one.kind, one.fate, harms.join("+"))).or_default().push(one);
            }
        }
        for ((kind, fate, harms), all) in groups {
            let example = all[0];
            writeln!(
                f,
                "  {kind}: {} {}{}{harms}; such as {}: {} -> {}",
                all.len(),
                fate.word(),
                if harms.is_empty() { "" } else { ", " },
                example.job,
                example.what,
                if example.findings.is_empty() { "nothing".to_owned() } else { example.findings.join(", ") }
            )?;
        }
        Ok(())
    }
}
