//! What can be said of what is chosen on the plan.
//!
//! A field carries the words that take over what is filled in as soon as it is left.

use drawing::plan::{legend, length_words};
use engine::document::{Part, RouteKind, Shape, Surroundings, VehiclePlace, settings};
use engine::given::Given;
use engine::ids::{PlaceId, RouteId};
use engine::quantity::Metres;

use super::put::without_place;
use super::{length_text, lists, wires};
use crate::report::markup::Markup;
use crate::report::{Asked, in_full, plural};

/// A field for a text that is taken over by `words`; while it is empty it shows `assumed`.
fn field(page: &mut Markup, caption: &str, words: &str, value: &str, assumed: &str, unit: &str) {
    page.element("label", &[("class", "field")], |label| {
        label.line("span", "caption", caption);
        label.element("span", &[("class", "entry")], |entry| {
            let mut attributes = vec![
                ("type", "text"),
                ("dir", "auto"),
                ("autocomplete", "off"),
                ("maxlength", "200"),
                ("data-change", words),
                ("value", value),
                ("placeholder", assumed),
            ];
            if !unit.is_empty() {
                attributes.push(("inputmode", "decimal"));
            }
            entry.open("input", &attributes);
            if !unit.is_empty() {
                entry.element("span", &[("class", "unit")], |inside| inside.text(unit));
            }
        });
    });
}

fn choice(page: &mut Markup, caption: &str, words: &str, options: &[(&str, String)], chosen: &str) {
    page.element("label", &[("class", "field")], |label| {
        label.line("span", "caption", caption);
        label.element("select", &[("data-change", words)], |select| {
            for (value, title) in options {
                let mut attributes = vec![("value", *value)];
                if *value == chosen {
                    attributes.push(("selected", ""));
                }
                select.element("option", &attributes, |option| option.text(title));
            }
        });
    });
}

fn tick(page: &mut Markup, caption: &str, words: &str, is_ticked: bool) {
    page.element("label", &[("class", "tick"), ("dir", "auto")], |label| {
        let mut attributes = vec![("type", "checkbox"), ("data-change", words)];
        if is_ticked {
            attributes.push(("checked", ""));
        }
        label.open("input", &attributes);
        label.text(caption);
    });
}

fn yes_no(page: &mut Markup, caption: &str, words: &str, unsaid: &str, now: Option<bool>) {
    let options = [("", unsaid.to_owned()), ("yes", "yes".to_owned()), ("no", "no".to_owned())];
    let chosen = now.map_or("", |now| if now { "yes" } else { "no" });
    choice(page, caption, words, &options, chosen);
}

fn air(page: &mut Markup, words: &str, unsaid: &str, now: Option<Surroundings>) {
    let mut options = vec![("", unsaid.to_owned())];
    options.extend(Surroundings::WORDS.map(|(_, word)| (word, word.to_owned())));
    let mut chosen =
        Surroundings::WORDS.iter().find(|(air, _)| Some(*air) == now).map_or("", |(_, word)| word);
    if let Some(Surroundings::Ambient(celsius)) = now {
        options.push(("now", format!("at {celsius} °C")));
        chosen = "now";
    }
    choice(page, "What the air there is like", words, &options, chosen);
}

fn metres_text(metres: Option<Metres>) -> String {
    metres.map_or_else(String::new, |m| m.get().to_string())
}

/// The name of what is chosen, and the buttons that it always has.
fn head(page: &mut Markup, title: &str, delete: &str) {
    page.element("div", &[("class", "plan-head")], |head| {
        head.heading(title);
        head.button("Delete", delete);
        head.element("button", &[("type", "button"), ("data-done", "")], |button| button.text("Done"));
    });
}

