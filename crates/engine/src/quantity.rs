//! Physical quantities as newtypes over `f64`, and the one place that formats them.
//!
//! A quantity is always a finite number: [`Quantity::new`] and the constructors of the typed
//! quantities refuse NaN and infinities, so arithmetic further on needs no guard.

use std::fmt;

/// The unit of a [`Quantity`] whose dimension is only known at run time.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Unit {
    /// Volt.
    Volt,
    /// Ampere.
    Ampere,
    /// Ohm.
    Ohm,
    /// Watt.
    Watt,
    /// Ampere-hour.
    AmpereHour,
    /// Second.
    Second,
    /// Hour.
    Hour,
    /// Metre.
    Metre,
    /// Millimetre.
    Millimetre,
    /// Square millimetre.
    SquareMillimetre,
    /// Degree Celsius.
    Celsius,
    /// Percent.
    Percent,
    /// A plain count or ratio.
    One,
}

impl Unit {
    /// The symbol as printed after a number, in letters that every terminal shows; empty for a plain number.
    pub fn symbol(self) -> &'static str {
        match self {
            Unit::Volt => "V",
            Unit::Ampere => "A",
            Unit::Ohm => "ohm",
            Unit::Watt => "W",
            Unit::AmpereHour => "Ah",
            Unit::Second => "s",
            Unit::Hour => "h",
            Unit::Metre => "m",
            Unit::Millimetre => "mm",
            Unit::SquareMillimetre => "mm2",
            Unit::Celsius => "degC",
            Unit::Percent => "%",
            Unit::One => "",
        }
    }

    /// The symbol as people write it by hand, for screens and sheets; empty for a plain number.
    pub fn sign(self) -> &'static str {
        match self {
            Unit::Ohm => "Ω",
            Unit::SquareMillimetre => "mm²",
            Unit::Celsius => "°C",
            other => other.symbol(),
        }
    }
}

/// The text with a capital letter in front, to begin a sentence.
pub fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// `text` with its units as people write them by hand: `1.5 mm²` for `1.5 mm2`, and Ω and °C alike.
///
/// Only what stands behind a number is a unit.
pub fn by_hand(text: &str) -> String {
    let mut written = text.to_owned();
    for unit in [Unit::SquareMillimetre, Unit::Ohm, Unit::Celsius] {
        let mut pieces = written.split(unit.symbol());
        let mut joined = pieces.next().unwrap_or_default().to_owned();
        for piece in pieces {
            let is_behind_a_number =
                joined.strip_suffix(' ').is_some_and(|before| before.ends_with(|c: char| c.is_ascii_digit()));
            let is_unit = is_behind_a_number && !piece.starts_with(char::is_alphanumeric);
            joined.push_str(if is_unit { unit.sign() } else { unit.symbol() });
            joined.push_str(piece);
        }
        written = joined;
    }
    written
}

/// A finite number with its unit, for values whose dimension is only known at run time.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Quantity {
    /// The number, in `unit`.
    pub value: f64,
    /// The unit of `value`.
    pub unit: Unit,
}

impl Quantity {
    /// A quantity, unless `value` is not a finite number.
    pub fn new(value: f64, unit: Unit) -> Option<Quantity> {
        value.is_finite().then_some(Quantity { value, unit })
    }

    /// The same to the thousandth of its unit, for a reading: what is finer is below what a meter shows in a vehicle,
    /// and much of it is rounding.
    pub fn to_the_thousandth(self) -> Quantity {
        Quantity { value: (self.value * 1000.0).round() / 1000.0, ..self }
    }
}

impl fmt::Display for Quantity {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let number = three_figures(self.value);
        match self.unit {
            Unit::One => f.write_str(&number),
            unit => write!(f, "{number} {}", unit.symbol()),
        }
    }
}

