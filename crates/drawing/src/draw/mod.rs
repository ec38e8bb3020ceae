//! From parts, wires and poses to a scene. Reads no solution.

mod lettering;
mod links;

use std::sync::Arc;

use engine::document::{Network, Placement, Status};
use engine::ids::{TerminalName, TerminalRef};
use engine::kind::Join;
use engine::kind::glyph::{Mark, Side};

use crate::geometry::{Point, Rect, STEP, opposite};
use crate::label::{self, Ground, Owner};
use crate::layout::{End, Layout, lay_out};
use crate::route::{Memory, Path, Routes, route_with};
use crate::scene::{Anchor, Contact, Element, ElementId, Layer, Lettering, Role, Scene, Shape};
use crate::style;
use crate::symbol::{Symbol, in_sheet_units};
use crate::text::HEIGHT;
use crate::words::Words;

pub(crate) use lettering::{Texts, WireText, rooms_of_texts};

/// Height of a letter that belongs to a symbol (ISO 3098: 3.5 mm).
const LETTER_HEIGHT: i32 = 350;

/// Radius of the dot where three lines meet.
const DOT: i32 = 50;

/// Half the room a wire keeps from foreign lettering.
const WIRE_ROOM: i32 = 45;

/// The scene of a network, its symbols where `placement` puts them or else where they fit.
///
/// The same arguments give the same scene, on every target.
pub fn draw(network: &Network, placement: &Placement) -> Scene {
    draw_laid_out(network, &lay_out(network, placement))
}

/// The scene of a network whose symbols stand.
pub fn draw_laid_out(network: &Network, layout: &Layout) -> Scene {
    let drawing = Drawing::new(network, layout, Arc::new(Words::of(network)));
    let homes = drawing.first_homes(&[]);
    let routes = drawing.route(&homes, &mut Memory::default());
    drawing.finish(&routes, &homes, &Texts::default()).0
}

/// The smallest rectangle in whole steps around the inside of `rect`.
fn in_steps(rect: Rect) -> Rect {
    let ceil = |v: i32| -(-v).div_euclid(STEP);
    let (left, top) = (ceil(rect.left), ceil(rect.top));
    Rect {
        left,
        top,
        right: rect.right.div_euclid(STEP).max(left),
        bottom: rect.bottom.div_euclid(STEP).max(top),
    }
}

/// A network whose symbols stand, on the way to its scene.
pub(crate) struct Drawing<'a> {
    network: &'a Network,
    layout: &'a Layout,
    words: Arc<Words>,
    /// By symbol: its marks where they stand.
    marks: Vec<Vec<Shape>>,
    /// By symbol and pin: the name of the terminal, if it is printed.
    names: Vec<Vec<Option<Lettering>>>,
    elements: Vec<Element>,
    ground: Ground,
}

