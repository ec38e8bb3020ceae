//! The SVG text: stable bytes, nothing but inert markup, and the job inside it.

use std::collections::BTreeSet;
use std::sync::Arc;

use crate::support::{senseless, sensible, texts};
use drawing::draw::draw;
use drawing::geometry::Rect;
use drawing::overlay::{FindingMark, Overlay, Readings, marks};
use drawing::scene::{ElementId, Shape};
use drawing::svg::{SvgOptions, element_markup, sheet_of, svg};
use drawing::{picture, symbol_picture};
use engine::answer::{Request, answer};
use engine::document::{Card, Document, Situation};
use engine::finding::Severity;
use engine::ids::PartId;
use engine::notation;
use engine::subject::Subject;

fn document(seed: u64, n_parts: usize) -> Document {
    Document { network: Arc::new(sensible(seed, n_parts)), ..Document::default() }
}

/// Marks on everything.
fn overlay(document: &Document) -> Overlay {
    let network = &document.network;
    let mut readings = Readings::default();
    readings.wires.extend(network.wires.iter().map(|wire| (wire.id.clone(), "3.2 A · 0.21 V".to_owned())));
    let severities = Severity::ALL.iter().cycle();
    let findings = network
        .parts
        .iter()
        .zip(severities)
        .map(|(part, severity)| FindingMark { subject: Subject::Part(part.id.clone()), severity: *severity });
    Overlay { readings, findings: findings.collect(), ..Overlay::default() }
}

#[test]
fn the_same_job_gives_the_same_bytes() {
    for seed in 0..6 {
        let (a, b) = (document(seed, 25), document(seed, 25));
        assert_eq!(picture(&a, &overlay(&a)), picture(&b, &overlay(&b)));
    }
}

#[test]
fn readings_are_marked_on_what_works_and_not_on_what_rests() {
    let network = notation::network(
        "battery G1 open_circuit_v=12.6 internal_ohm=0.01 to_chassis=false
        fuse F1 rating_a=15
        switch S1
        relay K1
        lamp E1 watts=55
        lamp E2 watts=21
        wire w1 G1.+ F1.1 mm2=2.5 m=1
        wire w2 F1.2 S1.in mm2=2.5 m=1
        wire w3 S1.out E1.1 mm2=2.5 m=1
        wire w4 E1.2 G1.- mm2=2.5
        wire w5 K1.87 E2.1 mm2=1 m=1",
    );
    let document = Document { network: network.unwrap(), ..Document::default() };
    let marked = |position: &str| {
        let set = [(PartId::new("S1").unwrap(), position.to_owned())].into();
        let situation = Situation { name: String::new(), set };
        let request = Request { revision: 0, situation, load: None };
        let Readings { wires, parts, .. } = Readings::of(&document.network, &answer(&document, &request));
        let wires = wires.into_iter().map(|(id, text)| format!("{id}: {text}"));
        wires.chain(parts.into_iter().map(|(id, text)| format!("{id}: {text}"))).collect::<Vec<_>>()
    };
    assert_eq!(marked("off"), [] as [&str; 0]);
    // The length of one wire is not given, and nothing is said of the parts' own resistances.
    assert_eq!(
        marked("on"),
        [
            "w1: 4.66 A",
            "w2: 4.66 A",
            "w3: 4.66 A",
            "w4: ≈ 4.66 A",
            "E1: ≈ on, 4.66 A",
            "G1: ≈ delivers, 4.66 A",
            "S1: ≈ on",
        ]
    );
}

#[test]
fn the_current_of_a_battery_is_seen_to_go_into_the_lamp_of_a_donor() {
    let network = notation::network("battery G1\ndonor E1 lamp_w=55").unwrap();
    let document = Document { network, ..Document::default() };
    let set = [(PartId::new("E1").unwrap(), "on".to_owned())].into();
    let situation = Situation { name: String::new(), set };
    let request = Request { revision: 0, situation, load: None };
    let readings = Readings::of(&document.network, &answer(&document, &request));
    let of = |part: &str| readings.parts[&PartId::new(part).unwrap()].split_once(", ").unwrap();
    let (lamp, battery) = (of("E1"), of("G1"));
    assert_eq!((lamp.0, battery.0), ("≈ on", "≈ delivers"));
    // Nothing else takes any.
    assert_eq!(lamp.1, battery.1);
}

