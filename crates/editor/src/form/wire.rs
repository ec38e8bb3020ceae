//! The form of a wire.

use engine::document::wire::{BUNDLE, CLASSES, COLOR_LETTERS, GAUGES, LENGTH_M, METRIC_SIZES};
use engine::document::{Color, Insulation, Joint, Plan, Size, Strands, Surroundings, Use, Wire};
use engine::given::Given;
use engine::ids::PlaceId;
use engine::quantity::{Metres, SquareMillimetres, by_hand};

use super::part::{status_choices, status_of, status_word};
use super::{Field, free_text, length, number, number_text, or_unknown, plain_choices};

/// The fields of a wire, those asked for most often first.
pub fn wire_fields(plan: &Plan, wire: &Wire) -> Vec<Field> {
    let (base, stripe) = match wire.color {
        Some(color) => (color.base, color.stripe.unwrap_or_default()),
        None => ("", ""),
    };
    let no_stripe = |mut choices: Vec<(String, String)>| {
        choices.insert(0, (String::new(), "none".to_owned()));
        choices
    };
    let joint = |joint: &Option<Joint>| joint.as_ref().map_or_else(String::new, |joint| joint.by.clone());
    let bundle = wire.bundle.map_or_else(String::new, |n| n.to_string());
    let mut fields = vec![
        Field::choice("size", "Size", or_unknown(sizes(wire.size)), size_text(wire.size)),
        Field::number("length_m", "Length, one way", vec!["m"], number_text(wire.length.map(Metres::get)))
            .assuming("1 m for readings".to_owned()),
        Field::choice("base", "Colour", or_unknown(colors()), base.to_owned()),
        Field::choice("stripe", "Stripe", no_stripe(colors()), stripe.to_owned()),
        Field::text("label", "Label", &wire.label),
        Field::choice(
            "surroundings",
            "Where it runs",
            or_unknown(places(wire.surroundings)),
            place_text(wire.surroundings),
        ),
        Field::choice("insulation", "Insulation", or_unknown(classes(wire)), class_text(wire)),
        Field::number("bundle", "Loaded wires in its bundle, itself included", vec![""], bundle)
            .assuming("1, by itself".to_owned()),
        Field::text("sleeve", "Sleeved in", wire.sleeve.as_deref().unwrap_or_default())
            .assuming("none".to_owned()),
        Field::choice("grommet", "Grommet where it passes sheet metal", grommets(), grommet_text(wire)),
        Field::text("joint_from", "Joined at its start by", &joint(&wire.joint_from)),
        Field::text("joint_to", "Joined at its end by", &joint(&wire.joint_to)),
        Field::choice("use", "Use", uses(), use_text(wire)),
        Field::choice("strands", "Strands", or_unknown(strands()), strands_text(wire)),
        Field::choice("keep_apart", "Keep apart from wires with a load", no_yes(), yes_text(wire.keep_apart)),
        Field::choice("status", "In this job", status_choices(), status_word(wire.status)),
    ];
    if !plan.places.is_empty() {
        let via = Field::text("via", "By way of these places", &via_text(plan, wire));
        fields.insert(2, via.assuming("the shortest way".to_owned()));
    }
    fields
}

/// The places a wire is led by: their names, or the id where a name would not be read as this place.
fn via_text(plan: &Plan, wire: &Wire) -> String {
    let title = |id: &PlaceId| {
        let title = plan.place(id).map_or(id.as_str(), |place| place.title());
        let is_it = !title.contains(',') && matches!(plan.places_called(title)[..], [one] if one.id == *id);
        if is_it { title.to_owned() } else { id.to_string() }
    };
    wire.via.iter().map(title).collect::<Vec<_>>().join(", ")
}

fn via_of(plan: &Plan, text: &str) -> Result<Vec<PlaceId>, String> {
    let names = text.split(',').map(str::trim).filter(|name| !name.is_empty());
    names
        .map(|name| match plan.places_called(name)[..] {
            [place] => Ok(place.id.clone()),
            [] => Err(format!("there is no place “{name}” on the vehicle plan")),
            _ => Err(format!("several places are called “{name}”")),
        })
        .collect()
}

fn strands() -> Vec<(String, String)> {
    let shown = ["solid", "stranded", "flexible", "highly flexible"];
    let both = Strands::WORDS.iter().zip(shown);
    both.map(|((_, word), shown)| ((*word).to_owned(), format!("{word}, {shown}"))).collect()
}