/// Writes a number with three significant figures, without an exponent and without trailing
/// zeros after the point, as a person reads it off a meter. At least the whole number is kept.
pub fn three_figures(value: f64) -> String {
    let size = value.abs();
    // Nine decimals resolve a nanoampere; what is smaller prints as nought.
    let decimals = match size {
        s if s >= 99.95 => 0,
        s if s >= 9.995 => 1,
        s if s >= 0.9995 => 2,
        s if s >= 0.09995 => 3,
        s if s >= 0.009995 => 4,
        s if s >= 0.0009995 => 5,
        s if s >= 0.00009995 => 6,
        s if s >= 0.000009995 => 7,
        s if s >= 0.0000009995 => 8,
        _ => 9,
    };
    let text = fixed(value, decimals);
    let trimmed =
        if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.') } else { text.as_str() };
    if trimmed == "-0" { "0".to_owned() } else { trimmed.to_owned() }
}

/// Writes a finite number with `decimals` digits after the point, at most nine: the nearest that there is, of two as near the
/// even one (IEEE 754-2019, 4.3.1). Of what is beyond 64 bits it is only said that it is.
///
/// The standard library writes the same, with eighteen kilobytes of code that are ready for any number of digits.
pub fn fixed(value: f64, decimals: usize) -> String {
    const MOST_DECIMALS: usize = 9;
    const FRACTION_BITS: u32 = 52;
    /// What the exponent counts from, for a significand that is a whole number.
    const BIAS: u32 = 1075;
    /// Two to the 64th.
    const BEYOND: f64 = 18_446_744_073_709_551_616.0;
    let sign = if value.is_sign_negative() { "-" } else { "" };
    let size = value.abs();
    if size >= BEYOND {
        return format!("{sign}over 10^19");
    }
    let mut whole = size.trunc() as u64;
    let decimals = decimals.min(MOST_DECIMALS);
    let power = 10_u64.pow(decimals as u32);

    // What is behind the point, which is exact: a significand divided by two so many times.
    let bits = (size - size.trunc()).to_bits();
    let fraction = bits & ((1 << FRACTION_BITS) - 1);
    let (significand, halvings) = match (bits >> FRACTION_BITS) as u32 {
        0 => (fraction, BIAS - 1),
        biased => (fraction | 1 << FRACTION_BITS, BIAS - biased),
    };
    // 53 bits by 30 never overflow, and after 127 halvings nothing is left.
    let scaled = u128::from(significand) * u128::from(power);
    let (mut units, half) = (scaled.checked_shr(halvings).unwrap_or(0) as u64, 1 << 127);
    let rest = if halvings < 128 { scaled << (128 - halvings) } else { 0 };
    let is_odd = (if decimals == 0 { whole } else { units }) % 2 == 1;
    units += u64::from(rest > half || rest == half && is_odd);
    if units == power {
        (whole, units) = (whole + 1, 0);
    }
    match decimals {
        0 => format!("{sign}{whole}"),
        _ => format!("{sign}{whole}.{units:0decimals$}"),
    }
}

/// The number that a decimal without an exponent means, such as `-0.35`; `None` when the text is none, or has more than
/// fifteen digits that count.
///
/// The parser of the standard library takes any number there is, with tables of ten kilobytes that nobody who types a value
/// needs.
pub fn decimal(text: &str) -> Option<f64> {
    let (sign, unsigned) = match text.as_bytes().first()? {
        b'-' => (-1.0, &text[1..]),
        b'+' => (1.0, &text[1..]),
        _ => (1.0, text),
    };
    Some(sign * Decimal::read(unsigned)?.to_f64())
}

/// A number that is not below nought, as it was typed: so many digits, and how many of them stand behind the point.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Decimal {
    digits: u64,
    n_decimals: u32,
}

impl Decimal {
    /// Numbers up to this one are exact in an `f64`: two to the 53rd (IEEE 754-2019, 3.6).
    const EXACT: u64 = 1 << 53;

    /// Ten to this power is the largest that is exact.
    const MOST_DECIMALS: u32 = 22;

    /// Reads digits with or without a point; `None` for anything else, and for more than fifteen digits that count.
    pub fn read(text: &str) -> Option<Decimal> {
        const MOST_DIGITS: u32 = 15;
        let (mut digits, mut n_digits, mut n_decimals) = (0_u64, 0, 0);
        let (mut has_digit, mut has_point) = (false, false);
        for byte in text.bytes() {
            match byte {
                b'.' if !has_point => has_point = true,
                b'0'..=b'9' => {
                    has_digit = true;
                    n_decimals += u32::from(has_point);
                    n_digits += u32::from(n_digits > 0 || byte != b'0');
                    if n_digits > MOST_DIGITS || n_decimals > Self::MOST_DECIMALS {
                        return None;
                    }
                    digits = digits * 10 + u64::from(byte - b'0');
                }
                _ => return None,
            }
        }
        has_digit.then_some(Decimal { digits, n_decimals })
    }

