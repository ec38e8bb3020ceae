//! Where a drawing is cut that is too large for one sheet.

use drawing::geometry::{Point, Rect, STEP};
use drawing::scene::{ElementId, Scene, Shape};
use engine::ids::WireId;

/// What a cut through a symbol or a text costs against one through a wire.
const BROKEN: i64 = 1000;

/// What a cut through the text of a wire costs, which moves off the cut, against one through a wire.
const MOVED: i64 = 40;

/// What another sheet costs against a cut wire.
const SHEET: i64 = 400;

/// One dimension of a drawing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Axis {
    /// From left to right: cuts run from top to bottom.
    Across,
    /// From top to bottom.
    Down,
}

impl Axis {
    /// Beginning and end of a rectangle.
    pub fn span(self, rect: &Rect) -> (i32, i32) {
        match self {
            Axis::Across => (rect.left, rect.right),
            Axis::Down => (rect.top, rect.bottom),
        }
    }
}

/// The room for pieces along an axis.
#[derive(Clone, Copy)]
pub struct Room<'a> {
    /// How long a sheet is.
    pub sheet: i32,
    /// How much of that the words at a cut through a wire take.
    pub beside: &'a dyn Fn(&WireId) -> i32,
}

/// The pieces of a drawing, each with room for the words at its cuts; together they hold everything.
///
/// It is cut along one axis first, and each strip by itself along the other. Strips and pieces are no larger than what
/// lies in them.
pub fn pieces(scene: &Scene, bounds: &Rect, first: (Axis, Room<'_>), second: (Axis, Room<'_>)) -> Vec<Rect> {
    let mut pieces = Vec::new();
    for strip in parts(scene, bounds, first) {
        let Some(inner) = extent(scene, &strip) else { continue };
        // Across the first cuts a strip keeps its borders, so that wires end there on both sides.
        let inner = match first.0 {
            Axis::Across => Rect { left: strip.left, right: strip.right, ..inner },
            Axis::Down => Rect { top: strip.top, bottom: strip.bottom, ..inner },
        };
        pieces
            .extend(parts(scene, &inner, second).into_iter().filter(|piece| extent(scene, piece).is_some()));
    }
    pieces
}

/// What lies within a rectangle takes: wires as far as they run in it, everything else whole when its middle is inside.
fn extent(scene: &Scene, within: &Rect) -> Option<Rect> {
    let mut all = Vec::new();
    for element in scene.elements() {
        if let ElementId::Wire(_) = element.id {
            for shape in &element.shapes {
                if let Shape::Line(_, points) = shape {
                    all.extend(points.windows(2).filter_map(|leg| clipped(leg[0], leg[1], within)));
                }
            }
        } else if !matches!(element.id, ElementId::Link(_)) {
            all.extend(element.bounds().filter(|bounds| holds(within, bounds.center())));
        }
    }
    all.into_iter().reduce(Rect::joined)
}

/// Whether a point lies within a rectangle, borders included.
pub fn holds(rect: &Rect, at: Point) -> bool {
    (rect.left..=rect.right).contains(&at.x) && (rect.top..=rect.bottom).contains(&at.y)
}

/// A straight leg as far as it lies in a rectangle.
fn clipped(from: Point, to: Point, within: &Rect) -> Option<Rect> {
    let leg = Rect::new(from.x, from.y, to.x, to.y);
    within.meets(&leg).then(|| Rect {
        left: leg.left.max(within.left),
        top: leg.top.max(within.top),
        right: leg.right.min(within.right),
        bottom: leg.bottom.min(within.bottom),
    })
}