fn strands_text(wire: &Wire) -> String {
    let found = Strands::WORDS.iter().find(|(strands, _)| Some(*strands) == wire.strands);
    found.map_or("", |(_, word)| word).to_owned()
}

fn no_yes() -> Vec<(String, String)> {
    [("", "no"), ("yes", "yes")].map(|(a, b)| (a.to_owned(), b.to_owned())).into()
}

fn yes_text(flag: bool) -> String {
    if flag { "yes" } else { "" }.to_owned()
}

fn size_text(size: Given<Size>) -> String {
    match size {
        Given::Known(size) => size.title(),
        Given::Between(low, high) => format!("{} to {}", low.title(), high.title()),
        Given::NotKnown => String::new(),
    }
}

/// Every size there is; a range from the file stays to be chosen again.
fn sizes(now: Given<Size>) -> Vec<(String, String)> {
    let same = |text: String| (text.clone(), text);
    let metric = METRIC_SIZES.iter().filter_map(|mm2| SquareMillimetres::new(*mm2)).map(Size::Metric);
    let all = metric.chain(GAUGES.iter().copied().map(Size::Gauge));
    let mut choices: Vec<_> = all.map(|size| (size.title(), by_hand(&size.title()))).collect();
    let text = size_text(now);
    if now.is_said() && choices.iter().all(|(stored, _)| *stored != text) {
        choices.insert(0, same(text));
    }
    choices
}

fn size_of(text: &str, now: Given<Size>) -> Result<Given<Size>, String> {
    if text.is_empty() {
        return Ok(Given::NotKnown);
    }
    if text == size_text(now) {
        return Ok(now);
    }
    let metric = METRIC_SIZES.iter().filter_map(|mm2| SquareMillimetres::new(*mm2)).map(Size::Metric);
    let found = metric.chain(GAUGES.iter().copied().map(Size::Gauge)).find(|size| size.title() == text);
    found.map(Given::Known).ok_or_else(|| format!("“{text}” is no size that is sold"))
}

fn colors() -> Vec<(String, String)> {
    COLOR_LETTERS.iter().map(|(letters, name)| ((*letters).to_owned(), format!("{letters} {name}"))).collect()
}

fn letters_of(text: &str) -> Result<Option<&'static str>, String> {
    if text.is_empty() {
        return Ok(None);
    }
    let found = COLOR_LETTERS.iter().find(|(letters, _)| *letters == text);
    found.map(|(letters, _)| Some(*letters)).ok_or_else(|| format!("“{text}” is no colour of IEC 60757"))
}

pub(super) fn place_text(surroundings: Option<Surroundings>) -> String {
    match surroundings {
        Some(Surroundings::Ambient(celsius)) => format!("{celsius} degC"),
        Some(place) => {
            let found = Surroundings::WORDS.iter().find(|(one, _)| *one == place);
            found.map_or("", |(_, word)| word).to_owned()
        }
        None => String::new(),
    }
}

/// The place that `text` chooses, of those offered where `now` is the present one.
pub(super) fn place_of(text: &str, now: Option<Surroundings>) -> Result<Option<Surroundings>, String> {
    let by_word = Surroundings::WORDS.iter().find(|(_, word)| *word == text).map(|(place, _)| *place);
    match by_word {
        Some(place) => Ok(Some(place)),
        None if text.is_empty() => Ok(None),
        None if text == place_text(now) => Ok(now),
        None => Err(format!("“{text}” is none of the choices")),
    }
}

/// The places there are to run or sit in; a temperature from the file stays to be chosen again.
pub(super) fn places(now: Option<Surroundings>) -> Vec<(String, String)> {
    let mut choices = plain_choices(Surroundings::WORDS.map(|(_, word)| word));
    if let Some(Surroundings::Ambient(celsius)) = now {
        choices.push((place_text(now), format!("at {celsius} °C")));
    }
    choices
}

fn class_text(wire: &Wire) -> String {
    match wire.insulation {
        Some(Insulation::Class(letter)) => letter.to_string(),
        Some(Insulation::Rated(celsius)) => format!("{celsius} degC"),
        None => String::new(),
    }
}

