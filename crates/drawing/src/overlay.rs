//! Readings and marks of findings, laid over a scene without touching it.
//!
//! Every mark is a plain shape with its word, so that it is understood in black and white: Stop is
//! a filled square in a dark field, Look a triangle, Note a circle.

use std::collections::BTreeMap;

use engine::document::Status;
use engine::finding::{Finding, Severity};
use engine::ids::{PartId, TerminalRef, WireId};
use engine::reading;
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
        }
    }

    /// The same with readings: amperes on wires that carry some, and the state of every part that
    /// has one, with its power when it takes some. `situation` is the name of the situation they belong to.
    pub fn with_readings(mut self, situation: &str, readings: &reading::Readings) -> Overlay {
        self.situation = Some(situation.to_owned());
        /// Less than this is not worth a mark, in amperes and in watts.
        const WORTH_TELLING: f64 = 0.001;
        for (id, flow) in &readings.wires {
            if let Some(amps) = flow.amps.filter(|amps| amps.get().abs() >= WORTH_TELLING) {
                self.readings.wires.insert(id.clone(), amps.to_string());
            }
        }
        for (id, part) in &readings.parts {
            let watts = part.flow.watts.filter(|watts| watts.get() >= WORTH_TELLING);
            let words: Vec<String> =
                part.state.map(str::to_owned).into_iter().chain(watts.map(|w| w.to_string())).collect();
            if part.state.is_some() {
                self.readings.parts.insert(id.clone(), words.join(", "));
            }
        }
        self
    }
}

/// Readings in words (`3.2 A`, `on, 54 W`), by what they were read at.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct Readings {
    /// Of wires.
    pub wires: BTreeMap<WireId, String>,
    /// Of parts.
    pub parts: BTreeMap<PartId, String>,
    /// Of terminals.
    pub terminals: BTreeMap<TerminalRef, String>,
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
    if *overlay == Overlay::default() {
        return Vec::new();
    }
    let mut ground = Ground::default();
    for element in scene.elements() {
        for room in element.shapes.iter().flat_map(rooms) {
            ground.take(room, Owner::Fixed);
        }
    }
    let mut elements = Vec::new();
    for (number, finding) in (1..).zip(&overlay.findings) {
        let Some(foot) = foot_of(scene, &finding.subject) else { continue };
        let text = format!("{} {number}", finding.severity.word());
        let wide = PAD + MARK / 2 + PAD + bold(width(&text, HEIGHT)) + PAD;
        let (place, leader) = free_place(&mut ground, foot, wide);
        let mut element = Element::new(ElementId::Finding(number), Layer::Marks, Status::New);
        element.title = format!("{} {number}: {}", finding.severity.word(), finding.subject);
        element.shapes.extend(leader);
        element.shapes.extend(badge(finding.severity, place, text));
        elements.push(element);
    }
    let readings = (overlay.readings.wires.iter().map(|(id, text)| (Subject::Wire(id.clone()), text)))
        .chain(overlay.readings.parts.iter().map(|(id, text)| (Subject::Part(id.clone()), text)))
        .chain(overlay.readings.terminals.iter().map(|(id, text)| (Subject::Terminal(id.clone()), text)));
    for (subject, text) in readings {
        let Some(foot) = foot_of(scene, &subject) else { continue };
        let text = clean(text);
        let (place, leader) = free_place(&mut ground, foot, width(&text, HEIGHT) + 2 * PAD);
        let mut element = Element::new(ElementId::Reading(subject.id()), Layer::Marks, Status::New);
        element.title = text.clone();
        element.shapes.extend(leader);
        element.shapes.push(card(Role::Card, place));
        element.shapes.push(word(text, place.left + PAD, place, Role::Lettering));
        elements.push(element);
    }
    elements
}

/// The point that a mark about `subject` leads to.
fn foot_of(scene: &Scene, subject: &Subject) -> Option<Point> {
    scene.elements().iter().find_map(|element| match (subject, &element.id) {
        (Subject::Part(part), ElementId::Symbol(of, ..)) if part == of => {
            element.bounds().map(|bounds| Point::new(bounds.right, bounds.center().y))
        }
        (Subject::Terminal(terminal) | Subject::Net(terminal), ElementId::Symbol(..)) => {
            let contact = element.contacts.iter().find(|contact| contact.terminal == *terminal)?;
            contact.points.first().copied()
        }
        (Subject::Wire(wire), ElementId::Wire(of)) if wire == of => match element.shapes.first() {
            Some(Shape::Line(_, points)) => Some(middle_of_longest(points)),
            _ => None,
        },
        _ => None,
    })
}

/// The free ground nearest to `foot` for a mark `wide` wide, which is taken, and the line to it.
fn free_place(ground: &mut Ground, foot: Point, wide: i32) -> (Rect, Option<Shape>) {
    const FARTHEST: i32 = 60;
    let at = |x: i32, y: i32| Rect::new(x, y, x + wide, y + MARK);
    let places = (1..FARTHEST).flat_map(|ring| {
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
    });
    let mut places = places.peekable();
    let first = places.peek().copied().unwrap_or(at(foot.x, foot.y));
    let place = places.find(|place| ground.is_free(&place.grown(20))).unwrap_or(first);
    ground.take(place, Owner::Fixed);
    (place, Some(Shape::Line(Role::Leader, vec![foot, nearest_point(&place, foot)])))
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
    fn several_marks_on_one_wire_stand_apart() {
        let wire = WireId::new("w1").unwrap();
        let mut element = Element::new(ElementId::Wire(wire.clone()), Layer::Wires, Status::New);
        element.shapes.push(Shape::Line(Role::PowerWire, vec![Point::new(0, 0), Point::new(0, 5000)]));
        let scene = Scene::new(vec![element]);
        let mark = |severity| FindingMark { subject: Subject::Wire(wire.clone()), severity };
        let overlay = Overlay {
            situation: None,
            findings: vec![mark(Severity::Stop), mark(Severity::Look), mark(Severity::Note)],
            readings: Readings { wires: [(wire.clone(), "3.2 A".to_owned())].into(), ..Readings::default() },
        };
        let marks = marks(&scene, &overlay);
        assert_eq!(marks.len(), 4);
        let places: Vec<Rect> = marks.iter().map(|mark| mark.shapes[1].bounds()).collect();
        for (i, a) in places.iter().enumerate() {
            assert!(places[..i].iter().all(|b| !a.overlaps(b)), "{places:?}");
        }
    }
}
