//! Part kinds: one file each, and the table that lists them.
//!
//! A kind is a plain table of data and functions. Everything else reads it: the job file's
//! reader, the drawer's form, the symbol, the circuit. No code outside this folder compares a
//! kind's name. To add a kind, write its file and add its two lines below.

use std::fmt;

use crate::ids::{PartId, TerminalName};
use crate::quantity::{Amps, Ohms, Unit, Volts, Watts};

pub mod glyph;
mod value;

pub use fuse::LARGEST_BLADE_A;
pub use glyph::View;
pub use value::{Assumed, Counts, Form, OfRange, Unsaid, Used, Value, ValueSpec, Values, Where};

/// Declares `KIND`, and its doc comment as `MANUAL`, one line a line, each with a leading space.
macro_rules! declare_kind {
    ($(#[doc = $doc:literal])+ $($field:ident : $value:expr),+ $(,)?) => {
        $(#[doc = $doc])+
        pub static KIND: $crate::kind::Kind = $crate::kind::Kind { $($field: $value),+ };

        pub(super) const MANUAL: &str = concat!($($doc, "\n"),+);
    };
}

/// Lists the kinds of these modules. Their manuals stand apart, so that a program that shows none does not carry them.
macro_rules! list_kinds {
    ($($module:ident :: KIND),+ $(,)?) => {
        /// Every kind, in the order the part tray shows them.
        pub static ALL: &[&Kind] = &[$(&$module::KIND),+];

        static MANUALS: &[(&Kind, &str)] = &[$((&$module::KIND, $module::MANUAL)),+];
    };
}

mod alternator;
mod bar;
mod battery;
mod breaker;
mod connector;
mod diode;
mod donor;
mod earth;
mod fuse;
mod fuse_box;
mod lamp;
mod led_lamp;
mod motor;
mod relay;
mod resistor;
mod socket;
mod splice;
mod switch;
mod twin_lamp;

list_kinds! {
    battery::KIND,
    alternator::KIND,
    donor::KIND,
    fuse::KIND,
    breaker::KIND,
    fuse_box::KIND,
    switch::KIND,
    relay::KIND,
    lamp::KIND,
    led_lamp::KIND,
    twin_lamp::KIND,
    motor::KIND,
    socket::KIND,
    resistor::KIND,
    diode::KIND,
    splice::KIND,
    connector::KIND,
    bar::KIND,
    earth::KIND,
}

/// The kind with this name in the job file.
pub fn by_name(name: &str) -> Option<&'static Kind> {
    ALL.iter().copied().find(|kind| kind.name == name)
}

/// The kinds that nearly every job has, in the order in which a circuit is drawn: from the battery on
/// to earth, and what joins its wires.
pub static MOST_USED: &[&Kind] =
    &[&battery::KIND, &fuse::KIND, &switch::KIND, &relay::KIND, &lamp::KIND, &earth::KIND, &splice::KIND];

/// The kind that joins wires on their way.
pub fn joint_of_wires() -> &'static Kind {
    &splice::KIND
}

/// What a kind is for, as far as checks need to tell.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Class {
    /// Stores energy; the first one in a job feeds the donors.
    Battery,
    /// Makes energy and limits its own current.
    Generator,
    /// A circuit of the vehicle that a signal is tapped from.
    Donor,
    /// Opens on too much current.
    Protection,
    /// Opens and closes a path.
    Contact,
    /// Uses energy: this is what the installation is for.
    Load,
    /// Joins conductors.
    Joint,
    /// Joins conductors to the chassis.
    Earth,
    /// Conducts one way.
    Valve,
}

/// A terminal of a part.
#[derive(Clone, Debug, PartialEq)]
pub struct Terminal {
    /// Its name, as printed.
    pub name: TerminalName,
    /// What it is for, in plain words; lowercase, no full stop.
    pub meaning: &'static str,
    /// Whether the part cannot do its work while nothing is connected here.
    pub needed: bool,
    /// How many wires it takes before a splice serves better (common practice, no source).
    ///
    /// It is advice while wires are drawn, never a reason to refuse a job.
    pub holds: u32,
}

