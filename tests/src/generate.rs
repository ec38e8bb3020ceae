//! Documents made by chance: every kind, every form of value, labels out to break things.
//!
//! What comes out violates nothing; that it makes electrical sense is not attempted.

use std::sync::Arc;

use engine::document::interlock::{states, workings};
use engine::document::wire::{CLASSES, COLOR_LETTERS, GAUGES, METRIC_SIZES};
use engine::document::{
    Accepted, Card, Color, Complaint, Document, Found, InState, Insulation, Interlock, Joint, Network,
    Outline, Part, Placement, Plan, Pose, Probe, Purpose, Reading, Record, Route, RouteKind, Rule, Seen,
    Settings, Severity, Shape, Situation, Size, Status, Strands, Surroundings, Use, VehiclePlace, Wire,
    settings,
};
use engine::given::Given;
use engine::ids::{PartId, PlaceId, RouteId, TerminalRef, WireId};
use engine::kind::{self, Class, Form, Value, ValueSpec, Values};
use engine::quantity::{Metres, SquareMillimetres};
use engine::subject::Subject;

use crate::chance::Chance;

/// Pieces of text that have upset programs before.
const PIECES: &[&str] = &[
    "K1",
    " ",
    "Night lamps",
    "</svg>",
    "<script>alert(1)</script>",
    "]]>",
    "<![CDATA[",
    "&amp;",
    "&#0;",
    "<!--",
    "\u{0}",
    "\u{7}\u{1b}[31m",
    "\r\n",
    "\t",
    "\u{7f}\u{85}\u{2028}",
    "\u{202e}\u{2066}\u{200f}",
    "\u{feff}\u{fffe}\u{ffff}\u{1fffe}",
    "\u{1f600}\u{200d}\u{1f527}",
    "\"quoted\" 'twice' \\u0041 \\",
    "Grüße ﷽ 한국어",
    "${x} %s `id`",
];

/// The document that belongs to `seed`; larger seeds may give larger documents.
pub fn document(seed: u64) -> Document {
    let mut chance = Chance::new(seed);
    let size = 1 + (seed as usize / 16).min(40);
    let (n_parts, n_wires) = (chance.below(size + 1), chance.below(2 * size + 1));
    let mut next_id = chance.below(5) as u64;
    let mut parts: Vec<Part> = (0..n_parts).map(|_| part(&mut chance, &mut next_id)).collect();
    refer(&mut chance, &mut parts);
    let ends: Vec<TerminalRef> = parts
        .iter()
        .flat_map(|part| part.terminals().into_iter().map(|t| TerminalRef::new(&part.id, t.name.as_str())))
        .collect();
    let wires = match ends.len() {
        0 | 1 => Vec::new(),
        _ => (0..n_wires).map(|_| wire(&mut chance, &mut next_id, &ends)).collect(),
    };
    let mut wires = wires;
    // Drawn apart, so that parts and wires of a seed stay what they were.
    let plan = plan(&mut Chance::new(!seed), &mut parts, &mut wires);
    let mut poses: Vec<Pose> = parts.iter().flat_map(|part| poses(&mut chance, part)).collect();
    let interlocks = interlocks(&mut chance, &parts);
    let situations = (0..chance.below(4)).map(|i| situation(&mut chance, i, &parts)).collect();
    let more = &mut Chance::new(seed.rotate_left(32) ^ 0x5eed);
    poses.iter_mut().for_each(|pose| pose.pinned = more.once_in(4));
    let accepted = accepted(more, &parts, &wires);
    let records = records(&mut Chance::new(seed ^ 0x7e57), &parts, &wires);
    Document {
        card: Arc::new(Card {
            title: text(&mut chance),
            customer: text(&mut chance),
            vehicle: text(&mut chance),
            owner: text(more),
            drawn_by: text(&mut chance),
            approved_by: text(more),
            date: text(&mut chance),
            number: text(&mut chance),
            revision: text(more),
        }),
        settings: Arc::new(job_settings(&mut chance)),
        network: Arc::new(Network { parts, wires, next_id: next_id + chance.below(2) as u64 * 7 }),
        placement: Arc::new(Placement { poses }),
        plan: Arc::new(plan),
        situations: Arc::new(situations),
        interlocks: Arc::new(interlocks),
        accepted: Arc::new(accepted),
        records: Arc::new(records),
    }
}

