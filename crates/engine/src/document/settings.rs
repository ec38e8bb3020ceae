//! What holds for the whole job: the system voltage, and the limits and surroundings that checks go by.
//!
//! Every setting has a value that is used while nothing is said, and names where that value is from. A job keeps only
//! what was said.

use crate::given::Given;
use crate::kind::{Assumed, Form, Value, ValueSpec, Values};
use crate::quantity::Unit;

/// What holds for the whole job.
#[derive(Clone, Debug, PartialEq)]
pub struct Settings {
    /// Nominal voltage, 12 or 24.
    pub nominal_v: f64,
    /// What was said about the settings of [`ALL`].
    pub said: Values,
}

impl Default for Settings {
    fn default() -> Settings {
        Settings::of(12.0)
    }
}

impl Settings {
    /// The settings of a job of `nominal_v` volts in which nothing else was said.
    pub fn of(nominal_v: f64) -> Settings {
        Settings { nominal_v, said: Values::default() }
    }

    /// The number used for a setting: said, else assumed. Of a range it is the end that is worse: the hotter air, and the
    /// lower of every limit.
    pub fn number(&self, setting: &Setting) -> f64 {
        let of = |value: &Value| match value {
            Value::Number(number) => *number,
            _ => f64::NAN,
        };
        match self.said.said(setting.spec.name) {
            Some(Given::Known(value)) => of(value),
            Some(Given::Between(low, high)) => match setting.spec.form {
                Form::Number { unit: Unit::Celsius, .. } => of(high),
                _ => of(low),
            },
            _ => setting.spec.assumed_at(self.nominal_v).as_ref().map_or(f64::NAN, of),
        }
    }

    /// The word used for a setting: said, else assumed.
    pub fn word(&self, setting: &Setting) -> &'static str {
        match self.said.said(setting.spec.name) {
            Some(Given::Known(Value::Word(word))) => word,
            _ => match setting.spec.assumed {
                Assumed::Word(word) => word,
                _ => "",
            },
        }
    }

    /// Whether a setting was said, so that its source is the job itself.
    pub fn is_said(&self, setting: &Setting) -> bool {
        self.said.said(setting.spec.name).is_some()
    }

    /// Where the value used for a setting is from.
    pub fn source(&self, setting: &Setting) -> &'static str {
        if self.is_said(setting) && !matches!(setting.spec.form, Form::Word(_)) {
            "set for this job"
        } else {
            setting.source(self)
        }
    }
}

/// One setting.
#[derive(Clone, Copy, Debug)]
pub struct Setting {
    /// Its key, form, limits, what is used while nothing is said, and what it means.
    pub spec: ValueSpec,
    /// Where what is used while nothing is said is from; of a word, where each word is from, in their order.
    pub sources: &'static [&'static str],
}

impl Setting {
    const fn number(
        name: &'static str,
        unit: Unit,
        limits: (f64, f64),
        assumed: f64,
        meaning: &'static str,
        sources: &'static [&'static str],
    ) -> Setting {
        let spec = ValueSpec::number(name, unit, limits, Assumed::Number(assumed), meaning);
        Setting { spec, sources }
    }

    const fn word(
        name: &'static str,
        words: &'static [&'static str],
        meaning: &'static str,
        sources: &'static [&'static str],
    ) -> Setting {
        Setting { spec: ValueSpec::word(name, words, meaning), sources }
    }

    fn source(&self, settings: &Settings) -> &'static str {
        match self.spec.form {
            Form::Word(words) => {
                let used = settings.word(self);
                words
                    .iter()
                    .zip(self.sources)
                    .find(|(word, _)| **word == used)
                    .map_or("", |(_, source)| source)
            }
            _ => self.sources.first().copied().unwrap_or_default(),
        }
    }
}

/// The table of what a wire can carry.
pub static CURRENT_TABLE: Setting = Setting::word(
    "current_table",
    &[VDE_TABLE, CFR_TABLE],
    "table of what a wire can carry",
    &CURRENT_TABLES,
);

/// Those tables in full, in the order of the words for them.
pub const CURRENT_TABLES: [&str; 2] =
    ["DIN VDE 0298-4:2013-06 Tables 11 and 26", "33 CFR 183.425 Table 5 (United States, boats under 50 V)"];

/// The word for the table of DIN VDE 0298-4.
pub const VDE_TABLE: &str = "DIN VDE 0298-4";

/// The word for the table of 33 CFR 183.425.
pub const CFR_TABLE: &str = "33 CFR 183.425";

/// The rule that says how large a fuse ahead of a wire may be.
pub static FUSE_RULE: Setting = Setting::word(
    "fuse_rule",
    &[IEC_RULE, CFR_RULE],
    "rule for the fuse ahead of a wire",
    &[
        "IEC 60364-4-43 (from memory)",
        "33 CFR 183.455(c)(1) (United States, boats under 50 V): up to 150 % of the currents of 33 CFR 183.425, which then hold",
    ],
);

/// The word for the rule of IEC 60364-4-43: 1.45 times the wire's current where the fuse opens at 1.35 times its rating.
pub const IEC_RULE: &str = "IEC 60364-4-43";

/// The word for the rule of 33 CFR 183.455: up to 150 % of the wire's current.
pub const CFR_RULE: &str = "33 CFR 183.455";

/// Why a number is what it is where the trade's habit is all there is.
const PRACTICE: &[&str] = &["common practice, no source"];

