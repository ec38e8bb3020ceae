//! How a number came about: the formula, what its symbols stand for, and where it is from.
//!
//! A formula is written so that it can be worked out again from its inputs: plain symbols, `+ - * / ^`, brackets, and
//! `sqrt`, `ln`, `exp`, `abs`, `min` and `max`. What is shown is therefore not a description of the computation but a
//! second way to the same number, and tests take it.

use crate::quantity::{Quantity, Unit};

/// Where a number comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum Basis {
    /// It was calculated, from what was entered and what was assumed.
    #[default]
    Calculated,
    /// It was entered, such as the rating of a fuse or the length of a wire.
    Entered,
    /// It was assumed, because nothing was entered.
    Assumed,
    /// It is a constant or a row of a table of the source that is named.
    Tabled,
}

impl Basis {
    /// The word shown beside the number.
    pub fn word(self) -> &'static str {
        match self {
            Basis::Calculated => "calculated",
            Basis::Entered => "entered",
            Basis::Assumed => "assumed",
            Basis::Tabled => "tabled",
        }
    }

    /// The basis of a value that was entered, or else assumed.
    pub fn said(is_said: bool) -> Basis {
        if is_said { Basis::Entered } else { Basis::Assumed }
    }
}

/// One symbol of a formula and what it stands for.
#[derive(Clone, Debug, PartialEq)]
pub struct Input {
    /// The symbol, as the formula writes it.
    pub symbol: &'static str,
    /// What it is; lowercase, no full stop.
    pub what: String,
    /// Its value.
    pub value: Quantity,
    /// Where the value comes from.
    pub basis: Basis,
}

/// How one number came about.
#[derive(Clone, Debug, PartialEq)]
pub struct Working {
    /// What the number is; lowercase, no full stop.
    pub what: String,
    /// The formula: the symbol of the result, ` = `, and an expression over the symbols of the inputs.
    pub formula: &'static str,
    /// Every symbol of the expression.
    pub inputs: Vec<Input>,
    /// What comes of it.
    pub result: Quantity,
    /// Standard and clause of the formula, or common practice.
    pub source: &'static str,
}

impl Working {
    /// The working of `value`; its inputs are added with [`Working::with`].
    ///
    /// `None` when `value` is not a finite number: then there is nothing to show.
    pub fn of(
        what: impl Into<String>,
        formula: &'static str,
        value: f64,
        unit: Unit,
        source: &'static str,
    ) -> Option<Working> {
        let result = Quantity::new(value, unit)?;
        Some(Working { what: what.into(), formula, inputs: Vec::new(), result, source })
    }

    /// The working of what only the whole network gives: there is no formula of a few symbols for it.
    pub fn of_network(what: impl Into<String>, value: f64, unit: Unit, how: &'static str) -> Option<Working> {
        let what = what.into();
        let working = Working::of(what.clone(), "x = x_network", value, unit, how)?;
        Some(working.with(
            "x_network",
            format!("{what}, solved on the whole network"),
            value,
            unit,
            Basis::Calculated,
        ))
    }

    /// The same with one more input. One that is not a finite number is left out, which leaves the formula open for
    /// all to see.
    pub fn with(
        mut self,
        symbol: &'static str,
        what: impl Into<String>,
        value: f64,
        unit: Unit,
        basis: Basis,
    ) -> Working {
        if let Some(value) = Quantity::new(value, unit) {
            self.inputs.push(Input { symbol, what: what.into(), value, basis });
        }
        self
    }
}
