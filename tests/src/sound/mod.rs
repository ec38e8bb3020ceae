//! Sound jobs made by chance: circuits as a workshop would fit them, with nothing wrong.
//!
//! Every job has a battery, perhaps an alternator, and one to five circuits: lamps on relays worked by a donor or a
//! switch, a pump, a socket, interior lamps, a second battery. Fuses sit at the battery, sizes follow from fuses and
//! drop, and everything is said, what signals are and when loads may work among it, so that no check has a reason to
//! speak.

use std::sync::Arc;

use engine::document::{Card, Document, Network, Placement, Settings, Situation, Surroundings};

use crate::chance::Chance;

mod circuits;
mod draft;

use draft::{Draft, Feed};

/// The sound job that belongs to `seed`.
pub fn document(seed: u64) -> Document {
    let mut chance = Chance::new(seed ^ 0x50_0D_50_0D);
    let nominal_v = if chance.once_in(4) { 24.0 } else { 12.0 };
    let mut draft = Draft::new(nominal_v);
    draft.battery_and_alternator(&mut chance);
    let n_circuits = chance.whole(1, 5);
    if n_circuits > 2 || chance.once_in(4) {
        draft.fuse_box(6 * n_circuits as u32, 60.0);
    }
    let mut second: Option<Feed> = None;
    for _ in 0..n_circuits {
        circuit(&mut draft, &mut chance, &mut second);
    }
    finish(draft, seed)
}

/// A sound job of at least so many parts: fuse boxes with four circuits each on one battery.
///
/// The battery grows with it, so that everything can be on at once, and what its fuses can break grows with the battery.
/// There is no alternator: none keeps up with all of it.
pub fn large(n_parts: usize, seed: u64) -> Document {
    let mut chance = Chance::new(seed);
    let mut draft = Draft::without_purpose(12.0);
    draft.battery_alone(&mut chance);
    while draft.parts.len() < n_parts {
        draft.fuse_box(12, 60.0);
        let mut second: Option<Feed> = None;
        for _ in 0..4 {
            circuit(&mut draft, &mut chance, &mut second);
        }
    }
    draft.stiffen(n_parts as f64 / 40.0);
    let mut document = finish(draft, seed);
    // The checks try every input by itself; only all at once is worth a name.
    let situations = Arc::make_mut(&mut document.situations);
    *situations = situations.split_off(situations.len() - 1);
    document
}

/// One more circuit of any sort.
fn circuit(draft: &mut Draft, chance: &mut Chance, second: &mut Option<Feed>) {
    // What a second battery is for hangs on it.
    let feed = match second {
        Some(feed) if chance.once_in(2) => feed.clone(),
        _ => draft.main_feed(),
    };
    match chance.below(11) {
        0..=2 => circuits::lamps_on_a_relay(draft, chance, &feed),
        3 => circuits::lamps_on_a_switch(draft, chance, &feed),
        4 | 5 => circuits::pump(draft, chance, &feed),
        6 | 7 => circuits::socket(draft, chance, &feed),
        8 => circuits::two_signals_through_diodes(draft, chance, &feed),
        9 => circuits::one_lamp_or_the_other(draft, chance, &feed),
        // At 24 V the current between a charged battery and an empty one asks for more than these fuses and relays.
        _ if second.is_none() && draft.nominal_v < 18.0 => {
            *second = Some(circuits::second_battery(draft, chance))
        }
        _ => circuits::socket(draft, chance, &feed),
    }
}

fn finish(draft: Draft, seed: u64) -> Document {
    let mut situations: Vec<Situation> = Vec::new();
    for (part, position) in &draft.inputs {
        let set = [(part.clone(), (*position).to_owned())].into();
        situations.push(Situation { name: format!("{part} {position}"), set });
    }
    let all = draft.inputs.iter().map(|(part, position)| (part.clone(), (*position).to_owned())).collect();
    situations.push(Situation { name: "everything on".to_owned(), set: all });
    let network =
        Network { next_id: draft.parts.len() as u64 + 1000, parts: draft.parts, wires: draft.wires };
    Document {
        plan: Arc::default(),
        card: Arc::new(Card { title: format!("Sound job {seed}"), ..Card::default() }),
        settings: Arc::new(Settings::of(draft.nominal_v)),
        network: Arc::new(network),
        placement: Arc::new(Placement::default()),
        situations: Arc::new(situations),
        interlocks: Arc::new(draft.interlocks),
        accepted: Arc::default(),
        records: Arc::default(),
    }
}

/// Where a wire of a sound job runs.
const ENGINE: Surroundings = Surroundings::EngineBay;
/// See [`ENGINE`].
const CABIN: Surroundings = Surroundings::Cabin;
/// See [`ENGINE`].
const BODY: Surroundings = Surroundings::UnderBody;
