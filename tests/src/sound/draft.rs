//! A job under construction: parts and wires with everything said about them.

use engine::document::{
    InState, Insulation, Interlock, Joint, Part, Rule, Settings, Size, Status, Surroundings, Use, Wire,
};
use engine::given::Given;
use engine::ids::{PartId, TerminalRef, WireId};
use engine::kind::{self, Class, Value, Values};
use engine::quantity::{Metres, SquareMillimetres};

use super::{CABIN, ENGINE};
use crate::cable;
use crate::chance::Chance;

/// Ratings of the fuses used, in amperes (ISO 8820-3:2015 types C, E and F, from memory).
const FUSES: [f64; 11] = [3.0, 5.0, 7.5, 10.0, 15.0, 20.0, 25.0, 30.0, 40.0, 50.0, 60.0];

/// Share of the nominal voltage that one wire may lose; with half a dozen of them in a path the whole stays below 5 %.
const SHARE_OF_ONE_WIRE: f64 = 0.005;

/// Temperature the insulation of every new wire stands, in degrees Celsius: class B of ISO 6722-1:2011 (from memory).
const CLASS_B_C: f64 = 100.0;

/// What a fuse for a stiff battery breaks, in amperes for each of the batteries that it stands for: more than 12.8 V
/// drive through the 10 milliohm of one.
const BREAKS_A: f64 = 2000.0;

/// Where a circuit takes its current from.
#[derive(Clone, Debug)]
pub enum Feed {
    /// A battery post, each circuit with a fuse of its own beside it.
    Post(PartId),
    /// A fuse box with seats.
    Box(PartId),
}

/// A fused start of a circuit.
#[derive(Clone, Debug)]
pub struct Fused {
    /// The load side of its fuse.
    pub at: String,
    /// The rating of the fuse in amperes.
    pub fuse_a: f64,
    /// The current it is meant for in amperes.
    pub amps: f64,
}

/// A job under construction.
pub struct Draft {
    pub nominal_v: f64,
    pub parts: Vec<Part>,
    pub wires: Vec<Wire>,
    /// What may be switched on, and the word for it.
    pub inputs: Vec<(PartId, &'static str)>,
    /// What a careful user says about when loads may work.
    pub interlocks: Vec<Interlock>,
    /// Whether signals and interlocks are said.
    says_purpose: bool,
    donors: Vec<(&'static str, &'static str, PartId)>,
    battery: Option<PartId>,
    fuse_box: Option<PartId>,
    taken: u32,
}

/// A number, as a value.
pub fn number(number: f64) -> Value {
    Value::Number(number)
}

impl Draft {
    pub fn new(nominal_v: f64) -> Draft {
        Draft {
            nominal_v,
            parts: Vec::new(),
            wires: Vec::new(),
            inputs: Vec::new(),
            interlocks: Vec::new(),
            says_purpose: true,
            donors: Vec::new(),
            battery: None,
            fuse_box: None,
            taken: 0,
        }
    }

