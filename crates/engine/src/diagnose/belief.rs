//! How well a reading fits a cause.
//!
//! A meter shows what is computed, give or take its own error, the tolerances of parts, and the voltage of the sources,
//! which nobody knows before it has been read: every reading in volts or amperes that fits tells of it too, so that it
//! is common to all of them. Eyes and ears err now and then, and a share of all readings is taken as wrong altogether,
//! so that none of them can rule out the truth by itself.

use super::case::{Case, Lead, MOST_SOURCES, Target, is_battery};
use super::spread::BySource;
use crate::circuit::{CHASSIS, NetIndex};
use crate::document::{Found, Seen};
use crate::fault::{BRIGHT_SHARE, GLOW_SHARE};

/// Figures behind the likelihoods (all common practice, no source).
pub mod figure {
    /// Error of a hand-held meter in volts: a share of the reading, and a fixed part; one standard deviation.
    pub const METER_SHARE: f64 = 0.005;
    /// See [`METER_SHARE`].
    pub const METER_V: f64 = 0.01;
    /// The same of a clamp meter, in amperes.
    pub const CLAMP_SHARE: f64 = 0.03;
    /// See [`CLAMP_SHARE`].
    pub const CLAMP_A: f64 = 0.1;
    /// How often an eye or an ear is wrong.
    pub const OBSERVER: f64 = 0.02;
    /// How often what is complained of is wrong: it was seen more than once.
    pub const COMPLAINT: f64 = 1e-4;
    /// How often a reading of a meter is wrong altogether: a lead that does not touch, another terminal.
    pub const SLIP: f64 = 0.02;
    /// How often any reading of somebody careless is wrong: an answer must stand even then.
    pub const CARELESS: f64 = 0.1;
    /// How far the share of its voltage at which a lamp passes for bright, or for dim, differs between observers.
    pub const EYE: f64 = 0.04;
    /// Standard deviation of the voltage of a battery whose charge nobody knows, as a share of the nominal one.
    pub const CHARGE: f64 = 0.035;
    /// The same of what an alternator is set to.
    pub const ALTERNATOR: f64 = 0.025;
}

/// What a probe should show.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Prediction {
    /// A number, the variance of tolerances and meter, and by how much each source moves it.
    Number(f64, f64, BySource),
    /// How likely each of what may be seen is: lit, dim and dark, or yes and no.
    Odds([f64; 3]),
    /// Anything.
    Unknown,
}

/// How well one variant fits what was found so far.
#[derive(Clone, Debug)]
pub(super) struct Belief {
    /// Logarithm of how likely it is, beside the others.
    pub log: f64,
    /// How far each source is from what is drawn, in volts: what is expected, and its covariance.
    off: BySource,
    covariance: [BySource; MOST_SOURCES],
}

/// How well a reading fits a variant.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Fit {
    /// How likely it is, if the variant holds, that the reading was wrong.
    pub wrong: f64,
    /// Logarithm of how likely the reading was.
    pub log: f64,
}

impl Belief {
    /// Before anything is found. Of a careless reader's readings an answer must stand by itself, not because such things
    /// happen more often than others.
    pub fn new(case: &Case, variant: usize, reader: Reader) -> Belief {
        let mut covariance = [BySource::default(); MOST_SOURCES];
        for (index, source) in case.sources.iter().enumerate() {
            let share = if is_battery(&case.circuit, *source) { figure::CHARGE } else { figure::ALTERNATOR };
            let volts = share * case.circuit.resolved.nominal_v;
            covariance[index][index] = volts * volts;
        }
        let own = &case.variants[variant];
        let odds = match reader {
            Reader::Careful => own.odds,
            Reader::Careless => own.odds / case.causes[own.cause].odds(),
        };
        Belief { log: libm::log(odds), off: BySource::default(), covariance }
    }

    /// What a number is expected to be, with what is known of the sources by now, and its variance.
    pub fn expected(&self, mean: f64, variance: f64, by: &BySource) -> (f64, f64) {
        let mut expected = (mean, variance);
        for (i, own) in by.iter().enumerate() {
            expected.0 += own * self.off[i];
            for (j, other) in by.iter().enumerate() {
                expected.1 += own * other * self.covariance[i][j];
            }
        }
        expected
    }

