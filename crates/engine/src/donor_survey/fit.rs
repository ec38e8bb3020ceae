//! Comparing the readings with what each candidate would show, and finding the reading that tells those apart that are left.

use super::candidate::{Candidate, Nature};
use super::{Drive, Lights, Readings, Spot, tolerance};

/// What is asked next.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Next {
    /// A reading.
    Take(Spot),
    /// What drives the lamp: the readings do not tell a quiet module from a contact.
    SayDrive,
}

/// What the readings come to.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Verdict {
    /// Nothing was read yet.
    NoReadings,
    /// It is one of several things, which further readings may tell apart.
    Several(Vec<Nature>),
    /// It is this.
    One(Nature),
    /// No lamp circuit shows these readings. With any one of those listed left out one does; where more than one is
    /// wrong, all of one light position are listed, or all there are.
    Disagree(Vec<Spot>),
    /// Lamp circuits show these readings, but none of those that what is said drives the lamp allows.
    AgainstWhatIsSaid,
}

/// What a survey comes to.
#[derive(Clone, Debug, PartialEq)]
pub struct Survey {
    /// What the readings come to.
    pub verdict: Verdict,
    /// Everything that fits them, and what is said to drive the lamp.
    pub fits: Vec<Candidate>,
    /// What to read or to ask next; `None` when nothing more can be told.
    pub next: Option<Next>,
}

impl Survey {
    /// Which of the two wires is the lamp's positive wire, where everything that fits agrees.
    pub fn positive(&self) -> Option<usize> {
        let first = self.fits.first()?.positive()?;
        self.fits.iter().all(|one| one.positive() == Some(first)).then_some(first)
    }

    /// What it may be.
    pub fn natures(&self) -> Vec<Nature> {
        Nature::ALL.into_iter().filter(|nature| self.fits.iter().any(|one| one.nature == *nature)).collect()
    }

    /// Whether the lamp cannot be whole: everything that fits has it open.
    pub fn lamp_is_open(&self) -> bool {
        !self.fits.is_empty() && self.fits.iter().all(|one| !one.lamp_conducts)
    }
}

/// Compares readings with [`candidates`], those of a system of this voltage.
///
/// [`candidates`]: super::candidates
pub fn survey(candidates: &[Candidate], readings: &Readings, nominal_v: f64) -> Survey {
    let volts = readings.volts();
    let fitting: Vec<&Candidate> = candidates.iter().filter(|one| fits(one, &volts, nominal_v)).collect();
    let allows = |one: &&&Candidate| match readings.drive {
        Some(Drive::Contact) => one.nature != Nature::Module,
        Some(Drive::Module) => matches!(one.nature, Nature::Module | Nature::NotThese),
        Some(Drive::NotKnown) | None => true,
    };
    let left: Vec<&Candidate> = fitting.iter().filter(allows).copied().collect();
    let fits: Vec<Candidate> = left.iter().copied().cloned().collect();
    let mut survey = Survey { verdict: Verdict::NoReadings, fits, next: None };
    let natures = survey.natures();
    survey.verdict = match natures[..] {
        [] if fitting.is_empty() => Verdict::Disagree(to_take_again(candidates, &volts, nominal_v)),
        [] => Verdict::AgainstWhatIsSaid,
        _ if volts.is_empty() => Verdict::NoReadings,
        [one] => Verdict::One(one),
        _ => Verdict::Several(natures),
    };
    survey.next = next(&left, readings, &volts, nominal_v);
    survey
}

/// Whether a candidate comes as near to all readings as a meter goes, for some voltage of the battery in each light
/// position: an engine that is started between two of them raises it.
pub(super) fn fits(candidate: &Candidate, volts: &[(Spot, f64)], nominal_v: f64) -> bool {
    Lights::ALL.iter().all(|lights| supply(candidate, volts, *lights, nominal_v).is_some())
}

/// The voltages of the battery with which a candidate fits the readings of one light position, as shares of the way from
/// the lowest to the highest; `None` when it fits with none.
fn supply(candidate: &Candidate, volts: &[(Spot, f64)], lights: Lights, nominal_v: f64) -> Option<[f64; 2]> {
    let mut share = [0.0, 1.0];
    for (spot, read) in volts.iter().filter(|(spot, _)| spot.lights == lights) {
        let [lowest, highest] = candidate.shown[spot.number()];
        let off_by = tolerance(*read, nominal_v);
        // Not less than is shown at least, and not more than is shown at most.
        share = narrowed(share, lowest[0], highest[0], |shown| read + off_by - shown)?;
        share = narrowed(share, lowest[1], highest[1], |shown| shown - (read - off_by))?;
    }
    Some(share)
}

