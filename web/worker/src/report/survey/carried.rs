//! What the fields of a survey carry from one card to the next, as texts.

use engine::donor_survey::{Against, At, Drive, Lights, Reading, Readings, Spot, Taken};
use engine::kind::{Form, by_name};

use super::super::Asked;

const LIGHTS: [(Lights, &str); 4] =
    [(Lights::Off, "off"), (Lights::On, "on"), (Lights::Other, "other"), (Lights::Unplugged, "unplugged")];

const DRIVES: [(Drive, &str); 3] =
    [(Drive::Contact, "contact"), (Drive::Module, "module"), (Drive::NotKnown, "not-known")];

/// What a lamp of the vehicle may be for.
pub fn signals() -> &'static [&'static str] {
    match by_name("donor").and_then(|kind| kind.value("signal")).map(|spec| spec.form) {
        Some(Form::Word(words)) => words,
        _ => &[],
    }
}

/// A spot as a word: `off-1-earth`, `on-2-positive-peak`.
pub fn code(spot: Spot) -> String {
    let lights = LIGHTS.iter().find(|(lights, _)| *lights == spot.lights).map_or("", |(_, word)| word);
    let at = match spot.at {
        At::Battery => "0",
        At::First => "1",
        At::Second => "2",
    };
    let against = if spot.against == Against::Earth { "earth" } else { "positive" };
    format!("{lights}-{at}-{against}{}", if spot.is_peak { "-peak" } else { "" })
}

/// The spot of a word.
pub fn spot_of(word: &str) -> Option<Spot> {
    Spot::every().into_iter().find(|spot| code(*spot) == word)
}

/// The word for what drives a lamp.
pub fn drive_word(drive: Drive) -> &'static str {
    DRIVES.iter().find(|(one, _)| *one == drive).map_or("", |(_, word)| word)
}

/// What drives a lamp, by its word.
pub fn drive_of(word: &str) -> Option<Drive> {
    DRIVES.iter().find(|(_, one)| *one == word).map(|(drive, _)| *drive)
}

/// Readings as one text: `off-1-earth:12.6 on-1-earth:x`.
pub fn written(readings: &Readings) -> String {
    let one = |reading: &Reading| {
        let shown = match reading.taken {
            Taken::Volts(volts) => volts.to_string(),
            Taken::OutOfReach => "x".to_owned(),
        };
        format!("{}:{shown}", code(reading.spot))
    };
    readings.taken.iter().map(one).collect::<Vec<_>>().join(" ")
}

/// What the fields carry.
pub fn readings(asked: &Asked<'_>) -> Readings {
    let one = |text: &str| {
        let (spot, shown) = text.split_once(':')?;
        let taken = match shown {
            "x" => Taken::OutOfReach,
            volts => Taken::Volts(volts.parse().ok()?),
        };
        Some(Reading { spot: spot_of(spot)?, taken })
    };
    let text = asked.field("readings").unwrap_or_default();
    let name = |field: &str| asked.field(field).unwrap_or_default().to_owned();
    Readings {
        names: [name("name1"), name("name2")],
        taken: text.split_ascii_whitespace().filter_map(one).collect(),
        drive: asked.field("drive").and_then(drive_of),
    }
}
