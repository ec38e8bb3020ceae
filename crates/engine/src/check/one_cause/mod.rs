//! One cause for several findings: a wire on the wrong terminal, two wires exchanged, or a wire too many.
//!
//! Each check tells what is wrong in its own words, and what one check's findings follow from is known from the table of
//! checks. A wire on the wrong terminal has effects that no table can foresee: a fuse that is too small here, a lamp that
//! stays dark there. So where several findings are left, single changes of the wiring near them are tried on the network,
//! as a fitter would try them in his head. A change that takes several findings away and brings none is their cause: they
//! become one finding, and the change is what to do about it.

use std::collections::BTreeSet;
use std::sync::Arc;

use crate::check::{ALL, Check, Context};
use crate::circuit::{Origin, build};
use crate::document::{Edit, Network, Situation};
use crate::finding::{Finding, Help, Label, Severity};
use crate::ids::PartId;
use crate::subject::Subject;

mod changes;
mod near;

use changes::{Change, changes};
use near::near;

/// Up to so many findings may well come from one cause: any change near one of them may take away any other, as a short
/// circuit has effects far away.
const FEW: usize = 6;

/// Most changes tried for few findings, and for many: those are the mistakes of many hands, seldom one.
const MOST_TRIED: usize = 48;
const MOST_TRIED_FOR_MANY: usize = 12;

/// How much may be computed for the changes while somebody waits: changes times branches times branches, as the check
/// that each asks for grows faster than the job. All changes up to some 170 branches, none from 1,200 on.
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
    let n_found = findings.iter().filter(|finding| counts(finding)).count();
    let most = if n_found > FEW { MOST_TRIED_FOR_MANY } else { MOST_TRIED };
    let mut left = most.min(WORK / (n_branches * n_branches));
    while findings.iter().filter(|finding| counts(finding)).count() > 1 {
        let Some((change, taken)) = best(context, situations, alone, &findings, &mut left) else { break };
        findings = under_one(context, findings, &change, &taken);
    }
    findings
}

/// The change that takes most findings away, of several the one that is thought of first; and which it takes away.
fn best(
    context: &Context<'_>,
    situations: &[Situation],
    alone: &BTreeSet<Key>,
    findings: &[Finding],
    left: &mut usize,
) -> Option<(Change, BTreeSet<Key>)> {
    let heads = keys(findings);
    let mut best: Option<(Change, BTreeSet<Key>)> = None;
    let near = near(context, findings);
    for change in changes(context, &near, &heads) {
        let may_go: BTreeSet<&Key> = match heads.len() {
            ..=FEW => heads.iter().collect(),
            _ => change.at.iter().filter_map(|part| near.get(part)).flatten().collect(),
        };
        if may_go.len() < 2 {
            continue;
        }
        if *left == 0 {
            break;
        }
        *left -= 1;
        let Some(taken) = taken_away(context, situations, alone, &heads, &may_go, &change) else { continue };
        if best.as_ref().is_none_or(|(_, most)| taken.len() > most.len()) {
            let is_all = taken.len() == heads.len();
            best = Some((change, taken));
            if is_all {
                break;
            }
        }
    }
    best
}

/// The findings that a change takes away; `None` when of those that `may_go` fewer than two do, or when it brings one
/// that was not there.
fn taken_away(
    own: &Context<'_>,
    situations: &[Situation],
    alone: &BTreeSet<Key>,
    heads: &BTreeSet<Key>,
    may_go: &BTreeSet<&Key>,
    change: &Change,
) -> Option<BTreeSet<Key>> {
    let resolved = &own.circuit.resolved;
    let network = changed(&resolved.network, &change.edits);
    let circuit = build(&Arc::new(network), &resolved.settings);
    let context = Context::new(&circuit, situations, own.interlocks);
    let may_go_of = |check: &&&Check| may_go.iter().any(|(name, _)| *name == check.name);
    // What may go is looked for first: most changes leave it where it is.
    let (first, others): (Vec<_>, Vec<_>) = ALL.iter().partition(may_go_of);
    let mut stay = BTreeSet::new();
    let run = |check: &Check, stay: &mut BTreeSet<Key>| {
        let mut found = Vec::new();
        (check.run)(&context, &mut found);
        stay.extend(found.iter().filter(|one| counts(one)).map(key).filter(|one| heads.contains(one)));
        let n_stay = may_go.iter().filter(|one| stay.contains(**one)).count();
        may_go.len() > n_stay + 1
            && found.iter().filter(|one| counts(one)).all(|one| alone.contains(&key(one)))
    };
    let helps = first.into_iter().chain(others).all(|check| run(check, &mut stay));
    // Where nothing works, or nothing can be judged, there is nothing to find.
    let helps = helps && is_judged_as_well(own, &context) && working(own).is_subset(&working(&context));
    helps.then(|| heads.difference(&stay).cloned().collect())
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
            Edit::Remove { wires, .. } => network.wires.retain(|wire| !wires.contains(&wire.id)),
            _ => {}
        }
    }
    network
}

/// What is taken away put under the first of it that is where the change is made, or under the first of all.
fn under_one(
    context: &Context<'_>,
    findings: Vec<Finding>,
    change: &Change,
    taken: &BTreeSet<Key>,
) -> Vec<Finding> {
    let network = &context.circuit.resolved.network;
    let (gone, mut kept): (Vec<_>, Vec<_>) =
        findings.into_iter().enumerate().partition(|(_, one)| taken.contains(&key(one)));
    let is_there = |(_, finding): &(usize, Finding)| match &finding.subject {
        Subject::Wire(id) => change.edits.iter().any(|edit| match edit {
            Edit::ChangeWire(wire) => wire.id == *id,
            Edit::Remove { wires, .. } => wires.contains(id),
            _ => false,
        }),
        subject => subject.part().is_some_and(|part| change.at.contains(part)),
    };
    let mut gone = gone;
    let place = gone.first().map_or(0, |(place, _)| *place);
    let root = gone.iter().position(is_there).unwrap_or(0);
    let (_, mut root) = gone.remove(root);
    for (_, finding) in gone {
        root.severity = root.severity.min(finding.severity);
        root.because.push(Label { subject: finding.subject, text: finding.message });
        for label in finding.because {
            if root.because.iter().all(|told| told.subject != label.subject) {
                root.because.push(label);
            }
        }
        root.touches.extend(finding.touches);
    }
    if change.at.iter().all(|part| root.subject.part() != Some(part)) {
        let seems = Label {
            subject: Subject::Part(change.at[0].clone()),
            text: "is where it seems to come from".to_owned(),
        };
        if network.part(&change.at[0]).is_some()
            && root.because.iter().all(|told| told.subject != seems.subject)
        {
            root.because.push(seems);
        }
    }
    root.help.insert(
        0,
        Help::words(format!("{}: with that, this and what is listed with it goes", change.text))
            .with_fix(change.edits.clone()),
    );
    kept.push((place, root));
    crate::arrange::sort_by_key(&mut kept, |(place, _)| *place);
    kept.into_iter().map(|(_, finding)| finding).collect()
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
