//! Worked cases whose answers are known from hand arithmetic.

use super::*;
use crate::circuit::build;
use crate::document::Settings;
use crate::ids::TerminalRef;
use crate::notation;

/// A solved situation that can be asked by name.
struct Case {
    circuit: Circuit,
    solution: Solution,
}

/// Solves `text` with parts put into positions: `S1=on P2=stalled`.
fn case(text: &str, set: &str) -> Case {
    let network = notation::network(text).unwrap();
    let circuit = build(&network, &Settings::default());
    let mut situation = Situation::at_rest();
    for word in set.split_whitespace() {
        let (part, position) = word.split_once('=').unwrap();
        let id = crate::ids::PartId::new(part).unwrap();
        assert!(network.part(&id).unwrap().positions().contains(&position), "{word}");
        situation.set.insert(id, position.to_owned());
    }
    let solution = solve(&circuit, &situation);
    Case { circuit, solution }
}

impl Case {
    fn volts(&self, terminal: &str) -> Option<f64> {
        let net = self.circuit.net_of(&TerminalRef::parse(terminal).unwrap()).unwrap();
        self.solution.shown().unwrap().steady.volts(net)
    }

    fn across(&self, from: &str, to: &str) -> f64 {
        let net = |name: &str| self.circuit.net_of(&TerminalRef::parse(name).unwrap()).unwrap();
        self.solution.shown().unwrap().steady.between(net(from), net(to)).unwrap()
    }

    /// Current of the first branch of a part.
    fn amps(&self, part: &str) -> f64 {
        let index = self.circuit.resolved.network.parts.iter().position(|p| p.id.as_str() == part).unwrap();
        let branch = self.circuit.branches_of_part(index).next().unwrap().0;
        self.solution.shown().unwrap().steady.amps(branch)
    }
}

fn close(value: f64, expected: f64, within: f64) {
    assert!((value - expected).abs() <= within, "{value} is not {expected} within {within}");
}

/// A battery whose own resistance is the whole of source and joints.
fn battery(ohm: f64) -> String {
    format!("battery G1 internal_ohm={ohm} strap_ohm=0\nearth X1 joint_ohm=0\n")
}

#[test]
fn coil_fed_through_its_own_break_contact_chatters() {
    let text = battery(0.01)
        + "relay K1 contact=change-over
           wire w1 G1.+ K1.30 mm2=2.5 m=1
           wire w2 K1.87a K1.86 mm2=1 m=0.1
           wire w3 K1.85 X1.1 mm2=1 m=0.5";
    let case = case(&text, "");
    assert_eq!(case.solution.verdict, Verdict::Chatter);
    assert!(case.solution.shown().is_none());
}

const SELF_HOLD: &str = "
    relay K1
    switch S1 action=push
    switch S2
    lamp E1 watts=21
    wire w1 G1.+ S2.in mm2=2.5 m=1
    wire w2 S2.out K1.30 mm2=2.5 m=1
    wire w3 S2.out S1.in mm2=1 m=1
    wire w4 S1.out K1.86 mm2=1 m=1
    wire w5 K1.87 K1.86 mm2=1 m=0.1
    wire w6 K1.85 X1.1 mm2=1 m=0.5
    wire w7 K1.87 E1.1 mm2=1 m=2
    wire w8 E1.2 X1.1 mm2=1 m=0.5";

#[test]
fn a_self_holding_relay_depends_on_history_and_both_states_come_with_a_sequence() {
    // The stop switch is on: power is there; the push button is released.
    let case = case(&(battery(0.01) + SELF_HOLD), "S2=on");
    assert_eq!(case.solution.verdict, Verdict::History);
    let actions: Vec<usize> = case.solution.reached.iter().map(|reached| reached.actions.len()).collect();
    // Off after one action; held after switching on, pushing and letting go.
    assert_eq!(actions, [1, 3]);
    assert_eq!(case.solution.restless, [0]);
}

#[test]
fn a_self_holding_relay_is_settled_while_the_button_is_pressed() {
    let case = case(&(battery(0.01) + SELF_HOLD), "S2=on S1=pressed");
    assert_eq!(case.solution.verdict, Verdict::Settled);
    assert!(case.amps("E1") > 1.5);
}

