//! Several findings told as one.

use std::collections::BTreeSet;

use super::changes::Change;
use super::{Key, key};
use crate::document::Edit;
use crate::finding::{Finding, Help, Label};
use crate::subject::Subject;

/// What is taken away put under the finding that the change cures; else under the first of it that is where the change
/// is made; else it is told of the wire that is changed.
pub(super) fn under_one(findings: Vec<Finding>, change: Change, taken: &BTreeSet<Key>) -> Vec<Finding> {
    let (mut gone, mut kept): (Vec<_>, Vec<_>) =
        findings.into_iter().enumerate().partition(|(_, one)| taken.contains(&key(one)));
    let changed = change.edits.iter().find_map(|edit| match edit {
        Edit::ChangeWire(wire) => Some(&wire.id),
        Edit::Remove { wires, .. } => wires.first(),
        _ => None,
    });
    let is_exchange = change.edits.len() > 1 && !change.likely_for.is_empty();
    let is_there = |finding: &Finding| match (&change.cures, &finding.subject) {
        (Some(cured), _) => *cured == key(finding),
        (None, Subject::Wire(id)) => changed == Some(id),
        // The wires of fuses and contacts may be exchanged at either of their ends: the wire is what to look at.
        (None, _) if is_exchange => false,
        (None, subject) => subject.part().is_some_and(|part| change.at.contains(part)),
    };
    let place = gone.first().map_or(0, |(place, _)| *place);
    let there = gone.iter().position(|(_, finding)| is_there(finding));
    let (_, mut root) = gone.remove(there.unwrap_or(0));
    if let (None, Some(wire)) = (there, changed) {
        let told = Label { subject: root.subject, text: root.message.clone() };
        root.because.insert(0, told);
        root.subject = Subject::Wire(wire.clone());
        root.message = format!("{}: {}", change.seems, root.message);
        root.touches.push(root.subject.clone());
    }
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
    root.help.retain(|help| help.text != change.text);
    let words = format!("{}: with that, this and what is listed with it goes", change.text);
    let fix = if change.is_fix { change.edits } else { Vec::new() };
    root.help.insert(0, Help::words(words).with_fix(fix));
    kept.push((place, root));
    crate::arrange::sort_by_key(&mut kept, |(place, _)| *place);
    kept.into_iter().map(|(_, finding)| finding).collect()
}