/// Records of readings, some of them of what is not in the job any more.
fn records(chance: &mut Chance, parts: &[Part], wires: &[Wire]) -> Vec<Record> {
    let gone = PartId::new("gone").expect("letters are an id");
    let mut ids: Vec<PartId> = parts.iter().map(|part| part.id.clone()).collect();
    ids.push(gone);
    let reading = |chance: &mut Chance| {
        let part = chance.one_of(&ids);
        let at =
            |chance: &mut Chance| TerminalRef::new(&chance.one_of(&ids), chance.one_of(&["30", "+", "é"]));
        let (probe, found) = match chance.below(7) {
            0 => {
                let against = chance.once_in(2).then(|| at(chance));
                let number = chance.below(3000) as f64 / 100.0 - 15.0;
                (Probe::Volts { at: at(chance), against }, Found::Number(number))
            }
            1 => match wires.first() {
                Some(wire) => (Probe::Amps(wire.id.clone()), Found::Number(0.25)),
                None => (Probe::Fuse(part), Found::Whole(chance.once_in(2))),
            },
            2 => {
                let seen = chance.one_of(&Seen::WORDS).0;
                (Probe::Look(part, chance.one_of(&["", "beam"]).to_owned()), Found::Seen(seen))
            }
            3 => (Probe::Listen(part), Found::Heard(chance.once_in(2))),
            4 => (Probe::Fuse(part), Found::Whole(chance.once_in(2))),
            5 => {
                let against = chance.once_in(2).then(|| at(chance));
                (Probe::TestLamp { at: at(chance), against }, Found::Seen(chance.one_of(&Seen::WORDS).0))
            }
            _ => {
                let against_positive = chance.once_in(2);
                (Probe::Pin { wire: text(chance), against_positive }, Found::CannotReach)
            }
        };
        let set = [(chance.one_of(&ids), text(chance))].into();
        Reading {
            situation: Situation { name: text(chance), set },
            probe,
            expected: text(chance),
            found: (!chance.once_in(3)).then_some(found),
            is_right: chance.once_in(2).then(|| chance.once_in(2)),
        }
    };
    let complaint = |chance: &mut Chance| Complaint {
        situation: Situation { name: text(chance), set: [(chance.one_of(&ids), text(chance))].into() },
        probe: Probe::Listen(chance.one_of(&ids)),
        should: Found::Heard(chance.once_in(2)),
        found: Found::Heard(chance.once_in(2)),
    };
    let record = |chance: &mut Chance| Record {
        purpose: chance.one_of(&Purpose::WORDS).0,
        about: text(chance),
        date: text(chance),
        by: text(chance),
        meter: text(chance),
        complaints: (0..chance.below(2)).map(|_| complaint(chance)).collect(),
        minutes: (0..chance.below(2))
            .map(|_| (chance.one_of(&ids).to_string(), chance.below(30) as f64))
            .collect(),
        readings: (0..chance.below(5)).map(|_| reading(chance)).collect(),
        answer: text(chance),
    };
    (0..chance.below(3)).map(|_| record(chance)).collect()
}

/// Accepted findings about parts and wires that are there, each about another.
fn accepted(chance: &mut Chance, parts: &[Part], wires: &[Wire]) -> Vec<Accepted> {
    let terminal = |part: &Part| {
        let terminals = part.terminals();
        terminals.first().map(|terminal| TerminalRef::new(&part.id, terminal.name.as_str()))
    };
    let of_parts = parts.iter().map(|part| Subject::Part(part.id.clone()));
    let of_wires = wires.iter().map(|wire| Subject::Wire(wire.id.clone()));
    let of_terminals = parts.iter().filter_map(terminal);
    let of_terminals = of_terminals.flat_map(|at| [Subject::Terminal(at.clone()), Subject::Net(at)]);
    let subjects: Vec<Subject> = of_parts.chain(of_wires).chain(of_terminals).collect();
    let chosen: Vec<Subject> = subjects.into_iter().filter(|_| chance.once_in(9)).collect();
    let mut said = |word: &str| format!("{word} {}", text(chance));
    let mut one = |subject| Accepted {
        check: said("check"),
        subject,
        severity: Severity::Look,
        by: said("J."),
        why: said("because"),
        date: said(""),
    };
    let mut all: Vec<Accepted> = chosen.into_iter().map(&mut one).collect();
    for accepted in &mut all {
        accepted.severity = chance.one_of(&Severity::ALL);
    }
    all
}

