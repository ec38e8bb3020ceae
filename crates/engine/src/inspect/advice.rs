//! What may come of a fault, in a buyer's words, and what to do about it before the vehicle is driven.

use crate::document::Severity;
use crate::finding::Harm;
use crate::inspect::{Inspection, Item, Verdict};

/// What to do about one fault. Ordered: the most urgent first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Action {
    /// It can start a fire.
    DoNotDrive,
    /// It may be that it can start a fire.
    LookBeforeDriving,
    /// It does not work, or is outside good practice in a way that gets worse.
    Mend,
    /// It may be that it does not work, or it is outside good practice.
    HaveItLookedAt,
    /// Advice only.
    Fine,
}

impl Action {
    /// In a full sentence.
    pub fn words(self) -> &'static str {
        match self {
            Action::DoNotDrive => {
                "Do not drive it. Disconnect the battery, negative first, and have this mended."
            }
            Action::LookBeforeDriving => "Do not drive it before this has been looked at.",
            Action::Mend => "Have it mended soon, and leave it switched off until then.",
            Action::HaveItLookedAt => "Have it looked at.",
            Action::Fine => "Nothing has to be done before driving.",
        }
    }
}

impl Item {
    /// What to do about it now.
    pub fn action(&self) -> Action {
        let is_sure = self.verdict == Verdict::Sure;
        match (self.severity, self.harm()) {
            (Severity::Stop, Harm::Fire) if is_sure => Action::DoNotDrive,
            (Severity::Stop, Harm::Fire) => Action::LookBeforeDriving,
            (Severity::Stop, Harm::Failure) if is_sure => Action::Mend,
            (Severity::Look, Harm::Fire) if is_sure => Action::Mend,
            (Severity::Stop | Severity::Look, _) => Action::HaveItLookedAt,
            (Severity::Note, _) => Action::Fine,
        }
    }
}

/// What all of it comes to. Ordered: the gravest first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Conclusion {
    /// Something can start a fire.
    DoNotDrive,
    /// Something may start a fire, which looking at it tells.
    LookBeforeDriving,
    /// Something does not work or gets worse.
    MendSoon,
    /// Nothing of that was found.
    NothingDangerous,
    /// There is nothing to judge.
    NothingDrawn,
}

impl Conclusion {
    /// In a few words, as a heading.
    pub fn words(self) -> &'static str {
        match self {
            Conclusion::DoNotDrive => "Do not drive it",
            Conclusion::LookBeforeDriving => "Do not drive it before the doubts below are cleared",
            Conclusion::MendSoon => "Have it mended soon",
            Conclusion::NothingDangerous => "Nothing dangerous found in what was drawn",
            Conclusion::NothingDrawn => "Nothing is drawn, so nothing was judged",
        }
    }

    /// One word for programs.
    pub fn key(self) -> &'static str {
        match self {
            Conclusion::DoNotDrive => "do not drive",
            Conclusion::LookBeforeDriving => "look before driving",
            Conclusion::MendSoon => "mend soon",
            Conclusion::NothingDangerous => "nothing dangerous found",
            Conclusion::NothingDrawn => "nothing drawn",
        }
    }
}

impl Inspection {
    /// What all of it comes to.
    pub fn conclusion(&self) -> Conclusion {
        if self.is_empty {
            return Conclusion::NothingDrawn;
        }
        match self.items.iter().map(Item::action).min() {
            Some(Action::DoNotDrive) => Conclusion::DoNotDrive,
            Some(Action::LookBeforeDriving) => Conclusion::LookBeforeDriving,
            Some(Action::Mend) => Conclusion::MendSoon,
            Some(Action::HaveItLookedAt | Action::Fine) | None => Conclusion::NothingDangerous,
        }
    }
}

