//! Where a new part finds room.

use engine::kind::{Kind, Values};

use super::Board;
use crate::draw::rooms;
use crate::geometry::{Cell, Point, Rect};
use crate::label::{Ground, Owner};
use crate::layout::End;
use crate::symbol::{Port, Symbol, in_sheet_units};

/// Free steps between the symbols of a new part, which leaves room for the text beside each.
const BETWEEN_VIEWS: i32 = 10;

/// Free steps kept before every terminal, so that wires find their way to it.
const BEFORE_A_TERMINAL: i32 = 2;

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
    /// says and then lie on nothing: no symbol, no wire, no lettering.
    pub fn free_spot(&self, kind: &'static Kind, values: &Values, wish: Cell) -> Cell {
        let own: Vec<Rect> = (stand(kind, values).into_iter().zip((kind.views)(values)))
            .flat_map(|((_, at), view)| {
                let symbol = Symbol { at, ..Symbol::new(0, view, 0) };
                let body = symbol.body();
                let mut rooms = vec![Rect { right: body.right + FOR_TEXT, ..body }.grown(2)];
                rooms.extend((0..symbol.view.pins.len()).map(|pin| before(symbol.port(pin), 0)));
                rooms
            })
            .map(in_sheet_units)
            .collect();
        let mut ground = Ground::default();
        for (index, symbol) in self.layout.symbols.iter().enumerate() {
            ground.take(in_sheet_units(symbol.body()), Owner::Fixed);
            for pin in 0..symbol.view.pins.len() {
                let stud = self.routes.studs.get(&End { symbol: index, pin });
                let reach = stud.map_or(0, |stud| stud.cells.len() as i32 - 1);
                ground.take(in_sheet_units(before(symbol.port(pin), reach)), Owner::Fixed);
            }
        }
        for room in self.scene.elements().iter().flat_map(|element| &element.shapes).flat_map(rooms) {
            ground.take(room, Owner::Fixed);
        }
        let fits = |at: &Cell| {
            let Point { x, y } = at.point();
            own.iter().all(|room| ground.is_free(&room.moved(x, y)))
        };
        wish.nearest(fits).unwrap_or(wish)
    }
}

/// The room before a terminal with a stud of so many steps, in steps.
fn before(port: Port, reach: i32) -> Rect {
    let end = port.at.towards(port.side, reach + BEFORE_A_TERMINAL);
    Rect::new(port.at.x, port.at.y, end.x, end.y).grown(1)
}