    /// Whether no reading in volts tells what this one takes the sources for from what the other does.
    pub fn is_like(&self, other: &Belief) -> bool {
        const ALIKE_V: f64 = 0.005;
        let is_near = |(a, b): (&f64, &f64)| (a - b).abs() < ALIKE_V;
        // Of variances, as far as standard deviations of a meter's own error are concerned.
        let is_as_wide =
            |(a, b): (&f64, &f64)| (a - b).abs() < ALIKE_V * ALIKE_V + 0.1 * a.abs().max(b.abs());
        self.off.iter().zip(&other.off).all(is_near)
            && self.covariance.iter().zip(&other.covariance).all(|(a, b)| a.iter().zip(b).all(is_as_wide))
    }

    /// Takes in what was found; `errs` is how often it is wrong, `within` the range that a wrong number is from. Tells
    /// how well it fits.
    pub fn take(&mut self, prediction: &Prediction, found: Found, errs: f64, within: f64) -> Fit {
        let before = self.log;
        let wrong = self.take_in(prediction, found, errs, within);
        Fit { wrong, log: self.log - before }
    }

    fn take_in(&mut self, prediction: &Prediction, found: Found, errs: f64, within: f64) -> f64 {
        match (prediction, found) {
            (Prediction::Number(mean, variance, by), Found::Number(read)) => {
                let (expected, spread) = self.expected(*mean, *variance, by);
                let off = read - expected;
                let density = libm::exp(-0.5 * off * off / spread) / (core::f64::consts::TAU * spread).sqrt();
                let (fits, slips) = ((1.0 - errs) * density, errs / within);
                self.log += libm::log(fits + slips);
                let is_wrong = slips / (fits + slips);
                if is_wrong < 0.5 {
                    self.learn(by, spread, off);
                }
                is_wrong
            }
            (Prediction::Odds(odds), found) => {
                let (which, n) = place(found);
                let (fits, slips) = ((1.0 - errs) * odds[which], errs / n);
                self.log += libm::log(fits + slips);
                slips / (fits + slips)
            }
            (_, Found::Number(_)) => {
                self.log -= libm::log(within);
                errs
            }
            (Prediction::Number(..) | Prediction::Unknown, found) => {
                self.log -= libm::log(place(found).1);
                errs
            }
        }
    }

    /// What a number tells of the sources (Kalman 1960): `off` is how far it was from what was expected.
    fn learn(&mut self, by: &BySource, spread: f64, off: f64) {
        let mut shared = BySource::default();
        for (shared, row) in shared.iter_mut().zip(&self.covariance) {
            *shared = row.iter().zip(by).map(|(covariance, by)| covariance * by).sum();
        }
        for i in 0..MOST_SOURCES {
            self.off[i] += shared[i] * off / spread;
            for j in 0..MOST_SOURCES {
                self.covariance[i][j] -= shared[i] * shared[j] / spread;
            }
        }
    }
}

/// The place of what was found among what may be, and how much there is.
pub(super) fn place(found: Found) -> (usize, f64) {
    match found {
        Found::Seen(Seen::Lit) => (0, 3.0),
        Found::Seen(Seen::Dim) => (1, 3.0),
        Found::Seen(Seen::Dark) => (2, 3.0),
        Found::Heard(yes) | Found::Whole(yes) => (usize::from(!yes), 2.0),
        Found::Number(_) | Found::CannotReach => (0, 1.0),
    }
}

/// Who takes the readings.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Reader {
    /// Somebody who errs now and then.
    Careful,
    /// Somebody whose readings are often wrong.
    Careless,
}

/// How often a reading of such a thing is wrong.
pub(super) fn errs(target: &Target, reader: Reader) -> f64 {
    match target {
        _ if reader == Reader::Careless => figure::CARELESS,
        Target::Volts(..) | Target::Amps(_) => figure::SLIP,
        Target::TestLamp(..) | Target::Look(_) | Target::Listen(_) | Target::Fuse(_) => figure::OBSERVER,
    }
}

/// The range that a wrong number is taken to be from: what such a meter may show in such a vehicle.
pub(super) fn within(case: &Case, target: &Target) -> f64 {
    match target {
        Target::Amps(_) => 30.0,
        _ => 1.5 * case.circuit.resolved.nominal_v,
    }
}

