//! What holds for every edit of every document.

use std::sync::Arc;

use engine::document::edit::apply;
use engine::document::validate::violations;
use engine::document::{
    Accepted, Document, Edit, EditError, Part, Pose, Settings, Severity, Situation, Wire, sentence,
};
use engine::file;
use engine::given::Given;
use engine::ids::{PartId, TerminalRef, WireId};
use engine::kind::{Form, Value};
use engine::subject::Subject;
use suite::chance::Chance;
use suite::{demonstration, generate};

/// An edit of `document`, often a sensible one, made of pieces of `other`.
fn edit(chance: &mut Chance, document: &Document, other: &Document) -> Edit {
    let network = &document.network;
    match chance.below(13) {
        0 | 1 => add(chance, document, other),
        10 => {
            // The rules of another job mostly name what is not there.
            let from = if chance.once_in(2) { document } else { other };
            Edit::Interlocks((*from.interlocks).clone())
        }
        11 => Edit::Accepted(accepted(chance, document)),
        12 => Edit::Records((*other.records).clone()),
        2 => Edit::Remove {
            parts: (0..chance.below(3)).map(|_| some_part(chance, document)).collect(),
            wires: (0..chance.below(3)).map(|_| some_wire(chance, document)).collect(),
        },
        3 | 4 => match network.parts.as_slice() {
            [] => Edit::Remove { parts: Vec::new(), wires: Vec::new() },
            parts => {
                let part = chance.one_of(parts);
                Edit::ChangePart(changed(chance, part, other))
            }
        },
        5 | 6 => match network.wires.as_slice() {
            [] => add(chance, document, other),
            wires => {
                let wire = chance.one_of(wires);
                let like = other.network.wires.first().cloned().unwrap_or_else(|| wire.clone());
                let (from, to) = if chance.once_in(2) {
                    (wire.from, wire.to)
                } else {
                    (terminal(chance, document), terminal(chance, document))
                };
                Edit::ChangeWire(Wire { id: wire.id, from, to, ..like })
            }
        },
        7 => {
            let mut poses: Vec<Pose> = document.placement.poses.clone();
            for pose in &mut poses {
                pose.x = (pose.x + chance.below(201) as i32 - 100).clamp(-4000, 4000);
                pose.turn = chance.below(4) as u8;
            }
            if chance.once_in(6) && !poses.is_empty() {
                let at = chance.below(poses.len());
                match chance.below(4) {
                    0 => poses[at].x = 4001,
                    1 => poses[at].turn = 4,
                    2 => poses[at].view = "nowhere".to_owned(),
                    _ => poses[at].part = PartId::new("nobody").expect("letters are an id"),
                }
            }
            poses.reverse();
            Edit::Place(poses)
        }
        8 if chance.once_in(2) => Edit::Plan((*other.plan).clone()),
        8 => Edit::Settings(Settings::of(chance.one_of(&[12.0, 24.0, 13.0]))),
        _ if chance.once_in(2) => Edit::Card((*other.card).clone()),
        _ => {
            let mut situations: Vec<Situation> = (*document.situations).clone();
            situations.extend(other.situations.iter().map(|situation| Situation {
                name: chance.one_of(&["night", "day", "", "at rest"]).to_owned(),
                set: if chance.once_in(2) { situation.set.clone() } else { Default::default() },
            }));
            Edit::Situations(situations)
        }
    }
}

/// What somebody accepts, about parts and wires that may not be there, twice or without a reason.
fn accepted(chance: &mut Chance, document: &Document) -> Vec<Accepted> {
    let mut all = Vec::new();
    for _ in 0..chance.below(4) {
        let subject = if chance.once_in(2) {
            Subject::Part(some_part(chance, document))
        } else {
            Subject::Wire(some_wire(chance, document))
        };
        let why = if chance.once_in(12) { " " } else { "dim on purpose" };
        all.push(Accepted {
            check: chance.one_of(&["volt-drop", "fuse-too-small"]).to_owned(),
            subject,
            severity: chance.one_of(&Severity::ALL),
            by: "J. Sample".to_owned(),
            why: why.to_owned(),
            date: String::new(),
        });
    }
    all
}

