//! What people type of what a meter shows: with a comma, with its unit, in thousandths; and what is asked back.

use engine::document::record::GREATEST_READING;
use engine::quantity::{Unit, three_figures};

/// How many times its nominal voltage a vehicle hardly ever shows (common practice, no source).
const MOST_TIMES: f64 = 3.0;

/// A current that hardly any vehicle shows, in amperes (common practice, no source).
const MOST_AMPS: f64 = 1000.0;

/// What a meter is set to: what a bare number is taken for.
#[derive(Clone, Copy)]
pub struct Meter {
    /// Volts or amperes.
    pub unit: Unit,
    /// Whether it shows thousandths of that.
    pub is_milli: bool,
    /// The nominal voltage of the vehicle.
    pub nominal_v: f64,
}

impl Meter {
    /// What was typed, in volts or amperes; else what to say.
    ///
    /// A number that no vehicle shows is taken only with its unit behind it, so that a slip of the finger is no reading.
    pub fn read(self, typed: &str) -> Result<f64, String> {
        let text = typed.trim().replace(',', ".").replace(['−', '–'], "-");
        if text.is_empty() {
            return Err(format!("Enter the number that the meter shows, such as {}.", self.example()));
        }
        let end = text.find(|c: char| !c.is_ascii_digit() && !".+-".contains(c)).unwrap_or(text.len());
        let (number, unit) = (text[..end].parse::<f64>().ok(), text[end..].trim());
        let number = number.ok_or_else(|| self.asked_again(typed))?;
        let scale = self.scale(unit).ok_or_else(|| self.asked_again(typed))?;
        let number = number * scale;
        let is_beyond = number.abs() > self.most();
        if number.abs() > GREATEST_READING || (is_beyond && unit.is_empty()) {
            return Err(self.asked_back(number));
        }
        Ok(number)
    }

    /// What a number with this unit behind it is multiplied by; none where it is another unit.
    fn scale(self, unit: &str) -> Option<f64> {
        let own = self.unit.symbol().to_ascii_lowercase();
        let unit = unit.to_ascii_lowercase();
        if unit.is_empty() {
            return Some(if self.is_milli { 0.001 } else { 1.0 });
        }
        match unit.strip_suffix(&own)? {
            "" => Some(1.0),
            "m" => Some(0.001),
            _ => None,
        }
    }

    /// From where on a number is asked back, in volts or amperes.
    fn most(self) -> f64 {
        if self.unit == Unit::Ampere { MOST_AMPS } else { MOST_TIMES * self.nominal_v }
    }

    /// The unit in words: `volts`.
    pub fn units(self) -> &'static str {
        if self.unit == Unit::Ampere { "amperes" } else { "volts" }
    }

    fn example(self) -> &'static str {
        if self.unit == Unit::Ampere { "4.6" } else { "12.4" }
    }

    fn asked_again(self, typed: &str) -> String {
        let (units, symbol) = (self.units(), self.unit.symbol());
        format!(
            "“{typed}” cannot be read as {units}. Enter {units}, such as {} or 50 m{symbol}.",
            self.example()
        )
    }

    fn asked_back(self, number: f64) -> String {
        let (shown, symbol) = (three_figures(number), self.unit.symbol());
        let where_to = match self.unit {
            Unit::Ampere => "in a vehicle".to_owned(),
            _ => format!("on a {} V vehicle", three_figures(self.nominal_v)),
        };
        match number.abs() > GREATEST_READING {
            true => format!("{shown} {symbol} {where_to}? No meter shows that here. Look at it again."),
            false => format!(
                "{shown} {symbol} {where_to}? If the meter shows thousandths, enter it as m{symbol}. If it is so, write {symbol} behind the number."
            ),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const VOLTS: Meter = Meter { unit: Unit::Volt, is_milli: false, nominal_v: 12.0 };
    const AMPS: Meter = Meter { unit: Unit::Ampere, is_milli: false, nominal_v: 12.0 };

    fn is_near(read: Result<f64, String>, number: f64, text: &str) {
        let read = read.unwrap_or_else(|why| panic!("{text}: {why}"));
        assert!((read - number).abs() < 1e-12, "{text}: {read}");
    }

    #[test]
    fn numbers_are_read_as_people_write_them() {
        for (text, number) in [
            ("12.4", 12.4),
            (" 12,4 V", 12.4),
            ("-0.2", -0.2),
            ("−3 v", -3.0),
            ("50 mV", 0.05),
            ("50mv", 0.05),
            ("300 MV", 0.3),
            (".5", 0.5),
            ("36", 36.0),
        ] {
            is_near(VOLTS.read(text), number, text);
        }
        for (text, number) in [("0.05A", 0.05), ("120 mA", 0.12), ("1000", 1000.0)] {
            is_near(AMPS.read(text), number, text);
        }
        let milli = Meter { is_milli: true, ..VOLTS };
        // A unit that was typed counts before what a button says.
        for (text, number) in [("50", 0.05), ("5000", 5.0), ("12.4 V", 12.4), ("50 mV", 0.05)] {
            is_near(milli.read(text), number, text);
        }
    }

    #[test]
    fn another_unit_is_refused_with_the_one_that_is_wanted() {
        for text in
            ["0.05A", "50 mA", "4.7 ohm", "1e99", "1e9", "12.4.1", "twelve", "inf", "V", "-", "kV", "5 kV"]
        {
            let said = VOLTS.read(text).unwrap_err();
            assert!(said.starts_with(&format!("“{text}” cannot be read as volts. Enter volts")), "{said}");
        }
        assert!(AMPS.read("12 V").unwrap_err().contains("Enter amperes, such as 4.6 or 50 mA."));
        assert!(VOLTS.read(" ").unwrap_err().starts_with("Enter the number"));
    }

    #[test]
    fn what_no_vehicle_shows_is_asked_back_and_taken_with_its_unit() {
        let said = VOLTS.read("5000").unwrap_err();
        assert!(said.starts_with("5000 V on a 12 V vehicle?"), "{said}");
        assert!(VOLTS.read("-37").is_err() && AMPS.read("1001").is_err());
        is_near(VOLTS.read("5000 V"), 5000.0, "with its unit");
        is_near(Meter { nominal_v: 24.0, ..VOLTS }.read("37"), 37.0, "a vehicle with 24 V");
        // What the job does not take is refused with its unit too.
        assert!(VOLTS.read("20000 V").unwrap_err().contains("No meter shows that"));
    }
}
