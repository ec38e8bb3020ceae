//! Two situations side by side: only what differs between them.

use engine::circuit::Circuit;
use engine::document::{AT_REST, Situation};
use engine::kind::Class;
use engine::quantity::{Amps, Volts};
use engine::reading::{Flow, PartReading, Readings, readings};
use engine::solve::{Verdict, solve};

use super::Asked;
use super::markup::Markup;

/// Which two situations to compare.
pub fn page(asked: &Asked<'_>) -> String {
    let mut page = Markup::new();
    let names = names(asked);
    if names.len() < 2 {
        page.paragraph("There is only one situation yet. Set the switches and keep the positions under a name; then two can be compared.");
        return page.done();
    }
    choice(&mut page, asked, &names);
    page.done()
}

/// What differs between the two situations that were chosen.
pub fn compared(asked: &Asked<'_>) -> String {
    let mut page = Markup::new();
    let names = names(asked);
    choice(&mut page, asked, &names);
    let situations = ["one", "other"].map(|field| situation(asked, asked.field(field).unwrap_or_default()));
    let circuit = asked.prepared.circuit();
    let solved = situations.clone().map(|situation| solve(circuit, &situation));
    let read = [0, 1].map(|which| readings(circuit, &situations[which], &solved[which]));
    let heads = [0, 1].map(|which| situations[which].name.clone());
    if situations[0].set == situations[1].set {
        page.paragraph("Both set the same positions, so nothing differs.");
        return page.done();
    }
    for (solution, name) in solved.iter().zip(&heads) {
        if solution.verdict != Verdict::Settled {
            page.paragraph(&format!("{name}: {}", solution.verdict.meaning()));
        }
    }
    sections(&mut page, circuit, &heads, &read);
    page.done()
}

/// At rest, then the named ones, and the present positions where they have no name.
fn names(asked: &Asked<'_>) -> Vec<String> {
    let mut names = vec![AT_REST.to_owned()];
    names.extend(asked.document.situations.iter().map(|situation| situation.name.clone()));
    if !names.contains(&asked.situation.name) {
        names.push(asked.situation.name.clone());
    }
    names
}

fn situation(asked: &Asked<'_>, name: &str) -> Situation {
    let named = asked.document.situations.iter().find(|situation| situation.name == name);
    match named {
        Some(named) => named.clone(),
        None if name == asked.situation.name => asked.situation.clone(),
        None => Situation::at_rest(),
    }
}

fn choice(page: &mut Markup, asked: &Asked<'_>, names: &[String]) {
    let last = names.last().map_or("", String::as_str);
    let present = asked.situation.name.as_str();
    let second = if present == AT_REST { last } else { present };
    page.element("div", &[("class", "row")], |row| {
        for (field, caption, first) in [("one", "Compare", AT_REST), ("other", "with", second)] {
            let chosen = asked.field(field).unwrap_or(first);
            let options: Vec<(&str, &str)> =
                names.iter().map(|name| (name.as_str(), name.as_str())).collect();
            row.select(field, caption, &options, chosen);
        }
        row.button("Compare", "compared");
    });
}

fn sections(page: &mut Markup, circuit: &Circuit, heads: &[String; 2], read: &[Readings; 2]) {
    let network = &circuit.resolved.network;
    let mut loads: Vec<Vec<String>> = Vec::new();
    let mut n_same = 0;
    for ((id, one), (_, other)) in read[0].parts.iter().zip(&read[1].parts) {
        let Some(part) = network.part(id) else { continue };
        if !matches!(part.kind.class, Class::Load) {
            continue;
        }
        let title = format!("{} {}", part.kind.noun, part.title());
        let is_lamp = part.kind.value("function").is_some();
        let load = |reading: &PartReading| load(reading, is_lamp);
        let pairs = if one.loads.is_empty() {
            vec![(title, load(one), load(other))]
        } else {
            let named = one.loads.iter().zip(&other.loads);
            named
                .map(|((name, one), (_, other))| (format!("{title} {name}"), load(one), load(other)))
                .collect()
        };
        for (title, one, other) in pairs {
            // How much stands at what is off in both is of no interest.
            if one == other || one.0 == other.0 && one.0 == words_of(is_lamp)[2] {
                n_same += 1;
            } else {
                loads.push(vec![title, one.1, other.1]);
            }
        }
    }
    section(page, heads, "Loads", "load", loads, n_same);
    let mut wires: Vec<Vec<String>> = Vec::new();
    n_same = 0;
    for ((id, one), (_, other)) in read[0].wires.iter().zip(&read[1].wires) {
        let Some(wire) = network.wire(id) else { continue };
        let (one, other) = (amps(one.amps), amps(other.amps));
        if one == other {
            n_same += 1;
        } else {
            wires.push(vec![wire.title().to_owned(), one, other]);
        }
    }
    section(page, heads, "Amperes of wires", "wire", wires, n_same);
}

fn section(
    page: &mut Markup,
    heads: &[String; 2],
    heading: &str,
    noun: &str,
    rows: Vec<Vec<String>>,
    n_same: usize,
) {
    page.heading(heading);
    let same = match n_same {
        0 => String::new(),
        1 => format!("1 {noun} is the same in both."),
        n => format!("{n} {noun}s are the same in both."),
    };
    if !rows.is_empty() {
        let mut all = vec![vec![noun.to_owned(), heads[0].clone(), heads[1].clone()]];
        all.extend(rows);
        page.table(heading, &all);
    }
    if !same.is_empty() {
        page.line("p", "hint", &same);
    }
}

/// Volts below which a load counts as dark: what is less shows nothing and is mostly rounding (common practice, no
/// source).
const DARK_V: f64 = 0.5;

/// What a load is called that works, that gets too little to work, and that gets nothing.
fn words_of(is_lamp: bool) -> [&'static str; 3] {
    if is_lamp { ["lit", "dim", "dark"] } else { ["works", "too little to work", "off"] }
}

/// Whether a load works, gets something without working, or nothing; and the same with its voltage.
fn load(reading: &PartReading, is_lamp: bool) -> (&'static str, String) {
    let [works, little, nothing] = words_of(is_lamp);
    let volts = reading.flow.volts.map(Volts::get).map(f64::abs);
    let word = match (reading.state, volts) {
        (Some("on"), _) => works,
        (Some(_), Some(volts)) if volts >= DARK_V && flows(&reading.flow) => little,
        (Some(_), _) => nothing,
        (None, _) => return ("", "not known".to_owned()),
    };
    let with_volts = reading.flow.volts.map(|volts| format!("{word}, {}", size(volts.get(), "V")));
    (word, with_volts.unwrap_or_else(|| word.to_owned()))
}

/// Whether a current flows that a meter would show.
fn flows(flow: &Flow) -> bool {
    flow.amps.is_some_and(|amps| amps.get().abs() >= 0.001)
}

fn amps(amps: Option<Amps>) -> String {
    amps.map_or_else(|| "not known".to_owned(), |amps| size(amps.get(), "A"))
}

fn size(value: f64, unit: &str) -> String {
    let thousandths = (value.abs() * 1000.0).round() / 1000.0;
    format!("{} {unit}", engine::quantity::three_figures(thousandths))
}
