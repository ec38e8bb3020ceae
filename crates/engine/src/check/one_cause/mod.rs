//! One cause for several findings: a wire on the wrong terminal, two wires exchanged, or a wire too many.
//!
//! Each check tells what is wrong in its own words, and what one check's findings follow from is known from the table of
//! checks. A wire on the wrong terminal has effects that no table can foresee: a fuse that is too small here, a lamp that
//! stays dark there. So where several findings are left, single changes of the wiring near them are tried on the network,
//! as a fitter would try them in his head. A change that takes several findings away and brings none is their cause: they
//! become one finding, and the change is what to do about it.
//!
//! Before that what a finding asks for by itself is tried: a loose end connected, a strap cleaned, a smaller fuse fitted.
//! And where a single finding is left that mostly comes of a wire on the wrong terminal, the few changes that it mostly
//! comes of are tried too, so that it can be told of the wire.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use crate::check::{ALL, Check, Context};
use crate::circuit::{Branch, Origin};
use crate::document::{Edit, Network, Situation};
use crate::finding::{Finding, Severity};
use crate::ids::PartId;
use crate::kind::Role;
use crate::subject::Subject;

mod changes;
mod cures;
mod near;
mod told;

use changes::{Change, changes};
use cures::cures;
use near::near;
use told::under_one;

/// Up to so many findings may well come from one cause: any change near one of them may take away any other, as a short
/// circuit has effects far away.
const FEW: usize = 6;

/// Most changes tried for few findings, and for many: those are the mistakes of many hands, seldom one.
const MOST_TRIED: usize = 64;
const MOST_TRIED_FOR_MANY: usize = 12;

/// What a wire on the wrong terminal may be all that is wrong with, even where nothing else is found.
const OF_WIRING: [&str; 5] =
    ["fuse-too-small", "interlock-broken", "parked-drain", "switched-earth-donor", "tap-without-signal"];

/// How much may be computed for the changes while somebody waits: changes times branches times branches, as the check
/// that each asks for grows faster than the job. All changes up to some 150 branches, none from 1,200 on.
const WORK: usize = 1_400_000;

/// A finding by its check and what it is about.
type Key = (&'static str, Subject);

fn key(finding: &Finding) -> Key {
    (finding.check, finding.subject.clone())
}

fn counts(finding: &Finding) -> bool {
    finding.severity != Severity::Note
}

/// The Stops and Looks among some findings, by key.
pub(super) fn keys(findings: &[Finding]) -> BTreeSet<Key> {
    findings.iter().filter(|one| counts(one)).map(key).collect()
}

/// Puts findings under one of them where a single change of the wiring takes all of these away and brings none.
///
/// `alone` are all findings as the checks gave them, `findings` those that are left after effects were put under their
/// causes.
pub(super) fn gathered(
    context: &Context<'_>,
    situations: &[Situation],
    alone: &BTreeSet<Key>,
    mut findings: Vec<Finding>,
) -> Vec<Finding> {
    let n_branches = context.circuit.branches.len().max(1);
    let n_left = |findings: &[Finding]| findings.iter().filter(|finding| counts(finding)).count();
    let n_found = n_left(&findings);
    let most = if n_found > FEW { MOST_TRIED_FOR_MANY } else { MOST_TRIED };
    let mut left = most.min(WORK / (n_branches * n_branches));
    if n_found == 1 && !findings.iter().any(|one| counts(one) && OF_WIRING.contains(&one.check)) {
        return findings;
    }
    while left > 0 && n_left(&findings) > 0 {
        let Some((change, taken)) = best(context, situations, alone, &findings, &mut left) else { break };
        findings = under_one(findings, change, &taken);
        if n_left(&findings) == 1 {
            break;
        }
    }
    findings
}

/// How many findings stand for each key, and how few of them are worth a change: a single one, where it is alone.
struct Heads {
    keys: BTreeMap<Key, usize>,
    least: usize,
}

impl Heads {
    fn of(findings: &[Finding]) -> Heads {
        let mut keys: BTreeMap<Key, usize> = BTreeMap::new();
        for finding in findings.iter().filter(|finding| counts(finding)) {
            *keys.entry(key(finding)).or_default() += 1;
        }
        let least = keys.values().sum::<usize>().min(2);
        Heads { keys, least }
    }

    /// Whether these are enough findings.
    fn are_enough<'k>(&self, keys: impl Iterator<Item = &'k Key>) -> bool {
        keys.filter_map(|key| self.keys.get(key)).sum::<usize>() >= self.least
    }
}

