//! A survey in words: where the leads go, what the readings say, and what follows.

use super::candidate::Nature;
use super::fit::{Next, Survey, Verdict};
use super::world::Pin;
use super::{Against, At, Lights, Readings, Spot};
use crate::quantity::capital;

/// What must never be done at a plug of which nothing is known yet.
pub fn caution() -> &'static str {
    "Use a meter, never a filament test lamp, on wires that a module, an airbag or a data line may be on. Leave airbag and \
     orange high-voltage plugs alone."
}

/// Which lights are on, in words; `signal` is what the vehicle uses the lamp for.
pub fn lights_words(lights: Lights, signal: &str) -> String {
    let lamp = if signal.is_empty() { "the lamp that you survey" } else { signal };
    match lights {
        Lights::Off => "Ignition and all lights off, lamp plugged in".to_owned(),
        Lights::On => format!("Switch on {lamp}, lamp plugged in"),
        Lights::Other => format!("Switch on {}, and {lamp} off, lamp plugged in", other_light(signal)),
        Lights::Unplugged => {
            "Everything off, and this lamp unplugged on both sides of the vehicle: read at the contacts of the plug".to_owned()
        }
    }
}

/// The light of the same unit that is tried besides the lamp's own.
fn other_light(signal: &str) -> &'static str {
    match signal {
        "main beam" => "dipped beam",
        "dipped beam" => "main beam",
        "brake" => "the position lamps",
        _ => "another light of the same unit",
    }
}

/// Where the leads go for a reading.
pub fn spot_words(spot: Spot, readings: &Readings) -> String {
    let on = match spot.at {
        At::Battery => "the positive pole of the battery".to_owned(),
        At::First => readings.name(0),
        At::Second => readings.name(1),
    };
    let how = leads_words(&on, spot.against);
    if spot.is_peak { format!("{how}, highest value held") } else { how }
}

/// Where the two leads go when one of them is on this.
pub fn leads_words(on: &str, against: Against) -> String {
    match against {
        Against::Earth => format!("Red lead on {on}, black lead on bare metal of the body"),
        Against::Positive => format!("Red lead on the positive pole of the battery, black lead on {on}"),
    }
}

/// What is asked next, in one sentence.
pub fn next_words(next: Next, readings: &Readings, signal: &str) -> String {
    match next {
        Next::Take(spot) => format!("{}. {}.", lights_words(spot.lights, signal), spot_words(spot, readings)),
        Next::SayDrive => "Say what drives the lamp: a meter does not tell a module that neither pulses nor watches its lamp from a contact.".to_owned(),
    }
}

/// What a nature is called.
pub fn of_nature(nature: Nature) -> &'static str {
    match nature {
        Nature::Positive => "switched on its positive side",
        Nature::EarthPermanent => "switched to earth, its common feed always live",
        Nature::EarthSwitched => "switched to earth, its common feed switched too",
        Nature::Module => "driven by a module, or in pulses",
        Nature::NotThese => "not the two wires of this lamp",
    }
}

/// What the readings come to, in sentences; each stands by itself.
pub fn verdict_words(survey: &Survey, readings: &Readings, signal: &str) -> Vec<String> {
    let mut told = vec![match &survey.verdict {
        Verdict::NoReadings => "Nothing has been read yet.".to_owned(),
        Verdict::One(nature) => format!("The lamp is {}.", of_nature(*nature)),
        Verdict::Several(natures) => {
            let each: Vec<&str> = natures.iter().map(|nature| of_nature(*nature)).collect();
            match survey.next {
                Some(_) => format!("Not enough yet. It may be: {}.", each.join("; ")),
                None => format!("These readings do not tell which of these it is: {}.", each.join("; ")),
            }
        }
        Verdict::Disagree(again) => format!("These readings do not agree: take {} again.", again_words(again, readings, signal)),
        Verdict::AgainstWhatIsSaid => {
            "These readings do not agree with what is said to drive the lamp: look that up again, or take them again.".to_owned()
        }
    }];
    let not_these = survey.verdict == Verdict::One(Nature::NotThese);
    if not_these {
        told[0] = "These are not the two wires of this lamp.".to_owned();
        told.extend([0, 1].map(|wire| wire_words(survey, readings, wire)));
    } else if let Some(positive) = survey.positive() {
        let (positive, other) = (capital(&readings.name(positive)), readings.name(1 - positive));
        told.push(format!("{positive} is its positive wire, {other} the negative one."));
    }
    if survey.lamp_is_open() && !not_these {
        told.push(
            "The lamp joins its two wires in none of these readings: it is blown, not plugged in, or not a filament lamp."
                .to_owned(),
        );
    }
    told
}

