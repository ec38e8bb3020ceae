//! Lengths as people type them: in metres, or in the unit that they name.

use engine::given::Given;
use engine::quantity::{Decimal, Metres};

use super::TO;

/// What a unit of length is called, and how many tenths of a millimetre it is. An inch is 25.4 mm and a foot 304.8 mm
/// exactly (international yard and pound agreement of 1959; NIST SP 811, appendix B.8). The longer name stands before the
/// one with which it ends. A tablet types `’` and `”` by itself.
const UNITS: [(&str, u64); 11] = [
    ("cm", 100),
    ("mm", 10),
    ("m", METRE),
    ("ft", FOOT),
    ("'", FOOT),
    ("′", FOOT),
    ("’", FOOT),
    ("in", INCH),
    ("\"", INCH),
    ("″", INCH),
    ("”", INCH),
];
const METRE: u64 = 10_000;
const FOOT: u64 = 3048;
const INCH: u64 = 254;

/// A length or a range of lengths: `0.6`, `60 cm`, `8 ft 6 in`, `1.2 to 1.4`, `2 to 8 ft`; nothing when empty. An error says
/// why the text is none.
pub fn length(text: &str) -> Result<Given<Metres>, String> {
    let text = text.trim();
    match text.split_once(TO) {
        Some((low, high)) => match (metres(&in_unit_of(low, high))?, metres(high)?) {
            (Some(low), Some(high)) if low < high => Ok(Given::Between(low, high)),
            (Some(low), Some(high)) if low == high => Ok(Given::Known(low)),
            _ => Err(format!("“{text}” is no range; write the smaller length first")),
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
    let read = whole(&text.to_ascii_lowercase()).and_then(Metres::new);
    read.map(Some).ok_or_else(|| format!("“{text}” is no length in metres"))
}

/// The smaller end of a range, in the unit of the larger one where it names none: in `2 to 8 ft` both are feet.
fn in_unit_of(low: &str, high: &str) -> String {
    let high = high.trim().to_ascii_lowercase();
    let unit = feet_and_inches(&high).map_or(unit_of(&high), |_| unit_of("ft"));
    match (unit_of(&low.trim().to_ascii_lowercase()), unit) {
        (None, Some((name, _))) if !low.trim().is_empty() => format!("{low} {name}"),
        _ => low.to_owned(),
    }
}

/// A length of one piece or two, in metres. All its pieces are whole numbers of tenths of a millimetre divided by a power of
/// ten, so that it rounds once.
fn whole(text: &str) -> Option<f64> {
    let (is_below, text) = match text.strip_prefix(['-', '−']) {
        Some(size) => (true, size.trim_start()),
        None => (false, text.strip_prefix('+').unwrap_or(text)),
    };
    let size = match feet_and_inches(text) {
        Some((feet, inches)) => {
            let (feet, inches) = (piece(feet)?, piece(inches)?);
            // Twelve inches are a foot: more of them beside feet is a slip.
            feet.plus(inches).filter(|_| inches.to_f64() < 12.0 * INCH as f64)?
        }
        None => piece(text)?,
    };
    // A metre is ten to the fourth of them.
    let metres = size.shifted(4)?;
    Some(if is_below { -metres } else { metres })
}

/// The two pieces of `8 ft 6 in` or `8'-6"`, each with its unit.
fn feet_and_inches(text: &str) -> Option<(&str, &str)> {
    let is_foot = |(_, tenths): &&(&str, u64)| *tenths == FOOT;
    let end = UNITS.iter().filter(is_foot).find_map(|(foot, _)| Some(text.find(foot)? + foot.len()))?;
    let (feet, inches) = text.split_at(end);
    let inches = inches.trim_start();
    let inches = inches.strip_prefix(['-', '–']).unwrap_or(inches);
    unit_of(inches).filter(|(_, tenths)| *tenths == INCH).map(|_| (feet, inches))
}

/// The unit at the end of a text of small letters, and how many tenths of a millimetre it is.
fn unit_of(text: &str) -> Option<(&'static str, u64)> {
    UNITS.into_iter().find(|(name, _)| text.ends_with(name))
}

/// A number without a sign, with its unit or in metres when it has none: in tenths of a millimetre.
fn piece(text: &str) -> Option<Decimal> {
    let text = text.trim();
    let (name, tenths) = unit_of(text).unwrap_or(("", METRE));
    Decimal::read(&text[..text.len() - name.len()].trim().replace(',', "."))?.times(tenths)
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
        for text in
            ["8 ft 6 in", "8' 6\"", "8′6″", "8'-6\"", "8’ 6”", "8 FT 6 In", "8ft-6in", "8.5 ft", "102 in"]
        {
            assert_eq!(read(text), Some(2.5908), "{text}");
        }
        assert_eq!(read("1 ft"), Some(0.3048));
        assert_eq!((read("-8 ft 6 in"), read("-0.5")), (Some(-2.5908), Some(-0.5)));
        assert_eq!(read("+0.5 m"), Some(0.5));
        assert_eq!(read("5'-6\""), Some(1.6764));
        assert_eq!(read(""), None);
    }

    #[test]
    fn a_length_is_the_nearest_number_to_what_was_typed() {
        // In hundredths of an inch, of a foot and of a centimetre: what is exact has so many digits behind the point.
        for hundredths in 0..4000_u64 {
            let typed = format!("{}.{:02}", hundredths / 100, hundredths % 100);
            for (unit, tenths) in [("in", 254), ("ft", 3048), ("cm", 100), ("mm", 10), ("m", 10_000)] {
                let exact = hundredths * tenths;
                let text = format!("{}.{:06}", exact / 1_000_000, exact % 1_000_000);
                assert_eq!(read(&format!("{typed} {unit}")), text.parse().ok(), "{typed} {unit}");
            }
        }
    }

    #[test]
    fn each_end_of_a_range_has_its_unit() {
        let metres = |m| Metres::new(m).unwrap();
        assert_eq!(length("4 ft to 5 ft"), Ok(Given::Between(metres(1.2192), metres(1.524))));
        assert_eq!(length("4 to 5 ft"), length("4 ft to 5 ft"));
        assert_eq!(length("4 to 5 ft 6 in"), length("4 ft to 66 in"));
        assert_eq!(length("1 to 150 cm"), Ok(Given::Between(metres(0.01), metres(1.5))));
        assert_eq!(length("2.5 to 3 ft"), Ok(Given::Between(metres(0.762), metres(0.9144))));
        assert_eq!(length("1.2 to 1.4"), Ok(Given::Between(metres(1.2), metres(1.4))));
        assert_eq!(length(" "), Ok(Given::NotKnown));
        assert!(length("2 to 1").is_err_and(|why| why.contains("smaller")));
    }

    #[test]
    fn what_is_no_length_is_refused_with_a_reason() {
        for text in [
            "x",
            "ft",
            "6 in 8 ft",
            "8 ft 6",
            "1 km",
            "1 2",
            "8 ft in",
            "nan m",
            "ä in",
            "8 ft 12 in",
            "8 ft --6 in",
            "--1",
            "to",
        ] {
            assert!(metres(text).is_err_and(|why| why.contains(text)), "{text}");
        }
    }
}
