use super::*;
use crate::notation;
use crate::route::Spot;

/// A job of 12 V in the notation of tests.
fn job(text: &str) -> Document {
    let (network, plan) = notation::laid(text).unwrap_or_else(|error| panic!("{error}"));
    Document { network, plan, ..Document::default() }
}

/// How many loaded wires count for the wire called so.
fn bundle(document: &Document, wire: &str) -> u32 {
    let circuit = circuit(document);
    let index = document.network.wires.iter().position(|one| one.label == wire).unwrap();
    circuit.resolved.wires[index].as_ref().unwrap().bundle
}

/// A battery, and a lamp of 100 W by a switch; all places are in the cabin.
const LAMP: &str = "battery G1 place=a
switch S1 place=b
lamp E1 watts=100 place=b
earth X1 place=b
wire W1 G1.+ S1.in mm2=2.5
wire W2 S1.out E1.1 mm2=2.5
wire W3 E1.2 X1.1 mm2=2.5
place a surroundings=cabin
place b surroundings=cabin
";

#[test]
fn what_carries_little_counts_for_itself_alone() {
    let text = format!(
        "{LAMP}switch S2 place=b
lamp E2 watts=5 place=b
wire W4 G1.+ S2.in mm2=1
wire W5 S2.out E2.1 mm2=1
wire W6 E2.2 X1.1 mm2=1
route r1 a b m=2
"
    );
    let document = job(&text);
    // W1 carries 8 A of the 34 A it could, W4 0.4 A of 20 A: less than 30 % both. A limit asks what happens when the wire
    // itself carries much, so each counts itself.
    assert_eq!((bundle(&document, "W1"), bundle(&document, "W4")), (1, 1));
    let thin = job(&text.replace("wire W1 G1.+ S1.in mm2=2.5", "wire W1 G1.+ S1.in mm2=1.5"));
    // 8 A are more than 30 % of 25.6 A.
    assert_eq!((bundle(&thin, "W1"), bundle(&thin, "W4")), (1, 2));
}

#[test]
fn what_never_carries_at_once_does_not_count_together() {
    let one_or_other = "battery G1 place=a
switch S1 action=two-way place=a
lamp E1 watts=100 place=b
lamp E2 watts=100 place=b
earth X1 place=b
wire W1 G1.+ S1.in mm2=1.5
wire W2 S1.out1 E1.1 mm2=1.5
wire W3 S1.out2 E2.1 mm2=1.5
wire W4 E1.2 X1.1 mm2=1.5
wire W5 E2.2 X1.1 mm2=1.5
place a surroundings=cabin
place b surroundings=cabin
route r1 a b m=2
";
    assert_eq!(bundle(&job(one_or_other), "W2"), 2, "itself and whichever is on");
    let pieces = pieces(&circuit(&job(one_or_other)), &[]);
    assert_eq!((pieces[0].wires.len(), pieces[0].n_loaded), (2, 1));
    let both = one_or_other.replace("wire W3 S1.out2", "wire W3 S1.out1");
    let pieces = super::pieces(&circuit(&job(&both)), &[]);
    assert_eq!((pieces[0].wires.len(), pieces[0].n_loaded), (2, 2));
}

#[test]
fn what_is_said_of_a_wire_stays() {
    let text = format!("{LAMP}route r1 a b m=2\n").replace("S1.in mm2=2.5", "S1.in mm2=2.5 m=7 bundle=4");
    let document = job(&text);
    let circuit = circuit(&document);
    let used = circuit.resolved.wires[0].as_ref().unwrap();
    assert_eq!((used.length.used.get(), used.bundle), (7.0, 4));
    assert_eq!(used.length_from, crate::resolve::LengthFrom::Typed);
}

#[test]
fn a_route_tells_how_thick_its_wires_are_and_what_goes_around_them() {
    let text = format!(
        "{LAMP}place c surroundings=cabin\nroute r1 a c m=1\nroute r2 c b m=0.1 kind=through_a_bulkhead\n"
    );
    let document = job(&text);
    let pieces = pieces(&circuit(&document), &[]);
    let [along, through] = &pieces[..] else { panic!("two routes") };
    // One wire of 2.5 mm2 is at most 3.6 mm thick.
    assert_eq!(along.bundle.as_ref().map(|bundle| bundle.diameter_mm), Some(3.6));
    assert_eq!((along.n_clips, along.grommet.is_none()), (Some(2), true), "at 0.45 and 0.9 m");
    assert_eq!(through.n_clips, None);
    assert_eq!(through.grommet.map(|grommet| grommet.hole_mm), Some(3.6 + 2.0 * 2.0));
    let unknown = job(&text.replace("wire W1 G1.+ S1.in mm2=2.5", "wire W1 G1.+ S1.in"));
    let pieces = super::pieces(&circuit(&unknown), &[]);
    assert_eq!((&pieces[0].bundle, pieces[0].conduit), (&None, None), "the size is not known");
}

