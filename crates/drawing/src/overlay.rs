//! Readings and marks of findings, laid over a scene without touching it.
//!
//! Every mark is a plain shape with its word, so that it is understood in black and white: Stop is
//! a filled square in a dark field, Look a triangle, Note a circle.

use std::collections::BTreeMap;

use engine::answer::Answer;
use engine::document::{Network, Status};
use engine::finding::{Finding, Severity};
use engine::ids::{PartId, TerminalRef, WireId};
use engine::kind::Class;
use engine::subject::Subject;

use crate::draw::{middle_of_longest, nearest_point, rooms};
use crate::geometry::{Point, Rect, STEP};
use crate::label::{Ground, Owner};
use crate::scene::{Anchor, Element, ElementId, Layer, Lettering, Role, Scene, Shape};
use crate::text::{HEIGHT, bold, clean, descent, width};

/// What is laid over a drawing.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Overlay {
    /// The situation the readings belong to.
    pub situation: Option<String>,
    /// Readings, already in words.
    pub readings: Readings,
    /// Findings, the worst first.
    pub findings: Vec<FindingMark>,
    /// Whether findings are wanted and the checks have not told any yet: then that none is marked means nothing, and the
    /// sheet says so.
    pub unchecked: bool,
}

impl Overlay {
    /// The marks of these findings, in their order, and no readings.
    pub fn of_findings(findings: &[Finding]) -> Overlay {
        let mark =
            |finding: &Finding| FindingMark { subject: finding.subject.clone(), severity: finding.severity };
        Overlay {
            situation: None,
            readings: Readings::default(),
            findings: findings.iter().map(mark).collect(),
            unchecked: false,
        }
    }

    /// The same with the readings of `answer`, which belong to the situation of this name.
    pub fn with_readings(self, situation: &str, network: &Network, answer: &Answer) -> Overlay {
        let readings = Readings::of(network, answer);
        Overlay { situation: Some(situation.to_owned()), readings, ..self }
    }
}

/// Readings in words (`3.2 A`, `on, 4.5 A`), by what they were read at.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct Readings {
    /// Of wires.
    pub wires: BTreeMap<WireId, String>,
    /// Of parts.
    pub parts: BTreeMap<PartId, String>,
    /// Of terminals.
    pub terminals: BTreeMap<TerminalRef, String>,
}

impl Readings {
    /// Those of `answer` that are worth a mark: the amperes of every wire that carries some, what every load and source
    /// that works does and at how many amperes, and the position of everything else that is not at rest. What rests on
    /// an assumption of its own carries the mark `≈`.
    pub fn of(network: &Network, answer: &Answer) -> Readings {
        /// Less than this is not worth a mark, in amperes.
        const WORTH_TELLING: f64 = 0.001;
        let flows = |flow: Option<f64>| flow.is_some_and(|amps| amps.abs() >= WORTH_TELLING);
        let marked =
            |assumed: bool, text: &str| if assumed { format!("≈ {text}") } else { text.to_owned() };
        let mut readings = Readings::default();
        for wire in &answer.wires {
            if let Some(amps) = wire.amps.as_ref().filter(|_| flows(wire.flow)) {
                readings.wires.insert(wire.id.clone(), marked(wire.assumed, amps));
            }
        }
        for part in &answer.parts {
            let (Some(one), Some(state)) = (network.part(&part.id), &part.state) else { continue };
            // A donor is the vehicle's own lamp, whose current would else be missing beside that of the battery.
            let uses_or_gives =
                matches!(one.kind.class, Class::Load | Class::Donor | Class::Battery | Class::Generator);
            let at_rest = matches!(state.as_str(), "off" | "idle")
                || one.positions().first().is_some_and(|first| first == state);
            // What rests, and what only lets current through, would hide the drawing and tell nothing that the wires
            // beside it do not.
            let words = match (uses_or_gives && flows(part.words.flow), &part.words.amps) {
                (true, Some(amps)) => format!("{state}, {amps}"),
                _ if at_rest => continue,
                _ => state.clone(),
            };
            readings.parts.insert(part.id.clone(), marked(part.assumed, &words));
        }
        readings
    }
}