fn some_part(chance: &mut Chance, document: &Document) -> PartId {
    let known: Vec<PartId> = document.network.parts.iter().map(|part| part.id.clone()).collect();
    if known.is_empty() || chance.once_in(8) {
        return PartId::new("nobody").expect("letters are an id");
    }
    chance.one_of(&known)
}

fn some_wire(chance: &mut Chance, document: &Document) -> WireId {
    let known: Vec<WireId> = document.network.wires.iter().map(|wire| wire.id.clone()).collect();
    if known.is_empty() || chance.once_in(8) {
        return WireId::new("nothing").expect("letters are an id");
    }
    chance.one_of(&known)
}

fn terminal(chance: &mut Chance, document: &Document) -> TerminalRef {
    let all: Vec<TerminalRef> = (document.network.parts.iter())
        .flat_map(|part| part.terminals().into_iter().map(|t| TerminalRef::new(&part.id, t.name.as_str())))
        .collect();
    if all.is_empty() || chance.once_in(12) {
        return TerminalRef::new(&some_part(chance, document), "99");
    }
    chance.one_of(&all)
}

fn add(chance: &mut Chance, document: &Document, other: &Document) -> Edit {
    let mut ids = document.network.fresh_ids();
    let fresh = !chance.once_in(10);
    let mut parts: Vec<Part> = Vec::new();
    let mut poses = Vec::new();
    for part in other.network.parts.iter().take(1 + chance.below(3)) {
        let id = if fresh { ids.part() } else { some_part(chance, document) };
        let mut new = Part { id: id.clone(), ..part.clone() };
        for spec in part.kind.values {
            let given = match spec.form {
                Form::Part => Given::Known(Value::Part(some_part(chance, document))),
                Form::Seat => {
                    Given::Known(Value::Seat(some_part(chance, document), 1 + chance.below(3) as u32))
                }
                _ => continue,
            };
            new.values.set(spec.name, if chance.once_in(3) { given } else { Given::NotKnown });
        }
        poses.extend(other.placement.of(&part.id).map(|pose| Pose { part: id.clone(), ..pose.clone() }));
        parts.push(new);
    }
    let mut ends: Vec<TerminalRef> = parts
        .iter()
        .flat_map(|part| part.terminals().into_iter().map(|t| TerminalRef::new(&part.id, t.name.as_str())))
        .collect();
    ends.push(terminal(chance, document));
    let wires = other.network.wires.iter().take(chance.below(3)).map(|wire| Wire {
        id: ids.wire(),
        from: chance.one_of(&ends),
        to: terminal(chance, document),
        ..wire.clone()
    });
    Edit::Add { wires: wires.collect(), parts, poses }
}

/// A part with other values, some of them beyond their limits.
fn changed(chance: &mut Chance, part: Part, other: &Document) -> Part {
    let like = other.network.parts.iter().find(|one| one.kind == part.kind);
    let mut new = match like {
        Some(like) if chance.once_in(2) => {
            let mut like = like.clone();
            for spec in part.kind.values {
                if matches!(spec.form, Form::Part | Form::Seat) {
                    like.values.set(spec.name, part.values.get(spec.name));
                }
            }
            Part { id: part.id.clone(), ..like }
        }
        _ => part.clone(),
    };
    if !part.kind.values.is_empty() {
        let spec = &part.kind.values[chance.below(part.kind.values.len())];
        let given = match chance.below(6) {
            0 => Given::Known(Value::Number(chance.between(-5.0, 50.0))),
            1 => Given::Known(Value::Number(chance.below(8) as f64)),
            2 => Given::Between(Value::Number(chance.unit()), Value::Number(chance.unit())),
            3 => Given::Known(Value::Word("sideways")),
            4 => Given::Known(Value::Number(f64::INFINITY)),
            _ => Given::NotKnown,
        };
        new.values.set(spec.name, given);
    }
    new
}

