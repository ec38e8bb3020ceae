//! The vehicle plan as a picture: an outline of the vehicle, places, the routes between them, and what sits where.
//!
//! One unit of the picture is a centimetre on the vehicle. Lettering, marks and places have a size of their own, so that
//! they can be read at whatever size the picture is shown; what there is no room for is left out.
//! It stands alone; in the app, classes and `data-` attributes tell what is what.

mod lines;
mod outline;
mod paper;
mod room;

use engine::arrange::sort_by_key;
use engine::document::{Network, Part, Plan, RouteKind, VehiclePlace};
use engine::ids::{PlaceId, RouteId};
use svg::node::Node;
use svg::node::Text as TextNode;
use svg::node::element::Element as Tag;

use crate::geometry::{Point, Rect};
use crate::svg::number;
use crate::text::{clean, cut, font_size, line_pitch};
use lines::Way;
use room::{Label, Room};

pub use lines::{length_words, letters};
pub use paper::{PlanOnPaper, plan_shapes};

/// A centimetre on the vehicle in the units that are reckoned in.
const CM: i32 = 100;
/// Ink of routes, places and lettering.
const INK: &str = "#16202a";
/// The paper.
const PAPER: &str = "#fffefb";
/// What a wire leads along.
const LIT: &str = "#8fdccb";
/// What is chosen.
const CHOSEN: &str = "#f0b429";
/// The fonts asked for; the widths of the first are those the drawing reckons with.
const FONTS: &str = "'Liberation Sans', Arimo, Helvetica, Arial, sans-serif";
/// How far lettering may stand beside the vehicle, in heights of capitals.
const SIDE: i32 = 5;
/// Covered however much: it has to be said.
const EVERY_PERCENT: i64 = 100_000;
/// Most designations that stand beside a place.
const MOST_PARTS: usize = 3;
/// What is shown of a plan without outline, places and routes, in centimetres.
const EMPTY_CM: (i32, i32) = (600, 200);

/// Something on a plan that can be chosen.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Spot {
    /// A place.
    Place(PlaceId),
    /// A route.
    Route(RouteId),
}

/// How a plan is shown.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PlanOptions {
    /// Height of capitals, in hundredths of a centimetre on the vehicle.
    pub lettering: i32,
    /// Whether it is worked on: then places and routes are there for screen readers and keys too.
    pub is_live: bool,
    /// Routes that are shown as the way of a wire.
    pub lit_routes: Vec<RouteId>,
    /// Places that are shown as where it begins, ends and passes.
    pub lit_places: Vec<PlaceId>,
    /// What is chosen.
    pub chosen: Option<Spot>,
}

impl Default for PlanOptions {
    /// As it is printed: a van then fills a sheet A4 and has capitals of 2.5 mm.
    fn default() -> PlanOptions {
        PlanOptions {
            lettering: 6 * CM,
            is_live: false,
            lit_routes: Vec::new(),
            lit_places: Vec::new(),
            chosen: None,
        }
    }
}

/// Every kind of route with its letters and its words, for a legend.
pub fn legend() -> Vec<(&'static str, &'static str)> {
    RouteKind::WORDS.iter().map(|(kind, words)| (letters(*kind), *words)).collect()
}

