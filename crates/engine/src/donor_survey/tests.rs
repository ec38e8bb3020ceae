//! Every kind of donor, drawn with the ordinary part for it, against every set of readings.

use std::collections::BTreeSet;
use std::sync::OnceLock;

use super::fit::fits;
use super::*;
use crate::circuit::{CHASSIS, Circuit, build};
use crate::document::Settings;
use crate::ids::TerminalRef;
use crate::notation;
use crate::solve::Solver;

fn twelve() -> &'static [Candidate] {
    static ALL: OnceLock<Vec<Candidate>> = OnceLock::new();
    ALL.get_or_init(|| candidates(12.0))
}

/// A donor as it may be met: the job with its lamp plugged in and unplugged, what the two wires are on, and what is true.
struct Truth {
    name: String,
    plugged: String,
    unplugged: String,
    wires: [&'static str; 2],
    /// How much of the time the lamp has full voltage, lights off and on, of one driven in pulses.
    duty: [f64; 2],
    /// What keeps the common feed live while the lamp is on.
    has_feed: bool,
    nature: Nature,
    positive: Option<usize>,
}

/// The lamps of a vehicle in the notation: `E1` is surveyed, `E2` is the other light, `E3` is on with every light.
fn lamps(e1: &str, e2: &str, more: &str, is_plugged: bool, line_ohm: f64) -> String {
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
const POSITIVE: [&str; 6] = ["E1.feed", "E1.return", "E2.feed", "E3.feed", "G1.+", "N1.1"];
const PERMANENT: [&str; 6] = ["E1.feed", "E1.return", "E2.return", "E3.feed", "N1.1", "X1.1"];
const SWITCHED: [&str; 7] = ["E1.feed", "E1.return", "E2.return", "E3.feed", "G1.+", "N1.1", "X1.1"];
const PULLED: [&str; 5] = ["E1.feed", "E1.return", "E2.return", "G1.+", "N1.1"];

const OWN: [&str; 2] = ["E1.feed", "E1.return"];

fn truths(line_ohm: f64) -> Vec<Truth> {
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
fn shown(truth: &Truth, nominal_v: f64, supply_v: f64) -> Vec<f64> {
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
struct Scatter(u64);

impl Scatter {
    fn next(&mut self) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1u64 << 52) as f64 - 1.0
    }

    /// A reading as a meter shows it: half of what is allowed for may be wrong with it.
    fn read(&mut self, volts: f64, nominal_v: f64) -> f64 {
        let noisy = volts + 0.5 * tolerance(volts, nominal_v) * self.next();
        libm::round(noisy.abs() * 100.0) / 100.0
    }
}

/// Sets of readings in one light position, each spot by wire and by whether it is from battery positive.
const SETS: [&[(usize, bool)]; 8] = [
    &[],
    &[(0, false)],
    &[(1, true)],
    &[(0, false), (1, false)],
    &[(0, true), (1, true)],
    &[(0, false), (0, true)],
    &[(1, false), (1, true)],
    &[(0, false), (0, true), (1, false), (1, true)],
];

fn spots(lights: Lights, set: &[(usize, bool)]) -> Vec<Spot> {
    let spot = |(wire, positive): &(usize, bool)| {
        let at = [At::First, At::Second][*wire];
        Spot::plain(lights, at, if *positive { Against::Positive } else { Against::Earth })
    };
    set.iter().map(spot).collect()
}

#[test]
fn spots_are_numbered_as_they_are_listed() {
    for (number, spot) in Spot::every().into_iter().enumerate() {
        assert_eq!(spot.number(), number, "{spot:?}");
    }
    assert_eq!(Spot::asked().len(), 16);
}

/// Of the sets of readings of a donor one in so many is tried, each donor beginning with another. All 2 639 084 cases hold
/// (523 779 of them come to one answer), but take a minute.
const EVERY: usize = 6;

/// The truth table: every donor, every set of readings, noise and voltage of the battery of their own in each case.
#[test]
fn every_donor_comes_back_as_itself_or_among_what_reads_the_same() {
    let supplies = [11.5, 12.6, 13.4, 14.8];
    let truths: Vec<(Truth, Vec<Vec<f64>>)> = [0.05, 0.2]
        .into_iter()
        .flat_map(truths)
        .map(|truth| {
            let shown = supplies.map(|supply| shown(&truth, 12.0, supply)).to_vec();
            (truth, shown)
        })
        .collect();
    let mut scatter = Scatter(7);
    let (mut n_cases, mut n_single, mut n_groups) = (0u32, 0u32, 0u32);
    for (begin, (truth, shown_at)) in truths.iter().enumerate() {
        for number in (begin % EVERY..SETS.len().pow(4)).step_by(EVERY) {
            let set = |place: u32| SETS[number / SETS.len().pow(place) % SETS.len()];
            // Every set is tried; of the many wrong pairs of wires each takes its share of them.
            n_cases += 1;
            if truth.nature == Nature::NotThese && !n_cases.is_multiple_of(13) {
                continue;
            }
            let mut read: Vec<(Spot, f64)> = Vec::new();
            for (place, lights) in (0..).zip(Lights::ALL) {
                // The engine may have been started in between.
                let supply = (scatter.next().abs() * supplies.len() as f64) as usize % supplies.len();
                for spot in spots(lights, set(place)) {
                    read.push((spot, scatter.read(shown_at[supply][spot.number()], 12.0)));
                }
            }
            let keys: BTreeSet<(Nature, Option<usize>)> =
                twelve().iter().filter(|one| fits(one, &read, 12.0)).map(Candidate::key).collect();
            let own = (truth.nature, truth.positive);
            assert!(keys.contains(&own), "{}: {keys:?} from {read:?}", truth.name);
            if keys.len() == 1 { n_single += 1 } else { n_groups += 1 }
        }
    }
    assert!(n_single > 50_000 && n_groups > 200_000, "{n_single} {n_groups}");
}

/// Of everything that is left in a group some donor shows these readings, with some voltage of the battery. Modules are
/// left out: they may light a lamp for any share of the time, of which only some are drawn here.
#[test]
fn what_is_left_beside_the_truth_reads_like_it() {
    let supplies: Vec<f64> = (0..12).map(|step| f64::from(step) / 11.0).collect();
    let ends = |truth: &Truth| [11.5, 14.8].map(|supply| shown(truth, 12.0, supply));
    let truths: Vec<(Truth, [Vec<f64>; 2])> = [0.05, 0.2]
        .into_iter()
        .flat_map(truths)
        .map(|truth| {
            let ends = ends(&truth);
            (truth, ends)
        })
        .collect();
    let at = |ends: &[Vec<f64>; 2], share: f64, number: usize| {
        ends[0][number] + (ends[1][number] - ends[0][number]) * share
    };
    // Both readings may be as far off as is allowed for; the battery voltages tried here lie apart, and the part for a
    // donor has no line on its earth side, which loses up to 1.5 V where it is poor.
    let like = |one: f64, other: f64| (one - other).abs() <= 2.0 * tolerance(one.max(other), 12.0) + 1.5;
    let mut n_checked = 0;
    for (truth, own) in truths.iter().filter(|(truth, _)| truth.nature != Nature::NotThese) {
        for number in (0..SETS.len().pow(4)).step_by(111) {
            let set = |place: u32| SETS[number / SETS.len().pow(place) % SETS.len()];
            let spots: Vec<Spot> =
                (0..).zip(Lights::ALL).flat_map(|(place, lights)| spots(lights, set(place))).collect();
            let read: Vec<(Spot, f64)> =
                spots.iter().map(|spot| (*spot, at(own, 0.4, spot.number()))).collect();
            let keys: BTreeSet<(Nature, Option<usize>)> =
                twelve().iter().filter(|one| fits(one, &read, 12.0)).map(Candidate::key).collect();
            for key in keys
                .into_iter()
                .filter(|key| *key != (truth.nature, truth.positive) && key.0 != Nature::Module)
            {
                let reads_so = |(other, ends): &&(Truth, [Vec<f64>; 2])| {
                    (other.nature, other.positive) == key
                        && Lights::ALL.iter().all(|lights| {
                            supplies.iter().any(|share| {
                                let of = |(spot, _): &&(Spot, f64)| spot.lights == *lights;
                                read.iter()
                                    .filter(of)
                                    .all(|(spot, volts)| like(*volts, at(ends, *share, spot.number())))
                            })
                        })
                };
                assert!(
                    truths.iter().any(|other| reads_so(&other)),
                    "{}: why {key:?} from {read:?}",
                    truth.name
                );
                n_checked += 1;
            }
        }
    }
    assert!(n_checked > 3_000, "{n_checked}");
}

/// Whoever takes the readings that are asked for, one after the other, comes to what is true.
#[test]
fn the_readings_that_are_asked_for_lead_to_the_truth() {
    for nominal_v in [12.0, 24.0] {
        let all = candidates(nominal_v);
        let mut scatter = Scatter(3);
        let mut counts: Vec<(Nature, usize)> = Vec::new();
        for truth in truths(0.08) {
            // Every seventh pair of wires that are not the lamp's own does here.
            if truth.nature == Nature::NotThese && !counts.len().is_multiple_of(7) {
                counts.push((truth.nature, 0));
                continue;
            }
            let shown = [12.1, 12.7, 14.3].map(|supply| shown(&truth, nominal_v, supply * nominal_v / 12.0));
            let mut readings = Readings::default();
            let told = loop {
                let told = survey(&all, &readings, nominal_v);
                match told.next {
                    Some(Next::Take(spot)) => {
                        let volts = scatter.read(shown[spot.lights as usize % 3][spot.number()], nominal_v);
                        readings.taken.push(Reading { spot, taken: Taken::Volts(volts) });
                    }
                    Some(Next::SayDrive) => {
                        let by_module = truth.nature == Nature::Module;
                        readings.drive = Some(if by_module { Drive::Module } else { Drive::Contact });
                    }
                    None => break told,
                }
                assert!(readings.taken.len() <= 16, "{}", truth.name);
            };
            let left: Vec<_> =
                told.fits.iter().map(|one| (one.nature, one.side, one.feed, one.pins)).collect();
            // Pulses of a tenth of the time change a mean by less than a long line and a meter may; and through a module
            // that watches a blown lamp its wire reads like earth.
            if truth.duty[1] < 0.2 || (truth.name.contains("watches") && truth.name.contains("blown")) {
                assert!(told.natures().contains(&truth.nature), "{} {left:?} {readings:?}", truth.name);
                continue;
            }
            assert_eq!(told.verdict, Verdict::One(truth.nature), "{} {left:?} {readings:?}", truth.name);
            assert_eq!(told.positive(), truth.positive, "{}", truth.name);
            counts.push((truth.nature, readings.taken.len()));
        }
        for nature in Nature::ALL {
            let of: Vec<usize> =
                counts.iter().filter(|(one, n)| *one == nature && *n > 0).map(|(_, n)| *n).collect();
            let most = of.iter().max().copied().unwrap_or(0);
            assert!((1..=10).contains(&most), "{nature:?} {most}");
        }
    }
}

fn read(at: &[(Lights, At, Against, f64)]) -> Readings {
    let taken = |(lights, at, against, volts): &(Lights, At, Against, f64)| Reading {
        spot: Spot::plain(*lights, *at, *against),
        taken: Taken::Volts(*volts),
    };
    Readings { taken: at.iter().map(taken).collect(), ..Readings::default() }
}

#[test]
fn a_reading_that_fits_nothing_is_named_and_nothing_is_guessed() {
    // One wire cannot stand at 12.6 V against earth and 12.6 V below battery positive.
    let readings = read(&[
        (Lights::Off, At::First, Against::Earth, 12.6),
        (Lights::Off, At::First, Against::Positive, 12.6),
        (Lights::On, At::First, Against::Earth, 0.2),
        (Lights::On, At::Second, Against::Earth, 12.3),
    ]);
    let told = survey(twelve(), &readings, 12.0);
    let Verdict::Disagree(again) = &told.verdict else { panic!("{:?}", told.verdict) };
    assert_eq!(
        *again,
        [
            Spot::plain(Lights::Off, At::First, Against::Earth),
            Spot::plain(Lights::Off, At::First, Against::Positive)
        ]
    );
    assert!(told.next.is_none() && told.fits.is_empty());
    let words = verdict_words(&told, &readings, "main beam");
    let expected = "These readings do not agree: take wire 1 against earth (lights off) or wire 1 against battery positive (lights off) again.";
    assert_eq!(words, [expected]);
}

#[test]
fn a_minus_only_tells_which_way_round_the_leads_were() {
    let at = |sign: f64| {
        read(&[
            (Lights::Off, At::First, Against::Earth, sign * 12.6),
            (Lights::On, At::First, Against::Earth, sign * 0.1),
        ])
    };
    assert_eq!(survey(twelve(), &at(1.0), 12.0), survey(twelve(), &at(-1.0), 12.0));
}

#[test]
fn a_blown_lamp_is_told_beside_what_its_wires_are() {
    let mut readings = read(&[
        (Lights::Off, At::First, Against::Earth, 12.6),
        (Lights::Off, At::Second, Against::Earth, 0.0),
        (Lights::Off, At::Second, Against::Positive, 0.0),
        (Lights::On, At::First, Against::Earth, 12.4),
        (Lights::On, At::Second, Against::Positive, 12.4),
        (Lights::Other, At::First, Against::Earth, 12.4),
        (Lights::Other, At::Second, Against::Positive, 0.0),
        (Lights::Other, At::Second, Against::Earth, 0.0),
    ]);
    readings.drive = Some(Drive::Contact);
    readings.names = ["white".to_owned(), String::new()];
    let told = survey(twelve(), &readings, 12.0);
    assert_eq!((&told.verdict, told.lamp_is_open()), (&Verdict::One(Nature::EarthPermanent), true));
    let words = verdict_words(&told, &readings, "main beam");
    assert_eq!(words[1], "The white wire is its positive wire, wire 2 the negative one.");
    assert!(words[2].contains("blown"), "{words:?}");
}

#[test]
fn what_drives_the_lamp_is_asked_for_and_may_contradict_the_readings() {
    let pulses = [
        (Lights::Off, At::First, Against::Earth, 0.0),
        (Lights::On, At::First, Against::Earth, 6.1),
        (Lights::On, At::Second, Against::Earth, 0.1),
    ];
    let mut readings = read(&pulses);
    assert_eq!(survey(twelve(), &readings, 12.0).verdict, Verdict::One(Nature::Module));
    readings.drive = Some(Drive::Contact);
    assert_eq!(survey(twelve(), &readings, 12.0).verdict, Verdict::AgainstWhatIsSaid);
}

#[test]
fn a_peak_shows_pulses_that_a_mean_hides() {
    let mut readings = read(&[
        (Lights::Off, At::First, Against::Earth, 0.1),
        (Lights::Off, At::Second, Against::Positive, 12.5),
        (Lights::On, At::First, Against::Earth, 12.4),
    ]);
    let natures = |readings: &Readings| survey(twelve(), readings, 12.0).natures();
    assert!(natures(&readings).contains(&Nature::Positive));
    let spot = Spot { is_peak: true, ..Spot::plain(Lights::Off, At::First, Against::Earth) };
    readings.taken.push(Reading { spot, taken: Taken::Volts(12.5) });
    assert_eq!(natures(&readings), [Nature::Module]);
}

/// A meter of 10 megohm, drawn as a resistor, takes an open wire to where its other lead is.
#[test]
fn through_a_meter_a_wire_on_nothing_shows_nothing_both_ways() {
    for (meter, open) in [("X1.1", "E1.feed"), ("G1.+", "E1.feed")] {
        let text = format!(
            "battery G1
donor E1 switching=earth common_feed=switched lamp_w=60
earth X1
resistor R1 ohm=10000000
             wire w1 {meter} R1.1 mm2=1 m=1
wire w2 R1.2 {open} mm2=1 m=1"
        );
        let circuit = build(&notation::network(&text).unwrap(), &Settings::default());
        let rest = Solver::new(&circuit).enter(circuit.rest().positions);
        let net = |name: &str| circuit.net_of(&TerminalRef::parse(name).unwrap()).unwrap();
        let shown = rest.shown().unwrap().steady.between(net(meter), net(open)).unwrap();
        assert!(shown.abs() < 1e-6, "{shown}");
    }
}