impl<'a> Drawing<'a> {
    pub(crate) fn new(network: &'a Network, layout: &'a Layout, words: Arc<Words>) -> Drawing<'a> {
        let marks = |symbol: &Symbol| symbol.view.marks.iter().map(|mark| shape(symbol, mark)).collect();
        let marks = layout.symbols.iter().map(marks).collect();
        let studs = layout.studs();
        let names = |(symbol, studs): (&Symbol, &Vec<i32>)| {
            studs.iter().enumerate().map(|(pin, stud)| label::terminal_text(symbol, pin, *stud)).collect()
        };
        let names = layout.symbols.iter().zip(&studs).map(names).collect();
        Drawing { network, layout, words, marks, names, elements: Vec::new(), ground: Ground::default() }
    }

    /// The paths of all wires, looked for anew, rather not over the texts at `homes`.
    pub(crate) fn route(&self, homes: &[Option<Rect>], memory: &mut Memory) -> Routes {
        let names: Vec<Rect> = self.names().into_iter().map(|(_, name)| name).collect();
        route_with(memory, self.layout, &rooms_of_texts(homes), &names)
    }

    /// The names of terminals in grid steps, and words that reach beyond their symbol, each with the symbol
    /// it belongs to.
    pub(crate) fn names(&self) -> Vec<(usize, Rect)> {
        let of = |(index, symbol): (usize, &Symbol)| -> Vec<(usize, Rect)> {
            let names = self.names[index].iter().flatten().map(Lettering::bounds);
            // Words stay level, so those of a symbol that lies on its side reach beyond its body.
            let is_aside = symbol.turn.quarters % 2 == 1;
            let words = symbol.view.marks.iter().filter(|mark| is_aside && matches!(mark, Mark::Word(..)));
            let words = words.map(|word| shape(symbol, word).bounds());
            names.chain(words).map(|room| (index, in_steps(room))).collect()
        };
        self.layout.symbols.iter().enumerate().flat_map(of).collect()
    }

    /// The scene with these paths, and where its texts stand; those of `former` stay as long as
    /// their ground is free.
    pub(crate) fn finish(
        mut self,
        routes: &Routes,
        homes: &[Option<Rect>],
        former: &Texts,
    ) -> (Scene, Texts) {
        self.symbols(routes);
        self.wires(routes);
        self.names_of_terminals(routes);
        self.links(routes);
        let texts = self.texts(routes, homes, former);
        (Scene::new(self.elements), texts)
    }

    fn id(
        &self,
        symbol: &Symbol,
        make: impl Fn(engine::ids::PartId, &'static str, u32) -> ElementId,
    ) -> ElementId {
        make(self.network.parts[symbol.part].id.clone(), symbol.view.name, symbol.instance)
    }

    fn status(&self, symbol: &Symbol) -> Status {
        self.network.parts[symbol.part].status
    }

    fn symbols(&mut self, routes: &Routes) {
        for (index, symbol) in self.layout.symbols.iter().enumerate() {
            let status = self.status(symbol);
            let part = &self.network.parts[symbol.part];
            let mut element = Element::new(self.id(symbol, ElementId::Symbol), Layer::Symbols, status);
            element.title = format!("{} {}", part.kind.noun, self.words.designations[symbol.part]);
            element.body = Some(in_sheet_units(symbol.body()));
            element.shapes = std::mem::take(&mut self.marks[index]);
            element.shapes.extend(self.rail_pieces(symbol));
            if status == Status::Remove {
                element.shapes.extend(cross(symbol.ink().center(), 3 * STEP / 2));
            }
            for pin in 0..symbol.view.pins.len() {
                let end = End { symbol: index, pin };
                let terminal = TerminalRef::new(&part.id, &symbol.view.pins[pin].terminal);
                let points = match routes.studs.get(&end) {
                    Some(stud) => stud.cells.iter().map(|cell| cell.point()).collect(),
                    None => vec![symbol.port(pin).at.point()],
                };
                if let [first, .., end] = points[..] {
                    let mut stud = Element::new(
                        self.id(symbol, |part, view, n| {
                            ElementId::Stud(part, view, n, TerminalName::new(&symbol.view.pins[pin].terminal))
                        }),
                        Layer::Symbols,
                        status,
                    );
                    stud.title = format!("{}:{}", part.title(), terminal.terminal);
                    stud.shapes.push(Shape::Line(Role::Outline, vec![first, end]));
                    stud.shapes
                        .extend(points[1..].iter().map(|point| Shape::Circle(Role::Solid, *point, DOT)));
                    // Its dots are wider than a wire.
                    let room = Rect::new(first.x, first.y, end.x, end.y).grown(DOT + 5);
                    self.ground.take(room, Owner::Fixed);
                    self.elements.push(stud);
                }
                element.contacts.push(Contact { terminal, points });
            }
            for shape in &element.shapes {
                for room in rooms(shape) {
                    self.ground.take(room, Owner::Fixed);
                }
            }
            self.elements.push(element);
        }
    }

    /// Puts the names of terminals down. A wire may have had no other way than over one, which then stands on another
    /// side of its lead, if there is room.
    fn names_of_terminals(&mut self, routes: &Routes) {
        for name in self.names.iter().flatten().flatten() {
            self.ground.take(name.bounds(), Owner::Fixed);
        }
        for (index, symbol) in self.layout.symbols.iter().enumerate() {
            for (pin, shown) in symbol.view.pins.iter().enumerate() {
                let Some(mut text) = self.names[index][pin].clone() else { continue };
                if self.ground.has_wire(&text.bounds()) {
                    self.ground.free(text.bounds(), Owner::Fixed);
                    let stud = routes.studs.get(&End { symbol: index, pin });
                    let stud = stud.map_or(0, |stud| stud.cells.len() as i32 - 1);
                    let others = label::other_terminal_texts(symbol, pin, stud, &text);
                    let free = others.into_iter().find(|other| self.ground.is_free(&other.bounds()));
                    text = free.unwrap_or(text);
                    self.ground.take(text.bounds(), Owner::Fixed);
                }
                let name = TerminalName::new(&shown.terminal);
                let id =
                    self.id(symbol, |part, view, n| ElementId::TerminalText(part, view, n, name.clone()));
                let mut element = Element::new(id, Layer::Text, self.status(symbol));
                element.shapes.push(Shape::Text(text));
                self.elements.push(element);
            }
        }
    }

    /// A piece of rail at each terminal that is one with a terminal of another part, such as the
    /// feed side of a fuse in a box: no wire leads there.
    fn rail_pieces(&self, symbol: &Symbol) -> Vec<Shape> {
        let part = &self.network.parts[symbol.part];
        let joined = |name: &str| {
            (part.kind.joins)(&part.values)
                .iter()
                .any(|join| matches!(join, Join::Other(own, ..) if own.as_str() == name))
        };
        let mut shapes = Vec::new();
        for (pin, shown) in symbol.view.pins.iter().enumerate() {
            if joined(&shown.terminal) {
                let port = symbol.port(pin);
                let at = port.at.point();
                let (long, short) = (STEP * 3 / 2, STEP / 8);
                let (w, h) = match port.side {
                    Side::Up | Side::Down => (long, short),
                    Side::Left | Side::Right => (short, long),
                };
                shapes.push(Shape::Area(
                    Role::Solid,
                    vec![at.moved(-w, -h), at.moved(w, -h), at.moved(w, h), at.moved(-w, h)],
                ));
            }
        }
        shapes
    }

    fn wires(&mut self, routes: &Routes) {
        for (index, (wire, path)) in self.network.wires.iter().zip(&routes.paths).enumerate() {
            let (Some(Path { cells, forced }), Some(ends)) = (path, self.layout.ends[index]) else {
                continue;
            };
            let points: Vec<Point> = cells.iter().map(|cell| cell.point()).collect();
            let mut element = Element::new(ElementId::Wire(wire.id.clone()), Layer::Wires, wire.status);
            element.color = wire.color;
            element.forced = *forced;
            let [from, to] = ends.map(|end| self.network.parts[self.layout.symbols[end.symbol].part].title());
            let (name, from_terminal, to_terminal) = (wire.title(), &wire.from.terminal, &wire.to.terminal);
            element.title = format!("wire {name} from {from}:{from_terminal} to {to}:{to_terminal}");
            let role = Role::Wire(style::weight(wire));
            for leg in points.windows(2) {
                self.ground.take(room_of(leg), Owner::Wire(index));
            }
            if wire.status == Status::Remove {
                element.shapes.extend(cross_of_wire(&points));
            }
            element.shapes.insert(0, Shape::Line(role, points));
            self.elements.push(element);
        }
    }
}