#[test]
fn a_wire_between_two_open_switches_has_no_potential() {
    let text = battery(0.01)
        + "switch S1
           switch S2
           lamp E1 watts=5
           wire w1 G1.+ S1.in mm2=1 m=1
           wire w2 S1.out S2.in mm2=1 m=1
           wire w3 S2.out E1.1 mm2=1 m=1
           wire w4 E1.2 X1.1 mm2=1 m=1";
    let open = case(&text, "");
    assert_eq!(open.volts("S1.out"), None);
    assert_eq!(open.volts("E1.1"), Some(0.0));
    let dead_end = case(&text, "S1=on");
    close(dead_end.volts("S2.in").unwrap(), 12.6, 1e-12);
}

#[test]
fn a_lamp_with_its_earth_off_has_the_supply_on_both_terminals() {
    let text = battery(0.01)
        + "lamp E1 watts=55
           wire w1 G1.+ E1.1 mm2=1 m=1";
    let case = case(&text, "");
    close(case.volts("E1.1").unwrap(), 12.6, 1e-12);
    close(case.volts("E1.2").unwrap(), 12.6, 1e-12);
    assert_eq!(case.amps("E1"), 0.0);
}

#[test]
fn an_isolated_battery_has_differences_but_no_potential() {
    let text = battery(0.01)
        + "battery G2 to_chassis=no
           resistor R1 ohm=6
           wire w1 G2.+ R1.1 mm2=2.5 m=1
           wire w2 R1.2 G2.- mm2=2.5 m=1";
    let case = case(&text, "");
    assert_eq!(case.volts("G2.+"), None);
    let wires = 2.0 * 0.01724 / 2.5;
    let amps = 12.6 / (6.0 + wires + 0.01);
    close(case.across("G2.+", "G2.-"), 12.6 - 0.01 * amps, 1e-12);
    close(case.amps("R1"), amps, 1e-12);
}

/// A 60 W driver at the end of 12 m out and 12 m back.
fn long_run(volts: f64, mm2: f64) -> Case {
    let text = format!(
        "battery G1 open_circuit_v={volts} internal_ohm=0.0305 strap_ohm=0
         led-lamp E1 watts=60
         wire w1 G1.+ E1.+ mm2={mm2} m=12
         wire w2 E1.- G1.- mm2={mm2} m=12"
    );
    case(&text, "")
}

#[test]
fn an_electronic_lamp_on_a_long_run_works_at_the_higher_of_two_voltages() {
    let case = long_run(12.6, 1.0);
    assert_eq!(case.solution.verdict, Verdict::Settled);
    let ohm = 0.0305 + 24.0 * 0.01724;
    let exact = 0.5 * (12.6 + (12.6f64 * 12.6 - 4.0 * ohm * 60.0).sqrt());
    close(exact, 9.91, 0.005);
    // The floor on the ideal strap is 1 microohm.
    close(case.across("E1.+", "E1.-"), exact, 1e-4);
    close(case.amps("E1"), 6.05, 0.005);
}

#[test]
fn an_electronic_lamp_that_pulls_its_supply_below_its_cut_off_flashes() {
    assert_eq!(long_run(11.8, 1.0).solution.verdict, Verdict::Flashing);
    assert_eq!(long_run(12.6, 0.75).solution.verdict, Verdict::Flashing);
}

#[test]
fn more_power_than_the_run_can_deliver_is_a_collapse() {
    let case = long_run(12.6, 0.5);
    assert_eq!(case.solution.verdict, Verdict::Collapse);
    assert_eq!(case.solution.restless, [0]);
}

#[test]
fn a_lamp_on_the_break_contact_is_lit_at_rest() {
    let text = battery(0.01)
        + "relay K1 contact=change-over
           switch S1
           lamp E1 watts=55
           wire w1 G1.+ K1.30 mm2=2.5 m=1
           wire w2 G1.+ S1.in mm2=1 m=1
           wire w3 S1.out K1.86 mm2=1 m=1
           wire w4 K1.85 X1.1 mm2=1 m=1
           wire w5 K1.87a E1.1 mm2=2.5 m=1
           wire w6 E1.2 X1.1 mm2=2.5 m=1";
    assert!(case(&text, "").amps("E1") > 4.0);
    assert_eq!(case(&text, "S1=on").amps("E1"), 0.0);
}

#[test]
fn a_coil_from_a_switched_earth_donor_to_earth_works_upside_down() {
    let text = battery(0.0)
        + "donor D1 switching=earth common_feed=permanent lamp_w=5 line_ohm=0
           relay K1
           wire w1 D1.return K1.86 mm2=2.5 m=0
           wire w2 K1.85 X1.1 mm2=2.5 m=0";
    let off = case(&text, "");
    close(off.across("K1.86", "K1.85"), 11.25, 0.005);
    close(off.amps("K1"), 0.125, 0.0005);
    assert!(case(&text, "D1=on").amps("K1") < 1e-3);
}