/// Where a finding points, and how grave it is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FindingMark {
    /// What it is about.
    pub subject: Subject,
    /// How grave it is.
    pub severity: Severity,
}

/// Height of a mark and of its shape.
const MARK: i32 = 450;

/// Free space within a mark.
const PAD: i32 = 80;

/// The marks of `overlay` on `scene`, each on free ground near its subject with a line to it.
/// What points at nothing drawn is left out. Findings are numbered from 1 in their order.
pub fn marks(scene: &Scene, overlay: &Overlay) -> Vec<Element> {
    marks_within(scene, overlay, Rect::new(-FAR, -FAR, FAR, FAR))
}

/// The same with all marks within `bounds`, such as the field of a sheet.
pub fn marks_within(scene: &Scene, overlay: &Overlay, bounds: Rect) -> Vec<Element> {
    if *overlay == Overlay::default() {
        return Vec::new();
    }
    let mut table = Table::new(scene, bounds);
    let mut elements = Vec::new();
    for (number, finding) in (1..).zip(&overlay.findings) {
        let text = format!("{} {number}", finding.severity.word());
        let wide = PAD + MARK / 2 + PAD + bold(width(&text, HEIGHT)) + PAD;
        let Some((place, leader)) = table.put(&table.feet_of(scene, &finding.subject), wide) else {
            continue;
        };
        let mut element = Element::new(ElementId::Finding(number), Layer::Marks, Status::New);
        element.title = format!("{} {number}: {}", finding.severity.word(), finding.subject);
        element.shapes.push(leader);
        element.shapes.extend(badge(finding.severity, place, text));
        elements.push(element);
    }
    let readings = (overlay.readings.wires.iter().map(|(id, text)| (Subject::Wire(id.clone()), text)))
        .chain(overlay.readings.parts.iter().map(|(id, text)| (Subject::Part(id.clone()), text)))
        .chain(overlay.readings.terminals.iter().map(|(id, text)| (Subject::Terminal(id.clone()), text)));
    for (subject, text) in readings {
        let text = clean(text);
        let wide = width(&text, HEIGHT) + 2 * PAD;
        let Some((place, leader)) = table.put(&table.feet_of(scene, &subject), wide) else { continue };
        let mut element = Element::new(ElementId::Reading(subject.id()), Layer::Marks, Status::New);
        element.title = text.clone();
        element.shapes.push(leader);
        element.shapes.push(card(Role::Card, place));
        element.shapes.push(word(text, place.left + PAD, place, Role::Lettering));
        elements.push(element);
    }
    elements
}

/// The points of `subject` on the drawing, those a mark best leads to first.
fn feet_of(scene: &Scene, subject: &Subject) -> Vec<Point> {
    let found = scene.elements().iter().find_map(|element| match (subject, &element.id) {
        (Subject::Part(part), ElementId::Symbol(of, ..)) if part == of => {
            let Rect { left, top, right, bottom } = element.bounds()?;
            let middle = element.bounds()?.center();
            Some(vec![
                Point::new(right, middle.y),
                Point::new(left, middle.y),
                Point::new(middle.x, bottom),
                Point::new(middle.x, top),
            ])
        }
        (Subject::Terminal(terminal) | Subject::Net(terminal), ElementId::Symbol(..)) => {
            let contact = element.contacts.iter().find(|contact| contact.terminal == *terminal)?;
            contact.points.first().map(|point| vec![*point])
        }
        (Subject::Wire(wire), ElementId::Wire(of)) if wire == of => match element.shapes.first() {
            Some(Shape::Line(_, points)) => Some(feet_on(points)),
            _ => None,
        },
        _ => None,
    });
    found.unwrap_or_default()
}

/// The middle of the longest leg of a wire, then places on both sides of it: the name of the wire
/// mostly stands at its middle.
fn feet_on(points: &[Point]) -> Vec<Point> {
    let middle = middle_of_longest(points);
    let leg =
        points.windows(2).find(|leg| Rect::new(leg[0].x, leg[0].y, leg[1].x, leg[1].y).center() == middle);
    let aside = leg.into_iter().flatten().flat_map(|end| {
        let share =
            |n: i32| Point::new(middle.x + (end.x - middle.x) * n / 4, middle.y + (end.y - middle.y) * n / 4);
        [share(1), share(2), share(3)]
    });
    std::iter::once(middle).chain(aside).collect()
}

