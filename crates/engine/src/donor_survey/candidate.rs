//! Everything that the two wires at a plug may be, each with what a meter would show of it.

use super::world::{CORNERS, Pin, Setup, Side, Solved, World};
use super::{Against, At, Lights, SUPPLY_V, Spot};

/// When the common feed of a lamp that is switched on the earth side is live, besides while the lamp is on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Feed {
    /// With everything off.
    pub off: bool,
    /// With the other light on.
    pub other: bool,
}

impl Feed {
    /// At all times.
    pub const PERMANENT: Feed = Feed { off: true, other: true };

    /// Each way in which it may be switched.
    const SWITCHED: [Feed; 3] = [
        Feed { off: false, other: true },
        Feed { off: false, other: false },
        Feed { off: true, other: false },
    ];
}

/// The sort of thing that the two wires are.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Nature {
    /// A lamp switched on its positive side by a contact.
    Positive,
    /// A lamp switched to earth by a contact, with a common feed that is always live.
    EarthPermanent,
    /// A lamp switched to earth by a contact, with a common feed that is switched too.
    EarthSwitched,
    /// A lamp that a module drives: full, reduced or in pulses.
    Module,
    /// Not the two wires of the lamp.
    NotThese,
}

impl Nature {
    /// Every nature.
    pub const ALL: [Nature; 5] =
        [Nature::Positive, Nature::EarthPermanent, Nature::EarthSwitched, Nature::Module, Nature::NotThese];
}

/// One thing that the two wires may be.
#[derive(Clone, Debug, PartialEq)]
pub struct Candidate {
    /// What sort of thing it is.
    pub nature: Nature,
    /// The side on which the lamp is switched.
    pub side: Side,
    /// When its common feed is live; permanent where the positive side is switched.
    pub feed: Feed,
    /// Whether the lamp joins its wires: its filament is whole.
    pub lamp_conducts: bool,
    /// What each of the two wires is.
    pub pins: [Pin; 2],
    /// What a meter shows at each of [`Spot::every`], as the ends of a range, at the lowest and at the highest voltage of the
    /// battery.
    pub(super) shown: Vec<[[f64; 2]; 2]>,
}

impl Candidate {
    /// Which of the two wires is the lamp's positive wire; `None` where they are not its wires.
    pub fn positive(&self) -> Option<usize> {
        let of_side = match self.side {
            Side::Positive => Pin::Own,
            Side::Earth => Pin::Common,
        };
        let is_these = self.nature != Nature::NotThese;
        self.pins.iter().position(|pin| *pin == of_side).filter(|_| is_these)
    }

    /// What is told apart: what it is, and which wire is which.
    pub(super) fn key(&self) -> (Nature, Option<usize>) {
        (self.nature, self.positive())
    }
}

/// What a module does in each light position: the least and the most of the time in which it gives full voltage.
///
/// Off it may test its lamp in short pulses, or light it reduced as a daytime lamp; on it gives full voltage or pulses
/// (common practice, no source).
fn duty(lights: Lights) -> [f64; 2] {
    match lights {
        Lights::Off => [0.0, 0.8],
        Lights::On => [0.05, 1.0],
        Lights::Other | Lights::Unplugged => [0.0, 0.05],
    }
}

/// A lamp circuit of which the pins are solved.
struct Case {
    side: Side,
    feed: Feed,
    /// Whether another lamp hangs on the common wire, which joins it to the contact of that.
    has_other: bool,
    is_pulled: bool,
    lamp_conducts: bool,
    by_module: bool,
    is_watched: bool,
}

impl Case {
    /// Every case.
    fn all() -> Vec<Case> {
        let mut all = Vec::new();
        for (by_module, is_watched) in [(false, false), (true, false), (true, true)] {
            for lamp_conducts in [true, false] {
                let case = |side, feed, has_other, is_pulled| Case {
                    side,
                    feed,
                    has_other,
                    is_pulled,
                    lamp_conducts,
                    by_module,
                    is_watched,
                };
                all.push(case(Side::Positive, Feed::PERMANENT, true, false));
                all.push(case(Side::Earth, Feed::PERMANENT, true, false));
                for feed in Feed::SWITCHED {
                    // Another lamp on the same feed is on only while that is live.
                    for has_other in [true, false].into_iter().filter(|has_other| feed.other || !has_other) {
                        all.extend([false, true].map(|pulled| case(Side::Earth, feed, has_other, pulled)));
                    }
                }
            }
        }
        all
    }

    fn nature(&self) -> Nature {
        match (self.by_module, self.side, self.feed == Feed::PERMANENT) {
            (true, ..) => Nature::Module,
            (false, Side::Positive, _) => Nature::Positive,
            (false, Side::Earth, true) => Nature::EarthPermanent,
            (false, Side::Earth, false) => Nature::EarthSwitched,
        }
    }

    /// How things stand in a light position, while the lamp's own contact, or its module, conducts or does not.
    fn setup(&self, lights: Lights, is_on: bool) -> Setup {
        let is_plugged = lights != Lights::Unplugged;
        Setup {
            is_on,
            other_is_on: lights == Lights::Other,
            feed_is_live: match lights {
                Lights::Off | Lights::Unplugged => self.feed.off,
                Lights::On => true,
                Lights::Other => self.feed.other,
            },
            lamp_conducts: is_plugged && self.lamp_conducts,
            other_conducts: is_plugged && self.has_other,
            is_pulled: self.is_pulled,
            is_watched: self.is_watched,
        }
    }