/// The form of a place.
pub fn of_place(asked: &Asked<'_>, id: &PlaceId) -> String {
    let document = asked.document;
    let Some(place) = document.plan.place(id) else { return of_all(asked) };
    let words = |field: &str| format!("plan-place {id} {field}");
    let mut page = Markup::new();
    head(&mut page, &format!("Place {}", place.title()), &format!("plan-delete place {id}"));
    field(&mut page, "Name", &words("name"), &place.name, "", "");
    if !place.passing {
        parts(&mut page, asked, place);
    }
    page.element("div", &[("class", "form")], |page| {
        air(page, &words("surroundings"), "not known", place.surroundings);
        let unsaid = match place.surroundings.and_then(Surroundings::is_wet) {
            Some(true) => "yes, as its surroundings",
            Some(false) => "no, as its surroundings",
            None => "not known",
        };
        yes_no(page, "Whether it gets wet", &words("wet"), unsaid, place.wet);
        let assumed = format!("{} assumed", document.settings.number(&settings::END));
        let end = metres_text(place.end);
        field(page, "From here to a terminal", &words("end"), &end, &assumed, "m");
        let m = |cm: i32| (f64::from(cm) / 100.0).to_string();
        field(page, "Behind the front", &words("x"), &m(place.x_cm), "", "m");
        field(page, "From the left side", &words("y"), &m(place.y_cm), "", "m");
        tick(page, "It moves against the rest of the vehicle", &words("moving"), place.moving);
        tick(page, "Routes merely meet here", &words("passing"), place.passing);
    });
    page.done()
}

/// Parts to put at a place and to take away, by a tap on each.
fn parts(page: &mut Markup, asked: &Asked<'_>, place: &VehiclePlace) {
    let document = asked.document;
    let network = &document.network;
    let without = without_place(document);
    let sits = |part: &&Part| part.place.as_ref() == Some(&place.id);
    let free = |part: &&Part| without.contains(&part.id);
    let button = |page: &mut Markup, part: &Part, caption: &str, is_here: bool| {
        page.button_pressed(caption, &format!("plan-put {} {}", place.id, part.id), is_here);
    };
    page.line("p", "caption", "What sits here: a tap puts a part here or takes it away");
    page.element("div", &[("class", "plan-parts")], |page| {
        for part in network.parts.iter().filter(sits) {
            button(page, part, &in_full(part), true);
        }
        for part in network.parts.iter().filter(free) {
            button(page, part, &in_full(part), false);
        }
        if without.len() > 1 {
            page.button(
                &format!("All {} that sit nowhere", without.len()),
                &format!("plan-put {}", place.id),
            );
        }
    });
    let others: Vec<&Part> = network.parts.iter().filter(|part| !sits(part) && !free(part)).collect();
    if !others.is_empty() {
        page.element("details", &[], |details| {
            details.line("summary", "", &format!("{} at other places", plural(others.len() as u64, "part")));
            details.element("div", &[("class", "plan-parts")], |page| {
                for part in others {
                    let at = network.place_of(part).and_then(|id| document.plan.place(id));
                    let at = at.map_or_else(String::new, |place| format!(", now at {}", place.title()));
                    button(page, part, &format!("{}{at}", in_full(part)), false);
                }
            });
        });
    }
}

/// The form of a route.
pub fn of_route(asked: &Asked<'_>, id: &RouteId) -> String {
    let plan = &asked.document.plan;
    let found = plan.routes.iter().enumerate().find(|(_, route)| route.id == *id);
    let Some((index, route)) = found else { return of_all(asked) };
    let words = |field: &str| format!("plan-route {id} {field}");
    let mut page = Markup::new();
    head(&mut page, &format!("Route {}", plan.route_title(route)), &format!("plan-delete route {id}"));
    page.element("div", &[("class", "form")], |page| {
        let measured = match route.length {
            Given::NotKnown => {
                format!("{}, measured off the plan", length_words(plan, route).replace(" m", ""))
            }
            _ => String::new(),
        };
        field(page, "Length", &words("length"), &length_text(route.length), &measured, "m");
        let kinds: Vec<(&str, String)> =
            RouteKind::WORDS.iter().map(|(_, word)| (*word, (*word).to_owned())).collect();
        let kind = RouteKind::WORDS.iter().find(|(kind, _)| *kind == route.kind).map_or("", |(_, word)| word);
        choice(page, "What it leads along or through", &words("kind"), &kinds, kind);
        if route.kind == RouteKind::ThroughBulkhead || route.grommet.is_some() {
            yes_no(page, "Grommet in the hole", &words("grommet"), "not known", route.grommet);
        }
        let sleeve = route.sleeve.as_deref().unwrap_or_default();
        field(page, "Its wires are sleeved in", &words("sleeve"), sleeve, "nothing", "");
        field(page, "Loop left for movement", &words("slack"), &metres_text(route.slack), "not known", "m");
        air(page, &words("surroundings"), "as at the hotter of its places", route.surroundings);
        field(page, "Name", &words("name"), &route.name, "", "");
    });
    wires::in_route(&mut page, asked, index);
    page.done()
}

