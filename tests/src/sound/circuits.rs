//! The circuits that sound jobs are put together from.

use engine::document::Rule;
use engine::ids::PartId;
use engine::kind::Value;

use super::draft::{Draft, Feed, Fused, number};
use super::{BODY, CABIN, ENGINE};
use crate::chance::Chance;

/// A lamp to be fitted: what it takes and what it is.
struct Bulb {
    electronic: bool,
    watts: f64,
    function: &'static str,
}

impl Bulb {
    fn chosen(draft: &Draft, chance: &mut Chance, function: &'static str) -> Bulb {
        let electronic = chance.once_in(2);
        let watts = match (electronic, draft.nominal_v > 18.0) {
            (true, _) => chance.one_of(&[15.0, 20.0, 30.0]),
            (false, false) => 55.0,
            (false, true) => 70.0,
        };
        Bulb { electronic, watts, function }
    }

    /// The most it takes: an electronic lamp when the voltage is low, a filament when it is high.
    fn amps(&self, draft: &Draft) -> f64 {
        self.watts / draft.nominal_v * if self.electronic { 1.25 } else { 1.1 }
    }

    /// Its two terminals, and the lamp.
    fn fitted(&self, draft: &mut Draft) -> (String, String, PartId) {
        let function = Value::Word(self.function);
        if self.electronic {
            let limit = 2.0 * self.watts / draft.nominal_v;
            let values = [("watts", number(self.watts)), ("limit_a", number(limit)), ("function", function)];
            let lamp = draft.part("led-lamp", &values);
            (format!("{lamp}.+"), format!("{lamp}.-"), lamp)
        } else {
            let lamp = draft.part("lamp", &[("watts", number(self.watts)), ("function", function)]);
            (format!("{lamp}.1"), format!("{lamp}.2"), lamp)
        }
    }
}

/// Some lamps of one sort from `at` on, each with its own return or all with one.
fn lamps(
    draft: &mut Draft,
    chance: &mut Chance,
    at: &str,
    fused: &Fused,
    bulb: &Bulb,
    n_lamps: usize,
) -> Vec<PartId> {
    let each = Fused { amps: fused.amps / n_lamps as f64, ..fused.clone() };
    let mut at = at.to_owned();
    if chance.once_in(3) {
        let connector = draft.part("connector", &[("ways", number(1.0)), ("rating_a", number(40.0))]);
        draft.run(&at, &format!("{connector}.1a"), fused, chance.between(0.5, 2.0), BODY);
        at = format!("{connector}.1b");
    }
    if n_lamps == 1 {
        let (plus, minus, lamp) = bulb.fitted(draft);
        draft.run(&at, &plus, fused, chance.between(0.4, 3.0), BODY);
        let earth = draft.earth();
        draft.run(&minus, &earth, fused, chance.between(0.3, 0.8), BODY);
        return vec![lamp];
    }
    let ways = number(n_lamps as f64 + 1.0);
    let splice = draft.part("splice", &[("ways", ways.clone())]);
    draft.run(&at, &format!("{splice}.1"), fused, chance.between(0.5, 3.0), BODY);
    let common = chance.once_in(2).then(|| {
        let back = draft.part("splice", &[("ways", ways)]);
        let earth = draft.earth();
        draft.run(&format!("{back}.1"), &earth, fused, 0.4, BODY);
        back
    });
    let mut fitted = Vec::new();
    for i in 0..n_lamps {
        let (plus, minus, lamp) = bulb.fitted(draft);
        fitted.push(lamp);
        draft.run(&format!("{splice}.{}", i + 2), &plus, &each, chance.between(0.4, 2.5), BODY);
        match &common {
            Some(back) => {
                draft.run(&minus, &format!("{back}.{}", i + 2), &each, chance.between(0.4, 1.5), BODY)
            }
            None => {
                let earth = draft.earth();
                draft.run(&minus, &earth, &each, chance.between(0.2, 0.8), BODY);
            }
        }
    }
    fitted
}

