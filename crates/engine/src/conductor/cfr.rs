//! What a wire can carry by 33 CFR 183.425.

use crate::document::Size;

/// Temperatures that the insulation of the columns stands, in degrees Celsius.
const COLUMNS_C: [f64; 7] = [60.0, 75.0, 80.0, 90.0, 105.0, 125.0, 200.0];

/// Air temperature for which the table holds, in degrees Celsius.
const AIR_C: f64 = 30.0;

/// Amperes by gauge, in the numbering of [`Size::Gauge`]: 33 CFR 183.425 Table 5, conductors under 50 V at 30 degC.
const TABLE: &[(i32, [f64; 7])] = &[
    (18, [10.0, 10.0, 15.0, 20.0, 20.0, 25.0, 25.0]),
    (16, [15.0, 15.0, 20.0, 25.0, 25.0, 30.0, 35.0]),
    (14, [20.0, 20.0, 25.0, 30.0, 35.0, 40.0, 45.0]),
    (12, [25.0, 25.0, 35.0, 40.0, 45.0, 50.0, 55.0]),
    (10, [40.0, 40.0, 50.0, 55.0, 60.0, 70.0, 70.0]),
    (8, [55.0, 65.0, 70.0, 70.0, 80.0, 90.0, 100.0]),
    (6, [80.0, 95.0, 100.0, 100.0, 120.0, 125.0, 135.0]),
    (4, [105.0, 125.0, 130.0, 135.0, 160.0, 170.0, 180.0]),
    (3, [120.0, 145.0, 150.0, 155.0, 180.0, 195.0, 210.0]),
    (2, [140.0, 170.0, 175.0, 180.0, 210.0, 225.0, 240.0]),
    (1, [165.0, 195.0, 210.0, 210.0, 245.0, 265.0, 280.0]),
    (0, [195.0, 230.0, 245.0, 245.0, 285.0, 305.0, 325.0]),
    (-1, [225.0, 265.0, 285.0, 285.0, 330.0, 355.0, 370.0]),
    (-2, [260.0, 310.0, 330.0, 330.0, 385.0, 410.0, 430.0]),
    (-3, [300.0, 360.0, 385.0, 385.0, 445.0, 475.0, 510.0]),
];

/// A row and a column of the table.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Entry {
    /// Amperes in air of 30 degC.
    pub amps: f64,
    /// Temperature that the column is for, in degrees Celsius.
    pub column_c: f64,
}

/// The entry for a conductor: the thickest gauge that is no thicker, and the hottest column that the insulation stands.
///
/// `None` for a conductor thinner than 18 AWG, the first row, and for insulation that stands less than 60 degC.
pub fn entry(mm2: f64, insulation_c: f64) -> Option<Entry> {
    let column = COLUMNS_C.iter().rposition(|column| *column <= insulation_c)?;
    // Equal sizes may differ in the last digit, according to how they were computed.
    let fits = |gauge: i32| Size::Gauge(gauge).area().get() <= mm2 * (1.0 + 1e-9);
    let (_, row) = TABLE.iter().rev().find(|(gauge, _)| fits(*gauge))?;
    Some(Entry { amps: row[column], column_c: COLUMNS_C[column] })
}

/// The factor for air of another temperature: `sqrt((T - T_air)/(T - 30))`, which gives the factors of the table's
/// note 1 for 50 degC within a hundredth; nought when the air is as hot as the insulation stands, and no more than one,
/// because nothing in the table allows more in cooler air.
pub fn air_factor(column_c: f64, air_c: f64) -> f64 {
    ((column_c - air_c).max(0.0) / (column_c - AIR_C)).sqrt().min(1.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Note 1 of the table: engine space, 50 degC. The factor for 105 degC was read in two places; those for 60, 75 and
    /// 90 degC are those of NEC for 46 to 50 degC.
    #[test]
    fn the_factor_for_engine_spaces_is_that_of_note_1() {
        for (column, factor) in
            [(60.0, 0.58), (75.0, 0.75), (80.0, 0.78), (90.0, 0.82), (105.0, 0.85), (125.0, 0.89)]
        {
            let computed = air_factor(column, 50.0);
            assert!((computed - factor).abs() < 0.0075, "{column}: {computed}");
        }
        assert_eq!(air_factor(75.0, 80.0), 0.0);
        assert_eq!(air_factor(75.0, 10.0), 1.0);
    }

    #[test]
    fn a_metric_size_has_the_row_of_the_gauge_below_it() {
        // 2.5 mm2 lies between 14 AWG (2.08 mm2) and 12 AWG (3.31 mm2).
        assert_eq!(entry(2.5, 105.0), Some(Entry { amps: 35.0, column_c: 105.0 }));
        // Class B stands 100 degC, which is less than 105.
        assert_eq!(entry(2.5, 100.0), Some(Entry { amps: 30.0, column_c: 90.0 }));
        assert_eq!(entry(Size::Gauge(10).area().get(), 75.0).map(|entry| entry.amps), Some(40.0));
        assert_eq!(entry(0.75, 105.0), None);
    }
}
