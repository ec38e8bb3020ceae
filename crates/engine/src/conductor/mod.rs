//! Copper conductors: resistance, what current they stand, and where those values come from.

use crate::document::{Settings, Size, settings};
use crate::quantity::{Amps, Celsius, Metres, Ohms, SquareMillimetres, Unit};
use crate::working::{Basis, Working};

pub mod cfr;

/// Resistivity of copper at 20 degC in ohm mm2/m (IEC 60028:1925, from memory; it reproduces NFPA 70
/// Chapter 9 Table 8, see there).
pub const COPPER_OHM_MM2_PER_M: f64 = 0.01724;

/// Temperature coefficient of copper resistance at 20 degC, per kelvin (IEC 60028:1925).
pub const COPPER_PER_K: f64 = 0.00393;

/// Minus the temperature in degrees Celsius at which the resistance of copper would vanish (IEC 60949, edition not
/// known to us; FAA AC 43.13-1B CHG 1 paragraph 11-66 has the same).
const COPPER_ZERO_C: f64 = 234.5;

/// Factor on resistance at `celsius` against 20 degC.
pub fn temperature_factor(celsius: f64) -> f64 {
    1.0 + COPPER_PER_K * (celsius - 20.0)
}

/// Resistance at 20 degC of a conductor of exactly this cross-section: what a reading is expected to show.
pub fn expected_resistance(area: SquareMillimetres, length: Metres) -> Option<Ohms> {
    Ohms::new(COPPER_OHM_MM2_PER_M * length.get() / area.get())
}

/// Greatest resistance at 20 degC of bare copper in milliohm per metre, by nominal size.
///
/// ISO 6722-1:2011. The sizes 1, 1.5, 2.5, 4, 6, 10, 16, 25, 35, 50, 70, 95 and 120 were read in a reproduction headed
/// DIN ISO 6722 part 3, 0.5 and 0.75 are from memory; all fifteen lie 4.1 to 5.1 % below IEC 60228:2004 class 5.
/// The sizes 0.22, 0.35, 1.25, 2, 3, 5, 8, 12, 20, 30, 40 and 60 are from memory and without any check; 5 and 30 lie
/// out of the family of the others, on the high side.
#[expect(clippy::approx_constant, reason = "3.14 milliohm per metre is a table value")]
const GREATEST_MILLIOHM_PER_M: &[(f64, f64)] = &[
    (0.22, 84.8),
    (0.35, 54.4),
    (0.5, 37.1),
    (0.75, 24.7),
    (1.0, 18.5),
    (1.25, 14.9),
    (1.5, 12.7),
    (2.0, 9.42),
    (2.5, 7.60),
    (3.0, 6.15),
    (4.0, 4.71),
    (5.0, 3.94),
    (6.0, 3.14),
    (8.0, 2.38),
    (10.0, 1.82),
    (12.0, 1.52),
    (16.0, 1.16),
    (20.0, 0.955),
    (25.0, 0.743),
    (30.0, 0.647),
    (35.0, 0.527),
    (40.0, 0.473),
    (50.0, 0.368),
    (60.0, 0.315),
    (70.0, 0.259),
    (95.0, 0.196),
    (120.0, 0.153),
];

/// Lay factor of stranded American wire: NFPA 70 Chapter 9 Table 8 (edition not known to us) is the solid resistance
/// times this. That table is one of nominal values, not of limits; no limit for gauges is known to us.
const STRANDING: f64 = 1.02;

/// Greatest resistance at 20 degC that a conductor of this size may have: what a limit is checked with.
///
/// For a gauge it is the nominal resistance of a stranded conductor, for want of a limit.
pub fn greatest_resistance(size: Size, length: Metres) -> Option<Ohms> {
    let by_area = |area: f64| COPPER_OHM_MM2_PER_M / area;
    let per_metre = match size {
        Size::Metric(area) => GREATEST_MILLIOHM_PER_M
            .iter()
            .find(|(mm2, _)| *mm2 == area.get())
            .map_or_else(|| by_area(area.get()), |(_, milliohm)| milliohm / 1000.0),
        Size::Gauge(_) => by_area(size.area().get()) * STRANDING,
    };
    Ohms::new(per_metre * length.get())
}

/// Source of the current table, for findings.
const AMPACITY_SOURCE: &str = "DIN VDE 0298-4:2013-06 Table 11 column 2 (one core in free air) or, in a bundle, column 5 with Table 26 (cores in one sheath), scaled to insulation class and ambient; sizes below 0.75 mm2 and between the rows are not in it and interpolated";

