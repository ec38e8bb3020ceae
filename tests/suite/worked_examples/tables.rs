//! Rows of printed tables: what conductors stand, how they warm, and how thick gauges are.
//!
//! * DIN VDE 0298-4:2013-06, tables 11, 17 and 26.
//! * IEC 60228:2004 annex B. Its coefficient is rounded to 0.004 per kelvin; that of IEC 60028:1925 is 0.00393.
//! * ASTM B258, by the circular mils that Lessons in Electric Circuits, volume I, DC, prints for each gauge.
//! * NFPA 70, National Electrical Code, ambient correction (edition not known to us; read in a reproduction), and 33 CFR
//!   183.425 note 1. Both give factors for bands of ambient; the upper edge of the band is what the factor holds for.
//! * ISO 6722, as reproduced in a vehicle-engineering handbook's table headed DIN ISO 6722 part 3.
//! * ISO 10133:2012, drop by 0.0164 I L / S, as a printed summary of it tabulates currents.

use engine::conductor::{CurrentTable, ampacity, bundle_factor, greatest_resistance, temperature_factor};
use engine::document::Size;
use engine::quantity::{Celsius, Metres, SquareMillimetres};

use crate::bench::{close, lamp, prints, resistor, solved, source};

fn square_millimetres(area: f64) -> SquareMillimetres {
    SquareMillimetres::new(area).expect("an area is finite")
}

fn celsius(value: f64) -> Celsius {
    Celsius::new(value).expect("a temperature is finite")
}

/// Amperes a conductor stands.
fn stands(mm2: f64, insulation: f64, ambient: f64, loaded: u32) -> f64 {
    ampacity(CurrentTable::Vde, square_millimetres(mm2), celsius(insulation), celsius(ambient), loaded).get()
}

/// DIN VDE 0298-4:2013-06 table 11 column 2: one PVC conductor in free air, and column 5: each of two or three in one
/// sheath on a surface; 70 degC in air of 30 degC. Fourteen rows of two values.
#[test]
fn table_11_one_conductor_alone_and_two_or_three_together() {
    for (mm2, alone, together) in [
        (0.75, 15.0, 12.0),
        (1.0, 19.0, 15.0),
        (1.5, 24.0, 18.0),
        (2.5, 32.0, 26.0),
        (4.0, 42.0, 34.0),
        (6.0, 54.0, 44.0),
        (10.0, 73.0, 61.0),
        (16.0, 98.0, 82.0),
        (25.0, 129.0, 108.0),
        (35.0, 158.0, 135.0),
        (50.0, 198.0, 168.0),
        (70.0, 245.0, 207.0),
        (95.0, 292.0, 250.0),
        (120.0, 344.0, 292.0),
    ] {
        close(stands(mm2, 70.0, 30.0, 1), alone, 1e-9);
        close(stands(mm2, 70.0, 30.0, 2), together, 1e-9);
        close(stands(mm2, 70.0, 30.0, 3), together, 1e-9);
    }
}

/// The column for 50 degC that a vehicle-engineering handbook prints beside the one for 30 degC (it names DIN VDE 0298
/// part 4): 0.71 times it, where the root is 0.7071. Thirteen rows.
#[test]
fn one_conductor_alone_in_air_of_50_degrees() {
    for (mm2, printed) in [
        (1.0, 13.5),
        (1.5, 17.0),
        (2.5, 22.7),
        (4.0, 29.8),
        (6.0, 38.3),
        (10.0, 51.8),
        (16.0, 69.6),
        (25.0, 91.6),
        (35.0, 112.0),
        (50.0, 140.0),
        (70.0, 174.0),
        (95.0, 207.0),
        (120.0, 244.0),
    ] {
        close(stands(mm2, 70.0, 50.0, 1) / printed, 1.0, 0.006);
    }
}

/// DIN VDE 0298-4:2013-06 table 17 column 4: factors of ambient for a conductor at 70 degC. Twelve rows.
#[test]
fn table_17_ambient_of_a_conductor_at_70_degrees() {
    for (ambient, factor) in [
        (10.0, 1.22),
        (15.0, 1.17),
        (20.0, 1.12),
        (25.0, 1.06),
        (30.0, 1.00),
        (35.0, 0.94),
        (40.0, 0.87),
        (45.0, 0.79),
        (50.0, 0.71),
        (55.0, 0.61),
        (60.0, 0.50),
        (65.0, 0.35),
    ] {
        // The table has two figures.
        close(stands(16.0, 70.0, ambient, 1) / 98.0, factor, 0.0055);
    }
}

/// DIN VDE 0298-4:2013-06 table 26: factors for more than three loaded cores. Eight rows.
#[test]
fn table_26_loaded_cores() {
    for (cores, factor) in
        [(5, 0.75), (7, 0.65), (10, 0.55), (14, 0.50), (19, 0.45), (24, 0.40), (40, 0.35), (61, 0.30)]
    {
        close(bundle_factor(cores), factor, 1e-12);
        close(stands(2.5, 70.0, 30.0, cores), 26.0 * factor, 1e-9);
    }
}

/// NFPA 70 ambient correction for conductors of 60, 75 and 90 degC, and 33 CFR 183.425 note 1 for 105 degC: the same
/// root, for insulation that the German table does not have. Eight rows.
#[test]
fn ambient_of_conductors_at_60_75_90_and_105_degrees() {
    for (insulation, ambient, factor) in [
        (60.0, 40.0, 0.82),
        (60.0, 45.0, 0.71),
        (60.0, 50.0, 0.58),
        (75.0, 40.0, 0.88),
        (75.0, 50.0, 0.75),
        (90.0, 50.0, 0.82),
        (90.0, 60.0, 0.71),
        (105.0, 50.0, 0.85),
    ] {
        let ratio = stands(4.0, insulation, ambient, 1) / stands(4.0, insulation, 30.0, 1);
        close(ratio, factor, 0.0065);
    }
}

