//! The fuses and breakers that a fault's current passes, and how long they may take together.

use crate::circuit::reach::walk;
use crate::circuit::{Circuit, NetIndex, Origin};
use crate::kind::{Class, Role};
use crate::protection::band::Band;
use crate::protection::fault::{Currents, upstream};
use crate::quantity::Amps;

/// A fuse, a breaker, or the fuse of a donor circuit.
#[derive(Clone, Debug, PartialEq)]
pub struct Link {
    /// The branch it is.
    pub branch: usize,
    /// Rated current; the highest it may be where only a range was said.
    pub rated: Amps,
    /// The lowest it may be.
    pub rated_least: Amps,
    /// How long it may take; `None` where that is not known.
    pub band: Option<Band>,
    /// Whether it can be closed again.
    pub is_breaker: bool,
    /// Whether it closes again by itself.
    pub is_automatic: bool,
    /// Whether it is the fuse of a donor circuit: whatever type it is, it was there before.
    pub is_of_donor: bool,
}

impl Link {
    /// The links of a circuit, by branch.
    pub fn all(circuit: &Circuit) -> Vec<Option<Link>> {
        (0..circuit.branches.len()).map(|branch| Link::of(circuit, branch)).collect()
    }

    /// Whether it is a breaker without a time to trip, or a fuse of a type that was not said.
    pub fn is_unproved(&self) -> bool {
        self.band.is_none() && !self.is_of_donor
    }

    /// The link that a branch is; `None` for anything else and where its rating is not known.
    pub fn of(circuit: &Circuit, branch: usize) -> Option<Link> {
        let rating = circuit.rating(branch)?;
        let (rated, rated_least) = (rating.high, rating.low);
        let Origin::Part(part, _) = circuit.branches[branch].origin else { return None };
        let used = circuit.resolved.parts[part].as_ref()?;
        let is_breaker = circuit.resolved.network.parts[part].kind.value("reset").is_some();
        let band = match used.word("family") {
            Some(family) => Band::of_link(family, rated),
            None => used.number("trip_s").map(Band::of_breaker),
        };
        let is_automatic = used.word("reset") == Some("automatic");
        let is_of_donor = circuit.resolved.network.parts[part].kind.class == Class::Donor;
        Some(Link { branch, rated, rated_least, band, is_breaker, is_automatic, is_of_donor })
    }
}

/// One link after another opens until nothing flows: a single link, or links side by side that take over from each
/// other.
#[derive(Clone, Debug, PartialEq)]
struct Unit<'l> {
    /// In the order in which they open, each with its share of the current at that time.
    stages: Vec<(&'l Link, f64)>,
    /// The rated current of the whole, in amperes.
    rated: f64,
}

impl<'l> Unit<'l> {
    fn new(mut beside: Vec<(&'l Link, f64)>) -> Unit<'l> {
        let mut stages = Vec::with_capacity(beside.len());
        let mut rated: f64 = 0.0;
        while !beside.is_empty() {
            let needs = |(link, share): &(&Link, f64)| link.rated.get() / share;
            let mut first = 0;
            for other in 1..beside.len() {
                if needs(&beside[other]) < needs(&beside[first]) {
                    first = other;
                }
            }
            let (link, share) = beside.swap_remove(first);
            rated = rated.max(link.rated.get() / share);
            stages.push((link, share));
            // Those that are left take over its share in proportion to their own.
            let left: f64 = beside.iter().map(|(_, share)| share).sum();
            for (_, other) in &mut beside {
                *other *= (left + share) / left;
            }
        }
        Unit { stages, rated }
    }

    fn seconds(&self, amps: f64) -> Option<f64> {
        let stage = |(link, share): &(&Link, f64)| {
            Some(link.band.as_ref()?.slowest_s(amps * share / link.rated.get()))
        };
        self.stages.iter().map(stage).sum()
    }
}

/// What stands between a fault, or a wire, and every source of its current.
#[derive(Clone, Debug, PartialEq)]
pub struct Guard<'l> {
    units: Vec<Unit<'l>>,
}

/// Share of the current from which on a link counts as carrying all of it.
const ALL: f64 = 0.999;

/// Share of the current below which a branch does not count.
const LITTLE: f64 = 0.01;

impl<'l> Guard<'l> {
    /// The links that the current into `start` passes, out of `links` by branch, with `amps` by branch and `of` amperes
    /// in question; `None` where a way past them is open, or their ratings are not known.
    pub fn new(
        circuit: &Circuit,
        links: &'l [Option<Link>],
        amps: &Currents,
        start: NetIndex,
        of: f64,
    ) -> Option<Guard<'l>> {
        let mut units = Vec::new();
        let mut beside = Vec::new();
        let mut is_known = true;
        for branch in upstream(circuit, amps, start, LITTLE * of) {
            if !matches!(circuit.branches[branch].role, Role::Protection(_)) {
                continue;
            }
            let share = amps[branch].abs() / of;
            // What carries all carries exactly all, but for rounding.
            let share = if (share - 1.0).abs() < 1.0 - ALL { 1.0 } else { share };
            match &links[branch] {
                Some(link) if share >= ALL => units.push(Unit::new(vec![(link, share)])),
                Some(link) => beside.push((link, share)),
                None => is_known &= share >= ALL,
            }
        }
        if is_known {
            units.extend(abreast(circuit, amps, start, LITTLE * of, &beside).into_iter().map(Unit::new));
        }
        (!units.is_empty()).then_some(Guard { units })
    }

