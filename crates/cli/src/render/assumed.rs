//! The list of what was assumed: the same assumption about several things is one line.

use engine::circuit::Circuit;
use engine::document::{Network, Status};
use engine::resolve::Assumption;
use engine::subject::Subject;

use super::layout::wrapped;

/// Keys of a wire that only its limits depend on, never a reading: readings take the copper at 20 degC.
const ONLY_LIMITS: &[&str] = &["insulation", "surroundings", "bundle", "sleeve"];

/// Adds what checks could not judge, and below it everything else that was assumed.
pub fn for_checks(out: &mut String, circuit: &Circuit) {
    let (unjudged, assumed): (Vec<&Assumption>, Vec<&Assumption>) =
        circuit.resolved.assumptions.iter().partition(|assumption| assumption.unjudged.is_some());
    let network = &circuit.resolved.network;
    section(out, network, "Not checked, because a value is missing", &unjudged);
    section(out, network, "Assumed", &assumed);
}

/// Adds what readings rest on, and below it what only limits rest on.
pub fn for_readings(out: &mut String, circuit: &Circuit) {
    let (limits, readings): (Vec<&Assumption>, Vec<&Assumption>) =
        circuit.resolved.assumptions.iter().partition(|assumption| only_limits(assumption));
    let network = &circuit.resolved.network;
    section(out, network, "Assumed", &readings);
    section(
        out,
        network,
        "Assumed for the limits that `check` compares with; no reading depends on these",
        &limits,
    );
}

fn only_limits(assumption: &Assumption) -> bool {
    matches!(assumption.subject, Subject::Wire(_)) && ONLY_LIMITS.contains(&assumption.key)
}

fn section(out: &mut String, network: &Network, heading: &str, assumptions: &[&Assumption]) {
    if assumptions.is_empty() {
        return;
    }
    out.push_str(&format!("\n{heading}\n"));
    for (sort, names, text) in grouped(network, assumptions) {
        wrapped(out, "  ", &format!("{} {text}", heading_of(network, sort, &names)));
    }
}

/// Who an assumption is about: `wire W1, W2:`, or `every wire:`.
fn heading_of(network: &Network, sort: &str, names: &[&str]) -> String {
    let wires = network.wires.iter().filter(|wire| wire.status != Status::Remove).count();
    match sort == WIRE && names.len() > 2 && names.len() == wires {
        true => format!("every {sort}:"),
        false => format!("{sort} {}:", names.join(", ")),
    }
}

const WIRE: &str = "wire";

/// Assumptions of the same words about the same sort of thing, in the order in which each first comes.
fn grouped<'a>(
    network: &'a Network,
    assumptions: &[&'a Assumption],
) -> Vec<(&'a str, Vec<&'a str>, &'a str)> {
    let mut groups: Vec<(&str, Vec<&str>, &str)> = Vec::new();
    let mut at = std::collections::BTreeMap::new();
    for assumption in assumptions {
        let (sort, name) = named(network, &assumption.subject);
        let index = *at.entry((sort, assumption.text.as_str())).or_insert(groups.len());
        match groups.get_mut(index) {
            Some((_, names, _)) => names.push(name),
            None => groups.push((sort, vec![name], &assumption.text)),
        }
    }
    groups
}

/// What sort of thing a subject is, and its name.
fn named<'a>(network: &'a Network, subject: &'a Subject) -> (&'a str, &'a str) {
    let id = match subject {
        Subject::Wire(id) => return (WIRE, network.wire(id).map_or(id.as_str(), |wire| wire.title())),
        Subject::Part(id) => id,
        Subject::Terminal(terminal) | Subject::Net(terminal) => &terminal.part,
    };
    network.part(id).map_or(("part", id.as_str()), |part| (part.kind.noun, part.title()))
}

#[cfg(test)]
mod tests {
    use engine::document::Settings;
    use engine::{circuit, notation};

    use super::*;

    fn listed(text: &str, list: impl Fn(&mut String, &Circuit)) -> String {
        let network = notation::network(text).expect("the network is written rightly");
        let mut out = String::new();
        list(&mut out, &circuit::build(&network, &Settings::default()));
        out
    }

    const THREE: &str = "earth X1\nearth X2\nearth X3
        wire w1 X1.1 X2.1 mm2=1 m=1
        wire w2 X2.1 X3.1 mm2=1 m=1 insulation=B
        wire w3 X3.1 X1.1 mm2=1 m=1";

    #[test]
    fn the_same_assumption_about_several_things_is_one_line() {
        let out = listed(THREE, for_checks);
        assert_eq!(out.matches("resistance of the joint").count(), 1, "{out}");
        assert!(out.contains("earth point X1, X2, X3: resistance of the joint"), "{out}");
        assert!(out.contains("wire w1, w3: insulation"), "{out}");
        assert!(out.contains("every wire: surroundings"), "{out}");
    }

    #[test]
    fn what_is_not_checked_stands_before_what_is_assumed() {
        let out = listed("fuse F1\nearth X1\nearth X2\nwire w1 X1.1 X2.1 m=1", for_checks);
        let (unjudged, assumed) = out.split_once("\nAssumed\n").expect("there are two groups");
        assert!(unjudged.starts_with("\nNot checked, because a value is missing\n"), "{out}");
        for missing in ["fuse F1: rated current: not given", "wire w1: size: not given"] {
            assert!(unjudged.contains(missing) && !assumed.contains(missing), "{out}");
        }
        assert!(assumed.contains("resistance of the joint"), "{out}");
    }

    #[test]
    fn what_only_limits_depend_on_stands_apart() {
        let out = listed(THREE, for_readings);
        let (readings, limits) = out.split_once("for the limits").expect("there are two groups");
        assert!(readings.contains("joint") && !readings.contains("insulation"), "{out}");
        assert!(limits.contains("insulation") && !limits.contains("joint"), "{out}");
    }

    #[test]
    fn without_assumptions_there_is_no_list() {
        assert_eq!(listed("", for_checks), "");
    }
}
