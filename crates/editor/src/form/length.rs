//! Lengths as people type them: in metres, or in the unit that they name.

use engine::given::Given;
use engine::quantity::{Metres, decimal};

use super::TO;

/// What a unit of length is called, and how many metres it is as a fraction of whole numbers, so that a length rounds
/// once. An inch is 25.4 mm and a foot 304.8 mm exactly (international yard and pound agreement of 1959; NIST SP 811,
/// appendix B.8). The longer name stands before the one with which it ends.
const UNITS: [(&str, f64, f64); 9] = [
    ("cm", 1.0, 100.0),
    ("mm", 1.0, 1000.0),
    ("m", 1.0, 1.0),
    ("ft", 3048.0, 10_000.0),
    ("'", 3048.0, 10_000.0),
    ("′", 3048.0, 10_000.0),
    ("in", 254.0, 10_000.0),
    ("\"", 254.0, 10_000.0),
    ("″", 254.0, 10_000.0),
];

/// A length or a range of lengths: `0.6`, `60 cm`, `8 ft 6 in`, `1.2 to 1.4`; nothing when empty. An error says why the
/// text is none.
pub fn length(text: &str) -> Result<Given<Metres>, String> {
    match text.split_once(TO) {
        Some((low, high)) => match (metres(low)?, metres(high)?) {
            (Some(low), Some(high)) if low < high => Ok(Given::Between(low, high)),
            (Some(low), Some(high)) if low == high => Ok(Given::Known(low)),
            _ => Err(format!("“{text}” is no range; write the smaller length first", text = text.trim())),
        },
        None => Ok(metres(text)?.map_or(Given::NotKnown, Given::Known)),
    }
}

/// One length: in metres, unless the text names another unit; nothing when empty. An error says why the text is none.
pub fn metres(text: &str) -> Result<Option<Metres>, String> {
    let text = text.trim();
    if text.is_empty() {
        return Ok(None);
    }
    let read = match feet_and_inches(text) {
        Some((feet, inches)) => {
            part(feet).zip(part(inches)).map(|((feet, over), (inches, _))| (feet + inches) / over)
        }
        None => part(text).map(|(number, over)| number / over),
    };
    read.and_then(Metres::new).map(Some).ok_or_else(|| format!("“{text}” is no length in metres"))
}

/// The two pieces of `8 ft 6 in`, each with its unit.
fn feet_and_inches(text: &str) -> Option<(&str, &str)> {
    let end = ["ft", "'", "′"].iter().find_map(|foot| Some(text.find(foot)? + foot.len()))?;
    let (feet, inches) = text.split_at(end);
    let is_both = ["in", "\"", "″"].iter().any(|inch| inches.ends_with(inch));
    is_both.then_some((feet, inches))
}

/// A number with its unit, or in metres when it has none: as a fraction of metres.
fn part(text: &str) -> Option<(f64, f64)> {
    let text = text.trim();
    let unit = UNITS.iter().find(|(name, ..)| text.to_ascii_lowercase().ends_with(name));
    let number = unit.map_or(text, |(name, ..)| &text[..text.len() - name.len()]);
    let (times, over) = unit.map_or((1.0, 1.0), |(_, times, over)| (*times, *over));
    Some((decimal(&number.trim().replace(',', "."))? * times, over))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> Option<f64> {
        metres(text).unwrap().map(Metres::get)
    }

    #[test]
    fn a_length_is_read_in_the_unit_that_it_names() {
        assert_eq!(read("2.54"), Some(2.54));
        for text in ["0.6", "0,6 m", "60 cm", "600mm", " 0.6M "] {
            assert_eq!(read(text), Some(0.6), "{text}");
        }
        // NIST SP 811, appendix B.8: 1 ft = 3.048 E-01 m, 1 in = 2.54 E-02 m, both exact.
        for text in ["8 ft 6 in", "8' 6\"", "8′6″", "8.5 ft", "102 in"] {
            assert_eq!(read(text), Some(2.5908), "{text}");
        }
        assert_eq!(read("1 ft"), Some(0.3048));
        assert_eq!(read(""), None);
    }

    #[test]
    fn each_end_of_a_range_has_its_unit() {
        let metres = |m| Metres::new(m).unwrap();
        assert_eq!(length("4 ft to 5 ft"), Ok(Given::Between(metres(1.2192), metres(1.524))));
        assert_eq!(length("1.2 to 1.4"), Ok(Given::Between(metres(1.2), metres(1.4))));
        assert_eq!(length(" "), Ok(Given::NotKnown));
        assert!(length("2 to 1").is_err_and(|why| why.contains("smaller")));
    }

    #[test]
    fn what_is_no_length_is_refused_with_a_reason() {
        for text in ["x", "ft", "6 in 8 ft", "8 ft 6", "1 km", "1 2", "8 ft in", "nan m", "ä in"] {
            assert!(metres(text).is_err_and(|why| why.contains(text)), "{text}");
        }
    }
}