/// A plan, with parts sitting at its places and wires led by them.
fn plan(chance: &mut Chance, parts: &mut [Part], wires: &mut [Wire]) -> Plan {
    let n_places = chance.below(5);
    let places: Vec<VehiclePlace> = (0..n_places)
        .map(|index| VehiclePlace {
            name: text(chance),
            surroundings: maybe(chance, surroundings),
            wet: maybe(chance, |chance| chance.once_in(2)),
            moving: chance.once_in(4),
            passing: chance.once_in(4),
            end: maybe(chance, metres),
            ..VehiclePlace::new(
                PlaceId::new(&format!("l{index}")).expect("a letter and a number are an id"),
                chance.below(10_001) as i32 - 5_000,
                chance.below(10_001) as i32 - 5_000,
            )
        })
        .collect();
    let mut routes = Vec::new();
    if n_places > 1 {
        for index in 0..chance.below(6) {
            let from = chance.below(n_places);
            let to = (from + 1 + chance.below(n_places - 1)) % n_places;
            let id = RouteId::new(&format!("r{index}")).expect("a letter and a number are an id");
            routes.push(Route {
                name: text(chance),
                length: maybe(chance, |chance| range(chance, metres, |length| length.get()))
                    .unwrap_or_default(),
                kind: chance.one_of(&RouteKind::WORDS).0,
                surroundings: maybe(chance, surroundings),
                sleeve: maybe(chance, text),
                grommet: maybe(chance, |chance| chance.once_in(2)),
                slack: maybe(chance, metres),
                ..Route::new(id, places[from].id.clone(), places[to].id.clone())
            });
        }
    }
    let outline = maybe(chance, |chance| {
        let (shape, _) = chance.one_of(&Shape::WORDS);
        let mut metres = || Metres::new(chance.within(0.5, 30.0)).expect("a length within limits is finite");
        Outline { shape, length: metres(), width: metres() }
    });
    for wire in wires.iter_mut() {
        wire.strands = maybe(chance, |chance| chance.one_of(&Strands::WORDS).0);
        wire.keep_apart = chance.once_in(8);
    }
    if n_places > 0 {
        for part in parts {
            part.place = maybe(chance, |chance| chance.one_of(&places).id);
        }
        for wire in wires {
            wire.via = (0..chance.below(3)).map(|_| chance.one_of(&places).id).collect();
        }
    }
    Plan { outline, places, routes }
}

/// A length that an end or a loop may have.
fn metres(chance: &mut Chance) -> Metres {
    Metres::new(chance.within(0.0, 5.0)).expect("a length within limits is finite")
}

fn interlocks(chance: &mut Chance, parts: &[Part]) -> Vec<Interlock> {
    let of = |chance: &mut Chance, part: &Part| workings(part).get(chance.below(2)).copied();
    let mut made = Vec::new();
    for _ in 0..chance.below(5) {
        if parts.is_empty() {
            break;
        }
        let part = chance.one_of(parts);
        let Some(name) = of(chance, &part) else { continue };
        let mut any_of: Vec<Vec<InState>> = Vec::new();
        for _ in 0..=chance.below(3) {
            let other = chance.one_of(parts);
            let name = if chance.once_in(2) { "" } else { of(chance, &other).unwrap_or_default() };
            if let known @ [_, ..] = states(&other, name) {
                let one = InState {
                    part: other.id.clone(),
                    name: name.to_owned(),
                    is: chance.one_of(known).to_owned(),
                };
                match any_of.last_mut() {
                    Some(all) if chance.once_in(2) => all.push(one),
                    _ => any_of.push(vec![one]),
                }
            }
        }
        let rules = [Rule::OnlyWith, Rule::NeverWith, Rule::AlwaysWith];
        let rule = if any_of.is_empty() { Rule::AnyTime } else { chance.one_of(&rules) };
        let reason = if rule == Rule::AnyTime { "said so" } else { "" }.to_owned();
        made.push(Interlock { load: part.id.clone(), name: name.to_owned(), rule, any_of, reason });
    }
    made
}

