//! The job, packed. Words of a table are sent as they are written and found again in their table.

use super::packed::{Packed, Unread, pack_text, packed, packed_choice};
use crate::document::wire::COLOR_LETTERS;
use crate::document::{
    Accepted, Card, Color, Complaint, Document, Found, InState, Insulation, Interlock, Joint, Network,
    Outline, Part, Placement, Plan, Pose, Probe, Purpose, Reading, Record, Route, RouteKind, Rule, Seen,
    Settings, Shape, Situation, Size, Standing, Status, Strands, Surroundings, Use, VehiclePlace, Wire,
    settings,
};
use crate::given::Given;
use crate::ids::{PartId, PlaceId, RouteId, TerminalName, TerminalRef, WireId};
use crate::kind::{self, Form, Value, ValueSpec, Values};
use crate::quantity::{Metres, SquareMillimetres};

packed!(Document { card, settings, network, placement, plan, situations, interlocks, accepted, records });
packed!(Card { title, customer, vehicle, owner, drawn_by, approved_by, date, number, revision });
packed!(Record { purpose, about, date, by, meter, complaints, minutes, readings, answer });
packed!(Reading { situation, probe, expected, found, is_right });
packed!(Complaint { situation, probe, should, found });
packed!(Accepted { check, subject, severity, by, why, date });
packed!(Network { parts, wires, next_id });
packed!(Placement { poses });
packed!(Pose { part, view, x, y, turn, mirrored, pinned });
packed!(Standing { pose, terminals });
packed!(Situation { name, set });
packed!(Interlock { load, name, rule, any_of, reason });
packed!(InState { part, name, is });
packed!(Wire {
    id,
    label,
    from,
    to,
    status,
    size,
    length,
    color,
    insulation,
    surroundings,
    bundle,
    sleeve,
    grommet,
    joint_from,
    joint_to,
    used_for,
    strands,
    via,
    keep_apart,
});
packed!(Plan { outline, places, routes });
packed!(Outline { shape, length, width });
packed!(VehiclePlace { id, name, x_cm, y_cm, surroundings, wet, moving, passing, end });
packed!(Route { id, name, from, to, length, kind, surroundings, sleeve, grommet, slack });
packed!(Joint { by, stud_mm });
packed!(TerminalRef { part, terminal });

packed_choice!(Given<T> { 0 => NotKnown, 1 => Known(value), 2 => Between(low, high) });
packed_choice!(Purpose { 0 => Survey, 1 => Fault, 2 => Proof });
packed_choice!(Found {
    0 => Number(number),
    1 => Seen(seen),
    2 => Heard(heard),
    3 => Whole(whole),
    4 => CannotReach,
});
packed_choice!(Seen { 0 => Lit, 1 => Dim, 2 => Dark });
packed_choice!(Probe {
    0 => Volts { at, against },
    1 => Amps(wire),
    2 => Look(part, load),
    3 => Listen(part),
    4 => Fuse(part),
    5 => Pin { wire, against_positive },
    6 => TestLamp { at, against },
});
packed_choice!(Status { 0 => Existing, 1 => New, 2 => Remove });
packed_choice!(Size { 0 => Metric(area), 1 => Gauge(gauge) });
packed_choice!(Insulation { 0 => Class(letter), 1 => Rated(celsius) });
packed_choice!(Surroundings {
    0 => Cabin,
    1 => Outside,
    2 => UnderBody,
    3 => EngineBay,
    4 => Ambient(celsius),
});
packed_choice!(Rule { 0 => OnlyWith, 1 => NeverWith, 2 => AlwaysWith, 3 => AnyTime });
packed_choice!(Use { 0 => StarterCable });
packed_choice!(Strands { 0 => Solid, 1 => Stranded, 2 => Flexible, 3 => HighlyFlexible });
packed_choice!(Shape { 0 => Truck, 1 => Van, 2 => Car, 3 => Trailer });
packed_choice!(RouteKind { 0 => AlongChassis, 1 => InConduit, 2 => ThroughBulkhead, 3 => OverHinge });

/// Packs what is written as a text and made from it again.
macro_rules! packed_text {
    ($type:ident, $read:expr) => {
        impl Packed for $type {
            fn pack(&self, to: &mut Vec<u8>) {
                pack_text(self.as_str(), to);
            }

            fn unpack(from: &mut Unread) -> Option<$type> {
                $read(from.text()?)
            }
        }
    };
}

packed_text!(PartId, PartId::new);
packed_text!(WireId, WireId::new);
packed_text!(PlaceId, PlaceId::new);
packed_text!(RouteId, RouteId::new);
packed_text!(TerminalName, |text| Some(TerminalName::new(text)));

