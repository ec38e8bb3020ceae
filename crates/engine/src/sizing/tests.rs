use super::*;
use crate::check::run_all;
use crate::circuit::build;
use crate::finding::Severity;
use crate::ids::WireId;
use crate::notation;
use crate::sizing::model::Row;

fn job(text: &str) -> Document {
    Document { network: notation::network(text).unwrap(), ..Document::default() }
}

fn one_lamp(metres: f64) -> Document {
    job(&format!(
        "battery G1 internal_ohm=0.015 status=existing
        fuse F1 rating_a=30
        lamp E1 watts=55
        earth X1
        wire w1 G1.+ F1.1 mm2=16 m=0.1
        wire w2 F1.2 E1.1 mm2=16 m={metres}
        wire w3 E1.2 X1.1 mm2=16 m=1"
    ))
}

fn sized(document: &Document) -> Sizing {
    let sizing = size(document, None).unwrap();
    let circuit = build(&sizing.document.network, &sizing.document.settings);
    let found = run_all(&circuit, &sizing.document.situations, &sizing.document.interlocks);
    let is_grave = |finding: &&Finding| finding.severity != Severity::Note && finds_sizes(finding.check);
    assert_eq!(found.iter().find(is_grave), None);
    sizing
}

fn told(sizing: &Sizing) -> Vec<(String, String, Hold)> {
    sizing.wires.iter().map(|wire| (wire.subject.id(), wire.after.title(), wire.hold.clone())).collect()
}

/// 55 W take 4.4 A of a fuse: 5 A would be 88 % of it.
#[test]
fn a_fuse_has_room_for_its_load_and_no_more() {
    let sizing = sized(&one_lamp(1.0));
    assert_eq!(sizing.fuses[0].before, Amps::new(30.0));
    assert_eq!(sizing.fuses[0].after.get(), 7.5);
}

#[test]
fn each_wire_is_told_what_holds_it() {
    let lamp = Subject::Part(crate::ids::PartId::new("E1").unwrap());
    let row = |id: &str, size: &str, hold: Hold| (id.to_owned(), size.to_owned(), hold);
    let short = sized(&one_lamp(1.0));
    assert_eq!(
        told(&short),
        [
            row("w1", "0.75 mm2", Hold::SmallestSold),
            row("w2", "1 mm2", Hold::SmallestSize),
            row("w3", "1 mm2", Hold::SmallestSize),
        ]
    );
    assert_eq!(short.gap(), 0.0);
    let long = sized(&one_lamp(20.0));
    assert_eq!(told(&long)[1], row("w2", "4 mm2", Hold::Drop(lamp)));
    assert!(long.wires[1].otherwise.contains("E1"), "{}", long.wires[1].otherwise);
}

/// Whether 24 V come from one battery or from two of 12 V in series, the same loss is allowed on the way.
#[test]
fn a_lamp_on_two_batteries_in_series_gets_the_wires_of_one_on_a_single_battery() {
    let sizes = |batteries: &str| {
        let text = format!(
            "{batteries}
            fuse F1 rating_a=30
            lamp E1 watts=140
            earth X1
            wire w1 G2.+ F1.1 mm2=16 m=0.1
            wire w2 F1.2 E1.1 mm2=16 m=20
            wire w3 E1.2 X1.1 mm2=16 m=1"
        );
        let network = notation::network(&text).unwrap();
        told(&sized(&Document {
            network,
            settings: crate::document::Settings::of(24.0).into(),
            ..Document::default()
        }))
    };
    let two = sizes(
        "battery G1 open_circuit_v=12.6 internal_ohm=0.01 status=existing
        battery G2 open_circuit_v=12.6 internal_ohm=0.01 to_chassis=no status=existing
        wire w0 G1.+ G2.- mm2=50 m=0.2 status=existing",
    );
    assert_eq!(two, sizes("battery G2 open_circuit_v=25.2 internal_ohm=0.02 status=existing"));
    assert!(two.iter().any(|(wire, _, hold)| wire == "w2" && matches!(hold, Hold::Drop(_))), "{two:?}");
}

/// 0.1, 20 and 1 m of 16 mm2; then 0.75, 4 and 1 mm2.
#[test]
fn copper_is_length_times_cross_section() {
    let sizing = sized(&one_lamp(20.0));
    assert!((sizing.copper_before.unwrap() - 21.1 * 16.0).abs() < 1e-9);
    assert!((sizing.copper_after - (0.075 + 80.0 + 1.0)).abs() < 1e-9);
    assert!((kilograms(sizing.copper_after) - 0.7208).abs() < 1e-4);
}

#[test]
fn the_edits_lead_to_the_job_that_was_sized() {
    let document = one_lamp(6.0);
    let sizing = sized(&document);
    let mut edited = document;
    for change in &sizing.changes {
        edited = crate::document::edit::apply(&edited, change).unwrap();
    }
    assert_eq!(edited, sizing.document);
}