    /// Whether two wires, as pins of this circuit, are worth telling from others: what reads as the lamp's own two wires in
    /// every position is those, for all that a meter tells.
    fn tells(&self, pins: [Pin; 2]) -> bool {
        let same = |pin: Pin| match (self.side, pin) {
            (Side::Positive, Pin::Earth) => Pin::Common,
            (Side::Earth, Pin::Live) if self.feed == Feed::PERMANENT => Pin::Common,
            (_, pin) => pin,
        };
        let has = |pin: Pin| pins.contains(&pin);
        // These are no two wires at the plug of one lamp, and no meter tells them from such: the wires of two other lamps,
        // and, where something pulls the common feed to earth, what is earth or is live with every light.
        let is_like_a_lamp =
            (has(Pin::Any) && has(Pin::Other)) || (self.is_pulled && (has(Pin::Earth) || has(Pin::Any)));
        let is_looked_at = self.is_plain() && !is_like_a_lamp;
        pins == pins.map(same) && (are_own(pins) || is_looked_at)
    }

    /// Whether other wires than the lamp's own are looked at: those beside a whole lamp that a contact switches.
    fn is_plain(&self) -> bool {
        self.lamp_conducts && self.has_other && !self.by_module
    }
}

/// Whether two wires are the lamp's own two.
fn are_own(pins: [Pin; 2]) -> bool {
    matches!(pins, [Pin::Own, Pin::Common] | [Pin::Common, Pin::Own])
}

/// Everything that the two wires may be on a system of this voltage.
///
/// What shows the same readings as another of its kind stands once.
pub fn candidates(nominal_v: f64) -> Vec<Candidate> {
    let supplies = SUPPLY_V.map(|volts| volts * nominal_v / 12.0);
    let worlds =
        |side: Side| supplies.map(|supply| CORNERS.map(|corner| World::new(side, corner, nominal_v, supply)));
    let (positive, earth) = (worlds(Side::Positive), worlds(Side::Earth));
    let mut all: Vec<Candidate> = Vec::new();
    for case in Case::all() {
        let worlds = match case.side {
            Side::Positive => &positive,
            Side::Earth => &earth,
        };
        let solved =
            worlds.each_ref().map(|worlds| worlds.each_ref().map(|world| Positions::of(world, &case)));
        let pairs = Pin::ALL.into_iter().flat_map(|one| Pin::ALL.map(|other| [one, other]));
        for pins in pairs.filter(|pins| case.tells(*pins)) {
            let is_own = are_own(pins);
            let at_supply = |corners: &[Option<Positions>; 2], spot: Spot| {
                let mut range = [f64::INFINITY, f64::NEG_INFINITY];
                for positions in corners.iter().flatten() {
                    let shown = positions.range(&case, pins, spot);
                    range = [range[0].min(shown[0]), range[1].max(shown[1])];
                }
                range
            };
            let shown = Spot::every()
                .into_iter()
                .map(|spot| [0, 1].map(|supply: usize| at_supply(&solved[supply], spot)));
            let candidate = Candidate {
                nature: if is_own { case.nature() } else { Nature::NotThese },
                side: case.side,
                feed: case.feed,
                lamp_conducts: case.lamp_conducts,
                pins,
                shown: shown.collect(),
            };
            let is_told = |other: &Candidate| other.key() == candidate.key() && reads_like(other, &candidate);
            if !all.iter().any(is_told) {
                all.push(candidate);
            }
        }
    }
    all
}

/// Whether two show the same on any meter: to the millivolt.
fn reads_like(one: &Candidate, other: &Candidate) -> bool {
    let ends =
        |candidate: &Candidate| candidate.shown.iter().flatten().flatten().copied().collect::<Vec<f64>>();
    one.lamp_conducts == other.lamp_conducts
        && ends(one).iter().zip(ends(other)).all(|(one, other)| (one - other).abs() < 1e-3)
}

/// A case, solved in each light position with the lamp's own contact open and closed.
struct Positions(Vec<[Solved; 2]>);

impl Positions {
    fn of(world: &World, case: &Case) -> Option<Positions> {
        let setups: Vec<Setup> = Lights::ALL
            .iter()
            .flat_map(|lights| [false, true].map(|is_on| case.setup(*lights, is_on)))
            .collect();
        let mut solved = world.solved(&setups)?.into_iter();
        let mut positions = Vec::new();
        while let (Some(open), Some(closed)) = (solved.next(), solved.next()) {
            positions.push([open, closed]);
        }
        Some(Positions(positions))
    }

    /// The least and the most that a meter shows at a spot.
    fn range(&self, case: &Case, pins: [Pin; 2], spot: Spot) -> [f64; 2] {
        let Some([open, closed]) = self.0.get(spot.lights as usize) else { return [0.0, 0.0] };
        let of = |solved: &Solved| {
            let pin = match spot.at {
                At::Battery => return solved.battery,
                At::First => pins[0],
                At::Second => pins[1],
            };
            let against = usize::from(spot.against == Against::Positive);
            solved.pins[pin as usize][against]
        };
        let [open, closed] = [of(open), of(closed)];
        let mean = |duty: f64| open + (closed - open) * duty;
        let is_on = spot.lights == Lights::On;
        let ends = match (case.by_module, spot.is_peak) {
            (false, _) => [mean(f64::from(u8::from(is_on))); 2],
            (true, false) => duty(spot.lights).map(mean),
            // Of what changes between two values the peak is the greater of them.
            (true, true) => {
                let duty = duty(spot.lights).map(mean);
                [duty[0].min(duty[1]), open.max(closed)]
            }
        };
        [ends[0].min(ends[1]), ends[0].max(ends[1])]
    }
}
