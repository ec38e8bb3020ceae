//! Questions that a gesture leaves open.

use engine::document::Network;
use engine::ids::{PartId, TerminalRef};

/// A question with its answers.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Offer {
    /// Which of these terminals was meant; the last choice is none of them.
    WhichTerminal(Vec<TerminalRef>),
    /// A terminal holds as many wires as it well can: put a splice, use it anyway, or leave it.
    Splice {
        /// The terminal.
        terminal: TerminalRef,
        /// Whether a wire lands there, else one starts.
        landing: bool,
    },
    /// A joint has no free way: give it one more, or leave it.
    Widen {
        /// The joint.
        part: PartId,
        /// Whether a wire lands there, else one starts.
        landing: bool,
    },
}

impl Offer {
    /// The question.
    pub fn text(&self, network: &Network) -> String {
        match self {
            Offer::WhichTerminal(_) => "Which terminal?".to_owned(),
            Offer::Splice { terminal, .. } => {
                let count = network.wires_at(terminal).count();
                let wires = if count == 1 { "wire ends" } else { "wires end" };
                format!("{count} {wires} on {} already", network.terminal_in_full(terminal))
            }
            Offer::Widen { part, .. } => {
                let title = network.part(part).map_or_else(|| part.as_str(), |part| part.title());
                format!("{title} has no free way")
            }
        }
    }

    /// The answers, in the order in which they are counted.
    pub fn choices(&self, network: &Network) -> Vec<String> {
        let fixed = |words: &[&str]| words.iter().map(|word| (*word).to_owned()).collect();
        match self {
            Offer::WhichTerminal(terminals) => {
                let mut all: Vec<String> = terminals.iter().map(|one| described(network, one)).collect();
                all.push("None of these".to_owned());
                all
            }
            Offer::Splice { .. } => fixed(&["Put a splice", "Use the terminal anyway", "Leave it"]),
            Offer::Widen { .. } => fixed(&["Give it another way", "Leave it"]),
        }
    }
}

/// A terminal with what it is for: `relay K1:87, output to the load while the relay is on`.
pub fn described(network: &Network, terminal: &TerminalRef) -> String {
    let title = network.terminal_in_full(terminal);
    match network.terminal_meaning(terminal) {
        Some(meaning) => format!("{title}, {meaning}"),
        None => title,
    }
}
