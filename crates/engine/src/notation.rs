//! A short text form of a network, for tests.
//!
//! One line a thing; what follows `#` is a remark:
//!
//! ```text
//! battery G1 open_circuit_v=12.6
//! lamp E1 watts=55 status=existing
//! wire w1 G1.+ E1.1 mm2=2.5 m=3 insulation=B surroundings=engine_bay bundle=4 sleeve=conduit
//! place l1 surroundings=engine_bay
//! route r1 l1 l2 m=1.5 kind=over_a_hinge slack=0.2
//! ```
//!
//! A part's or wire's id is also its label, unless `label=` says otherwise. An underscore stands for a space in words,
//! and `5..7.5` for a number of which only the range is known.

use std::sync::Arc;

use crate::document::wire::COLOR_LETTERS;
use crate::document::{
    Color, Insulation, Network, Part, Plan, Route, RouteKind, Size, Status, Strands, Surroundings, Use,
    VehiclePlace, Wire,
};
use crate::given::Given;
use crate::ids::{PartId, PlaceId, RouteId, TerminalRef, WireId};
use crate::kind::{self, Form, Kind, Value, Values};
use crate::quantity::{Metres, SquareMillimetres};

/// Reads a network; the error names the line.
pub fn network(text: &str) -> Result<Arc<Network>, String> {
    laid(text).map(|(network, _)| network)
}

/// Reads a network and the plan that it is led along; the error names the line.
pub fn laid(text: &str) -> Result<(Arc<Network>, Arc<Plan>), String> {
    let mut network = Network { next_id: 1, ..Network::default() };
    let mut plan = Plan::default();
    for (number, line) in text.lines().enumerate() {
        let line = line.split('#').next().unwrap_or("").trim();
        if !line.is_empty() {
            statement(&mut network, &mut plan, line)
                .map_err(|error| format!("line {}: {error}", number + 1))?;
        }
    }
    Ok((Arc::new(network), Arc::new(plan)))
}

fn statement(network: &mut Network, plan: &mut Plan, line: &str) -> Result<(), String> {
    let mut words = line.split_whitespace();
    let what = words.next().ok_or("nothing")?;
    let id = words.next().ok_or("no id")?;
    if what == "wire" {
        network.wires.push(wire(id, words)?);
    } else if what == "place" {
        plan.places.push(place(id, words)?);
    } else if what == "route" {
        plan.routes.push(route(id, words)?);
    } else {
        let kind = kind::by_name(what).ok_or_else(|| format!("no kind `{what}`"))?;
        let mut part = Part::new(PartId::new(id).ok_or("bad id")?, kind, id.to_owned());
        for word in words {
            let (key, text) = word.split_once('=').ok_or_else(|| format!("no value in `{word}`"))?;
            match key {
                "status" => part.status = status(text)?,
                "label" => part.label = text.replace('_', " "),
                "surroundings" => part.surroundings = Some(surroundings(text)?),
                "place" => part.place = Some(PlaceId::new(text).ok_or("bad id")?),
                _ => value(&mut part.values, kind, key, text)?,
            }
        }
        network.parts.push(part);
    }
    Ok(())
}

fn place<'a>(id: &str, words: impl Iterator<Item = &'a str>) -> Result<VehiclePlace, String> {
    let mut place = VehiclePlace::new(PlaceId::new(id).ok_or("bad id")?, 0, 0);
    for entry in words {
        let (key, text) = entry.split_once('=').ok_or_else(|| format!("no value in `{entry}`"))?;
        match key {
            "name" => place.name = text.replace('_', " "),
            "surroundings" => place.surroundings = Some(surroundings(text)?),
            "ambient_c" => {
                place.surroundings = Some(Surroundings::Ambient(text.parse().map_err(|_| "bad number")?));
            }
            "wet" => place.wet = Some(text == "yes"),
            "moving" => place.moving = text == "yes",
            "passing" => place.passing = text == "yes",
            "end" => place.end = Some(metres(text)?),
            _ => return Err(format!("a place has no value `{key}`")),
        }
    }
    Ok(place)
}

fn route<'a>(id: &str, mut words: impl Iterator<Item = &'a str>) -> Result<Route, String> {
    let mut end = || words.next().and_then(PlaceId::new).ok_or("a route needs two places");
    let (from, to) = (end()?, end()?);
    let mut route = Route::new(RouteId::new(id).ok_or("bad id")?, from, to);
    for entry in words {
        let (key, text) = entry.split_once('=').ok_or_else(|| format!("no value in `{entry}`"))?;
        match key {
            "m" => route.length = Given::Known(metres(text)?),
            "kind" => route.kind = one_of(&RouteKind::WORDS, text)?,
            "surroundings" => route.surroundings = Some(surroundings(text)?),
            "sleeve" => route.sleeve = Some(text.replace('_', " ")),
            "grommet" => route.grommet = Some(text == "yes"),
            "slack" => route.slack = Some(metres(text)?),
            _ => return Err(format!("a route has no value `{key}`")),
        }
    }
    Ok(route)
}

