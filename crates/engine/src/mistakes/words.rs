//! What a mistake does, in words.

use super::{Changed, Effect, Table, Unprotected};
use crate::document::Network;
use crate::kind::Class;
use crate::quantity::{Quantity, Unit};
use crate::subject::titles;

impl Changed {
    /// The load and how it is: `lamp E3 is dark`.
    pub fn in_words(&self, network: &Network) -> String {
        let what = match self.name {
            "" => self.subject.title(network),
            name => format!("{name} of {}", self.subject.title(network)),
        };
        format!("{what} is {}", self.is.word())
    }
}

impl Effect {
    /// What it does, one fact after the other, the worst first; without the situation.
    pub fn in_words(&self, network: &Network) -> String {
        let mut facts: Vec<String> = Vec::new();
        for (wire, amps, stands, seconds) in &self.hot {
            let (amps, stands) =
                (Quantity::from(*amps).to_the_thousandth(), Quantity::from(*stands).to_the_thousandth());
            let carries = match seconds {
                None => format!("keeps carrying {amps}"),
                Some(seconds) => format!("carries {amps} for up to {}", time(*seconds)),
            };
            facts.push(format!("{} {carries} and may carry {stands}", wire.title(network)));
        }
        if let Some((watts, ohm)) = self.joint {
            let of = |value: f64, unit: Unit| Quantity::new(value, unit).map(Quantity::to_the_thousandth);
            if let (Some(watts), Some(ohm)) = (of(watts, Unit::Watt), of(ohm.get(), Unit::Ohm)) {
                facts.push(format!("at {ohm} the joint turns {watts} into heat"));
            }
        }
        for (fuse, amps, seconds) in &self.opens {
            let amps = Quantity::from(*amps).to_the_thousandth();
            let when = match seconds {
                Some(seconds) => format!("within {}", time(*seconds)),
                None => "in a time that is not known".to_owned(),
            };
            let is_fuse = fuse
                .part()
                .and_then(|part| network.part(part))
                .is_some_and(|part| part.kind.class == Class::Protection);
            let of = if is_fuse { "" } else { "the fuse of " };
            facts.push(format!("{of}{} opens at {amps}, {when}", fuse.title(network)));
        }
        facts.extend(self.broken.iter().map(|rule| format!("the rule “{rule}” does not hold")));
        facts.extend(self.loads.iter().map(|load| load.in_words(network)));
        for (relay, is_on) in &self.relays {
            facts.push(format!("{} {}", relay.title(network), if *is_on { "pulls in" } else { "stays off" }));
        }
        if self.loads.is_empty() && self.relays.is_empty() && self.harm == super::Harm::Unsettled {
            facts.push(self.verdict.meaning().trim_end_matches('.').to_owned());
        }
        facts.join("; ")
    }
}

impl Unprotected {
    /// What is lost, from which rating on: `from 20 A on, wires W1 and W2 are no longer protected`.
    pub fn in_words(&self, network: &Network) -> String {
        let are = if self.wires.len() == 1 { "is" } else { "are" };
        let wires = titles(network, &self.wires.iter().collect::<Vec<_>>());
        format!("from {} on, {wires} {are} no longer protected", self.rating)
    }
}

/// A time that a fuse takes, in seconds to two digits.
fn time(seconds: f64) -> String {
    Quantity::new(seconds, Unit::Second).map_or_else(
        || "a time that is not known".to_owned(),
        |time| {
            if seconds < 0.01 { "0.01 s".to_owned() } else { time.to_the_thousandth().to_string() }
        },
    )
}

impl Table {
    /// The situations of some effects, as they stand in a sentence.
    pub fn when(&self, effect: &Effect) -> &str {
        &self.situations[effect.situation]
    }
}
