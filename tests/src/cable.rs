//! What a cable stands, from the printed tables, written down a second time.
//!
//! Nothing here is taken from the engine, so that what is made and judged with it can find the engine wrong.

/// Cross-section in mm2; current of one conductor in free air; current of each of two or three that lie together.
///
/// DIN VDE 0298-4:2013-06 Table 11, columns 2 and 5: PVC at 70 degC, air at 30 degC. The row of 0.5 mm2 is not from it
/// (common practice, no source), and its second figure keeps the proportion of the row below.
const TABLE_11: [(f64, f64, f64); 15] = [
    (0.5, 10.0, 8.0),
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
];

/// Loaded cores, and the factor up to that many (DIN VDE 0298-4:2013-06 Table 26); up to three the table holds.
const TABLE_26: [(u32, f64); 9] =
    [(3, 1.0), (5, 0.75), (7, 0.65), (10, 0.55), (14, 0.50), (19, 0.45), (24, 0.40), (40, 0.35), (61, 0.30)];

/// The sizes of the table, thinnest first, in mm2.
pub fn sizes() -> impl DoubleEndedIterator<Item = f64> {
    TABLE_11.iter().map(|row| row.0)
}

/// The current of the table for a size that stands in it or lies between two of its rows; `None` outside it.
fn table(mm2: f64, together: bool) -> Option<f64> {
    let amps = |row: &(f64, f64, f64)| if together { row.2 } else { row.1 };
    if let Some(row) = TABLE_11.iter().find(|row| row.0 == mm2) {
        return Some(amps(row));
    }
    let above = TABLE_11.iter().position(|row| row.0 > mm2).filter(|index| *index > 0)?;
    let (low, high) = (&TABLE_11[above - 1], &TABLE_11[above]);
    // A straight line on logarithmic axes.
    let share = (mm2 / low.0).ln() / (high.0 / low.0).ln();
    Some(amps(low) * (amps(high) / amps(low)).powf(share))
}

/// The lasting current in amperes of a conductor of `mm2` whose insulation stands `insulation_c` in air of `ambient_c`,
/// with `loaded` wires in its bundle; `None` for a size that is not in the table.
///
/// Heat made is I2 R with R in proportion to 234.5 degC plus the temperature; heat given off is in proportion to the
/// temperature above the air.
pub fn stands(mm2: f64, insulation_c: f64, ambient_c: f64, loaded: u32) -> Option<f64> {
    let base = table(mm2, loaded > 1)?;
    let bundle = TABLE_26.iter().find(|row| loaded <= row.0).map_or(0.30, |row| row.1);
    let heat = (insulation_c - ambient_c).max(0.0) / (70.0 - 30.0);
    let resistance = (234.5 + insulation_c) / (234.5 + 70.0);
    Some(base * bundle * (heat / resistance).sqrt())
}

/// Ohms of `metres` of copper of `mm2` at `celsius`: 0.01724 ohm mm2/m at 20 degC and 0.00393 for each kelvin
/// (IEC 60028:1925).
pub fn ohms(mm2: f64, metres: f64, celsius: f64) -> f64 {
    0.01724 * metres / mm2 * (1.0 + 0.00393 * (celsius - 20.0))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rows_of_the_table_come_back_at_its_own_temperatures() {
        assert_eq!(stands(2.5, 70.0, 30.0, 1), Some(32.0));
        assert_eq!(stands(2.5, 70.0, 30.0, 3), Some(26.0));
        assert_eq!(stands(2.5, 70.0, 30.0, 5), Some(26.0 * 0.75));
        assert_eq!(stands(2.5, 70.0, 70.0, 1), Some(0.0));
        assert_eq!(stands(0.22, 70.0, 30.0, 1), None);
    }
}