    /// The current in question, in amperes, at which the link that opens first carries its rated current; of links
    /// side by side, at which all of them have.
    pub fn rated(&self) -> f64 {
        self.units.iter().map(|unit| unit.rated).fold(f64::INFINITY, f64::min)
    }

    /// The longest the links let a current flow, in seconds; `None` where that is not known of any of them.
    pub fn seconds(&self, amps: f64) -> Option<f64> {
        self.units.iter().filter_map(|unit| unit.seconds(amps)).min_by(f64::total_cmp)
    }

    /// The currents at which that time changes its course, in amperes.
    pub fn corners(&self) -> impl Iterator<Item = f64> + '_ {
        let stages = self.units.iter().flat_map(|unit| &unit.stages);
        stages.flat_map(|(link, share)| {
            link.band.iter().flat_map(Band::corners).map(move |multiple| multiple * link.rated.get() / share)
        })
    }

    /// The links that open first: the one with the least rating, or those side by side.
    pub fn binding(&self) -> impl Iterator<Item = &'l Link> {
        let first = self.units.iter().min_by(|a, b| a.rated.total_cmp(&b.rated));
        first.into_iter().flat_map(|unit| unit.stages.iter().map(|(link, _)| *link))
    }

    /// All links.
    pub fn links(&self) -> impl Iterator<Item = &'l Link> {
        self.units.iter().flat_map(|unit| unit.stages.iter().map(|(link, _)| *link))
    }

    /// Whether nothing is known of how soon any of the links opens: breakers without a time to trip, and fuses of a type
    /// that was not said.
    pub fn is_unproved(&self) -> bool {
        let unproved = |unit: &Unit| unit.stages.iter().any(|(link, _)| link.is_unproved());
        self.units.iter().all(unproved)
    }
}