impl Terminal {
    /// The same terminal, taking this many wires.
    fn holding(self, holds: u32) -> Terminal {
        Terminal { holds, ..self }
    }
}

/// Wires that a blade, spade or screw terminal takes: two conductors share one crimp
/// (common practice, no source).
const ON_A_TERMINAL: u32 = 2;

/// Wires that one way of a splice or a connector takes (common practice, no source).
const ON_A_WAY: u32 = 1;

/// Lugs that a battery pole takes (common practice, no source).
const ON_A_POLE: u32 = 4;

/// Lugs that the stud of an earth point takes (common practice, no source).
const ON_AN_EARTH_STUD: u32 = 4;

/// The terminals of a kind with a fixed set, each taking as many wires as [`ON_A_TERMINAL`] says.
fn terminals(fixed: &[(&str, &'static str, bool)]) -> Vec<Terminal> {
    fixed
        .iter()
        .map(|&(name, meaning, needed)| Terminal {
            name: TerminalName::new(name),
            meaning,
            needed,
            holds: ON_A_TERMINAL,
        })
        .collect()
}

/// The terminals `1` to `n` of a kind that joins conductors; none of them is needed by itself.
fn counted_terminals(n: u32, meaning: &'static str, holds: u32) -> Vec<Terminal> {
    let terminal =
        |i: u32| Terminal { name: TerminalName::new(&i.to_string()), meaning, needed: false, holds };
    (1..=n).map(terminal).collect()
}

/// One end of a branch inside a part.
#[derive(Clone, Debug, PartialEq)]
pub enum End {
    /// A terminal of the part.
    Terminal(TerminalName),
    /// The vehicle body.
    Chassis,
    /// The positive pole of the battery that feeds the vehicle's own circuits.
    Supply,
}

impl End {
    /// The terminal named `name`.
    pub fn terminal(name: &str) -> End {
        End::Terminal(TerminalName::new(name))
    }
}

/// The relation between voltage and current of a branch, counted from its first end to its second.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Law {
    /// A resistance.
    Resistance(Ohms),
    /// A source behind its internal resistance, positive at the first end.
    Source {
        /// Voltage without load.
        emf: Volts,
        /// Internal resistance.
        internal: Ohms,
        /// The most it delivers; it never takes current in when this source is `one_way`.
        limit: Option<Amps>,
        /// Whether rectifiers keep current from flowing back into it.
        one_way: bool,
    },
    /// A lamp filament: current follows voltage to the power 0.55 once it is warm.
    Filament {
        /// Voltage at which the rating holds.
        rated_v: Volts,
        /// Current at `rated_v`.
        rated_a: Amps,
        /// Resistance when cold.
        cold: Ohms,
    },
    /// An electronic load that takes constant power while it is on.
    Electronic {
        /// Power while on.
        power: Watts,
        /// It takes no more than this, whatever the power.
        limit: Option<Amps>,
        /// It turns off below this voltage.
        off_below: Volts,
        /// It turns on above this voltage.
        on_above: Volts,
        /// Resistance while off, if it leaks.
        leak: Option<Ohms>,
        /// Whether it conducts when connected the wrong way round.
        conducts_reversed: bool,
    },
    /// A diode as two straight lines: open below `forward`, then a slope.
    Diode {
        /// Voltage at which it begins to conduct.
        forward: Volts,
        /// Resistance above `forward`.
        slope: Ohms,
    },
}

/// When a branch conducts.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum When {
    /// In every situation.
    Always,
    /// While the part is in one of these positions.
    In(&'static [&'static str]),
    /// While the part's coil holds the armature.
    Energized,
    /// While the part's coil has let go.
    Released,
}

/// The share of its rated current above which a fuse opens sooner or later: printed for links declared to ISO 8820-3;
/// the standard's own table was not read. Used for every family of fuse and for breakers.
pub const OPENS_ABOVE: f64 = 1.35;