/// What is said while nothing is chosen: the vehicle, what is selected on the drawing, and the wires.
pub fn of_all(asked: &Asked<'_>) -> String {
    let document = asked.document;
    let plan = &document.plan;
    let mut page = Markup::new();
    if plan.is_empty() {
        begin(&mut page);
        return page.done();
    }
    wires::of_selection(&mut page, asked);
    let n_without = without_place(document).len() as u64;
    let todo = match (plan.places.len(), n_without) {
        (0, _) => "Press “Add places” and tap where parts sit.".to_owned(),
        (_, 0) => "Tap a place or a route to say more of it.".to_owned(),
        (_, 1) => "1 part sits nowhere yet. Tap a place to put it there.".to_owned(),
        (_, n) => format!("{n} parts sit nowhere yet. Tap a place to put them there."),
    };
    page.paragraph(&todo);
    if !document.network.wires.is_empty() {
        page.element("details", &[], |details| {
            details.line("summary", "", &format!("Wires and their ways ({})", document.network.wires.len()));
            wires::all(details, asked);
        });
        if !plan.routes.is_empty() {
            lists::on_screen(&mut page, asked);
        }
    }
    page.element("details", &[], |details| {
        details.line("summary", "", "The vehicle, and what the marks mean");
        details.element("div", &[("class", "form")], |page| {
            let mut shapes = vec![("", "no outline".to_owned())];
            shapes.extend(Shape::WORDS.map(|(_, word)| (word, word.to_owned())));
            let now = plan.outline;
            let shape = Shape::WORDS.iter().find(|(shape, _)| now.is_some_and(|now| now.shape == *shape));
            choice(
                page,
                "What it looks like",
                "plan-outline shape",
                &shapes,
                shape.map_or("", |(_, word)| word),
            );
            if let Some(now) = now {
                field(page, "Its length", "plan-outline length", &now.length.get().to_string(), "", "m");
                field(page, "Its width", "plan-outline width", &now.width.get().to_string(), "", "m");
            }
        });
        let letters: Vec<String> =
            legend().iter().map(|(letters, words)| format!("{letters} {words}")).collect();
        details.line(
            "p",
            "hint",
            &format!("{}. ≈ stands before a length that is only measured off the plan.", letters.join(" · ")),
        );
        details.element("div", &[("class", "row")], |row| {
            row.element("button", &[("type", "button"), ("data-middle", "")], |button| {
                button.text("Add a place in the middle");
            });
        });
    });
    page.done()
}

/// What an empty plan offers.
fn begin(page: &mut Markup) {
    page.heading("Begin the vehicle plan");
    page.paragraph("Say where parts sit and which way wires can take, and every wire gets its length.");
    page.element("div", &[("class", "plan-parts")], |row| {
        for (_, word) in Shape::WORDS {
            row.button(&format!("Begin with a {word}"), &format!("plan-start {word}"));
        }
        row.element("button", &[("type", "button"), ("data-tool", "place")], |button| {
            button.text("Begin empty")
        });
    });
    page.line(
        "p",
        "hint",
        "The plans to begin with have invented dimensions. Measure the vehicle and correct them.",
    );
}