/// What may come of what a check finds, in words that need no trade.
pub fn may_happen(check: &str) -> &'static str {
    match check {
        "against-marking" => "Somebody who works on this relay by its markings will go wrong.",
        "back-feed" => "Something that is switched off comes alive from another circuit.",
        "breaking-capacity" => "If this is shorted, the fuse may burst instead of cutting the current off.",
        "charge-exceeded" => {
            "The battery runs down while the engine runs, and the vehicle may not start again."
        }
        "chatter" => "This relay rattles on and off until its contacts weld or burn.",
        "coil-will-not-pull-in" => "This relay may fail to switch on a hot day or with a weak battery.",
        "color-changes" => "Somebody who follows the colour of this wire will follow the wrong one.",
        "contact-overloaded" => "This contact carries more than it is made for: it can melt or weld shut.",
        "destroyed-when-reversed" => "This lamp is connected the wrong way round and is destroyed by it.",
        "earth-overloaded" => {
            "This earth point is overloaded: it can get loose or warm, and lamps on it grow dim."
        }
        "fault-too-small-to-blow" => {
            "If this wire is shorted, its fuse may not open in time, and the wire goes on heating."
        }
        "fuse-larger-than-wire" => {
            "This wire can catch fire if it is shorted or overloaded: its fuse lets more through than the wire stands."
        }
        "fuse-too-small" => {
            "This fuse blows in ordinary use, and what hangs on it goes dead, perhaps at night."
        }
        "insulation-too-cool" => {
            "It is too hot for this wire where it runs: its insulation goes soft and it can short."
        }
        "interlock-broken" => "Something works when it must not, or shows nothing when it should.",
        "label-used-twice" => "Two things carry one name, and somebody will take one for the other.",
        "latches" => {
            "What works depends on what was switched before: it will not always do as the switch says."
        }
        "load-never-lit" => "This does not work, whatever is switched.",
        "missing-earth-return" => {
            "This has no way back to the battery: it does not work, or finds a way through something else."
        }
        "module-tapped" => {
            "Something hangs on a lamp that a control unit drives: it may harm the unit or be misread by it."
        }
        "no-grommet" => "The edge of the sheet metal can cut through this wire and short it.",
        "not-kept-apart" => "This wire lies beside wires that disturb it.",
        "not-selective" => "A fault here may blow a fuse further up, and more goes dead than has to.",
        "parked-drain" => {
            "This draws from the battery while the vehicle is parked: it may not start after some days."
        }
        "poor-earth-surface" => {
            "This earth point is on paint or a moving joint: what hangs on it will fail sooner or later."
        }
        "race" => {
            "What works depends on which relay is quicker: it will do one thing today and another tomorrow."
        }
        "sensor-bypassed" => {
            "The vehicle no longer measures its battery rightly, and may not charge or start as it should."
        }
        "series-batteries-tapped" => {
            "One of two batteries is overcharged and the other run down: it can boil and burst."
        }
        "short-circuit-withstand" => "If this wire is shorted, it burns before its fuse opens.",
        "shorter-than-its-way" => {
            "This wire is drawn shorter than its way is: something about it is not as it was drawn."
        }
        "sneak-path" => "Current takes a way that nobody meant: something may work when it should not.",
        "split-charge" => {
            "The second battery is joined wrongly: its cables can burn, or it drags the first one down."
        }
        "stands-in-for-strap" => {
            "If the strap of the battery works loose, the starter pulls its current through this thin wire, which burns."
        }
        "stiff-where-it-moves" => "This wire is bent again and again and will break.",
        "strap-overloaded" => "The strap of the battery is too weak: everything gets too little voltage.",
        "supply-shorted" => {
            "The battery is shorted in a position of a switch: a fuse blows, or something burns."
        }
        "suppression-reversed" => {
            "The diode at this coil takes the current instead of the coil: it burns or blows the fuse."
        }
        "switched-earth-donor" => {
            "This relay pulls in through a lamp that is off: it works at the wrong time and runs the battery down."
        }
        "tap-without-signal" => {
            "This wire is tapped where its signal does not come: what it switches does not work."
        }
        "taut-where-it-moves" => "This wire has no slack where something moves and will be torn off.",
        "telltale-always-on" => "A tell-tale lights when nothing is on, so that nobody believes it.",
        "too-thin-to-handle" => "This wire is so thin that it breaks when somebody pulls at it.",
        "unconnected-terminal" => "A wire is missing here: something does not work as it should.",
        "undersized-conductor" => {
            "This wire carries more than it stands in ordinary use: it gets hot along its whole length and can burn."
        }
        "unequal-splice" => "The thin wire can slip out of this joint.",
        "unfused-run" => "If this wire is shorted, nothing cuts the battery off: it burns.",
        "unsealed-in-the-wet" => "Water gets in here: it corrodes and fails.",
        "volt-drop" => "This gets too little voltage: it is dim or weak, flickers, or does not work.",
        "works-upside-down" => "This works while it is switched off and goes out when it is switched on.",
        "wrong-voltage" => "This gets another voltage than it is made for: it burns out, or overheats.",
        _ => "",
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::check;

    #[test]
    fn every_check_says_what_may_happen_in_a_sentence_of_its_own() {
        let mut all: Vec<&str> = check::ALL.iter().map(|check| may_happen(check.name)).collect();
        assert!(all.iter().all(|words| words.ends_with('.')), "{all:?}");
        all.sort_unstable();
        assert!(all.windows(2).all(|pair| pair[0] != pair[1]), "{all:?}");
    }
}
