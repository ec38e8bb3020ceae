//! The sizes and ratings that are usually sold, and what copper weighs.

use crate::conductor::SOLD_MM2;
use crate::document::{Size, Wire};
use crate::given::Given;
use crate::quantity::SquareMillimetres;

/// American gauges usually sold, thinnest first, numbered as in [`Size::Gauge`] (common practice, no source).
const GAUGES: &[i32] = &[18, 16, 14, 12, 10, 8, 6, 4, 2, 1, 0, -1, -2, -3];

/// Ratings in amperes usually sold by family of link (common practice, no source).
const RATINGS: &[(&str, &[f64])] = &[
    ("blade-C", &[1.0, 2.0, 3.0, 5.0, 7.5, 10.0, 15.0, 20.0, 25.0, 30.0, 40.0]),
    ("blade-F", &[2.0, 3.0, 5.0, 7.5, 10.0, 15.0, 20.0, 25.0, 30.0]),
    ("blade-E", &[20.0, 30.0, 40.0, 50.0, 60.0, 70.0, 80.0, 100.0]),
    ("strip", &[30.0, 40.0, 50.0, 60.0, 70.0, 80.0, 100.0, 125.0, 150.0, 200.0]),
    ("glass", &[1.0, 2.0, 3.0, 5.0, 7.5, 10.0, 15.0, 20.0, 25.0, 30.0]),
];

/// Density of copper in kilograms per cubic metre (handbooks, from memory).
const COPPER_KG_PER_M3: f64 = 8890.0;

/// The sizes that a wire may be given, thinnest first: gauges where its size was said as one.
pub(super) fn sizes(wire: &Wire) -> Vec<Size> {
    match wire.size {
        Given::Known(Size::Gauge(_)) | Given::Between(Size::Gauge(_), _) => {
            GAUGES.iter().map(|gauge| Size::Gauge(*gauge)).collect()
        }
        _ => SOLD_MM2.iter().filter_map(|mm2| SquareMillimetres::new(*mm2)).map(Size::Metric).collect(),
    }
}

/// The ratings of a family of links in amperes, smallest first; empty for a family that is not known.
pub fn ratings(family: &str) -> &'static [f64] {
    RATINGS.iter().find(|(name, _)| *name == family).map_or(&[], |(_, ratings)| ratings)
}

/// What this volume of copper, in square millimetres times metres, weighs in kilograms.
pub fn kilograms(mm2_m: f64) -> f64 {
    COPPER_KG_PER_M3 * mm2_m * 1e-6
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn series_go_up() {
        assert!(SOLD_MM2.is_sorted() && RATINGS.iter().all(|(_, ratings)| ratings.is_sorted()));
        let areas: Vec<f64> = GAUGES.iter().map(|gauge| Size::Gauge(*gauge).area().get()).collect();
        assert!(areas.is_sorted(), "{areas:?}");
    }

    #[test]
    fn a_hundred_metres_of_one_square_millimetre_weigh_nearly_nine_tenths_of_a_kilogram() {
        assert!((kilograms(100.0) - 0.889).abs() < 1e-12);
    }
}