fn metres(text: &str) -> Result<Metres, String> {
    text.parse().ok().and_then(Metres::new).ok_or_else(|| format!("`{text}` is no length"))
}

fn one_of<T: Copy>(words: &[(T, &str)], text: &str) -> Result<T, String> {
    let spaced = text.replace('_', " ");
    let found = words.iter().find(|(_, word)| *word == spaced);
    found.map(|(meant, _)| *meant).ok_or_else(|| format!("no word `{text}`"))
}

fn color(text: &str) -> Result<Color, String> {
    let letters = |text: &str| {
        let found = COLOR_LETTERS.iter().find(|(letters, _)| *letters == text);
        found.map(|(letters, _)| *letters).ok_or_else(|| format!("no color `{text}`"))
    };
    let (base, stripe) = match text.split_once('-') {
        Some((base, stripe)) => (base, Some(letters(stripe)?)),
        None => (text, None),
    };
    Ok(Color { base: letters(base)?, stripe })
}

fn surroundings(text: &str) -> Result<Surroundings, String> {
    let spaced = text.replace('_', " ");
    let found = Surroundings::WORDS.iter().find(|(_, word)| *word == spaced);
    found.map(|(place, _)| *place).ok_or_else(|| format!("no surroundings `{text}`"))
}

fn status(text: &str) -> Result<Status, String> {
    let found = Status::WORDS.iter().find(|(_, word)| *word == text);
    found.map(|(status, _)| *status).ok_or_else(|| format!("no status `{text}`"))
}

fn value(values: &mut Values, kind: &'static Kind, key: &str, text: &str) -> Result<(), String> {
    let spec = kind.value(key).ok_or_else(|| format!("`{}` has no value `{key}`", kind.name))?;
    let number = |text: &str| text.parse::<f64>().map_err(|_| format!("`{text}` is no number"));
    if let (Form::Number { .. }, Some((low, high))) = (spec.form, text.split_once("..")) {
        values.set(spec.name, Given::Between(Value::Number(number(low)?), Value::Number(number(high)?)));
        return Ok(());
    }
    let value = match spec.form {
        Form::Number { .. } | Form::Count { .. } => Value::Number(number(text)?),
        Form::Word(words) => {
            let spaced = text.replace('_', " ");
            Value::Word(
                words.iter().find(|word| **word == spaced).ok_or_else(|| format!("no word `{text}`"))?,
            )
        }
        Form::Flag => Value::Flag(text == "yes"),
        Form::Part => Value::Part(PartId::new(text).ok_or("bad id")?),
        Form::Seat => {
            let (part, way) = text.split_once(':').ok_or("a seat is box:way")?;
            Value::Seat(PartId::new(part).ok_or("bad id")?, way.parse().map_err(|_| "bad way")?)
        }
    };
    values.set(spec.name, Given::Known(value));
    Ok(())
}

fn wire<'a>(id: &str, mut words: impl Iterator<Item = &'a str>) -> Result<Wire, String> {
    let mut end = || words.next().and_then(TerminalRef::parse).ok_or("a wire needs two terminals");
    let (from, to) = (end()?, end()?);
    let mut wire = Wire::new(WireId::new(id).ok_or("bad id")?, from, to);
    wire.label = id.to_owned();
    for word in words {
        let (key, text) = word.split_once('=').ok_or_else(|| format!("no value in `{word}`"))?;
        let number = || text.parse::<f64>().map_err(|_| format!("`{text}` is no number"));
        let spaced = text.replace('_', " ");
        match key {
            "status" => wire.status = status(text)?,
            "mm2" => {
                wire.size = Given::Known(Size::Metric(SquareMillimetres::new(number()?).ok_or("bad size")?));
            }
            "awg" => wire.size = Given::Known(Size::Gauge(text.parse().map_err(|_| "bad gauge")?)),
            "m" => wire.length = Given::Known(Metres::new(number()?).ok_or("bad length")?),
            "insulation" => wire.insulation = text.chars().next().map(Insulation::Class),
            "rated_c" => wire.insulation = Some(Insulation::Rated(number()?)),
            "surroundings" => wire.surroundings = Some(surroundings(text)?),
            "ambient_c" => wire.surroundings = Some(Surroundings::Ambient(number()?)),
            "bundle" => wire.bundle = Some(text.parse().map_err(|_| "bad bundle")?),
            "sleeve" => wire.sleeve = Some(spaced),
            "grommet" => wire.grommet = Some(text == "yes"),
            "colour" => wire.color = Some(color(text)?),
            "label" => wire.label = spaced,
            "strands" => wire.strands = Some(one_of(&Strands::WORDS, text)?),
            "via" => wire.via = text.split(',').filter_map(PlaceId::new).collect(),
            "keep_apart" => wire.keep_apart = text == "yes",
            "use" => wire.used_for = Some(Use::StarterCable),
            _ => return Err(format!("a wire has no value `{key}`")),
        }
    }
    Ok(wire)
}
