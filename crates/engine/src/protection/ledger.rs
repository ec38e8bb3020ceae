//! The protection of a job, fuse by fuse and wire by wire.

use crate::arrange;
use crate::circuit::{Circuit, Origin};
use crate::kind::Role;
use crate::protection::against::{FROM_MULTIPLE, slowest_against};
use crate::protection::corner::to_break;
use crate::protection::guard::Guard;
use crate::protection::prospect::{Case, OnWire, Prospects};
use crate::protection::ratings::breaks;
use crate::protection::rules::FuseRule;
use crate::protection::withstand::Withstand;
use crate::protection::zones::Zones;
use crate::quantity::Amps;
use crate::resolve::UsedWire;
use crate::subject::Subject;

/// How it stands with a fuse or a wire.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Standing {
    /// All that is known of it holds.
    Holds,
    /// A source feeds the wire without a fuse.
    Unfused,
    /// More may flow for good than the wire can carry.
    Overload,
    /// A fault may draw too little to open the fuse in time.
    FaultTooSmall,
    /// A short circuit ruins the wire before the fuse opens.
    FuseTooSlow,
    /// A fault may draw more than the fuse can break.
    BreakingNotProved,
    /// A value is missing without which it cannot be told.
    NotKnown,
    /// No source feeds it in any situation.
    NotFed,
}

impl Standing {
    /// The word in command replies.
    pub fn word(self) -> &'static str {
        match self {
            Standing::Holds => "holds",
            Standing::Unfused => "unfused",
            Standing::Overload => "overload",
            Standing::FaultTooSmall => "fault too small",
            Standing::FuseTooSlow => "fuse too slow",
            Standing::BreakingNotProved => "breaking not proved",
            Standing::NotKnown => "not known",
            Standing::NotFed => "not fed",
        }
    }
}

/// What is known of a fuse, a breaker, or the fuse of a donor circuit. `None` is not known, or not so.
#[derive(Clone, Debug, PartialEq)]
pub struct FuseRow {
    /// The part.
    pub subject: Subject,
    /// Rated current.
    pub rated: Option<Amps>,
    /// The least fault that it is the one to end.
    pub fault_lowest: Option<Amps>,
    /// The most that a short circuit right behind it may draw through it.
    pub fault_highest: Option<Amps>,
    /// The greatest current it can break.
    pub breaks: Option<Amps>,
    /// The longest it takes for the least fault, in seconds.
    pub opens_s: Option<f64>,
    /// Whether the least fault opens it in time.
    pub standing: Standing,
}

/// What is known of a wire. `None` is not known, or not so.
#[derive(Clone, Debug, PartialEq)]
pub struct WireRow {
    /// The wire.
    pub subject: Subject,
    /// The fuses that end a fault of it.
    pub fuses: Vec<Subject>,
    /// Their rated current, as far as this wire meets it.
    pub rated: Option<Amps>,
    /// The current it can carry.
    pub stands: Option<Amps>,
    /// The greatest current that may pass for good; not told of a way back.
    pub may_pass: Option<Amps>,
    /// The least and the most a fault draws through it.
    pub fault_lowest: Option<Amps>,
    /// The same, the most.
    pub fault_highest: Option<Amps>,
    /// The short-circuit current at which its fuse is slowest against it.
    pub at: Option<Amps>,
    /// The longest the fuse takes then, in seconds.
    pub opens_s: Option<f64>,
    /// How long the wire endures it, in seconds.
    pub endures_s: Option<f64>,
    /// How it stands with it.
    pub standing: Standing,
}

/// Everything there is to list.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Ledger {
    /// In document order.
    pub fuses: Vec<FuseRow>,
    /// In document order.
    pub wires: Vec<WireRow>,
}

