//! Random circuits over every kind, from a seed; and questions about scenes, answered from their
//! shapes alone.

use std::collections::BTreeMap;

use drawing::geometry::{Point, Rect};
use drawing::scene::{Element, ElementId, Role, Scene, Shape};
use engine::document::wire::{COLOR_LETTERS, METRIC_SIZES};
use engine::document::{Color, Network, Part, Size, Status, Wire};
use engine::given::Given;
use engine::ids::{PartId, TerminalRef, WireId};
use engine::kind::{self, ALL, Class, Form, Value, Values};
use engine::quantity::SquareMillimetres;

/// A generator of pseudo-random numbers (xorshift, 64 bits).
pub struct Chance(u64);

impl Chance {
    pub fn new(seed: u64) -> Chance {
        Chance(seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) | 1)
    }

    /// A number from 0 to `n` - 1.
    pub fn below(&mut self, n: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 >> 16) as usize % n
    }

    pub fn one_in(&mut self, n: usize) -> bool {
        self.below(n) == 0
    }
}

/// A part of this kind with some values said.
fn part(chance: &mut Chance, number: usize, kind: &'static kind::Kind) -> Part {
    let mut values = Values::default();
    let seed = chance.below(usize::MAX);
    for spec in kind.values {
        // Every value has a chance of its own, so that a new one changes nothing about the others.
        let chance =
            &mut Chance::new(spec.name.bytes().fold(0xcbf2_9ce4_8422_2325 ^ seed as u64, |sum, byte| {
                (sum ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3)
            }));
        let value = match spec.form {
            Form::Word(words) if chance.one_in(2) => Value::Word(words[chance.below(words.len())]),
            Form::Count { least, most } if chance.one_in(2) => {
                let most = most.min(least + 6);
                Value::Number(f64::from(least) + chance.below((most - least) as usize + 1) as f64)
            }
            Form::Number { least, most, .. } if chance.one_in(3) => {
                let number = least.max(0.0) + chance.below(60) as f64;
                Value::Number(number.min(most))
            }
            Form::Flag if chance.one_in(3) => Value::Flag(chance.one_in(2)),
            _ => continue,
        };
        values.set(spec.name, Given::Known(value));
    }
    let label = match chance.below(4) {
        0 => String::new(),
        1 => format!("{}{number}", kind.letter),
        2 => format!("{} {number}", kind.noun),
        _ => format!("{}{number}", kind.letter),
    };
    let status = Status::WORDS[[0, 1, 1, 1, 2][chance.below(5)]].0;
    Part { status, values, ..Part::new(PartId::new(&format!("p{number}")).unwrap(), kind, label) }
}

fn wire(chance: &mut Chance, number: usize, from: TerminalRef, to: TerminalRef) -> Wire {
    let color = |chance: &mut Chance| COLOR_LETTERS[chance.below(COLOR_LETTERS.len())].0;
    let size = SquareMillimetres::new(METRIC_SIZES[chance.below(14)]).unwrap();
    let base = color(chance);
    let stripe = chance.one_in(2).then(|| color(chance));
    Wire {
        label: if chance.one_in(4) { String::new() } else { format!("W{number}") },
        status: Status::WORDS[[0, 1, 1, 1, 2][chance.below(5)]].0,
        size: if chance.one_in(5) { Given::NotKnown } else { Given::Known(Size::Metric(size)) },
        color: (!chance.one_in(6)).then_some(Color { base, stripe }),
        ..Wire::new(WireId::new(&format!("w{number}")).unwrap(), from, to)
    }
}

/// A circuit of `n_parts` parts of every kind, wired without any sense: cycles, several batteries
/// and parts that hang loose included.
pub fn senseless(seed: u64, n_parts: usize) -> Network {
    let mut chance = Chance::new(seed);
    let parts: Vec<Part> = (0..n_parts)
        .map(|number| {
            let kind = ALL[chance.below(ALL.len())];
            part(&mut chance, number, kind)
        })
        .collect();
    let terminals: Vec<TerminalRef> = parts
        .iter()
        .flat_map(|part| {
            part.terminals()
                .into_iter()
                .take(6)
                .map(|t| TerminalRef { part: part.id.clone(), terminal: t.name })
        })
        .collect();
    let mut wires = Vec::new();
    for number in 0..n_parts * 5 / 4 {
        let from = terminals[chance.below(terminals.len())].clone();
        let to = terminals[chance.below(terminals.len())].clone();
        if from != to {
            wires.push(wire(&mut chance, number, from, to));
        }
    }
    Network { parts, wires, next_id: 10_000 }
}

