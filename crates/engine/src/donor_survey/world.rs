//! The circuits that readings are compared with: a lamp of the vehicle with what stands around it, drawn and solved like
//! any other.
//!
//! There are two of them, one switched on the positive side and one on the earth side. Everything else that may differ
//! (which lights are on, whether the lamp conducts, what else hangs on its wires) is a switch in the circuit.

use std::sync::Arc;

use crate::circuit::{CHASSIS, Circuit, build};
use crate::document::{Network, Part, Settings, Size, Wire};
use crate::given::Given;
use crate::ids::{PartId, TerminalRef, WireId};
use crate::kind::{Value, by_name};
use crate::quantity::{Metres, SquareMillimetres};
use crate::solve::Solver;

/// The side of a lamp on which it is switched.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Side {
    /// Its positive wire is switched, the other is earth.
    Positive,
    /// Its positive wire is common with other lamps, the other is switched to earth.
    Earth,
}

/// What a wire at the plug may be.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Pin {
    /// The lamp's own wire that is switched.
    Own,
    /// The wire that the lamp has in common with others: the earth, or the common feed.
    Common,
    /// The switched wire of another lamp that is on in the other light position.
    Other,
    /// The wire of a lamp that is on whenever any light is.
    Any,
    /// A wire that is always live.
    Live,
    /// A wire that is always earth.
    Earth,
    /// A wire that is on nothing.
    Nothing,
}

impl Pin {
    /// Every pin.
    pub const ALL: [Pin; 7] =
        [Pin::Own, Pin::Common, Pin::Other, Pin::Any, Pin::Live, Pin::Earth, Pin::Nothing];
}

/// What is closed, and what is there, while a reading is taken.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub struct Setup {
    /// The lamp is switched on.
    pub is_on: bool,
    /// The other lamp is.
    pub other_is_on: bool,
    /// The common feed is live; of no say where the positive side is switched.
    pub feed_is_live: bool,
    /// The lamp joins its two wires: it is plugged in and its filament whole.
    pub lamp_conducts: bool,
    /// The other lamp, which hangs on the same plug, joins its wires.
    pub other_conducts: bool,
    /// Something else joins the common wire to earth, such as the lamp of another circuit.
    pub is_pulled: bool,
    /// A module watches the switched wire through a resistor.
    pub is_watched: bool,
}

/// Volts that a meter shows of one wire: against earth, and from battery positive.
pub type Shown = [f64; 2];

/// What a meter shows of the battery and of every pin, in the order of [`Pin::ALL`].
#[derive(Clone, Debug, PartialEq)]
pub struct Solved {
    /// Battery positive against earth.
    pub battery: f64,
    /// Each pin.
    pub pins: [Shown; 7],
}

/// Resistances and lamp at one end of what is met on vehicles, in ohms and watts (common practice, no source).
#[derive(Clone, Copy, Debug)]
pub struct Corner {
    /// The vehicle's own wiring and contacts.
    pub line_ohm: f64,
    /// The joint of the lamp, or of its switch, to the body.
    pub joint_ohm: f64,
    /// The lamp.
    pub lamp_w: f64,
}

/// A small lamp on good joints, and a large one on poor joints: what lies between shows readings between.
pub const CORNERS: [Corner; 2] = [
    Corner { line_ohm: 0.02, joint_ohm: 0.001, lamp_w: 5.0 },
    Corner { line_ohm: 0.3, joint_ohm: 0.1, lamp_w: 60.0 },
];

/// What else may join the common wire to earth, in ohms: the cold filament of a small lamp (common practice, no source).
const PULLED_OHM: f64 = 20.0;

/// Through what a module watches its lamp while it is off, in ohms (common practice, no source).
const WATCHED_OHM: f64 = 10_000.0;

/// A resistance so small that no reading shows it, in ohms.
const SMALL_OHM: f64 = 1e-4;

/// The circuit of a lamp that is switched on one side, at one corner.
pub struct World {
    circuit: Circuit,
}