/// Where [`OPENS_ABOVE`] is from, for users.
pub const OPENS_SOURCE: &str =
    "that a fuse opens from 1.35 times its rating on is printed for links declared to ISO 8820-3";

/// What a branch is, as far as checks and current paths need to tell.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Role {
    /// A source.
    Source,
    /// Joins without using energy: a strap, a joint, a contact.
    Path,
    /// A fuse or breaker, with its rating where known.
    Protection(Option<Amps>),
    /// A relay coil, with the voltages at which its armature moves.
    Coil {
        /// Pulls in at this voltage and above.
        pull_in: Volts,
        /// Drops out at this voltage and below.
        drop_out: Volts,
    },
    /// A load.
    Load(Load),
    /// Keeps the coil's switch-off voltage down; carries nothing when connected rightly.
    Suppression,
}

/// What a load asks for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Load {
    /// A name within the part when it has several loads (`beam`), else empty.
    pub name: &'static str,
    /// Rated power, when known.
    pub rated: Option<Watts>,
    /// Below this voltage it does not work, when it says so.
    pub least: Option<Volts>,
    /// The current from which on it can be seen although it does not work, of what gives light without a filament.
    pub seen_from: Option<Amps>,
}

/// Current from which on a lamp with a driver can be seen while it is off, and a bare diode, in amperes (common
/// practice, no source).
pub(crate) const MODULE_SEEN_A: f64 = 0.001;
pub(crate) const BARE_DIODE_SEEN_A: f64 = 0.0001;

/// A branch inside a part.
#[derive(Clone, Debug, PartialEq)]
pub struct PartBranch {
    /// First end; currents count from here.
    pub from: End,
    /// Second end.
    pub to: End,
    /// How current follows voltage; `None` when the values needed are not known, and then the
    /// branch is left out of the solution and its readings are unknown.
    pub law: Option<Law>,
    /// When it conducts.
    pub when: When,
    /// What it is.
    pub role: Role,
}

/// A terminal that is one with another, without a branch between them.
#[derive(Clone, Debug, PartialEq)]
pub enum Join {
    /// Two terminals of the part itself.
    Own(TerminalName, TerminalName),
    /// A terminal of the part and one of another part.
    Other(TerminalName, PartId, TerminalName),
}

/// A part kind.
pub struct Kind {
    /// Name in the job file.
    pub name: &'static str,
    /// Name in a sentence.
    pub noun: &'static str,
    /// Letter of its designation, from IEC 81346-2 (from memory; edition not known to us).
    pub letter: &'static str,
    /// What it is for.
    pub class: Class,
    /// What may be said about it.
    pub values: &'static [ValueSpec],
    /// Its terminals; which there are may depend on its values.
    pub terminals: fn(&Values) -> Vec<Terminal>,
    /// Its positions, the one at rest first; empty when it has none.
    pub positions: fn(&Values) -> &'static [&'static str],
    /// Terminals that are one.
    pub joins: fn(&Values) -> Vec<Join>,
    /// Its branches; the first is the one its readings speak of.
    pub branches: fn(&Used) -> Vec<PartBranch>,
    /// Its symbols; every terminal is shown by at least one of them.
    pub views: fn(&Values) -> Vec<View>,
}

impl Kind {
    /// The manual as Markdown, without the space that starts each doc-comment line.
    pub fn manual(&self) -> String {
        let own = MANUALS.iter().find(|(kind, _)| *kind == self);
        own.map_or_else(String::new, |(_, manual)| undent(manual))
    }

    /// The description of the value `name`.
    pub fn value(&self, name: &str) -> Option<&'static ValueSpec> {
        self.values.iter().find(|spec| spec.name == name)
    }
}

impl PartialEq for Kind {
    fn eq(&self, other: &Kind) -> bool {
        self.name == other.name
    }
}

impl fmt::Debug for Kind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name)
    }
}

/// Removes the one leading space that a doc comment keeps on each line.
pub(crate) fn undent(doc: &str) -> String {
    doc.lines().map(|line| line.strip_prefix(' ').unwrap_or(line)).collect::<Vec<_>>().join("\n")
}