    /// So many times it; `None` when that has too many digits to be exact.
    pub fn times(self, factor: u64) -> Option<Decimal> {
        let digits = self.digits.checked_mul(factor).filter(|digits| *digits <= Self::EXACT)?;
        Some(Decimal { digits, ..self })
    }

    /// It and another; `None` when that has too many digits to be exact.
    pub fn plus(self, other: Decimal) -> Option<Decimal> {
        let n_decimals = self.n_decimals.max(other.n_decimals);
        let raised = |one: Decimal| one.times(10_u64.checked_pow(n_decimals - one.n_decimals)?);
        let digits = raised(self)?.digits.checked_add(raised(other)?.digits)?;
        Decimal { digits, n_decimals }.times(1)
    }

    /// The nearest number there is: digits and power of ten are exact, and a division rounds once (IEEE 754-2019, 5.4.1).
    pub fn to_f64(self) -> f64 {
        self.digits as f64 / power_of_ten(self.n_decimals)
    }

    /// The nearest number to it divided by ten to this power; `None` where that is too high to be exact.
    pub fn shifted(self, down: u32) -> Option<f64> {
        let n_decimals = Some(self.n_decimals + down).filter(|n| *n <= Self::MOST_DECIMALS)?;
        Some(Decimal { n_decimals, ..self }.to_f64())
    }
}

/// Ten to a power of at most 22, which is exact.
fn power_of_ten(exponent: u32) -> f64 {
    (0..exponent).fold(1.0, |power, _| power * 10.0)
}

macro_rules! typed_quantity {
    ($(#[$doc:meta])* $name:ident, $unit:ident) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
        pub struct $name(f64);

        impl $name {
            /// Nought.
            pub const ZERO: $name = $name(0.0);

            /// The quantity, unless `value` is not a finite number.
            pub fn new(value: f64) -> Option<$name> {
                value.is_finite().then_some($name(value))
            }

            /// The number in the unit the type names.
            pub fn get(self) -> f64 {
                self.0
            }
        }

        impl From<$name> for Quantity {
            fn from(typed: $name) -> Quantity {
                Quantity { value: typed.0, unit: Unit::$unit }
            }
        }

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                Quantity::from(*self).fmt(f)
            }
        }
    };
}