#[test]
fn what_was_there_before_and_what_was_not_chosen_stays() {
    let text = "battery G1 internal_ohm=0.015 status=existing
        fuse F1 rating_a=15 status=existing
        lamp E1 watts=55
        earth X1
        wire w1 G1.+ F1.1 mm2=16 m=0.1 status=existing
        wire w2 F1.2 E1.1 mm2=16 m=2
        wire w3 E1.2 X1.1 mm2=16 m=1";
    let all = sized(&job(text));
    assert_eq!(all.fuses, []);
    assert_eq!(told(&all).iter().map(|row| row.0.as_str()).collect::<Vec<_>>(), ["w2", "w3"]);
    let one = size(&job(text), Some(&[WireId::new("w3").unwrap()])).unwrap();
    assert_eq!(one.changes.len(), 1);
    let kept = |id: &str| one.document.network.wire(&WireId::new(id).unwrap()).cloned();
    assert_eq!(kept("w2"), job(text).network.wire(&WireId::new("w2").unwrap()).cloned());
    assert!(size(&job(text), Some(&[WireId::new("w1").unwrap()])).is_err());
}

#[test]
fn gauges_stay_gauges() {
    let text = "battery G1 internal_ohm=0.015 status=existing
        fuse F1 rating_a=10
        lamp E1 watts=55
        earth X1
        wire w1 G1.+ F1.1 awg=6 m=0.1
        wire w2 F1.2 E1.1 awg=6 m=2
        wire w3 E1.2 X1.1 mm2=16 m=1";
    let sizes: Vec<String> = told(&sized(&job(text))).into_iter().map(|row| row.1).collect();
    assert_eq!(sizes, ["18 AWG", "16 AWG", "1 mm2"]);
}