/// Current of one PVC conductor (70 degC) in free air at 30 degC, by cross-section in square millimetres.
///
/// DIN VDE 0298-4:2013-06 Table 11 column 2 from 0.75 mm2 up. The row of 0.5 mm2 is not from it: it is the lower of two
/// values printed elsewhere (common practice, no source). Thinner sizes, gauges and the sizes between the rows are our
/// own interpolation, see [`table_amps`].
const BASE_AMPS: &[(f64, f64)] = &[
    (0.5, 10.0),
    (0.75, 15.0),
    (1.0, 19.0),
    (1.5, 24.0),
    (2.5, 32.0),
    (4.0, 42.0),
    (6.0, 54.0),
    (10.0, 73.0),
    (16.0, 98.0),
    (25.0, 129.0),
    (35.0, 158.0),
    (50.0, 198.0),
    (70.0, 245.0),
    (95.0, 292.0),
    (120.0, 344.0),
];

/// Current of each of two or three loaded PVC conductors (70 degC) that lie together, on a surface at 30 degC, by
/// cross-section in square millimetres.
///
/// DIN VDE 0298-4:2013-06 Table 11 column 5, multi-core cable. Its Table 21, for single cores in a bundle, is not
/// known to us; cores in one sheath are the harder case.
const TOGETHER_AMPS: &[(f64, f64)] = &[
    (0.75, 12.0),
    (1.0, 15.0),
    (1.5, 18.0),
    (2.5, 26.0),
    (4.0, 34.0),
    (6.0, 44.0),
    (10.0, 61.0),
    (16.0, 82.0),
    (25.0, 108.0),
    (35.0, 135.0),
    (50.0, 168.0),
    (70.0, 207.0),
    (95.0, 250.0),
    (120.0, 292.0),
];

/// Conductor temperature and air temperature for which both tables hold, in degrees Celsius.
const BASE_CONDUCTOR_C: f64 = 70.0;
const BASE_AMBIENT_C: f64 = 30.0;

/// Factors on [`TOGETHER_AMPS`] by number of loaded cores (DIN VDE 0298-4:2013-06 Table 26, made for sizes up to
/// 10 mm2; used above them for want of another). Up to three cores the table itself holds.
const BUNDLE_FACTORS: &[(u32, f64)] =
    &[(3, 1.0), (5, 0.75), (7, 0.65), (10, 0.55), (14, 0.50), (19, 0.45), (24, 0.40), (40, 0.35), (61, 0.30)];

/// The reduction for `loaded` wires in one bundle against two or three; between two rows the smaller factor holds.
pub fn bundle_factor(loaded: u32) -> f64 {
    let last = BUNDLE_FACTORS[BUNDLE_FACTORS.len() - 1].1;
    BUNDLE_FACTORS.iter().find(|(cores, _)| loaded <= *cores).map_or(last, |(_, factor)| *factor)
}

/// A table's value for a cross-section; between two rows by straight line on logarithmic axes, below the first row in
/// proportion to the cross-section and above the last row not more than the last row.
fn table_amps(table: &[(f64, f64)], mm2: f64) -> f64 {
    let (first, last) = (table[0], table[table.len() - 1]);
    if mm2 <= first.0 {
        return first.1 * mm2 / first.0;
    }
    for pair in table.windows(2) {
        let ((s0, i0), (s1, i1)) = (pair[0], pair[1]);
        if mm2 == s1 {
            return i1;
        }
        if mm2 < s1 {
            return i0 * libm::pow(i1 / i0, libm::log(mm2 / s0) / libm::log(s1 / s0));
        }
    }
    last.1
}

/// Current at the temperatures of the tables: of one wire alone, or of each of several in a bundle.
fn base_amps(mm2: f64, loaded: u32) -> f64 {
    match loaded {
        0 | 1 => table_amps(BASE_AMPS, mm2),
        _ => table_amps(TOGETHER_AMPS, mm2) * bundle_factor(loaded),
    }
}

/// Metric cable sizes usually sold in square millimetres, thinnest first (common practice, no source; all are nominal
/// sizes of ISO 6722-1:2011).
pub const SOLD_MM2: &[f64] =
    &[0.75, 1.0, 1.5, 2.5, 4.0, 6.0, 10.0, 16.0, 25.0, 35.0, 50.0, 70.0, 95.0, 120.0];

/// The table that says what a wire can carry.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum CurrentTable {
    /// DIN VDE 0298-4, scaled to insulation class, ambient and bundle.
    #[default]
    Vde,
    /// 33 CFR 183.425; sizes that are not in it by the other table.
    Cfr,
}

impl CurrentTable {
    /// The table that the settings of a job name. The fuse rule of 33 CFR 183.455 is one about the amperes of its own
    /// table, and with those of another would let 1.5 times as much pass as was meant: it brings its table with it.
    pub fn of(settings: &Settings) -> CurrentTable {
        let is_cfr = settings.word(&settings::CURRENT_TABLE) == settings::CFR_TABLE
            || settings.word(&settings::FUSE_RULE) == settings::CFR_RULE;
        if is_cfr { CurrentTable::Cfr } else { CurrentTable::Vde }
    }

