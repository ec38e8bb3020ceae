//! Runs that change their color on the way.

use crate::check::{Context, remedy};
use crate::circuit::Origin;
use crate::document::Status;
use crate::finding::{Finding, Harm, Help, Label, Severity};
use crate::kind::{Class, Role};

declare_check! {
    /// Finds wires that go on in another colour behind a splice or connector where nothing branches off.
    ///
    /// # What it checks
    ///
    /// Every joint in which exactly two wires of known colour meet, one of them new: their base colours are the same.
    ///
    /// # Why it matters
    ///
    /// Whoever looks for a fault follows a colour; one that changes without a reason leads to the wrong wire.
    ///
    /// # Example
    ///
    /// A red feed that leaves a connector as a white one.
    ///
    /// # What to do
    ///
    /// Use one colour along a run.
    name: "color-changes",
    summary: "a run goes on in another colour",
    harm: Harm::Failure,
    explained_by: &[],
    run: run,
}

fn run(context: &Context<'_>, findings: &mut Vec<Finding>) {
    let circuit = context.circuit;
    let network = &circuit.resolved.network;
    let is_wire = |branch: &usize| matches!(circuit.branches[*branch].origin, Origin::Wire(_));
    // A joint without resistance is one net; a way of a connector is a branch between two.
    let mut meetings: Vec<Vec<usize>> = Vec::new();
    for net in 1..circuit.nets.len() {
        let wires: Vec<usize> = circuit.at[net].iter().copied().filter(is_wire).collect();
        if wires.len() == 2 && circuit.at[net].len() == 2 {
            meetings.push(wires);
        }
    }
    for (index, branch) in circuit.branches.iter().enumerate() {
        let is_way = branch.role == Role::Path
            && context.part_of(index).is_some_and(|(_, part)| part.kind.class == Class::Joint);
        if is_way {
            let sides = [branch.from, branch.to];
            let wires: Vec<usize> =
                sides.iter().flat_map(|net| circuit.at[*net].iter().copied().filter(is_wire)).collect();
            if wires.len() == 2 {
                meetings.push(wires);
            }
        }
    }
    for meeting in meetings {
        let colored: Vec<_> = meeting
            .iter()
            .filter_map(|branch| {
                let (wire, _) = context.wire_of(*branch)?;
                Some((*branch, wire, wire.color?))
            })
            .collect();
        let [(first, one, one_color), (second, other, other_color)] = colored[..] else { continue };
        if one_color.base == other_color.base || [one, other].iter().all(|wire| wire.status != Status::New) {
            continue;
        }
        let (subject, before) = (circuit.subject(second), circuit.subject(first));
        let message = format!(
            "{} is {} and goes on as {}, which is {}",
            before.title(network),
            one_color.title(),
            subject.title(network),
            other_color.title()
        );
        findings.push(Finding {
            because: vec![Label { subject: before.clone(), text: format!("is {}", one_color.title()) }],
            help: vec![Help::words("use one colour along a run").with_fix(remedy::changed(
                network,
                &other.id,
                |wire| wire.color = Some(one_color),
            ))],
            touches: vec![subject.clone(), before],
            ..Finding::of(CHECK.name, Severity::Note, subject, message, "common practice, no source")
        });
    }
}
