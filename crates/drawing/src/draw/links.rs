//! The dashed line from the coil of a relay to the contact it works, where there is room for one.
//!
//! In a current-path diagram the two stand apart, each in its own current path. Where the way between them is short and
//! crosses little, a line joins them; where it is not, their designation alone tells that they are one.

use engine::kind::glyph::Mark;

use super::{Drawing, room_of, shape};
use crate::geometry::{Cell, Point, Rect, STEP};
use crate::label::Owner;
use crate::route::Routes;
use crate::scene::{Element, ElementId, Layer, Role, Shape};
use crate::symbol::{Symbol, in_sheet_units};

/// The longest line that still leads the eye.
const LONGEST: i32 = 44 * STEP;

/// Most wires that a line may cross.
const MOST_CROSSINGS: i32 = 3;

/// How much longer a way may be for one crossing less.
const CROSSING: i32 = 6 * STEP;

/// How far beyond coil and contact the line may turn.
const AROUND: i32 = 6;

/// What a link must keep off.
struct Ways {
    /// Other symbols, and the names of terminals.
    closed: Vec<Rect>,
    /// The strokes of coil and contact, which it may only touch at its ends.
    own: Vec<Rect>,
    /// The straight pieces of wires and studs.
    wires: Vec<Rect>,
}

impl Drawing<'_> {
    /// Draws the links of all relays that have one coil and one contact on the drawing.
    pub(super) fn links(&mut self, routes: &Routes) {
        for coil in 0..self.layout.symbols.len() {
            let Some(points) = self.contact_of(coil).and_then(|contact| self.link(routes, coil, contact))
            else {
                continue;
            };
            for leg in points.windows(2) {
                self.ground.take(room_of(leg), Owner::Fixed);
            }
            let part = &self.network.parts[self.layout.symbols[coil].part];
            let mut element = Element::new(ElementId::Link(part.id.clone()), Layer::Wires, part.status);
            element.shapes.push(Shape::Line(Role::Link, points));
            self.elements.push(element);
        }
    }

    /// The only contact that the coil of this symbol works, if it is one.
    fn contact_of(&self, coil: usize) -> Option<usize> {
        let symbols = &self.layout.symbols;
        if symbols[coil].view.name != "coil" {
            return None;
        }
        let mut contact = None;
        for (index, symbol) in symbols.iter().enumerate() {
            if symbol.part != symbols[coil].part || index == coil {
                continue;
            }
            if symbol.view.name != "contact" || contact.replace(index).is_some() {
                return None;
            }
        }
        contact
    }

    /// The best way from a side of a coil to the lever of its contact, as its corners.
    fn link(&self, routes: &Routes, coil: usize, contact: usize) -> Option<Vec<Point>> {
        let (own, other) = (&self.layout.symbols[coil], &self.layout.symbols[contact]);
        let body = outline(own)?;
        let to = lever(other)?;
        let y = body.center().y;
        // Most coils are too far off, and then nothing needs to be gathered.
        if (to.x - to.x.clamp(body.left, body.right)).abs() + (to.y - y).abs() > LONGEST {
            return None;
        }
        let mut ways = Ways { closed: Vec::new(), own: Vec::new(), wires: Vec::new() };
        for (index, symbol) in self.layout.symbols.iter().enumerate() {
            if index == coil || index == contact {
                ways.own.extend(symbol.view.marks.iter().map(|mark| shape(symbol, mark).bounds()));
            } else {
                ways.closed.push(in_sheet_units(symbol.body()));
            }
        }
        for (_, name) in self.names() {
            ways.closed.push(in_sheet_units(name));
        }
        for path in routes.paths.iter().flatten() {
            ways.add(&path.cells);
        }
        for stud in routes.studs.values() {
            ways.add(&stud.cells);
        }
        let columns = body.left.min(to.x) / STEP - AROUND..=body.right.max(to.x) / STEP + AROUND;
        let mut best: Option<(i32, [Point; 4])> = None;
        for column in columns {
            // Between grid lines no wire runs along it.
            let x = column * STEP + STEP / 2;
            for from in [body.left, body.right] {
                let x = if y == to.y { to.x } else { x };
                let way = [Point::new(from, y), Point::new(x, y), Point::new(x, to.y), to];
                if let Some(price) = ways.price(&way)
                    && best.is_none_or(|(least, _)| price < least)
                {
                    best = Some((price, way));
                }
            }
        }
        let (_, way) = best?;
        let mut points = vec![way[0]];
        for point in &way[1..] {
            if points.last() != Some(point) {
                points.push(*point);
            }
        }
        Some(points)
    }
}

impl Ways {
    fn add(&mut self, cells: &[Cell]) {
        for leg in cells.windows(2) {
            let (a, b) = (leg[0].point(), leg[1].point());
            self.wires.push(Rect::new(a.x, a.y, b.x, b.y));
        }
    }

