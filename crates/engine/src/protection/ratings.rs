//! The rated currents that fuses are made for.

use crate::quantity::Amps;

/// Ratings of blade fuses in amperes (ISO 8820-3:2015 types C, E and F, from memory).
const RATINGS: &[f64] =
    &[1.0, 2.0, 3.0, 4.0, 5.0, 7.5, 10.0, 15.0, 20.0, 25.0, 30.0, 35.0, 40.0, 50.0, 60.0, 70.0, 80.0, 100.0];

/// The largest fuse that is made and rated at no more.
pub fn largest_up_to(allowed: Amps) -> Option<Amps> {
    RATINGS.iter().rev().find(|rating| **rating <= allowed.get()).and_then(|rating| Amps::new(*rating))
}

/// The smallest fuse that is made and rated at no less.
pub fn smallest_from(needed: Amps) -> Option<Amps> {
    RATINGS.iter().find(|rating| **rating >= needed.get()).and_then(|rating| Amps::new(*rating))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ratings_are_found_on_either_side() {
        let amps = |value: f64| Amps::new(value).unwrap();
        assert_eq!(largest_up_to(amps(17.3)), Some(amps(15.0)));
        assert_eq!(smallest_from(amps(15.1)), Some(amps(20.0)));
        assert_eq!((largest_up_to(amps(0.5)), smallest_from(amps(101.0))), (None, None));
    }
}
