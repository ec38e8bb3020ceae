//! From parts, wires and poses to a scene. Reads no solution.

use engine::arrange;
use engine::document::{Network, Placement, Status};
use engine::ids::{TerminalName, TerminalRef};
use engine::kind::Join;
use engine::kind::glyph::{Mark, Side};

use crate::geometry::{Point, Rect, STEP, opposite};
use crate::label::{self, Ground, Owner, WirePlace};
use crate::layout::{Layout, lay_out};
use crate::route::{Path, Routes, route};
use crate::scene::{Anchor, Contact, Element, ElementId, Layer, Lettering, Role, Scene, Shape};
use crate::symbol::{Symbol, in_sheet_units};
use crate::text::HEIGHT;
use crate::words;

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
    let layout = lay_out(network, placement);
    compose(network, &layout).0
}

/// The scene of a network whose symbols stand, and the paths of its wires.
pub(crate) fn compose(network: &Network, layout: &Layout) -> (Scene, Routes) {
    let designations = words::designations(network);
    let mut drawing =
        Drawing { network, layout, designations, elements: Vec::new(), ground: Ground::default() };
    let homes = drawing.first_homes();
    let texts: Vec<Rect> = homes.iter().flatten().map(|home| in_steps(*home)).collect();
    let names: Vec<Rect> = (layout.symbols.iter())
        .flat_map(|symbol| (0..symbol.view.pins.len()).filter_map(|pin| label::terminal_text(symbol, pin)))
        .map(|name| in_steps(name.bounds()))
        .collect();
    let routes = route(layout, &texts, &names);
    drawing.symbols(&routes);
    drawing.wires(&routes);
    drawing.part_texts(&homes);
    drawing.wire_texts(&routes);
    (Scene::new(drawing.elements), routes)
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

struct Drawing<'a> {
    network: &'a Network,
    layout: &'a Layout,
    designations: Vec<String>,
    elements: Vec<Element>,
    ground: Ground,
}