/// What a change takes away of the findings that are left, and how many stay of all that the checks gave.
struct Effect {
    taken: BTreeSet<Key>,
    n_stay: usize,
}

/// The change that takes most findings away, of several the one after which fewest stay, then the one that is thought
/// of first; and which it takes away.
fn best(
    context: &Context<'_>,
    situations: &[Situation],
    alone: &BTreeSet<Key>,
    findings: &[Finding],
    left: &mut usize,
) -> Option<(Change, BTreeSet<Key>)> {
    let heads = Heads::of(findings);
    let keys: BTreeSet<Key> = heads.keys.keys().cloned().collect();
    let mut best: Option<(Change, Effect)> = None;
    let near = near(context, findings);
    let is_few = keys.len() <= FEW;
    let mut all = Vec::new();
    if heads.least > 1 {
        all.extend(Some(findings).filter(|_| is_few).into_iter().flat_map(|few| cures(context, few)));
        all.extend(changes(context, &near, &keys, alone));
    } else {
        // Much may take a single finding away by chance.
        let mut likely = changes(context, &near, &keys, alone);
        likely.retain(|change| keys.iter().any(|(check, _)| change.likely_for.contains(check)));
        all.extend(likely);
    }
    for change in all {
        let may_go: BTreeSet<&Key> = match is_few {
            true => keys.iter().collect(),
            false => change.at.iter().filter_map(|part| near.get(part)).flatten().collect(),
        };
        if !heads.are_enough(may_go.iter().copied()) {
            continue;
        }
        if *left == 0 {
            break;
        }
        *left -= 1;
        let Some(effect) = taken_away(context, situations, alone, &heads, &may_go, &change) else { continue };
        let rank = |effect: &Effect| (effect.taken.len(), std::cmp::Reverse(effect.n_stay));
        if best.as_ref().is_none_or(|(_, known)| rank(&effect) > rank(known)) {
            let is_all = effect.taken.len() == keys.len() && effect.n_stay == 0;
            best = Some((change, effect));
            if is_all {
                break;
            }
        }
    }
    best.map(|(change, effect)| (change, effect.taken))
}

/// The findings that a change takes away; `None` when those that `may_go` do not go in number, when what it is to cure
/// stays, or when it brings one that was not there.
fn taken_away(
    own: &Context<'_>,
    situations: &[Situation],
    alone: &BTreeSet<Key>,
    heads: &Heads,
    may_go: &BTreeSet<&Key>,
    change: &Change,
) -> Option<Effect> {
    let resolved = &own.circuit.resolved;
    let network = changed(&resolved.network, &change.edits);
    let circuit = own.circuit.of_changed(&Arc::new(network));
    let context = Context::new(&circuit, situations, own.interlocks);
    let may_go_of = |check: &&&Check| may_go.iter().any(|(name, _)| *name == check.name);
    // What may go is looked for first: most changes leave it where it is.
    let (first, others): (Vec<_>, Vec<_>) = ALL.iter().partition(may_go_of);
    let mut stay: BTreeSet<Key> = BTreeSet::new();
    let run = |check: &Check, stay: &mut BTreeSet<Key>| {
        let mut found = Vec::new();
        (check.run)(&context, &mut found);
        stay.extend(keys(&found));
        heads.are_enough(may_go.iter().copied().filter(|one| !stay.contains(*one)))
            && change.cures.as_ref().is_none_or(|cured| !stay.contains(cured))
            && stay.is_subset(alone)
    };
    let helps = first.into_iter().chain(others).all(|check| run(check, &mut stay));
    // Where nothing works, or nothing can be judged, there is nothing to find.
    let helps = helps && is_judged_as_well(own, &context) && fed(own).is_subset(&fed(&context));
    let helps = helps && working(own).is_subset(&working(&context));
    let taken = heads.keys.keys().filter(|key| !stay.contains(*key)).cloned().collect();
    helps.then_some(Effect { taken, n_stay: stay.len() })
}

/// Whether every situation that could be judged before still can, and no more hangs on both sides of the supply with
/// every contact closed: what does has neither a feed nor a return that could be missed.
fn is_judged_as_well(before: &Context<'_>, after: &Context<'_>) -> bool {
    let on_both = |context: &Context<'_>| {
        context.supplied.iter().zip(&context.returned).filter(|(fed, returned)| **fed && **returned).count()
    };
    let mut both = before.survey.situations.iter().zip(&after.survey.situations);
    on_both(after) <= on_both(before)
        && both.all(|(before, after)| before.rests().next().is_none() || after.rests().next().is_some())
}