/// Limits of an air temperature in degrees Celsius.
const AIR_C: (f64, f64) = (-60.0, 200.0);

/// Air temperature in the cabin.
pub static CABIN_C: Setting =
    Setting::number("cabin_c", Unit::Celsius, AIR_C, 50.0, "air temperature in the cabin", PRACTICE);

/// Air temperature outside on the body.
pub static OUTSIDE_C: Setting =
    Setting::number("outside_c", Unit::Celsius, AIR_C, 40.0, "air temperature outside", PRACTICE);

/// Air temperature under the body.
pub static UNDER_BODY_C: Setting =
    Setting::number("under_body_c", Unit::Celsius, AIR_C, 50.0, "air temperature under the body", PRACTICE);

/// Air temperature in the engine bay.
pub static ENGINE_BAY_C: Setting = Setting::number(
    "engine_bay_c",
    Unit::Celsius,
    AIR_C,
    80.0,
    "air temperature in the engine bay",
    PRACTICE,
);

/// Share of the nominal voltage above which a drop is Look.
pub static DROP_LOOK: Setting = Setting::number(
    "drop_look_percent",
    Unit::Percent,
    (0.5, 20.0),
    5.0,
    "drop from which on a load is told, of nominal voltage",
    PRACTICE,
);

/// Share of the nominal voltage above which a drop is Stop.
pub static DROP_STOP: Setting = Setting::number(
    "drop_stop_percent",
    Unit::Percent,
    (0.5, 50.0),
    10.0,
    "drop that is too much, of nominal voltage",
    &["ABYC E-11, non-critical circuits"],
);

/// Share of its rating that a fuse carries for long.
pub static FUSE_CONTINUOUS: Setting = Setting::number(
    "fuse_continuous_percent",
    Unit::Percent,
    (10.0, 100.0),
    80.0,
    "share of its rating that a fuse carries for long",
    PRACTICE,
);

/// Current of new equipment with everything at rest that is Look.
pub static DRAIN_LOOK: Setting = Setting::number(
    "drain_look_a",
    Unit::Ampere,
    (0.0, 100.0),
    0.05,
    "current of new equipment while parked that is too much",
    PRACTICE,
);

/// Current of new equipment with everything at rest that is a Note.
pub static DRAIN_NOTE: Setting = Setting::number(
    "drain_note_a",
    Unit::Ampere,
    (0.0, 100.0),
    0.005,
    "current of new equipment while parked that is told",
    PRACTICE,
);

/// What a wire needs from the end of its way to a terminal.
pub static END: Setting = Setting::number(
    "end_m",
    Unit::Metre,
    (0.0, 5.0),
    0.1,
    "length of wire from the end of its way to a terminal",
    PRACTICE,
);

/// What a wire is cut longer than its way, as a share of that.
pub static SLACK: Setting = Setting::number(
    "slack_percent",
    Unit::Percent,
    (0.0, 100.0),
    5.0,
    "slack of a wire, of the length of its way",
    PRACTICE,
);

/// Every setting besides the system voltage, in the order in which forms show them.
pub static ALL: &[&Setting] = &[
    &CURRENT_TABLE,
    &FUSE_RULE,
    &CABIN_C,
    &OUTSIDE_C,
    &UNDER_BODY_C,
    &ENGINE_BAY_C,
    &DROP_LOOK,
    &DROP_STOP,
    &FUSE_CONTINUOUS,
    &DRAIN_LOOK,
    &DRAIN_NOTE,
    &END,
    &SLACK,
];

/// The setting with this key.
pub fn by_name(name: &str) -> Option<&'static Setting> {
    ALL.iter().copied().find(|setting| setting.spec.name == name)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_setting_has_a_value_within_its_limits_and_a_source() {
        let settings = Settings::default();
        for setting in ALL {
            match setting.spec.form {
                Form::Number { least, most, .. } => {
                    assert!((least..=most).contains(&settings.number(setting)), "{}", setting.spec.name);
                }
                Form::Word(words) => {
                    assert!(words.contains(&settings.word(setting)), "{}", setting.spec.name);
                    assert_eq!(words.len(), setting.sources.len(), "{}", setting.spec.name);
                }
                _ => panic!("{} has a form that no setting has", setting.spec.name),
            }
            assert!(!settings.source(setting).is_empty(), "{}", setting.spec.name);
        }
    }

    #[test]
    fn of_a_range_the_end_that_is_worse_is_used() {
        let mut settings = Settings::default();
        for (key, low, high) in [("cabin_c", 40.0, 60.0), ("drop_look_percent", 3.0, 5.0)] {
            settings.said.set(key, Given::Between(Value::Number(low), Value::Number(high)));
        }
        assert_eq!((settings.number(&CABIN_C), settings.number(&DROP_LOOK)), (60.0, 3.0));
    }

    #[test]
    fn what_is_said_is_used_and_its_source_is_the_job() {
        let mut settings = Settings::default();
        settings.said.set("drop_look_percent", Given::Known(Value::Number(3.0)));
        settings.said.set("fuse_rule", Given::Known(Value::Word(CFR_RULE)));
        assert_eq!(settings.number(&DROP_LOOK), 3.0);
        assert_eq!(settings.source(&DROP_LOOK), "set for this job");
        assert!(settings.source(&FUSE_RULE).contains("183.455"));
        assert_eq!(settings.number(&DROP_STOP), 10.0);
    }
}
