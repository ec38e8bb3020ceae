//! The rules that the limits of wires and fuses go by, as a job names them.

use crate::conductor::CurrentTable;
use crate::document::{Settings, settings};
use crate::kind::OPENS_ABOVE;
use crate::quantity::{Amps, Unit};
use crate::working::{Basis, Working};

/// How large the fuse ahead of a wire may be, as a multiple of the current that the wire can carry.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FuseRule {
    /// The multiple.
    pub factor: f64,
    /// The formula of the allowed rating.
    formula: &'static str,
    /// Where it is from.
    pub source: &'static str,
}

impl FuseRule {
    /// The rule that the settings of a job name.
    pub fn of(settings: &Settings) -> FuseRule {
        match settings.word(&settings::FUSE_RULE) {
            // Up to 150 % of the conductor's current, circuits under 50 V.
            settings::CFR_RULE => FuseRule {
                factor: 1.5,
                formula: "I_max = 1.5 * I_z",
                source: "33 CFR 183.455(c)(1): up to 150 % of the current of the conductor, set for this job",
            },
            // Current that protection may let pass for a while, 1.45 I_z, over the current at which a fuse opens.
            _ => FuseRule {
                factor: 1.45 / OPENS_ABOVE,
                formula: "I_max = 1.45 / 1.35 * I_z",
                source: IEC_SOURCE,
            },
        }
    }

    /// How the largest rating for a wire of `stands` came about; `title` names the wire.
    pub fn working(self, title: &str, stands: Amps) -> Option<Working> {
        let what = format!("largest fuse ahead of {title}");
        let working = Working::of(what, self.formula, self.factor * stands.get(), Unit::Ampere, self.source)?;
        let of_wire = format!("current that {title} can carry");
        Some(working.with("I_z", of_wire, stands.get(), Unit::Ampere, Basis::Calculated))
    }
}

const IEC_SOURCE: &str = "overload rule of IEC 60364-4-43 (from memory); that a fuse opens from 1.35 times its rating on is printed for links declared to ISO 8820-3";

/// The table and the rule that the limits of a job go by, in a sentence: whoever reads a verdict must see by what it
/// was reached.
pub fn in_words(settings: &Settings) -> String {
    let table = CurrentTable::of(settings).title();
    format!("Wires are rated by {table}, and the fuses ahead of them by {}.", fuse_rule_title(settings))
}

/// The same where a job goes by others than what holds while nothing is said: what belongs on its drawing.
pub fn chosen_in_words(settings: &Settings) -> Option<String> {
    let is_usual = CurrentTable::of(settings) == CurrentTable::default()
        && settings.word(&settings::FUSE_RULE) == settings::IEC_RULE;
    (!is_usual).then(|| in_words(settings))
}

/// The fuse rule that holds and where it is from.
pub fn fuse_rule_title(settings: &Settings) -> &'static str {
    settings.source(&settings::FUSE_RULE)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::given::Given;
    use crate::kind::Value;

    fn with(key: &'static str, word: &'static str) -> Settings {
        let mut settings = Settings::default();
        settings.said.set(key, Given::Known(Value::Word(word)));
        settings
    }

    #[test]
    fn rules_are_always_told_and_stand_on_the_drawing_only_when_they_were_chosen() {
        let usual = Settings::default();
        assert!(in_words(&usual).contains("DIN VDE 0298-4") && in_words(&usual).contains("IEC 60364-4-43"));
        assert_eq!(chosen_in_words(&usual), None);
        // A table of its own leaves the fuse rule as it is.
        let told = chosen_in_words(&with("current_table", settings::CFR_TABLE)).unwrap();
        assert!(told.contains("33 CFR 183.425") && told.contains("IEC 60364-4-43"), "{told}");
        assert_eq!(FuseRule::of(&with("current_table", settings::CFR_TABLE)).factor, 1.45 / 1.35);
    }

    /// 33 CFR 183.455(c)(1): at most 150 % of the amperes of Table 5 of 33 CFR 183.425, which it brings with it.
    #[test]
    fn the_150_percent_rule_is_told_with_the_table_it_is_about() {
        let settings = with("fuse_rule", settings::CFR_RULE);
        assert_eq!(FuseRule::of(&settings).factor, 1.5);
        let told = chosen_in_words(&settings).unwrap();
        for part in ["33 CFR 183.425 Table 5", "33 CFR 183.455(c)(1)", "150 %"] {
            assert!(told.contains(part), "{told}");
        }
        assert!(!told.contains("VDE"), "{told}");
    }
}
