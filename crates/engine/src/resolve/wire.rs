//! The values of a wire: what is used, and what is told of it.

use super::{Assumption, Spread};
use crate::conductor::{self, CurrentTable};
use crate::document::{Plan, Settings, Size, Status, Surroundings, Wire};
use crate::given::Given;
use crate::quantity::{Amps, Celsius, Metres, Ohms, Quantity, SquareMillimetres, Unit};
use crate::route::{Length, NoWay, Way};
use crate::subject::Subject;
use crate::working::{Basis, Working};

/// A wire as the computation uses it.
#[derive(Clone, Debug, PartialEq)]
pub struct UsedWire {
    /// Conductor size; `None` when nothing was said, and then [`UsedWire::area`] is assumed.
    pub size: Option<Spread<Size>>,
    /// Cross-section.
    pub area: Spread<SquareMillimetres>,
    /// Length one way.
    pub length: Spread<Metres>,
    /// Where the length is from.
    pub length_from: LengthFrom,
    /// Temperature its insulation stands.
    pub insulation: Celsius,
    /// Whether that temperature was said.
    pub insulation_said: bool,
    /// Air temperature to design for.
    pub ambient: Celsius,
    /// Whether where it runs was said, of the wire or of its whole way.
    pub ambient_said: bool,
    /// Loaded wires in its bundle, itself included.
    pub bundle: u32,
    /// The same in the best case of what is known.
    pub bundle_at_best: u32,
    /// Whether that number was said or counted along its way.
    pub bundle_known: bool,
    /// Whether it is sleeved all along.
    pub sleeved: bool,
    /// Whether a grommet protects it where it leads through sheet metal.
    pub grommet: Option<bool>,
    /// The table of what it can carry.
    pub table: CurrentTable,
}

/// Where the length of a wire is from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LengthFrom {
    /// It was typed for this wire.
    Typed,
    /// From its way, all of whose routes have typed lengths.
    Way,
    /// From its way, some of which is measured off the plan.
    Plan,
    /// It is assumed.
    Assumed,
}

impl LengthFrom {
    /// Every source with its word.
    pub const WORDS: [(LengthFrom, &'static str); 4] = [
        (LengthFrom::Typed, "typed"),
        (LengthFrom::Way, "way"),
        (LengthFrom::Plan, "plan"),
        (LengthFrom::Assumed, "assumed"),
    ];
}

/// What is known of a wire from where it lies.
pub(super) struct Beside<'a> {
    pub way: &'a Result<Way, NoWay>,
    pub plan: &'a Plan,
    /// The wires on each route.
    pub on_routes: &'a [Vec<usize>],
    /// How many of them carry a load, where that was worked out.
    pub loaded: Option<u32>,
    /// How many wires have no way, so that they may lie anywhere.
    pub n_without_way: usize,
}

impl UsedWire {
    /// Whether the length was said, of the wire or of its whole way.
    pub fn length_said(&self) -> bool {
        matches!(self.length_from, LengthFrom::Typed | LengthFrom::Way)
    }

    /// Where the number of its length comes from.
    pub fn length_basis(&self) -> Basis {
        match self.length_from {
            LengthFrom::Typed => Basis::Entered,
            LengthFrom::Way | LengthFrom::Plan => Basis::Calculated,
            LengthFrom::Assumed => Basis::Assumed,
        }
    }

    /// Whether everything that decides what it stands was said.
    pub fn is_fully_said(&self) -> bool {
        self.insulation_said && self.ambient_said && self.bundle_known
    }

    /// Resistance at 20 degC that a reading is expected to show.
    pub fn expected(&self) -> Option<Ohms> {
        conductor::expected_resistance(self.area.used, self.length.used)
    }

    /// Greatest resistance at 20 degC that its size allows.
    pub fn greatest(&self) -> Option<Ohms> {
        match self.size {
            Some(size) => conductor::greatest_resistance(size.used, self.length.used),
            None => self.expected(),
        }
    }