    /// Adds a part that this job brings.
    pub fn part(&mut self, kind: &str, values: &[(&'static str, Value)]) -> PartId {
        self.part_of(Status::New, kind, values)
    }

    /// Adds a part that was there before.
    pub fn existing(&mut self, kind: &str, values: &[(&'static str, Value)]) -> PartId {
        self.part_of(Status::Existing, kind, values)
    }

    fn part_of(&mut self, status: Status, kind: &str, values: &[(&'static str, Value)]) -> PartId {
        let kind = kind::by_name(kind).expect("the kind is listed");
        let id = PartId::new(&format!("p{}", self.parts.len() + 1)).expect("a letter and a number are an id");
        let same = self.parts.iter().filter(|part| part.kind.letter == kind.letter).count();
        let mut said = Values::default();
        for (name, value) in values {
            assert!(kind.value(name).is_some(), "{} has no value {name}", kind.name);
            said.set(name, Given::Known(value.clone()));
        }
        let label = format!("{}{}", kind.letter, same + 1);
        self.parts.push(Part {
            id: id.clone(),
            kind,
            label,
            status,
            surroundings: None,
            place: None,
            values: said,
        });
        id
    }

    /// Adds a wire between `part.terminal` and `part.terminal`.
    pub fn wire(&mut self, from: &str, to: &str, mm2: f64, metres: f64, place: Surroundings) -> &mut Wire {
        let end = |text: &str| TerminalRef::parse(text).expect("the end is a terminal");
        let number = self.wires.len() + 1;
        let id = WireId::new(&format!("w{number}")).expect("a letter and a number are an id");
        let mut wire = Wire::new(id, end(from), end(to));
        wire.label = format!("W{number}");
        wire.size = Given::Known(Size::Metric(SquareMillimetres::new(mm2).expect("a size is finite")));
        wire.length = Given::Known(Metres::new(metres).expect("a length is finite"));
        wire.insulation = Some(Insulation::Class('B'));
        wire.surroundings = Some(place);
        wire.bundle = Some(1);
        wire.joint_from = Some(Joint { by: "crimp".to_owned(), stud_mm: None });
        wire.joint_to = wire.joint_from.clone();
        if metres > 0.3 {
            wire.sleeve = Some("split conduit".to_owned());
        }
        self.wires.push(wire);
        self.wires.last_mut().expect("a wire was just added")
    }

    /// Adds a wire behind a fuse, as thick as fuse and drop ask for.
    pub fn run(&mut self, from: &str, to: &str, fused: &Fused, metres: f64, place: Surroundings) {
        let mm2 = self.size(fused, metres, place);
        self.wire(from, to, mm2, metres, place);
    }

    /// The thinnest size that stands the whole of the fuse and loses little.
    fn size(&self, fused: &Fused, metres: f64, place: Surroundings) -> f64 {
        let fits = |mm2: &f64| {
            let stands = cable::stands(*mm2, CLASS_B_C, place.ambient_c(&Settings::of(self.nominal_v)), 1);
            let drop = fused.amps * cable::ohms(*mm2, metres, CLASS_B_C);
            *mm2 >= 1.0
                && stands.is_some_and(|amps| amps >= fused.fuse_a)
                && drop <= SHARE_OF_ONE_WIRE * self.nominal_v
        };
        cable::sizes().find(fits).expect("the largest size carries what a sound job asks of it")
    }

    /// The battery on which everything hangs.
    pub fn battery_alone(&mut self, chance: &mut Chance) -> PartId {
        let capacity = chance.one_of(&[55.0, 70.0, 95.0]);
        // One that gives less into a short circuit than blade fuses break.
        let internal = if self.nominal_v > 18.0 { 0.025 } else { 0.01 };
        let values = [("capacity_ah", number(capacity)), ("internal_ohm", number(internal))];
        let battery = self.existing("battery", &values);
        self.battery = Some(battery.clone());
        battery
    }

    /// The battery, and half of the time an alternator behind its own fuse.
    pub fn battery_and_alternator(&mut self, chance: &mut Chance) {
        let battery = self.battery_alone(chance);
        if !chance.once_in(2) {
            return;
        }
        let set_v = if self.nominal_v > 18.0 { 28.4 } else { 14.2 };
        let limit_a = chance.one_of(&[60.0, 80.0, 90.0]);
        let values = [("set_v", number(set_v)), ("limit_a", number(limit_a))];
        let alternator = self.existing("alternator", &values);
        let bar = self.existing("bar", &[("ways", number(2.0)), ("rating_a", number(200.0))]);
        let fuse = self.existing("fuse", &[("rating_a", number(100.0)), ("family", Value::Word("strip"))]);
        let leads = [
            (format!("{battery}.+"), format!("{bar}.1"), 35.0, 1.2),
            (format!("{bar}.2"), format!("{fuse}.1"), 16.0, 0.1),
            (format!("{fuse}.2"), format!("{alternator}.B+"), 16.0, 1.1),
        ];
        for (from, to, mm2, metres) in leads {
            let wire = self.wire(&from, &to, mm2, metres, ENGINE);
            wire.status = Status::Existing;
            wire.insulation = Some(Insulation::Class('C'));
            if mm2 == 35.0 {
                wire.used_for = Some(Use::StarterCable);
            }
        }
        self.inputs.push((alternator, "running"));
    }

    /// Makes the battery as stiff as so many of them side by side, and every fuse one that breaks what it then gives.
    pub fn stiffen(&mut self, times: f64) {
        for part in self.parts.iter_mut().filter(|part| part.kind.class == Class::Protection) {
            part.values.set("breaking_a", Given::Known(number(BREAKS_A * times)));
        }
        let battery = self.battery();
        for part in self.parts.iter_mut().filter(|part| part.id == battery) {
            part.values.set("internal_ohm", Given::Known(number(0.01 / times)));
            part.values.set("strap_ohm", Given::Known(number(0.001 / times)));
        }
    }

    /// A fuse box behind a main fuse at the battery, for all that follows.
    pub fn fuse_box(&mut self, ways: u32, main_a: f64) {
        let battery = self.battery();
        let main = self.part("fuse", &[("rating_a", number(main_a)), ("family", Value::Word("strip"))]);
        let fuse_box = self.part("fuse-box", &[("ways", number(f64::from(ways)))]);
        self.wire(&format!("{battery}.+"), &format!("{main}.1"), 16.0, 0.15, ENGINE);
        self.wire(&format!("{main}.2"), &format!("{fuse_box}.feed"), 16.0, 1.5, ENGINE);
        self.fuse_box = Some(fuse_box);
        self.taken = 0;
    }

    pub fn battery(&self) -> PartId {
        self.battery.clone().expect("every job begins with its battery")
    }

    /// The fuse box if there is one, else the battery.
    pub fn main_feed(&self) -> Feed {
        self.fuse_box.clone().map_or_else(|| Feed::Post(self.battery()), Feed::Box)
    }

    /// A fuse for `amps` at this feed.
    pub fn fused(&mut self, feed: &Feed, amps: f64) -> Fused {
        let asked = 1.35 * amps;
        let fuse_a = *FUSES.iter().find(|rating| **rating >= asked).expect("no circuit takes more than 40 A");
        self.fused_with(feed, amps, fuse_a)
    }

    /// A fuse of this rating at this feed.
    pub fn fused_with(&mut self, feed: &Feed, amps: f64, fuse_a: f64) -> Fused {
        let family = if fuse_a > 30.0 { "blade-E" } else { "blade-C" };
        let mut values = vec![("rating_a", number(fuse_a)), ("family", Value::Word(family))];
        match feed {
            Feed::Box(fuse_box) => {
                self.taken += 1;
                values.push(("seat", Value::Seat(fuse_box.clone(), self.taken)));
                let fuse = self.part("fuse", &values);
                Fused { at: format!("{fuse}.2"), fuse_a, amps }
            }
            Feed::Post(battery) => {
                let fuse = self.part("fuse", &values);
                let fused = Fused { at: format!("{fuse}.2"), fuse_a, amps };
                self.run(&format!("{battery}.+"), &format!("{fuse}.1"), &fused, 0.15, ENGINE);
                fused
            }
        }
    }

    /// A job that says neither what donors are for nor when loads may work, with a donor for each circuit.
    pub fn without_purpose(nominal_v: f64) -> Draft {
        Draft { says_purpose: false, ..Draft::new(nominal_v) }
    }

    /// Says how a load belongs together with any one of these conditions.
    pub fn rule(&mut self, load: &PartId, rule: Rule, any_of: &[&[(PartId, &'static str)]]) {
        if !self.says_purpose {
            return;
        }
        let states = |condition: &&[(PartId, &'static str)]| {
            let state = |(part, is): &(PartId, &'static str)| InState {
                part: part.clone(),
                name: String::new(),
                is: (*is).to_owned(),
            };
            condition.iter().map(state).collect()
        };
        self.interlocks.push(Interlock {
            load: load.clone(),
            name: String::new(),
            rule,
            any_of: any_of.iter().map(states).collect(),
            reason: String::new(),
        });
    }

    /// Which side the vehicle switches a signal on, once it is in the job.
    pub fn switching_of(&self, signal: &str) -> Option<&'static str> {
        self.donors.iter().find(|(known, ..)| *known == signal).map(|(_, switching, _)| *switching)
    }

    /// A signal of the vehicle behind a small fuse. A vehicle has each signal once, however often it is tapped.
    pub fn signal(
        &mut self,
        chance: &mut Chance,
        signal: &'static str,
        switching: &'static str,
    ) -> (PartId, Fused) {
        let known = self.donors.iter().find(|(known, ..)| *known == signal).map(|(.., donor)| donor.clone());
        let donor = known.unwrap_or_else(|| self.donor(chance, signal, switching));
        let fuse = self.part("fuse", &[("rating_a", number(3.0)), ("family", Value::Word("blade-C"))]);
        // As thick as the vehicle's own fuse and what may come back through another tap ask for.
        self.wire(&format!("{donor}.feed"), &format!("{fuse}.1"), 2.5, 0.12, ENGINE);
        (donor, Fused { at: format!("{fuse}.2"), fuse_a: 3.0, amps: 0.2 })
    }

    fn donor(&mut self, chance: &mut Chance, signal: &'static str, switching: &'static str) -> PartId {
        let mut values = vec![
            ("switching", Value::Word(switching)),
            ("drive", Value::Word("contact")),
            ("lamp_w", number(chance.one_of(&[5.0, 21.0, 55.0]))),
            ("line_ohm", number(0.05)),
            ("fuse_a", number(chance.one_of(&[10.0, 15.0]))),
            ("spare_a", number(2.0)),
        ];
        if switching == "earth" {
            values.push(("common_feed", Value::Word("permanent")));
        }
        if self.says_purpose {
            values.push(("signal", Value::Word(signal)));
        }
        let donor = self.existing("donor", &values);
        self.inputs.push((donor.clone(), "on"));
        if self.says_purpose {
            self.donors.push((signal, switching, donor.clone()));
        }
        donor
    }

    /// A hand switch for this current, listed as an input.
    pub fn switch(&mut self, fused: &Fused, telltale: bool) -> PartId {
        let rating = [10.0, 16.0, 20.0, 30.0].into_iter().find(|rating| *rating >= fused.fuse_a);
        let rating = rating.expect("a larger load hangs on a relay");
        let mut values = vec![("action", Value::Word("on-off")), ("rating_a", number(rating))];
        if telltale {
            values.push(("telltale", Value::Word("led")));
            values.push(("lamp_a", number(0.01)));
        }
        let switch = self.part("switch", &values);
        self.inputs.push((switch.clone(), "on"));
        if telltale {
            let earth = self.earth();
            self.wire(&format!("{switch}.lamp"), &earth, 1.0, 0.5, CABIN);
        }
        switch
    }

    /// A relay whose contact stands this fuse.
    pub fn relay(&mut self, fused: &Fused, contact: &'static str) -> PartId {
        let coil = if self.nominal_v > 18.0 { 360.0 } else { 90.0 };
        let rating = [20.0, 30.0, 40.0, 70.0].into_iter().find(|rating| *rating >= fused.fuse_a);
        let rating = rating.expect("a contact for the largest fuse is made");
        let mut values = vec![
            ("contact", Value::Word(contact)),
            ("coil_ohm", number(coil)),
            ("suppression", Value::Word("resistor")),
            ("contact_a", number(rating)),
        ];
        if contact == "change-over" {
            values.push(("break_contact_a", number(rating)));
        }
        self.part("relay", &values)
    }

    /// The stud of a new earth point.
    pub fn earth(&mut self) -> String {
        let earth = self.part("earth", &[("surface", Value::Word("bare metal"))]);
        format!("{earth}.1")
    }
}
