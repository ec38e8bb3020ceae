//! The rated currents that fuses are made for, and what they can break.

use crate::kind::LARGEST_BLADE_A;
use crate::quantity::Amps;
use crate::resolve::Resolved;

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

/// The ratings that fuses are made for from `least` to `most` amperes, both included.
pub fn between(least: f64, most: f64) -> Vec<f64> {
    RATINGS.iter().copied().filter(|rating| (least..=most).contains(rating)).collect()
}

/// The family that a fuse of this rating has to be named as: those above what the usual blade is made for are of type E.
pub fn family_to_name(rating: Amps) -> Option<&'static str> {
    (rating.get() > LARGEST_BLADE_A).then_some("blade-E")
}

/// A rating with the type of fuse that is made for it, where the usual blade is not.
pub fn in_words(rating: Amps) -> String {
    match family_to_name(rating) {
        Some(_) => format!("{rating} of type E (high-current blade)"),
        None => rating.to_string(),
    }
}

/// What links of each family can break, in amperes: ISO 8820-3:2015 at 32 V, and ISO 8820-5:2015 at 32 V.
const BREAKS_A: &[(&str, f64)] =
    &[("blade-C", 1000.0), ("blade-F", 1000.0), ("blade-E", 1000.0), ("strip", 2000.0)];

/// The greatest current that links of a family can break; `None` where that is not known.
pub fn breaks_of(family: &str) -> Option<Amps> {
    BREAKS_A.iter().find(|(name, _)| *name == family).and_then(|(_, amps)| Amps::new(*amps))
}

/// The greatest current that the fuse or breaker at a part's index can break: as given, else that of its family.
pub fn breaks(resolved: &Resolved, part: usize) -> Option<Amps> {
    let used = resolved.parts[part].as_ref()?;
    used.number("breaking_a").and_then(Amps::new).or_else(|| breaks_of(used.word("family")?))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ratings_are_found_on_either_side() {
        let amps = |value: f64| Amps::new(value).unwrap();
        assert_eq!(largest_up_to(amps(17.3)), Some(amps(15.0)));
        assert_eq!(smallest_from(amps(15.1)), Some(amps(20.0)));
        assert_eq!((family_to_name(amps(40.0)), family_to_name(amps(50.0))), (None, Some("blade-E")));
        assert_eq!(in_words(amps(40.0)), "40 A");
        assert_eq!(in_words(amps(60.0)), "60 A of type E (high-current blade)");
        assert_eq!(between(7.5, 20.0), [7.5, 10.0, 15.0, 20.0]);
        assert_eq!((largest_up_to(amps(0.5)), smallest_from(amps(101.0))), (None, None));
    }
}