#[test]
fn what_users_write_stays_text() {
    let evil = [
        "<script>alert(1)</script>",
        "\" onload=\"alert(1)",
        "' style='x",
        "]]><svg onload=x>",
        "&lt;&#0;&x;",
        "a\u{0}\u{1b}\u{ffff}\u{85}b",
        "\u{202e}rtl",
        "<!--",
        "<?xml?>",
        "\u{1f41d} Bienenstock Äpfel 蜂",
    ];
    let mut network = senseless(3, 30);
    for (i, part) in network.parts.iter_mut().enumerate() {
        part.label = evil[i % evil.len()].to_owned();
    }
    for (i, wire) in network.wires.iter_mut().enumerate() {
        wire.label = evil[i % evil.len()].to_owned();
    }
    let text = |i: usize| evil[i].to_owned();
    let card = Card {
        title: text(0),
        customer: text(1),
        vehicle: text(3),
        owner: text(2),
        drawn_by: text(4),
        approved_by: text(6),
        date: text(5),
        number: text(7),
        revision: text(0),
    };
    let document = Document { network: Arc::new(network), card: Arc::new(card), ..Document::default() };
    let mut overlay = overlay(&document);
    for (i, reading) in overlay.readings.wires.values_mut().enumerate() {
        *reading = text(i % evil.len());
    }
    let picture = picture(&document, &overlay);
    let tree = roxmltree::Document::parse(&picture).unwrap();
    let known =
        ["svg", "title", "g", "rect", "polyline", "polygon", "circle", "path", "text"].map(str::to_owned);
    let known: BTreeSet<String> = known.into();
    for element in tree.descendants().filter(roxmltree::Node::is_element) {
        assert!(known.contains(element.tag_name().name()), "{element:?}");
        for attribute in element.attributes() {
            let name = attribute.name();
            assert!(!name.starts_with("on") && name != "style" && name != "href", "{attribute:?}");
        }
    }
    let written: Vec<&str> = tree.descendants().filter_map(|element| element.text()).collect();
    assert!(written.iter().any(|text| text.contains("<script>alert(1)</script>")));
    assert!(written.iter().any(|text| text.contains("a\u{fffd}\u{fffd}\u{fffd}\u{fffd}b")));
}

#[test]
fn ids_are_unique_within_a_picture() {
    let document = document(4, 40);
    let picture = picture(&document, &overlay(&document));
    let tree = roxmltree::Document::parse(&picture).unwrap();
    let mut seen = BTreeSet::new();
    for id in tree.descendants().filter_map(|element| element.attribute("id")) {
        assert!(seen.insert(id.to_owned()), "{id}");
    }
}

#[test]
fn the_picture_opens_as_the_job_it_shows() {
    let document = document(5, 20);
    let scene = draw(&document.network, &document.placement);
    let options = SvgOptions { job: engine::file::job_element(&document), ..SvgOptions::default() };
    let text = svg(&scene, &Overlay::default(), &options);
    assert_eq!(engine::file::read_svg(&text).unwrap(), document);
}

#[test]
fn a_scene_without_overlay_has_no_marks() {
    let document = document(6, 12);
    let scene = draw(&document.network, &document.placement);
    assert_eq!(marks(&scene, &Overlay::default()), []);
}

#[test]
fn marks_cover_neither_lettering_nor_one_another() {
    for seed in 0..6 {
        let document = document(seed, 20);
        let scene = draw(&document.network, &document.placement);
        let marks = marks(&scene, &overlay(&document));
        let places: Vec<_> = marks
            .iter()
            .filter_map(|mark| mark.shapes.iter().find(|shape| matches!(shape, Shape::Area(..))))
            .map(Shape::bounds)
            .collect();
        assert_eq!(places.len(), document.network.parts.len() + document.network.wires.len());
        for (i, place) in places.iter().enumerate() {
            assert!(places[..i].iter().all(|other| !place.overlaps(other)), "{seed}");
            for (text, room) in texts(&scene) {
                assert!(!place.overlaps(&room), "{seed}: a mark on {}", text.id.name());
            }
        }
    }
}

