//! Labels for what is new.

use std::collections::BTreeSet;

use crate::arrange::set_of;
use crate::document::Network;

/// Letter of the designation of a wire, from IEC 81346-2 (from memory; edition not known to us).
const WIRE_LETTER: &str = "W";

/// The labels that are taken, and those handed out.
pub struct Labels {
    parts: BTreeSet<String>,
    wires: BTreeSet<String>,
}

impl Labels {
    /// Those of a network.
    pub fn of(network: &Network) -> Labels {
        let label = |label: &str| label.trim().to_owned();
        Labels {
            parts: set_of(network.parts.iter().map(|part| label(&part.label))),
            wires: set_of(network.wires.iter().map(|wire| label(&wire.label))),
        }
    }

    /// A label for a new part: the letter of its kind and the first number that is free.
    pub fn part(&mut self, letter: &str) -> String {
        numbered(&mut self.parts, letter, 1)
    }

    /// A label for a new wire.
    pub fn wire(&mut self) -> String {
        numbered(&mut self.wires, WIRE_LETTER, 1)
    }

    /// `label` for a copy of a part, or the next like it when it is taken.
    pub fn part_like(&mut self, label: &str) -> String {
        like(&mut self.parts, label)
    }

    /// `label` for a copy of a wire, or the next like it when it is taken.
    pub fn wire_like(&mut self, label: &str) -> String {
        like(&mut self.wires, label)
    }
}

fn numbered(taken: &mut BTreeSet<String>, front: &str, from: u64) -> String {
    let mut number = from;
    loop {
        let label = format!("{front}{number}");
        if taken.insert(label.clone()) {
            return label;
        }
        number += 1;
    }
}

fn like(taken: &mut BTreeSet<String>, label: &str) -> String {
    let label = label.trim();
    if label.is_empty() || taken.insert(label.to_owned()) {
        return label.to_owned();
    }
    let front = label.trim_end_matches(|c: char| c.is_ascii_digit());
    // The copy of a `lamp` is a `lamp 2`; that of `F4` is the first `F` that is free.
    if front.len() < label.len() {
        numbered(taken, front, 1)
    } else {
        numbered(taken, &format!("{label} "), 2)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn labels_count_up_past_those_taken() {
        let mut taken: BTreeSet<String> = ["F1", "F3", "left lamp"].map(str::to_owned).into();
        assert_eq!(numbered(&mut taken, "F", 1), "F2");
        assert_eq!(numbered(&mut taken, "F", 1), "F4");
        assert_eq!(like(&mut taken, "F1"), "F5");
        assert_eq!(like(&mut taken, "F9"), "F9");
        assert_eq!(like(&mut taken, "left lamp"), "left lamp 2");
        assert_eq!(like(&mut taken, "left lamp"), "left lamp 3");
        assert_eq!(like(&mut taken, ""), "");
    }
}