/// The part of a range of shares in which `room` is not negative; it changes evenly between what it is at the two ends of
/// the whole way, where `low` and `high` are shown.
fn narrowed([from, to]: [f64; 2], low: f64, high: f64, room: impl Fn(f64) -> f64) -> Option<[f64; 2]> {
    let (at_low, at_high) = (room(low), room(high));
    let change = at_high - at_low;
    let [from, to] = if change.abs() < 1e-12 {
        if at_low < 0.0 { return None } else { [from, to] }
    } else {
        let crossing = -at_low / change;
        if change > 0.0 { [from.max(crossing), to] } else { [from, to.min(crossing)] }
    };
    (from <= to).then_some([from, to])
}

/// The readings that are to be taken again because nothing fits them all.
fn to_take_again(candidates: &[Candidate], volts: &[(Spot, f64)], nominal_v: f64) -> Vec<Spot> {
    let fits_without = |left_out: &dyn Fn(Spot) -> bool| {
        let rest: Vec<(Spot, f64)> = volts.iter().filter(|(spot, _)| !left_out(*spot)).copied().collect();
        candidates.iter().any(|one| fits(one, &rest, nominal_v))
    };
    let spots = || volts.iter().map(|(spot, _)| *spot);
    let single: Vec<Spot> = spots().filter(|spot| fits_without(&|other| other == *spot)).collect();
    if !single.is_empty() {
        return single;
    }
    let position =
        Lights::ALL.into_iter().find(|lights| fits_without(&|other: Spot| other.lights == *lights));
    spots().filter(|spot| position.is_none_or(|lights| spot.lights == lights)).collect()
}

/// What to read next: of the earliest light position in which a reading tells candidates apart, the one that tells most.
fn next(left: &[&Candidate], readings: &Readings, volts: &[(Spot, f64)], nominal_v: f64) -> Option<Next> {
    let first = left.first()?;
    if left.iter().all(|one| one.key() == first.key()) {
        return None;
    }
    let mut best: Option<(usize, Spot)> = None;
    for spot in Spot::asked().into_iter().filter(|spot| readings.at(*spot).is_none()) {
        let is_later = |best: &(usize, Spot)| best.1.lights != spot.lights;
        if best.as_ref().is_some_and(is_later) {
            break;
        }
        let shown: Vec<Option<[f64; 2]>> =
            left.iter().map(|one| expected(one, spot, volts, nominal_v)).collect();
        let mut told = 0;
        for (one, range) in left.iter().zip(&shown) {
            let is_told = |(other, other_range): &(&&Candidate, &Option<[f64; 2]>)| {
                other.key() > one.key() && are_apart(*range, **other_range, nominal_v)
            };
            told += left.iter().zip(&shown).filter(is_told).count();
        }
        if told > 0 && best.as_ref().is_none_or(|(most, _)| told > *most) {
            best = Some((told, spot));
        }
    }
    match best {
        Some((_, spot)) => Some(Next::Take(spot)),
        None => {
            let is_module = |one: &&&Candidate| one.nature == Nature::Module;
            let n_by_module = left.iter().filter(is_module).count();
            let is_open = n_by_module > 0 && n_by_module < left.len();
            (is_open && readings.drive.is_none()).then_some(Next::SayDrive)
        }
    }
}

/// What a meter may show of a candidate at a spot, the readings of the same light position being as they are.
fn expected(candidate: &Candidate, spot: Spot, volts: &[(Spot, f64)], nominal_v: f64) -> Option<[f64; 2]> {
    let share = supply(candidate, volts, spot.lights, nominal_v)?;
    let [lowest, highest] = candidate.shown[spot.number()];
    let at = |end: usize, share: f64| lowest[end] + (highest[end] - lowest[end]) * share;
    Some([at(0, share[0]).min(at(0, share[1])), at(1, share[0]).max(at(1, share[1]))])
}

/// Whether no reading can fit both of two ranges.
fn are_apart(one: Option<[f64; 2]>, other: Option<[f64; 2]>, nominal_v: f64) -> bool {
    let (Some(one), Some(other)) = (one, other) else { return false };
    let (low, high) = if one[0] < other[0] { (one, other) } else { (other, one) };
    low[1] + tolerance(low[1], nominal_v) < high[0] - tolerance(high[0], nominal_v)
}