/// The loads that are fed with every contact closed. What no longer is has no faults to find, which is no mend.
fn fed(context: &Context<'_>) -> BTreeSet<PartId> {
    let branches = context.circuit.branches.iter().enumerate();
    let is_fed = |branch: &Branch| context.supplied[branch.from] || context.supplied[branch.to];
    let loads = branches.filter(|(_, branch)| matches!(branch.role, Role::Load(_)) && is_fed(branch));
    loads.filter_map(|(index, _)| context.part_of(index)).map(|(_, part)| part.id.clone()).collect()
}

/// What works in some situation: loads and coils, by part and number within it.
fn working(context: &Context<'_>) -> BTreeSet<(PartId, usize)> {
    let circuit = context.circuit;
    let lit = context.survey.lit().branches.iter().copied();
    let rests = context.survey.situations.iter().flat_map(|surveyed| surveyed.rests());
    let held = rests.flat_map(|rest| {
        let devices = circuit.devices.iter().enumerate();
        devices.filter(|(index, _)| rest.state.devices[*index]).map(|(_, device)| device.branch)
    });
    let named = |branch: usize| match circuit.branches[branch].origin {
        Origin::Part(part, own) => Some((circuit.resolved.network.parts[part].id.clone(), own)),
        Origin::Wire(_) => None,
    };
    lit.chain(held).filter_map(named).collect()
}

fn changed(network: &Network, edits: &[Edit]) -> Network {
    let mut network = network.clone();
    for edit in edits {
        match edit {
            Edit::ChangeWire(changed) => {
                if let Some(wire) = network.wires.iter_mut().find(|wire| wire.id == changed.id) {
                    *wire = changed.clone();
                }
            }
            Edit::ChangePart(changed) => {
                if let Some(part) = network.parts.iter_mut().find(|part| part.id == changed.id) {
                    *part = changed.clone();
                }
            }
            Edit::Add { parts, wires, .. } => {
                network.parts.extend_from_slice(parts);
                network.wires.extend_from_slice(wires);
            }
            Edit::Remove { wires, .. } => network.wires.retain(|wire| !wires.contains(&wire.id)),
            _ => {}
        }
    }
    network
}

#[cfg(test)]
mod tests {
    use crate::check::run_all;
    use crate::circuit::build;
    use crate::document::Settings;
    use crate::finding::{Finding, Severity};
    use crate::notation;

    fn found(text: &str) -> Vec<Finding> {
        let circuit = build(&notation::network(text).unwrap(), &Settings::default());
        let mut found = run_all(&circuit, &[], &[]);
        found.retain(|one| one.severity != Severity::Note);
        found
    }

    /// A heater on a relay, its contact behind a 15 A fuse and its coil behind a switch and a 3 A fuse.
    fn on_a_relay(contact: &str, coil: &str) -> String {
        format!(
            "battery G1
            fuse F1 rating_a=15
            fuse F2 rating_a=3
            switch S1
            relay K1 contact_a=30
            resistor R1 watts=100 at_v=12
            earth X1
            wire w1 G1.+ F1.1 mm2=2.5 m=0.1
            wire w2 F1.2 K1.{contact} mm2=2.5 m=0.5
            wire w3 K1.87 R1.1 mm2=2.5 m=1
            wire w4 R1.2 X1.1 mm2=2.5 m=0.5
            wire w5 G1.+ F2.1 mm2=1.5 m=0.1
            wire w6 F2.2 S1.in mm2=1.5 m=1
            wire w7 S1.out K1.{coil} mm2=1.5 m=1
            wire w8 K1.85 X1.1 mm2=1.5 m=0.5"
        )
    }

    #[test]
    fn two_wires_exchanged_are_one_finding_that_says_so() {
        assert_eq!(found(&on_a_relay("30", "86")), []);
        let found = found(&on_a_relay("86", "30"));
        assert_eq!(found.len(), 1, "{found:?}");
        let help = &found[0].help[0];
        assert!(help.text.contains("exchange what ends on K1:30 and K1:86"), "{}", help.text);
        assert_eq!(help.fix.len(), 2);
        assert!(!found[0].because.is_empty());
    }

    #[test]
    fn where_two_wires_are_exchanged_the_wire_is_told_as_either_end_may_be_wrong() {
        let found = found(&on_a_relay("86", "30"));
        assert!(found[0].subject.id().starts_with('w'), "{found:?}");
        assert!(found[0].message.contains("seems to be exchanged: "), "{}", found[0].message);
    }

