//! Interlocks that the trade expects of lamps by their function. The rule that holds where the vehicle is used decides;
//! each can be waived by an interlock `any time`.

use std::collections::BTreeSet;

use crate::document::sentence::signal;
use crate::document::{InState, Interlock, Network, Rule, Status};
use crate::given::Given;
use crate::ids::PartId;
use crate::kind::{Class, Role, Value};
use crate::sweep::Sweeper;

/// What is usual for one function of a lamp.
struct Practice {
    function: &'static str,
    /// The signal of the donors it goes with.
    with: &'static str,
    source: &'static str,
}

static PRACTICES: &[Practice] = &[
    Practice {
        function: "driving",
        with: "main beam",
        source: "auxiliary driving lamps go out with main beam: common practice, local rule decides; ADR 13/00 clause 7.3 (from memory)",
    },
    Practice {
        function: "reversing",
        with: "reverse gear",
        source: "a reversing lamp lights only with the reverse gear engaged: UN R48 clause 6.4.7.1 (number from memory); common practice, local rule decides",
    },
    Practice {
        function: "fog",
        with: "position lamps",
        source: "fog lamps light only with the position lamps: UN R48 clause 5.12 (number from memory); common practice, local rule decides",
    },
];

/// An interlock that is usual for the function of a lamp.
#[derive(Clone, Debug, PartialEq)]
pub struct Usual {
    /// The interlock; its condition is empty, and never holds, where the job has no donor of that signal.
    pub interlock: Interlock,
    /// The signal that is wanted.
    pub signal: &'static str,
    /// Where it comes from.
    pub source: &'static str,
}

/// A donor whose signal must be known before it can be told whether what is usual holds.
#[derive(Clone, Debug, PartialEq)]
pub struct Question {
    /// The donor.
    pub donor: PartId,
    /// The lamp that hangs on it, and which of its loads.
    pub load: PartId,
    /// The name of the load, where it has one.
    pub name: String,
    /// The signal that lamps of its function go with.
    pub signal: &'static str,
}

/// A new lamp with a function: part, name of the load, function.
pub(crate) fn lamps(network: &Network) -> Vec<(&PartId, &'static str, &'static str)> {
    let mut lamps = Vec::new();
    for part in network.parts.iter().filter(|part| part.status == Status::New) {
        for (key, given) in part.values.iter() {
            let name = match key.strip_suffix("function") {
                Some("") => "",
                Some(prefix) => prefix.trim_end_matches('.'),
                None => continue,
            };
            if let Given::Known(Value::Word(function)) = given {
                lamps.push((&part.id, name, *function));
            }
        }
    }
    lamps
}

/// The interlocks that are usual for the new lamps of a job and that its own do not speak of; and the donors whose
/// signal is not said, where such an interlock hangs on them.
pub fn usual(sweeper: &Sweeper<'_>, own: &[Interlock]) -> (Vec<Usual>, Vec<Question>) {
    let circuit = sweeper.solver().circuit();
    let network = &circuit.resolved.network;
    let (mut usual, mut questions) = (Vec::new(), Vec::new());
    for (load, name, function) in lamps(network) {
        let spoken_of = |one: &Interlock| {
            one.load == *load && one.name == name && matches!(one.rule, Rule::AnyTime | Rule::OnlyWith)
        };
        let Some(practice) = PRACTICES.iter().find(|practice| practice.function == function) else {
            continue;
        };
        if own.iter().any(spoken_of) {
            continue;
        }
        let mut say = BTreeSet::new();
        for (branch, at) in circuit.branches.iter().enumerate() {
            let is_it = matches!(at.role, Role::Load(asks) if asks.name == name);
            if is_it && circuit.subject(branch).part() == Some(load) {
                say.extend(sweeper.say(branch));
            }
        }
        let parts = say.iter().map(|input| &network.parts[circuit.inputs[*input].part]);
        let unknown: Vec<&PartId> = parts
            .filter(|part| part.kind.class == Class::Donor && signal(part).is_none())
            .map(|part| &part.id)
            .collect();
        if !unknown.is_empty() {
            questions.extend(unknown.into_iter().map(|donor| Question {
                donor: donor.clone(),
                load: load.clone(),
                name: name.to_owned(),
                signal: practice.with,
            }));
            continue;
        }
        let donors = network.parts.iter().filter(|part| signal(part) == Some(practice.with));
        let on = |id: &PartId| vec![InState { part: id.clone(), name: String::new(), is: "on".to_owned() }];
        usual.push(Usual {
            interlock: Interlock {
                load: load.clone(),
                name: name.to_owned(),
                rule: Rule::OnlyWith,
                any_of: donors.map(|donor| on(&donor.id)).collect(),
                reason: String::new(),
            },
            signal: practice.with,
            source: practice.source,
        });
    }
    (usual, questions)
}