impl World {
    /// Draws it; `supply_v` are the volts of the battery without load.
    pub fn new(side: Side, corner: Corner, nominal_v: f64, supply_v: f64) -> World {
        let mut drawn = Drawn::default();
        let (line, joint) = (corner.line_ohm, corner.joint_ohm);
        drawn.part("battery", "G", &[("open_circuit_v", supply_v)]);
        drawn.part("earth", "X", &[("joint_ohm", joint)]);
        drawn.part("earth", "E", &[("joint_ohm", SMALL_OHM)]);
        for (name, watts) in [("lamp", corner.lamp_w), ("other", corner.lamp_w), ("any", 5.0)] {
            drawn.part("lamp", name, &[("watts", watts)]);
        }
        drawn.part("resistor", "pull", &[("ohm", PULLED_OHM)]);
        drawn.part("resistor", "watch", &[("ohm", WATCHED_OHM)]);
        for (name, ohm) in [
            ("s-own", line),
            ("s-other", line),
            ("s-any", line),
            ("s-feed", if side == Side::Earth { line } else { SMALL_OHM }),
            ("s-lamp", SMALL_OHM),
            ("s-other-lamp", SMALL_OHM),
            ("s-pull", SMALL_OHM),
            ("s-watch", SMALL_OHM),
        ] {
            drawn.part("switch", name, &[("contact_ohm", ohm)]);
        }
        drawn.part("splice", "own", &[]);
        drawn.part("splice", "common", &[]);
        drawn.part("splice", "elsewhere", &[]);
        // The lamps between their own wires and the common one, each unplugged by a switch.
        drawn.run("own.1", "s-lamp", "lamp.1", "lamp.2", "common.1");
        drawn.run("elsewhere.1", "s-other-lamp", "other.1", "other.2", "common.1");
        match side {
            Side::Positive => {
                drawn.switch("G.+", "s-own", "own.1");
                drawn.switch("G.+", "s-other", "elsewhere.1");
                drawn.wire("common.1", "X.1");
                // A module watches from its supply.
                drawn.run("G.+", "s-watch", "watch.1", "watch.2", "own.1");
            }
            Side::Earth => {
                drawn.switch("G.+", "s-feed", "common.1");
                drawn.switch("own.1", "s-own", "X.1");
                drawn.switch("elsewhere.1", "s-other", "X.1");
                drawn.run("X.1", "s-watch", "watch.1", "watch.2", "own.1");
            }
        }
        drawn.run("common.1", "s-pull", "pull.1", "pull.2", "X.1");
        drawn.switch("G.+", "s-any", "any.1");
        drawn.wire("any.2", "X.1");
        let settings = Settings::of(nominal_v);
        World { circuit: build(&Arc::new(drawn.network), &settings) }
    }

    /// What a meter shows in each of some setups; `None` where the circuit has no solution.
    ///
    /// A wire that is on nothing shows nought both ways: through the meter it takes the voltage of the other lead.
    pub fn solved(&self, setups: &[Setup]) -> Option<Vec<Solved>> {
        let solver = Solver::new(&self.circuit);
        setups.iter().map(|setup| self.one(&solver, setup)).collect()
    }

    fn one(&self, solver: &Solver<'_>, setup: &Setup) -> Option<Solved> {
        let closed = [
            ("s-own", setup.is_on),
            ("s-other", setup.other_is_on),
            ("s-any", setup.is_on || setup.other_is_on),
            ("s-feed", setup.feed_is_live),
            ("s-lamp", setup.lamp_conducts),
            ("s-other-lamp", setup.other_conducts),
            ("s-pull", setup.is_pulled),
            ("s-watch", setup.is_watched),
        ];
        let parts = &self.circuit.resolved.network.parts;
        let is_closed = |part: &Part| closed.iter().any(|(name, is)| *is && part.id.as_str() == *name);
        let positions = parts.iter().map(|part| u8::from(is_closed(part))).collect();
        let solution = solver.enter(positions);
        let steady = &solution.shown()?.steady;
        let net = |terminal: &str| TerminalRef::parse(terminal).and_then(|at| self.circuit.net_of(&at));
        let battery = net("G.+")?;
        let shown = |terminal: &str| -> Option<Shown> {
            let at = net(terminal)?;
            let volts = |from, to| steady.between(from, to).unwrap_or(0.0);
            Some([volts(at, CHASSIS), volts(battery, at)])
        };
        let pin = |pin: Pin| match pin {
            Pin::Own => shown("own.1"),
            Pin::Common => shown("common.1"),
            Pin::Other => shown("elsewhere.1"),
            Pin::Any => shown("any.1"),
            Pin::Live => shown("G.+"),
            Pin::Earth => shown("E.1"),
            Pin::Nothing => Some([0.0, 0.0]),
        };
        let mut pins = [[0.0; 2]; 7];
        for (place, one) in pins.iter_mut().zip(Pin::ALL) {
            *place = pin(one)?;
        }
        Some(Solved { battery: shown("G.+")?[0], pins })
    }
}

/// A network in the making.
#[derive(Default)]
struct Drawn {
    network: Network,
}

impl Drawn {
    fn part(&mut self, kind: &str, id: &str, values: &[(&'static str, f64)]) {
        let (Some(kind), Some(id)) = (by_name(kind), PartId::new(id)) else { return };
        let mut part = Part::new(id, kind, String::new());
        for (name, value) in values {
            part.values.set(name, Given::Known(Value::Number(*value)));
        }
        self.network.parts.push(part);
    }

    /// A wire too short and thick to show in any reading.
    fn wire(&mut self, from: &str, to: &str) {
        let id = WireId::new(&format!("w{}", self.network.wires.len()));
        let (Some(id), Some(from), Some(to)) = (id, TerminalRef::parse(from), TerminalRef::parse(to)) else {
            return;
        };
        let mut wire = Wire::new(id, from, to);
        wire.size =
            SquareMillimetres::new(6.0).map_or(Given::NotKnown, |area| Given::Known(Size::Metric(area)));
        wire.length = Metres::new(0.01).map_or(Given::NotKnown, Given::Known);
        self.network.wires.push(wire);
    }

    /// A switch between two terminals.
    fn switch(&mut self, from: &str, switch: &str, to: &str) {
        self.wire(from, &format!("{switch}.in"));
        self.wire(&format!("{switch}.out"), to);
    }

    /// A switch and behind it a part, between two terminals.
    fn run(&mut self, from: &str, switch: &str, near: &str, far: &str, to: &str) {
        self.switch(from, switch, near);
        self.wire(far, to);
    }
}
