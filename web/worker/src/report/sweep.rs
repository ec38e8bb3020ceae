//! Everything that working the switches can lead to: how it comes to rest, how often, and the shortest way there.

use std::rc::Rc;

use engine::circuit::Circuit;
use engine::document::interlock::{states, workings};
use engine::document::{InState, Situation};
use engine::ids::PartId;
use engine::kind::Class;
use engine::post::Report;
use engine::solve::{Action, Solver, Verdict, solve};
use engine::sweep::{Explored, Outcome, Progress, Proof, Sweep, Sweeper, Trouble, as_used, reach, words};

use super::markup::Markup;
use super::{Asked, in_full, plural, state_words};

/// The verdicts in the order in which they are told, with what each is called.
const VERDICTS: [(Verdict, &str); 7] = [
    (Verdict::Settled, "settles"),
    (Verdict::History, "depends on what was done before"),
    (Verdict::Race, "race: depends on which device is quicker"),
    (Verdict::Chatter, "chatter: a relay pulls in and drops out"),
    (Verdict::Flashing, "flashing: an electronic load turns on and off"),
    (Verdict::Collapse, "collapse: the supply cannot deliver it"),
    (Verdict::Unsolved, "no solution found"),
];

/// What can be asked before anything is gone through.
pub fn page(asked: &Asked<'_>) -> String {
    let mut page = Markup::new();
    choices(&mut page, asked);
    page.done()
}

fn choices(page: &mut Markup, asked: &Asked<'_>) {
    let states = all_states(asked);
    if !states.iter().any(|(_, _, is_worked)| *is_worked) {
        page.paragraph("Nothing in this job can be switched yet.");
        return;
    }
    page.element("div", &[("class", "row")], |row| row.button_long("Go through all positions", "swept"));
    page.element("div", &[("class", "row")], |row| {
        let options: Vec<(&str, &str)> =
            states.iter().map(|(value, title, _)| (value.as_str(), title.as_str())).collect();
        row.select("state", "Shortest way to", &options, asked.field("state").unwrap_or_default());
        let mut others = vec![("", "nothing else")];
        others.extend(options);
        row.select("also", "and", &others, asked.field("also").unwrap_or_default());
        row.button_long("Find the way", "reached");
    });
}

/// Every state that can be named: what stands for it, its words, and whether it is a position of a switch or donor.
pub fn all_states(asked: &Asked<'_>) -> Vec<(String, String, bool)> {
    let network = &asked.document.network;
    let mut all = Vec::new();
    for part in &network.parts {
        let is_worked =
            matches!(part.kind.class, Class::Contact | Class::Donor) && !part.positions().is_empty();
        let names = if is_worked { vec![""] } else { workings(part) };
        for name in names {
            for is in states(part, name) {
                let one = InState { part: part.id.clone(), name: name.to_owned(), is: (*is).to_owned() };
                let title = format!("{} {}", in_full(part), state_words(&one));
                all.push((format!("{}|{name}|{is}", part.id), title, is_worked));
            }
        }
    }
    // What is wanted is mostly that something works.
    all.sort_by_key(|(value, _, is_worked)| (*is_worked, value.ends_with("|off")));
    all
}

/// The state that a value of a field stands for.
pub fn state_of(value: &str) -> Option<InState> {
    let mut pieces = value.splitn(3, '|');
    let part = PartId::new(pieces.next()?)?;
    Some(InState { part, name: pieces.next()?.to_owned(), is: pieces.next()?.to_owned() })
}

/// Goes through all states.
pub fn swept(asked: &Asked<'_>, progress: Progress<'_>) -> Report {
    let circuit = asked.prepared.circuit();
    let sweeper = Sweeper::new(Rc::new(Solver::new(circuit)));
    let sweep = sweeper.sweep(progress);
    let mut page = Markup::new();
    choices(&mut page, asked);
    let summary = summary(&sweep);
    page.heading("All positions");
    page.paragraph(&summary);
    counts(&mut page, &sweep);
    for component in &sweep.components {
        troubles(&mut page, circuit, &component.explored);
        remembered(&mut page, circuit, &component.explored);
    }
    page.element("details", &[], |details| {
        details.line("summary", "", "Which switches decide what");
        sets(details, circuit, &sweep);
    });
    page.line("p", "hint", "Begun at rest, one switch or donor circuit worked at a time, sockets in use. Calculated, not measured.");
    let said =
        if summary.ends_with(SETTLES) { SETTLES } else { "All gone through: see what does not settle." };
    Report { markup: page.done(), said: said.to_owned(), ..Report::default() }
}

const SETTLES: &str = "Everything settles, and in one way only.";