impl Ledger {
    /// The protection of a circuit.
    pub fn new(circuit: &Circuit, zones: &Zones<'_>, prospects: &Prospects<'_>) -> Ledger {
        let mut ledger = Ledger::default();
        for (branch, found) in circuit.branches.iter().enumerate() {
            match (found.role, found.origin) {
                (Role::Protection(_), Origin::Part(part, _)) => {
                    // Of a range the higher end is what wires are held to.
                    let rated = circuit.rating(branch).map(|rating| rating.high);
                    let fault_lowest = least_to_end(prospects, branch);
                    ledger.fuses.push(fuse_row(circuit, prospects, branch, part, rated, fault_lowest));
                }
                (_, Origin::Wire(wire)) => {
                    if let Some(used) = &circuit.resolved.wires[wire] {
                        ledger.wires.push(wire_row(circuit, zones, prospects, branch, used));
                    }
                }
                _ => {}
            }
        }
        let network = &circuit.resolved.network;
        arrange::sort_by_key(&mut ledger.fuses, |row| row.subject.position(network));
        ledger
    }
}

/// The least fault that a link is the one to end, and the longest it takes.
fn least_to_end(prospects: &Prospects<'_>, branch: usize) -> Option<(f64, Option<f64>)> {
    let ends = prospects.lowest.iter().filter_map(|case| {
        let guard = prospects.guard(case)?;
        let amps = case.currents[branch].abs();
        guard.binding().any(|link| link.branch == branch).then(|| (amps, guard.seconds(case.amps.abs())))
    });
    ends.min_by(|a, b| a.0.total_cmp(&b.0))
}

fn fuse_row(
    circuit: &Circuit,
    prospects: &Prospects<'_>,
    branch: usize,
    part: usize,
    rated: Option<Amps>,
    least: Option<(f64, Option<f64>)>,
) -> FuseRow {
    let most = prospects.highest.iter().map(|case| case.currents[branch].abs()).fold(0.0, f64::max);
    let breaks = breaks(&circuit.resolved, part);
    let standing = match (rated, least) {
        (None, _) => Standing::NotKnown,
        (_, None) => Standing::NotFed,
        (Some(rated), Some((amps, _))) if amps < FROM_MULTIPLE * rated.get() => Standing::FaultTooSmall,
        _ if breaks.is_some_and(|breaks| may_not_break(circuit, prospects, branch, breaks)) => {
            Standing::BreakingNotProved
        }
        (_, Some((_, None))) => Standing::NotKnown,
        _ => Standing::Holds,
    };
    FuseRow {
        subject: circuit.subject(branch),
        rated,
        fault_lowest: least.and_then(|(amps, _)| Amps::new(amps)),
        fault_highest: Amps::new(most).filter(|amps| amps.get() > 0.0),
        breaks,
        opens_s: least.and_then(|(_, seconds)| seconds).filter(|seconds| seconds.is_finite()),
        standing,
    }
}

/// Whether a fault may draw more through a link than it can break.
fn may_not_break(circuit: &Circuit, prospects: &Prospects<'_>, link: usize, breaks: Amps) -> bool {
    let beyond = |case: &Case| case.currents[link].abs() > breaks.get();
    let has_lithium =
        circuit.resolved.parts.iter().flatten().any(|used| used.word("chemistry") == Some("lithium"));
    let again = |case: &Case| has_lithium || prospects.again(case, &to_break()).as_ref().is_some_and(beyond);
    prospects.highest.iter().any(|case| beyond(case) && again(case))
}