#[test]
fn when_nothing_passes_the_load_and_what_it_lacks_are_named() {
    let far = one_lamp(900.0);
    let reason = size(&far, None).unwrap_err();
    assert!(reason.what.contains("E1") && reason.what.contains("voltage"), "{}", reason.what);
    let unknown = job("battery G1\nfuse F1 rating_a=10\nlamp E1 watts=55\nearth X1
        wire w1 G1.+ F1.1 mm2=1 m=0.1\nwire w2 F1.2 E1.1 mm2=1\nwire w3 E1.2 X1.1 mm2=1 m=1");
    assert_eq!(size(&unknown, None).unwrap_err().what, "the length of wire w2 is not given");
}

/// Two lamps on one feed and one return: of all sizes of the four wires none that pass have less copper.
#[test]
fn trying_everything_finds_nothing_better() {
    let document = job("battery G1 internal_ohm=0.015 status=existing
        fuse F1 rating_a=15 status=existing
        lamp E1 watts=55
        lamp E2 watts=55
        splice J1
        splice J2
        earth X1
        wire w1 G1.+ F1.1 mm2=6 m=0.1 status=existing
        wire w2 F1.2 J1.1 mm2=10 m=5
        wire w3 J1.1 E1.1 mm2=10 m=1
        wire w4 J1.1 E2.1 mm2=10 m=4
        wire w5 E1.2 J2.1 mm2=6 m=1 status=existing
        wire w6 E2.2 J2.1 mm2=6 m=1 status=existing
        wire w7 J2.1 X1.1 mm2=10 m=2");
    let sizing = size(&document, None).unwrap();
    let task = Task::new(&document, None).unwrap();
    assert_eq!(task.wires.len(), 4);
    let mut least = f64::INFINITY;
    let mut choice = Choice { sizes: vec![0; 4], ratings: Vec::new() };
    for number in 0..7 * 7 * 7 * 7 {
        choice.sizes = (0..4).map(|wire| number / 7_usize.pow(wire) % 7).collect();
        let copper = task.copper(&choice);
        if copper < least && task.objections(&choice).is_empty() {
            least = copper;
        }
    }
    assert_eq!(sizing.copper_after, least);
    assert!(sizing.bound <= least && sizing.gap() < 0.05, "{}", sizing.gap());
}

const RHO: f64 = 0.01724;

/// A model of wires of these lengths without least sizes; each row has the wires on a load's way with the current each
/// carries, and the volts allowed.
fn model(lengths: &[f64], series: &[f64], rows: &[(&[(usize, f64)], f64)]) -> Model {
    let lost = |(wire, amps): &(usize, f64)| {
        (*wire, series.iter().map(|mm2| RHO * lengths[*wire] * amps / mm2).collect())
    };
    let load = Subject::Part(crate::ids::PartId::new("E1").unwrap());
    let row = |(way, allowed): &(&[(usize, f64)], f64)| Row {
        load: load.clone(),
        lost: way.iter().map(lost).collect(),
        allowed: *allowed,
    };
    Model {
        least: vec![0; lengths.len()],
        copper: lengths.iter().map(|metres| series.iter().map(|mm2| metres * mm2).collect()).collect(),
        rows: rows.iter().map(row).collect(),
    }
}

fn copper(model: &Model, sizes: &[usize]) -> f64 {
    model.copper.iter().zip(sizes).map(|(copper, size)| copper[*size]).sum()
}

/// Sizes in steps of one percent, as good as continuous.
fn fine() -> Vec<f64> {
    (0..700).map(|step| 0.2 * libm::pow(1.01, f64::from(step))).collect()
}

/// One path: `S_e = rho sqrt(I_e) sum(L_j sqrt(I_j)) / D`, copper `rho / D (sum L_j sqrt(I_j))^2`.
#[test]
fn the_bound_of_one_path_is_the_closed_form() {
    let (lengths, amps, allowed) = ([5.0, 2.0, 8.0], [12.0, 8.0, 3.0], 0.6);
    let way: Vec<(usize, f64)> = amps.iter().copied().enumerate().collect();
    let model = model(&lengths, &fine(), &[(&way, allowed)]);
    let sum: f64 = lengths.iter().zip(amps).map(|(metres, amps)| metres * amps.sqrt()).sum();
    let closed = RHO / allowed * sum * sum;
    let known = copper(&model, &choose::greedy(&model).unwrap());
    let bound = choose::bound(&model, known).copper;
    assert!(closed * (1.0 - 1e-9) <= bound && bound <= closed * 1.001, "{closed} {bound}");
    assert!(known < closed * 1.01, "{known}");
}

/// A trunk with two equal branches: the trunk has twice the size of each, copper `2 rho I (L0 + L1)^2 / D`.
#[test]
fn the_bound_of_a_tree_is_the_closed_form() {
    let (trunk, branch, amps, allowed) = (6.0, 3.0, 5.0, 0.6);
    let rows: [(&[(usize, f64)], f64); 2] =
        [(&[(0, 2.0 * amps), (1, amps)], allowed), (&[(0, 2.0 * amps), (2, amps)], allowed)];
    let model = model(&[trunk, branch, branch], &fine(), &rows);
    let closed = 2.0 * RHO * amps * (trunk + branch) * (trunk + branch) / allowed;
    let known = copper(&model, &choose::greedy(&model).unwrap());
    let bound = choose::bound(&model, known).copper;
    assert!(closed * (1.0 - 1e-9) <= bound && bound <= closed * 1.005, "{closed} {bound}");
    assert!(known < closed * 1.05, "{known}");
}

/// Forty networks of six wires whose feeds and returns are shared in different ways, eight sizes: 8^6 choices each.
#[test]
fn the_search_agrees_with_trying_everything() {
    let series = [0.75, 1.0, 1.5, 2.5, 4.0, 6.0, 10.0, 16.0];
    let mut seed = 7_u32;
    let mut number = |most: u32| {
        seed = seed.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        (seed >> 16) % most
    };
    for case in 0..40 {
        let lengths: Vec<f64> = (0..6).map(|_| 0.5 + f64::from(number(80)) / 10.0).collect();
        let mut ways: Vec<(Vec<(usize, f64)>, f64)> = Vec::new();
        for _ in 0..3 {
            let mut way: Vec<(usize, f64)> = (0..6).map(|wire| (wire, 1.0 + f64::from(number(15)))).collect();
            way.retain(|_| number(3) > 0);
            ways.push((way, 0.3 + f64::from(number(60)) / 100.0));
        }
        let rows: Vec<(&[(usize, f64)], f64)> =
            ways.iter().map(|(way, allowed)| (&way[..], *allowed)).collect();
        let model = model(&lengths, &series, &rows);
        let mut least = f64::INFINITY;
        for number in 0..8_usize.pow(6) {
            let sizes: Vec<usize> = (0..6).map(|wire| number / 8_usize.pow(wire) % 8).collect();
            let of_sizes = copper(&model, &sizes);
            if of_sizes < least && model.holds(&sizes) {
                least = of_sizes;
            }
        }
        let Some(start) = choose::greedy(&model) else {
            assert_eq!(least, f64::INFINITY, "{case}");
            continue;
        };
        let known = copper(&model, &start);
        let bound = choose::bound(&model, known);
        let found = exact::search(&model, start, &bound);
        assert!((found.at_least / found.copper - 1.0).abs() < 1e-9 && model.holds(&found.sizes), "{case}");
        assert!((found.copper / least - 1.0).abs() < 1e-9, "{case}: {} {least}", found.copper);
        assert!(bound.copper <= least * (1.0 + 1e-9), "{case}: {} {least}", bound.copper);
        assert!(known <= 1.3 * least, "{case}: {known} {least}");
    }
}