#[test]
fn two_lamps_on_a_bad_common_earth_dim_together() {
    let text = |earth: f64| {
        format!(
            "battery G1 internal_ohm=0.01 strap_ohm=0
             earth X1 joint_ohm={earth}
             resistor R1 ohm=0.05
             resistor R2 ohm=0.05
             switch S1 contact_ohm=0
             switch S2 contact_ohm=0
             lamp E1 watts=55
             lamp E2 watts=55
             wire w1 G1.+ S1.in mm2=2.5 m=0
             wire w2 G1.+ S2.in mm2=2.5 m=0
             wire w3 S1.out R1.1 mm2=2.5 m=0
             wire w4 S2.out R2.1 mm2=2.5 m=0
             wire w5 R1.2 E1.1 mm2=2.5 m=0
             wire w6 R2.2 E2.1 mm2=2.5 m=0
             wire w7 E1.2 X1.1 mm2=2.5 m=0
             wire w8 E2.2 X1.1 mm2=2.5 m=0"
        )
    };
    close(case(&text(0.3), "S1=on").across("E1.1", "E1.2"), 11.03, 0.005);
    let both = case(&text(0.3), "S1=on S2=on");
    close(both.across("E1.1", "E1.2"), 9.85, 0.005);
    close(both.volts("X1.1").unwrap(), 2.47, 0.005);
    close(case(&text(0.005), "S1=on").across("E1.1", "E1.2"), 12.30, 0.005);
    close(case(&text(0.005), "S1=on S2=on").across("E1.1", "E1.2"), 12.23, 0.005);
}

#[test]
fn a_reversed_electronic_lamp_blocks_and_a_reversed_diode_blocks() {
    let text = battery(0.01)
        + "led-lamp E1 watts=20
           diode R1
           lamp E2 watts=5
           wire w1 G1.+ E1.- mm2=1 m=1
           wire w2 E1.+ X1.1 mm2=1 m=1
           wire w3 G1.+ R1.K mm2=1 m=1
           wire w4 R1.A E2.1 mm2=1 m=1
           wire w5 E2.2 X1.1 mm2=1 m=1";
    let case = case(&text, "");
    assert_eq!(case.amps("E1"), 0.0);
    assert_eq!(case.amps("E2"), 0.0);
    assert_eq!(case.volts("E2.1"), Some(0.0));
}

#[test]
fn an_alternator_at_its_limit_leaves_the_rest_to_the_battery() {
    let text = battery(0.01)
        + "alternator G2 limit_a=50 strap_ohm=0
           resistor R1 ohm=0.1
           wire w1 G1.+ R1.1 mm2=50 m=1
           wire w2 G2.B+ G1.+ mm2=50 m=1
           wire w3 R1.2 X1.1 mm2=50 m=1";
    let running = case(&text, "G2=running");
    close(running.amps("G2"), -50.0, 1e-9);
    assert!(running.amps("G1") < 0.0);
    assert_eq!(case(&text, "").amps("G2"), 0.0);
}

/// Change-over contacts that interlock two relays: whichever is quicker wins.
#[test]
fn two_relays_that_cut_each_other_off_race() {
    let text = battery(0.01)
        + "relay K1 contact=change-over
           relay K2 contact=change-over
           switch S1
           wire w1 G1.+ S1.in mm2=2.5 m=1
           wire w2 S1.out K1.30 mm2=1 m=1
           wire w3 S1.out K2.30 mm2=1 m=1
           wire w4 K1.87a K2.86 mm2=1 m=1
           wire w5 K2.87a K1.86 mm2=1 m=1
           wire w6 K1.85 X1.1 mm2=1 m=1
           wire w7 K2.85 X1.1 mm2=1 m=1";
    let case = case(&text, "S1=on");
    assert_eq!(case.solution.verdict, Verdict::Race);
    assert_eq!(case.solution.reached.len(), 2);
    assert!(case.solution.shown().is_none());
}