fn text(chance: &mut Chance) -> String {
    (0..chance.below(4)).map(|_| chance.one_of(PIECES)).collect()
}

fn id(chance: &mut Chance, next_id: &mut u64) -> String {
    let id = format!("{}{next_id}", chance.one_of(&["p", "x-", "A_9_", ""]));
    *next_id += 1;
    id
}

fn maybe<T>(chance: &mut Chance, make: impl FnOnce(&mut Chance) -> T) -> Option<T> {
    if chance.once_in(2) { Some(make(chance)) } else { None }
}

fn status(chance: &mut Chance) -> Status {
    chance.one_of(&Status::WORDS).0
}

fn part(chance: &mut Chance, next_id: &mut u64) -> Part {
    let id = PartId::new(&id(chance, next_id)).expect("the generated id is one");
    let kind = chance.one_of(kind::ALL);
    let mut values = Values::default();
    for spec in kind.values {
        let given = value(chance, spec);
        values.set(spec.name, given);
    }
    let surroundings = maybe(chance, surroundings);
    Part { id, kind, label: text(chance), status: status(chance), surroundings, place: None, values }
}

fn surroundings(chance: &mut Chance) -> Surroundings {
    match chance.below(2) {
        0 => chance.one_of(&Surroundings::WORDS).0,
        _ => Surroundings::Ambient(chance.within(-60.0, 200.0)),
    }
}

fn job_settings(chance: &mut Chance) -> Settings {
    let mut settings = Settings::of(chance.one_of(&[12.0, 24.0]));
    for setting in settings::ALL {
        // A setting is one value and never a range.
        let said = match value(chance, &setting.spec) {
            Given::Between(low, _) => Given::Known(low),
            given => given,
        };
        settings.said.set(setting.spec.name, said);
    }
    settings
}

/// A value that refers to no other part; those follow when all parts are known.
fn value(chance: &mut Chance, spec: &ValueSpec) -> Given<Value> {
    if chance.once_in(2) {
        return Given::NotKnown;
    }
    match spec.form {
        Form::Number { least, most, .. } => {
            range(chance, |chance| chance.within(least, most), |number| *number).map(Value::Number)
        }
        Form::Count { least, most } => {
            let count = least + chance.below((most - least + 1) as usize) as u32;
            Given::Known(Value::Number(f64::from(count)))
        }
        Form::Word(words) => Given::Known(Value::Word(chance.one_of(words))),
        Form::Flag => Given::Known(Value::Flag(chance.once_in(2))),
        Form::Part | Form::Seat => Given::NotKnown,
    }
}

/// One value, or two of them in order.
fn range<T>(
    chance: &mut Chance,
    mut make: impl FnMut(&mut Chance) -> T,
    rank: impl Fn(&T) -> f64,
) -> Given<T> {
    let first = make(chance);
    if chance.once_in(2) {
        return Given::Known(first);
    }
    let second = make(chance);
    if rank(&first) <= rank(&second) { Given::Between(first, second) } else { Given::Between(second, first) }
}

