//! Expected readings of a literate fixture, compared with what the engine computes.
//!
//! ```text
//! verdict "at rest": settled             how the situation comes to rest
//! situation "at rest": p3.1 = 12.34 V    a terminal against the chassis
//! p3.1 = none                            no defined potential (same situation as the line before)
//! p3.1 to p3.2 = 11.9 V                  from one terminal to another
//! wire w1 = 4.58 A                       from its start to its end
//! part p5 = 4.58 A                       through its first branch; volts and watts likewise
//! part p5.beam = 55 W                    through its branch of that name
//! part p5 = on                           a relay is pulled in, a load works
//! after p2 pressed, p2 released: part p4 = on
//! ```
//!
//! A line with `after` asks for the lasting state whose shortest way from rest is that sequence.
//! A number must agree to half a unit of its last digit, so the fixture says how exactly it means it.

use engine::check::works;
use engine::circuit::Circuit;
use engine::document::{AT_REST, Document, Situation};
use engine::ids::{PartId, TerminalName, TerminalRef, WireId};
use engine::kind::Role;
use engine::solve::{Rest, Solution, solve};

/// What went wrong, one line for each expectation that is not met.
pub fn compare<'e>(document: &Document, expect: impl IntoIterator<Item = &'e String>) -> Vec<String> {
    let circuit = engine::laid::circuit(document);
    let mut reader = Reader { document, circuit: &circuit, situation: AT_REST.to_owned() };
    expect
        .into_iter()
        .filter_map(|line| reader.line(line).err().map(|message| format!("`{line}`: {message}")))
        .collect()
}

struct Reader<'a> {
    document: &'a Document,
    circuit: &'a Circuit,
    situation: String,
}

