//! Where a new part finds room.

use engine::kind::{Kind, Values};

use super::Board;
use crate::geometry::{Cell, Rect};
use crate::symbol::Symbol;

/// Free steps between the symbols of a new part, which leaves room for the text beside each.
const BETWEEN_VIEWS: i32 = 10;

/// Free steps kept around a new symbol.
const CLEARANCE: i32 = 2;

/// Room for the text to the right of a new symbol, in steps.
const FOR_TEXT: i32 = 7;

/// How the symbols of a new part stand by one another: each view with its place relative to the
/// spot of the part, side by side.
pub fn stand(kind: &'static Kind, values: &Values) -> Vec<(&'static str, Cell)> {
    let mut x = 0;
    let mut places = Vec::new();
    for (index, view) in (kind.views)(values).into_iter().enumerate() {
        let (left, _, right, _) = view.body;
        if index > 0 {
            x -= left;
        }
        places.push((view.name, Cell::new(x, 0)));
        x += right + BETWEEN_VIEWS;
    }
    places
}

impl Board {
    /// The free spot nearest to `wish` for a new part, whose symbols stand around it as [`stand`]
    /// says and then overlap nothing.
    pub fn free_spot(&self, kind: &'static Kind, values: &Values, wish: Cell) -> Cell {
        let views = (kind.views)(values);
        let own: Vec<Rect> = (stand(kind, values).into_iter().zip(views))
            .map(|((_, at), view)| {
                let body = Symbol::new(0, view, 0).local_body();
                Rect { right: body.right + FOR_TEXT, ..body }.moved(at.x, at.y).grown(CLEARANCE)
            })
            .collect();
        let taken: Vec<Rect> = self.layout.symbols.iter().map(Symbol::body).collect();
        let fits = |at: &Cell| {
            !own.iter().any(|own| taken.iter().any(|other| own.moved(at.x, at.y).overlaps(other)))
        };
        nearest(wish, fits).unwrap_or(wish)
    }
}

/// The cell nearest to `wish` that `fits`, searched ring by ring.
fn nearest(wish: Cell, fits: impl Fn(&Cell) -> bool) -> Option<Cell> {
    const FARTHEST: i32 = 400;
    (0..FARTHEST).find_map(|ring| {
        let around = (-ring..=ring).flat_map(|d| {
            let Cell { x, y } = wish;
            [
                Cell::new(x + d, y - ring),
                Cell::new(x + d, y + ring),
                Cell::new(x - ring, y + d),
                Cell::new(x + ring, y + d),
            ]
        });
        around.filter(|at| fits(at)).min_by_key(|at| (at.distance(wish), at.y, at.x))
    })
}
