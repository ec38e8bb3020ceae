//! How causes and what they explain are told.

use super::*;

#[test]
fn the_drawing_is_not_blamed_for_what_it_does_not_ask_for() {
    let circuit = circuit(LAMP);
    let on = set("on", &["S1"]);
    let case = Case::new(&circuit, std::slice::from_ref(&on));
    // As it is drawn the lamp works.
    let complaints = [complaint(&on, "E1", Seen::Dark)];
    let walk = walk(&case, &complaints, &[]);
    assert!(!walk.is_drawn_so());
    let as_drawn = Ranked { cause: 0, share: 1.0, ohm: None, explains: Vec::new(), against: vec![0] };
    assert_eq!(walk.cause_in_words(&as_drawn), "everything is built as it is drawn");
    assert!(!Walk { complaints: &[], ..walk }.is_drawn_so());
}

#[test]
fn nothing_explains_a_reading_that_could_not_be_taken() {
    let circuit = circuit(LAMP);
    let rest = Situation::at_rest();
    let case = Case::new(&circuit, std::slice::from_ref(&rest));
    // With the switch off the lamp is dark as it is drawn.
    let complaints = [complaint(&rest, "E1", Seen::Dark)];
    let readings = [
        reading(&rest, volts("F1.2", None), Found::CannotReach),
        reading(&rest, volts("F1.1", None), Found::Number(12.6)),
    ];
    let walk = walk(&case, &complaints, &readings);
    let standing = walk.stand();
    let as_drawn = standing.causes.iter().find(|one| one.cause == 0).unwrap();
    assert_eq!(as_drawn.explains, [0, 2]);
}