/// The picture of a plan and of the parts of `network` that sit on it.
pub fn plan_picture(plan: &Plan, network: &Network, options: &PlanOptions) -> String {
    let h = options.lettering.max(1);
    let vehicle = vehicle_box(plan);
    // At the sides of the vehicle there is little room; above and below there is enough.
    let beside = vehicle.grown(SIDE * h);
    let mut room = Room::new(h, beside.moved(0, -99 * h).joined(beside.moved(0, 99 * h)));
    let points: Vec<Point> = plan.places.iter().map(point).collect();
    for point in &points {
        room.take(Rect::new(point.x, point.y, point.x, point.y).grown(h * 8 / 10));
    }
    let ways = ways(plan, h);
    for way in ways.iter().flatten() {
        room.take(lines::mark_room(way, h));
        lines::line_room(way, h).for_each(|piece| room.spare(piece));
    }
    // Names come first, and of them those of places where something sits; lengths stand where they leave room.
    let mut order: Vec<usize> = (0..plan.places.len()).collect();
    sort_by_key(&mut order, |place| weight(&plan.places[*place], network));
    let mut labels: Vec<Option<Label>> = plan.places.iter().map(|_| None).collect();
    for place in order {
        labels[place] = place_label(&plan.places[place], points[place], network, options, &mut room);
    }
    let tags = plan.places.iter().zip(&points).zip(&labels);
    let places = group(
        "places",
        tags.map(|((place, at), label)| place_tag(place, *at, label.as_ref(), network, options)),
    );
    let routes =
        (0..).zip(&ways).filter_map(|(n, way)| route_tag(plan, n, way.as_ref()?, options, &mut room));
    let routes = group("routes", routes);
    let mut root = Tag::new("svg");
    root.assign("xmlns", "http://www.w3.org/2000/svg");
    let below = Rect::new(vehicle.left, vehicle.bottom, vehicle.right, vehicle.bottom + 5 * h);
    let shown = vehicle.joined(below).joined(room.bounds().unwrap_or(vehicle)).grown(2 * h);
    root.assign("viewBox", corner_and_size(shown));
    root.assign("class", "plan-picture");
    root.assign("data-box", corner_and_size(vehicle));
    root.assign("font-family", FONTS);
    root.assign("font-size", number(font_size(h)));
    root.assign("fill", "none");
    root.assign("role", if options.is_live { "group" } else { "img" });
    root.assign("aria-label", "Vehicle plan, front to the left");
    if let Some(outline) = &plan.outline {
        root.append(outline::tag(outline));
    }
    root.append(routes);
    root.append(places);
    root.append(scale(vehicle, h));
    root.to_string()
}

/// The vehicle and everything on it, without lettering.
fn vehicle_box(plan: &Plan) -> Rect {
    let outline = plan.outline.as_ref().map(|outline| {
        let (length, width) = outline::size(outline);
        Rect::new(0, 0, length, width)
    });
    let places = Rect::around(plan.places.iter().map(point));
    let empty = Rect::new(0, 0, EMPTY_CM.0 * CM, EMPTY_CM.1 * CM);
    outline.into_iter().chain(places).reduce(Rect::joined).unwrap_or(empty)
}

fn corner_and_size(rect: Rect) -> String {
    [rect.left, rect.top, rect.width(), rect.height()].map(number).join(" ")
}

/// Metres as hundredths of a centimetre.
fn lineal(metres: f64) -> i32 {
    (metres * 100.0 * f64::from(CM)) as i32
}

fn point(place: &VehiclePlace) -> Point {
    Point::new(place.x_cm * CM, place.y_cm * CM)
}

/// Where each route lies; one whose places are not both there lies nowhere.
fn ways(plan: &Plan, h: i32) -> Vec<Option<Way>> {
    let mut ways = Vec::new();
    for (n, route) in plan.routes.iter().enumerate() {
        let ends = plan.place(&route.from).zip(plan.place(&route.to));
        let same = |other: &&engine::document::Route| other.beyond(&route.from) == Some(&route.to);
        let n_before = plan.routes[..n].iter().filter(same).count();
        // The second bends to one side, the third to the other.
        let aside = i32::try_from(n_before.div_ceil(2)).unwrap_or(0) * 2 * h;
        let aside = if n_before % 2 == 0 { -aside } else { aside };
        ways.push(ends.map(|(from, to)| Way::new(point(from), point(to), aside)));
    }
    ways
}

fn group(class: &str, children: impl Iterator<Item = Tag>) -> Tag {
    let mut group = Tag::new("g");
    group.assign("class", class);
    for child in children {
        group.append(child);
    }
    group
}

