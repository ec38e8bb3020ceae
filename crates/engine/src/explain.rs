//! How the readings and limits of one part or wire came about.

use crate::circuit::{Circuit, Origin};
use crate::endurance;
use crate::kind::Role;
use crate::solve::Solution;
use crate::solve::working::of_branch;
use crate::subject::Subject;
use crate::working::Working;

/// The workings of everything that is read off `subject` in the situation that `solution` is of, and of its limits.
///
/// Empty for what is to be removed. Readings have none where the situation does not come to rest.
pub fn workings(circuit: &Circuit, solution: &Solution, subject: &Subject) -> Vec<Working> {
    let resolved = &circuit.resolved;
    let mut all = Vec::new();
    for (index, branch) in circuit.branches.iter().enumerate() {
        if circuit.subject(index) != *subject {
            continue;
        }
        let title = title(circuit, index, subject);
        if let Some(rest) = solution.shown().filter(|rest| circuit.closed(index, &rest.state)) {
            all.extend(of_branch(circuit, rest, index, &title));
            if branch.role == Role::Source {
                all.extend(endurance::working(circuit, rest, index, &title));
            }
        }
        if let Origin::Wire(wire) = branch.origin {
            let used = resolved.wires[wire].as_ref();
            all.extend(used.and_then(|used| used.ampacity_working(&title)));
        }
    }
    all
}

/// The name of a branch: of the part or wire, and which of its branches it is where it has several.
fn title(circuit: &Circuit, index: usize, subject: &Subject) -> String {
    let title = subject.title(&circuit.resolved.network);
    let branch = &circuit.branches[index];
    let Origin::Part(part, _) = branch.origin else { return title };
    if circuit.branches_of_part(part).count() == 1 {
        return title;
    }
    match branch.role {
        Role::Source => title,
        Role::Path if branch.gate == crate::circuit::Gate::Always => format!("the strap or joint of {title}"),
        Role::Path => format!("the contact of {title}"),
        Role::Protection(_) => format!("the vehicle's own wiring to {title}"),
        Role::Coil { .. } => format!("the coil of {title}"),
        Role::Load(load) if load.name.is_empty() => title,
        Role::Load(load) => format!("the {} of {title}", load.name),
        Role::Suppression => format!("the diode across the coil of {title}"),
    }
}
