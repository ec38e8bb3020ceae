//! Donors as they may be met, what a meter shows of them, and the readings that are tried.

use super::*;

/// A donor as it may be met: the job with its lamp plugged in and unplugged, what the two wires are on, and what is true.
pub(super) struct Truth {
    pub(super) name: String,
    pub(super) plugged: String,
    pub(super) unplugged: String,
    pub(super) wires: [&'static str; 2],
    /// How much of the time the lamp has full voltage, lights off and on, of one driven in pulses.
    pub(super) duty: [f64; 2],
    /// What keeps the common feed live while the lamp is on.
    pub(super) has_feed: bool,
    pub(super) nature: Nature,
    pub(super) positive: Option<usize>,
}

/// The lamps of a vehicle in the notation: `E1` is surveyed, `E2` is the other light, `E3` is on with every light.
pub(super) fn lamps(e1: &str, e2: &str, more: &str, is_plugged: bool, line_ohm: f64) -> String {
    let power = |watts: &str| if is_plugged { format!("lamp_w={watts}") } else { String::new() };
    format!(
        "battery G1\ndonor E1 {e1} line_ohm={line_ohm} {}\ndonor E2 {e2} line_ohm={line_ohm} {}\ndonor E3 lamp_w=5\n\
         splice N1\nearth X1\n{more}",
        if e1.contains("blown") { String::new() } else { power("60") },
        power("55")
    )
    .replace("blown", "")
}

/// What is on the plug, and which of it reads like the lamp's own positive and negative wire.
pub(super) const POSITIVE: [&str; 6] = ["E1.feed", "E1.return", "E2.feed", "E3.feed", "G1.+", "N1.1"];
pub(super) const PERMANENT: [&str; 6] = ["E1.feed", "E1.return", "E2.return", "E3.feed", "N1.1", "X1.1"];
pub(super) const SWITCHED: [&str; 7] =
    ["E1.feed", "E1.return", "E2.return", "E3.feed", "G1.+", "N1.1", "X1.1"];
pub(super) const PULLED: [&str; 5] = ["E1.feed", "E1.return", "E2.return", "G1.+", "N1.1"];

pub(super) const OWN: [&str; 2] = ["E1.feed", "E1.return"];

pub(super) fn truths(line_ohm: f64) -> Vec<Truth> {
    let mut all = Vec::new();
    let joined = "wire w1 E1.feed E2.feed mm2=6 m=0.01";
    let pulled = "lamp E4 watts=5\nwire w2 E1.feed E4.1 mm2=6 m=0.01\nwire w3 E4.2 X1.1 mm2=6 m=0.01";
    let both = format!("{joined}\n{pulled}");
    let dead =
        "switch S1 action=two-way\nwire w7 G1.+ S1.in mm2=6 m=0.01\nwire w8 S1.out1 E1.feed mm2=6 m=0.01";
    let dead_and_pulled = format!("{dead}\n{pulled}");
    let feeds = [joined, "", &both, pulled, dead, &dead_and_pulled];
    let earth = |feed: &str| format!("switching=earth common_feed={feed}");
    let (permanent, switched) = (earth("permanent"), earth("switched"));
    let mut add =
        |name: &str, e1: &str, e2: &str, more: &str, duty: [f64; 2], wires: [&'static str; 2], nature| {
            let text = |is_plugged| lamps(e1, e2, more, is_plugged, line_ohm);
            let positive =
                wires.iter().position(|wire| *wire == "E1.feed").filter(|_| nature != Nature::NotThese);
            let (plugged, unplugged) = (text(true), text(false));
            let name = format!("{name}{}", if e1.contains("blown") { ", blown" } else { "" });
            all.push(Truth {
                name: format!("{name} {wires:?}"),
                plugged,
                unplugged,
                wires,
                duty,
                has_feed: more.contains("E5"),
                nature,
                positive,
            });
        };
    let full = [0.0, 1.0];
    let own = [OWN, [OWN[1], OWN[0]]];
    for wires in own {
        for blown in ["", " blown"] {
            let with = |text: &str| format!("{text}{blown}");
            add(&with("positive"), &with(""), "", "", full, wires, Nature::Positive);
            add(
                &with("permanent"),
                &with(&permanent),
                &permanent,
                joined,
                full,
                wires,
                Nature::EarthPermanent,
            );
            for more in feeds {
                add(&with("switched"), &with(&switched), &switched, more, full, wires, Nature::EarthSwitched);
            }
        }
        // By a module: quiet, in pulses, reduced while off.
        for duty in
            [full, [0.0, 0.05], [0.0, 0.1], [0.0, 0.5], [0.0, 0.9], [0.01, 1.0], [0.4, 1.0], [0.75, 1.0]]
        {
            let module = |side: &str| format!("drive=module {side}");
            for blown in ["", " blown"] {
                let module = |side: &str| format!("{}{blown}", module(side));
                add("module", &module(""), "", "", duty, wires, Nature::Module);
                add("low module", &module(&permanent), &permanent, joined, duty, wires, Nature::Module);
            }
            // The part for a donor has its feed pulse with its earth side: here another donor keeps it live.
            if duty[0] == 0.0 {
                let feed =
                    "donor E5 switching=earth common_feed=switched\nwire w9 E5.feed E1.feed mm2=6 m=0.01";
                for more in feeds {
                    let more = format!("{more}\n{feed}");
                    for blown in ["", " blown"] {
                        let e1 = format!("{}{blown}", module(&switched));
                        add("low module, switched", &e1, &switched, &more, duty, wires, Nature::Module);
                    }
                }
            }
        }
        let pull_down =
            "resistor R2 ohm=10000\nwire w4 E1.return R2.1 mm2=1 m=0.01\nwire w5 R2.2 X1.1 mm2=1 m=0.01";
        let feed = "donor E5 switching=earth common_feed=switched\nwire w9 E5.feed E1.feed mm2=6 m=0.01";
        for duty in [full, [0.0, 0.05], [0.0, 0.5]] {
            for more in feeds {
                let more = format!("{more}\n{feed}\n{pull_down}");
                for blown in ["", " blown"] {
                    let e1 = format!("drive=module {switched}{blown}");
                    add("low module that watches", &e1, &switched, &more, duty, wires, Nature::Module);
                }
            }
            for blown in ["", " blown"] {
                let (e1, more) =
                    (format!("drive=module {permanent}{blown}"), format!("{joined}\n{pull_down}"));
                add("low module that watches", &e1, &permanent, &more, duty, wires, Nature::Module);
            }
        }
        let watched =
            "resistor R1 ohm=10000\nwire w4 G1.+ R1.1 mm2=1 m=0.01\nwire w5 R1.2 E1.feed mm2=1 m=0.01";
        for duty in [full, [0.4, 1.0], [0.0, 0.5]] {
            add("module that watches", "drive=module", "", watched, duty, wires, Nature::Module);
            add("module that watches", "drive=module blown", "", watched, duty, wires, Nature::Module);
        }
    }
    let mut not_these = |name: &str, e1: &str, e2: &str, more: &str, pins: &[&'static str]| {
        for (one, other) in pins.iter().flat_map(|one| pins.iter().map(move |other| (*one, *other))) {
            // The wires of the two other lamps are no two wires at one plug.
            let of_others = |wire: &str| wire.starts_with("E2") || wire.starts_with("E3");
            let is_own = [one, other] == OWN || [other, one] == OWN;
            if !is_own && (one == other || !of_others(one) || !of_others(other)) {
                add(name, e1, e2, more, full, [one, other], Nature::NotThese);
            }
        }
    };
    not_these("positive, beside", "", "", "", &POSITIVE);
    not_these("permanent, beside", &permanent, &permanent, joined, &PERMANENT);
    not_these("switched, beside", &switched, &switched, joined, &SWITCHED);
    not_these("pulled, beside", &switched, &switched, &both, &PULLED);
    all
}

/// What a meter shows at every spot, without error.
pub(super) fn shown(truth: &Truth, nominal_v: f64, supply_v: f64) -> Vec<f64> {
    let circuit = |text: &str| -> Circuit {
        let text = text.replace("battery G1", &format!("battery G1 open_circuit_v={supply_v}"));
        build(&notation::network(&text).unwrap(), &Settings::of(nominal_v))
    };
    let (plugged, unplugged) = (circuit(&truth.plugged), circuit(&truth.unplugged));
    let volts = |circuit: &Circuit, set: &[(&str, u8)], spot: Spot| {
        let parts = &circuit.resolved.network.parts;
        let at = |id: &str| set.iter().find(|(part, _)| *part == id).map_or(0, |(_, position)| *position);
        let positions = parts.iter().map(|part| at(part.id.as_str())).collect();
        let solved = Solver::new(circuit).enter(positions);
        let steady = &solved.shown().unwrap().steady;
        let net = |name: &str| circuit.net_of(&TerminalRef::parse(name).unwrap()).unwrap();
        let wire = match spot.at {
            At::Battery => "G1.+",
            At::First => truth.wires[0],
            At::Second => truth.wires[1],
        };
        let ends = match spot.against {
            Against::Earth => (net(wire), CHASSIS),
            Against::Positive => (net("G1.+"), net(wire)),
        };
        // Between two nets that nothing joins a meter shows nothing.
        steady.between(ends.0, ends.1).unwrap_or(0.0)
    };
    let of = |spot: Spot| {
        let circuit = if spot.lights == Lights::Unplugged { &unplugged } else { &plugged };
        let rest: &[(&str, u8)] = match spot.lights {
            Lights::Off | Lights::Unplugged => &[],
            Lights::On if truth.has_feed => &[("E3", 1), ("E5", 1)],
            Lights::On => &[("E3", 1)],
            Lights::Other => &[("E2", 1), ("E3", 1), ("S1", 1)],
        };
        let on: Vec<(&str, u8)> = rest.iter().copied().chain([("E1", 1)]).collect();
        let duty = match spot.lights {
            Lights::Off => truth.duty[0],
            Lights::On => truth.duty[1],
            Lights::Other | Lights::Unplugged => 0.0,
        };
        let [open, closed] = [rest, &on].map(|set| volts(circuit, set, spot).abs());
        match spot.is_peak && duty > 0.0 && duty < 1.0 {
            true => open.max(closed),
            false => open + (closed - open) * duty,
        }
    };
    Spot::every().into_iter().map(of).collect()
}

/// Evenly scattered numbers from -1 to 1, always the same.
pub(super) struct Scatter(pub(super) u64);

impl Scatter {
    pub(super) fn next(&mut self) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1u64 << 52) as f64 - 1.0
    }

    /// A reading as a meter shows it: half of what is allowed for may be wrong with it.
    pub(super) fn read(&mut self, volts: f64, nominal_v: f64) -> f64 {
        let noisy = volts + 0.5 * tolerance(volts, nominal_v) * self.next();
        libm::round(noisy.abs() * 100.0) / 100.0
    }
}

/// Sets of readings in one light position, each spot by wire and by whether it is from battery positive.
pub(super) const SETS: [&[(usize, bool)]; 8] = [
    &[],
    &[(0, false)],
    &[(1, true)],
    &[(0, false), (1, false)],
    &[(0, true), (1, true)],
    &[(0, false), (0, true)],
    &[(1, false), (1, true)],
    &[(0, false), (0, true), (1, false), (1, true)],
];

pub(super) fn spots(lights: Lights, set: &[(usize, bool)]) -> Vec<Spot> {
    let spot = |(wire, positive): &(usize, bool)| {
        let at = [At::First, At::Second][*wire];
        Spot::plain(lights, at, if *positive { Against::Positive } else { Against::Earth })
    };
    set.iter().map(spot).collect()
}
