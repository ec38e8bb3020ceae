//! What findings have to do with each other: the parts that may have a say in them.

use std::collections::{BTreeMap, BTreeSet};

use super::{Key, counts, key};
use crate::check::Context;
use crate::finding::Finding;
use crate::ids::PartId;
use crate::kind::Class;
use crate::subject::Subject;

/// The findings that a part may have a say in: it hangs on what they are about, or has a say in whether that is fed.
pub(super) fn near(context: &Context<'_>, findings: &[Finding]) -> BTreeMap<PartId, BTreeSet<Key>> {
    let mut near: BTreeMap<PartId, BTreeSet<Key>> = BTreeMap::new();
    for finding in findings.iter().filter(|finding| counts(finding)) {
        for part in around(context, finding) {
            near.entry(part).or_default().insert(key(finding));
        }
    }
    near
}

fn around(context: &Context<'_>, finding: &Finding) -> BTreeSet<PartId> {
    let circuit = context.circuit;
    let network = &circuit.resolved.network;
    let influence = context.survey.solver().influence();
    let of_it = |branch: &usize| {
        let subject = circuit.subject(*branch);
        subject == finding.subject || subject.part().is_some() && subject.part() == finding.subject.part()
    };
    let mut subjects = finding.touches.clone();
    let mut regions: BTreeSet<usize> = BTreeSet::new();
    for branch in (0..circuit.branches.len()).filter(of_it) {
        let ends = [circuit.branches[branch].from, circuit.branches[branch].to];
        subjects.extend(context.deciders_of(branch));
        subjects.extend(context.joined_with(&ends));
        regions.extend(ends.into_iter().filter_map(|net| influence.region(net)));
    }
    let is_there = |net: &usize| influence.region(*net).is_some_and(|region| regions.contains(&region));
    let there = (0..circuit.nets.len()).filter(is_there).flat_map(|net| &circuit.nets[net]);
    let mut parts: BTreeSet<PartId> = there.map(|terminal| terminal.part.clone()).collect();
    for subject in subjects {
        match &subject {
            Subject::Wire(id) => {
                let wire = network.wire(id);
                parts
                    .extend(wire.into_iter().flat_map(|wire| [wire.from.part.clone(), wire.to.part.clone()]));
            }
            other => parts.extend(other.part().cloned()),
        }
    }
    // What feeds a fuse is near what the fuse feeds.
    let fuses = network.parts.iter().filter(|part| part.kind.class == Class::Protection);
    let fuses: Vec<&PartId> = fuses.map(|part| &part.id).filter(|id| parts.contains(*id)).collect();
    for wire in &network.wires {
        let ends = [&wire.from.part, &wire.to.part];
        if ends.iter().any(|end| fuses.contains(end)) {
            parts.extend(ends.into_iter().cloned());
        }
    }
    parts
}
