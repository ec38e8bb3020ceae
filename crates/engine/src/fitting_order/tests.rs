use super::*;
use crate::document::edit::apply;
use crate::document::{Edit, Network};
use crate::file::read_json;
use crate::ids::{PartId, WireId};
use crate::laid;

const JOBS: [&str; 6] = [
    include_str!("../../../../fixtures/jobs/apiary-flatbed.json"),
    include_str!("../../../../fixtures/jobs/apiary-flatbed-as-bought.json"),
    include_str!("../../../../fixtures/jobs/dark-lamps.json"),
    include_str!("../../../../fixtures/jobs/honey-stall-trailer.json"),
    include_str!("../../../../fixtures/jobs/switched-earth-donor.json"),
    include_str!("../../../../fixtures/replies/job-with-plan.json"),
];

fn order(document: &Document) -> Vec<Step> {
    fitting_order(document, &laid::circuit(document))
}

/// Every part and wire of this status, in the order of the job.
fn all(network: &Network, status: Status) -> Vec<Subject> {
    let parts = network.parts.iter().filter(|part| part.status == status).map(part_subject);
    parts.chain(network.wires.iter().filter(|wire| wire.status == status).map(wire_subject)).collect()
}

fn done(steps: &[Step], does: Does, network: &Network) -> Vec<Subject> {
    let items = steps.iter().flat_map(|step| &step.items).filter(|item| item.does == does);
    let mut all: Vec<Subject> = items.flat_map(|item| item.subjects.clone()).collect();
    crate::arrange::sort_by_key(&mut all, |subject| subject.position(network));
    all
}

/// The job with one part and all wires on it coming out.
fn with_something_out(document: &Document) -> Document {
    let network = &document.network;
    let part = network.parts.iter().find(|part| part.kind.class == crate::kind::Class::Load).unwrap();
    let on_it = network.wires.iter().filter(|wire| wire.from.part == part.id || wire.to.part == part.id);
    let out = Part { status: Status::Remove, ..part.clone() };
    let mut changed = apply(document, &Edit::ChangePart(out)).unwrap();
    for wire in on_it {
        changed =
            apply(&changed, &Edit::ChangeWire(Wire { status: Status::Remove, ..wire.clone() })).unwrap();
    }
    changed
}

#[test]
fn each_new_part_and_wire_is_fitted_once_and_what_comes_out_comes_out_once() {
    for text in JOBS {
        let document = read_json(text).unwrap();
        for document in [with_something_out(&document), document] {
            let network = &document.network;
            let steps = order(&document);
            assert_eq!(
                done(&steps, Does::Fits, network),
                all(network, Status::New),
                "{}",
                document.card.title
            );
            assert_eq!(done(&steps, Does::TakesOut, network), all(network, Status::Remove));
        }
    }
}

#[test]
fn the_battery_is_off_before_and_on_after_everything_and_removal_comes_before_fitting() {
    for text in JOBS {
        let steps = order(&with_something_out(&read_json(text).unwrap()));
        let stages: Vec<Stage> = steps.iter().map(|step| step.stage).collect();
        assert!(stages.is_sorted(), "{stages:?}");
        let place = |stage: Stage| stages.iter().position(|one| *one == stage).unwrap();
        let (off, on, out) = (place(Stage::BatteryOff), place(Stage::BatteryOn), place(Stage::TakeOut));
        for (number, step) in steps.iter().enumerate() {
            for item in &step.items {
                match item.does {
                    Does::Fits => assert!(out < number && number <= on, "{}", item.text),
                    Does::TakesOut => assert!(off < number && number == out, "{}", item.text),
                    Does::Says => {}
                }
            }
        }
        let words =
            |stage: Stage| steps[place(stage)].items.iter().map(|item| item.text.clone()).collect::<String>();
        assert!(words(Stage::BatteryOff).contains("its negative off first"), "{}", words(Stage::BatteryOff));
        assert!(words(Stage::BatteryOn).contains("its positive first"), "{}", words(Stage::BatteryOn));
    }
}

#[test]
fn a_job_in_which_nothing_is_done_has_no_steps() {
    let mut document = read_json(JOBS[4]).unwrap();
    for id in ["p6", "p7", "p8", "p9", "p10", "p11", "p12", "p13", "p14"] {
        let part = document.network.part(&PartId::new(id).unwrap()).unwrap().clone();
        document = apply(&document, &Edit::ChangePart(Part { status: Status::Existing, ..part })).unwrap();
    }
    assert!(!order(&document).is_empty());
    for number in 4..=14 {
        let wire = document.network.wire(&WireId::new(&format!("w{number}")).unwrap()).unwrap().clone();
        document = apply(&document, &Edit::ChangeWire(Wire { status: Status::Existing, ..wire })).unwrap();
    }
    assert_eq!(order(&document), []);
}

#[test]
fn what_the_job_does_not_say_is_told_as_not_known() {
    let network = crate::notation::network(
        "battery G1 status=existing\nfuse F1\nlamp E1 watts=5\nearth X1
        wire W1 G1.+ F1.1\nwire W2 F1.2 E1.1 mm2=1.5 m=2\nwire W3 E1.2 X1.1 mm2=1.5 grommet=yes",
    );
    let document = Document { network: network.unwrap(), ..Document::default() };
    let steps = order(&document);
    let texts = |stage: Stage| -> Vec<&str> {
        let of = steps.iter().filter(|step| step.stage == stage).flat_map(|step| &step.items);
        of.map(|item| item.text.as_str()).collect()
    };
    let runs = texts(Stage::Runs);
    assert!(
        runs.contains(&"W1 (size not known, colour not known, length not known) from G1:+ to F1:1"),
        "{runs:?}"
    );
    assert!(runs.iter().any(|text| text.starts_with("W2 (1.5 mm2, colour not known, 2 m)")), "{runs:?}");
    assert!(texts(Stage::Holes)[1].starts_with("Grommet for W3"), "{:?}", texts(Stage::Holes));
    assert!(texts(Stage::Ends)[0].contains("G1:+ joint not known, left off until the battery comes on"));
    assert!(texts(Stage::FusesIn)[0].contains("rating not known"), "{:?}", texts(Stage::FusesIn));
    assert!(texts(Stage::Earths)[0].contains("surface not known"), "{:?}", texts(Stage::Earths));
}

/// With a plan the wires go by route, each beginning in the first that it takes, and holes have the size of the bundle.
#[test]
fn with_a_plan_wires_are_laid_by_route() {
    let document = read_json(JOBS[0]).unwrap();
    let steps = order(&document);
    let of = |stage: Stage| &steps.iter().find(|step| step.stage == stage).unwrap().items;
    assert!(of(Stage::Runs)[0].text.starts_with("Trunk "), "{}", of(Stage::Runs)[0].text);
    assert!(
        of(Stage::Holes).iter().any(|item| item.text.contains("mm for bare wires")),
        "{:?}",
        of(Stage::Holes)
    );
}
