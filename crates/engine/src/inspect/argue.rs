//! When a finding is sure.
//!
//! That it stands in every document that was tried is not enough: a sample proves nothing. One of four reasons has to
//! hold besides.
//!
//! * **Nothing is unknown.** Then there is but one document.
//! * **It is a matter of what is joined.** Some checks ask which terminals are joined with every contact closed, what
//!   was said in words, or what is called how. No number that may be unknown is among what they read.
//! * **One way.** Some checks compare two numbers, each of which goes one way with each unknown value: a longer wire has
//!   more resistance, a thicker one stands more, a larger fuse lets more pass. In a linear network a voltage or current is
//!   a quotient of two linear functions of any one resistance, so it moves one way along it. What is furthest from the
//!   limit is then a corner, and which corner it is is told by the margin, one value at a time. It must stand in that
//!   corner too. Because lamps and electronic loads bend the network a little, a margin below [`ROOM`] anywhere is not
//!   enough. Where a check tells no margin, every corner of the sorts of values is tried instead: of what the finding
//!   hangs on, all values of one sort move it the same way, and so do those of everything else together.
//! * **Every corner.** Other checks ask whether a relay pulls in or a lamp works, which hangs on several values at once.
//!   In a linear network a voltage is a quotient of two functions that are linear in each resistance, so that over a range
//!   of resistances it is greatest and least at a corner, and a threshold that is passed in every corner is passed
//!   everywhere. All corners are tried where there are up to [`MOST_AT_ONCE`] values, the size and the length of one wire
//!   being one resistance. With more, the finding counts as possible.

use crate::document::Severity;
use crate::inspect::corners::{used, worst};
use crate::inspect::tried::{Bench, Key};
use crate::inspect::unknown::Unknown;
use crate::subject::Subject;

/// Why a finding is sure.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Reason {
    /// No value is unknown.
    NothingUnknown,
    /// It is a matter of what is joined, and of words.
    Joined,
    /// Each unknown value moves it one way, and it stands where they move it furthest away.
    OneWay,
    /// It stands in every corner of what is not known.
    EveryCorner,
}

/// How a check hangs on numbers that may be unknown.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Rests {
    /// On none.
    Joined,
    /// On two numbers, each of which goes one way with each of them.
    OneWay,
    /// On whether something works or pulls in.
    Together,
}

/// Least margin of a finding that is sure because each value moves it one way.
const ROOM: f64 = 1.01;

/// Most resistances of which all corners are tried.
const MOST_AT_ONCE: usize = 6;

/// Checks that ask what is joined and what was said in words.
const JOINED: &[&str] = &[
    "against-marking",
    "color-changes",
    "label-used-twice",
    "missing-earth-return",
    "no-grommet",
    "poor-earth-surface",
    "sensor-bypassed",
    "series-batteries-tapped",
    "stiff-where-it-moves",
    "taut-where-it-moves",
    "unconnected-terminal",
    "unsealed-in-the-wet",
];

/// Checks that compare two numbers.
const ONE_WAY: &[&str] = &[
    "breaking-capacity",
    "contact-overloaded",
    "earth-overloaded",
    "fault-too-small-to-blow",
    "fuse-larger-than-wire",
    "fuse-too-small",
    "insulation-too-cool",
    "module-tapped",
    "parked-drain",
    "shorter-than-its-way",
    "stands-in-for-strap",
    "strap-overloaded",
    "supply-shorted",
    "too-thin-to-handle",
    "undersized-conductor",
    "unfused-run",
    "volt-drop",
    "wrong-voltage",
];

/// How the check of this name hangs on numbers.
pub(super) fn rests(check: &str) -> Rests {
    match check {
        check if JOINED.contains(&check) => Rests::Joined,
        check if ONE_WAY.contains(&check) => Rests::OneWay,
        _ => Rests::Together,
    }
}

