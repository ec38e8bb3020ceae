//! How thick a wire is over its insulation.

/// Source of [`outer_diameter`].
pub const OUTER_DIAMETER_SOURCE: &str = "greatest outer diameter of thick-wall cable as reproduced under the heading DIN ISO 6722 part 3; sizes between two rows take the larger row";

/// Greatest outer diameter in millimetres of thick-wall cable, by cross-section in square millimetres.
///
/// Read in the reproduction headed DIN ISO 6722 part 3 that also has the resistances of [`crate::conductor`]; one
/// reading, not the standard's own page.
const THICK_WALL_MM: &[(f64, f64)] = &[
    (1.0, 2.7),
    (1.5, 3.0),
    (2.5, 3.6),
    (4.0, 4.4),
    (6.0, 5.0),
    (10.0, 6.5),
    (16.0, 8.3),
    (25.0, 10.4),
    (35.0, 11.6),
    (50.0, 13.5),
    (70.0, 15.5),
    (95.0, 18.0),
    (120.0, 19.7),
];

/// Greatest outer diameter in millimetres of a wire of this cross-section.
///
/// A size between two rows, or thinner than the first, takes the next larger row. `None` above the last row, because
/// nothing is known there, and for what is no cross-section.
pub fn outer_diameter(area_mm2: f64) -> Option<f64> {
    if !(area_mm2.is_finite() && area_mm2 > 0.0) {
        return None;
    }
    THICK_WALL_MM.iter().find(|(row, _)| area_mm2 <= *row).map(|(_, outer)| *outer)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_size_takes_its_row_or_the_next_larger() {
        for (area, outer) in
            [(0.5, 2.7), (1.0, 2.7), (1.01, 3.0), (2.08, 3.6), (2.5, 3.6), (70.0, 15.5), (70.1, 18.0)]
        {
            assert_eq!(outer_diameter(area), Some(outer), "{area}");
        }
    }

    #[test]
    fn what_is_not_in_the_table_is_not_known() {
        for area in [120.1, 1000.0, 0.0, -1.0, f64::NAN, f64::INFINITY] {
            assert_eq!(outer_diameter(area), None, "{area}");
        }
    }

    /// The same table's conductor diameters and walls, `(mm2, conductor at most, wall nominal)`: every outer diameter
    /// has room for both.
    #[test]
    fn every_outer_diameter_has_room_for_conductor_and_wall() {
        let conductors = [1.5, 1.8, 2.2, 2.8, 3.4, 4.5, 6.3, 7.8, 9.0, 10.5, 12.5, 14.8, 16.5];
        let walls = [0.6, 0.6, 0.7, 0.8, 0.8, 1.0, 1.0, 1.3, 1.3, 1.5, 1.5, 1.6, 1.6];
        for ((row, conductor), wall) in THICK_WALL_MM.iter().zip(conductors).zip(walls) {
            let room = row.1 - conductor - 2.0 * wall;
            assert!((-1e-9..=0.25).contains(&room), "{} mm2: {room}", row.0);
        }
    }
}