fn wire_row(
    circuit: &Circuit,
    zones: &Zones<'_>,
    prospects: &Prospects<'_>,
    branch: usize,
    used: &UsedWire,
) -> WireRow {
    let met = prospects.on_wire(branch);
    let stands = used.ampacity().map(|stands| stands.low);
    // A lead to fuses of its own is a matter of how far away they are.
    let withstand = Withstand::of(used).filter(|_| zones.lead(branch).is_none());
    let guarded: Vec<(&OnWire<'_>, &Guard<'_>)> =
        met.iter().filter_map(|one| Some((one, one.guard.as_ref()?))).collect();
    // The current the wire can least endure decides, and the smallest fault over the rating.
    let contest = |(one, guard): &(&OnWire<'_>, &Guard<'_>)| {
        let withstand = withstand.as_ref()?;
        let (amps, opens_s) = slowest_against(guard, withstand, prospects.highest_through(branch, one))?;
        Some((amps, opens_s, withstand.seconds(amps)))
    };
    let contests = guarded.iter().filter_map(contest);
    let worst = contests.max_by(|a, b| (a.1 / a.2).total_cmp(&(b.1 / b.2)));
    let multiple = |(one, guard): &(&OnWire<'_>, &Guard<'_>)| one.amps / guard.rated();
    let least = guarded.iter().min_by(|a, b| multiple(a).total_cmp(&multiple(b)));
    let most = met.iter().map(|one| prospects.highest_through(branch, one)).fold(0.0, f64::max);
    let may_pass = zones.flow_through(branch).and_then(|(amps, _)| Amps::new(amps));
    let is_unproved = least.is_some_and(|(one, guard)| guard.seconds(one.amps).is_none());
    let standing = if guarded.len() < met.len() || met.is_empty() {
        without_guard(circuit, prospects, branch)
    } else if may_pass.zip(stands).is_some_and(|(passes, stands)| {
        passes.get() > FuseRule::of(&circuit.resolved.settings).factor * stands.get()
    }) {
        Standing::Overload
    } else if worst.is_some_and(|(_, opens_s, endures_s)| opens_s > endures_s) {
        Standing::FuseTooSlow
    } else if least.is_some_and(|one| multiple(one) < FROM_MULTIPLE) {
        Standing::FaultTooSmall
    } else if stands.is_none() || is_unproved {
        Standing::NotKnown
    } else {
        Standing::Holds
    };
    let links = least.iter().flat_map(|(_, guard)| guard.binding());
    WireRow {
        subject: circuit.subject(branch),
        fuses: links.map(|link| circuit.subject(link.branch)).collect(),
        rated: least.and_then(|(_, guard)| Amps::new(guard.rated())),
        stands,
        may_pass,
        fault_lowest: met.iter().map(|one| one.amps).min_by(f64::total_cmp).and_then(Amps::new),
        fault_highest: Amps::new(most).filter(|amps| amps.get() > 0.0),
        at: worst.and_then(|(amps, ..)| Amps::new(amps)),
        opens_s: worst.map(|(_, opens_s, _)| opens_s),
        endures_s: worst.map(|(.., endures_s)| endures_s).filter(|seconds| seconds.is_finite()),
        standing,
    }
}

/// How it stands with a wire that nothing guards.
fn without_guard(circuit: &Circuit, prospects: &Prospects<'_>, branch: usize) -> Standing {
    let takes_part = |case: &Case, branch: usize| case.currents[branch].abs() > TAKES_PART * case.amps.abs();
    let is_unrated = |other: &usize| circuit.branches[*other].role == Role::Protection(None);
    let unrated: Vec<usize> = (0..circuit.branches.len()).filter(is_unrated).collect();
    let met: Vec<&Case> = prospects.lowest.iter().filter(|case| takes_part(case, branch)).collect();
    let is_unknown = |case: &&Case| unrated.iter().any(|fuse| takes_part(case, *fuse));
    // A wire behind a fuse meets no fault that does not pass it.
    match met.iter().all(is_unknown) {
        _ if met.is_empty() => Standing::NotFed,
        true => Standing::NotKnown,
        false => Standing::Unfused,
    }
}

/// Share of a fault's current below which a branch does not take part in it.
const TAKES_PART: f64 = 0.01;

#[cfg(test)]
mod tests {
    use super::*;
    use crate::check::Context;
    use crate::circuit::build;
    use crate::document::Settings;
    use crate::notation;

    fn ledger(text: &str) -> Ledger {
        let circuit = build(&notation::network(text).unwrap(), &Settings::default());
        let context = Context::new(&circuit, &[], &[]);
        Ledger::new(&circuit, context.zones(), context.prospects())
    }

