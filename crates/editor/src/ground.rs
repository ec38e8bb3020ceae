//! Room on the drawing: where a symbol can stand without lying on another.

use drawing::geometry::{Cell, Rect, STEP, Turn};
use drawing::scene::{ElementId, Scene};
use engine::document::placement::FARTHEST;
use engine::ids::PartId;

/// The cell nearest to a point of the drawing.
pub(crate) fn nearest_cell(point: drawing::geometry::Point) -> Cell {
    let steps = |length: i32| (length + STEP / 2).div_euclid(STEP);
    kept_on_sheet(Cell::new(steps(point.x), steps(point.y)))
}

/// `cell`, or the nearest that a job may keep.
pub(crate) fn kept_on_sheet(cell: Cell) -> Cell {
    Cell::new(cell.x.clamp(-FARTHEST, FARTHEST), cell.y.clamp(-FARTHEST, FARTHEST))
}

/// A rectangle in steps around an anchor, turned with its symbol.
pub(crate) fn turned(body: (i32, i32, i32, i32), turn: Turn) -> Rect {
    let (x0, y0) = turn.cell((body.0, body.1));
    let (x1, y1) = turn.cell((body.2, body.3));
    Rect::new(x0, y0, x1, y1)
}

/// The space that the symbols of a drawing take, in steps; those of the parts in `but` left out.
pub(crate) fn taken(scene: &Scene, but: &[PartId]) -> Vec<Rect> {
    let mut all = Vec::new();
    for element in scene.elements() {
        if let (ElementId::Symbol(part, ..), Some(body)) = (&element.id, element.body)
            && !but.contains(part)
        {
            let (low, high) = (body.left.div_euclid(STEP), body.top.div_euclid(STEP));
            let ceil = |length: i32| -(-length).div_euclid(STEP);
            all.push(Rect::new(low, high, ceil(body.right), ceil(body.bottom)));
        }
    }
    all
}

/// The shift nearest to `wish` with which none of `own` overlaps any of `taken`.
pub(crate) fn free_shift(own: &[Rect], taken: &[Rect], wish: (i32, i32)) -> (i32, i32) {
    const FARTHEST_RING: i32 = 200;
    let fits = |(dx, dy): (i32, i32)| {
        !own.iter().any(|own| taken.iter().any(|other| own.moved(dx, dy).grown(1).overlaps(other)))
    };
    for ring in 0..FARTHEST_RING {
        let mut best: Option<(i32, (i32, i32))> = None;
        for d in -ring..=ring {
            for (x, y) in [(d, -ring), (d, ring), (-ring, d), (ring, d)] {
                let shift = (wish.0 + x, wish.1 + y);
                let far = x.abs() + y.abs();
                if best.is_none_or(|(least, _)| far < least) && fits(shift) {
                    best = Some((far, shift));
                }
            }
        }
        if let Some((_, shift)) = best {
            return shift;
        }
    }
    wish
}

#[cfg(test)]
mod tests {
    use super::*;
    use drawing::geometry::Point;

    #[test]
    fn points_snap_to_whole_steps() {
        assert_eq!(nearest_cell(Point::new(374, -376)), Cell::new(1, -2));
        assert_eq!(nearest_cell(Point::new(i32::MAX - 500, 0)), Cell::new(FARTHEST, 0));
    }

    #[test]
    fn room_is_found_beside_what_stands_there() {
        let taken = [Rect::new(-2, -3, 2, 3)];
        let own = [Rect::new(-2, -3, 2, 3)];
        let (dx, dy) = free_shift(&own, &taken, (1, 0));
        assert!(!own[0].moved(dx, dy).overlaps(&taken[0]));
        assert_eq!((dx, dy), (5, 0));
        assert_eq!(free_shift(&own, &taken, (9, 9)), (9, 9));
    }
}
