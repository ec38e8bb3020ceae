//! What came of many walks, added up.

use std::fmt;

/// What came of the walks.
#[derive(Clone, Debug, Default)]
pub struct Tally {
    /// Faults planted.
    pub planted: usize,
    /// Those that nobody would complain of: no load differs from what is drawn and no fuse opens.
    pub silent: usize,
    /// Walks followed.
    pub walks: usize,
    /// Those after which the true cause is the answer, or among those that no reading tells from it.
    pub in_group: usize,
    /// Those after which it comes first; causes that no reading tells apart count as one.
    pub first: usize,
    /// Those after which it is among the first three.
    pub in_three: usize,
    /// Walks that the user gave up.
    pub given_up: usize,
    /// Readings, all together.
    pub readings: usize,
    /// The least number of readings, all together: by the greatest information of one reading.
    pub by_information: f64,
    /// The same by the shortest questions that tell all likely causes apart, each with so many outcomes.
    pub by_questions: f64,
    /// Causes in the answers, all together.
    pub answers: usize,
    /// Minutes, all together.
    pub minutes: f64,
    /// What was missed.
    pub missed: Vec<String>,
}

impl Tally {
    /// The share of the walks whose answer holds the true cause.
    pub fn group_share(&self) -> f64 {
        self.in_group as f64 / self.walks.max(1) as f64
    }

    /// The share of the walks with the true cause among the first three.
    pub fn three_share(&self) -> f64 {
        self.in_three as f64 / self.walks.max(1) as f64
    }

    /// Readings a walk.
    pub fn mean_readings(&self) -> f64 {
        self.readings as f64 / self.walks.max(1) as f64
    }

    /// The figures in one line.
    pub fn in_short(&self) -> String {
        let n = self.walks.max(1) as f64;
        format!(
            "{} walks, in the answer {:.1} %, among the first three {:.1} %, {:.2} readings, bounds {:.2} and {:.2}",
            self.walks,
            100.0 * self.group_share(),
            100.0 * self.three_share(),
            self.mean_readings(),
            self.by_information / n,
            self.by_questions / n
        )
    }

    /// Takes in another tally.
    pub fn add(&mut self, other: Tally) {
        self.planted += other.planted;
        self.silent += other.silent;
        self.walks += other.walks;
        self.in_group += other.in_group;
        self.first += other.first;
        self.in_three += other.in_three;
        self.given_up += other.given_up;
        self.readings += other.readings;
        self.by_information += other.by_information;
        self.by_questions += other.by_questions;
        self.answers += other.answers;
        self.minutes += other.minutes;
        self.missed.extend(other.missed);
    }
}

impl fmt::Display for Tally {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let n = self.walks.max(1) as f64;
        let share = |count: usize| 100.0 * count as f64 / n;
        writeln!(f, "{} faults planted, {} of them silent, {} walks", self.planted, self.silent, self.walks)?;
        writeln!(
            f,
            "true cause first {:.1} %, among the first three {:.1} %, in the answer {:.1} % (of {:.2} causes), given up {}",
            share(self.first),
            share(self.in_three),
            share(self.in_group),
            self.answers as f64 / n,
            self.given_up
        )?;
        writeln!(
            f,
            "readings {:.2} a walk in {:.1} minutes; at least {:.2} by information, {:.2} by questions",
            self.readings as f64 / n,
            self.minutes / n,
            self.by_information / n,
            self.by_questions / n
        )
    }
}