/// Further than any drawing reaches.
const FAR: i32 = i32::MAX / 4;

/// What marks are laid on: the ground that is taken, and what lines to marks may not run through.
struct Table<'s> {
    ground: Ground,
    /// The legs of all wires, each with some room around it.
    legs: Vec<(&'s WireId, Rect)>,
    /// Lettering of the drawing, and marks.
    words: Vec<Rect>,
    /// The lines to marks.
    leaders: Vec<[Point; 2]>,
    /// Where marks may stand.
    bounds: Rect,
}

impl<'s> Table<'s> {
    fn new(scene: &'s Scene, bounds: Rect) -> Table<'s> {
        let mut table = Table {
            ground: Ground::default(),
            legs: Vec::new(),
            words: Vec::new(),
            leaders: Vec::new(),
            bounds,
        };
        for element in scene.elements() {
            if let (ElementId::Wire(wire), Some(Shape::Line(_, points))) =
                (&element.id, element.shapes.first())
            {
                let legs = points.windows(2).map(|leg| Rect::new(leg[0].x, leg[0].y, leg[1].x, leg[1].y));
                table.legs.extend(legs.map(|leg| (wire, leg.grown(STEP / 2))));
            }
        }
        for shape in scene.elements().iter().flat_map(|element| &element.shapes) {
            for room in rooms(shape) {
                table.ground.take(room, Owner::Fixed);
            }
            if matches!(shape, Shape::Text(_)) {
                table.words.push(shape.bounds());
            }
        }
        table
    }

    /// The points that a mark about `subject` may lead to, the best first; none when it is not drawn.
    fn feet_of(&self, scene: &Scene, subject: &Subject) -> Vec<Point> {
        let feet = feet_of(scene, subject);
        let Subject::Wire(wire) = subject else { return feet };
        // Where another wire runs, nobody could tell which of the two is meant.
        let is_plain = |foot: &Point| {
            let here = Rect::new(foot.x, foot.y, foot.x, foot.y);
            !self.legs.iter().any(|(of, leg)| *of != wire && leg.holds(&here))
        };
        let plain: Vec<Point> = feet.iter().copied().filter(is_plain).collect();
        if plain.is_empty() { feet } else { plain }
    }

    /// Takes a place for a mark `wide` wide that leads to one of `feet`; returns it with the line to
    /// it, or nothing without a foot.
    ///
    /// It is the nearest free place whose line runs through no word and no mark, and through which no
    /// line to another mark runs; failing that, the free place nearest to the first foot.
    fn put(&mut self, feet: &[Point], wide: i32) -> Option<(Rect, Shape)> {
        let first = *feet.first()?;
        let mut around = (1..CLEAR_WITHIN).flat_map(|ring| feet.iter().map(move |foot| (ring, *foot)));
        let clear = around.find_map(|(ring, foot)| {
            let place = places(foot, ring, wide)
                .into_iter()
                .find(|place| self.is_free(place) && self.is_clear(foot, place))?;
            Some((place, foot))
        });
        let free = || {
            let mut all = (1..FARTHEST).flat_map(|ring| places(first, ring, wide));
            all.find(|place| self.is_free(place)).map(|place| (place, first))
        };
        let anywhere = || (inside(places(first, 1, wide)[0], &self.bounds), first);
        let (place, foot) = clear.or_else(free).unwrap_or_else(anywhere);
        let leader = [foot, nearest_point(&place, foot)];
        self.ground.take(place, Owner::Fixed);
        self.words.push(place);
        self.leaders.push(leader);
        Some((place, Shape::Line(Role::Leader, leader.to_vec())))
    }

    fn is_free(&self, place: &Rect) -> bool {
        self.bounds.holds(place) && self.ground.is_free(&place.grown(20))
    }

    fn is_clear(&self, foot: Point, place: &Rect) -> bool {
        let leader = [foot, nearest_point(place, foot)];
        !self.words.iter().any(|word| runs_through(leader, word))
            && !self.leaders.iter().any(|other| runs_through(*other, place))
    }
}

/// `place` moved by as little as brings it within `bounds`.
fn inside(place: Rect, bounds: &Rect) -> Rect {
    let by = |low: i32, high: i32, least: i32, most: i32| (least - low).max(0) + (most - high).min(0);
    let dx = by(place.left, place.right, bounds.left, bounds.right);
    let dy = by(place.top, place.bottom, bounds.top, bounds.bottom);
    place.moved(dx, dy)
}

/// How far from its foot a mark may stand, in half steps.
const FARTHEST: i32 = 60;

/// How far a mark may go, in half steps, to keep its line off words: further away it is no longer
/// seen what it belongs to.
const CLEAR_WITHIN: i32 = 24;

/// The places around a foot at some distance from it.
fn places(foot: Point, ring: i32, wide: i32) -> [Rect; 8] {
    let at = |x: i32, y: i32| Rect::new(x, y, x + wide, y + MARK);
    let far = ring * STEP / 2;
    let (left, right) = (foot.x - far - wide, foot.x + far);
    let (above, below) = (foot.y - far - MARK, foot.y + far);
    let (middle_x, middle_y) = (foot.x - wide / 2, foot.y - MARK / 2);
    [
        at(right, above),
        at(left, above),
        at(right, below),
        at(left, below),
        at(right, middle_y),
        at(left, middle_y),
        at(middle_x, above),
        at(middle_x, below),
    ]
}

/// Whether a line runs through a rectangle, or touches it.
fn runs_through([from, to]: [Point; 2], rect: &Rect) -> bool {
    let around = Rect::new(from.x, from.y, to.x, to.y);
    if !around.meets(rect) {
        return false;
    }
    let (dx, dy) = (i64::from(to.x) - i64::from(from.x), i64::from(to.y) - i64::from(from.y));
    let side = |x: i32, y: i32| {
        (dx * (i64::from(y) - i64::from(from.y)) - dy * (i64::from(x) - i64::from(from.x))).signum()
    };
    let Rect { left, top, right, bottom } = *rect;
    let sides = [side(left, top), side(right, top), side(left, bottom), side(right, bottom)];
    // It passes by when all corners lie on one side of it.
    !(sides.iter().all(|side| *side > 0) || sides.iter().all(|side| *side < 0))
}

fn card(role: Role, place: Rect) -> Shape {
    let Rect { left, top, right, bottom } = place;
    Shape::Area(
        role,
        vec![
            Point::new(left, top),
            Point::new(right, top),
            Point::new(right, bottom),
            Point::new(left, bottom),
        ],
    )
}

fn word(text: String, x: i32, place: Rect, role: Role) -> Shape {
    let y = place.center().y + HEIGHT / 2 - descent(HEIGHT) / 8;
    Shape::Text(Lettering {
        text,
        at: Point::new(x, y),
        anchor: Anchor::Start,
        height: HEIGHT,
        upright: false,
        role,
    })
}

/// The field, shape and word of a finding.
fn badge(severity: Severity, place: Rect, text: String) -> Vec<Shape> {
    let half = MARK / 4;
    let center = Point::new(place.left + PAD + half, place.center().y);
    let square = Rect::new(center.x, center.y, center.x, center.y).grown(half);
    let (field, sign, lettering) = match severity {
        Severity::Stop => (Role::MarkSolid, card(Role::Card, square), Role::Reversed),
        Severity::Look => {
            let points = vec![
                center.moved(0, -half),
                center.moved(half + half / 5, half),
                center.moved(-half - half / 5, half),
            ];
            (Role::Card, Shape::Area(Role::Outline, points), Role::Lettering)
        }
        Severity::Note => (Role::Card, Shape::Circle(Role::Outline, center, half), Role::Lettering),
    };
    vec![card(field, place), sign, word(text, center.x + half + PAD, place, lettering)]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scene::Weight;

    #[test]
    fn marks_that_point_at_nothing_are_left_out() {
        let overlay = Overlay {
            situation: None,
            findings: vec![FindingMark {
                subject: Subject::Part(PartId::new("p9").unwrap()),
                severity: Severity::Stop,
            }],
            ..Overlay::default()
        };
        assert_eq!(marks(&Scene::default(), &overlay), []);
    }

    #[test]
    fn a_line_runs_through_what_it_crosses_and_not_through_what_it_passes() {
        let rect = Rect::new(100, 100, 300, 200);
        let runs = |from: (i32, i32), to: (i32, i32)| {
            runs_through([Point::new(from.0, from.1), Point::new(to.0, to.1)], &rect)
        };
        assert!(runs((0, 0), (400, 300)) && runs((200, 0), (200, 150)) && runs((300, 0), (300, 400)));
        assert!(!runs((0, 0), (400, 50)) && !runs((0, 150), (90, 150)) && !runs((0, 120), (120, 0)));
    }

    #[test]
    fn the_line_to_a_mark_ends_where_no_other_wire_crosses() {
        let wire = |name: &str, points: Vec<Point>| {
            let mut line =
                Element::new(ElementId::Wire(WireId::new(name).unwrap()), Layer::Wires, Status::New);
            line.shapes.push(Shape::Line(Role::Wire(Weight::Medium), points));
            line
        };
        let across = wire("w2", vec![Point::new(3000, -2000), Point::new(3000, 2000)]);
        let scene = Scene::new(vec![wire("w1", vec![Point::new(0, 0), Point::new(6000, 0)]), across]);
        let mut overlay = Overlay::default();
        overlay.readings.wires.insert(WireId::new("w1").unwrap(), "3 A".to_owned());
        let marks = marks(&scene, &overlay);
        let Some(Shape::Line(Role::Leader, leader)) = marks[0].shapes.first() else { panic!("{marks:?}") };
        assert!((leader[0].x - 3000).abs() > STEP / 2 && leader[0].y == 0, "{leader:?}");
    }

    #[test]
    fn the_line_to_a_mark_keeps_off_the_name_of_its_wire() {
        let wire = WireId::new("w1").unwrap();
        let mut line = Element::new(ElementId::Wire(wire.clone()), Layer::Wires, Status::New);
        line.shapes
            .push(Shape::Line(Role::Wire(Weight::Medium), vec![Point::new(0, 0), Point::new(6000, 0)]));
        // Names all along, above and below, but for a gap at three quarters of the way.
        let mut name = Element::new(ElementId::WireText(wire.clone()), Layer::Text, Status::New);
        for (x, y) in [(0, -100), (2400, -100), (0, 400), (2400, 400), (4900, -100), (4900, 400)] {
            name.shapes.push(word("wwwwwwwwww".to_owned(), x, Rect::new(x, y - 200, x, y), Role::Lettering));
        }
        let scene = Scene::new(vec![line, name.clone()]);
        let readings = Readings { wires: [(wire, "3.2 A".to_owned())].into(), ..Readings::default() };
        let marks = marks(&scene, &Overlay { readings, ..Overlay::default() });
        let Shape::Line(_, points) = &marks[0].shapes[0] else { panic!("a line leads to the mark") };
        for name in &name.shapes {
            assert!(!runs_through([points[0], points[1]], &name.bounds()), "{points:?} {:?}", name.bounds());
        }
    }

    #[test]
    fn several_marks_on_one_wire_stand_apart() {
        let wire = WireId::new("w1").unwrap();
        let mut element = Element::new(ElementId::Wire(wire.clone()), Layer::Wires, Status::New);
        element
            .shapes
            .push(Shape::Line(Role::Wire(Weight::Medium), vec![Point::new(0, 0), Point::new(0, 5000)]));
        let scene = Scene::new(vec![element]);
        let mark = |severity| FindingMark { subject: Subject::Wire(wire.clone()), severity };
        let overlay = Overlay {
            situation: None,
            findings: vec![mark(Severity::Stop), mark(Severity::Look), mark(Severity::Note)],
            readings: Readings { wires: [(wire.clone(), "3.2 A".to_owned())].into(), ..Readings::default() },
            unchecked: false,
        };
        let marks = marks(&scene, &overlay);
        assert_eq!(marks.len(), 4);
        let places: Vec<Rect> = marks.iter().map(|mark| mark.shapes[1].bounds()).collect();
        for (i, a) in places.iter().enumerate() {
            assert!(places[..i].iter().all(|b| !a.overlaps(b)), "{places:?}");
        }
    }
}
