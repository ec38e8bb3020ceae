//! The vehicle plan as a picture.

use drawing::plan::{PlanOptions, Spot, legend, plan_picture};
use engine::document::plan::start;
use engine::document::{Network, Plan, Route, RouteKind, Shape, VehiclePlace};
use engine::ids::{PlaceId, RouteId};
use engine::notation;

/// The picture of the plan below, kept so that a change of it is seen.
const EXPECTED: &str = include_str!("plan.svg");

/// Parts of which `n` sit at the first place of the plan.
fn network(plan: &Plan, n: usize) -> Network {
    let text = "battery G1\nfuse F1\nfuse F2\nrelay K1\nlamp E1";
    let mut network = (*notation::network(text).unwrap()).clone();
    for part in network.parts.iter_mut().take(n) {
        part.place = plan.places.first().map(|place| place.id.clone());
    }
    network
}

#[test]
#[expect(clippy::disallowed_methods, reason = "a test writes its expectation anew where it is asked to")]
fn the_same_plan_gives_the_picture_on_file() {
    let plan = start(Shape::Truck);
    let options = PlanOptions {
        lit_routes: plan.routes.iter().take(2).map(|route| route.id.clone()).collect(),
        chosen: plan.places.get(3).map(|place| Spot::Place(place.id.clone())),
        ..PlanOptions::default()
    };
    let picture = plan_picture(&plan, &network(&plan, 5), &options) + "\n";
    if std::env::var_os("UPDATE_EXPECT").is_some() {
        std::fs::write("tests/drawings/plan.svg", &picture).unwrap();
    } else {
        assert!(
            picture == EXPECTED,
            "it differs from tests/drawings/plan.svg; UPDATE_EXPECT=1 writes it anew"
        );
    }
}

#[test]
fn every_place_and_route_can_be_told_from_the_picture() {
    for (shape, _) in Shape::WORDS {
        let plan = start(shape);
        let options = PlanOptions { is_live: true, ..PlanOptions::default() };
        let picture = plan_picture(&plan, &Network::default(), &options);
        for place in &plan.places {
            assert!(picture.contains(&format!("data-place=\"{}\"", place.id)), "{}", place.name);
            assert!(picture.contains(&format!(">{}</text>", place.name)), "{} in {picture}", place.name);
        }
        for route in &plan.routes {
            assert!(picture.contains(&format!("data-route=\"{}\"", route.id)), "{}", route.id);
        }
        assert!(!picture.contains("NaN") && !picture.contains("inf"));
    }
}

#[test]
fn what_a_user_wrote_stays_a_text() {
    let id = PlaceId::new("l1").unwrap();
    let place = VehiclePlace { name: "<b>\"&\u{202e}".to_owned(), ..VehiclePlace::new(id, 10, 10) };
    let plan = Plan { places: vec![place], ..Plan::default() };
    for is_live in [false, true] {
        let options = PlanOptions { is_live, ..PlanOptions::default() };
        let picture = plan_picture(&plan, &Network::default(), &options);
        assert!(!picture.contains("<b>") && picture.contains("&lt;b&gt;"), "{picture}");
        assert!(!picture.contains('\u{202e}'));
    }
}

#[test]
fn kinds_differ_in_more_than_color() {
    let [a, b] = ["l1", "l2"].map(|id| PlaceId::new(id).unwrap());
    let places = vec![VehiclePlace::new(a.clone(), 0, 0), VehiclePlace::new(b.clone(), 200, 0)];
    let pictures: Vec<String> = RouteKind::WORDS
        .iter()
        .map(|(kind, _)| {
            let route = Route::new(RouteId::new("r1").unwrap(), a.clone(), b.clone());
            let routes = vec![Route { kind: *kind, ..route }];
            let plan = Plan { places: places.clone(), routes, ..Plan::default() };
            plan_picture(&plan, &Network::default(), &PlanOptions::default())
        })
        .collect();
    for (picture, (letters, _)) in pictures.iter().zip(legend()) {
        assert!(picture.contains(&format!("{letters} ≈ 2 m")), "{picture}");
        assert_eq!(pictures.iter().filter(|other| *other == picture).count(), 1);
    }
}

#[test]
fn parts_beyond_the_first_few_are_counted() {
    let plan = start(Shape::Car);
    let told = |n: usize| plan_picture(&plan, &network(&plan, n), &PlanOptions::default());
    assert!(told(2).contains(">G1 F1</text>"));
    assert!(told(5).contains(">G1 F1 F2 +2</text>"));
}

#[test]
fn an_empty_plan_and_one_of_odd_measures_are_drawn() {
    let id = |text: &str| PlaceId::new(text).unwrap();
    let [a, b] = [VehiclePlace::new(id("a"), -5000, 5000), VehiclePlace::new(id("b"), -5000, 5000)];
    let route = |n: u32| Route::new(RouteId::new(&format!("r{n}")).unwrap(), a.id.clone(), b.id.clone());
    let odd = Plan { routes: (1..4).map(route).collect(), places: vec![a.clone(), b.clone()], outline: None };
    for plan in [Plan::default(), odd] {
        let picture =
            plan_picture(&plan, &Network::default(), &PlanOptions { lettering: 1, ..PlanOptions::default() });
        assert!(picture.starts_with("<svg") && !picture.contains("NaN"), "{picture}");
    }
}