typed_quantity!(
    /// A length in metres.
    Metres, Metre
);
typed_quantity!(
    /// A conductor's cross-section in square millimetres.
    SquareMillimetres, SquareMillimetre
);
typed_quantity!(
    /// A temperature in degrees Celsius.
    Celsius, Celsius
);
typed_quantity!(
    /// A voltage in volts.
    Volts, Volt
);
typed_quantity!(
    /// A current in amperes.
    Amps, Ampere
);
typed_quantity!(
    /// A power in watts.
    Watts, Watt
);
typed_quantity!(
    /// A resistance in ohms.
    Ohms, Ohm
);

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_print_with_three_figures() {
        for (value, text) in [
            (12.6, "12.6"),
            (12.0, "12"),
            (0.0, "0"),
            (-0.0, "0"),
            (0.139, "0.139"),
            (9.9127, "9.91"),
            (9.996, "10"),
            (1234.5, "1234"),
            (0.00052, "0.00052"),
            (0.000139276, "0.000139"),
            (0.000004692, "0.00000469"),
            (0.0000000004, "0"),
            (-2.47, "-2.47"),
        ] {
            assert_eq!(three_figures(value), text, "{value}");
        }
    }

    #[test]
    fn numbers_are_written_as_the_standard_library_writes_them() {
        let mut bits = 0x9e37_79b9_7f4a_7c15_u64;
        let mut next = move || {
            // Marsaglia, Xorshift RNGs, 2003.
            bits ^= bits << 13;
            bits ^= bits >> 7;
            bits ^= bits << 17;
            bits
        };
        let edges =
            [0.0, 0.5, 1.5, 2.5, 0.25, 0.75, 0.125, 1e-9, 5e-10, 1234.5, 1e9, f64::MIN_POSITIVE, 5e-324];
        // Of all sizes that are written, and halves and quarters, which are the hard ones to round.
        let any = (0..200_000).map(|_| {
            let (number, size) = (next(), next() % 60);
            if number % 3 == 0 {
                return (number % 4000) as f64 / 8.0;
            }
            libm::ldexp(number as f64, -10 - size as i32)
        });
        let all: Vec<f64> = edges.into_iter().chain(any).collect();
        assert!(all.iter().any(|value| *value > 1e15));
        for value in all {
            for decimals in 0..=9 {
                for value in [value, -value] {
                    assert_eq!(fixed(value, decimals), format!("{value:.decimals$}"), "{value:e}");
                }
            }
        }
        assert_eq!(fixed(1e19, 0), "10000000000000000000");
        assert_eq!(fixed(-1e20, 0), "-over 10^19");
        assert_eq!(fixed(0.1, 12), "0.100000000");
        assert_eq!(fixed(f64::MAX, 9), "over 10^19");
    }

    #[test]
    fn decimals_are_read_to_the_nearest_number() {
        for text in [
            "0",
            "-0",
            "+7",
            "12",
            "0.1",
            ".5",
            "5.",
            "2.675",
            "1.005",
            "0.3",
            "-12.60",
            "000.0250",
            "999999999999999",
            "0.000000000000123456",
            "123456789.012345",
            "8.41e",
            "9007199254740993",
            "0.1234567890123456",
            "",
            "-",
            ".",
            "1.2.3",
            "1,5",
            "1e3",
            "0x1",
            "+-1",
            " 1",
            "1 ",
            "inf",
            "nan",
        ] {
            let by_the_standard_library = text.parse::<f64>().ok();
            match decimal(text) {
                Some(number) => {
                    assert_eq!(Some(number.to_bits()), by_the_standard_library.map(f64::to_bits), "{text}")
                }
                None => assert!(
                    by_the_standard_library.is_none_or(|_| text.len() > 15 || text.contains(['e', 'i', 'n'])),
                    "{text}"
                ),
            }
        }
        // Every number of up to four digits, wherever its point stands.
        for digits in 0..10_000_u32 {
            for point in 0..5 {
                let padded = format!("{digits:05}");
                let text = format!("{}.{}", &padded[..point], &padded[point..]);
                assert_eq!(decimal(&text), text.parse().ok(), "{text}");
            }
        }
    }

    #[test]
    fn readings_are_shown_to_the_thousandth() {
        let shown = |value| Quantity { value, unit: Unit::Volt }.to_the_thousandth().to_string();
        assert_eq!(shown(0.000_009_25), "0 V");
        assert_eq!(shown(-0.000_4), "0 V");
        assert_eq!(shown(0.000_6), "0.001 V");
        assert_eq!(shown(-0.004_69), "-0.005 V");
        assert_eq!(shown(12.472), "12.5 V");
    }

    #[test]
    fn quantities_refuse_what_is_no_number() {
        assert_eq!(Volts::new(f64::NAN), None);
        assert_eq!(Quantity::new(f64::INFINITY, Unit::Ampere), None);
    }

    #[test]
    fn a_quantity_prints_its_unit() {
        assert_eq!(SquareMillimetres::new(2.5).unwrap().to_string(), "2.5 mm2");
        assert_eq!(Quantity::new(3.0, Unit::One).unwrap().to_string(), "3");
    }

    #[test]
    fn units_behind_a_number_are_written_by_hand() {
        assert_eq!(by_hand("0.01 ohm assumed, 1.5 mm2 at 20 degC."), "0.01 Ω assumed, 1.5 mm² at 20 °C.");
        assert_eq!(by_hand("2 ohmic loads, an ohm of mm2"), "2 ohmic loads, an ohm of mm2");
        assert_eq!(by_hand("W1.5 mm2 to mm2.5 and 4 mm2"), "W1.5 mm² to mm2.5 and 4 mm²");
    }
}