/// Gives donors a battery and fuses a seat, where the job has any.
fn refer(chance: &mut Chance, parts: &mut [Part]) {
    let batteries: Vec<PartId> =
        parts.iter().filter(|part| part.kind.class == Class::Battery).map(|part| part.id.clone()).collect();
    let mut seats: Vec<(PartId, u32)> = parts
        .iter()
        .filter(|part| part.terminals().iter().any(|terminal| terminal.name.as_str() == "feed"))
        .filter(|part| part.kind.value("ways").is_some())
        .flat_map(|part| (1..=part.values.count_or("ways", 6)).map(|way| (part.id.clone(), way)))
        .collect();
    for part in parts {
        for spec in part.kind.values {
            match spec.form {
                Form::Part if !batteries.is_empty() && chance.once_in(2) => {
                    let battery = chance.one_of(&batteries);
                    part.values.set(spec.name, Given::Known(Value::Part(battery)));
                }
                Form::Seat if !seats.is_empty() && chance.once_in(2) => {
                    let (fuse_box, way) = seats.swap_remove(chance.below(seats.len()));
                    part.values.set(spec.name, Given::Known(Value::Seat(fuse_box, way)));
                }
                _ => {}
            }
        }
    }
}

fn wire(chance: &mut Chance, next_id: &mut u64, ends: &[TerminalRef]) -> Wire {
    let from = chance.below(ends.len());
    // Any other end: at least one step onwards, less than once round.
    let to = (from + 1 + chance.below(ends.len() - 1)) % ends.len();
    Wire {
        id: WireId::new(&id(chance, next_id)).expect("the generated id is one"),
        label: text(chance),
        from: ends[from].clone(),
        to: ends[to].clone(),
        status: status(chance),
        size: maybe(chance, size).unwrap_or_default(),
        length: maybe(chance, |chance| {
            range(chance, |chance| chance.within(0.0, 1000.0), |length| *length)
                .map(|length| Metres::new(length).expect("a length within limits is finite"))
        })
        .unwrap_or_default(),
        color: maybe(chance, |chance| Color {
            base: chance.one_of(COLOR_LETTERS).0,
            stripe: maybe(chance, |chance| chance.one_of(COLOR_LETTERS).0),
        }),
        insulation: maybe(chance, |chance| match chance.below(2) {
            0 => Insulation::Class(chance.one_of(CLASSES).0),
            _ => Insulation::Rated(chance.within(40.0, 400.0)),
        }),
        surroundings: maybe(chance, surroundings),
        bundle: maybe(chance, |chance| 1 + chance.below(1000) as u32),
        sleeve: maybe(chance, text),
        grommet: maybe(chance, |chance| chance.once_in(2)),
        joint_from: maybe(chance, joint),
        joint_to: maybe(chance, joint),
        used_for: maybe(chance, |_| Use::StarterCable),
        strands: None,
        via: Vec::new(),
        keep_apart: false,
    }
}

fn size(chance: &mut Chance) -> Given<Size> {
    let area = |size: &Size| size.area().get();
    if chance.once_in(2) {
        range(chance, |chance| Size::Gauge(chance.one_of(GAUGES)), area)
    } else {
        let metric = |chance: &mut Chance| {
            let size = chance.one_of(METRIC_SIZES);
            Size::Metric(SquareMillimetres::new(size).expect("the sizes of the series are finite"))
        };
        range(chance, metric, area)
    }
}

fn joint(chance: &mut Chance) -> Joint {
    Joint { by: text(chance), stud_mm: maybe(chance, |chance| chance.within(1.0, 50.0)) }
}

fn poses(chance: &mut Chance, part: &Part) -> Vec<Pose> {
    let views = (part.kind.views)(&part.values);
    (0..chance.below(3))
        .map(|_| Pose {
            part: part.id.clone(),
            view: chance.one_of(&views).name.to_owned(),
            x: chance.below(8001) as i32 - 4000,
            y: chance.below(8001) as i32 - 4000,
            turn: chance.below(4) as u8,
            mirrored: chance.once_in(2),
            pinned: false,
        })
        .collect()
}

fn situation(chance: &mut Chance, index: usize, parts: &[Part]) -> Situation {
    let movable = parts.iter().filter(|part| !part.positions().is_empty());
    let set = movable
        .filter_map(|part| {
            let position = maybe(chance, |chance| chance.one_of(part.positions()).to_owned())?;
            Some((part.id.clone(), position))
        })
        .collect();
    Situation { name: format!("{index}{}", text(chance)), set }
}