/// Whether water keeps out of a part.
const SEALED: ValueSpec = ValueSpec::new("sealed", Form::Flag, Assumed::Nothing, "keeps water out");

/// The voltage that a part is made for; what is assumed of its other values goes by it.
const AT_V: ValueSpec = ValueSpec {
    unsaid: Unsaid::Plain,
    ..ValueSpec::number(
        RATED_VOLTAGE,
        Unit::Volt,
        (0.1, 100.0),
        Assumed::ByNominal(12.0, 24.0),
        "voltage it is made for",
    )
};

/// The key of the voltage that a part is made for.
pub const RATED_VOLTAGE: &str = "at_v";

/// The key of the voltage that a source shows without load.
pub const OPEN_VOLTAGE: &str = "open_circuit_v";

/// No positions.
fn no_positions(_: &Values) -> &'static [&'static str] {
    &[]
}

/// Whether a source is tied to the vehicle body, which is assumed when nothing was said.
fn ties_to_chassis(values: &Values) -> bool {
    !matches!(values.get("to_chassis"), crate::given::Given::Known(Value::Flag(false)))
}

/// No joined terminals.
fn no_joins(_: &Values) -> Vec<Join> {
    Vec::new()
}

/// All terminals `1` to `n` are one.
fn all_one(n: u32) -> Vec<Join> {
    (2..=n).map(|i| Join::Own(TerminalName::new("1"), TerminalName::new(&i.to_string()))).collect()
}

/// Smallest resistance used anywhere, in ohms.
///
/// Below a microohm the voltage across a conductor is lost in the rounding of the potentials at
/// its ends, so its current would be too; no joint on a vehicle is that good.
pub const LEAST_OHM: f64 = 1e-6;

/// A resistance of `ohm` ohms, at least [`LEAST_OHM`].
fn resistance(ohm: f64) -> Option<Law> {
    Ohms::new(ohm.max(LEAST_OHM)).map(Law::Resistance)
}

/// A path of `ohm` ohms between two ends, conducting `when`.
fn path(from: End, to: End, ohm: Option<f64>, when: When) -> PartBranch {
    PartBranch { from, to, law: ohm.and_then(resistance), when, role: Role::Path }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_unique_and_found() {
        for (i, kind) in ALL.iter().enumerate() {
            assert!(ALL[..i].iter().all(|other| other.name != kind.name), "{}", kind.name);
            assert_eq!(by_name(kind.name), Some(*kind));
        }
        assert_eq!(by_name("flux-capacitor"), None);
    }

    #[test]
    fn every_terminal_is_on_a_symbol_exactly_once() {
        for kind in ALL {
            let values = Values::default();
            let views = (kind.views)(&values);
            let pins: Vec<_> =
                views.iter().flat_map(|view| &view.pins).map(|pin| pin.terminal.as_str()).collect();
            for terminal in (kind.terminals)(&values) {
                let shown = pins.iter().filter(|pin| **pin == terminal.name.as_str()).count();
                assert_eq!(shown, 1, "{} terminal {}", kind.name, terminal.name);
            }
        }
    }

    #[test]
    fn branches_end_on_terminals_that_exist() {
        for kind in ALL {
            let values = Values::default();
            let names: Vec<_> = (kind.terminals)(&values).into_iter().map(|t| t.name).collect();
            let mut used = Used::new(12.0);
            for spec in kind.values {
                if let Some(value) = spec.assumed_at(12.0) {
                    used.set(spec.name, value);
                }
            }
            for branch in (kind.branches)(&used) {
                for end in [&branch.from, &branch.to] {
                    if let End::Terminal(name) = end {
                        assert!(names.contains(name), "{} has no terminal {name}", kind.name);
                    }
                }
            }
        }
    }

    #[test]
    fn every_manual_starts_with_a_sentence() {
        for kind in ALL {
            let manual = kind.manual();
            assert!(manual.lines().next().is_some_and(|line| line.ends_with('.')), "{}", kind.name);
        }
    }
}