/// A group for something that can be chosen, called `name`.
fn spot(sort: &str, id: &str, name: &str, is_lit: bool, is_chosen: bool, options: &PlanOptions) -> Tag {
    let mut tag = Tag::new("g");
    let mut class = sort.to_owned();
    for (word, holds) in [(" lit", is_lit), (" chosen", is_chosen)] {
        class.push_str(if holds { word } else { "" });
    }
    tag.assign("class", class);
    tag.assign(format!("data-{sort}"), id);
    if options.is_live {
        tag.assign("id", format!("plan-{sort}-{id}"));
        tag.assign("role", "button");
        tag.assign("tabindex", "-1");
        tag.assign("aria-label", clean(name));
        tag.assign("aria-pressed", if is_chosen { "true" } else { "false" });
    } else {
        let mut title = Tag::new("title");
        title.append(TextNode::new(clean(name)));
        tag.append(title);
    }
    tag
}

/// What sits at a place by itself: what has a seat is in its fuse box.
fn parts_at<'n>(network: &'n Network, place: &VehiclePlace) -> Vec<&'n Part> {
    network.parts.iter().filter(|part| part.place.as_ref() == Some(&place.id)).collect()
}

/// How late the name of a place is put: where nothing sits it matters less, and where nothing can sit least.
fn weight(place: &VehiclePlace, network: &Network) -> u8 {
    match (place.passing, parts_at(network, place).is_empty()) {
        (true, _) => 2,
        (false, true) => 1,
        (false, false) => 0,
    }
}

/// The name of a place and what sits there, where there is room for it; for what is chosen or lit there always is.
fn place_label(
    place: &VehiclePlace,
    at: Point,
    network: &Network,
    options: &PlanOptions,
    room: &mut Room,
) -> Option<Label> {
    let h = options.lettering.max(1);
    let parts = parts_at(network, place);
    let is_wanted =
        options.chosen == Some(Spot::Place(place.id.clone())) || options.lit_places.contains(&place.id);
    let percent = if is_wanted { EVERY_PERCENT } else { 0 };
    // A place without a name only has one where routes were begun in a hurry; an id says nothing to anybody.
    let name = (!place.name.is_empty()).then(|| cut(&clean(&place.name), h, 18 * h));
    let sits = (!parts.is_empty()).then(|| designations(&parts));
    let whole: Vec<String> = name.iter().chain(&sits).cloned().collect();
    let put = room.put(whole, name.is_some(), at, h * 3 / 2, percent);
    // What sits there is shorter than the name, and asked for more often.
    put.or_else(|| room.put(sits.into_iter().collect(), false, at, h * 3 / 2, percent))
}

fn place_tag(
    place: &VehiclePlace,
    at: Point,
    label: Option<&Label>,
    network: &Network,
    options: &PlanOptions,
) -> Tag {
    let h = options.lettering.max(1);
    let parts = parts_at(network, place);
    let mut said = vec![format!("place {}", place.title())];
    if !parts.is_empty() {
        said.push(parts.iter().map(|part| part.title()).collect::<Vec<_>>().join(" "));
    }
    said.extend(
        [(place.passing, "routes meet"), (place.moving, "moves")]
            .iter()
            .filter(|(is, _)| *is)
            .map(|(_, word)| (*word).to_owned()),
    );
    let is_chosen = options.chosen == Some(Spot::Place(place.id.clone()));
    let is_lit = options.lit_places.contains(&place.id);
    let mut tag = spot("place", place.id.as_str(), &said.join(", "), is_lit, is_chosen, options);
    for (name, value) in [("data-x", place.x_cm), ("data-y", place.y_cm)] {
        tag.assign(name, value);
    }
    let circle = |class: &str, radius: i32, fill: &str, stroke: &str, width: i32| {
        let mut circle = Tag::new("circle");
        circle.assign("class", class);
        circle.assign("cx", number(at.x));
        circle.assign("cy", number(at.y));
        circle.assign("r", number(radius));
        circle.assign("fill", fill);
        circle.assign("stroke", stroke);
        circle.assign("stroke-width", number(width));
        circle
    };
    tag.append(circle(
        "glow",
        h * 13 / 10,
        if is_lit { LIT } else { "none" },
        if is_chosen { CHOSEN } else { "none" },
        h / 2,
    ));
    if place.moving {
        let mut ring = circle("moving", h * 95 / 100, "none", INK, h / 6);
        ring.assign("stroke-dasharray", format!("{} {}", number(h / 3), number(h / 4)));
        tag.append(ring);
    }
    let dot = if place.passing {
        circle("dot", h * 4 / 10, PAPER, INK, h / 5)
    } else {
        circle("dot", h * 6 / 10, INK, PAPER, h / 8)
    };
    tag.append(dot);
    if let Some(label) = label {
        tag.append(label_tag(label, h));
    }
    tag
}