/// IEC 60228:2004 annex B: factors from a resistance at some temperature back to 20 degC. Eighteen rows.
#[test]
fn annex_b_resistance_brought_back_to_20_degrees() {
    for (at, kt) in [
        (5.0, 1.064),
        (10.0, 1.042),
        (15.0, 1.020),
        (20.0, 1.000),
        (25.0, 0.980),
        (30.0, 0.962),
        (35.0, 0.943),
        (40.0, 0.926),
        (45.0, 0.909),
        (50.0, 0.893),
        (55.0, 0.877),
        (60.0, 0.862),
        (65.0, 0.847),
        (70.0, 0.833),
        (75.0, 0.820),
        (80.0, 0.806),
        (85.0, 0.794),
        (90.0, 0.781),
    ] {
        // The two coefficients part by 0.00007 for each kelvin, and the table has three decimals.
        let parted = 0.000_07 * f64::abs(at - 20.0) + 0.0006;
        close(temperature_factor(at) * kt, 1.0, parted);
    }
}

/// Circular mils of each gauge (ASTM B258, as Lessons in Electric Circuits prints them). Seventeen rows.
#[test]
fn circular_mils_of_the_gauges() {
    for (gauge, mils, figures) in [
        (22, 642.5, 3),
        (20, 1022.0, 4),
        (18, 1624.0, 4),
        (16, 2583.0, 4),
        (14, 4107.0, 4),
        (12, 6530.0, 4),
        (10, 10380.0, 4),
        (8, 16510.0, 4),
        (6, 26250.0, 4),
        (4, 41740.0, 4),
        (3, 52630.0, 4),
        (2, 66370.0, 4),
        (1, 83690.0, 4),
        (0, 105_500.0, 4),
        (-1, 133_100.0, 4),
        (-2, 167_800.0, 4),
        (-3, 211_600.0, 4),
    ] {
        let inch = 2.0 * (Size::Gauge(gauge).area().get() / std::f64::consts::PI).sqrt() / 25.4;
        prints(1e6 * inch * inch, mils, figures);
    }
}

/// Greatest resistance of bare copper in milliohm for each metre (ISO 6722, handbook table headed part 3). Thirteen
/// rows.
#[test]
#[expect(clippy::approx_constant, reason = "3.14 milliohm per metre is a table value")]
fn greatest_resistance_of_the_metric_sizes() {
    for (mm2, milliohm) in [
        (1.0, 18.5),
        (1.5, 12.7),
        (2.5, 7.60),
        (4.0, 4.71),
        (6.0, 3.14),
        (10.0, 1.82),
        (16.0, 1.16),
        (25.0, 0.743),
        (35.0, 0.527),
        (50.0, 0.368),
        (70.0, 0.259),
        (95.0, 0.196),
        (120.0, 0.153),
    ] {
        let length = Metres::new(1000.0).expect("a length is finite");
        let ohm = greatest_resistance(Size::Metric(square_millimetres(mm2)), length);
        close(ohm.expect("a resistance is finite").get(), milliohm, 1e-9);
    }
}

/// ISO 10133:2012: the current that loses 3 % of 12 V, 0.36 V, over a loop of so many metres. Its copper is 0.0164 ohm
/// mm2/m, that of 7.6 degC. Four rows.
#[test]
fn currents_for_three_percent_on_a_small_craft() {
    for (mm2, metres, amps) in
        [(16.0, 3.0, 117.0), (25.0, 4.0, 137.0), (50.0, 6.0, 183.0), (70.0, 10.0, 154.0)]
    {
        // A thousand times the resistance, so that the microohms that join the nodes do not show.
        let ohm = 1000.0 * 0.0164 * metres / mm2;
        let loop_of_two = solved(&[
            source("G1", 1, 0, 0.36, 0.0),
            resistor("R1", 1, 2, 0.5 * ohm),
            resistor("R2", 2, 0, 0.5 * ohm),
        ]);
        prints(1000.0 * loop_of_two.given("G1"), amps, 3);
    }
}

/// E3c, second half. FAA AC 43.13-1B paragraph 11-66: a wire at 182 degC has the resistance of one 254.5 / (234.5 + 182)
/// times as long at 20 degC, so that 15.5 ft allowed become 9.5 ft.
#[test]
fn e3c_a_hot_wire_may_be_shorter() {
    prints(15.5 / temperature_factor(182.0), 9.5, 2);
    close(temperature_factor(182.0), (234.5 + 182.0) / 254.5, 0.001);
}

/// A coil of 90 ohm at 20 degC has 113.0 ohm at 85 degC: computed by hand from 0.00393 per kelvin (IEC 60028:1925).
#[test]
fn a_warm_relay_coil() {
    prints(90.0 * temperature_factor(85.0), 113.0, 4);
}

/// A lamp of 55 W at 13.2 V takes 62.9 W at 14.4 V and 41.5 W at 11.0 V: computed by hand from the exponent 1.55 that
/// belongs to a current with the exponent 0.55 (lamp rerating; its other printed exponent 1.6 would not close).
#[test]
fn a_lamp_above_and_below_its_rated_voltage() {
    for (volts, watts) in [(14.4, 62.9), (11.0, 41.5)] {
        let circuit = solved(&[source("G1", 1, 0, volts, 0.0), lamp("E1", 1, 0, 55.0, 13.2)]);
        prints(circuit.watts("E1"), watts, 3);
    }
}