macro_rules! packed_quantity {
    ($type:ident) => {
        impl Packed for $type {
            fn pack(&self, to: &mut Vec<u8>) {
                self.get().pack(to);
            }

            fn unpack(from: &mut Unread) -> Option<$type> {
                $type::new(f64::unpack(from)?)
            }
        }
    };
}

packed_quantity!(Metres);
packed_quantity!(SquareMillimetres);

impl Packed for Color {
    fn pack(&self, to: &mut Vec<u8>) {
        pack_text(self.base, to);
        pack_text(self.stripe.unwrap_or_default(), to);
    }

    fn unpack(from: &mut Unread) -> Option<Color> {
        let base = color_letters(from.text()?)?;
        let stripe = from.text()?;
        let stripe = if stripe.is_empty() { None } else { Some(color_letters(stripe)?) };
        Some(Color { base, stripe })
    }
}

fn color_letters(text: &str) -> Option<&'static str> {
    COLOR_LETTERS.iter().find(|(letters, _)| *letters == text).map(|(letters, _)| *letters)
}

impl Packed for Part {
    fn pack(&self, to: &mut Vec<u8>) {
        pack_text(self.kind.name, to);
        self.id.pack(to);
        self.label.pack(to);
        self.status.pack(to);
        self.surroundings.pack(to);
        self.place.pack(to);
        pack_values(&self.values, to);
    }

    fn unpack(from: &mut Unread) -> Option<Part> {
        let kind = kind::by_name(from.text()?)?;
        let (id, label, status) = (Packed::unpack(from)?, Packed::unpack(from)?, Packed::unpack(from)?);
        let (surroundings, place) = (Packed::unpack(from)?, Packed::unpack(from)?);
        let values = unpack_values(from, |name| kind.value(name))?;
        Some(Part { id, kind, label, status, surroundings, place, values })
    }
}

impl Packed for Settings {
    fn pack(&self, to: &mut Vec<u8>) {
        self.nominal_v.pack(to);
        pack_values(&self.said, to);
    }

    fn unpack(from: &mut Unread) -> Option<Settings> {
        let nominal_v = f64::unpack(from)?;
        let said = unpack_values(from, |name| settings::by_name(name).map(|setting| &setting.spec))?;
        Some(Settings { nominal_v, said })
    }
}

fn pack_values(values: &Values, to: &mut Vec<u8>) {
    let said: Vec<(&str, &Given<Value>)> = values.iter().collect();
    u32::try_from(said.len()).expect("there are a few values").pack(to);
    for (name, given) in said {
        pack_text(name, to);
        given.clone().map(|value| Plain::from(&value)).pack(to);
    }
}

fn unpack_values(from: &mut Unread, by_name: impl Fn(&str) -> Option<&'static ValueSpec>) -> Option<Values> {
    let mut values = Values::default();
    for _ in 0..u32::unpack(from)? {
        let spec = by_name(from.text()?)?;
        let given = match Given::unpack(from)? {
            Given::NotKnown => Given::NotKnown,
            Given::Known(value) => Given::Known(of_kind(value, spec)?),
            Given::Between(low, high) => Given::Between(of_kind(low, spec)?, of_kind(high, spec)?),
        };
        values.set(spec.name, given);
    }
    Some(values)
}

/// A value without the table of words that it is taken from.
enum Plain {
    Number(f64),
    Word(String),
    Flag(bool),
    Part(PartId),
    Seat(PartId, u32),
}

packed_choice!(Plain { 0 => Number(number), 1 => Word(word), 2 => Flag(flag), 3 => Part(id), 4 => Seat(id, way) });

impl From<&Value> for Plain {
    fn from(value: &Value) -> Plain {
        match value {
            Value::Number(number) => Plain::Number(*number),
            Value::Word(word) => Plain::Word((*word).to_owned()),
            Value::Flag(flag) => Plain::Flag(*flag),
            Value::Part(id) => Plain::Part(id.clone()),
            Value::Seat(id, way) => Plain::Seat(id.clone(), *way),
        }
    }
}

/// The value as its kind has it; `None` when it is a word that its kind does not know.
fn of_kind(value: Plain, spec: &ValueSpec) -> Option<Value> {
    Some(match (value, spec.form) {
        (Plain::Word(word), Form::Word(words)) => Value::Word(words.iter().find(|one| **one == word)?),
        (Plain::Word(_), _) => return None,
        (Plain::Number(number), _) => Value::Number(number),
        (Plain::Flag(flag), _) => Value::Flag(flag),
        (Plain::Part(id), _) => Value::Part(id),
        (Plain::Seat(id, way), _) => Value::Seat(id, way),
    })
}
