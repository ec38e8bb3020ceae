//! Works a formula out again from its inputs: plain symbols, numbers, `+ - * / ^`, brackets and a few functions.

use std::collections::BTreeMap;

/// The value of the right-hand side of `formula` with these values of its symbols.
///
/// # Errors
///
/// Says what cannot be read, and which symbol has no value.
pub fn evaluate(formula: &str, symbols: &BTreeMap<&str, f64>) -> Result<f64, String> {
    let (_, expression) = formula.split_once(" = ").ok_or_else(|| format!("`{formula}` has no ` = `"))?;
    let mut reader = Reader { rest: expression, symbols };
    let value = reader.sum()?;
    match reader.rest.trim() {
        "" => Ok(value),
        rest => Err(format!("`{rest}` is left over of `{expression}`")),
    }
}

struct Reader<'t> {
    rest: &'t str,
    symbols: &'t BTreeMap<&'t str, f64>,
}

impl Reader<'_> {
    fn takes(&mut self, sign: char) -> bool {
        let trimmed = self.rest.trim_start();
        match trimmed.strip_prefix(sign) {
            Some(rest) => {
                self.rest = rest;
                true
            }
            None => false,
        }
    }

    fn sum(&mut self) -> Result<f64, String> {
        let mut value = self.product()?;
        loop {
            if self.takes('+') {
                value += self.product()?;
            } else if self.takes('-') {
                value -= self.product()?;
            } else {
                return Ok(value);
            }
        }
    }

    fn product(&mut self) -> Result<f64, String> {
        let mut value = self.power()?;
        loop {
            if self.takes('*') {
                value *= self.power()?;
            } else if self.takes('/') {
                value /= self.power()?;
            } else {
                return Ok(value);
            }
        }
    }

    fn power(&mut self) -> Result<f64, String> {
        let base = self.one()?;
        if self.takes('^') { Ok(base.powf(self.power()?)) } else { Ok(base) }
    }

    fn one(&mut self) -> Result<f64, String> {
        if self.takes('(') {
            let value = self.sum()?;
            return if self.takes(')') { Ok(value) } else { Err(format!("no `)` before `{}`", self.rest)) };
        }
        if self.takes('-') {
            return Ok(-self.one()?);
        }
        self.rest = self.rest.trim_start();
        let of_word = |c: char| c.is_ascii_alphanumeric() || c == '_' || c == '.';
        let end = self.rest.find(|c: char| !of_word(c)).unwrap_or(self.rest.len());
        let (word, rest) = self.rest.split_at(end);
        self.rest = rest;
        if let Ok(number) = word.parse() {
            return Ok(number);
        }
        if self.takes('(') {
            return self.function(word);
        }
        self.symbols.get(word).copied().ok_or_else(|| format!("`{word}` has no value"))
    }

    fn function(&mut self, name: &str) -> Result<f64, String> {
        let first = self.sum()?;
        let second = if self.takes(',') { Some(self.sum()?) } else { None };
        if !self.takes(')') {
            return Err(format!("no `)` after the arguments of `{name}`"));
        }
        match (name, second) {
            ("sqrt", None) => Ok(first.sqrt()),
            ("ln", None) => Ok(first.ln()),
            ("exp", None) => Ok(first.exp()),
            ("abs", None) => Ok(first.abs()),
            ("min", Some(second)) => Ok(first.min(second)),
            ("max", Some(second)) => Ok(first.max(second)),
            _ => Err(format!("`{name}` is no function of so many arguments")),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn formulas_are_worked_out_as_they_are_written() {
        let symbols = BTreeMap::from([("I_z", 10.0), ("T", 4.0)]);
        for (formula, value) in [
            ("x = 1 + 2 * 3", 7.0),
            ("x = 8 / 2 / 2 - 1", 1.0),
            ("x = 2 * 3 ^ 2", 18.0),
            ("x = I_z * sqrt(max(T - 1, 0) / 3)", 10.0),
            ("x = min(I_z, T) - -1", 5.0),
        ] {
            assert_eq!(evaluate(formula, &symbols), Ok(value), "{formula}");
        }
    }

    #[test]
    fn what_cannot_be_worked_out_is_told() {
        let symbols = BTreeMap::new();
        for formula in ["x = y", "x = 1 +", "x = (1", "x = sin(1)", "x = 1 1", "x"] {
            assert!(evaluate(formula, &symbols).is_err(), "{formula}");
        }
    }
}
