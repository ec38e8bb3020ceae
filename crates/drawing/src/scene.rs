//! The drawing as absolute shapes, keyed by what they stand for: roles, not colors.

use std::collections::BTreeMap;

use engine::arrange;
use engine::document::{Color, Status};
use engine::ids::{PartId, TerminalName, TerminalRef, WireId};

use crate::geometry::{Point, Rect};
use crate::text;

/// What an element stands for. The order is the order in which elements of one layer are drawn.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum ElementId {
    /// A wire.
    Wire(WireId),
    /// One symbol of a part: the part, the name of the view, and which of its repetitions.
    Symbol(PartId, &'static str, u32),
    /// Where several wires meet one terminal of a symbol.
    Stud(PartId, &'static str, u32, TerminalName),
    /// The name of a terminal, beside its lead.
    TerminalText(PartId, &'static str, u32, TerminalName),
    /// Designation and key values of a part, beside one of its symbols.
    PartText(PartId, &'static str, u32),
    /// The line from the coil of a relay to the contact it works.
    Link(PartId),
    /// Label, size and color letters of a wire.
    WireText(WireId),
    /// The reading of a wire, a part or a terminal.
    Reading(String),
    /// The mark of a finding, by its number.
    Finding(u32),
}

impl ElementId {
    /// A name that is unique within the drawing and fit to be an XML id.
    pub fn name(&self) -> String {
        // Terminal names hold `+` and `-`, which an XML id may not begin with but may hold only in
        // part, so those are written by their code.
        let safe = |name: &TerminalName| -> String {
            name.as_str()
                .chars()
                .map(|c| if c.is_ascii_alphanumeric() { c.to_string() } else { format!("x{:x}", c as u32) })
                .collect()
        };
        match self {
            ElementId::Wire(wire) => format!("wire.{wire}"),
            ElementId::Symbol(part, view, n) => format!("symbol.{part}.{view}.{n}"),
            ElementId::Stud(part, view, n, terminal) => format!("stud.{part}.{view}.{n}.{}", safe(terminal)),
            ElementId::TerminalText(part, view, n, terminal) => {
                format!("terminal.{part}.{view}.{n}.{}", safe(terminal))
            }
            ElementId::PartText(part, view, n) => format!("part.{part}.{view}.{n}"),
            ElementId::Link(part) => format!("link.{part}"),
            ElementId::WireText(wire) => format!("text.{wire}"),
            ElementId::Reading(of) => format!("reading.{of}"),
            ElementId::Finding(number) => format!("finding.{number}"),
        }
    }
}

/// What lies over what.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Layer {
    /// Wires, below everything.
    Wires,
    /// Symbols and where wires meet them.
    Symbols,
    /// Lettering.
    Text,
    /// Readings and marks of findings.
    Marks,
}

/// How a stroke or an area is meant; the writer decides what it looks like.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Role {
    /// The outline of a symbol.
    Outline,
    /// A filled part of a symbol.
    Solid,
    /// A dashed link or border of a symbol.
    Link,
    /// The cross over what is to be removed.
    Cross,
    /// The frame of the sheet.
    Frame,
    /// A thin line of the sheet, such as the borders of its fields.
    Field,
    /// Small print of the sheet.
    Caption,
    /// A thin line from a text to what it speaks of.
    Leader,
    /// A wire.
    Wire(Weight),
    /// The designation of a part.
    Designation,
    /// Any other lettering.
    Lettering,
    /// A letter that belongs to a symbol.
    Letter,
    /// Something that must hide what lies below it, then its own outline.
    Card,
    /// A mark of a finding, filled dark.
    MarkSolid,
    /// Lettering on a dark fill.
    Reversed,
}

/// How heavy the line of a wire is, by its size.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Weight {
    /// Signals, and what is not known.
    Light,
    /// Ordinary loads.
    Medium,
    /// Large loads and feeds.
    Heavy,
    /// Battery cables.
    Heaviest,
}

/// Where a text is held.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Anchor {
    /// Its start stands at the point.
    Start,
    /// Its middle stands at the point.
    Middle,
    /// Its end stands at the point.
    End,
}

/// One line of lettering.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Lettering {
    /// What it says, already fit to be drawn.
    pub text: String,
    /// The point on its baseline that `anchor` speaks of.
    pub at: Point,
    /// Where it is held.
    pub anchor: Anchor,
    /// Height of its capitals.
    pub height: i32,
    /// Whether it reads from below upwards.
    pub upright: bool,
    /// What it is.
    pub role: Role,
}

impl Lettering {
    /// How wide it is.
    pub fn width(&self) -> i32 {
        let plain = text::width(&self.text, self.height);
        match self.role {
            Role::Designation | Role::Reversed => text::bold(plain),
            _ => plain,
        }
    }

