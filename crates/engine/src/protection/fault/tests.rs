use super::*;
use crate::circuit::build;
use crate::document::Settings;
use crate::ids::TerminalRef;
use crate::notation;
use crate::protection::corner::{Corner, Wires, highest, lowest};
use crate::quantity::Celsius;

fn circuit(text: &str) -> Circuit {
    build(&notation::network(text).unwrap_or_else(|error| panic!("{error}")), &Settings::default())
}

fn net(circuit: &Circuit, terminal: &str) -> NetIndex {
    circuit.net_of(&TerminalRef::parse(terminal).unwrap()).unwrap()
}

/// A battery of 12.6 V whose every resistance is as given, with wires at one temperature.
fn as_given(celsius: f64) -> Corner {
    Corner {
        volts: 1.0,
        internal_unsaid: 0.0,
        internal_least: 0.0,
        is_internal_highest: false,
        is_engine_running: false,
        wires: Wires::Expected(Celsius::new(celsius).unwrap()),
        joint_least: Some(0.0),
        fuse_factor: 1.0,
        is_fuse_typical: false,
    }
}

/// 30 A of blade fuse, 2 m of 4 mm2, then 5 m of 0.5 mm2: no load flow shows anything, and a fault at the far end
/// leaves the thin wire hotter than its insulation stands long before the fuse opens.
#[test]
fn a_fault_behind_a_thin_branch_is_too_small_for_a_large_fuse() {
    let circuit = circuit(
        "battery G1 internal_ohm=0.0118
        fuse F1 rating_a=30 element_ohm=0
        splice X1
        lamp E1 watts=5
        earth X2
        wire w1 G1.+ F1.1 mm2=4 m=0
        wire w2 F1.2 X1.1 mm2=4 m=2
        wire w3 X1.2 E1.1 mm2=0.5 m=5
        wire w4 E1.2 X2.1 mm2=4 m=1",
    );
    let layout = Layout::new(&circuit);
    let far = Place::Body(net(&circuit, "E1.1"));
    let link =
        crate::protection::Band::of_link("blade-C", crate::quantity::Amps::new(30.0).unwrap()).unwrap();
    // Source and joints 12.8 milliohm, of which 1 is the strap of the battery.
    for (celsius, amps, multiple, k, endures, opens) in [
        (20.0, 65.0, 2.17, 115.0, 0.78, 3.59),
        (70.0, 54.9, 1.83, 115.0, 1.10, 12.4),
        (105.0, 49.5, 1.65, 87.6, 0.78, 36.0),
    ] {
        let live = Live::new(&layout, &as_given(celsius).lines(&circuit), &circuit.rest());
        let found = live.amps(far).unwrap();
        assert!((found - amps).abs() < 0.06, "{celsius} degC: {found} A");
        assert!((found / 30.0 - multiple).abs() < 0.005, "{celsius} degC: {}", found / 30.0);
        let limit = (k * 0.5 / found) * (k * 0.5 / found);
        assert!((limit - endures).abs() < 0.005, "{celsius} degC: {limit} s");
        let slowest = link.slowest_s(found / 30.0);
        assert!((slowest / opens - 1.0).abs() < 0.005, "{celsius} degC: {slowest} s");
        assert!(slowest > limit);
    }
}

/// 12.8 V behind 6 milliohm and nothing else but the wire: 1 m of 6 mm2 is 2.873 milliohm.
#[test]
fn the_highest_corner_has_no_joints_and_a_new_battery() {
    let circuit = circuit("battery G1\nswitch S1\nlamp E1 watts=5\nwire w1 G1.+ E1.1 mm2=6 m=1");
    let layout = Layout::new(&circuit);
    let at = Place::Body(net(&circuit, "E1.1"));
    let found = Live::new(&layout, &highest().lines(&circuit), &circuit.rest()).amps(at).unwrap();
    assert!((found - 12.8 / (0.006 + 0.01724 / 6.0)).abs() < 1.0, "{found}");
}

/// 12.0 V behind 20 milliohm and 5 of the strap; 3.14 milliohm a metre of 6 mm2 at 20 degC, a factor of 1.3144 at
/// 100 degC.
#[test]
fn the_lowest_corner_has_a_tired_battery_and_warm_wires() {
    let circuit = circuit("battery G1\nlamp E1 watts=5\nwire w1 G1.+ E1.1 mm2=6 m=1 insulation=B");
    let layout = Layout::new(&circuit);
    let at = Place::Body(net(&circuit, "E1.1"));
    let found = Live::new(&layout, &lowest().lines(&circuit), &circuit.rest()).amps(at).unwrap();
    assert!((found - 12.0 / (0.025 + 0.00314 * 1.3144)).abs() < 0.1, "{found}");
}

#[test]
fn an_alternator_adds_all_it_delivers() {
    let text = "battery G1 internal_ohm=0.01\nalternator G2 limit_a=90\nlamp E1 watts=5
        wire w1 G1.+ E1.1 mm2=6 m=1\nwire w2 G2.B+ E1.1 mm2=6 m=1";
    let circuit = circuit(text);
    let layout = Layout::new(&circuit);
    let at = Place::Body(net(&circuit, "E1.1"));
    let mut running = circuit.rest();
    running.positions[1] = 1;
    let amps = |state: &State| Live::new(&layout, &highest().lines(&circuit), state).amps(at).unwrap();
    // It is joined with the place of the fault itself, where there is no voltage left: all of it flows there.
    assert!((amps(&running) - amps(&circuit.rest()) - 90.0).abs() < 0.01);
}