impl Reader<'_> {
    fn line(&mut self, line: &str) -> Result<(), String> {
        if let Some(rest) = line.strip_prefix("verdict ") {
            let word = self.enter(rest)?;
            let found = self.solution()?.verdict.word();
            return if found == word { Ok(()) } else { Err(format!("the verdict is {found}")) };
        }
        if let Some(rest) = line.strip_prefix("situation ") {
            let reading = self.enter(rest)?;
            return self.reading(&reading, None);
        }
        if let Some(rest) = line.strip_prefix("after ") {
            let (actions, reading) = rest.split_once(": ").ok_or("no colon after the actions")?;
            return self.reading(reading, Some(actions));
        }
        self.reading(line, None)
    }

    /// Takes the quoted situation off the front of `text` and makes it the present one.
    fn enter(&mut self, text: &str) -> Result<String, String> {
        let inner = text.strip_prefix('"').ok_or("the situation is not in quotes")?;
        let (name, rest) = inner.split_once("\": ").ok_or("no colon after the situation")?;
        self.situation = name.to_owned();
        Ok(rest.to_owned())
    }

    fn solution(&self) -> Result<Solution, String> {
        let named = self.document.situations.iter().find(|situation| situation.name == self.situation);
        let situation = match named {
            Some(situation) => situation.clone(),
            None if self.situation == AT_REST => Situation::at_rest(),
            None => return Err(format!("the job has no situation `{}`", self.situation)),
        };
        Ok(solve(self.circuit, &situation))
    }

    fn reading(&self, text: &str, actions: Option<&str>) -> Result<(), String> {
        let solution = self.solution()?;
        let rest = match actions {
            None => solution.shown().ok_or_else(|| format!("no readings: {}", solution.verdict.word()))?,
            Some(actions) => self.state_after(&solution, actions)?,
        };
        let (what, value) = text.split_once(" = ").ok_or("no ` = `")?;
        let what: Vec<&str> = what.split_whitespace().collect();
        match what[..] {
            ["wire", id] => {
                let id = WireId::new(id).ok_or("no wire id")?;
                let index = self.circuit.wire_index(&id).ok_or("no such wire")?;
                let branch = (0..self.circuit.branches.len())
                    .find(|b| self.circuit.branches[*b].origin == engine::circuit::Origin::Wire(index))
                    .ok_or("the wire is not part of the circuit")?;
                number(value, "A", Some(rest.steady.amps(branch)))
            }
            ["part", name] => self.part(rest, name, value),
            [terminal] => number(value, "V", rest.steady.volts(self.net(terminal)?)),
            [from, "to", to] => number(value, "V", rest.steady.between(self.net(from)?, self.net(to)?)),
            _ => Err("not a reading".to_owned()),
        }
    }

    fn state_after<'s>(&self, solution: &'s Solution, actions: &str) -> Result<&'s Rest, String> {
        let parts = &self.document.network.parts;
        let told = |reached: &engine::solve::Reached| -> Vec<String> {
            let action = |(part, position): &(usize, u8)| {
                format!("{} {}", parts[*part].id, parts[*part].positions()[usize::from(*position)])
            };
            reached.actions.iter().map(action).collect()
        };
        let wanted: Vec<String> = match actions {
            "nothing" => Vec::new(),
            _ => actions.split(", ").map(str::to_owned).collect(),
        };
        let found = solution.reached.iter().find(|reached| told(reached) == wanted);
        found.map(|reached| &reached.rest).ok_or_else(|| {
            let all: Vec<String> = solution.reached.iter().map(|reached| told(reached).join(", ")).collect();
            format!("lasting states come after: {}", all.join("; "))
        })
    }

    fn net(&self, terminal: &str) -> Result<usize, String> {
        let (part, name) = terminal.split_once('.').ok_or("no terminal")?;
        let part = PartId::new(part).ok_or("no part id")?;
        let terminal = TerminalRef { part, terminal: TerminalName::new(name) };
        self.circuit.net_of(&terminal).ok_or_else(|| "no such terminal".to_owned())
    }

    fn part(&self, rest: &Rest, name: &str, value: &str) -> Result<(), String> {
        let (id, load_name) = name.split_once('.').unwrap_or((name, ""));
        let parts = &self.document.network.parts;
        let part = parts.iter().position(|part| part.id.as_str() == id).ok_or("no such part")?;
        let mut branches = self.circuit.branches_of_part(part);
        let (index, branch) = match load_name {
            // The first branch that conducts speaks for a part with one branch a position.
            "" => {
                let all: Vec<_> = branches.collect();
                let closed = all.iter().find(|(index, _)| self.circuit.closed(*index, &rest.state));
                closed.or(all.first()).copied().ok_or("the part has no branch")?
            }
            _ => branches
                .find(|(_, branch)| matches!(&branch.role, Role::Load(load) if load.name == load_name))
                .ok_or("no such branch")?,
        };
        if value == "on" || value == "off" {
            let on = match &branch.role {
                Role::Load(load) => works(self.circuit, rest, index, load),
                _ => {
                    let device = self.circuit.devices.iter().position(|device| device.branch == index);
                    rest.state.devices[device.ok_or("it is neither on nor off")?]
                }
            };
            return if on == (value == "on") { Ok(()) } else { Err("it is not".to_owned()) };
        }
        match value.rsplit_once(' ') {
            Some((_, "V")) => number(value, "V", rest.steady.between(branch.from, branch.to)),
            Some((_, "W")) => number(value, "W", Some(rest.steady.watts(self.circuit, index))),
            _ => number(value, "A", Some(rest.steady.amps(index))),
        }
    }
}

/// Whether `found` agrees with `text`, such as `12.34 V`, to half a unit of its last digit.
fn number(text: &str, unit: &str, found: Option<f64>) -> Result<(), String> {
    if text == "none" {
        return found.map_or(Ok(()), |found| Err(format!("it is {found:.6} {unit}")));
    }
    let digits = text.strip_suffix(unit).map(str::trim_end).ok_or_else(|| format!("not in {unit}"))?;
    let wanted: f64 = digits.parse().map_err(|_| "not a number".to_owned())?;
    let decimals = digits.split_once('.').map_or(0, |(_, fraction)| fraction.len() as i32);
    // The slack is for the rounding of the decimal fraction itself.
    let tolerance = 0.5 * 10f64.powi(-decimals) * (1.0 + 1e-9);
    match found {
        Some(found) if (found - wanted).abs() <= tolerance => Ok(()),
        Some(found) => Err(format!("it is {found:.6} {unit}")),
        None => Err("it is not defined".to_owned()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_number_must_agree_to_its_last_digit() {
        assert_eq!(number("12.34 V", "V", Some(12.3449)), Ok(()));
        assert!(number("12.34 V", "V", Some(12.3451)).is_err());
        assert!(number("12.34 V", "A", Some(12.34)).is_err());
        assert!(number("12.34 V", "V", None).is_err());
        assert_eq!(number("none", "V", None), Ok(()));
        assert!(number("none", "V", Some(0.0)).is_err());
    }
}
