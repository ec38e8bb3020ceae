//! The situations in which a job is looked at.

use std::collections::BTreeMap;

use engine::document::{Document, Status};
use engine::ids::PartId;
use engine::kind::Class;

/// The position of every part that has any, by id, so that it holds for a job with a mistake too.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Setting {
    /// Positions away from rest.
    pub set: BTreeMap<PartId, String>,
    /// Whether an engine runs in it.
    pub engine: bool,
}

/// Most switches and donors of which every combination is looked at.
const ALL_COMBINATIONS_OF: usize = 5;

/// The settings of a job: at rest, then every combination of switches and donors where there are few of them, else
/// each alone, each pair and all; each with the engine stopped and, where there is one, running. Sockets are in use in
/// all of them but the first.
pub fn settings(document: &Document) -> Vec<Setting> {
    let present = || document.network.parts.iter().filter(|part| part.status != Status::Remove);
    let mut inputs = Vec::new();
    let mut always = BTreeMap::new();
    let mut running = BTreeMap::new();
    for part in present() {
        let positions = part.positions();
        match part.kind.class {
            Class::Contact | Class::Donor if positions.len() > 1 => {
                inputs
                    .extend(positions[1..].iter().map(|position| (part.id.clone(), (*position).to_owned())));
            }
            Class::Load if positions.contains(&"in use") => {
                always.insert(part.id.clone(), "in use".to_owned());
            }
            Class::Generator => {
                running.insert(part.id.clone(), "running".to_owned());
            }
            _ => {}
        }
    }
    let mut all = vec![Setting { set: BTreeMap::new(), engine: false }];
    for chosen in choices(inputs.len()) {
        let mut set = always.clone();
        // Of two positions of one part the later stands.
        set.extend(chosen.into_iter().map(|input| inputs[input].clone()));
        all.push(Setting { set: set.clone(), engine: false });
        if !running.is_empty() {
            set.extend(running.clone());
            all.push(Setting { set, engine: true });
        }
    }
    // What a job says itself is looked at too.
    for named in document.situations.iter() {
        let engine = running.keys().any(|part| named.set.get(part).is_some_and(|at| at == "running"));
        all.push(Setting { set: named.set.clone(), engine });
    }
    let mut known = std::collections::BTreeSet::new();
    all.retain(|setting| known.insert(setting.clone()));
    all
}

fn choices(n_inputs: usize) -> Vec<Vec<usize>> {
    if n_inputs <= ALL_COMBINATIONS_OF {
        let chosen = |mask: usize| (0..n_inputs).filter(|input| mask & (1 << input) != 0).collect();
        return (0..1 << n_inputs).map(chosen).collect();
    }
    let mut all = vec![Vec::new()];
    for i in 0..n_inputs {
        all.push(vec![i]);
        all.extend((i + 1..n_inputs).map(|j| vec![i, j]));
    }
    all.push((0..n_inputs).collect());
    all
}
