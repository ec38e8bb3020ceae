use std::ops::ControlFlow;

use super::*;
use crate::circuit::build;
use crate::document::Settings;
use crate::fault::Mode;
use crate::notation;

/// A lamp with a thick and a lamp with a thin wire behind one fuse, and a switch for both.
const LAMPS: &str = "
    battery G1
    earth X1
    fuse F1 rating_a=15 family=blade-C
    switch S1
    splice X2 ways=3
    lamp E1 watts=55
    lamp E2 watts=5
    wire w1 G1.+ F1.1 mm2=2.5 m=0.3
    wire w2 F1.2 S1.in mm2=2.5 m=2
    wire w3 S1.out X2.1 mm2=2.5 m=1
    wire w4 X2.2 E1.1 mm2=1.5 m=2
    wire w5 X2.3 E2.1 mm2=0.5 m=30
    wire w6 E1.2 X1.1 mm2=1.5 m=1
    wire w7 E2.2 X1.1 mm2=1.5 m=1";

fn of(text: &str) -> Table {
    let circuit = build(&notation::network(text).unwrap(), &Settings::default());
    table(&circuit, &[], &[], &mut |_, _| ControlFlow::Continue(()))
}

fn row<'t>(table: &'t Table, subject: &str, mode: &Mode) -> &'t Row {
    let is_meant = |row: &&Row| row.fault.mode == *mode && row.fault.subject.id() == subject;
    table.rows.iter().find(is_meant).expect("it is in the table")
}

#[test]
fn the_worst_comes_first_and_nothing_is_left_out() {
    let table = of(LAMPS);
    assert!(table.rows.is_sorted_by_key(|row| row.harm));
    let circuit = build(&notation::network(LAMPS).unwrap(), &Settings::default());
    assert_eq!(table.rows.len(), fault::faults(&circuit).len());
}

#[test]
fn each_mistake_does_what_follows_from_the_circuit() {
    let table = of(LAMPS);
    for (subject, mode, harm) in [
        // 60 m of 0.5 mm2 there and back let 12 A through, too little for the fuse and too much for the wire.
        ("w5", Mode::TouchesBody, Harm::Burns),
        ("w4", Mode::TouchesBody, Harm::Fails),
        ("w4", Mode::Open, Harm::Fails),
        ("S1", Mode::Welded(crate::ids::TerminalName::new("out")), Harm::WorksUnasked),
        ("w6", Mode::TouchesBody, Harm::Unnoticed),
        ("F1", Mode::WrongFuse, Harm::Unprotected),
        // Most heat is in the joint where it takes half the voltage.
        ("w4", Mode::Resistive, Harm::HotJoint),
    ] {
        assert_eq!(row(&table, subject, &mode).harm, harm, "{mode:?} of {subject}");
    }
}

#[test]
fn a_wire_that_touches_the_body_opens_its_fuse_and_says_in_what_time() {
    let table = of(LAMPS);
    let effect = row(&table, "w4", &Mode::TouchesBody).effects.last().unwrap();
    let [(fuse, amps, Some(seconds))] = &effect.opens[..] else { panic!("{:?}", effect.opens) };
    assert_eq!(fuse.id(), "F1");
    // A blade opens at six times its rating within 0.1 s (printed for links declared to ISO 8820-3).
    assert!(amps.get() > 90.0 && *seconds < 0.1, "{amps:?} {seconds}");
    assert_eq!(effect.loads.len(), 2);
}

#[test]
fn it_can_be_stopped() {
    let circuit = build(&notation::network(LAMPS).unwrap(), &Settings::default());
    let table = table(&circuit, &[], &[], &mut |done, _| match done {
        5 => ControlFlow::Break(()),
        _ => ControlFlow::Continue(()),
    });
    assert!(table.is_cut_off && table.rows.len() == 5);
}

/// A driving lamp on a relay whose coil hangs on main beam, with the other donor circuit of the vehicle beside it.
const BEAM: &str = "
    battery G1
    earth X1
    donor E8 lamp_w=55
    donor E9 lamp_w=55
    fuse F1 rating_a=10
    relay K1
    lamp E1 watts=55
    wire w1 G1.+ F1.1 mm2=2.5 m=0.5
    wire w2 F1.2 K1.30 mm2=2.5 m=1
    wire w3 K1.87 E1.1 mm2=1.5 m=2
    wire w4 E1.2 X1.1 mm2=1.5 m=1
    wire w5 E9.feed K1.86 mm2=1 m=1
    wire w6 K1.85 X1.1 mm2=1 m=1";

#[test]
fn a_mistake_that_breaks_a_rule_of_the_job_says_which() {
    let network = notation::network(BEAM).unwrap();
    let rule = crate::document::sentence::parse("E1 only with E9", &network).unwrap();
    let circuit = build(&network, &Settings::default());
    let go_on = &mut |_: u64, _: u64| ControlFlow::Continue(());
    let (ruled, free) = (table(&circuit, &[], &[rule], go_on), table(&circuit, &[], &[], go_on));
    let welded = Mode::Welded(crate::ids::TerminalName::new("87"));
    assert_eq!(row(&ruled, "K1", &welded).harm, Harm::BreaksRule);
    assert_eq!(row(&free, "K1", &welded).harm, Harm::WorksUnasked);
    let effect = row(&ruled, "K1", &welded).worst().unwrap();
    assert!(effect.in_words(&network).starts_with("the rule “E1 only with E9 on” does not hold; "));
    // A lamp that is dark breaks no rule about when it may burn.
    let open = row(&ruled, "w3", &Mode::Open);
    assert!(open.harm == Harm::Fails && open.effects.iter().all(|effect| effect.broken.is_empty()));
}

#[test]
fn a_larger_fuse_takes_the_protection_from_the_thinnest_wire_first() {
    let table = of(LAMPS);
    let row = row(&table, "F1", &Mode::WrongFuse);
    assert_eq!(row.harm, Harm::Unprotected);
    let lost = row.unprotected.as_ref().unwrap();
    let network = notation::network(LAMPS).unwrap();
    // The wire of 0.5 mm2 does not stand the fuse that is drawn, so that a larger one takes nothing from it.
    let wires: Vec<String> = lost.wires.iter().map(Subject::id).collect();
    // All of 1.5 mm2 give way together.
    assert_eq!(wires, ["w4", "w6", "w7"]);
    assert_eq!(
        lost.in_words(&network),
        format!("from {} on, wires w4, w6 and w7 are no longer protected", lost.rating)
    );
    let drawn_too_large = of(&LAMPS.replace("rating_a=15", "rating_a=40"));
    let row = self::row(&drawn_too_large, "F1", &Mode::WrongFuse);
    assert_eq!((row.harm, &row.unprotected), (Harm::Unnoticed, &None));
}