    /// What a way costs; `None` when it is none.
    fn price(&self, way: &[Point; 4]) -> Option<i32> {
        let mut price = 0;
        let mut n_crossings = 0;
        for leg in way.windows(2) {
            let leg = Rect::new(leg[0].x, leg[0].y, leg[1].x, leg[1].y);
            let (width, height) = (leg.width(), leg.height());
            if width == 0 && height == 0 {
                continue;
            }
            price += width + height;
            for closed in &self.closed {
                if closed.meets(&leg) {
                    return None;
                }
            }
            for stroke in &self.own {
                // The bounds of a slanted lever reach half its width around its middle.
                let touches = |at: Point| stroke.grown(STEP).holds(&Rect::new(at.x, at.y, at.x, at.y));
                let reach = leg.left.max(stroke.left) - leg.right.min(stroke.right);
                if stroke.meets(&leg) && !((touches(way[0]) || touches(way[3])) && -reach <= STEP) {
                    return None;
                }
            }
            for wire in &self.wires {
                if wire.meets(&leg) {
                    // Lying along a wire it would look like one with it.
                    if (height == 0) == (wire.height() == 0) {
                        return None;
                    }
                    n_crossings += 1;
                }
            }
        }
        (price <= LONGEST && n_crossings <= MOST_CROSSINGS).then_some(price + n_crossings * CROSSING)
    }
}

/// The box of a coil that stands upright.
fn outline(coil: &Symbol) -> Option<Rect> {
    let upright = coil.turn.quarters.is_multiple_of(2);
    let mark = coil.view.marks.iter().find(|mark| matches!(mark, Mark::Outline(_)))?;
    upright.then(|| shape(coil, mark).bounds())
}

/// The middle of the lever of a contact that stands upright: its only slanted line.
fn lever(contact: &Symbol) -> Option<Point> {
    let upright = contact.turn.quarters.is_multiple_of(2);
    let slanted = contact.view.marks.iter().find_map(|mark| match shape(contact, mark) {
        Shape::Line(_, points) => points.windows(2).find_map(|leg| {
            let is_slanted = leg[0].x != leg[1].x && leg[0].y != leg[1].y;
            is_slanted.then(|| Point::new((leg[0].x + leg[1].x) / 2, (leg[0].y + leg[1].y) / 2))
        }),
        _ => None,
    });
    slanted.filter(|_| upright)
}

#[cfg(test)]
mod tests {
    use engine::document::{Network, Placement, Pose};
    use engine::ids::PartId;
    use engine::notation;

    use super::*;
    use crate::draw::draw;

    const CIRCUIT: &str =
        "battery G1\nrelay K1\nlamp E1\nwire W1 G1.+ K1.30\nwire W2 K1.87 E1.1\nwire W3 G1.+ K1.86";

    fn pose(part: &str, view: &str, x: i32, y: i32) -> Pose {
        let part = PartId::new(part).unwrap();
        Pose { part, view: view.to_owned(), x, y, turn: 0, mirrored: false, pinned: false }
    }

    /// The link of `K1` with its coil at this cell; contact and battery stand at the same place always.
    fn link(network: &Network, x: i32, y: i32, more: &[Pose]) -> Option<Vec<Point>> {
        let mut poses =
            vec![pose("G1", "main", 0, -12), pose("K1", "contact", 20, 0), pose("K1", "coil", x, y)];
        poses.extend_from_slice(more);
        let scene = draw(network, &Placement { poses });
        let element = scene.element(&ElementId::Link(PartId::new("K1").unwrap()))?;
        match &element.shapes[..] {
            [Shape::Line(Role::Link, points)] => Some(points.clone()),
            other => panic!("{other:?}"),
        }
    }

    #[test]
    fn a_coil_beside_its_contact_is_joined_to_its_lever() {
        let network = notation::network(CIRCUIT).unwrap();
        let way = link(&network, 10, 0, &[pose("E1", "main", 20, 14)]).unwrap();
        let (first, last) = (way[0], way[way.len() - 1]);
        // The right side of the box, two steps from its middle, and a lever that stands left of its contact.
        assert_eq!(first, Point::new(12 * STEP, 0));
        assert!(last.x < 20 * STEP && last.x > 18 * STEP, "{way:?}");
        assert!(way.windows(2).all(|leg| leg[0].x == leg[1].x || leg[0].y == leg[1].y), "{way:?}");
    }

    #[test]
    fn what_stands_between_is_not_crossed_and_what_is_far_off_is_left_alone() {
        let network = notation::network(CIRCUIT).unwrap();
        let straight = link(&network, 6, 0, &[pose("E1", "main", 20, 14)]).unwrap();
        let other = link(&network, 6, 0, &[pose("E1", "main", 13, 0)]);
        assert_ne!(other.as_ref(), Some(&straight));
        let lamp = Rect::new(13 * STEP - 200, -300, 13 * STEP + 200, 300);
        let enters = |way: &Vec<Point>| {
            way.windows(2).any(|leg| lamp.meets(&Rect::new(leg[0].x, leg[0].y, leg[1].x, leg[1].y)))
        };
        assert!(!other.iter().any(enters), "{other:?}");
        assert_eq!(link(&network, 80, 0, &[pose("E1", "main", 20, 14)]), None);
    }

    #[test]
    fn a_coil_that_stands_twice_has_no_link() {
        let network = notation::network(CIRCUIT).unwrap();
        let twice = [pose("E1", "main", 20, 14), pose("K1", "coil", 30, 0)];
        assert_eq!(link(&network, 10, 0, &twice), None);
    }
}