    /// The current it stands in the worst case of what is known, and in the best.
    ///
    /// `None` when its size is not known: there is no limit to compare with.
    pub fn ampacity(&self) -> Option<Spread<Amps>> {
        self.size?;
        let at = |area, loaded| conductor::ampacity(self.table, area, self.insulation, self.ambient, loaded);
        Some(Spread {
            low: at(self.area.low, self.bundle),
            used: at(self.area.used, self.bundle),
            high: at(self.area.high, self.bundle_at_best),
        })
    }

    /// The current above which it counts as one of a bundle that carry a load.
    pub fn counts_above(&self) -> f64 {
        // Of a wire whose size is not known any current counts: it could be a thin one.
        if self.size.is_none() {
            return 0.0;
        }
        let alone = conductor::ampacity(self.table, self.area.low, self.insulation, self.ambient, 1);
        COUNTS_ABOVE * alone.get()
    }

    /// The temperature of the table's column it goes by, where that is less than what its insulation stands.
    pub fn cooler_column(&self) -> Option<Celsius> {
        let entry = match self.table {
            CurrentTable::Vde => None,
            CurrentTable::Cfr => conductor::cfr::entry(self.area.low.get(), self.insulation.get()),
        };
        entry.and_then(|entry| Celsius::new(entry.column_c)).filter(|column| *column < self.insulation)
    }

    /// How the least of [`UsedWire::ampacity`] came about; `title` names the wire.
    pub fn ampacity_working(&self, title: &str) -> Option<Working> {
        let basis = [
            Basis::said(self.size.is_some()),
            Basis::said(self.insulation_said),
            Basis::said(self.ambient_said),
        ];
        let values = (self.area.low, self.insulation, self.ambient);
        conductor::ampacity_working(self.table, title, values, self.bundle, basis)
    }
}

/// Share of what it can carry alone above which a wire counts as one of a bundle that carry a load (common practice, no
/// source).
const COUNTS_ABOVE: f64 = 0.3;

/// Cross-section used for readings when a wire's size is not known, in square millimetres (common practice, no source).
const ASSUMED_MM2: f64 = 1.0;

/// Length used for readings when a wire's length is not known, in metres (common practice, no source).
const ASSUMED_M: f64 = 1.0;

/// Loaded wires in a sleeve of which nothing was said (common practice, no source): the values for one wire hold in free
/// air, those for two or three in one sheath (DIN VDE 0298-4:2013-06 Table 11 columns 2 and 5).
const TOGETHER: u32 = 2;

/// Insulation temperature of a new wire without a class: class B (common practice, no source), which stands 100 degC by
/// ISO 6722-1:2011 Table 1 (from memory).
const NEW_WIRE_C: f64 = 100.0;

/// Insulation temperature of an existing wire without a class, as for old PVC (common practice, no source).
const EXISTING_WIRE_C: f64 = 70.0;