    /// The space it takes.
    pub fn bounds(&self) -> Rect {
        let width = self.width();
        let from = match self.anchor {
            Anchor::Start => 0,
            Anchor::Middle => -width / 2,
            Anchor::End => -width,
        };
        let below = text::descent(self.height);
        if self.upright {
            Rect::new(self.at.x - self.height, self.at.y - from, self.at.x + below, self.at.y - from - width)
        } else {
            Rect::new(self.at.x + from, self.at.y - self.height, self.at.x + from + width, self.at.y + below)
        }
    }
}

/// One shape, in absolute coordinates.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Shape {
    /// An open line through the points.
    Line(Role, Vec<Point>),
    /// A closed shape.
    Area(Role, Vec<Point>),
    /// A circle: center and radius.
    Circle(Role, Point, i32),
    /// A half circle from one point clockwise to the other.
    HalfCircle(Role, Point, Point),
    /// Lettering.
    Text(Lettering),
}

impl Shape {
    /// The same moved by `(dx, dy)`.
    pub fn moved(&self, dx: i32, dy: i32) -> Shape {
        let all = |points: &[Point]| points.iter().map(|point| point.moved(dx, dy)).collect();
        match self {
            Shape::Line(role, points) => Shape::Line(*role, all(points)),
            Shape::Area(role, points) => Shape::Area(*role, all(points)),
            Shape::Circle(role, center, radius) => Shape::Circle(*role, center.moved(dx, dy), *radius),
            Shape::HalfCircle(role, from, to) => {
                Shape::HalfCircle(*role, from.moved(dx, dy), to.moved(dx, dy))
            }
            Shape::Text(lettering) => {
                Shape::Text(Lettering { at: lettering.at.moved(dx, dy), ..lettering.clone() })
            }
        }
    }

    /// The space it takes; for a line without the width of its stroke.
    pub fn bounds(&self) -> Rect {
        match self {
            Shape::Line(_, points) | Shape::Area(_, points) => {
                Rect::around(points.iter().copied()).unwrap_or(Rect::new(0, 0, 0, 0))
            }
            Shape::Circle(_, center, radius) => {
                Rect::new(center.x, center.y, center.x, center.y).grown(*radius)
            }
            Shape::HalfCircle(_, from, to) => {
                // The bulge lies to the left of the way from one end to the other, turned clockwise.
                let middle = Point::new((from.x + to.x) / 2, (from.y + to.y) / 2);
                let (dx, dy) = ((to.x - from.x) / 2, (to.y - from.y) / 2);
                let top = Point::new(middle.x + dy, middle.y - dx);
                let corners = [*from, *to, top, from.moved(dy, -dx), to.moved(dy, -dx)];
                Rect::around(corners).unwrap_or(Rect::new(0, 0, 0, 0))
            }
            Shape::Text(lettering) => lettering.bounds(),
        }
    }
}

/// Where the wires of one terminal may meet a symbol.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Contact {
    /// The terminal.
    pub terminal: TerminalRef,
    /// The points; the first is the symbol's own, the others lie along a stud drawn on from it.
    pub points: Vec<Point>,
}

/// Everything drawn for one thing.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Element {
    /// What it stands for.
    pub id: ElementId,
    /// What it lies over.
    pub layer: Layer,
    /// There before, new, or to be removed.
    pub status: Status,
    /// Color of the insulation, for a wire.
    pub color: Option<Color>,
    /// What it is in words, for a tooltip and for those who listen.
    pub title: String,
    /// Its shapes, in the order they are drawn.
    pub shapes: Vec<Shape>,
    /// Where its terminals are met, for a symbol.
    pub contacts: Vec<Contact>,
    /// The space that no foreign wire may cross, for a symbol.
    pub body: Option<Rect>,
    /// Whether no clear path was found for this wire, so that it is drawn across other things.
    pub forced: bool,
}

impl Element {
    /// An element without shapes.
    pub fn new(id: ElementId, layer: Layer, status: Status) -> Element {
        Element {
            id,
            layer,
            status,
            color: None,
            title: String::new(),
            shapes: Vec::new(),
            contacts: Vec::new(),
            body: None,
            forced: false,
        }
    }

    /// The space its shapes take; `None` when it has none.
    pub fn bounds(&self) -> Option<Rect> {
        self.shapes.iter().map(Shape::bounds).reduce(Rect::joined)
    }
}

/// A whole drawing: its elements in the order they are drawn.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct Scene {
    elements: Vec<Element>,
}