fn summary(sweep: &Sweep) -> String {
    let explored = || sweep.components.iter().map(|component| &component.explored);
    let seen: u64 = explored().map(|explored| explored.n_seen).sum();
    let of: u64 = explored().map(|explored| explored.n_combinations).sum();
    let states: usize = explored().map(|explored| explored.nodes.len()).sum();
    let found =
        explored().flat_map(|explored| explored.situations()).any(|one| one.verdict != Verdict::Settled);
    let found = if found { "Not all of it settles." } else { SETTLES };
    match sweep.is_complete() {
        true => format!(
            "{} of positions gone through, {}. {found}",
            plural(seen, "combination"),
            plural(states as u64, "state")
        ),
        false => format!("Not finished: {seen} of {of} combinations of positions gone through. {found}"),
    }
}

fn counts(page: &mut Markup, sweep: &Sweep) {
    let mut rows = vec![vec!["how it comes to rest".to_owned(), "combinations".to_owned()]];
    for (verdict, word) in VERDICTS {
        let of_it =
            |explored: &Explored| explored.situations().iter().filter(|one| one.verdict == verdict).count();
        let n: usize = sweep.components.iter().map(|component| of_it(&component.explored)).sum();
        if n > 0 || verdict == Verdict::Settled {
            rows.push(vec![word.to_owned(), n.to_string()]);
        }
    }
    page.table("How the positions come to rest", &rows);
}

/// What does not come to rest; of several alike the one with the fewest actions.
fn troubles(page: &mut Markup, circuit: &Circuit, explored: &Explored) {
    let situations = explored.situations();
    let mut told: Vec<(Verdict, &[usize])> = Vec::new();
    for trouble in &explored.troubles {
        let what = (trouble.verdict, &trouble.restless[..]);
        if told.contains(&what) {
            continue;
        }
        told.push(what);
        let is_it = |other: &Trouble| (other.verdict, &other.restless[..]) == what;
        let alike = situations.iter().filter(|one| one.trouble.is_some_and(is_it)).count();
        page.heading(&named(circuit, trouble.verdict, &trouble.restless));
        page.paragraph(trouble.verdict.meaning());
        if alike > 1 {
            page.line(
                "p",
                "hint",
                &format!("So it is in {alike} combinations of positions. The shortest way to one:"),
            );
        }
        steps(page, circuit, &explored.actions_of(trouble.before));
    }
}

/// What remembers: each state of the first combination of positions that has several.
fn remembered(page: &mut Markup, circuit: &Circuit, explored: &Explored) {
    let situations = explored.situations();
    let all: Vec<_> = situations.iter().filter(|one| one.verdict == Verdict::History).collect();
    let Some(first) = all.first() else { return };
    let devices = |node: usize| &explored.nodes[node].state.devices;
    let differing: Vec<usize> = (0..circuit.devices.len())
        .filter(|device| {
            first.nodes.iter().any(|node| devices(*node)[*device] != devices(first.nodes[0])[*device])
        })
        .collect();
    page.heading(&named(circuit, Verdict::History, &differing));
    let n = all.len() as u64;
    page.paragraph(&format!(
        "With the same positions it ends in {} ways, by what was done before; so it is in {} of positions. The drawing shows what comes of setting everything at once.",
        first.nodes.len(),
        plural(n, "combination"),
    ));
    for node in &first.nodes {
        let on: Vec<String> = differing
            .iter()
            .map(|device| device_title(circuit, *device))
            .zip(differing.iter().map(|device| devices(*node)[*device]))
            .map(|(title, is_on)| format!("{title} {}", if is_on { "on" } else { "off" }))
            .collect();
        page.paragraph(&format!("{}:", on.join(", ")));
        steps(page, circuit, &explored.actions(*node));
    }
}

fn device_title(circuit: &Circuit, device: usize) -> String {
    circuit.subject(circuit.devices[device].branch).title(&circuit.resolved.network)
}

fn named(circuit: &Circuit, verdict: Verdict, devices: &[usize]) -> String {
    let mut titles: Vec<String> = Vec::new();
    for device in devices {
        let title = device_title(circuit, *device);
        if !titles.contains(&title) {
            titles.push(title);
        }
    }
    let word = verdict.word();
    match titles.is_empty() {
        true => word.to_owned(),
        false => format!("{word}: {}", titles.join(", ")),
    }
}

fn sets(page: &mut Markup, circuit: &Circuit, sweep: &Sweep) {
    let mut rows = vec![["switches and donors", "states", "decide"].map(str::to_owned).to_vec()];
    for component in &sweep.components {
        let names = words::inputs(circuit, component);
        let decided = words::decided(circuit, component);
        rows.push(vec![names.join(", "), component.explored.nodes.len().to_string(), decided.join(", ")]);
    }
    page.table("Sets of switches that decide something alone", &rows);
}

