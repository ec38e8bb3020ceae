//! Rules that the installation must keep in every situation: which loads may work only together with what.

use crate::document::{Network, Part};
use crate::given::Given;
use crate::ids::PartId;
use crate::kind::{Class, Role, Used};

/// One rule about one load.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Interlock {
    /// The part whose working is ruled: one with a load, or a relay.
    pub load: PartId,
    /// Which of its loads, where they have names: the `beam` of a twin lamp, the `telltale` of a switch. Else empty.
    pub name: String,
    /// How load and condition belong together.
    pub rule: Rule,
    /// The condition: it holds when all states of any one of these lists do. Only [`Rule::AnyTime`] has none.
    pub any_of: Vec<Vec<InState>>,
    /// Why it stands, or is waived, as the user says it; empty when nothing was said.
    pub reason: String,
}

/// How a load and a condition belong together.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Rule {
    /// The load works only while the condition holds.
    OnlyWith,
    /// The load never works while the condition holds.
    NeverWith,
    /// While the condition holds the load works.
    AlwaysWith,
    /// The load may work whenever it likes: the rule that is usual for its function is waived.
    AnyTime,
}

impl Rule {
    /// The rules with the words the job file and the sentences write.
    pub const WORDS: [(Rule, &'static str); 4] = [
        (Rule::OnlyWith, "only with"),
        (Rule::NeverWith, "never with"),
        (Rule::AlwaysWith, "always with"),
        (Rule::AnyTime, "any time"),
    ];

    /// Its words.
    pub fn words(self) -> &'static str {
        Rule::WORDS.iter().find(|(rule, _)| *rule == self).map_or("", |(_, words)| words)
    }
}

/// A part in a state: a switch in a position, a lamp lit, a relay that holds.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct InState {
    /// The part.
    pub part: PartId,
    /// Which of its loads, where that is meant; else empty.
    pub name: String,
    /// A position of it, or `on` or `off`.
    pub is: String,
}

/// Most interlocks in a job.
pub const MOST_INTERLOCKS: usize = 200;

/// Most lists in a condition, and most states in a list.
pub const MOST_STATES: usize = 32;

/// The states of what has no positions.
pub const OFF_ON: &[&str] = &["off", "on"];

/// The states that a condition may name of a part, or of one of its loads: positions of switches and donors, else
/// whether a load works or a relay holds. Empty when it has none.
pub fn states(part: &Part, name: &str) -> &'static [&'static str] {
    let positions = part.positions();
    match part.kind.class {
        Class::Contact | Class::Donor if name.is_empty() && !positions.is_empty() => positions,
        _ if workings(part).contains(&name) => OFF_ON,
        _ => &[],
    }
}

/// The names of what can work in a part, an empty one for what needs none: its loads, the coil of a relay. The
/// vehicle's own lamp at a donor is not among them.
pub fn workings(part: &Part) -> Vec<&'static str> {
    let mut used = Used::new(12.0);
    for (name, given) in part.values.iter() {
        if let Given::Known(value) = given {
            used.set(name, value.clone());
        }
    }
    let mut names = Vec::new();
    if part.kind.class == Class::Donor {
        return names;
    }
    for branch in (part.kind.branches)(&used) {
        let name = match branch.role {
            Role::Load(load) => load.name,
            Role::Coil { .. } => "",
            _ => continue,
        };
        if !names.contains(&name) {
            names.push(name);
        }
    }
    // The coil of a relay is there whatever is known of it.
    if names.is_empty() && part.kind.class == Class::Contact && part.positions().is_empty() {
        names.push("");
    }
    names
}

/// What is impossible about an interlock, if anything; lowercase, no full stop.
pub fn impossible(interlock: &Interlock, network: &Network) -> Option<String> {
    let Some(part) = network.part(&interlock.load) else {
        return Some(format!("there is no part `{}`", interlock.load));
    };
    let names = workings(part);
    if !names.contains(&interlock.name.as_str()) {
        return Some(nothing_called(part, &interlock.name, &names));
    }
    interlock.any_of.iter().flatten().find_map(|one| state_impossible(one, network))
}

fn nothing_called(part: &Part, name: &str, names: &[&str]) -> String {
    let known: Vec<String> =
        names.iter().filter(|name| !name.is_empty()).map(|name| format!("`{name}`")).collect();
    match (names, name) {
        ([], _) => format!("{} {} is no load", part.kind.noun, part.title()),
        (_, "") => format!("{} {} has the loads {}", part.kind.noun, part.title(), known.join(", ")),
        _ => format!("{} {} has no load `{name}`", part.kind.noun, part.title()),
    }
}

/// What is impossible about a state, if anything; lowercase, no full stop.
pub fn state_impossible(one: &InState, network: &Network) -> Option<String> {
    let Some(part) = network.part(&one.part) else { return Some(format!("there is no part `{}`", one.part)) };
    let known = states(part, &one.name);
    if known.contains(&one.is.as_str()) {
        return None;
    }
    if known.is_empty() {
        return Some(format!("{} {} has no state to name", part.kind.noun, part.title()));
    }
    let known: Vec<String> = known.iter().map(|state| format!("`{state}`")).collect();
    Some(format!(
        "{} {} cannot be `{}`; it can be {}",
        part.kind.noun,
        part.title(),
        one.is,
        known.join(", ")
    ))
}

/// Takes out what names parts or states that are not there any more: a state that cannot be makes its list impossible,
/// and a condition without any list left says nothing.
pub fn keep_possible(interlocks: &mut Vec<Interlock>, network: &Network) {
    for interlock in interlocks.iter_mut() {
        interlock.any_of.retain(|all| all.iter().all(|one| state_impossible(one, network).is_none()));
    }
    interlocks.retain(|interlock| {
        impossible(interlock, network).is_none()
            && (interlock.rule == Rule::AnyTime || !interlock.any_of.is_empty())
    });
}