/// What an edit may not touch stays one with what it was, not merely equal.
fn assert_shared(before: &Document, after: &Document, edit: &Edit) {
    let same = [
        Arc::ptr_eq(&before.network, &after.network),
        Arc::ptr_eq(&before.placement, &after.placement),
        Arc::ptr_eq(&before.situations, &after.situations),
        Arc::ptr_eq(&before.interlocks, &after.interlocks),
        Arc::ptr_eq(&before.card, &after.card),
        Arc::ptr_eq(&before.settings, &after.settings),
        Arc::ptr_eq(&before.plan, &after.plan),
        Arc::ptr_eq(&before.accepted, &after.accepted),
        Arc::ptr_eq(&before.records, &after.records),
    ];
    let may_touch = match edit {
        Edit::Add { .. } => [true, true, false, false, false, false, false, false, false],
        Edit::Remove { .. } | Edit::ChangePart(_) => {
            [true, true, true, true, false, false, false, true, false]
        }
        Edit::ChangeWire(_) => [true, false, false, false, false, false, false, false, false],
        Edit::Place(_) => [false, true, false, false, false, false, false, false, false],
        Edit::Situations(_) => [false, false, true, false, false, false, false, false, false],
        Edit::Interlocks(_) => [false, false, false, true, false, false, false, false, false],
        Edit::Card(_) => [false, false, false, false, true, false, false, false, false],
        Edit::Plan(_) => [true, false, false, false, false, false, true, false, false],
        Edit::Settings(_) => [false, false, false, false, false, true, false, false, false],
        Edit::Accepted(_) => [false, false, false, false, false, false, false, true, false],
        Edit::Records(_) => [false, false, false, false, false, false, false, false, true],
    };
    for (index, (same, may)) in same.into_iter().zip(may_touch).enumerate() {
        assert!(same || may, "part {index} of the document was copied by {edit:?}");
    }
}

#[test]
fn whatever_is_done_to_a_document_it_stays_sound_and_reads_back_as_written() {
    let (mut applied, mut refused) = ([0; 12], 0);
    for seed in 0..150 {
        let mut document = generate::document(seed * 3);
        let mut chance = Chance::new(seed);
        for step in 0..25 {
            let other = generate::document(seed * 31 + step * 7 + 5);
            let edit = edit(&mut chance, &document, &other);
            let before = document.clone();
            match apply(&document, &edit) {
                Ok(next) => {
                    assert_eq!(violations(&next), [], "{edit:?}");
                    assert_eq!(file::read_json(&file::write_json(&next)).as_ref(), Ok(&next), "{edit:?}");
                    assert!(next.network.next_id >= before.network.next_id);
                    assert_shared(&before, &next, &edit);
                    applied[index_of(&edit)] += 1;
                    document = next;
                }
                Err(error) => {
                    let told = error.to_string();
                    assert!(!told.is_empty() && !told.ends_with('.'), "{told}");
                    refused += 1;
                }
            }
            assert!(before.network.parts.len() < 400, "seed {seed} grows beyond bounds");
        }
    }
    assert!(applied.iter().all(|count| *count > 40) && refused > 300, "{applied:?} {refused} refused");
}

fn index_of(edit: &Edit) -> usize {
    match edit {
        Edit::Add { .. } => 0,
        Edit::Remove { .. } => 1,
        Edit::ChangePart(_) => 2,
        Edit::ChangeWire(_) => 3,
        Edit::Place(_) => 4,
        Edit::Card(_) => 5,
        Edit::Settings(_) => 6,
        Edit::Situations(_) => 7,
        Edit::Interlocks(_) => 8,
        Edit::Plan(_) => 9,
        Edit::Accepted(_) => 10,
        Edit::Records(_) => 11,
    }
}

fn labelled<'a>(document: &'a Document, label: &str) -> &'a Part {
    document.network.parts_called(label).first().unwrap_or_else(|| panic!("no part {label}"))
}

#[test]
fn with_a_part_goes_everything_that_names_it() {
    let document = demonstration("apiary-flatbed");
    let fuse_box = labelled(&document, "X2").id.clone();
    let seated = document.network.parts.iter().filter(|part| part.values.seat("seat").is_some()).count();
    assert!(seated > 5);
    let next = apply(&document, &Edit::Remove { parts: vec![fuse_box.clone()], wires: Vec::new() })
        .expect("a box may go");
    assert!(next.network.parts.iter().all(|part| part.values.seat("seat").is_none()));
    let ends = next.network.wires.iter().flat_map(|wire| [&wire.from.part, &wire.to.part]);
    assert!(ends.into_iter().all(|part| *part != fuse_box));
    let switch = document.situations[0].set.keys().next().expect("it sets something").clone();
    let next = apply(&document, &Edit::Remove { parts: vec![switch.clone()], wires: Vec::new() })
        .expect("a switch may go");
    assert!(next.situations.iter().all(|situation| !situation.set.contains_key(&switch)));
    assert_eq!(next.situations.len(), document.situations.len());
}

