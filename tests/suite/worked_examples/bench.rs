//! Textbook circuits as jobs: nodes become splices, joined by conductors without length.

use std::collections::BTreeMap;

use engine::circuit::{Circuit, build};
use engine::document::{Settings, Situation};
use engine::ids::TerminalRef;
use engine::notation;
use engine::solve::{Solution, solve};

/// Something between two numbered nodes; node 0 is joined to the vehicle body.
pub struct Element {
    name: &'static str,
    from: u32,
    to: u32,
    part: String,
    terminals: [&'static str; 2],
}

/// A resistance.
pub fn resistor(name: &'static str, from: u32, to: u32, ohm: f64) -> Element {
    Element { name, from, to, part: format!("resistor {name} ohm={ohm}"), terminals: ["1", "2"] }
}

/// A source with its positive pole at the first node and an internal resistance.
pub fn source(name: &'static str, plus: u32, minus: u32, volts: f64, internal: f64) -> Element {
    let part = format!("battery {name} open_circuit_v={volts} internal_ohm={internal} to_chassis=no");
    Element { name, from: plus, to: minus, part, terminals: ["+", "-"] }
}

/// A filament lamp.
pub fn lamp(name: &'static str, from: u32, to: u32, watts: f64, at_v: f64) -> Element {
    Element { name, from, to, part: format!("lamp {name} watts={watts} at_v={at_v}"), terminals: ["1", "2"] }
}

/// A solved circuit.
pub struct Bench {
    circuit: Circuit,
    solution: Solution,
}

/// Solves a circuit of elements.
pub fn solved(elements: &[Element]) -> Bench {
    let mut ends: BTreeMap<u32, u32> = BTreeMap::from([(0, 1)]);
    let mut text = String::from("earth X99 joint_ohm=0\n");
    let mut wires = String::from("wire w0 N0.1 X99.1 mm2=2.5 m=0\n");
    for element in elements {
        text += &format!("{}\n", element.part);
        for (node, terminal) in [element.from, element.to].into_iter().zip(element.terminals) {
            let way = ends.entry(node).or_default();
            *way += 1;
            let name = element.name;
            let id = format!("w{name}{}", if terminal == "+" || terminal == "1" { "a" } else { "b" });
            wires += &format!("wire {id} {name}.{terminal} N{node}.{way} mm2=2.5 m=0\n");
        }
    }
    for (node, ways) in ends {
        text += &format!("splice N{node} ways={}\n", ways.max(2));
    }
    from_notation(&(text + &wires))
}

/// Solves a job in the text form, everything at rest.
pub fn from_notation(text: &str) -> Bench {
    let network = notation::network(text).unwrap_or_else(|error| panic!("{error}\n{text}"));
    let circuit = build(&network, &Settings::default());
    let solution = solve(&circuit, &Situation::at_rest());
    Bench { circuit, solution }
}

impl Bench {
    /// Volts from one terminal to another, as a meter shows them.
    pub fn between(&self, from: &str, to: &str) -> f64 {
        let net = |name: &str| {
            let terminal = TerminalRef::parse(name).expect("a terminal");
            self.circuit.net_of(&terminal).expect("a terminal of the circuit")
        };
        self.solution.shown().expect("settled").steady.between(net(from), net(to)).expect("connected")
    }

    /// Volts from one node to another.
    pub fn volts(&self, from: u32, to: u32) -> f64 {
        self.between(&format!("N{from}.1"), &format!("N{to}.1"))
    }

    fn branch(&self, part: &str) -> usize {
        let parts = &self.circuit.resolved.network.parts;
        let index = parts.iter().position(|p| p.id.as_str() == part).expect("a part of the circuit");
        self.circuit.branches_of_part(index).next().expect("a branch").0
    }

    /// Amperes through a part from its first terminal to its second.
    pub fn amps(&self, part: &str) -> f64 {
        self.solution.shown().expect("settled").steady.amps(self.branch(part))
    }

    /// Amperes a source gives.
    pub fn given(&self, source: &str) -> f64 {
        -self.amps(source)
    }

    /// Watts a part takes.
    pub fn watts(&self, part: &str) -> f64 {
        self.solution.shown().expect("settled").steady.watts(&self.circuit, self.branch(part))
    }
}

/// Asserts that `value` is `expected` but for `within`.
pub fn close(value: f64, expected: f64, within: f64) {
    assert!((value - expected).abs() <= within, "{value} is not {expected} within {within}");
}

/// Asserts that `value` rounds to the printed `expected` of so many significant figures; the last figure may be
/// one half off and, as nodes are joined by a microohm each, a hundred-thousandth of the value more.
pub fn prints(value: f64, expected: f64, figures: i32) {
    let digit = 10f64.powi(expected.abs().log10().floor() as i32 + 1 - figures);
    close(value, expected, 0.5 * digit + 1e-5 * expected.abs());
}