impl Scene {
    /// The scene of these elements, whatever their order.
    pub fn new(mut elements: Vec<Element>) -> Scene {
        arrange::sort_by(&mut elements, |a, b| (a.layer, &a.id).cmp(&(b.layer, &b.id)));
        Scene { elements }
    }

    /// All elements in the order they are drawn.
    pub fn elements(&self) -> &[Element] {
        &self.elements
    }

    /// The element with this id.
    pub fn element(&self, id: &ElementId) -> Option<&Element> {
        self.elements.iter().find(|element| element.id == *id)
    }

    /// The space everything takes; `None` for an empty drawing.
    pub fn bounds(&self) -> Option<Rect> {
        self.elements.iter().filter_map(Element::bounds).reduce(Rect::joined)
    }
}

/// What became of one element between two scenes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Change {
    /// It is new; it comes after the element named, or first.
    Added(Element, Option<ElementId>),
    /// It looks different now.
    Changed(Element),
    /// It is gone.
    Removed(ElementId),
}

/// What turns `before` into `after`: removals first, then the rest in the order of `after`.
///
/// An element never changes its layer while it keeps its id, so order needs no change of its own.
pub fn diff(before: &Scene, after: &Scene) -> Vec<Change> {
    let old: BTreeMap<&ElementId, &Element> = arrange::map_of(before.elements.iter().map(|e| (&e.id, e)));
    let new: BTreeMap<&ElementId, &Element> = arrange::map_of(after.elements.iter().map(|e| (&e.id, e)));
    let mut changes: Vec<Change> = before
        .elements
        .iter()
        .filter(|element| !new.contains_key(&element.id))
        .map(|element| Change::Removed(element.id.clone()))
        .collect();
    let mut previous: Option<&ElementId> = None;
    for element in &after.elements {
        match old.get(&element.id) {
            None => changes.push(Change::Added(element.clone(), previous.cloned())),
            Some(was) if **was != *element => changes.push(Change::Changed(element.clone())),
            Some(_) => {}
        }
        previous = Some(&element.id);
    }
    changes
}

#[cfg(test)]
mod tests {
    use super::*;

    fn element(name: &str, x: i32) -> Element {
        let id = ElementId::Wire(WireId::new(name).unwrap());
        let mut element = Element::new(id, Layer::Wires, Status::New);
        element.shapes.push(Shape::Line(Role::Wire(Weight::Light), vec![Point::new(0, 0), Point::new(x, 0)]));
        element
    }

    /// Applies changes the way a view does, to prove that they suffice.
    fn applied(scene: &Scene, changes: &[Change]) -> Vec<Element> {
        let mut elements = scene.elements.clone();
        for change in changes {
            match change {
                Change::Removed(id) => elements.retain(|e| e.id != *id),
                Change::Changed(new) => {
                    let at = elements.iter().position(|e| e.id == new.id).unwrap();
                    elements[at] = new.clone();
                }
                Change::Added(new, after) => {
                    let at =
                        after.as_ref().map_or(0, |id| elements.iter().position(|e| e.id == *id).unwrap() + 1);
                    elements.insert(at, new.clone());
                }
            }
        }
        elements
    }

    #[test]
    fn the_difference_turns_one_scene_into_the_other() {
        let before = Scene::new(vec![element("a", 1), element("b", 2), element("d", 4)]);
        let after = Scene::new(vec![element("b", 9), element("c", 3), element("d", 4), element("0", 1)]);
        let changes = diff(&before, &after);
        assert_eq!(changes.len(), 4, "{changes:?}");
        assert_eq!(applied(&before, &changes), after.elements);
        assert_eq!(diff(&after, &after), []);
    }

    #[test]
    fn text_read_upwards_takes_space_upwards() {
        let mut lettering = Lettering {
            text: "00".to_owned(),
            at: Point::new(1000, 1000),
            anchor: Anchor::Start,
            height: 250,
            upright: false,
            role: Role::Lettering,
        };
        assert_eq!(lettering.bounds(), Rect::new(1000, 750, 1390, 1075));
        lettering.upright = true;
        assert_eq!(lettering.bounds(), Rect::new(750, 610, 1075, 1000));
    }

    #[test]
    fn a_half_circle_bulges_to_one_side_only() {
        // From left to right clockwise the bulge lies above, because y grows downwards.
        let shape = Shape::HalfCircle(Role::Outline, Point::new(-100, 0), Point::new(100, 0));
        assert_eq!(shape.bounds(), Rect::new(-100, -100, 100, 0));
    }

    #[test]
    fn element_names_are_fit_to_be_ids() {
        let part = PartId::new("p1").unwrap();
        let id = ElementId::Stud(part, "main", 0, TerminalName::new("B+"));
        assert_eq!(id.name(), "stud.p1.main.0.Bx2b");
    }
}