/// The first few designations, and how many more there are.
fn designations(parts: &[&Part]) -> String {
    let shown: Vec<String> = parts.iter().take(MOST_PARTS).map(|part| clean(part.title())).collect();
    let more = parts.len().saturating_sub(MOST_PARTS);
    let more = if more > 0 { format!(" +{more}") } else { String::new() };
    format!("{}{more}", shown.join(" "))
}

fn route_tag(plan: &Plan, n: usize, way: &Way, options: &PlanOptions, room: &mut Room) -> Option<Tag> {
    let h = options.lettering.max(1);
    let route = plan.routes.get(n)?;
    let length = length_words(plan, route);
    let kind = RouteKind::WORDS.iter().find(|(kind, _)| *kind == route.kind).map_or("", |(_, words)| *words);
    let name = format!("route {}, {kind}, {length}", plan.route_title(route));
    let is_chosen = options.chosen == Some(Spot::Route(route.id.clone()));
    let is_lit = options.lit_routes.contains(&route.id);
    let mut tag = spot("route", route.id.as_str(), &name, is_lit, is_chosen, options);
    tag.assign("data-from", route.from.as_str());
    tag.assign("data-to", route.to.as_str());
    lines::draw(&mut tag, way, route, h, is_lit);
    let words = vec![format!("{} {length}", letters(route.kind))];
    if let Some(label) =
        room.put(words, false, way.middle, h * 6 / 5, if is_chosen { EVERY_PERCENT } else { 0 })
    {
        tag.append(label_tag(&label, h));
    }
    Some(tag)
}

/// Lettering on a border of paper, which keeps it clear of lines below it.
fn label_tag(label: &Label, h: i32) -> Tag {
    let mut words = Tag::new("g");
    words.assign("class", "words");
    for (n, line) in (0..).zip(&label.lines) {
        let mut text = Tag::new("text");
        text.assign("x", number(label.at.x));
        text.assign("y", number(label.at.y + n * line_pitch(h)));
        text.assign("fill", INK);
        text.assign("stroke", PAPER);
        text.assign("stroke-width", number(h / 3));
        text.assign("stroke-linejoin", "round");
        text.assign("paint-order", "stroke");
        if n == 0 && label.is_bold {
            text.assign("font-weight", "bold");
        }
        text.append(TextNode::new(line.clone()));
        words.append(text);
    }
    words
}

/// A metre, below the vehicle, and where its front is.
fn scale(vehicle: Rect, h: i32) -> Tag {
    let mut scale = Tag::new("g");
    scale.assign("class", "scale");
    let (x, y) = (vehicle.left, vehicle.bottom + 4 * h);
    let mut bar = Tag::new("path");
    let [left, right, top, middle, bottom] = [x, x + 100 * CM, y - h / 2, y, y + h / 2].map(number);
    bar.assign("d", format!("M{left} {top}V{bottom}M{left} {middle}H{right}M{right} {top}V{bottom}"));
    bar.assign("stroke", INK);
    bar.assign("stroke-width", number(h / 6));
    scale.append(bar);
    let label = Label {
        lines: vec!["1 m · ← front".to_owned()],
        is_bold: false,
        at: Point::new(x + 100 * CM + h, y + h / 2),
    };
    scale.append(label_tag(&label, h));
    scale
}