/// A circuit such as one finds in a vehicle: chains from a battery through protection and
/// contacts to loads and earth points, with coils, branches and joints; about `n_parts` parts.
pub fn sensible(seed: u64, n_parts: usize) -> Network {
    let mut chance = Chance::new(seed);
    let of = |class: Class| ALL.iter().copied().filter(move |kind| kind.class == class).collect::<Vec<_>>();
    let (loads, contacts, protections) = (of(Class::Load), of(Class::Contact), of(Class::Protection));
    let mut parts: Vec<Part> = Vec::new();
    let mut pairs: Vec<(TerminalRef, TerminalRef)> = Vec::new();
    let add = |chance: &mut Chance, parts: &mut Vec<Part>, kind| {
        let new = part(chance, parts.len(), kind);
        parts.push(new);
        parts.len() - 1
    };
    let terminal = |parts: &[Part], part: usize, index: usize| {
        let all = parts[part].terminals();
        TerminalRef { part: parts[part].id.clone(), terminal: all[index.min(all.len() - 1)].name.clone() }
    };
    let battery = add(&mut chance, &mut parts, kind::by_name("battery").unwrap());
    let bar = add(&mut chance, &mut parts, kind::by_name("bar").unwrap());
    pairs.push((terminal(&parts, battery, 0), terminal(&parts, bar, 0)));
    let mut earths = vec![add(&mut chance, &mut parts, kind::by_name("earth").unwrap())];
    let mut bar = bar;
    while parts.len() < n_parts {
        if chance.one_in(6) {
            // A further bar, so that no stud serves dozens of wires.
            let next = add(&mut chance, &mut parts, kind::by_name("bar").unwrap());
            pairs.push((terminal(&parts, bar, 1), terminal(&parts, next, 0)));
            bar = next;
        }
        let kind = protections[chance.below(protections.len())];
        let fuse = add(&mut chance, &mut parts, kind);
        let n_studs = parts[bar].terminals().len();
        let stud = 1 + chance.below(n_studs - 1);
        pairs.push((terminal(&parts, bar, stud), terminal(&parts, fuse, 0)));
        let mut end = terminal(&parts, fuse, 1);
        for _ in 0..chance.below(3) {
            let kind = contacts[chance.below(contacts.len())];
            let contact = add(&mut chance, &mut parts, kind);
            pairs.push((end, terminal(&parts, contact, 0)));
            end = terminal(&parts, contact, 1);
        }
        let n_loads = 1 + chance.below(3);
        for _ in 0..n_loads {
            let kind = loads[chance.below(loads.len())];
            let load = add(&mut chance, &mut parts, kind);
            pairs.push((end.clone(), terminal(&parts, load, 0)));
            if chance.one_in(4) {
                earths.push(add(&mut chance, &mut parts, kind::by_name("earth").unwrap()));
            }
            let earth = earths[chance.below(earths.len())];
            pairs.push((terminal(&parts, load, 9), terminal(&parts, earth, 0)));
        }
    }
    let wires = pairs.into_iter().enumerate().map(|(number, (from, to))| wire(&mut chance, number, from, to));
    let wires = wires.collect();
    Network { parts, wires, next_id: 10_000 }
}

/// How many circuits [`corpus`] has.
pub const CORPUS: usize = 300;

/// The circuit of that number of the corpus, of 5 to 150 parts, with words to tell it by: sensible
/// and senseless ones in turn.
pub fn corpus(number: usize) -> (String, Network) {
    let seed = (number / 2) as u64;
    let n_parts = 5 + (seed as usize * 37) % 139;
    let (word, network) = if number.is_multiple_of(2) {
        ("sensible", sensible(seed, n_parts))
    } else {
        ("senseless", senseless(seed, n_parts + n_parts / 20))
    };
    (format!("{word} {seed}, {} parts", network.parts.len()), network)
}

/// The points of every wire.
pub fn wire_paths(scene: &Scene) -> Vec<(&Element, &[Point])> {
    scene
        .elements()
        .iter()
        .filter_map(|element| match (&element.id, element.shapes.first()) {
            (ElementId::Wire(_), Some(Shape::Line(Role::Wire(_), points))) => {
                Some((element, points.as_slice()))
            }
            _ => None,
        })
        .collect()
}

/// The legs of a path as flat rectangles.
pub fn legs(points: &[Point]) -> Vec<Rect> {
    points.windows(2).map(|leg| Rect::new(leg[0].x, leg[0].y, leg[1].x, leg[1].y)).collect()
}

/// The body of every symbol.
pub fn bodies(scene: &Scene) -> Vec<(&Element, Rect)> {
    scene.elements().iter().filter_map(|element| Some((element, element.body?))).collect()
}

/// Where the wires of each terminal may meet its symbols.
pub fn contacts(scene: &Scene) -> BTreeMap<TerminalRef, Vec<Point>> {
    let mut all: BTreeMap<TerminalRef, Vec<Point>> = BTreeMap::new();
    for contact in scene.elements().iter().flat_map(|element| &element.contacts) {
        all.entry(contact.terminal.clone()).or_default().extend(&contact.points);
    }
    all
}

/// The common part of two closed rectangles.
pub fn common(a: Rect, b: Rect) -> Option<Rect> {
    let (left, right) = (a.left.max(b.left), a.right.min(b.right));
    let (top, bottom) = (a.top.max(b.top), a.bottom.min(b.bottom));
    (left <= right && top <= bottom).then(|| Rect::new(left, top, right, bottom))
}

/// Every text with the element it belongs to.
pub fn texts(scene: &Scene) -> Vec<(&Element, Rect)> {
    scene
        .elements()
        .iter()
        .flat_map(|element| element.shapes.iter().map(move |shape| (element, shape)))
        .filter(|(_, shape)| matches!(shape, Shape::Text(_)))
        .map(|(element, shape)| (element, shape.bounds()))
        .collect()
}