    /// The table and what it is for.
    pub fn title(self) -> &'static str {
        let [vde, cfr] = settings::CURRENT_TABLES;
        match self {
            CurrentTable::Vde => vde,
            CurrentTable::Cfr => cfr,
        }
    }

    /// Where its values are from, for findings.
    pub fn source(self) -> &'static str {
        match self {
            CurrentTable::Vde => AMPACITY_SOURCE,
            CurrentTable::Cfr => CFR_SOURCE,
        }
    }
}

const CFR_SOURCE: &str = "33 CFR 183.425 Table 5, the gauge at or below the size and the column at or below the insulation; in other air by the square root that its note 1 follows; sizes thinner than 18 AWG by DIN VDE 0298-4:2013-06 Table 11";

/// Continuous current a conductor stands.
///
/// By DIN VDE 0298-4 `I_table sqrt((T - T_amb)/(70 - 30) x (234.5 + 70)/(234.5 + T))`, with `I_table` for one wire alone
/// or for as many as are `loaded` in its bundle, and `T` the temperature its insulation stands; by 33 CFR 183.425
/// [`cfr::entry`] times [`cfr::air_factor`], which knows no bundles under 50 V.
///
/// Heat given off grows in proportion to the temperature difference and heat made with current squared times
/// resistance, hence the root; nought when the surroundings are as hot as the insulation stands.
pub fn ampacity(
    table: CurrentTable,
    area: SquareMillimetres,
    insulation: Celsius,
    ambient: Celsius,
    loaded: u32,
) -> Amps {
    let entry = match table {
        CurrentTable::Vde => None,
        CurrentTable::Cfr => cfr::entry(area.get(), insulation.get()),
    };
    let amps = match entry {
        Some(entry) => entry.amps * cfr::air_factor(entry.column_c, ambient.get()),
        None => {
            let room = insulation.get() - ambient.get();
            let square = room.max(0.0) / (BASE_CONDUCTOR_C - BASE_AMBIENT_C)
                * (COPPER_ZERO_C + BASE_CONDUCTOR_C)
                / (COPPER_ZERO_C + insulation.get());
            base_amps(area.get(), loaded) * square.sqrt()
        }
    };
    Amps::new(amps).expect("a table value times the root of a non-negative finite number is finite")
}

/// How [`ampacity`] came about; `title` names the wire.
pub fn ampacity_working(
    table: CurrentTable,
    title: &str,
    (area, insulation, ambient): (SquareMillimetres, Celsius, Celsius),
    loaded: u32,
    [of_area, of_insulation, of_ambient]: [Basis; 3],
) -> Option<Working> {
    let amps = ampacity(table, area, insulation, ambient, loaded).get();
    let what = format!("current that {title} can carry");
    let entry = match table {
        CurrentTable::Vde => None,
        CurrentTable::Cfr => cfr::entry(area.get(), insulation.get()),
    };
    let working = match entry {
        Some(entry) => Working::of(
            what,
            "I_z = I_table * min(sqrt(max(T - T_amb, 0) / (T - 30)), 1)",
            amps,
            Unit::Ampere,
            table.source(),
        )?
        .with(
            "I_table",
            format!("current of {area} in air of 30 degC"),
            entry.amps,
            Unit::Ampere,
            Basis::Tabled,
        )
        .with(
            "T",
            "temperature of the table's column",
            entry.column_c,
            Unit::Celsius,
            Basis::Tabled,
        ),
        None => {
            let together = match loaded {
                0 | 1 => format!("current of {area} by itself, 70 degC in air of 30 degC"),
                n => format!("current of {area} among {n} loaded wires, 70 degC in air of 30 degC"),
            };
            Working::of(
                what,
                "I_z = I_table * sqrt(max(T - T_amb, 0) / (70 - 30) * (234.5 + 70) / (234.5 + T))",
                amps,
                Unit::Ampere,
                AMPACITY_SOURCE,
            )?
            .with("I_table", together, base_amps(area.get(), loaded), Unit::Ampere, table_basis(of_area))
            .with(
                "T",
                "temperature the insulation stands",
                insulation.get(),
                Unit::Celsius,
                of_insulation,
            )
        }
    };
    Some(working.with("T_amb", "air temperature where it runs", ambient.get(), Unit::Celsius, of_ambient))
}

/// The basis of a table's value for a size: an assumed size makes an assumed value.
fn table_basis(of_size: Basis) -> Basis {
    if of_size == Basis::Assumed { Basis::Assumed } else { Basis::Tabled }
}