/// What a wire that is not one of the lamp's two may be.
fn wire_words(survey: &Survey, readings: &Readings, wire: usize) -> String {
    let mut may_be: Vec<&str> = Vec::new();
    for candidate in &survey.fits {
        let is = match candidate.pins[wire] {
            Pin::Own => "follows the lamp",
            Pin::Common if candidate.side == super::Side::Positive => "is always earth",
            Pin::Common if candidate.feed == super::Feed::PERMANENT => "is always live",
            Pin::Common => "is a feed of several lamps",
            Pin::Other => "follows another light",
            Pin::Any => "is on with every light",
            Pin::Live => "is always live",
            Pin::Earth => "is always earth",
            Pin::Nothing => "is on nothing",
        };
        if !may_be.contains(&is) {
            may_be.push(is);
        }
    }
    format!("{} {}.", capital(&readings.name(wire)), may_be.join(", or "))
}

fn again_words(again: &[Spot], readings: &Readings, signal: &str) -> String {
    let one = |spot: &Spot| {
        let how = match spot.against {
            Against::Earth => "against earth",
            Against::Positive => "against battery positive",
        };
        let what = match spot.at {
            At::Battery => "the battery".to_owned(),
            At::First => readings.name(0),
            At::Second => readings.name(1),
        };
        let peak = if spot.is_peak { ", highest value" } else { "" };
        format!("{what} {how}{peak} ({})", short_lights(spot.lights, signal))
    };
    let each: Vec<String> = again.iter().map(one).collect();
    each.join(" or ")
}

/// A light position in as few words as do.
pub(super) fn short_lights(lights: Lights, signal: &str) -> String {
    match lights {
        Lights::Off => "lights off".to_owned(),
        Lights::On if signal.is_empty() => "lamp on".to_owned(),
        Lights::On => format!("{signal} on"),
        Lights::Other => format!("{} on", other_light(signal)),
        Lights::Unplugged => "unplugged".to_owned(),
    }
}

/// What follows from what the lamp is, in sentences.
pub fn why_words(survey: &Survey) -> Vec<&'static str> {
    let natures = survey.natures();
    let mut told = Vec::new();
    if survey.verdict == Verdict::NoReadings {
        return told;
    }
    let only =
        |wanted: &[Nature]| !natures.is_empty() && natures.iter().all(|nature| wanted.contains(nature));
    if only(&[Nature::Positive]) {
        told.push("The relay coil may go from the positive wire, with a fuse at the tap and the cab switch in that lead, to earth.");
    }
    if only(&[Nature::EarthPermanent, Nature::EarthSwitched]) {
        told.push("The relay coil goes across the lamp's own two wires: 86 with the cab switch on the positive wire, 85 on the wire that is switched to earth. That is right whatever feeds the lamp.");
        told.push("Never put the coil between one of these wires and earth, or take its positive from elsewhere: it may pull in through the lamp while that is off.");
    }
    if only(&[Nature::EarthPermanent]) {
        told.push("A feed that comes from behind, through a lamp elsewhere, reads as always live too: no coil should rest on it.");
    }
    if only(&[Nature::Module]) {
        told.push("Do not tap it with a coil. Use an interface with a trigger input, or another donor that a plain contact switches.");
        told.push("A plain meter shows the mean of pulses; one that holds the highest value shows the full voltage.");
    } else if natures.contains(&Nature::Module) && natures.len() > 1 && survey.next.is_none() {
        told.push("While a module is not ruled out no wiring is offered: the vehicle's wiring diagram, or a relay that clicks with the light, tells.");
    }
    told
}
