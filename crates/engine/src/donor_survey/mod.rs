//! Surveying a donor: what the two wires of a vehicle's own lamp are, from readings taken at its plug.
//!
//! Before a relay is driven from a lamp of the vehicle, somebody stands at its plug with a meter and takes each of its two
//! wires against the body and against battery positive, with the lights off, with the lamp on, and with another light on.
//! What a meter would show is computed for every kind of lamp circuit there is: the circuit is drawn and solved in each
//! light position (`world`), with small and with large resistances, at the lowest and at the highest voltage of a
//! battery, and with the two leads of the survey on every two wires that the plug may have (`candidate`). Whatever
//! comes as near to all readings as a meter goes may be it (`fit`); the next reading is one that tells those apart. There
//! is no table of cases, and nothing is guessed: where no circuit shows the readings, the survey says which of them to take
//! again.
//!
//! What a meter cannot tell, it does not tell. A module that neither pulses nor watches its lamp reads like a contact, so
//! that somebody has to say what drives the lamp. A wire that is fed backwards, through a lamp elsewhere, reads like one
//! that is always live: no wiring that is offered rests on a feed that reads so.
//!
//! It is taken for granted that the leads are on two wires at the plug of one lamp. The few pairs of wires that are not,
//! and read like a lamp all the same, are named where the pairs are chosen.
//!
//! A reading counts without its sign: no wire of a lamp stands below earth or above the battery, so that a minus only
//! tells which way round the leads were.

mod candidate;
mod fit;
mod follow;
mod words;
mod world;

pub use candidate::{Candidate, Feed, Nature, candidates};
pub use fit::{Next, Survey, Verdict, survey};
pub use follow::{NotOffered, Offered, donor_after, eligible, offer};
pub use words::{
    caution, leads_words, lights_words, next_words, of_nature, spot_words, verdict_words, why_words,
};
pub use world::{Pin, Side};

/// Which lights are on while a reading is taken.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Lights {
    /// Ignition and all lights off.
    Off,
    /// The lamp that is surveyed is on.
    On,
    /// Another light of the same plug or unit is on, and the lamp that is surveyed is not: dipped beam for main beam.
    Other,
    /// Everything off, and the lamps of the circuit unplugged on both sides of the vehicle.
    Unplugged,
}

impl Lights {
    /// Every position, in the order in which they are gone through.
    pub const ALL: [Lights; 4] = [Lights::Off, Lights::On, Lights::Other, Lights::Unplugged];
}

/// What one lead of the meter is on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum At {
    /// The positive pole of the battery.
    Battery,
    /// The first of the two wires.
    First,
    /// The second.
    Second,
}

/// What the other lead is on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Against {
    /// Bare metal of the body, or the negative pole of the battery: the black lead.
    Earth,
    /// The positive pole of the battery: the red lead.
    Positive,
}

/// Where and how one reading is taken.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Spot {
    /// Which lights are on.
    pub lights: Lights,
    /// What one lead is on.
    pub at: At,
    /// What the other is on.
    pub against: Against,
    /// Whether it is the highest value that a meter with a memory for it holds, and not what a plain meter shows, which of
    /// pulses is their mean.
    pub is_peak: bool,
}

impl Spot {
    /// A reading of a plain meter.
    pub const fn plain(lights: Lights, at: At, against: Against) -> Spot {
        Spot { lights, at, against, is_peak: false }
    }

    /// The readings that the survey asks for, in order.
    pub fn asked() -> Vec<Spot> {
        let is_asked = |spot: &Spot| spot.at != At::Battery && !spot.is_peak;
        Spot::every().into_iter().filter(is_asked).collect()
    }

    /// Every reading that may be taken, in order: the battery itself, and each wire with a plain meter and with one that
    /// holds the highest value.
    pub fn every() -> Vec<Spot> {
        let mut all = Vec::new();
        for lights in Lights::ALL {
            all.push(Spot::plain(lights, At::Battery, Against::Earth));
            for at in [At::First, At::Second] {
                for against in [Against::Earth, Against::Positive] {
                    all.extend([false, true].map(|is_peak| Spot { lights, at, against, is_peak }));
                }
            }
        }
        all
    }

    /// Its number in [`Spot::every`]; the battery has one reading in each light position.
    fn number(self) -> usize {
        let within = match self.at {
            At::Battery => 0,
            At::First => 1,
            At::Second => 5,
        };
        let way = if self.at == At::Battery {
            0
        } else {
            2 * usize::from(self.against == Against::Positive) + usize::from(self.is_peak)
        };
        9 * self.lights as usize + within + way
    }
}

/// What came of a reading.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Taken {
    /// What the meter showed, in volts.
    Volts(f64),
    /// The place cannot be reached, or there is no such light.
    OutOfReach,
}

/// One reading of a survey.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reading {
    /// Where and how it was taken.
    pub spot: Spot,
    /// What came of it.
    pub taken: Taken,
}

/// What somebody says drives the lamp: no meter tells a quiet module from a contact.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Drive {
    /// A switch or a relay.
    Contact,
    /// An electronic module.
    Module,
    /// Nobody knows.
    NotKnown,
}

/// All that was found out at one plug.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Readings {
    /// What the two wires are called, by their colour or as they are known; empty where nothing was said.
    pub names: [String; 2],
    /// The readings; of two at one spot the later one counts.
    pub taken: Vec<Reading>,
    /// What drives the lamp, when somebody was asked.
    pub drive: Option<Drive>,
}

impl Readings {
    /// What came of the reading at a spot, if it was taken.
    pub fn at(&self, spot: Spot) -> Option<Taken> {
        self.taken.iter().rev().find(|reading| reading.spot == spot).map(|reading| reading.taken)
    }

    /// The readings that gave a number, in the order of their spots.
    fn volts(&self) -> Vec<(Spot, f64)> {
        let of = |spot: Spot| match self.at(spot) {
            Some(Taken::Volts(volts)) if volts.is_finite() => Some((spot, volts.abs())),
            _ => None,
        };
        Spot::every().into_iter().filter_map(of).collect()
    }

    /// The name of a wire: what the user calls it, else its number.
    pub fn name(&self, wire: usize) -> String {
        match self.names.get(wire).map(|name| name.trim()).filter(|name| !name.is_empty()) {
            Some(name) => format!("the {name} wire"),
            None => format!("wire {}", wire + 1),
        }
    }
}

/// Lowest and highest voltage of a battery at which lights are tried, in volts on a 12 V system: well down, and charged by
/// an alternator (common practice, no source).
const SUPPLY_V: [f64; 2] = [11.5, 14.8];

/// How far a reading may be from what is computed: in volts on a 12 V system, for what a battery sags from one reading to
/// the next and what a joint of a lead loses, and as a share of the reading, for the meter (common practice, no source).
const OFF_BY: (f64, f64) = (0.3, 0.01);

/// How far a reading of so many volts may be from what is computed, in volts.
pub fn tolerance(volts: f64, nominal_v: f64) -> f64 {
    OFF_BY.0 * nominal_v / 12.0 + OFF_BY.1 * volts
}

#[cfg(test)]
mod tests;