/// Sorts links that each carry a part of the current into rows that carry all of it together: those met first from
/// the fault, those met next, and so on.
fn abreast<'l>(
    circuit: &Circuit,
    amps: &Currents,
    start: NetIndex,
    least: f64,
    beside: &[(&'l Link, f64)],
) -> Vec<Vec<(&'l Link, f64)>> {
    let mut rows = Vec::new();
    let mut from = vec![start];
    let mut left: Vec<(&Link, f64)> = beside.to_vec();
    while !left.is_empty() {
        let mut ahead: Vec<usize> = Vec::new();
        walk(circuit, &from, |index, near| {
            let branch = &circuit.branches[index];
            let into = if branch.to == near { amps[index] } else { -amps[index] };
            let feeds = matches!(branch.role, Role::Path | Role::Protection(_)) && into > least;
            let is_link = left.iter().any(|(link, _)| link.branch == index);
            if feeds && is_link {
                ahead.push(index);
            }
            feeds && !is_link
        });
        let (row, others): (Vec<_>, Vec<_>) =
            left.into_iter().partition(|(link, _)| ahead.contains(&link.branch));
        let together: f64 = row.iter().map(|(_, share)| share).sum();
        if together < ALL {
            break;
        }
        let beyond = |(link, _): &(&Link, f64)| {
            let branch = &circuit.branches[link.branch];
            if amps[link.branch] > 0.0 { branch.from } else { branch.to }
        };
        from = row.iter().map(beyond).collect();
        rows.push(row);
        left = others;
    }
    rows
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::circuit::build;
    use crate::document::Settings;
    use crate::ids::TerminalRef;
    use crate::notation;
    use crate::protection::corner::lowest;
    use crate::protection::fault::{Layout, Live, Place};

    fn with_guard<T>(text: &str, terminal: &str, told: impl Fn(f64, &Guard<'_>) -> T) -> Option<T> {
        let circuit = build(&notation::network(text).unwrap(), &Settings::default());
        let (layout, links) = (Layout::new(&circuit), Link::all(&circuit));
        let net = circuit.net_of(&TerminalRef::parse(terminal).unwrap()).unwrap();
        let live = Live::new(&layout, &lowest().lines(&circuit), &circuit.rest());
        let (amps, currents) = live.currents(Place::Body(net))?;
        Guard::new(&circuit, &links, &currents, net, amps).map(|guard| told(amps, &guard))
    }

    #[test]
    fn of_links_one_behind_another_the_quickest_counts() {
        with_guard(
            "battery G1\nfuse F1 rating_a=30\nfuse F2 rating_a=10\nlamp E1 watts=5
            wire w1 G1.+ F1.1 mm2=6 m=1\nwire w2 F1.2 F2.1 mm2=6 m=1\nwire w3 F2.2 E1.1 mm2=6 m=1",
            "E1.1",
            |amps, guard| {
                assert!((guard.rated() - 10.0).abs() < 1e-6);
                assert_eq!(guard.links().count(), 2);
                let small = Band::of_link("blade-C", Amps::new(10.0).unwrap()).unwrap();
                assert_eq!(guard.seconds(amps), Some(small.slowest_s(amps / 10.0)));
            },
        )
        .unwrap();
    }

    #[test]
    fn links_side_by_side_open_one_after_the_other() {
        with_guard(
            "battery G1\nfuse F1 rating_a=20\nfuse F2 rating_a=20\nlamp E1 watts=5
            wire w1 G1.+ F1.1 mm2=6 m=1\nwire w2 F1.2 E1.1 mm2=6 m=1
            wire w3 G1.+ F2.1 mm2=6 m=1\nwire w4 F2.2 E1.1 mm2=6 m=1",
            "E1.1",
            |_, guard| {
                // Each carries half: 80 A is twice the rating of each, 5 s, then four times that of the last.
                assert!((guard.rated() - 40.0).abs() < 1e-6, "{}", guard.rated());
                let link = Band::of_link("blade-C", Amps::new(20.0).unwrap()).unwrap();
                let seconds = guard.seconds(80.0).unwrap();
                assert!((seconds - 5.0 - link.slowest_s(4.0)).abs() < 1e-6, "{seconds}");
                assert_eq!(guard.binding().count(), 2);
            },
        )
        .unwrap();
    }

    #[test]
    fn links_in_series_on_each_of_two_ways_are_not_added_up() {
        with_guard(
            "battery G1\nfuse F1 rating_a=60\nfuse F2 rating_a=60\nfuse F3 rating_a=3\nfuse F4 rating_a=3
            lamp E1 watts=5
            wire w1 G1.+ F1.1 mm2=6 m=1\nwire w2 F1.2 F3.1 mm2=6 m=1\nwire w3 F3.2 E1.1 mm2=6 m=1
            wire w4 G1.+ F2.1 mm2=6 m=1\nwire w5 F2.2 F4.1 mm2=6 m=1\nwire w6 F4.2 E1.1 mm2=6 m=1",
            "E1.1",
            |_, guard| {
                assert!((guard.rated() - 6.0).abs() < 1e-6, "{}", guard.rated());
                assert_eq!(guard.links().count(), 4);
                let mut binding: Vec<f64> = guard.binding().map(|link| link.rated.get()).collect();
                binding.sort_by(f64::total_cmp);
                assert_eq!(binding, [3.0, 3.0]);
            },
        )
        .unwrap();
    }

    #[test]
    fn a_way_past_the_fuse_is_no_guard() {
        let is_guarded = |text: &str| with_guard(text, "E1.1", |_, _| ()).is_some();
        let past = "wire w3 G1.+ E1.1 mm2=6 m=1";
        let text = |fuse: &str, past: &str| {
            format!(
                "battery G1\nfuse F1 {fuse}\nlamp E1 watts=5
                wire w1 G1.+ F1.1 mm2=6 m=1\nwire w2 F1.2 E1.1 mm2=6 m=1\n{past}"
            )
        };
        assert!(is_guarded(&text("rating_a=20", "")));
        assert!(!is_guarded(&text("rating_a=20", past)));
        assert!(!is_guarded(&text("", "")));
    }

    #[test]
    fn a_breaker_without_a_time_is_not_proved() {
        let text = |first: &str| {
            format!(
                "battery G1\n{first}\nbreaker F2 rating_a=20\nlamp E1 watts=5
                wire w1 G1.+ F1.1 mm2=6 m=1\nwire w2 F1.2 F2.1 mm2=6 m=1\nwire w3 F2.2 E1.1 mm2=6 m=1"
            )
        };
        let told = |first: &str| {
            with_guard(&text(first), "E1.1", |amps, guard| (guard.is_unproved(), guard.seconds(amps)))
        };
        assert!(matches!(told("fuse F1 rating_a=30"), Some((false, Some(_)))));
        assert_eq!(told("breaker F1 rating_a=30"), Some((true, None)));
    }
}