#[test]
fn an_open_end_behind_a_diode_stands_at_the_supply_less_the_forward_voltage() {
    // Two diodes feed one open end; the one from the lower battery blocks.
    let text = battery(0.01)
        + "battery G2 open_circuit_v=11 internal_ohm=0.01 strap_ohm=0
           diode R1
           diode R2
           splice X2
           wire w1 G1.+ R1.A mm2=1 m=1
           wire w2 R1.K X2.1 mm2=1 m=1
           wire w3 G2.+ R2.A mm2=1 m=1
           wire w4 R2.K X2.2 mm2=1 m=1
           wire w5 G1.- X1.1 mm2=2.5 m=1
           wire w6 G2.- X1.2 mm2=2.5 m=1";
    let case = case(&text, "");
    let forward = case.across("R1.A", "R1.K");
    assert!(forward > 0.1 && forward < 1.5, "{forward}");
    close(case.volts("X2.1").unwrap(), case.volts("G1.+").unwrap() - forward, 1e-9);
    close(case.amps("R1"), 0.0, 1e-9);
    close(case.amps("R2"), 0.0, 0.0);
}

#[test]
fn an_electronic_load_behind_a_diode_starts() {
    let text = battery(0.01)
        + "diode R1
           led-lamp E1 watts=20
           wire w1 G1.+ R1.A mm2=1 m=1
           wire w2 R1.K E1.+ mm2=1 m=1
           wire w3 E1.- X1.1 mm2=1 m=1";
    let case = case(&text, "");
    assert_eq!(case.solution.verdict, Verdict::Settled);
    close(case.across("E1.+", "E1.-") * case.amps("E1"), 20.0, 1e-9);
}

#[test]
fn an_electronic_load_beside_a_coil_with_a_diode_starts() {
    let text = battery(0.01)
        + "switch S1
           led-lamp E1 watts=40
           relay K1 suppression=diode
           wire w1 G1.+ S1.in mm2=1 m=1
           wire w2 S1.out E1.+ mm2=1 m=1
           wire w3 E1.- X1.1 mm2=1 m=1
           wire w4 E1.+ K1.86 mm2=1 m=1
           wire w5 K1.85 X1.1 mm2=1 m=1";
    let case = case(&text, "S1=on");
    assert_eq!(case.solution.verdict, Verdict::Settled);
    close(case.across("E1.+", "E1.-") * case.amps("E1"), 40.0, 1e-9);
}

#[test]
fn an_alternator_at_its_limit_feeds_electronic_loads_together_with_the_battery() {
    // 2 A from the alternator, the rest from the battery.
    let text = battery(0.01)
        + "alternator G2 limit_a=2 strap_ohm=0
           led-lamp E1 watts=84
           wire w1 G1.+ E1.+ mm2=4 m=1
           wire w2 E1.- X1.1 mm2=4 m=1
           wire w3 G2.B+ G1.+ mm2=4 m=1";
    let case = case(&text, "G2=running");
    assert_eq!(case.solution.verdict, Verdict::Settled);
    close(case.across("E1.+", "E1.-") * case.amps("E1"), 84.0, 1e-9);
    close(case.amps("G2"), -2.0, 1e-9);
}

#[test]
fn a_collapse_names_the_load_that_fell_and_not_its_neighbor() {
    // 60 W at the end of 0.69 ohm: at most 12.6^2 / (4 x 0.69) = 57.5 W arrive.
    let text = battery(0.01)
        + "led-lamp E1 watts=60 off_below_v=1 on_above_v=2
           led-lamp E2 watts=60
           resistor R1 ohm=0.68
           wire w1 G1.+ R1.1 mm2=10 m=0.1
           wire w2 R1.2 E1.+ mm2=10 m=0.1
           wire w3 E1.- X1.1 mm2=10 m=0.1
           wire w4 G1.+ E2.+ mm2=10 m=0.1
           wire w5 E2.- X1.1 mm2=10 m=0.1";
    let case = case(&text, "");
    assert_eq!(case.solution.verdict, Verdict::Collapse);
    let named: Vec<String> = case
        .solution
        .restless
        .iter()
        .map(|device| {
            case.circuit.subject(case.circuit.devices[*device].branch).title(&case.circuit.resolved.network)
        })
        .collect();
    assert_eq!(named.len(), 1, "{named:?}");
    assert!(named[0].contains("E1"), "{named:?}");
}

#[test]
fn the_open_anode_of_a_reversed_diode_has_no_potential() {
    let text = battery(0.01)
        + "diode R1
           wire w1 G1.+ R1.K mm2=4 m=1";
    let case = case(&text, "");
    assert_eq!(case.volts("R1.A"), None);
    close(case.volts("R1.K").unwrap(), 12.6, 1e-12);
}
