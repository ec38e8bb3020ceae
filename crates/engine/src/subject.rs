//! What a statement is about: a part, a terminal, a wire or a net. Never a coordinate.

use std::fmt;

use crate::document::Network;
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

    /// As a person names it: `fuse F1`, `wire W3`, `K1:30`.
    pub fn title(&self, network: &Network) -> String {
        match self {
            Subject::Part(id) => network
                .part(id)
                .map_or_else(|| id.to_string(), |part| format!("{} {}", part.kind.noun, part.title())),
            Subject::Wire(id) => {
                format!("wire {}", network.wire(id).map_or(id.as_str(), |wire| wire.title()))
            }
            Subject::Terminal(terminal) | Subject::Net(terminal) => network.terminal_title(terminal),
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

impl fmt::Display for Subject {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} {}", self.key(), self.id())
    }
}