impl Drawing<'_> {
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

    fn lines(&self, symbol: &Symbol) -> (usize, Vec<String>) {
        let part = &self.network.parts[symbol.part];
        words::part_lines(self.network, &self.designations, part, &self.designations[symbol.part])
    }

    /// Where each symbol's text would stand if no wire were in the way; wires then rather go
    /// around it.
    fn first_homes(&self) -> Vec<Option<Rect>> {
        let mut ground = Ground::default();
        for symbol in &self.layout.symbols {
            for stroke in stroke_rooms(symbol) {
                ground.take(stroke, Owner::Fixed);
            }
        }
        self.layout
            .symbols
            .iter()
            .map(|symbol| {
                let home = self.best_home(symbol, &ground)?;
                ground.take(home, Owner::Fixed);
                Some(home)
            })
            .collect()
    }

    /// The best place for the text beside `symbol` that is free, or the one with least on it.
    fn best_home(&self, symbol: &Symbol, ground: &Ground) -> Option<Rect> {
        let (n_bold, lines) = self.lines(symbol);
        let (width, height) = label::part_block_size(n_bold, &lines);
        if width == 0 {
            return None;
        }
        let Point { x, y } = symbol.at.point();
        let places: Vec<Rect> = label::part_text_places(symbol, width, height)
            .into_iter()
            .map(|place| place.moved(x, y))
            .collect();
        let free = places.iter().copied().find(|place| ground.is_free(&place.grown(20)));
        free.or_else(|| {
            let (index, dx, dy) = ground.shift_to_free(&places)?;
            Some(places[index].moved(dx, dy))
        })
        .or_else(|| places.iter().copied().min_by_key(|place| ground.n_on(place)))
    }

    fn symbols(&mut self, routes: &Routes) {
        for (index, symbol) in self.layout.symbols.iter().enumerate() {
            let status = self.status(symbol);
            let part = &self.network.parts[symbol.part];
            let mut element = Element::new(self.id(symbol, ElementId::Symbol), Layer::Symbols, status);
            element.title = format!("{} {}", part.kind.noun, self.designations[symbol.part]);
            element.body = Some(in_sheet_units(symbol.body()));
            element.shapes = symbol.view.marks.iter().map(|mark| shape(symbol, mark)).collect();
            element.shapes.extend(self.rail_pieces(symbol));
            if status == Status::Remove {
                element.shapes.extend(cross(symbol.ink().center(), 3 * STEP / 2));
            }
            for pin in 0..symbol.view.pins.len() {
                let end = crate::layout::End { symbol: index, pin };
                let terminal = TerminalRef::new(&part.id, &symbol.view.pins[pin].terminal);
                let points = match routes.studs.get(&end) {
                    Some(stud) => stud.cells.iter().map(|cell| cell.point()).collect(),
                    None => vec![symbol.port(pin).at.point()],
                };
                if points.len() > 1 {
                    let mut stud = Element::new(
                        self.id(symbol, |part, view, n| {
                            ElementId::Stud(part, view, n, TerminalName::new(&symbol.view.pins[pin].terminal))
                        }),
                        Layer::Symbols,
                        status,
                    );
                    stud.title = self.network.terminal_title(&terminal);
                    stud.shapes.push(Shape::Line(Role::Outline, vec![points[0], points[points.len() - 1]]));
                    stud.shapes
                        .extend(points[1..].iter().map(|point| Shape::Circle(Role::Solid, *point, DOT)));
                    self.ground.take(room_of(&points), Owner::Fixed);
                    self.elements.push(stud);
                }
                element.contacts.push(Contact { terminal, points });
                if let Some(text) = label::terminal_text(symbol, pin) {
                    self.ground.take(text.bounds(), Owner::Fixed);
                    let name = TerminalName::new(&symbol.view.pins[pin].terminal);
                    let id =
                        self.id(symbol, |part, view, n| ElementId::TerminalText(part, view, n, name.clone()));
                    let mut element = Element::new(id, Layer::Text, status);
                    element.shapes.push(Shape::Text(text));
                    self.elements.push(element);
                }
            }
            for shape in &element.shapes {
                for room in rooms(shape) {
                    self.ground.take(room, Owner::Fixed);
                }
            }
            self.elements.push(element);
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
            let Some(Path { cells, forced }) = path else { continue };
            let points: Vec<Point> = cells.iter().map(|cell| cell.point()).collect();
            let mut element = Element::new(ElementId::Wire(wire.id.clone()), Layer::Wires, wire.status);
            element.color = wire.color;
            element.forced = *forced;
            element.title = format!(
                "wire {} from {} to {}",
                wire.title(),
                self.network.terminal_title(&wire.from),
                self.network.terminal_title(&wire.to)
            );
            let role = if words::carries_power(wire) { Role::PowerWire } else { Role::SignalWire };
            for leg in points.windows(2) {
                self.ground.take(room_of(leg), Owner::Wire(index));
            }
            if wire.status == Status::Remove {
                element.shapes.extend(cross(middle_of_longest(&points), STEP / 2));
            }
            element.shapes.insert(0, Shape::Line(role, points));
            self.elements.push(element);
        }
    }

    fn part_texts(&mut self, homes: &[Option<Rect>]) {
        for home in homes.iter().flatten() {
            self.ground.take(*home, Owner::Fixed);
        }
        for (symbol, home) in self.layout.symbols.iter().zip(homes) {
            let Some(home) = *home else { continue };
            // A wire may have had no other way than through the text's first home.
            self.ground.free(home, Owner::Fixed);
            let home = if self.ground.is_free(&home) {
                home
            } else {
                self.best_home(symbol, &self.ground).unwrap_or(home)
            };
            self.ground.take(home, Owner::Fixed);
            let (n_designation, lines) = self.lines(symbol);
            let mut element =
                Element::new(self.id(symbol, ElementId::PartText), Layer::Text, self.status(symbol));
            element.title =
                format!("{} {}", self.network.parts[symbol.part].kind.noun, self.designations[symbol.part]);
            // Text that had to go far away is led back to its symbol.
            let (foot, ink) = (symbol.ink().center(), symbol.ink());
            let to = nearest_point(&home, foot);
            let from = nearest_point(&ink, to);
            if (from.x - to.x).abs() + (from.y - to.y).abs() > 4 * STEP {
                element.shapes.push(Shape::Line(Role::Leader, vec![from, to]));
            }
            for (i, mut line) in label::block(&lines, home, symbol.ink().center()).into_iter().enumerate() {
                if i < n_designation {
                    line.role = Role::Designation;
                }
                element.shapes.push(Shape::Text(line));
            }
            self.elements.push(element);
        }
    }

    fn wire_texts(&mut self, routes: &Routes) {
        let mut order: Vec<usize> =
            (0..self.network.wires.len()).filter(|&i| routes.paths[i].is_some()).collect();
        let length = |i: &usize| -> i32 {
            let cells = routes.paths[*i].as_ref().map_or(&[][..], |path| &path.cells);
            cells.windows(2).map(|w| w[0].distance(w[1])).sum()
        };
        // Short wires have the fewest places to choose from.
        arrange::sort_by_key(&mut order, |i| (length(i), *i));
        for index in order {
            let wire = &self.network.wires[index];
            let Some(path) = &routes.paths[index] else { continue };
            let points: Vec<Point> = path.cells.iter().map(|cell| cell.point()).collect();
            let (name, rest) = words::wire_words(wire);
            let places = label::wire_text_places(&points, &name, &rest);
            let found = places.iter().find(|place| self.ground.is_free(&place.bounds)).cloned();
            let with_leader = || self.remote_place(&places);
            let Some((place, leader)) = found.map(|place| (place, None)).or_else(with_leader) else {
                continue;
            };
            self.ground.take(place.bounds, Owner::Fixed);
            let mut element = Element::new(ElementId::WireText(wire.id.clone()), Layer::Text, wire.status);
            element.title = format!("wire {}", wire.title());
            element.shapes.extend(leader);
            element.shapes.extend(place.lines.into_iter().map(Shape::Text));
            self.elements.push(element);
        }
    }

    /// A free place away from the wire, with a line that leads to it.
    fn remote_place(&self, places: &[WirePlace]) -> Option<(WirePlace, Option<Shape>)> {
        let nearest = places.first()?;
        let rooms: Vec<Rect> = places.iter().map(|place| place.bounds).collect();
        let Some((index, dx, dy)) = self.ground.shift_to_free(&rooms) else {
            return Some((nearest.clone(), None));
        };
        let mut place = places[index].clone();
        place.bounds = place.bounds.moved(dx, dy);
        for line in &mut place.lines {
            line.at = line.at.moved(dx, dy);
        }
        let leader = Shape::Line(Role::Leader, vec![place.foot, nearest_point(&place.bounds, place.foot)]);
        Some((place, Some(leader)))
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

/// The room each stroke of a symbol takes, its terminal names included.
fn stroke_rooms(symbol: &Symbol) -> Vec<Rect> {
    let mut all: Vec<Rect> = symbol.view.marks.iter().flat_map(|mark| rooms(&shape(symbol, mark))).collect();
    all.extend(
        (0..symbol.view.pins.len())
            .filter_map(|pin| label::terminal_text(symbol, pin))
            .map(|text| text.bounds()),
    );
    all
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

/// The middle of the longest leg of a path.
pub(crate) fn middle_of_longest(points: &[Point]) -> Point {
    let longest =
        points.windows(2).max_by_key(|leg| (leg[0].x - leg[1].x).abs() + (leg[0].y - leg[1].y).abs());
    longest.map_or(Point::default(), |leg| Point::new((leg[0].x + leg[1].x) / 2, (leg[0].y + leg[1].y) / 2))
}
