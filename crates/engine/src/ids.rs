//! Identities of parts, wires, terminals, places and routes.
//!
//! An id is what the file says, kept for ever: it never changes with a label, and deleting its
//! owner does not free it. Cloning an id copies a pointer.

use std::fmt;
use std::sync::Arc;

/// Longest id accepted, in characters.
pub const LONGEST_ID: usize = 64;

/// Whether `text` may serve as an id: 1 to [`LONGEST_ID`] ASCII letters, digits, `_` or `-`.
///
/// The dot is left out because it separates part and terminal in a [`TerminalRef`].
pub fn is_id(text: &str) -> bool {
    (1..=LONGEST_ID).contains(&text.len())
        && text.bytes().all(|b| b.is_ascii_alphanumeric() || b == b'_' || b == b'-')
}

macro_rules! id {
    ($(#[$doc:meta])* $name:ident) => {
        $(#[$doc])*
        #[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub struct $name(Arc<str>);

        impl $name {
            /// The id with this text, unless [`is_id`] refuses it.
            pub fn new(text: &str) -> Option<$name> {
                is_id(text).then(|| $name(Arc::from(text)))
            }

            /// The id as the file writes it.
            pub fn as_str(&self) -> &str {
                &self.0
            }
        }

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str(&self.0)
            }
        }
    };
}

id!(
    /// Identity of a part.
    PartId
);
id!(
    /// Identity of a wire.
    WireId
);
id!(
    /// Identity of a place on the vehicle plan.
    PlaceId
);
id!(
    /// Identity of a route between two places.
    RouteId
);

/// The name of a terminal within its part: `30`, `87`, `+`, `out1`.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct TerminalName(Arc<str>);

impl TerminalName {
    /// A terminal name; any text, because only a kind decides which names exist.
    pub fn new(text: &str) -> TerminalName {
        TerminalName(Arc::from(text))
    }

    /// The name as printed beside the terminal.
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl fmt::Display for TerminalName {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

/// One terminal of one part, written `part.terminal`.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct TerminalRef {
    /// The part.
    pub part: PartId,
    /// The terminal's name within the part.
    pub terminal: TerminalName,
}

impl TerminalRef {
    /// The terminal `terminal` of `part`.
    pub fn new(part: &PartId, terminal: &str) -> TerminalRef {
        TerminalRef { part: part.clone(), terminal: TerminalName::new(terminal) }
    }

    /// Reads `part.terminal`; `None` when there is no dot, no terminal or no valid part id.
    pub fn parse(text: &str) -> Option<TerminalRef> {
        let (part, terminal) = text.split_once('.')?;
        let part = PartId::new(part)?;
        (!terminal.is_empty()).then(|| TerminalRef { part, terminal: TerminalName::new(terminal) })
    }
}

impl fmt::Display for TerminalRef {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}.{}", self.part, self.terminal)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn terminal_references_read_back_as_written() {
        for text in ["p1.30", "p2.+", "G-1.B+", "x.1a"] {
            assert_eq!(TerminalRef::parse(text).unwrap().to_string(), text);
        }
    }

    #[test]
    fn malformed_terminal_references_are_refused() {
        for text in ["", "p1", "p1.", ".30", "p 1.30", "<p>.1"] {
            assert_eq!(TerminalRef::parse(text), None, "{text}");
        }
    }
}