    fn standings(text: &str) -> Vec<(String, Standing)> {
        let ledger = ledger(text);
        let fuses = ledger.fuses.into_iter().map(|row| (row.subject.id(), row.standing));
        fuses.chain(ledger.wires.into_iter().map(|row| (row.subject.id(), row.standing))).collect()
    }

    fn run_of(fuse: &str, wire: &str) -> String {
        format!(
            "battery G1 internal_ohm=0.015\nfuse F1 {fuse}\nlamp E1 watts=5\nearth X1
            wire w1 G1.+ F1.1 mm2=16 m=0.1\nwire w2 F1.2 E1.1 {wire} insulation=B\nwire w3 E1.2 X1.1 mm2=16 m=1"
        )
    }

    #[test]
    fn every_fuse_and_wire_is_told_of() {
        let told = |fuse: &str, wire: &str| {
            standings(&run_of(fuse, wire)).into_iter().map(|(_, standing)| standing).collect::<Vec<_>>()
        };
        use Standing::{FaultTooSmall, FuseTooSlow, Holds, NotKnown, Overload, Unfused};
        assert_eq!(told("rating_a=15", "mm2=2.5 m=1"), [Holds, Unfused, Holds, Holds]);
        assert_eq!(told("rating_a=30", "mm2=0.5 m=1"), [Holds, Unfused, Overload, Holds]);
        assert_eq!(told("rating_a=30 family=strip", "mm2=2.5 m=1"), [Holds, Unfused, FuseTooSlow, Holds]);
        assert_eq!(
            told("rating_a=20", "mm2=1.5 m=20"),
            [FaultTooSmall, Unfused, FaultTooSmall, FaultTooSmall]
        );
        assert_eq!(told("", "mm2=2.5 m=1"), [NotKnown, Unfused, NotKnown, NotKnown]);
    }

    #[test]
    fn what_a_fuse_can_break_is_judged_as_the_check_judges_it() {
        let of = |battery: &str| {
            let text = run_of("rating_a=30", "mm2=6 m=1").replace(" internal_ohm=0.015", battery);
            standings(&text).swap_remove(0).1
        };
        assert_eq!(of(" internal_ohm=0.006"), Standing::BreakingNotProved);
        assert_eq!(of(" chemistry=lithium"), Standing::BreakingNotProved);
        assert_eq!(of(""), Standing::Holds);
    }

    #[test]
    fn a_row_has_its_numbers() {
        let ledger = ledger(&run_of("rating_a=15", "mm2=2.5 m=1"));
        let wire = &ledger.wires[1];
        assert_eq!(wire.fuses, [ledger.fuses[0].subject.clone()]);
        assert_eq!(wire.may_pass, Amps::new(15.0));
        assert!((wire.rated.unwrap().get() - 15.0).abs() < 1e-6);
        // 12.0 V over 20 and 5 milliohm, fuse 9.5, 0.1 m of 16 mm2 0.15 and 1 m of 2.5 mm2 9.99.
        let lowest = wire.fault_lowest.unwrap().get();
        assert!((lowest - 12.0 / 0.04464).abs() < 1.0, "{lowest}");
        assert!(wire.fault_highest.unwrap().get() > 500.0);
        let (at, opens, endures) = (wire.at.unwrap(), wire.opens_s.unwrap(), wire.endures_s.unwrap());
        let link = crate::protection::Band::of_link("blade-C", Amps::new(15.0).unwrap()).unwrap();
        assert!((opens / link.slowest_s(at.get() / 15.0) - 1.0).abs() < 1e-6 && opens < endures);
        assert_eq!(ledger.fuses[0].breaks, Amps::new(1000.0));
    }

    #[test]
    fn what_no_source_reaches_is_not_fed() {
        let told = standings("lamp E1 watts=5\nearth X1\nwire w1 E1.2 X1.1 mm2=1 m=1");
        assert_eq!(told, [("w1".to_owned(), Standing::NotFed)]);
    }
}