#[test]
fn the_currents_of_a_fault_add_up_and_split_as_the_resistances_ask() {
    let circuit = circuit(
        "battery G1
        splice X1
        lamp E1 watts=5
        earth X2
        wire w1 G1.+ X1.1 mm2=6 m=1
        wire w2 X1.2 E1.1 mm2=2.5 m=1
        wire w3 X1.3 E1.1 mm2=1.5 m=1
        wire w4 E1.2 X2.1 mm2=2.5 m=1",
    );
    let layout = Layout::new(&circuit);
    let live = Live::new(&layout, &as_given(20.0).lines(&circuit), &circuit.rest());
    let (amps, currents) = live.currents(Place::Body(net(&circuit, "E1.1"))).unwrap();
    assert!((currents[1] / currents[2] - 2.5 / 1.5).abs() < 1e-9);
    assert!((currents[1] + currents[2] - amps).abs() < 1e-6 * amps);
    assert!((currents[0] - amps).abs() < 1e-6 * amps);
    assert!(currents[3].abs() < 1e-6);
    // A load that is shorted has the way back in its loop.
    let across =
        (0..circuit.branches.len()).find(|i| matches!(circuit.branches[*i].role, Role::Load(_))).unwrap();
    let (shorted, currents) = live.currents(Place::Across(across)).unwrap();
    assert!(shorted < amps && (currents[3] - shorted).abs() < 1e-6 * amps);
    assert_eq!(live.amps(Place::Across(across)), Some(shorted));
}

#[test]
fn what_is_not_fed_draws_nothing() {
    let circuit = circuit(
        "battery G1\nswitch S1\nlamp E1 watts=5\nearth X1
        wire w1 G1.+ S1.in mm2=2.5 m=1\nwire w2 S1.out E1.1 mm2=2.5 m=1\nwire w3 E1.2 X1.1 mm2=2.5 m=1",
    );
    let layout = Layout::new(&circuit);
    let live = Live::new(&layout, &lowest().lines(&circuit), &circuit.rest());
    for place in layout.places() {
        let is_feed =
            matches!(place, Place::Body(at) if [net(&circuit, "G1.+"), net(&circuit, "S1.in")].contains(&at));
        assert_eq!(live.amps(place).is_some(), is_feed, "{place:?}");
    }
}

#[test]
fn an_isolated_battery_is_faulted_to_its_own_negative_pole() {
    let circuit = circuit(
        "battery G1 to_chassis=no internal_ohm=0.01\nlamp E1 watts=5
        wire w1 G1.+ E1.1 mm2=6 m=1\nwire w2 E1.2 G1.- mm2=6 m=1",
    );
    let layout = Layout::new(&circuit);
    let live = Live::new(&layout, &as_given(20.0).lines(&circuit), &circuit.rest());
    let found = live.amps(Place::Body(net(&circuit, "E1.1"))).unwrap();
    assert!((found - 12.6 / (0.01 + 0.01724 / 6.0)).abs() < 1e-6 * found, "{found}");
}

#[test]
fn a_diode_feeds_a_fault_one_way_only() {
    let text = |diode: &str| {
        format!(
            "battery G1\nbattery G2\ndiode R1\nlamp E1 watts=5
            wire w1 G1.+ E1.1 mm2=6 m=1\n{diode}"
        )
    };
    let amps = |text: &str| {
        let circuit = circuit(text);
        let layout = Layout::new(&circuit);
        let live = Live::new(&layout, &as_given(20.0).lines(&circuit), &circuit.rest());
        live.currents(Place::Body(net(&circuit, "E1.1"))).unwrap().0
    };
    let alone = amps(&text(""));
    let with = amps(&text("wire w2 G2.+ R1.A mm2=6 m=1\nwire w3 R1.K E1.1 mm2=6 m=1"));
    let against = amps(&text("wire w2 G2.+ R1.K mm2=6 m=1\nwire w3 R1.A E1.1 mm2=6 m=1"));
    assert!(with > alone + 100.0, "{with} {alone}");
    assert!((against / alone - 1.0).abs() < 1e-9, "{against} {alone}");
}

#[test]
fn a_walk_against_the_current_meets_what_feeds_the_fault() {
    let circuit = circuit(
        "battery G1\nfuse F1 rating_a=10\nfuse F2 rating_a=5\nlamp E1 watts=5\nlamp E2 watts=5
        wire w1 G1.+ F1.1 mm2=6 m=1\nwire w2 F1.2 E1.1 mm2=6 m=1
        wire w3 F1.2 F2.1 mm2=6 m=1\nwire w4 F2.2 E2.1 mm2=6 m=1",
    );
    let layout = Layout::new(&circuit);
    let live = Live::new(&layout, &lowest().lines(&circuit), &circuit.rest());
    let start = net(&circuit, "E1.1");
    let (_, currents) = live.currents(Place::Body(start)).unwrap();
    let met: Vec<String> = upstream(&circuit, &currents, start, 1e-3)
        .into_iter()
        .map(|index| circuit.subject(index).id())
        .collect();
    assert_eq!(met, ["w2", "F1", "w1"]);
}
