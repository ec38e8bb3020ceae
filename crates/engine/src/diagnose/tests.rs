use super::*;
use crate::circuit::{Circuit, build};
use crate::document::{Seen, Settings};
use crate::ids::{PartId, TerminalRef};
use crate::notation;

fn circuit(text: &str) -> Circuit {
    build(&notation::network(text).unwrap(), &Settings::default())
}

fn part(id: &str) -> PartId {
    PartId::new(id).unwrap()
}

fn set(name: &str, parts: &[&str]) -> Situation {
    let set = parts.iter().map(|id| (part(id), "on".to_owned())).collect();
    Situation { name: name.to_owned(), set }
}

fn volts(at: &str, against: Option<&str>) -> Probe {
    let terminal = |text: &str| TerminalRef::parse(text).unwrap();
    Probe::Volts { at: terminal(at), against: against.map(terminal) }
}

fn reading(situation: &Situation, probe: Probe, found: Found) -> Reading {
    Reading { situation: situation.clone(), probe, expected: String::new(), found: Some(found) }
}

fn complaint(situation: &Situation, lamp: &str, found: Seen) -> Complaint {
    Complaint {
        situation: situation.clone(),
        probe: Probe::Look(part(lamp), String::new()),
        should: Found::Seen(Seen::Lit),
        found: Found::Seen(found),
    }
}

/// Two lamps of 55 W on one earth point, each with a switch.
const SHARED_EARTH: &str = "
    battery G1 internal_ohm=0.004 strap_ohm=0.001
    earth X1 joint_ohm=0.005
    splice X2 ways=3
    switch S1
    switch S2
    lamp E1 watts=55
    lamp E2 watts=55
    wire w1 G1.+ X2.1 mm2=6 m=1
    wire w2 X2.2 S1.in mm2=2.5 m=2
    wire w3 S1.out E1.1 mm2=2.5 m=2
    wire w4 X2.3 S2.in mm2=2.5 m=2
    wire w5 S2.out E2.1 mm2=2.5 m=2
    wire w6 E1.2 X1.1 mm2=2.5 m=0.5
    wire w7 E2.2 X1.1 mm2=2.5 m=0.5";

#[test]
fn two_dim_lamps_lead_to_the_earth_they_share() {
    let circuit = circuit(SHARED_EARTH);
    let both = set("both on", &["S1", "S2"]);
    let case = Case::new(&circuit, std::slice::from_ref(&both));
    let complaints = ["E1", "E2"].map(|lamp| complaint(&both, lamp, Seen::Dim));
    let walk = Walk { case: &case, complaints: &complaints, readings: &[], minutes: &Minutes::new() };
    let standing = walk.stand();
    for one in standing.causes.iter().take(12) {
        println!("{:.3} {} - {}", one.share, walk.cause_in_words(one), walk.reasons(one));
    }
    println!("group {:?} end {:?}", standing.group, standing.end);
    let next = standing.next.unwrap();
    println!("{} {} {}", next.instruction(&case), next.information, next.minutes);
    for one in &next.expected {
        println!("   {:.2} {}", one.share, one.in_words(&case, &next.probe));
    }
}
