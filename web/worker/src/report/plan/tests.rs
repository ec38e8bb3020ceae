use std::sync::Arc;

use engine::document::plan::start;
use engine::document::{RouteKind, Shape};
use engine::file::read_json;

use super::super::tests::told_of;
use super::*;

const JOB: &str = include_str!("../../../../../fixtures/files/v7/first-job.json");

/// A job with the plan of a truck.
fn job() -> Document {
    let mut document = read_json(JOB).unwrap();
    document.plan = Arc::new(start(Shape::Truck));
    document
}

fn told(document: &Document, words: &str) -> Report {
    told_of(document, "", words).unwrap_or_else(|| panic!("nothing is told by {words}"))
}

/// The job after what these words do to it.
fn after(document: &Document, words: &str) -> Document {
    let report = told(document, words);
    let change = report.change.unwrap_or_else(|| panic!("{words}: {}", report.said));
    assert!(!change.label.is_empty());
    let mut after = document.clone();
    if let Some(network) = change.network {
        after.network = Arc::new(network);
    }
    if let Some(plan) = change.plan {
        after.plan = Arc::new(plan);
    }
    after
}

fn place(document: &Document, name: &str) -> String {
    document.plan.places_called(name).first().unwrap().id.to_string()
}

#[test]
fn an_empty_plan_offers_the_plans_to_start_from() {
    let mut document = job();
    document.plan = Arc::default();
    let page = told(&document, "plan-form").markup;
    for (shape, word) in Shape::WORDS {
        assert!(page.contains(&format!("data-ask=\"plan-start {word}\"")), "{page}");
        assert_eq!(*after(&document, &format!("plan-start {word}")).plan, start(shape));
    }
    assert!(told(&document, "plan-picture 900").markup.starts_with("<svg"));
    assert!(told(&job(), "plan-start van").change.is_none(), "a plan that is there stays");
}

#[test]
fn a_place_is_added_moved_and_deleted_by_steps_of_five_centimetres() {
    let document = job();
    let id = document.plan.fresh_place_id();
    let added = after(&document, "plan-add 302.6 48");
    let place = added.plan.place(&id).unwrap();
    assert_eq!((place.x_cm, place.y_cm), (305, 50));
    let moved = after(&added, &format!("plan-move {id} 311 -8"));
    let place = moved.plan.place(&id).unwrap();
    assert_eq!((place.x_cm, place.y_cm), (310, -10));
    assert_eq!(after(&moved, &format!("plan-delete place {id}")), document);
    for words in ["plan-add 1e9 0", "plan-add nan 0"] {
        let report = told(&document, words);
        assert!(report.change.is_none_or(|change| change.plan.is_some()), "{words}");
    }
    assert!(told(&document, "plan-add 1e9 0").said.starts_with("A place lies at most"));
}

#[test]
fn a_change_that_changes_nothing_is_no_step() {
    let document = job();
    let first = &document.plan.places[0];
    let words = format!("plan-move {} {} {}", first.id, first.x_cm, first.y_cm);
    assert_eq!(told(&document, &words).change, None);
}

#[test]
fn a_route_is_measured_off_the_plan_until_its_length_is_typed() {
    let document = job();
    let (a, b) = (place(&document, "tail"), place(&document, "trailer socket"));
    let id = document.plan.fresh_route_id();
    let added = after(&document, &format!("plan-join {a} {b}"));
    assert!(told(&added, &format!("plan-form route {id}")).markup.contains("≈ 0.7, measured off the plan"));
    for (typed, length) in [
        ("1,25 m", Given::Known(Metres::new(1.25).unwrap())),
        ("80 cm", Given::Known(Metres::new(0.8).unwrap())),
        ("8 ft 6 in", Given::Known(Metres::new(2.5908).unwrap())),
        ("1 to 1.5", Given::Between(Metres::new(1.0).unwrap(), Metres::new(1.5).unwrap())),
    ] {
        let after = after(&added, &format!("plan-route {id} length\nvalue={typed}"));
        assert_eq!(after.plan.route(&id).unwrap().length, length, "{typed}");
    }
    for refused in ["long", "2 to 1", "-3", "9e9"] {
        let report = told(&added, &format!("plan-route {id} length\nvalue={refused}"));
        assert!(report.change.is_none() && !report.said.is_empty(), "{refused}");
    }
    let bulkhead = after(&added, &format!("plan-route {id} kind\nvalue=through a bulkhead"));
    assert_eq!(bulkhead.plan.route(&id).unwrap().kind, RouteKind::ThroughBulkhead);
    let with = after(&bulkhead, &format!("plan-route {id} grommet\nvalue=yes"));
    assert_eq!(with.plan.route(&id).unwrap().grommet, Some(true));
    assert_eq!(after(&with, &format!("plan-delete route {id}")), document);
    assert!(
        told(&document, &format!("plan-join {a} {a}")).change.is_none(),
        "a route leads to another place"
    );
}

