//! What a statement is about: a part, a terminal, a wire or a net. Never a coordinate.

use std::fmt;

use super::Network;
use crate::ids::{PartId, TerminalRef, WireId};

/// The thing a finding, an assumption or a reading speaks of.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Subject {
    /// A part.
    Part(PartId),
    /// A terminal of a part.
    Terminal(TerminalRef),
    /// A wire.
    Wire(WireId),
    /// A net, named by the first of its terminals in document order.
    Net(TerminalRef),
}

impl Subject {
    /// The word for what it is, as command replies use it as a key.
    pub fn key(&self) -> &'static str {
        match self {
            Subject::Part(_) => "part",
            Subject::Terminal(_) => "terminal",
            Subject::Wire(_) => "wire",
            Subject::Net(_) => "net",
        }
    }

    /// The id, as the job file writes it.
    pub fn id(&self) -> String {
        match self {
            Subject::Part(part) => part.to_string(),
            Subject::Wire(wire) => wire.to_string(),
            Subject::Terminal(terminal) | Subject::Net(terminal) => terminal.to_string(),
        }
    }

    /// As a person names it: `fuse F1`, `wire W3`, `relay K1 terminal 30`.
    ///
    /// The noun always stands in front, because one letter designates several sorts of part: a splice and an earth
    /// point are both X.
    pub fn title(&self, network: &Network) -> String {
        let of_part = |id: &PartId| match network.part(id) {
            Some(part) => format!("{} {}", part.kind.noun, part.title()),
            None => id.to_string(),
        };
        match self {
            Subject::Part(id) => of_part(id),
            Subject::Wire(id) => {
                format!("wire {}", network.wire(id).map_or(id.as_str(), |wire| wire.title()))
            }
            Subject::Terminal(terminal) | Subject::Net(terminal) => {
                format!("{} terminal {}", of_part(&terminal.part), terminal.terminal)
            }
        }
    }

    /// Whether there is such a thing in `network`.
    pub fn is_in(&self, network: &Network) -> bool {
        match self {
            Subject::Part(id) => network.part(id).is_some(),
            Subject::Wire(id) => network.wire(id).is_some(),
            Subject::Terminal(terminal) | Subject::Net(terminal) => {
                network.part(&terminal.part).is_some_and(|part| part.has_terminal(&terminal.terminal))
            }
        }
    }

    /// The part it is about, or whose terminal it is; `None` for a wire.
    pub fn part(&self) -> Option<&PartId> {
        match self {
            Subject::Part(part) => Some(part),
            Subject::Terminal(terminal) | Subject::Net(terminal) => Some(&terminal.part),
            Subject::Wire(_) => None,
        }
    }

    /// Where it stands in the document, for sorting: wires after parts.
    pub fn position(&self, network: &Network) -> usize {
        let found = match self {
            Subject::Wire(id) => {
                network.wires.iter().position(|wire| wire.id == *id).map(|index| network.parts.len() + index)
            }
            other => other.part().and_then(|id| network.parts.iter().position(|part| part.id == *id)),
        };
        found.unwrap_or(usize::MAX)
    }
}

/// Several things as a sentence names them: `wires W1, W2 and W4`.
pub fn titles(network: &Network, subjects: &[&Subject]) -> String {
    let are_wires = subjects.len() > 1 && subjects.iter().all(|one| matches!(one, Subject::Wire(_)));
    let title = |subject: &&Subject| match subject {
        Subject::Wire(id) if are_wires => {
            network.wire(id).map_or(id.as_str(), |wire| wire.title()).to_owned()
        }
        _ => subject.title(network),
    };
    let names: Vec<String> = subjects.iter().map(title).collect();
    let joined = match names.split_last() {
        Some((last, rest)) if !rest.is_empty() => format!("{} and {last}", rest.join(", ")),
        _ => names.concat(),
    };
    if are_wires { format!("wires {joined}") } else { joined }
}

impl fmt::Display for Subject {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} {}", self.key(), self.id())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::notation;

    #[test]
    fn what_shares_a_letter_is_told_apart_by_its_noun() {
        let network = notation::network("splice X1\nearth X2\nbar X3\nwire W1 X1.1 X2.1").unwrap();
        let title = |subject: &Subject| subject.title(&network);
        let part = |id: &str| Subject::Part(PartId::new(id).unwrap());
        assert_eq!(title(&part("X1")), "splice X1");
        assert_eq!(title(&part("X2")), "earth point X2");
        assert_eq!(title(&part("X3")), "distribution bar X3");
        let wire = &network.wires[0];
        assert_eq!(title(&Subject::Terminal(wire.from.clone())), "splice X1 terminal 1");
        assert_eq!(title(&Subject::Net(wire.to.clone())), "earth point X2 terminal 1");
        assert_eq!(network.terminal_in_full(&wire.to), "earth point X2:1");
    }
}
