//! The kinds of parts in the order in which they are offered: first what every job is drawn with, then all others by what
//! they are for.

use engine::kind::{self, Class, Kind};

/// The heading of what is in most jobs.
const FIRST: &str = "In most jobs";

/// The headings of all other kinds, and the classes under each.
const OTHERS: &[(&str, &[Class])] = &[
    ("Supply", &[Class::Battery, Class::Generator]),
    ("Signal from the vehicle", &[Class::Donor]),
    ("Protection", &[Class::Protection]),
    ("Switching", &[Class::Contact, Class::Valve]),
    ("Loads", &[Class::Load]),
    ("Joints and earth", &[Class::Joint, Class::Earth]),
];

/// Every kind once, under its heading; no heading is without kinds.
pub fn groups() -> impl Iterator<Item = (&'static str, Vec<&'static Kind>)> {
    let others = OTHERS.iter().filter_map(|(heading, classes)| {
        let is_here = |kind: &&Kind| classes.contains(&kind.class) && !kind::MOST_USED.contains(kind);
        let kinds: Vec<&'static Kind> = kind::ALL.iter().copied().filter(is_here).collect();
        (!kinds.is_empty()).then_some((*heading, kinds))
    });
    std::iter::once((FIRST, kind::MOST_USED.to_vec())).chain(others)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_kind_is_offered_once() {
        let offered: Vec<&Kind> = groups().flat_map(|(_, kinds)| kinds).collect();
        assert_eq!(offered.len(), kind::ALL.len());
        for kind in kind::ALL {
            assert!(offered.contains(kind), "{}", kind.name);
        }
    }
}