/// Why a finding is sure to stand and to matter at least so much; `None` when it is not. `near` is what it hangs on.
pub(super) fn sure(bench: &mut Bench<'_>, key: &Key, severity: Severity, near: &[Subject]) -> Option<Reason> {
    let stands_everywhere =
        |bench: &Bench<'_>| bench.tried().iter().all(|(_, outcome)| outcome.has(key, severity));
    if !stands_everywhere(bench) {
        return None;
    }
    if bench.unknowns.is_empty() {
        return Some(Reason::NothingUnknown);
    }
    let reason = match rests(key.0) {
        Rests::Joined => return Some(Reason::Joined),
        Rests::OneWay if has_margins(bench, key) => {
            for from in [used(bench.unknowns), worst(bench.unknowns)] {
                let kindest = kindest(bench, key, &from);
                bench.outcome(&kindest);
            }
            // A margin may be told for another thing that speaks for this one; where one is told, it has to have room.
            let mut margins = bench.tried().iter().filter_map(|(_, outcome)| outcome.margin(key));
            if !margins.all(|margin| margin >= ROOM) {
                return None;
            }
            Reason::OneWay
        }
        Rests::OneWay => {
            every_corner(bench, &by_sort(bench.unknowns, near))?;
            Reason::OneWay
        }
        Rests::Together => {
            every_corner(bench, &by_resistance(bench.unknowns))?;
            Reason::EveryCorner
        }
    };
    stands_everywhere(bench).then_some(reason)
}

/// Whether the margin of a finding is known wherever it speaks for itself, and somewhere at all.
fn has_margins(bench: &Bench<'_>, key: &Key) -> bool {
    let told = bench.tried().iter().filter(|(_, outcome)| outcome.margin(key).is_some()).count();
    2 * told > bench.tried().len()
}

/// Each value at the end at which, by itself from these numbers, the finding is nearest to its limit.
pub(super) fn kindest(bench: &mut Bench<'_>, key: &Key, from: &[f64]) -> Vec<f64> {
    let mut kindest = from.to_vec();
    for (index, unknown) in bench.unknowns.iter().enumerate() {
        let mut margin_at = |number: f64| {
            let mut turned = from.to_vec();
            turned[index] = number;
            let outcome = bench.outcome(&turned);
            // Where it does not stand it is beyond its limit the other way.
            let stands = outcome.severity(key).is_some();
            if stands { outcome.margin(key).unwrap_or(f64::INFINITY) } else { 0.0 }
        };
        let (bad, good) = unknown.ends();
        kindest[index] = if margin_at(bad) < margin_at(good) { bad } else { good };
    }
    kindest
}

/// Values that move as one, each with its number at the one end and at the other.
type Group = Vec<(usize, f64, f64)>;

/// Tries every corner of these; `None` when there are too many.
fn every_corner(bench: &mut Bench<'_>, groups: &[Group]) -> Option<()> {
    if groups.len() > MOST_AT_ONCE {
        return None;
    }
    for corner in 0..1_u32 << groups.len() {
        let mut numbers = used(bench.unknowns);
        for (bit, group) in groups.iter().enumerate() {
            for (index, one, other) in group {
                numbers[*index] = if corner >> bit & 1 == 0 { *one } else { *other };
            }
        }
        bench.outcome(&numbers);
    }
    Some(())
}

/// What moves currents: size and length of a wire are one resistance.
fn by_resistance(unknowns: &[Unknown]) -> Vec<Group> {
    grouped(unknowns, |unknown| {
        let of_wire = matches!(unknown.key, "size" | "length_m");
        let key = if of_wire { "resistance" } else { unknown.key };
        unknown.moves_currents().then(|| (key, Some(unknown.subject.clone())))
    })
}

/// Values of one sort, apart from those of what is `near`; the limits of a wire that is not near have no say.
fn by_sort(unknowns: &[Unknown], near: &[Subject]) -> Vec<Group> {
    grouped(unknowns, |unknown| {
        let is_near = near.contains(&unknown.subject);
        (is_near || !unknown.is_limit_of_wire()).then_some((unknown.key, is_near))
    })
}

fn grouped<K: PartialEq>(unknowns: &[Unknown], key: impl Fn(&Unknown) -> Option<K>) -> Vec<Group> {
    let mut groups: Vec<(K, Group)> = Vec::new();
    for (index, unknown) in unknowns.iter().enumerate() {
        let Some(key) = key(unknown) else { continue };
        let (bad, good) = unknown.ends();
        match groups.iter_mut().find(|(known, _)| *known == key) {
            Some((_, group)) => group.push((index, bad, good)),
            None => groups.push((key, vec![(index, bad, good)])),
        }
    }
    groups.into_iter().map(|(_, group)| group).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::check;

    #[test]
    fn the_tables_name_checks_that_there_are_and_none_twice() {
        let mut all: Vec<&str> = JOINED.iter().chain(ONE_WAY).copied().collect();
        assert!(all.iter().all(|name| check::by_name(name).is_some()), "{all:?}");
        all.sort_unstable();
        assert!(all.windows(2).all(|pair| pair[0] != pair[1]), "{all:?}");
    }
}