/// What a variant predicts for a probe at one moment.
pub(super) fn predict(case: &Case, variant: usize, moment: usize, target: &Target) -> Prediction {
    let prediction = shown(case, variant, moment, target);
    let Prediction::Number(mean, meter, by) = prediction else { return prediction };
    let (variance, by) = match target {
        Target::Volts(at, against) => {
            let (net, other) = touched(case, variant, at, against.as_ref());
            if case
                .row(variant, moment)
                .rest
                .as_ref()
                .is_none_or(|rest| rest.steady.between(net, other).is_none())
            {
                return Prediction::Number(mean, meter, by);
            }
            case.spread(variant, moment).volts(&case.pairs, net, other)
        }
        Target::Amps(branch) => {
            let flows_back =
                case.row(variant, moment).rest.as_ref().is_some_and(|rest| rest.steady.amps(*branch) < 0.0);
            let sign = if flows_back { -1.0 } else { 1.0 };
            let (variance, by) = case.spread(variant, moment).amps(*branch);
            (variance, by.map(|amps| sign * amps))
        }
        _ => return prediction,
    };
    Prediction::Number(mean, variance + meter, by)
}

/// The nets that the leads of a voltmeter touch.
fn touched(case: &Case, variant: usize, at: &Lead, against: Option<&Lead>) -> (NetIndex, NetIndex) {
    let other = against.map_or(CHASSIS, |other| case.touched(variant, other));
    (case.touched(variant, at), other)
}

/// What a variant shows a probe at one moment, without tolerances: of a number, the variance is that of the meter.
pub(super) fn shown(case: &Case, variant: usize, moment: usize, target: &Target) -> Prediction {
    if let Target::Fuse(branch) = target {
        return yes(!case.variants[variant].open.contains(branch));
    }
    let Some(rest) = &case.row(variant, moment).rest else { return Prediction::Unknown };
    let steady = &rest.steady;
    let squared = |share: f64, fixed: f64| share * share + fixed * fixed;
    match target {
        Target::Volts(at, against) => {
            let (net, other) = touched(case, variant, at, against.as_ref());
            // The ten megohm of a meter that joins what is not joined otherwise carry nothing, so that it shows nothing;
            // what hangs on a live net by way of a load stands at the full voltage.
            let volts = steady.between(net, other).unwrap_or(0.0);
            Prediction::Number(
                volts,
                squared(figure::METER_SHARE * volts, figure::METER_V),
                BySource::default(),
            )
        }
        Target::TestLamp(at, against) => {
            let (net, other) = touched(case, variant, at, against.as_ref());
            seen(case.test_lamp(variant, moment, net, other))
        }
        Target::Amps(branch) => {
            let amps = steady.amps(*branch).abs();
            Prediction::Number(
                amps,
                squared(figure::CLAMP_SHARE * amps, figure::CLAMP_A),
                BySource::default(),
            )
        }
        Target::Look(branches) => {
            let bright = &case.row(variant, moment).bright;
            let own = bright.iter().filter(|(branch, _)| branches.contains(branch));
            let share = own.fold(0.0, |most: f64, (_, share)| most.max(*share));
            seen(share)
        }
        Target::Listen(device) => {
            let was_on = case.row(variant, 0).rest.as_ref().is_some_and(|rest| rest.state.devices[*device]);
            yes(rest.state.devices[*device] && !was_on)
        }
        Target::Fuse(_) => Prediction::Unknown,
    }
}

/// What an eye says of a lamp with this share of its voltage.
fn seen(share: f64) -> Prediction {
    let above = |threshold: f64| 1.0 / (1.0 + libm::exp((threshold - share) / (0.55 * figure::EYE)));
    let (bright, glows) = (above(BRIGHT_SHARE), above(GLOW_SHARE));
    Prediction::Odds([bright, (glows - bright).max(0.0), 1.0 - glows.max(bright)])
}

fn yes(holds: bool) -> Prediction {
    Prediction::Odds(if holds { [1.0, 0.0, 0.0] } else { [0.0, 1.0, 0.0] })
}