/// What works a relay: main beam with a cab switch, a signal alone, or a switch on the relay's own feed.
#[derive(Clone, Copy, PartialEq)]
enum Trigger {
    MainBeamAndSwitch,
    EarthSwitchedMainBeam,
    Signal(&'static str),
    Switch,
}

/// Wires the coil of a relay, and gives the parts that work it.
fn coil(
    draft: &mut Draft,
    chance: &mut Chance,
    relay: &PartId,
    feed: &Feed,
    trigger: Trigger,
) -> Vec<PartId> {
    let positive = format!("{relay}.86");
    let negative = format!("{relay}.85");
    let (back, worked_by) = match trigger {
        Trigger::EarthSwitchedMainBeam | Trigger::MainBeamAndSwitch => {
            let earth_switched = trigger == Trigger::EarthSwitchedMainBeam;
            let switching = if earth_switched { "earth" } else { "positive" };
            let (donor, fused) = draft.signal(chance, MAIN_BEAM, switching);
            let switch = draft.switch(&fused, false);
            draft.wire(&fused.at, &format!("{switch}.in"), 1.0, chance.between(1.5, 3.0), CABIN);
            draft.wire(&format!("{switch}.out"), &positive, 1.0, chance.between(1.5, 3.0), CABIN);
            (earth_switched.then(|| format!("{donor}.return")), vec![donor, switch])
        }
        Trigger::Signal(signal) => {
            let (donor, fused) = draft.signal(chance, signal, "positive");
            draft.wire(&fused.at, &positive, 1.0, chance.between(0.5, 2.0), ENGINE);
            (None, vec![donor])
        }
        Trigger::Switch => {
            let fused = draft.fused_with(feed, 0.2, 3.0);
            let switch = draft.switch(&fused, true);
            draft.run(&fused.at, &format!("{switch}.in"), &fused, chance.between(1.0, 2.0), CABIN);
            draft.run(&format!("{switch}.out"), &positive, &fused, chance.between(1.0, 2.0), CABIN);
            (None, vec![switch])
        }
    };
    match back {
        Some(back) => draft.wire(&negative, &back, 1.5, 0.9, ENGINE),
        None => {
            let earth = draft.earth();
            draft.wire(&negative, &earth, 1.0, 0.4, ENGINE)
        }
    };
    worked_by
}

const MAIN_BEAM: &str = "main beam";

/// Lamps on a relay.
pub fn lamps_on_a_relay(draft: &mut Draft, chance: &mut Chance, feed: &Feed) {
    let trigger = chance.one_of(&[
        Trigger::MainBeamAndSwitch,
        Trigger::MainBeamAndSwitch,
        Trigger::EarthSwitchedMainBeam,
        Trigger::Signal("reverse gear"),
        Trigger::Switch,
    ]);
    // A vehicle switches its main beam on one side.
    let trigger = match (trigger, draft.switching_of(MAIN_BEAM)) {
        (Trigger::MainBeamAndSwitch, Some("earth")) => Trigger::EarthSwitchedMainBeam,
        (Trigger::EarthSwitchedMainBeam, Some("positive")) => Trigger::MainBeamAndSwitch,
        (trigger, _) => trigger,
    };
    let function = match trigger {
        Trigger::MainBeamAndSwitch | Trigger::EarthSwitchedMainBeam => "driving",
        Trigger::Signal(_) => "reversing",
        Trigger::Switch => "work",
    };
    let bulb = Bulb::chosen(draft, chance, function);
    let n_lamps = chance.whole(1, 3);
    let fused = draft.fused(feed, n_lamps as f64 * bulb.amps(draft));
    let relay = draft.relay(&fused, "make");
    draft.run(&fused.at, &format!("{relay}.30"), &fused, chance.between(0.3, 0.9), ENGINE);
    let worked_by = coil(draft, chance, &relay, feed, trigger);
    let fitted = lamps(draft, chance, &format!("{relay}.87"), &fused, &bulb, n_lamps);
    // What is usual for driving and reversing lamps need not be said.
    if trigger == Trigger::Switch {
        only_with(draft, &fitted, &[&on(&worked_by)]);
    }
}

/// That all of these are on.
fn on(parts: &[PartId]) -> Vec<(PartId, &'static str)> {
    parts.iter().map(|part| (part.clone(), "on")).collect()
}

/// Says that these loads work only with any one of these conditions.
fn only_with(draft: &mut Draft, loads: &[PartId], any_of: &[&[(PartId, &'static str)]]) {
    for load in loads {
        draft.rule(load, Rule::OnlyWith, any_of);
    }
}

/// Interior lamps on a switch.
pub fn lamps_on_a_switch(draft: &mut Draft, chance: &mut Chance, feed: &Feed) {
    let watts = chance.one_of(&[5.0, 10.0]);
    let bulb = Bulb { electronic: chance.once_in(2), watts, function: "interior" };
    let n_lamps = chance.whole(1, 3);
    let fused = draft.fused(feed, n_lamps as f64 * bulb.amps(draft));
    let switch = draft.switch(&fused, false);
    draft.run(&fused.at, &format!("{switch}.in"), &fused, chance.between(1.0, 2.5), CABIN);
    let fitted = lamps(draft, chance, &format!("{switch}.out"), &fused, &bulb, n_lamps);
    only_with(draft, &fitted, &[&on(&[switch])]);
}

/// A motor on a switch, or on a relay that a switch works.
pub fn pump(draft: &mut Draft, chance: &mut Chance, feed: &Feed) {
    let amps = chance.one_of(&[3.0, 5.0, 8.0]);
    let fused = draft.fused(feed, 1.2 * amps);
    let values =
        [("run_a", number(amps)), ("stall_a", number(3.0 * amps)), ("at_v", number(draft.nominal_v))];
    let motor = draft.part("motor", &values);
    let plus = format!("{motor}.+");
    let worked_by = if chance.once_in(2) {
        let switch = draft.switch(&fused, false);
        draft.run(&fused.at, &format!("{switch}.in"), &fused, chance.between(1.0, 2.5), CABIN);
        draft.run(&format!("{switch}.out"), &plus, &fused, chance.between(1.0, 3.0), CABIN);
        vec![switch]
    } else {
        let relay = draft.relay(&fused, "make");
        draft.run(&fused.at, &format!("{relay}.30"), &fused, chance.between(0.3, 0.9), ENGINE);
        let worked_by = coil(draft, chance, &relay, feed, Trigger::Switch);
        draft.run(&format!("{relay}.87"), &plus, &fused, chance.between(1.0, 3.0), BODY);
        worked_by
    };
    only_with(draft, std::slice::from_ref(&motor), &[&on(&worked_by)]);
    let earth = draft.earth();
    draft.run(&format!("{motor}.-"), &earth, &fused, chance.between(0.3, 1.0), BODY);
}

/// A power socket.
pub fn socket(draft: &mut Draft, chance: &mut Chance, feed: &Feed) {
    let rating = chance.one_of(&[10.0, 15.0, 20.0]);
    let drawn = 0.5 * rating;
    let fused = draft.fused_with(feed, drawn, rating);
    let socket = draft.part("socket", &[("rating_a", number(rating)), ("drawn_a", number(drawn))]);
    draft.run(&fused.at, &format!("{socket}.+"), &fused, chance.between(1.0, 3.5), CABIN);
    let earth = draft.earth();
    draft.run(&format!("{socket}.-"), &earth, &fused, chance.between(0.3, 1.0), CABIN);
}

/// Lamps that come on with a signal of the vehicle and by a switch as well, kept apart by diodes.
pub fn two_signals_through_diodes(draft: &mut Draft, chance: &mut Chance, feed: &Feed) {
    let bulb = Bulb::chosen(draft, chance, "reversing");
    let fused = draft.fused(feed, bulb.amps(draft));
    let relay = draft.relay(&fused, "make");
    draft.run(&fused.at, &format!("{relay}.30"), &fused, chance.between(0.3, 0.9), ENGINE);
    let splice = draft.part("splice", &[("ways", number(3.0))]);
    let (donor, signal) = draft.signal(chance, "reverse gear", "positive");
    let by_hand = draft.fused_with(feed, 0.2, 3.0);
    let switch = draft.switch(&by_hand, false);
    draft.run(&by_hand.at, &format!("{switch}.in"), &by_hand, chance.between(1.0, 2.0), CABIN);
    for (i, from) in [signal.at, format!("{switch}.out")].into_iter().enumerate() {
        let diode = draft.part("diode", &[("rating_a", number(3.0)), ("reverse_v", number(200.0))]);
        draft.wire(&from, &format!("{diode}.A"), 1.0, chance.between(0.5, 1.5), CABIN);
        draft.wire(&format!("{diode}.K"), &format!("{splice}.{}", i + 1), 1.0, 0.2, CABIN);
    }
    draft.wire(&format!("{splice}.3"), &format!("{relay}.86"), 1.0, 0.4, CABIN);
    let earth = draft.earth();
    draft.wire(&format!("{relay}.85"), &earth, 1.0, 0.4, ENGINE);
    let fitted = lamps(draft, chance, &format!("{relay}.87"), &fused, &bulb, 1);
    let either = [on(&[donor]), on(&[switch])];
    let either: Vec<&[(PartId, &'static str)]> = either.iter().map(Vec::as_slice).collect();
    only_with(draft, &fitted, &either);
    // Each of the two by itself is enough, which is what the diodes are for.
    for lamp in &fitted {
        draft.rule(lamp, Rule::AlwaysWith, &either);
    }
}

/// A change-over relay that lights one lamp at rest and another when it is worked, both behind one switch.
pub fn one_lamp_or_the_other(draft: &mut Draft, chance: &mut Chance, feed: &Feed) {
    let bulb = Bulb { electronic: false, watts: 10.0, function: "interior" };
    let fused = draft.fused(feed, bulb.amps(draft));
    let switch = draft.switch(&fused, false);
    let relay = draft.relay(&fused, "change-over");
    draft.run(&fused.at, &format!("{switch}.in"), &fused, chance.between(1.0, 2.0), CABIN);
    draft.run(&format!("{switch}.out"), &format!("{relay}.30"), &fused, chance.between(0.5, 1.0), CABIN);
    let worked_by = coil(draft, chance, &relay, feed, Trigger::Signal("position lamps"));
    for (contact, signal) in [("87", "on"), ("87a", "off")] {
        let fitted = lamps(draft, chance, &format!("{relay}.{contact}"), &fused, &bulb, 1);
        let mut condition = on(std::slice::from_ref(&switch));
        condition.extend(worked_by.iter().map(|donor| (donor.clone(), signal)));
        only_with(draft, &fitted, &[&condition]);
    }
}

/// A second battery that a relay joins with the first while the engine's charge signal is on.
pub fn second_battery(draft: &mut Draft, chance: &mut Chance) -> Feed {
    let first = draft.battery();
    let capacity = chance.one_of(&[55.0, 75.0]);
    let battery =
        draft.part("battery", &[("capacity_ah", number(capacity)), ("internal_ohm", number(0.012))]);
    let strip = |draft: &mut Draft| {
        draft.part("fuse", &[("rating_a", number(60.0)), ("family", Value::Word("strip"))])
    };
    let (one, other) = (strip(draft), strip(draft));
    let fused = Fused { at: format!("{one}.2"), fuse_a: 60.0, amps: 0.0 };
    let relay = draft.relay(&fused, "make");
    draft.run(&format!("{first}.+"), &format!("{one}.1"), &fused, 0.15, ENGINE);
    draft.run(&fused.at, &format!("{relay}.30"), &fused, 0.6, ENGINE);
    draft.run(&format!("{relay}.87"), &format!("{other}.2"), &fused, chance.between(3.0, 5.0), BODY);
    draft.run(&format!("{other}.1"), &format!("{battery}.+"), &fused, 0.15, CABIN);
    let worked_by = coil(draft, chance, &relay, &Feed::Post(first), Trigger::Signal("other"));
    only_with(draft, &[relay], &[&on(&worked_by)]);
    Feed::Post(battery)
}