/// A list of states that can no longer be goes, and with its last list the rule; so does a rule about a load that went.
#[test]
fn an_interlock_loses_what_it_can_no_longer_mean() {
    let document = demonstration("apiary-flatbed");
    let ruled = |document: &Document, sentence: &str| {
        let interlock = sentence::parse(sentence, &document.network).expect("a sentence about the truck");
        apply(document, &Edit::Interlocks(vec![interlock])).expect("it holds together")
    };
    let document = ruled(&document, "E3 only with S1 and E1 or S2");
    let told = |document: &Document| -> Vec<String> {
        document.interlocks.iter().map(|one| sentence::print(one, &document.network)).collect()
    };
    assert_eq!(told(&document), ["E3 only with S1 on and E1 on or S2 on"]);
    let without = |document: &Document, label: &str| {
        let parts = vec![labelled(document, label).id.clone()];
        apply(document, &Edit::Remove { parts, wires: Vec::new() }).expect("a part may go")
    };
    let document = without(&document, "E1");
    assert_eq!(told(&document), ["E3 only with S2 on"]);
    assert_eq!(told(&without(&document, "E3")), Vec::<String>::new());
    let mut other = labelled(&document, "S2").clone();
    other.values.set("action", Given::Known(Value::Word("push")));
    let wired =
        document.network.wires.iter().filter(|wire| wire.from.part == other.id || wire.to.part == other.id);
    let wires = wired.map(|wire| wire.id.clone()).collect();
    let document = apply(&document, &Edit::Remove { parts: Vec::new(), wires }).expect("wires may go");
    let document = apply(&document, &Edit::ChangePart(other)).expect("no wire is in the way");
    assert_eq!(told(&document), Vec::<String>::new());
}

#[test]
fn a_terminal_goes_only_when_no_wire_ends_on_it() {
    let document = demonstration("apiary-flatbed");
    let splice = labelled(&document, "X6").clone();
    let mut smaller = splice.clone();
    smaller.values.set("ways", Given::Known(Value::Number(2.0)));
    let refused = apply(&document, &Edit::ChangePart(smaller)).map(|_| ());
    assert_eq!(refused, Err(EditError::TerminalInUse("splice X6:3".to_owned(), "W9".to_owned())));
    let mut larger = splice;
    larger.values.set("ways", Given::Known(Value::Number(9.0)));
    let next = apply(&document, &Edit::ChangePart(larger)).expect("more ways are no harm");
    assert_eq!(labelled(&next, "X6").terminals().len(), 9);
}

#[test]
fn refusals_say_what_was_found_in_plain_words() {
    let document = demonstration("apiary-flatbed");
    let lamp = document.network.parts.iter().find(|part| part.kind.value("watts").is_some());
    let lamp = lamp.expect("the truck has lamps").clone();
    let with = |name: &'static str, given: Given<Value>| {
        let mut part = lamp.clone();
        part.values.set(name, given);
        apply(&document, &Edit::ChangePart(part)).map(|_| ()).unwrap_err().to_string()
    };
    let number = |number: f64| Value::Number(number);
    for (told, expected) in [
        (with("watts", Given::Known(number(-1.0))), "“rated power” may be 0 to 10000 W"),
        (with("watts", Given::Known(number(f64::NAN))), "“rated power” may be 0 to 10000 W"),
        (
            with("watts", Given::Between(number(9.0), number(3.0))),
            "the smaller end of the range “rated power” comes first",
        ),
        (with("watts", Given::Known(Value::Word("many"))), "“rated power” cannot be said in this form"),
        (with("rating_a", Given::Known(number(1.0))), "a lamp has no value “rating_a”"),
    ] {
        assert_eq!(told.replace("LED lamp", "lamp").replace("led lamp", "lamp"), expected);
    }
}
