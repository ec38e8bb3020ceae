//! Which way the supply lies: the fuses ahead of a wire, and what uses current behind a fuse or a wire.
//!
//! Walked on the network with every contact closed, because a list that stays in the vehicle speaks of every position.

use engine::circuit::reach::walk;
use engine::circuit::{CHASSIS, Circuit, NetIndex};
use engine::kind::{Class, Role};

/// What is met on one side of a branch.
struct Side {
    /// Loads and coils, by branch.
    users: Vec<usize>,
    /// Sources, by branch.
    sources: Vec<usize>,
    /// Fuses at which the walk ended, by branch; none where fuses are walked through.
    fuses: Vec<usize>,
}

/// What is met from a net on, but not over the branch `without`, through contacts and wires, and through fuses or not.
fn side(circuit: &Circuit, start: NetIndex, without: usize, through_fuses: bool) -> Side {
    let mut side = Side { users: Vec::new(), sources: Vec::new(), fuses: Vec::new() };
    if start == CHASSIS {
        return side;
    }
    let is_open = |index: usize, near: NetIndex| {
        let leads = match circuit.branches[index].role {
            Role::Path => true,
            Role::Protection(_) => through_fuses,
            _ => false,
        };
        leads && index != without && circuit.far_end(index, near) != CHASSIS
    };
    for (net, _) in walk(circuit, &[start], is_open) {
        for &index in circuit.at[net].iter().filter(|index| **index != without) {
            let to = match circuit.branches[index].role {
                Role::Load(_) | Role::Coil { .. } => &mut side.users,
                Role::Source => &mut side.sources,
                Role::Protection(_) if !through_fuses => &mut side.fuses,
                _ => continue,
            };
            if !to.contains(&index) {
                to.push(index);
            }
        }
    }
    side
}

/// What uses current behind a branch.
pub enum Behind {
    /// One side has a supply; these loads and coils are on the other, by branch.
    Users(Vec<usize>),
    /// It lies between two supplies.
    BetweenSupplies,
    /// No supply is on either side.
    NoSupply,
}

/// What uses current behind a branch.
pub fn behind(circuit: &Circuit, branch: usize) -> Behind {
    let ends = [circuit.branches[branch].from, circuit.branches[branch].to];
    let [one, other] = ends.map(|net| side(circuit, net, branch, true));
    match (one.sources.is_empty(), other.sources.is_empty()) {
        (false, true) => Behind::Users(other.users),
        (true, false) => Behind::Users(one.users),
        (false, false) => Behind::BetweenSupplies,
        (true, true) => Behind::NoSupply,
    }
}

/// Whether a load whose current is not known may draw it through this branch.
pub fn is_left_open(circuit: &Circuit, branch: usize) -> bool {
    let is_unknown = |user: &usize| {
        matches!(circuit.branches[*user].role, Role::Load(_)) && circuit.branches[*user].law.is_none()
    };
    match behind(circuit, branch) {
        Behind::Users(users) => users.iter().any(is_unknown),
        _ => (0..circuit.branches.len()).any(|other| is_unknown(&other)),
    }
}

/// What stands between a wire and the supplies that reach it, in words; `None` when none does without passing a load, as
/// on a way back.
pub fn fuses_ahead(circuit: &Circuit, wire: usize) -> Option<String> {
    let network = &circuit.resolved.network;
    let title = |branch: usize| -> Option<String> {
        let part = &network.parts[circuit.branches[branch].origin.part()?];
        Some(match part.kind.class {
            Class::Protection => part.title().to_owned(),
            // The fuse of the vehicle's own circuit.
            _ => format!("that of {}", part.title()),
        })
    };
    let mut says: Vec<String> = Vec::new();
    let mut say = |words: String| {
        if !says.contains(&words) {
            says.push(words);
        }
    };
    for net in [circuit.branches[wire].from, circuit.branches[wire].to] {
        let near = side(circuit, net, wire, false);
        for source in near.sources {
            let part = circuit.branches[source].origin.part().map(|part| network.parts[part].title());
            say(format!("none at {}", part.unwrap_or_default()));
        }
        for fuse in near.fuses {
            let ends = [circuit.branches[fuse].from, circuit.branches[fuse].to];
            // Beyond it there is a supply that does not reach the wire but through it.
            let leads_to_supply =
                ends.iter().any(|end| *end != net && !side(circuit, *end, fuse, true).sources.is_empty());
            if leads_to_supply && let Some(title) = title(fuse) {
                say(title);
            }
        }
    }
    (!says.is_empty()).then(|| says.join(", "))
}

#[cfg(test)]
mod tests {
    use engine::circuit::build;
    use engine::document::Settings;
    use engine::notation;

    use super::*;

    const CIRCUIT: &str =
        "battery G1\nbattery G2\nfuse F0 rating_a=40\nfuse F1 rating_a=10\nfuse F2 rating_a=10\nrelay K1
        lamp E1 watts=20\nlamp E2\nearth X1
        wire W1 G1.+ F0.1\nwire W2 F0.2 F1.1\nwire W3 F1.2 K1.30\nwire W4 K1.87 E1.1\nwire W5 E1.2 X1.1
        wire W6 G2.+ F2.1\nwire W7 F2.2 E2.1\nwire W8 E2.2 X1.1";

    fn circuit(text: &str) -> Circuit {
        build(&notation::network(text).unwrap(), &Settings::default())
    }

    /// The branch of a wire, or the first of a part.
    fn branch(circuit: &Circuit, name: &str) -> usize {
        (0..circuit.branches.len()).find(|branch| circuit.subject(*branch).id() == name).unwrap()
    }

    #[test]
    fn the_fuses_ahead_are_those_towards_every_supply() {
        let circuit = circuit(CIRCUIT);
        let ahead = |wire: &str| fuses_ahead(&circuit, branch(&circuit, wire));
        assert_eq!(ahead("W1").as_deref(), Some("none at G1"));
        assert_eq!(ahead("W2").as_deref(), Some("F0"));
        assert_eq!(ahead("W3").as_deref(), Some("F1"));
        assert_eq!(ahead("W4").as_deref(), Some("F1"));
        assert_eq!(ahead("W5"), None);
        let split = format!("{CIRCUIT}\nwire W9 F1.2 F2.2");
        let both = self::circuit(&split);
        assert_eq!(fuses_ahead(&both, branch(&both, "W9")).as_deref(), Some("F1, F2"));
    }

    #[test]
    fn behind_a_fuse_are_the_loads_on_the_side_without_a_supply() {
        let circuit = circuit(CIRCUIT);
        let users = |fuse: &str| match behind(&circuit, branch(&circuit, fuse)) {
            Behind::Users(users) => users.iter().map(|user| circuit.subject(*user).id()).collect::<Vec<_>>(),
            Behind::BetweenSupplies | Behind::NoSupply => panic!("{fuse} has one supply"),
        };
        assert_eq!(users("F0"), ["E1"]);
        assert_eq!(users("F2"), ["E2"]);
        // Nobody knows what E2 draws.
        assert!(is_left_open(&circuit, branch(&circuit, "W7")));
        assert!(!is_left_open(&circuit, branch(&circuit, "W3")));
        let both = self::circuit(&format!("{CIRCUIT}\nwire W9 F1.2 F2.2"));
        assert!(matches!(behind(&both, branch(&both, "F1")), Behind::BetweenSupplies));
    }
}