/// A rectangle in parts along one axis.
fn parts(scene: &Scene, rect: &Rect, (axis, room): (Axis, Room<'_>)) -> Vec<Rect> {
    let borders = cuts(scene, rect, axis, room);
    borders
        .windows(2)
        .map(|ends| match axis {
            Axis::Across => Rect { left: ends[0], right: ends[1], ..*rect },
            Axis::Down => Rect { top: ends[0], bottom: ends[1], ..*rect },
        })
        .collect()
}

/// The borders of the parts of a rectangle along an axis, its own first and last border included. No part is longer than
/// there is room for it; of all ways to cut, this one breaks the fewest symbols and texts, then weighs cut wires against
/// sheets.
fn cuts(scene: &Scene, rect: &Rect, axis: Axis, room: Room<'_>) -> Vec<i32> {
    let (low, high) = axis.span(rect);
    if high - low <= room.sheet {
        return vec![low, high];
    }
    // A cut between two points of the grid runs along no wire. The first and last position are the borders.
    let mut at: Vec<i32> = (1..)
        .map(|n| low.div_euclid(STEP) * STEP + STEP / 2 + n * STEP)
        .take_while(|at| *at < high)
        .collect();
    at.insert(0, low);
    at.push(high);
    let (cost, beside) = costs(scene, rect, (axis, room), &at);
    let last = at.len() - 1;
    let has_room = |from: usize, to: usize| {
        // One step alone is longer than a sheet only on a sheet of nothing.
        at[to] - at[from] + beside[from] + beside[to] <= room.sheet || from + 1 == to
    };
    // The least cost of the parts up to each position, and where the last of them begins.
    let mut best: Vec<Option<(i64, usize)>> = vec![None; at.len()];
    best[0] = Some((0, 0));
    for to in 1..at.len() {
        let near = (0..to).rev().take_while(|from| at[to] - at[*from] <= room.sheet || from + 1 == to);
        for from in near.filter(|from| has_room(*from, to)) {
            let Some((before, _)) = best[from] else { continue };
            let total = before + if to == last { 0 } else { cost[to] + SHEET };
            if best[to].is_none_or(|(least, _)| total < least) {
                best[to] = Some((total, from));
            }
        }
    }
    let mut borders = vec![high];
    let mut here = last;
    while here > 0 {
        here = best[here].map_or(0, |(_, from)| from);
        borders.push(at[here]);
    }
    borders.reverse();
    borders
}

/// What a cut through a rectangle costs at each position, and how far the words there reach.
fn costs(scene: &Scene, within: &Rect, (axis, room): (Axis, Room<'_>), at: &[i32]) -> (Vec<i64>, Vec<i32>) {
    let mut costs = vec![0; at.len()];
    let mut beside = vec![0; at.len()];
    for element in scene.elements() {
        if let ElementId::Wire(wire) = &element.id {
            let reach = (room.beside)(wire);
            for shape in &element.shapes {
                let Shape::Line(_, points) = shape else { continue };
                for leg in points.windows(2).filter_map(|leg| clipped(leg[0], leg[1], within)) {
                    for index in between(at, axis.span(&leg)) {
                        costs[index] += 1;
                        beside[index] = reach.max(beside[index]);
                    }
                }
            }
        } else if let Some(bounds) = element.bounds().filter(|bounds| holds(within, bounds.center()))
            && !matches!(element.id, ElementId::Link(_))
        {
            let cost = match element.id {
                ElementId::WireText(_) => MOVED,
                _ => BROKEN,
            };
            between(at, axis.span(&bounds.grown(STEP / 4))).for_each(|index| costs[index] += cost);
        }
    }
    (costs, beside)
}

/// The positions between two ends.
fn between(at: &[i32], (low, high): (i32, i32)) -> std::ops::Range<usize> {
    at.partition_point(|position| *position <= low)..at.partition_point(|position| *position < high)
}

#[cfg(test)]
mod tests {
    use drawing::scene::{Element, Layer, Role, Weight};
    use engine::document::Status;
    use engine::ids::PartId;

    use super::*;

    fn symbol(name: &str, rect: Rect) -> Element {
        let id = ElementId::Symbol(PartId::new(name).expect("an id"), "main", 0);
        let mut element = Element::new(id, Layer::Symbols, Status::New);
        let corners = vec![Point::new(rect.left, rect.top), Point::new(rect.right, rect.bottom)];
        element.shapes.push(Shape::Area(Role::Outline, corners));
        element
    }

    fn wire(name: &str, from: Point, to: Point) -> Element {
        let mut element =
            Element::new(ElementId::Wire(WireId::new(name).expect("an id")), Layer::Wires, Status::New);
        element.shapes.push(Shape::Line(Role::Wire(Weight::Light), vec![from, to]));
        element
    }

    #[test]
    fn a_drawing_that_fits_is_not_cut() {
        let scene = Scene::new(vec![symbol("p1", Rect::new(0, 0, 5000, 1000))]);
        let bounds = scene.bounds().expect("something is drawn");
        assert_eq!(cuts(&scene, &bounds, Axis::Across, Room { sheet: 5000, beside: &|_| 0 }), [0, 5000]);
    }

    #[test]
    fn a_cut_goes_through_the_gap_and_where_few_wires_are() {
        let scene = Scene::new(vec![
            symbol("p1", Rect::new(0, 0, 4000, 1000)),
            symbol("p2", Rect::new(5000, 0, 9000, 1000)),
            symbol("p3", Rect::new(9500, 0, 12_000, 1000)),
            wire("w1", Point::new(4000, 250), Point::new(5000, 250)),
            wire("w2", Point::new(4000, 500), Point::new(5000, 500)),
            wire("w3", Point::new(9000, 500), Point::new(9500, 500)),
        ]);
        let bounds = scene.bounds().expect("something is drawn");
        let borders = cuts(&scene, &bounds, Axis::Across, Room { sheet: 9500, beside: &|_| 0 });
        assert!(borders.len() == 3 && (9000..9500).contains(&borders[1]), "{borders:?}");
        // Where the piece would be too long, the other gap has to do.
        let borders = cuts(&scene, &bounds, Axis::Across, Room { sheet: 8000, beside: &|_| 0 });
        assert!(borders.len() == 3 && (4000..5000).contains(&borders[1]), "{borders:?}");
        // Words at the cut take room on both sides.
        let borders = cuts(&scene, &bounds, Axis::Across, Room { sheet: 9500, beside: &|_| 1000 });
        assert!(borders.len() == 3 && (4000..5000).contains(&borders[1]), "{borders:?}");
    }
}