#[test]
fn what_is_said_of_a_place_is_taken_over_field_by_field() {
    let document = job();
    let id = PlaceId::new(&place(&document, "dash")).unwrap();
    let said = |field: &str, value: &str| {
        let after = after(&document, &format!("plan-place {id} {field}\nvalue={value}"));
        after.plan.place(&id).unwrap().clone()
    };
    assert_eq!(said("name", " left of the = dash ").name, "left of the = dash");
    assert_eq!(said("surroundings", "engine bay").surroundings, Some(Surroundings::EngineBay));
    assert_eq!(said("wet", "yes").wet, Some(true));
    assert!(said("moving", "on").moving && said("passing", "on").passing);
    assert_eq!(said("end", "8 cm").end, Metres::new(0.08));
    assert_eq!(said("x", "1.63").x_cm, 163);
    assert_eq!(told_of(&document, "", &format!("plan-place {id} taste\nvalue=1")), None);
}

#[test]
fn parts_are_put_at_a_place_and_taken_away_one_by_one_or_all() {
    let document = job();
    let id = PlaceId::new(&place(&document, "dash")).unwrap();
    let part = document.network.parts[0].id.clone();
    let there = after(&document, &format!("plan-put {id} {part}"));
    assert_eq!(there.network.part(&part).unwrap().place.as_ref(), Some(&id));
    assert!(told(&there, &format!("plan-place {id} passing\nvalue=on")).change.is_none());
    assert_eq!(after(&there, &format!("plan-put {id} {part}")), document);
    let all = after(&there, &format!("plan-put {id}"));
    assert!(all.network.parts.iter().all(|part| part.place.as_ref() == Some(&id)));
    // Who deletes the place leaves them nowhere.
    let gone = after(&all, &format!("plan-delete place {id}"));
    assert!(gone.network.parts.iter().all(|part| part.place.is_none()));
}

#[test]
fn a_selected_wire_shows_its_way() {
    let mut document = job();
    let (near, far) = (place(&document, "battery tray"), place(&document, "bulkhead"));
    let wire = document.network.wires[0].clone();
    for (part, at) in [(&wire.from.part, "battery tray"), (&wire.to.part, "dash")] {
        let words = format!("plan-put {} {part}", place(&document, at));
        document = after(&document, &words);
    }
    let plain = told(&document, "plan-picture 900").markup;
    assert!(!plain.contains("class=\"route lit\""));
    let lit = told(&document, &format!("plan-picture 900 +{}", wire.id)).markup;
    assert_eq!(lit.matches("class=\"route lit\"").count(), 2, "{near} to {far}, and on to the dash");
    assert_eq!(lit.matches("class=\"place lit\"").count(), 3);
    let form = told(&document, &format!("plan-form +{}", wire.id)).markup;
    assert!(form.contains("by battery tray, bulkhead, dash"), "{form}");
    let route = document.plan.routes[2].id.clone();
    let form = told(&document, &format!("plan-form route {route}")).markup;
    assert!(form.contains("1 wire lies in it"), "{form}");
    // The wire has a size, so what goes around it is known; see the table of outer diameters.
    assert!(form.contains("Together they are") && form.contains("tubing of nominal width"), "{form}");
}

#[test]
fn words_of_the_plan_that_ask_for_nothing_get_nothing() {
    for words in ["plan", "plan-sing", "plan-move x", "plan-delete place no-such", "plan-put no-such no-such"]
    {
        assert_eq!(told_of(&job(), "", words), None, "{words}");
    }
}

#[test]
fn the_lists_lead_to_the_sheet_with_the_plan() {
    let document = job();
    let form = told(&document, "plan-form").markup;
    assert!(form.contains(&format!("data-handover=\"{}\"", lists::PLAN_SHEET)), "{form}");
    let sheets = told(&document, "handover A4").markup;
    assert!(sheets.contains(&format!(": {}</span>", lists::PLAN_SHEET)), "{sheets}");
}