/// The values of `wire`, with what was assumed of them; `None` when it is to be removed.
pub(super) fn used(
    wire: &Wire,
    beside: &Beside<'_>,
    settings: &Settings,
    assumptions: &mut Vec<Assumption>,
) -> Option<UsedWire> {
    if wire.status == Status::Remove {
        return None;
    }
    let mut note = |key: &'static str, value: Option<f64>, unit: Unit, text: String| {
        assumptions.push(Assumption {
            subject: Subject::Wire(wire.id.clone()),
            key,
            value: value.and_then(|value| Quantity::new(value, unit)),
            text,
            // Without a size there is no limit to check. What else is assumed is told: in a hotter place, or among more
            // wires, it can carry less.
            unjudged: (key == "size" && !wire.size.is_said()).then(|| "size".to_owned()),
        });
    };
    let (size, area) = match wire.size {
        Given::Known(size) => (Some(Spread::exact(size)), Spread::exact(size.area())),
        Given::Between(one, other) => {
            let (low, high) = if one.area() <= other.area() { (one, other) } else { (other, one) };
            let text = format!("size: between {} and {}, the smaller is used", low.title(), high.title());
            note("size", Some(low.area().get()), Unit::SquareMillimetre, text);
            (
                Some(Spread { low, used: low, high }),
                Spread { low: low.area(), used: low.area(), high: high.area() },
            )
        }
        Given::NotKnown => {
            let text = format!(
                "size: not given, {ASSUMED_MM2} mm2 assumed for readings; its limits are not checked"
            );
            note("size", Some(ASSUMED_MM2), Unit::SquareMillimetre, text);
            (None, Spread::exact(SquareMillimetres::new(ASSUMED_MM2)?))
        }
    };
    let way = beside.way.as_ref().ok();
    let (length, length_from) = match wire.length {
        Given::Known(length) => (Spread::exact(length), LengthFrom::Typed),
        Given::Between(low, high) => {
            note(
                "length_m",
                Some(high.get()),
                Unit::Metre,
                format!("length: between {low} and {high}, the longer is used"),
            );
            (Spread { low, used: high, high }, LengthFrom::Typed)
        }
        Given::NotKnown => match way {
            Some(way) => {
                let Length { low, high } = way.length;
                if way.is_off_plan {
                    let text = format!("length: {high} from its way, some of it measured off the plan");
                    note("length_m", Some(high.get()), Unit::Metre, text);
                } else if low != high {
                    let text = format!("length: between {low} and {high} from its way, the longer is used");
                    note("length_m", Some(high.get()), Unit::Metre, text);
                }
                let from = if way.is_off_plan { LengthFrom::Plan } else { LengthFrom::Way };
                (Spread { low, used: high, high }, from)
            }
            None => {
                let why = match beside.way {
                    Err(NoWay::NotJoined) => "no routes join its two ends",
                    _ => "not given",
                };
                note(
                    "length_m",
                    Some(ASSUMED_M),
                    Unit::Metre,
                    format!("length: {why}, {ASSUMED_M} m assumed"),
                );
                (Spread::exact(Metres::new(ASSUMED_M)?), LengthFrom::Assumed)
            }
        },
    };
    let insulation = match wire.insulation {
        Some(insulation) => insulation.limit_c(),
        None => {
            let (limit, text) = match wire.status {
                Status::Existing => {
                    (EXISTING_WIRE_C, "insulation: not given on an existing wire, 70 degC assumed")
                }
                _ => (NEW_WIRE_C, "insulation: not given, class B (100 degC) assumed"),
            };
            note("insulation", Some(limit), Unit::Celsius, text.to_owned());
            limit
        }
    };
    let along = way.and_then(|way| way.hottest);
    if let (Some(said), Some(hottest)) = (wire.surroundings, along)
        && said.ambient_c(settings) < hottest.air.get()
    {
        let ambient = said.ambient_c(settings);
        let text = format!(
            "surroundings: {ambient} degC as said of the wire, though it is {} at {} on its way",
            hottest.air,
            hottest.at.title(beside.plan)
        );
        note("surroundings", Some(ambient), Unit::Celsius, text);
    }
    let (ambient, ambient_said) = match (wire.surroundings, along) {
        (Some(surroundings), _) => (surroundings.ambient_c(settings), true),
        (None, Some(hottest)) if way.is_some_and(|way| way.is_told) => (hottest.air.get(), true),
        (None, Some(hottest)) => {
            let ambient = hottest.air.get().max(Surroundings::Cabin.ambient_c(settings));
            let text = format!("surroundings: not given all along its way, {ambient} degC assumed");
            note("surroundings", Some(ambient), Unit::Celsius, text);
            (ambient, false)
        }
        (None, None) => {
            let ambient = Surroundings::Cabin.ambient_c(settings);
            note(
                "surroundings",
                Some(ambient),
                Unit::Celsius,
                format!("surroundings: not given, {ambient} degC assumed"),
            );
            (ambient, false)
        }
    };
    // Beside a wire between two parts at one place lies what lies there, which no route tells.
    let on_way = way.filter(|way| !way.pieces.is_empty());
    let counted = on_way.map(|way| {
        let most = way.pieces.iter().map(|piece| beside.on_routes[*piece].len()).max();
        let counted =
            beside.loaded.unwrap_or_else(|| u32::try_from(most.unwrap_or(1)).unwrap_or(u32::MAX)).max(1);
        // What lies in a sleeve is not in free air, also by itself.
        let is_sleeved =
            wire.is_sleeved() || way.pieces.iter().any(|piece| beside.plan.routes[*piece].is_sleeved());
        if is_sleeved { counted.max(TOGETHER) } else { counted }
    });
    if counted.is_some() && wire.bundle.is_none() && beside.n_without_way > 0 {
        let text = format!(
            "bundle: counted of the wires that have a way; of {} where they lie is not known",
            beside.n_without_way
        );
        note("bundle", counted.map(f64::from), Unit::One, text);
    }
    let bundle = match (wire.bundle.or(counted), wire.is_sleeved()) {
        (Some(loaded), _) => loaded.max(1),
        (None, false) => {
            let text = "bundle: not given, one wire by itself in free air assumed".to_owned();
            note("bundle", Some(1.0), Unit::One, text);
            1
        }
        // What lies in a sleeve is not in free air, and mostly not alone.
        (None, true) => {
            let text = "bundle: not given on a wire in a sleeve, two or three loaded wires together assumed";
            note("bundle", Some(f64::from(TOGETHER)), Unit::One, text.to_owned());
            TOGETHER
        }
    };
    if !wire.is_sleeved() && on_way.is_none() {
        note("sleeve", None, Unit::One, "sleeve: not given, none assumed".to_owned());
    }
    let grommet = wire.grommet.or_else(|| way?.grommet);
    let mut unjudged = |key: &'static str, text: &str, missing: &str| {
        assumptions.push(Assumption {
            subject: Subject::Wire(wire.id.clone()),
            key,
            value: None,
            text: text.to_owned(),
            unjudged: Some(missing.to_owned()),
        });
    };
    if wire.keep_apart && way.is_none() {
        unjudged("keep_apart", "way: not known of a wire that is to be kept apart from loads", "way");
    }
    if wire.grommet == Some(true) && way.is_some_and(|way| way.grommet == Some(false)) {
        let text = "grommet: there is one as said of the wire, though its route has none";
        unjudged("grommet", text, "grommet where it leads through sheet metal");
    }
    if grommet.is_none() && way.is_some_and(|way| way.n_bulkheads(beside.plan) > 0) {
        let text = "grommet: not known where its way leads through sheet metal";
        unjudged("grommet", text, "grommet where it leads through sheet metal");
    }
    let moving = || way.into_iter().flat_map(|way| way.moving(beside.plan));
    if moving().any(|route| route.slack.is_none()) {
        let text = "loop for movement: not known of a piece of its way that moves";
        unjudged("slack_m", text, "loop where its way moves");
    }
    if wire.strands.is_none() && moving().next().is_some() {
        unjudged(
            "strand_class",
            "strand class: not known of a wire that is bent again and again",
            "strand class",
        );
    }
    Some(UsedWire {
        size,
        area,
        length,
        length_from,
        insulation: Celsius::new(insulation)?,
        insulation_said: wire.insulation.is_some(),
        ambient: Celsius::new(ambient)?,
        ambient_said,
        bundle,
        bundle_at_best: wire.bundle.or(counted.filter(|_| beside.loaded.is_some())).unwrap_or(1).max(1),
        bundle_known: wire.bundle.is_some() || counted.is_some() && beside.n_without_way == 0,
        sleeved: wire.is_sleeved() || way.is_some_and(|way| way.is_sleeved),
        grommet,
        table: CurrentTable::of(settings),
    })
}
