//! Conductors: drop along a run, and the size chosen for it.
//!
//! * FAA AC 43.13-1B, Acceptable Methods, Techniques, and Practices: Aircraft Inspection and Repair, CHG 1, tables 11-7
//!   and 11-8 and paragraph 11-68. Its chart has tin-plated wire, so the ohms for each foot are those it prints.
//! * ABYC E-11, AC and DC Electrical Systems on Boats: conductor sizes for 3 % and 10 % voltage drop.
//! * DIN EN 1648-2, 12 V direct current in motor caravans: smallest cross-section for a drop.
//! * NFPA 70, National Electrical Code, chapter 9, table 8.
//! * Lessons in Electric Circuits, volume I, DC: Physics of Conductors and Insulators.

use engine::conductor::{
    COPPER_OHM_MM2_PER_M, COPPER_PER_K, expected_resistance, greatest_resistance, temperature_factor,
};
use engine::document::Size;
use engine::document::wire::{GAUGES, METRIC_SIZES};
use engine::quantity::{Metres, SquareMillimetres};

use crate::bench::{close, prints, resistor, solved, source};

const METRES_PER_FOOT: f64 = 0.3048;

fn feet(feet: f64) -> Metres {
    Metres::new(feet * METRES_PER_FOOT).expect("a length is finite")
}

/// Ohms of a conductor at 20 degC as a reading is expected to show.
fn expected(size: Size, length: Metres) -> f64 {
    expected_resistance(size.area(), length).expect("a resistance is finite").get()
}

/// Ohms that a conductor at 20 degC has at most.
fn greatest(size: Size, length: Metres) -> f64 {
    greatest_resistance(size, length).expect("a resistance is finite").get()
}

fn square_millimetres(area: f64) -> Size {
    Size::Metric(SquareMillimetres::new(area).expect("an area is finite"))
}

/// The thinnest gauge whose loop resistance is at most `ohm`.
fn thinnest_gauge(ohm: f64, of: impl Fn(Size) -> f64) -> i32 {
    *GAUGES.iter().find(|gauge| of(Size::Gauge(**gauge)) <= ohm).expect("some gauge is thick enough")
}

/// The drop read along a run of `feet`, go and return together, that carries 20 A from a 28 V bus.
fn drop_at_twenty_amperes(feet: f64, ohm_per_foot: f64) -> f64 {
    let run = feet * ohm_per_foot;
    let circuit = solved(&[
        source("G1", 1, 0, 28.0, 0.0),
        resistor("R1", 1, 2, 0.5 * run),
        resistor("R2", 2, 3, 28.0 / 20.0 - run),
        resistor("R3", 3, 0, 0.5 * run),
    ]);
    close(circuit.given("G1"), 20.0, 1e-3);
    circuit.volts(1, 2) + circuit.volts(3, 0)
}

/// E1a. AC 43.13-1B table 11-7: 107 ft of No. 6 at 0.00044 ohm/ft drop 0.942 V at 20 A.
#[test]
fn e1a_107_feet_of_number_6() {
    prints(drop_at_twenty_amperes(107.0, 0.00044), 0.942, 3);
}

/// E1b. AC 43.13-1B table 11-7: 90 ft of No. 4 at 0.00028 ohm/ft drop 0.504 V at 20 A.
#[test]
fn e1b_90_feet_of_number_4() {
    prints(drop_at_twenty_amperes(90.0, 0.00028), 0.504, 3);
}

/// E1c. AC 43.13-1B table 11-7: 88 ft of No. 12 at 0.00202 ohm/ft drop 3.555 V at 20 A, printed as 3.60 V.
#[test]
fn e1c_88_feet_of_number_12() {
    let drop = drop_at_twenty_amperes(88.0, 0.00202);
    prints(drop, 3.555, 4);
    // Printed rounded up to the next tenth.
    close((drop * 10.0).ceil() / 10.0, 3.60, 1e-9);
}

/// E1d. AC 43.13-1B table 11-7: 100 ft of No. 14 at 0.00306 ohm/ft drop 6.12 V at 20 A.
#[test]
fn e1d_100_feet_of_number_14() {
    prints(drop_at_twenty_amperes(100.0, 0.00306), 6.12, 3);
}

/// E2a, E2c, E2d. AC 43.13-1B table 11-8: No. 10 at 0.00126 ohm/ft and 20 A. The row for 19.5 ft is a misprint
/// (0.366 V where the same product gives 0.491 V) and is left out.
#[test]
fn e2_three_lengths_of_number_10() {
    prints(drop_at_twenty_amperes(39.0, 0.00126), 0.98, 2);
    prints(drop_at_twenty_amperes(156.0, 0.00126), 3.93, 3);
    prints(drop_at_twenty_amperes(273.0, 0.00126), 6.88, 3);
}