#[test]
fn the_cut_list_goes_by_reel_thickest_first_and_longest_first_up_to_the_centimetre() {
    let text =
        format!("{LAMP}route r1 a b m=1.234\n").replace("S1.out E1.1 mm2=2.5", "S1.out E1.1 mm2=4 colour=RD");
    let document = job(&text.replace("wire W3", "wire W9 G1.+ E1.1 mm2=2.5 status=existing\nwire W3"));
    let lots = cut_list(&circuit(&document));
    let told: Vec<String> = (lots.iter())
        .map(|lot| {
            let cuts = lot
                .cuts
                .iter()
                .map(|cut| format!("{} {:.2}", document.network.wires[cut.wire].label, cut.length.get()));
            format!(
                "{} {:.2}: {}",
                lot.size.unwrap().title(),
                lot.total.get(),
                cuts.collect::<Vec<_>>().join(", ")
            )
        })
        .collect();
    // 1.234 m with 5 % and two ends are 1.4957 m.
    assert_eq!(told, ["4 mm2 0.20: W2 0.20", "2.5 mm2 1.70: W1 1.50, W3 0.20"]);
}

#[test]
fn the_longest_way_is_laid_first_and_then_what_hangs_on_it() {
    let text = "battery G1 place=a
lamp E1 watts=5 place=d
lamp E2 watts=5 place=e
lamp E3 watts=5 place=g
resistor R1 ohm=9 place=f
wire W1 G1.+ E1.1 mm2=1
wire W2 G1.+ E2.1 mm2=1
wire W3 E3.1 R1.1 mm2=1
place a
place b
place d
place e
place f
place g
route branch b e m=1
route first a b m=1
route second b d m=3
route apart f g m=2
";
    let document = job(text);
    let order = build_order(&circuit(&document));
    let told: Vec<(&str, bool, usize)> = (order.iter())
        .map(|step| (document.plan.routes[step.route].id.as_str(), step.is_trunk, step.wires.len()))
        .collect();
    assert_eq!(told, [("first", true, 2), ("second", true, 1), ("branch", false, 1), ("apart", true, 1)]);
}

#[test]
fn the_hottest_of_the_way_is_what_a_wire_is_rated_for() {
    let text = format!("{LAMP}route r1 a b m=2 surroundings=engine_bay\n");
    let circuit = circuit(&job(&text));
    let used = circuit.resolved.wires[0].as_ref().unwrap();
    assert_eq!(used.ambient.get(), 80.0);
    assert_eq!(
        circuit.resolved.ways.of(0).and_then(|way| way.hottest).map(|hottest| hottest.at),
        Some(Spot::Route(0))
    );
}

#[test]
fn alone_in_a_sleeve_is_not_in_free_air_and_led_to_and_fro_is_not_alone() {
    let sleeved = |text: &str| job(&format!("{LAMP}route r1 a b m=2 {text}\n"));
    assert_eq!(bundle(&sleeved(""), "W1"), 1);
    assert_eq!(bundle(&sleeved("sleeve=braid"), "W1"), 2);
    assert_eq!(bundle(&sleeved("kind=in_conduit"), "W1"), 2);
    let blank = sleeved("");
    let mut plan = (*blank.plan).clone();
    plan.routes[0].sleeve = Some("  ".to_owned());
    assert_eq!(bundle(&Document { plan: Arc::new(plan), ..blank }, "W1"), 1, "a blank text is no sleeve");
    let to_and_fro = LAMP.replace("S1.in mm2=2.5", "S1.in mm2=2.5 via=b,a");
    assert_eq!(bundle(&job(&format!("{to_and_fro}route r1 a b m=2\n")), "W1"), 3);
}

#[test]
fn while_wires_have_no_way_the_count_is_not_known() {
    let known = |text: &str| {
        let circuit = circuit(&job(&format!("{text}route r1 a b m=2\n")));
        circuit.resolved.wires[0].as_ref().unwrap().bundle_known
    };
    assert!(known(LAMP));
    assert!(!known(&LAMP.replace("earth X1 place=b", "earth X1")));
}