/// A sequence of actions from rest; each step can be shown on the drawing.
pub fn steps(page: &mut Markup, circuit: &Circuit, actions: &[Action]) {
    let network = &circuit.resolved.network;
    let mut positions = as_used(circuit);
    let group = [
        ("class", "row steps"),
        ("role", "group"),
        ("aria-label", "Show a step on the drawing"),
        ("data-one", ""),
    ];
    page.element("div", &group, |row| {
        row.button_pressed("0. at rest", &set_words(circuit, &positions), false);
        for (number, action) in (1..).zip(actions) {
            positions[action.0] = action.1;
            let caption = format!("{number}. {}", words::action(network, *action));
            row.button_pressed(&caption, &set_words(circuit, &positions), false);
        }
    });
}

/// The words that set these positions.
fn set_words(circuit: &Circuit, positions: &[u8]) -> String {
    let mut all = "set".to_owned();
    for (part, position) in circuit.resolved.network.parts.iter().zip(positions) {
        if *position > 0 {
            all.push_str(&format!(" {}:{position}", part.id));
        }
    }
    all
}

/// Sets the positions that are named as `part:number`, everything else at rest.
pub fn set(asked: &Asked<'_>) -> Option<Report> {
    let network = &asked.document.network;
    let mut situation = Situation::default();
    let mut names = Vec::new();
    for word in &asked.words[1..] {
        let (id, number) = word.split_once(':')?;
        let part = network.part(&PartId::new(id)?)?;
        let position = part.positions().get(number.parse::<usize>().ok()?)?;
        names.push(format!("{} {position}", part.title()));
        situation.set.insert(part.id.clone(), (*position).to_owned());
    }
    let verdict = solve(asked.prepared.circuit(), &situation).verdict;
    let names = if names.is_empty() { "Everything at rest".to_owned() } else { names.join(", ") };
    let said = match verdict {
        Verdict::Settled => format!("{names}."),
        verdict => format!("{names}. {}", verdict.meaning()),
    };
    Some(Report { positions: Some(situation), said, ..Report::default() })
}

/// Looks for the shortest way to the states that were chosen.
pub fn reached(asked: &Asked<'_>, progress: Progress<'_>) -> Report {
    let circuit = asked.prepared.circuit();
    let network = &asked.document.network;
    let chosen = ["state", "also"].map(|field| asked.field(field).and_then(state_of));
    let chosen: Vec<InState> = chosen.into_iter().flatten().collect();
    let sweeper = Sweeper::new(Rc::new(Solver::new(circuit)));
    let proof = reach(&sweeper, &chosen, progress);
    let mut page = Markup::new();
    choices(&mut page, asked);
    let title = |id: &PartId| network.part(id).map_or_else(|| id.to_string(), in_full);
    let names: Vec<String> =
        chosen.iter().map(|one| format!("{} {}", title(&one.part), state_words(one))).collect();
    let names = names.join(" and ");
    page.heading(&names);
    let said = match &proof.outcome {
        Outcome::Broken { actions, lasts, .. } => {
            let after = words::after(network, actions);
            let passes = if *lasts { "" } else { "; it does not last" };
            page.paragraph(&format!("Reached {after}{passes}."));
            steps(&mut page, circuit, actions);
            format!("{names}: {after}")
        }
        Outcome::Proved => {
            let said = format!(
                "Never reached: all {} looked at, in {} of positions.",
                plural(proof.n_states as u64, "state"),
                plural(proof.n_combinations, "combination")
            );
            page.paragraph(&said);
            format!("{names}: never reached")
        }
        _ => {
            let said = unfinished(asked, &proof);
            page.paragraph(&said);
            said
        }
    };
    Report { markup: page.done(), said, ..Report::default() }
}

/// Why it cannot be said whether something can be.
pub fn unfinished(asked: &Asked<'_>, proof: &Proof) -> String {
    match &proof.outcome {
        Outcome::NotKnown(part) => {
            let title = asked.document.network.part(part).map_or("a part", |part| part.title());
            format!("Not known: what decides it has not been said of {title}.")
        }
        _ if proof.n_seen < proof.n_combinations => format!(
            "Not finished: {} of {} combinations of positions looked at, and nothing against it was found there.",
            proof.n_seen, proof.n_combinations,
        ),
        _ => format!(
            "Not proved: nothing against it was found, but {} of {} have no solution or a shorted source, and nothing is \
             known of those.",
            proof.n_unsolved,
            plural(proof.n_states as u64, "state"),
        ),
    }
}