fn classes(wire: &Wire) -> Vec<(String, String)> {
    let class = |(letter, limit): &(char, f64)| (letter.to_string(), format!("class {letter} ({limit} °C)"));
    let mut choices: Vec<_> = CLASSES.iter().map(class).collect();
    if let Some(Insulation::Rated(celsius)) = wire.insulation {
        choices.push((class_text(wire), format!("marked {celsius} °C")));
    }
    choices
}

fn grommets() -> Vec<(String, String)> {
    [("", "not known"), ("yes", "yes"), ("no", "no")].map(|(a, b)| (a.to_owned(), b.to_owned())).into()
}

fn grommet_text(wire: &Wire) -> String {
    wire.grommet.map_or("", |there| if there { "yes" } else { "no" }).to_owned()
}

const STARTER_CABLE: &str = "starter cable";

fn uses() -> Vec<(String, String)> {
    [("", "ordinary wire"), (STARTER_CABLE, "cable of the cranking motor, without a fuse")]
        .map(|(a, b)| (a.to_owned(), b.to_owned()))
        .into()
}

fn use_text(wire: &Wire) -> String {
    wire.used_for.map_or("", |Use::StarterCable| STARTER_CABLE).to_owned()
}

/// `wire` after `text` was entered into its field `name`; why not, when the text is refused.
pub fn changed_wire(plan: &Plan, wire: &Wire, name: &str, text: &str) -> Result<Wire, String> {
    let mut changed = wire.clone();
    let text = text.trim();
    match name {
        "label" => changed.label = free_text(text)?,
        "status" => changed.status = status_of(text)?,
        "size" => changed.size = size_of(text, wire.size)?,
        "length_m" => {
            changed.length = length(text)?;
            let (least, most) = LENGTH_M;
            let is_within = |m: Metres| (least..=most).contains(&m.get());
            let is_possible = match changed.length {
                Given::Known(m) => is_within(m),
                Given::Between(low, high) => is_within(low) && is_within(high),
                Given::NotKnown => true,
            };
            if !is_possible {
                return Err(format!("“{text}” is out of range; a wire can be {least} to {most} m long"));
            }
        }
        "base" => {
            let stripe = wire.color.and_then(|color| color.stripe);
            changed.color = letters_of(text)?.map(|base| Color { base, stripe });
        }
        "stripe" => {
            let stripe = letters_of(text)?;
            changed.color = match wire.color {
                Some(color) => Some(Color { stripe, ..color }),
                None if stripe.is_none() => None,
                None => return Err("choose the colour before its stripe".to_owned()),
            };
        }
        "surroundings" => changed.surroundings = place_of(text, wire.surroundings)?,
        "insulation" => {
            let class = CLASSES.iter().find(|(letter, _)| letter.to_string() == text);
            changed.insulation = match class {
                Some((letter, _)) => Some(Insulation::Class(*letter)),
                None if text.is_empty() => None,
                None if text == class_text(wire) => wire.insulation,
                None => return Err(format!("“{text}” is none of the choices")),
            };
        }
        "bundle" => {
            changed.bundle = match text {
                "" => None,
                text => {
                    let n = number(text)?;
                    let (least, most) = BUNDLE;
                    if n.fract() != 0.0 || !(f64::from(least)..=f64::from(most)).contains(&n) {
                        return Err(format!("“{text}” is not a whole number from {least} to {most}"));
                    }
                    Some(n as u32)
                }
            };
        }
        "sleeve" => changed.sleeve = Some(free_text(text)?).filter(|text| !text.is_empty()),
        "grommet" => {
            changed.grommet = match text {
                "yes" => Some(true),
                "no" => Some(false),
                _ => None,
            };
        }
        "joint_from" => changed.joint_from = joint(text, &wire.joint_from)?,
        "joint_to" => changed.joint_to = joint(text, &wire.joint_to)?,
        "via" => changed.via = via_of(plan, text)?,
        "strands" => {
            changed.strands = Strands::WORDS.iter().find(|(_, word)| *word == text).map(|(one, _)| *one)
        }
        "keep_apart" => changed.keep_apart = text == "yes",
        "use" => changed.used_for = (text == STARTER_CABLE).then_some(Use::StarterCable),
        _ => return Err(format!("a wire has no “{name}”")),
    }
    Ok(changed)
}