/// The point of `rect` that is nearest to `point`.
pub(crate) fn nearest_point(rect: &Rect, point: Point) -> Point {
    Point::new(point.x.clamp(rect.left, rect.right), point.y.clamp(rect.top, rect.bottom))
}

/// The room along points of a wire or stud that lettering keeps off.
fn room_of(points: &[Point]) -> Rect {
    Rect::around(points.iter().copied()).unwrap_or(Rect::new(0, 0, 0, 0)).grown(WIRE_ROOM)
}

/// The room a shape takes from lettering, stroke by stroke.
pub(crate) fn rooms(shape: &Shape) -> Vec<Rect> {
    const STROKE: i32 = 25;
    match shape {
        Shape::Line(_, points) if points.len() > 1 => points
            .windows(2)
            .map(|leg| Rect::new(leg[0].x, leg[0].y, leg[1].x, leg[1].y).grown(STROKE))
            .collect(),
        other => vec![other.bounds().grown(STROKE)],
    }
}

/// The room each stroke of a symbol takes.
pub(crate) fn mark_rooms(symbol: &Symbol) -> Vec<Rect> {
    symbol.view.marks.iter().flat_map(|mark| rooms(&shape(symbol, mark))).collect()
}

/// A mark of a symbol where it stands.
pub(crate) fn shape(symbol: &Symbol, mark: &Mark) -> Shape {
    let Point { x, y } = symbol.at.point();
    let at = |p: (f64, f64)| symbol.turn.point(p).moved(x, y);
    let all = |points: &[(f64, f64)]| points.iter().map(|p| at(*p)).collect();
    let units = |steps: f64| libm::round(steps * f64::from(STEP)) as i32;
    let letter = |center: (f64, f64), text: &str, height: i32, role: Role| {
        // Letters stay upright however the symbol is turned.
        let center = at(center);
        Shape::Text(Lettering {
            text: text.to_owned(),
            at: center.moved(0, height / 2),
            anchor: Anchor::Middle,
            height,
            upright: false,
            role,
        })
    };
    match mark {
        Mark::Line(points) => Shape::Line(Role::Outline, all(points)),
        Mark::Outline(points) => Shape::Area(Role::Outline, all(points)),
        Mark::Solid(points) => Shape::Area(Role::Solid, all(points)),
        Mark::Circle(center, radius) => Shape::Circle(Role::Outline, at(*center), units(*radius)),
        Mark::Dot(center, radius) => Shape::Circle(Role::Solid, at(*center), units(*radius)),
        Mark::Link(points) => Shape::Line(Role::Link, all(points)),
        Mark::HalfCircle(center, radius, bulge) => {
            let bulge = symbol.turn.side(*bulge);
            let radius = units(*radius);
            let center = at(*center);
            // Clockwise from the side before the bulge to the side after it.
            let from = match bulge {
                Side::Up => Side::Left,
                Side::Right => Side::Up,
                Side::Down => Side::Right,
                Side::Left => Side::Down,
            };
            let end = |side: Side| {
                let (dx, dy) = crate::geometry::direction(side);
                center.moved(dx * radius, dy * radius)
            };
            Shape::HalfCircle(Role::Outline, end(from), end(opposite(from)))
        }
        Mark::Letter(center, text) => letter(*center, text, LETTER_HEIGHT, Role::Letter),
        Mark::Word(center, text) => letter(*center, text, HEIGHT, Role::Lettering),
    }
}

/// Two strokes through what is to be removed.
fn cross(center: Point, half: i32) -> Vec<Shape> {
    let stroke = |dy: i32| Shape::Line(Role::Cross, vec![center.moved(-half, -dy), center.moved(half, dy)]);
    vec![stroke(half), stroke(-half)]
}

/// The cross of a wire that comes out, or of a piece of it.
pub fn cross_of_wire(points: &[Point]) -> Vec<Shape> {
    cross(middle_of_longest(points), STEP / 2)
}

/// The middle of the longest leg of a path.
pub(crate) fn middle_of_longest(points: &[Point]) -> Point {
    let longest =
        points.windows(2).max_by_key(|leg| (leg[0].x - leg[1].x).abs() + (leg[0].y - leg[1].y).abs());
    longest.map_or(Point::default(), |leg| Point::new((leg[0].x + leg[1].x) / 2, (leg[0].y + leg[1].y) / 2))
}