/// E3a. AC 43.13-1B paragraph 11-68 example 1: 50 ft with its return, 20 A, 1 V allowed, 20 degC: between No. 10 and
/// No. 8, so No. 8.
#[test]
fn e3a_the_size_for_one_volt_over_fifty_feet() {
    assert_eq!(thinnest_gauge(1.0 / 20.0, |size| greatest(size, feet(50.0))), 8);
    assert!(20.0 * greatest(Size::Gauge(10), feet(50.0)) > 1.0);
}

/// Temperature of copper at which the 10.75 ohm circular mil for each foot of ABYC E-11 holds.
fn e11_celsius() -> f64 {
    let e11 = 10.75 * 1.66243e-3;
    20.0 + (e11 / COPPER_OHM_MM2_PER_M - 1.0) / COPPER_PER_K
}

/// Ohms of 21 ft at the temperature of ABYC E-11: 11 ft out and 10 ft back.
fn e11_loop(size: Size) -> f64 {
    expected(size, feet(21.0)) * temperature_factor(e11_celsius())
}

const CIRCULAR_MIL_MM2: f64 = std::f64::consts::FRAC_PI_4 * 0.0254 * 0.0254;

/// The least cross-section in circular mils for 10 A over that loop.
fn e11_circular_mils(allowed_v: f64) -> f64 {
    10.0 * e11_loop(square_millimetres(1.0)) / allowed_v / CIRCULAR_MIL_MM2
}

/// E4. ABYC E-11: 10 A, 21 ft there and back, 3 % of 12 V: 6271 circular mils, so 12 AWG.
#[test]
fn e4_the_gauge_for_three_percent() {
    close(e11_celsius(), 29.3, 0.05);
    close(e11_circular_mils(0.36), 6271.0, 1.0);
    assert_eq!(thinnest_gauge(0.36 / 10.0, e11_loop), 12);
}

/// E4b. ABYC E-11: the same at 32 V, 0.96 V: 2352 circular mils.
#[test]
fn e4b_the_cross_section_for_three_percent_of_32_volts() {
    close(e11_circular_mils(0.96), 2352.0, 1.0);
}

/// E4c. ABYC E-11: the same for 10 % of 12 V: 16 AWG.
#[test]
fn e4c_the_gauge_for_ten_percent() {
    assert_eq!(thinnest_gauge(1.2 / 10.0, e11_loop), 16);
}

/// E5b. DIN EN 1648-2: 60 A over 5 m there and 5 m back to a second battery, 0.2 V allowed: at least 60 mm2. The
/// standard's copper is at 50 degC and 3 % poorer than wire copper; the size sold is the same with either.
#[test]
fn e5b_the_size_for_charging_a_second_battery() {
    let length = Metres::new(10.0).unwrap();
    let drop = |mm2: f64| 60.0 * expected(square_millimetres(mm2), length) * temperature_factor(50.0);
    let chosen = METRIC_SIZES.iter().find(|mm2| drop(**mm2) <= 0.2);
    assert_eq!(chosen, Some(&60.0));
}

/// E6. Lessons in Electric Circuits: 230 V at the source and at least 220 V at 25 A over 2300 ft each way allow 0.2 ohm
/// for each wire: 2/0 is chosen, 1/0 is too small.
#[test]
fn e6_the_gauge_for_a_long_feeder() {
    let chosen = thinnest_gauge(0.2, |size| expected(size, feet(2300.0)));
    assert_eq!(Size::Gauge(chosen).title(), "2/0 AWG");
    let at_load = |gauge: i32| {
        let wire = expected(Size::Gauge(gauge), feet(2300.0));
        let circuit = solved(&[
            source("G1", 1, 0, 230.0, 0.0),
            resistor("R1", 1, 2, wire),
            resistor("R2", 2, 3, 230.0 / 25.0 - 2.0 * wire),
            resistor("R3", 3, 0, wire),
        ]);
        close(circuit.given("G1"), 25.0, 1e-3);
        circuit.volts(2, 3)
    };
    assert!(at_load(-1) >= 220.0);
    assert!(at_load(0) < 220.0);
}

/// E30. NFPA 70 chapter 9 table 8, stranded, uncoated, 75 degC, in ohms for 1000 ft: rows 18 to 12, and 6 to 4/0.
#[test]
#[expect(clippy::approx_constant, reason = "the printed resistance of 14 AWG is not a rounded pi")]
fn e30_resistance_of_stranded_gauges_at_75_degrees() {
    for (gauge, printed) in [
        (18, 7.95),
        (16, 4.99),
        (14, 3.14),
        (12, 1.98),
        (6, 0.491),
        (4, 0.308),
        (3, 0.245),
        (2, 0.194),
        (1, 0.154),
        (0, 0.122),
        (-1, 0.0967),
        (-2, 0.0766),
        (-3, 0.0608),
    ] {
        let ohm = greatest(Size::Gauge(gauge), feet(1000.0)) * temperature_factor(75.0);
        // The table has three figures and its own rounding of the strands.
        close(ohm / printed, 1.0, 0.006);
    }
}