fn joint(text: &str, now: &Option<Joint>) -> Result<Option<Joint>, String> {
    let by = free_text(text)?;
    let stud_mm = now.as_ref().and_then(|joint| joint.stud_mm);
    Ok(Some(by).filter(|by| !by.is_empty()).map(|by| Joint { by, stud_mm }))
}

/// `wire` with what was said about the conductor of `other`: size, color, insulation, surroundings.
/// Its length and its label are its own.
pub fn same_as(wire: &Wire, other: &Wire) -> Wire {
    Wire {
        size: other.size,
        color: other.color,
        insulation: other.insulation,
        surroundings: other.surroundings,
        ..wire.clone()
    }
}

#[cfg(test)]
mod tests {
    use engine::document::Shape;
    use engine::document::plan::start;
    use engine::ids::{TerminalRef, WireId};

    use super::*;

    fn wire() -> Wire {
        let terminal = |text: &str| TerminalRef::parse(text).unwrap();
        Wire::new(WireId::new("w1").unwrap(), terminal("a.1"), terminal("b.1"))
    }

    #[test]
    fn every_field_reads_back_as_it_is_shown() {
        let plan = start(Shape::Van);
        let mut full = wire();
        for (name, text) in [
            ("size", "2.5 mm2"),
            ("length_m", "1 to 2"),
            ("base", "RD"),
            ("stripe", "WH"),
            ("surroundings", "engine bay"),
            ("insulation", "C"),
            ("bundle", "4"),
            ("sleeve", "split conduit"),
            ("grommet", "yes"),
            ("joint_to", "lug"),
            ("use", "starter cable"),
            ("status", "existing"),
            ("strands", "class 5"),
            ("keep_apart", "yes"),
            ("via", "bulkhead,dash"),
        ] {
            let changed = changed_wire(&plan, &full, name, text).unwrap();
            assert_ne!(changed, full, "{name}");
            full = changed;
        }
        full.insulation = Some(Insulation::Rated(105.0));
        full.surroundings = Some(Surroundings::Ambient(65.0));
        for wire in [wire(), full] {
            for field in wire_fields(&plan, &wire) {
                assert_eq!(
                    changed_wire(&plan, &wire, field.name, &field.text).as_ref(),
                    Ok(&wire),
                    "{}",
                    field.name
                );
            }
        }
    }

    #[test]
    fn what_is_shown_is_always_among_the_choices() {
        let mut wire = wire();
        wire.size = Given::Between(Size::Gauge(14), Size::Gauge(12));
        wire.insulation = Some(Insulation::Rated(105.0));
        for field in wire_fields(&Plan::default(), &wire) {
            if let super::super::Control::Choice(choices) = &field.control {
                assert!(choices.iter().any(|(stored, _)| *stored == field.text), "{}", field.name);
            }
        }
    }

    #[test]
    fn places_of_one_name_or_with_a_comma_go_by_their_ids() {
        let mut plan = start(Shape::Van);
        let ids: Vec<PlaceId> = plan.places.iter().take(3).map(|place| place.id.clone()).collect();
        plan.places[0].name = "corner".to_owned();
        plan.places[1].name = "corner".to_owned();
        plan.places[2].name = "left, low".to_owned();
        let led = Wire { via: ids.clone(), ..wire() };
        assert_eq!(via_text(&plan, &led), "l1, l2, l3");
        assert_eq!(changed_wire(&plan, &wire(), "via", "l1, l2, l3").unwrap().via, ids);
        assert!(changed_wire(&plan, &wire(), "via", "corner").is_err_and(|why| why.contains("several")));
    }

    #[test]
    fn the_way_is_asked_for_where_there_is_a_plan() {
        let asked = |plan: &Plan| wire_fields(plan, &wire()).iter().any(|field| field.name == "via");
        assert!(asked(&start(Shape::Car)) && !asked(&Plan::default()));
    }

    #[test]
    fn what_cannot_be_is_refused() {
        for (name, text) in [
            ("size", "2.6 mm2"),
            ("length_m", "long"),
            ("length_m", "1 to 1001"),
            ("base", "XX"),
            ("stripe", "WH"),
            ("bundle", "0"),
            ("bundle", "1.5"),
            ("status", "lost"),
            ("flux", "1"),
            ("via", "the moon"),
        ] {
            assert!(changed_wire(&start(Shape::Van), &wire(), name, text).is_err(), "{name} {text}");
        }
    }
}
