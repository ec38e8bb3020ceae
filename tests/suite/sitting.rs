//! Where parts sit best against trying every choice of places there is, each with all checks.

use std::sync::Arc;

use engine::check::{Context, run_each};
use engine::document::Document;
use engine::file::read_json;
use engine::finding::{Finding, Severity};
use engine::given::Given;
use engine::ids::{PartId, PlaceId};
use engine::laid;
use engine::sitting::{Most, Sitting, Tried, sit};
use suite::chance::Chance;

/// Plans tried.
const SEEDS: u64 = 60;

/// A few places joined by chance, and a lamp or two with a relay, a switch, a splice and a fuse that sit anywhere.
fn job(seed: u64) -> (Document, Vec<PartId>) {
    let mut chance = Chance::new(seed);
    let n_parts = 1 + (seed % 3) as usize;
    let n_places = if n_parts == 3 { 4 } else { chance.whole(4, 6) };
    let mut places = Vec::new();
    let mut routes = Vec::new();
    for place in 0..n_places {
        let passing = if place > 1 && chance.once_in(6) { r#", "passing": true"# } else { "" };
        let around = chance.one_of(&["cabin", "engine bay", "outside", "cabin"]);
        let end = if chance.once_in(4) { r#", "end_m": 0.4"# } else { "" };
        let x = 80 * place;
        let y = chance.whole(0, 15) * 10;
        places.push(format!(
            r#"{{ "id": "l{place}", "x_cm": {x}, "y_cm": {y}, "surroundings": "{around}"{passing}{end} }}"#
        ));
        // Now and then one is left unjoined.
        if place > 0 && !chance.once_in(9) {
            routes.push(route(&mut chance, place, place - 1));
        }
        if place > 1 && chance.once_in(2) {
            let other = chance.below(place - 1);
            routes.push(route(&mut chance, place, other));
        }
    }
    let mut parts =
        vec![r#"{ "id": "G1", "kind": "battery", "status": "existing", "place": "l0" }"#.to_owned()];
    for (id, kind, values) in [
        ("F1", "fuse", r#""rating_a": 15, "family": "blade-C""#),
        ("X3", "splice", r#""ways": 4"#),
        ("S1", "switch", r#""action": "on-off", "rating_a": 10, "sealed": false"#),
        ("K1", "relay", r#""contact_a": 30, "sealed": false"#),
        ("E1", "lamp", r#""watts": 55"#),
        ("E2", "lamp", r#""watts": 21"#),
        ("X1", "earth", r#""surface": "bare metal""#),
        ("X2", "earth", r#""surface": "bare metal""#),
    ] {
        let place = chance.below(n_places);
        let place = if chance.once_in(12) { String::new() } else { format!(r#""place": "l{place}", "#) };
        parts.push(format!(r#"{{ "id": "{id}", "kind": "{kind}", {place}"values": {{ {values} }} }}"#));
    }
    let ends = [
        ("F1.2", "X3.1"),
        ("X3.2", "S1.in"),
        ("X3.3", "K1.30"),
        ("S1.out", "K1.86"),
        ("K1.85", "X2.1"),
        ("K1.87", "E1.1"),
        ("K1.87", "E2.1"),
        ("E1.2", "X1.1"),
        ("E2.2", "X1.1"),
    ];
    let mut wires = vec![
        r#"{ "id": "w0", "from": "G1.+", "to": "F1.1", "size": { "mm2": 4 }, "length_m": 0.2 }"#.to_owned(),
    ];
    for (number, (from, to)) in (1..).zip(ends) {
        let mm2 = chance.one_of(&["1", "1.5", "2.5", "4"]);
        let size =
            if chance.once_in(20) { String::new() } else { format!(r#", "size": {{ "mm2": {mm2} }}"#) };
        let length = if chance.once_in(8) { r#", "length_m": 0.8"# } else { "" };
        let place = chance.below(n_places);
        let via = if chance.once_in(10) { format!(r#", "via": ["l{place}"]"#) } else { String::new() };
        wires.push(format!(r#"{{ "id": "w{number}", "from": "{from}", "to": "{to}"{size}{length}{via} }}"#));
    }
    let slack = chance.one_of(&["0", "5"]);
    let text = format!(
        r#"{{ "format": "loomwright-job", "version": 7, "settings": {{ "nominal_v": 12, "slack_percent": {slack} }},
        "parts": [{}], "wires": [{}], "situations": [ {{ "name": "on", "set": {{ "S1": "on" }} }} ],
        "plan": {{ "places": [{}], "routes": [{}] }} }}"#,
        parts.join(","),
        wires.join(","),
        places.join(","),
        routes.join(","),
    );
    let mut asked = vec!["F1", "X3", "S1", "K1"];
    while asked.len() > n_parts {
        asked.remove(chance.below(asked.len()));
    }
    let asked = asked.into_iter().map(|id| PartId::new(id).expect("it is an id")).collect();
    (read_json(&text).unwrap_or_else(|error| panic!("{seed}: {error}\n{text}")), asked)
}

/// What each check finds by itself.
fn findings(document: &Document) -> Vec<Finding> {
    let circuit = laid::circuit(document);
    run_each(&Context::new(&circuit, &document.situations, &document.interlocks))
}

fn route(chance: &mut Chance, from: usize, to: usize) -> String {
    let tenths = chance.whole(2, 60);
    let metres = format!("{}.{}", tenths / 10, tenths % 10);
    let length = match chance.below(6) {
        0 => String::new(),
        1 => format!(r#", "length_m": {{ "between": [0.1, {metres}] }}"#),
        _ => format!(r#", "length_m": {metres}"#),
    };
    let kind =
        chance.one_of(&["along the chassis", "through a bulkhead", "over a hinge", "along the chassis"]);
    let slack = if chance.once_in(4) { r#", "slack_m": 0.3"# } else { "" };
    format!(
        r#"{{ "id": "r{from}-{to}", "from": "l{from}", "to": "l{to}", "kind": "{kind}"{length}{slack} }}"#
    )
}

/// What is asked of a choice of places: new Stops, new Looks, copper in millionths, passes through sheet metal.
type Rank = (usize, usize, u64, usize);

/// A choice of places with its rank.
type Choice = (Vec<PlaceId>, Rank);

/// Every choice of places that the parts may have, in plan order of the first, then of the second and so on.
fn every(document: &Document, asked: &[PartId]) -> Vec<Choice> {
    let mut choices: Vec<Vec<PlaceId>> = vec![Vec::new()];
    for _ in asked {
        let places = document.plan.places.iter().filter(|place| !place.passing);
        let places: Vec<PlaceId> = places.map(|place| place.id.clone()).collect();
        let longer = |choice: &Vec<PlaceId>| {
            places.iter().map(|place| [&choice[..], std::slice::from_ref(place)].concat()).collect::<Vec<_>>()
        };
        choices = choices.iter().flat_map(longer).collect();
    }
    let before = findings(document);
    let ranked = choices.into_iter().filter_map(|choice| {
        let moved = moved(document, asked, &choice);
        let (copper, passes) = copper(&moved, asked)?;
        let after = findings(&moved);
        let new =
            |severity| after.iter().filter(|one| one.severity == severity && is_new(&before, one)).count();
        Some((choice, (new(Severity::Stop), new(Severity::Look), copper, passes)))
    });
    ranked.collect()
}

fn is_new(before: &[Finding], finding: &Finding) -> bool {
    before.iter().all(|old| {
        old.check != finding.check || old.subject != finding.subject || old.severity > finding.severity
    })
}

fn moved(document: &Document, asked: &[PartId], places: &[PlaceId]) -> Document {
    let mut document = document.clone();
    for part in &mut Arc::make_mut(&mut document.network).parts {
        if let Some(number) = asked.iter().position(|id| *id == part.id) {
            part.place = Some(places[number].clone());
        }
    }
    document
}

/// The copper of the wires of these parts that are as long as their way, and how many times those lead through sheet
/// metal; `None` when one of them has none although both of its ends sit somewhere.
fn copper(document: &Document, asked: &[PartId]) -> Option<(u64, usize)> {
    let circuit = laid::circuit(document);
    let network = &document.network;
    let (mut copper, mut passes) = (0, 0);
    for (index, wire) in network.wires.iter().enumerate() {
        let sits = |id: &PartId| network.part(id).is_some_and(|part| part.place.is_some());
        let is_theirs = asked.contains(&wire.from.part) || asked.contains(&wire.to.part);
        let is_free = wire.length == Given::NotKnown && sits(&wire.from.part) && sits(&wire.to.part);
        if !is_theirs || !is_free {
            continue;
        }
        let way = circuit.resolved.ways.of(index)?;
        let used = circuit.resolved.wires[index].as_ref().expect("a wire that has a way is there");
        copper += (used.area.used.get() * used.length.used.get() * 1e6).round() as u64;
        passes += way.n_bulkheads(&document.plan);
    }
    Some((copper, passes))
}

/// What decides between choices of one rank: drop, then plan order.
fn finer(tried: &Tried, order: usize) -> (u64, usize) {
    (tried.drop.as_ref().map_or(0, |(_, share)| (share * 1e8).round() as u64), order)
}

fn tried_of<'s>(sitting: &'s Sitting, places: &[PlaceId]) -> Option<&'s Tried> {
    sitting.tried.iter().find(|tried| tried.places == places)
}

#[test]
fn the_best_places_are_those_that_trying_everything_comes_to() {
    let (mut n_passed_over, mut n_moved, mut n_new, mut n_ties, mut n_none) = (0, 0, 0, 0, 0);
    for seed in 0..SEEDS {
        let (document, asked) = job(seed);
        let every = every(&document, &asked);
        let sitting = match sit(&document, &asked, Most { checked: 10_000, begun: 1_000_000 }) {
            Ok(sitting) => sitting,
            Err(reason) => {
                assert!(every.is_empty(), "{seed}: {reason:?}");
                n_none += 1;
                continue;
            }
        };
        assert!(sitting.is_proved && sitting.left_out.is_none(), "{seed}");
        let least = every.iter().map(|(_, rank)| *rank).min().unwrap();
        let ties = every.iter().enumerate().filter(|(_, (_, rank))| *rank == least);
        let ties: Vec<(usize, &Vec<PlaceId>)> = ties.map(|(order, (places, _))| (order, places)).collect();
        let best = ties.iter().min_by_key(|(order, places)| {
            finer(
                tried_of(&sitting, places).unwrap_or_else(|| panic!("{seed}: {places:?} not tried")),
                *order,
            )
        });
        let best = best.unwrap().1;
        assert_eq!(sitting.best().places, *best, "{seed}");
        for tried in &sitting.tried {
            let (_, rank) = every.iter().find(|(places, _)| *places == tried.places).unwrap();
            let told = (tried.n_new(Severity::Stop), tried.n_new(Severity::Look));
            assert_eq!((told, tried.n_bulkheads), ((rank.0, rank.1), rank.3), "{seed}");
            assert!((tried.copper * 1e6 - rank.2 as f64).abs() < 20.0, "{seed}: {} {rank:?}", tried.copper);
        }
        if asked.len() == 1 {
            assert_eq!(sitting.tried.len(), every.len(), "{seed}: every place of one part is tried");
        }
        n_passed_over += usize::from(every.iter().any(|(_, rank)| rank.2 < least.2));
        n_moved += usize::from(!sitting.changes.is_empty() && sitting.now.is_some());
        n_new += usize::from(least.0 + least.1 > 0);
        n_ties += usize::from(ties.len() > 1);
    }
    let counts = [n_passed_over, n_moved, n_new, n_ties, n_none];
    println!("least copper passed over, moved, something new wherever, ties, no place: {counts:?}");
    assert!(counts.iter().zip([10, 20, 1, 5, 1]).all(|(n, least)| *n >= least), "{counts:?}");
}

/// Whatever was left out has at least the copper that is told, and what is called the best is no worse than what was
/// tried.
#[test]
fn a_search_that_ends_early_has_a_bound_that_nothing_left_out_goes_below() {
    let mut n_open = 0;
    for seed in (0..SEEDS).filter(|seed| seed % 3 > 0) {
        let (document, asked) = job(seed);
        let every = every(&document, &asked);
        for most in [
            Most { checked: 2, begun: 1_000 },
            Most { checked: 5, begun: 1_000 },
            Most { checked: 200, begun: 12 },
        ] {
            let Ok(sitting) = sit(&document, &asked, most) else { continue };
            assert!(sitting.tried.len() <= most.checked + 1, "{seed}");
            let least = every.iter().map(|(_, rank)| (rank.0, rank.1, rank.2)).min().unwrap();
            let told = sitting.best();
            let (_, rank) = every.iter().find(|(places, _)| *places == told.places).unwrap();
            if sitting.is_proved {
                assert_eq!((rank.0, rank.1, rank.2), least, "{seed}");
            }
            let Some(bound) = sitting.left_out else { continue };
            n_open += usize::from(!sitting.is_proved);
            for (places, rank) in every.iter().filter(|(places, _)| tried_of(&sitting, places).is_none()) {
                assert!(rank.2 as f64 / 1e6 >= bound - 1e-9, "{seed}: {places:?} {rank:?} {bound}");
            }
        }
    }
    assert!(n_open >= 20, "{n_open} searches ended open");
}