#[test]
fn lines_to_marks_hardly_ever_run_through_lettering() {
    let (mut n_marks, mut n_through) = (0, 0);
    for seed in 0..6 {
        let document = document(seed, 20);
        let scene = draw(&document.network, &document.placement);
        let rooms: Vec<_> = texts(&scene).into_iter().map(|(_, room)| room).collect();
        for mark in marks(&scene, &overlay(&document)) {
            let Some(Shape::Line(_, points)) = mark.shapes.first() else {
                panic!("a line leads to each mark")
            };
            let on_line = |share: i32| {
                let at = |from: i32, to: i32| from + (to - from) * share / 200;
                let (x, y) = (at(points[0].x, points[1].x), at(points[0].y, points[1].y));
                Rect::new(x, y, x, y)
            };
            n_marks += 1;
            n_through +=
                usize::from((0..=200).any(|share| rooms.iter().any(|room| room.holds(&on_line(share)))));
        }
    }
    // Where everything around is taken, a near mark is worth more than a line that can be followed.
    assert!(50 * n_through <= n_marks, "{n_through} of {n_marks}");
}

#[test]
fn every_finding_is_told_by_a_word() {
    let document = document(2, 10);
    let scene = draw(&document.network, &document.placement);
    for mark in marks(&scene, &overlay(&document)) {
        let ElementId::Finding(number) = mark.id else { continue };
        let says = mark.shapes.iter().find_map(|shape| match shape {
            Shape::Text(lettering) => Some(lettering.text.clone()),
            _ => None,
        });
        let words: Vec<String> =
            Severity::ALL.iter().map(|severity| format!("{} {number}", severity.word())).collect();
        assert!(says.is_some_and(|says| words.contains(&says)));
    }
}

#[test]
fn the_markup_of_every_element_stands_in_the_picture_as_it_is() {
    let document = document(3, 30);
    let scene = draw(&document.network, &document.placement);
    let overlay = overlay(&document);
    let text = svg(&scene, &overlay, &SvgOptions::default());
    for element in scene.elements().iter().chain(&marks(&scene, &overlay)) {
        let markup = format!("\n{}\n</g>", element_markup(element));
        assert!(text.contains(&markup), "{}", element.id.name());
    }
}

#[test]
fn a_picture_says_the_size_of_its_sheet() {
    let document = document(3, 30);
    let scene = draw(&document.network, &document.placement);
    let overlay = overlay(&document);
    let sheet = sheet_of(&scene, &overlay, &SvgOptions::of(&document, String::new()));
    let text = svg(&scene, &overlay, &SvgOptions::of(&document, String::new()));
    assert!(
        text.contains(&format!(">{}</text>", sheet.name))
            || text.contains(&format!("\n{}\n</text>", sheet.name)),
        "{}",
        sheet.name
    );
    assert!(text.contains(&format!("width=\"{}mm\"", sheet.paper.width() / 100)), "{:?}", sheet.paper);
}

#[test]
fn every_kind_has_a_picture_in_the_color_of_its_surroundings() {
    for kind in engine::kind::ALL {
        let text = symbol_picture(kind);
        let tree = roxmltree::Document::parse(&text).unwrap();
        assert!(tree.root_element().children().count() > 0, "{}", kind.name);
        for element in tree.descendants().filter(roxmltree::Node::is_element) {
            assert_ne!(element.tag_name().name(), "title");
            for name in ["fill", "stroke"] {
                let paint = element.attribute(name);
                assert!(matches!(paint, None | Some("none" | "currentColor")), "{}: {paint:?}", kind.name);
            }
        }
    }
}
