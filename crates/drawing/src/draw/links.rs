//! The dashed line from the coil of a relay to the contact it works, where there is room for one.
//!
//! In a current-path diagram the two stand apart, each in its own current path. Where the way between them is short and
//! crosses little, a line joins them; where it is not, their designation alone tells that they are one.

use engine::kind::glyph::Mark;

use super::{Drawing, room_of, shape};
use crate::geometry::{Point, Rect, STEP};
use crate::label::Owner;
use crate::route::Routes;
use crate::scene::{Element, ElementId, Layer, Role, Shape};
use crate::symbol::{Symbol, in_sheet_units};

/// The longest line that still leads the eye.
const LONGEST: i32 = 44 * STEP;

/// Most wires that a line may cross.
const MOST_CROSSINGS: usize = 3;

/// How much longer a way may be for one crossing less.
const CROSSING: i32 = 6 * STEP;

/// How far beyond coil and contact the line may turn.
const AROUND: i32 = 6;

impl Drawing<'_> {
    /// Draws the links of all relays that have one coil and one contact on the drawing.
    pub(super) fn links(&mut self, routes: &Routes) {
        let mut wires: Option<Vec<[Point; 2]>> = None;
        for coil in 0..self.layout.symbols.len() {
            let Some(contact) = self.contact_of(coil) else { continue };
            let wires = wires.get_or_insert_with(|| legs(routes));
            let Some(points) = self.way_between(coil, contact, wires) else { continue };
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
        let of_part = |view: &'static str| {
            symbols
                .iter()
                .enumerate()
                .filter(move |(_, symbol)| symbol.part == symbols[coil].part && symbol.view.name == view)
                .map(|(index, _)| index)
        };
        if symbols[coil].view.name != "coil" || of_part("coil").count() > 1 {
            return None;
        }
        let mut contacts = of_part("contact");
        contacts.next().filter(|_| contacts.next().is_none())
    }

    /// The best way from a side of the coil to the lever of the contact, as its corners.
    fn way_between(&self, coil: usize, contact: usize, wires: &[[Point; 2]]) -> Option<Vec<Point>> {
        let (coil, contact) = (&self.layout.symbols[coil], &self.layout.symbols[contact]);
        let box_of_coil = outline(coil)?;
        let to = lever(contact)?;
        let y = box_of_coil.center().y;
        // Between grid lines no wire runs along it.
        let half = STEP / 2;
        let (left, right) =
            (box_of_coil.left.min(to.x) / STEP - AROUND, box_of_coil.right.max(to.x) / STEP + AROUND);
        let turns = (left..=right).map(|column| column * STEP + half);
        let ways = turns.flat_map(|x| {
            [box_of_coil.left, box_of_coil.right].map(|from| {
                let mut way = vec![Point::new(from, y), Point::new(x, y), Point::new(x, to.y), to];
                if y == to.y {
                    way = vec![Point::new(from, y), to];
                }
                way
            })
        });
        let own = [in_sheet_units(coil.body()), in_sheet_units(contact.body())];
        let obstacles: Vec<Rect> = self
            .layout
            .symbols
            .iter()
            .map(|symbol| in_sheet_units(symbol.body()))
            .filter(|body| !own.contains(body))
            .chain(self.names().into_iter().map(|(_, name)| in_sheet_units(name)))
            .collect();
        ways.filter_map(|way| Some((price(&way, [coil, contact], &obstacles, wires)?, way)))
            .min_by_key(|(price, way)| (*price, way[1].x))
            .map(|(_, way)| way)
    }
}

/// What a way costs; `None` when it is none.
fn price(way: &[Point], ends: [&Symbol; 2], obstacles: &[Rect], wires: &[[Point; 2]]) -> Option<i32> {
    let length: i32 =
        way.windows(2).map(|leg| (leg[0].x - leg[1].x).abs() + (leg[0].y - leg[1].y).abs()).sum();
    if length > LONGEST {
        return None;
    }
    let legs: Vec<Rect> =
        way.windows(2).map(|leg| Rect::new(leg[0].x, leg[0].y, leg[1].x, leg[1].y)).collect();
    if legs.iter().any(|leg| obstacles.iter().any(|body| body.meets(leg))) {
        return None;
    }
    // It leaves the coil outwards, reaches the lever from the side, and crosses neither of the two.
    let strokes = |symbol: &Symbol| -> Vec<Rect> {
        symbol.view.marks.iter().map(|mark| shape(symbol, mark).bounds()).collect()
    };
    let apart = |leg: &Rect, symbol: &Symbol, end: Point| {
        strokes(symbol).iter().all(|stroke| {
            let touched = Rect {
                left: leg.left.max(stroke.left),
                top: leg.top.max(stroke.top),
                right: leg.right.min(stroke.right),
                bottom: leg.bottom.min(stroke.bottom),
            };
            let is_apart = touched.left > touched.right || touched.top > touched.bottom;
            // The bounds of a slanted lever reach half its width around its middle.
            is_apart || (touched.left - end.x).abs().max((touched.right - end.x).abs()) <= STEP
        })
    };
    let (first, last) = (way[0], way[way.len() - 1]);
    if !legs.iter().all(|leg| apart(leg, ends[0], first) && apart(leg, ends[1], last)) {
        return None;
    }
    let mut n_crossings = 0;
    for [from, to] in wires {
        let wire = Rect::new(from.x, from.y, to.x, to.y);
        for leg in legs.iter().filter(|leg| leg.meets(&wire)) {
            let level = leg.top == leg.bottom;
            // Lying along a wire, or meeting its end, it would look like a joint.
            if level == (wire.top == wire.bottom) {
                return None;
            }
            n_crossings += 1;
        }
    }
    (n_crossings <= MOST_CROSSINGS).then(|| length + n_crossings as i32 * CROSSING)
}

/// The straight pieces of all wires and studs.
fn legs(routes: &Routes) -> Vec<[Point; 2]> {
    let paths = routes.paths.iter().flatten().map(|path| &path.cells);
    let studs = routes.studs.values().map(|stud| &stud.cells);
    paths
        .chain(studs)
        .flat_map(|cells| cells.windows(2).map(|leg| [leg[0].point(), leg[1].point()]))
        .collect()
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
