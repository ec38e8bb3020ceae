//! Fault walks with a user who is simulated: faults are planted one by one, and the walk is followed to its end.
//!
//! The vehicle is not the drawing: every wire, joint, lamp and source of it differs by chance from what is printed, a bad
//! joint has any resistance, meters and eyes err. The walk knows the drawing only.

use engine::diagnose::{Case, End, Minutes, Ranked, Reader, Standing, Walk};
use engine::document::{Complaint, Document, Found, Reading, Seen};
use engine::fault::{Fault, faults};
use engine::laid;

use crate::chance::Chance;

mod bounds;
mod tally;
mod vehicle;

pub use tally::Tally;
pub use vehicle::Vehicle;

use bounds::{by_information, by_questions};

/// Most readings after which a user gives up.
const PATIENCE: usize = 30;

/// How the simulated user goes about it.
#[derive(Clone, Copy, Debug)]
pub struct User {
    /// Every which fault is planted.
    pub step: usize,
    /// Which of them is the first.
    pub from: usize,
    /// One reading in so many is wrong; nought for none.
    pub wrong_one_in: usize,
}

/// Plants faults in a job and follows the walks.
pub fn walk_job(name: &str, document: &Document, user: User, seed: u64) -> Tally {
    let circuit = laid::circuit(document);
    let case = Case::new(&circuit, &document.situations);
    let mut tally = Tally::default();
    for (index, fault) in faults(&circuit).iter().enumerate().skip(user.from).step_by(user.step) {
        tally.planted += 1;
        let mut chance = Chance::new(seed ^ (index as u64) << 20);
        let vehicle = Vehicle::new(&circuit, &case, Some(fault), &mut chance);
        let Some(complaint) = vehicle.complaint(&mut chance) else {
            tally.silent += 1;
            continue;
        };
        let walked = Walked::by(&case, &vehicle, complaint, user, &mut chance);
        walked.count(fault, &mut tally);
        if !walked.is_answer(fault) {
            let what = fault.in_words(&circuit.resolved.network);
            let ohm = vehicle.ohm.map_or(String::new(), |ohm| format!(" ({ohm:.2} ohm)"));
            tally.missed.push(format!("{name}: {what}{ohm} {}", walked.in_words(fault)));
        }
    }
    tally
}

/// A walk that was followed to its end.
struct Walked<'w> {
    case: &'w Case,
    /// Who took the readings.
    reader: Reader,
    complaints: [Complaint; 1],
    readings: Vec<Reading>,
    minutes: f64,
    standing: Standing,
}

impl<'w> Walked<'w> {
    /// Follows a walk, taking every reading that is proposed.
    fn by(
        case: &'w Case,
        vehicle: &Vehicle<'_>,
        complaint: Complaint,
        user: User,
        chance: &mut Chance,
    ) -> Walked<'w> {
        let (complaints, access) = ([complaint], Minutes::new());
        let (mut readings, mut minutes) = (Vec::new(), 0.0);
        let standing = loop {
            let standing =
                Walk { case, complaints: &complaints, readings: &readings, minutes: &access }.stand();
            let Some(next) = standing.next.as_ref().filter(|_| readings.len() < PATIENCE) else {
                break standing;
            };
            minutes += next.minutes;
            let mut found = vehicle.read(&next.probe, next.moment, chance);
            if user.wrong_one_in > 0 && chance.once_in(user.wrong_one_in) {
                found = wrong(found, case.circuit.resolved.nominal_v, chance);
            }
            readings.push(Reading {
                situation: case.moments[next.moment].situation.clone(),
                probe: next.probe.clone(),
                expected: String::new(),
                found: Some(found),
                is_right: None,
            });
        };
        let reader = if user.wrong_one_in > 0 { Reader::Careless } else { Reader::Careful };
        Walked { case, reader, complaints, readings, minutes, standing }
    }

    /// Takes it into the tally.
    fn count(&self, fault: &Fault, tally: &mut Tally) {
        let (shares, most) = self.start();
        tally.by_information += by_information(&shares, most);
        tally.by_questions += by_questions(&shares, most);
        tally.walks += 1;
        tally.readings += self.readings.len();
        tally.minutes += self.minutes;
        tally.answers += self.standing.group.len();
        tally.given_up += usize::from(self.standing.end.is_none());
        tally.in_group += usize::from(self.is_answer(fault));
        tally.first += usize::from(self.n_ahead(fault) == Some(0));
        tally.in_three += usize::from(self.n_ahead(fault).is_some_and(|n| n < 3));
    }

    /// How likely the causes are at the start, those that no reading tells apart as one, and the most that one reading
    /// tells then.
    fn start(&self) -> (Vec<f64>, f64) {
        let access = Minutes::new();
        let start = Walk { case: self.case, complaints: &self.complaints, readings: &[], minutes: &access };
        let rows = start.stand().rows(&start);
        (rows.iter().map(|row| row.share).collect(), start.most_information(self.reader))
    }

    /// The place of a fault among the causes.
    fn place(&self, fault: &Fault) -> Option<usize> {
        let is_it = |ranked: &Ranked| self.case.causes[ranked.cause].fault() == Some(fault);
        self.standing.causes.iter().position(is_it)
    }

    /// Whether a fault is the answer, or among those that no reading tells from it.
    fn is_answer(&self, fault: &Fault) -> bool {
        self.place(fault).is_some_and(|place| self.standing.group.contains(&place))
    }

    /// How many causes come before a fault; those that no reading tells from the first count as one.
    fn n_ahead(&self, fault: &Fault) -> Option<usize> {
        let place = self.place(fault)?;
        let is_other = |place: &usize| !self.standing.group.contains(place);
        Some(if self.is_answer(fault) { 0 } else { 1 + (0..place).filter(is_other).count() })
    }

    /// What it ended with beside the fault that was planted, and what was read.
    fn in_words(&self, fault: &Fault) -> String {
        let access = Minutes::new();
        let walk = Walk {
            case: self.case,
            complaints: &self.complaints,
            readings: &self.readings,
            minutes: &access,
        };
        let answer =
            self.standing.group.first().map(|place| walk.cause_in_words(&self.standing.causes[*place]));
        let all: Vec<String> = (0..=self.readings.len()).map(|item| walk.item_in_words(item)).collect();
        let share = self.place(fault).map_or(0.0, |place| self.standing.causes[place].share);
        let end = match self.standing.end {
            Some(End::Found) => "found",
            Some(_) => "left",
            None => "given up",
        };
        format!("[{share:.3}] {end}: {} after {}", answer.unwrap_or_default(), all.join("; "))
    }
}

/// Something else than what was found.
fn wrong(found: Found, nominal_v: f64, chance: &mut Chance) -> Found {
    match found {
        Found::Number(_) => Found::Number(chance.between(0.0, 1.2 * nominal_v)),
        Found::Seen(seen) => {
            let others: Vec<Seen> =
                [Seen::Lit, Seen::Dim, Seen::Dark].into_iter().filter(|other| *other != seen).collect();
            Found::Seen(chance.one_of(&others))
        }
        Found::Heard(heard) => Found::Heard(!heard),
        Found::Whole(whole) => Found::Whole(!whole),
        Found::CannotReach => Found::CannotReach,
    }
}