    #[test]
    fn what_leaves_a_load_without_a_feed_is_no_mend() {
        // With its first wire on the negative pole nothing would be fed, and so nothing be found.
        let found = found(
            "battery G1
            fuse F1
            switch S1
            lamp E1 watts=21
            wire w1 G1.+ F1.1 m=1
            wire w2 F1.2 S1.in
            wire w3 S1.out E1.1",
        );
        let checks: Vec<&str> = found.iter().map(|one| one.check).collect();
        assert_eq!(checks, ["unfused-run", "missing-earth-return"], "{found:?}");
    }

    /// A relay that just pulls in behind a strap that loses little.
    fn behind_a_strap(strap: &str) -> String {
        format!(
            "battery G1 strap_ohm={strap}
            fuse F1 rating_a=15
            switch S1
            relay K1 contact_a=30 coil_ohm=90 pull_in_v=9.9 drop_out_v=2
            resistor R1 watts=100 at_v=12
            earth X1
            wire w1 G1.+ F1.1 mm2=6 m=0.1
            wire w2 F1.2 K1.30 mm2=6 m=0.5
            wire w3 K1.87 R1.1 mm2=6 m=1
            wire w4 R1.2 X1.1 mm2=6 m=0.5
            wire w5 F1.2 S1.in mm2=2.5 m=1
            wire w6 S1.out K1.86 mm2=2.5 m=1
            wire w7 K1.85 X1.1 mm2=2.5 m=0.5"
        )
    }

    #[test]
    fn what_a_good_strap_cures_is_told_under_the_strap() {
        assert_eq!(found(&behind_a_strap("0.001")), []);
        let found = found(&behind_a_strap("0.1"));
        let told: Vec<_> = found.iter().map(|one| (one.check, one.subject.id())).collect();
        assert_eq!(told, [("strap-overloaded", "G1".to_owned())]);
        assert!(found[0].because.iter().any(|label| label.subject.id() == "K1"), "{:?}", found[0].because);
        // How good the strap can be made nobody knows.
        assert!(found[0].help.iter().all(|help| help.fix.is_empty()));
    }

    /// A lamp on a relay and, past it, on a switch; the wire from the relay to the connector is there or not.
    fn fed_twice(wire: &str) -> String {
        format!(
            "battery G1
            fuse F1 rating_a=10
            fuse F2 rating_a=10
            switch S1
            switch S2
            relay K1 contact_a=30
            connector X2 ways=1
            lamp E1 watts=21
            earth X1
            wire w1 G1.+ F1.1 mm2=2.5 m=0.1
            wire w2 F1.2 K1.30 mm2=2.5 m=0.5
            {wire}
            wire w4 X2.1b E1.1 mm2=2.5 m=0.5
            wire w6 E1.2 X1.1 mm2=2.5 m=0.5
            wire w7 F1.2 S1.in mm2=2.5 m=1
            wire w8 S1.out K1.86 mm2=2.5 m=1
            wire w9 K1.85 X1.1 mm2=2.5 m=0.5
            wire w10 G1.+ F2.1 mm2=2.5 m=0.1
            wire w11 F2.2 S2.in mm2=2.5 m=1
            wire w12 S2.out E1.1 mm2=2.5 m=1"
        )
    }

    #[test]
    fn two_loose_ends_that_one_wire_serves_are_one_finding() {
        assert_eq!(found(&fed_twice("wire w3 K1.87 X2.1a mm2=2.5 m=0.5")), []);
        let found = found(&fed_twice(""));
        assert_eq!(found.len(), 1, "{found:?}");
        assert_eq!(found[0].check, "unconnected-terminal");
    }

    /// Two lamps with a mistake each: no single change takes both away.
    #[test]
    fn what_has_causes_of_its_own_stays_apart() {
        let found = found(
            "battery G1
            fuse F1 rating_a=10
            fuse F2 rating_a=10
            lamp E1 watts=21
            lamp E2 watts=21
            earth X1
            wire w1 G1.+ F1.1 mm2=2.5 m=0.1
            wire w2 F1.2 E1.1 mm2=2.5 m=1
            wire w3 G1.+ F2.1 mm2=2.5 m=0.1
            wire w4 F2.2 E2.1 mm2=0.35 m=1
            wire w5 E2.2 X1.1 mm2=2.5 m=1",
        );
        let subjects: Vec<String> = found.iter().map(|one| one.subject.id()).collect();
        assert!(subjects.contains(&"E1".to_owned()) && subjects.contains(&"w4".to_owned()), "{subjects:?}");
    }
}