/// Temperature a conductor reaches carrying `current`, not above a bound that keeps a short circuit finite:
/// `T_amb + (T - T_amb) (I / I_z)^2`.
pub fn own_temperature(insulation: Celsius, ambient: Celsius, ampacity: Amps, current: Amps) -> Celsius {
    let share = if ampacity.get() > 0.0 { (current.get() / ampacity.get()).abs().min(2.0) } else { 1.0 };
    let rise = (insulation.get() - ambient.get()).max(0.0) * share * share;
    Celsius::new(ambient.get() + rise).expect("a sum of finite temperatures is finite")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn iz(mm2: f64, insulation: f64, ambient: f64, loaded: u32) -> f64 {
        ampacity(
            CurrentTable::Vde,
            SquareMillimetres::new(mm2).unwrap(),
            Celsius::new(insulation).unwrap(),
            Celsius::new(ambient).unwrap(),
            loaded,
        )
        .get()
    }

    /// DIN VDE 0298-4:2013-06 Table 17 column 4: ambient factors of a 70 degC conductor.
    #[test]
    fn ambient_factors_agree_with_din_vde_0298_4_table_17() {
        for (ambient, factor) in [
            (10.0, 1.22),
            (15.0, 1.17),
            (20.0, 1.12),
            (25.0, 1.06),
            (30.0, 1.0),
            (35.0, 0.94),
            (40.0, 0.87),
            (45.0, 0.79),
            (50.0, 0.71),
            (55.0, 0.61),
            (60.0, 0.50),
            (65.0, 0.35),
        ] {
            let computed = iz(2.5, 70.0, ambient, 1) / 32.0;
            assert!((computed - factor).abs() < 0.0055, "{ambient}: {computed}");
        }
    }

    #[test]
    fn a_wire_as_hot_around_as_its_insulation_stands_carries_nothing() {
        assert_eq!(iz(2.5, 85.0, 85.0, 1), 0.0);
        assert_eq!(iz(2.5, 85.0, 90.0, 1), 0.0);
    }

    /// DIN VDE 0298-4:2013-06 Table 26.
    #[test]
    fn bundles_reduce_the_current() {
        for (loaded, factor) in [(1, 1.0), (3, 1.0), (4, 0.75), (5, 0.75), (6, 0.65), (10, 0.55), (100, 0.30)]
        {
            assert_eq!(bundle_factor(loaded), factor);
        }
    }

    /// DIN VDE 0298-4:2013-06 Table 11 column 5 for two or three cores, and with Table 26 for five.
    #[test]
    fn wires_in_a_bundle_start_from_the_table_for_cores_in_one_sheath() {
        for (mm2, amps) in [(0.75, 12.0), (1.5, 18.0), (2.5, 26.0), (10.0, 61.0)] {
            assert_eq!(iz(mm2, 70.0, 30.0, 2), amps);
            assert_eq!(iz(mm2, 70.0, 30.0, 3), amps);
            assert_eq!(iz(mm2, 70.0, 30.0, 5), 0.75 * amps);
        }
    }

    #[test]
    fn sizes_between_rows_lie_between_their_neighbours() {
        let two = iz(2.0, 70.0, 30.0, 1);
        assert!(24.0 < two && two < 32.0, "{two}");
        assert_eq!(iz(4.0, 70.0, 30.0, 1), 42.0);
    }

    /// IEC 60028:1925 gives 1.1965 at 70 degC; IEC 60228:2004 Annex B rounds the coefficient to 0.004 and prints 0.833
    /// for the way back, which is 1.200.
    #[test]
    fn copper_warms_up() {
        assert!((temperature_factor(70.0) - 1.1965).abs() < 1e-9);
        assert!((temperature_factor(70.0) - 1.0 / 0.833).abs() < 0.005);
    }

    /// IEC 60228:2004 Table 3 class 5, plain copper, in milliohm per metre.
    #[test]
    fn the_sizes_of_class_5_lie_a_little_below_it() {
        for (mm2, class_5) in [
            (0.5, 39.0),
            (0.75, 26.0),
            (1.0, 19.5),
            (1.5, 13.3),
            (2.5, 7.98),
            (4.0, 4.95),
            (6.0, 3.30),
            (10.0, 1.91),
            (16.0, 1.21),
            (25.0, 0.780),
            (35.0, 0.554),
            (50.0, 0.386),
            (70.0, 0.272),
            (95.0, 0.206),
            (120.0, 0.161),
        ] {
            let size = Size::Metric(SquareMillimetres::new(mm2).unwrap());
            let ohm = greatest_resistance(size, Metres::new(1000.0).unwrap()).unwrap().get();
            let below = 1.0 - ohm / class_5;
            assert!((0.041..0.0514).contains(&below), "{mm2}: {below}");
        }
    }
}
