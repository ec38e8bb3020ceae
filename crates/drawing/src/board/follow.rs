//! Following an edit.

use std::sync::Arc;

use engine::document::{Network, Placement, Wire};

use super::Board;
use crate::draw::{Drawing, Texts, WireText, rooms_of_texts};
use crate::geometry::{Cell, Point, Rect, STEP};
use crate::layout::{self, Layout, Origin, lay_out_after};
use crate::route::{self, Path, Routes, reroute};
use crate::scene::Shape;
use crate::symbol::Symbol;
use crate::words::{self, Words};

impl Board {
    /// Follows an edit. Symbols without a pose stay where they stood; where no symbol has a pose,
    /// the whole drawing is laid out anew, unless the edit changed neither symbols nor wires.
    ///
    /// Takes time for what changed, beside one look at everything. If a wire finds no clear path
    /// around what stays, all wires are routed anew, should that help.
    pub fn update(&mut self, network: &Arc<Network>, placement: &Arc<Placement>) {
        if Arc::ptr_eq(&self.placement, placement) && looks_alike(&self.network, network) {
            self.network = Arc::clone(network);
            return;
        }
        let has_poses = !placement.poses.is_empty();
        if !has_poses && !self.placement.poses.is_empty() {
            *self = self.anew(network, placement);
            return;
        }
        let courses = route::courses(&self.layout, &self.routes);
        let former = layout::Former { network: &self.network, layout: &self.layout, courses: &courses };
        let (layout, origin) = lay_out_after(self.rest, network, placement, &former);
        let stays: Vec<bool> = (layout.symbols.iter().zip(&origin.symbols))
            .map(|(symbol, was)| was.is_some_and(|was| takes_same_space(symbol, &self.layout.symbols[was])))
            .collect();
        let is_same = self.is_same(&layout, &origin, &stays);
        if !has_poses && !is_same {
            *self = self.anew(network, placement);
            return;
        }
        let is_same_network = Arc::ptr_eq(&self.network, network);
        let words = if is_same_network { Arc::clone(&self.words) } else { Arc::new(Words::of(network)) };
        let drawing = Drawing::new(network, &layout, Arc::clone(&words));
        let mut memory = std::mem::take(&mut self.memory);
        let parts = self.former_part_texts(&drawing, &layout, &origin);
        let mut homes: Vec<Option<Rect>> = Vec::new();
        let routes = if is_same {
            self.routes.clone()
        } else {
            let former = route::Former {
                layout: &self.layout,
                routes: &self.routes,
                courses: &courses,
                origin: &origin,
                stays: &stays,
            };
            let names = drawing.names();
            let routes = reroute(&mut memory, &layout, &former, &names, || {
                homes = drawing.first_homes(&parts);
                rooms_of_texts(&homes)
            });
            if n_blemishes(&routes, &names) == (0, 0) {
                routes
            } else {
                homes = drawing.first_homes(&parts);
                let fresh = drawing.route(&homes, &mut memory);
                let is_better = n_blemishes(&fresh, &names) < n_blemishes(&routes, &names);
                if is_better { fresh } else { routes }
            }
        };
        let wires = self.former_wire_texts(network, &origin, &routes);
        let (scene, texts) = drawing.finish(&routes, &homes, &Texts { parts, wires });
        let (network, placement) = (Arc::clone(network), Arc::clone(placement));
        let (rest, given, scene) = (self.rest, self.given.take(), Arc::new(scene));
        *self = Board { network, placement, words, layout, routes, texts, scene, memory, rest, given };
    }

    /// Whether all symbols and wires are the ones there were, in the same order and place.
    fn is_same(&self, layout: &Layout, origin: &Origin, stays: &[bool]) -> bool {
        let in_order =
            |all: &[Option<usize>], n: usize| all.len() == n && (0..n).all(|index| all[index] == Some(index));
        in_order(&origin.symbols, self.layout.symbols.len())
            && in_order(&origin.wires, self.layout.ends.len())
            && stays.iter().all(|stays| *stays)
            && layout.ends == self.layout.ends
    }

    /// The space of each symbol's text as it was, moved along with the symbol, if it says as much as
    /// before.
    fn former_part_texts(&self, drawing: &Drawing, layout: &Layout, origin: &Origin) -> Vec<Option<Rect>> {
        let of = |(index, symbol): (usize, &Symbol)| {
            let was = origin.symbols[index]?;
            let (old, home) = (&self.layout.symbols[was], self.texts.parts[was]?);
            let fits = (home.width(), home.height()) == drawing.text_size(index) && old.turn == symbol.turn;
            let (dx, dy) = ((symbol.at.x - old.at.x) * STEP, (symbol.at.y - old.at.y) * STEP);
            fits.then_some(home.moved(dx, dy))
        };
        layout.symbols.iter().enumerate().map(of).collect()
    }

    /// The texts of wires that say the same as before and still stand beside their wire.
    fn former_wire_texts(
        &self,
        network: &Arc<Network>,
        origin: &Origin,
        routes: &Routes,
    ) -> Vec<Option<WireText>> {
        let is_same_network = Arc::ptr_eq(&self.network, network);
        let of = |(index, was): (usize, &Option<usize>)| {
            let was = (*was)?;
            let text = self.texts.wires[was].as_ref()?;
            if !is_same_network && words::wire_words(&network.wires[index]) != text.words {
                return None;
            }
            beside(text, self.routes.paths[was].as_ref()?, routes.paths[index].as_ref()?)
        };
        origin.wires.iter().enumerate().map(of).collect()
    }
}

/// How many wires have no clear path, or run over the name of a terminal. The former weigh more
/// than any number of the latter.
fn n_blemishes(routes: &Routes, names: &[(usize, Rect)]) -> (usize, usize) {
    let mut n = (0, 0);
    for path in routes.paths.iter().flatten() {
        n.0 += usize::from(path.forced);
        let Some(room) = Rect::around(path.cells.iter().map(|cell| Point::new(cell.x, cell.y))) else {
            continue;
        };
        let mut near = names.iter().map(|(_, name)| name).filter(|name| name.meets(&room));
        let runs_over = near.any(|name| {
            let is_over = |leg: &[Cell]| Rect::new(leg[0].x, leg[0].y, leg[1].x, leg[1].y).meets(name);
            path.cells.windows(2).any(is_over)
        });
        n.1 += usize::from(runs_over);
    }
    n
}

/// Whether two networks give the same drawing: most of what is said of a wire, such as its length, does not show on it.
fn looks_alike(one: &Arc<Network>, other: &Arc<Network>) -> bool {
    let shown = |wire: &Wire| Wire {
        label: wire.label.clone(),
        status: wire.status,
        size: wire.size,
        color: wire.color,
        ..Wire::new(wire.id.clone(), wire.from.clone(), wire.to.clone())
    };
    Arc::ptr_eq(one, other)
        || (one.parts == other.parts
            && one.wires.len() == other.wires.len()
            && one.wires.iter().zip(&other.wires).all(|(one, other)| shown(one) == shown(other)))
}

/// Whether a symbol closes the same ground to wires, and offers them the same terminals.
fn takes_same_space(symbol: &Symbol, was: &Symbol) -> bool {
    (symbol.at, symbol.turn, symbol.view.body) == (was.at, was.turn, was.view.body)
        && symbol.view.pins == was.view.pins
}

/// The text of a wire that went along `old` and now goes along `new`: where it was, or moved
/// along with its wire; `None` when it would stand by itself.
fn beside(text: &WireText, old: &Path, new: &Path) -> Option<WireText> {
    let (from, to) = (old.cells.first()?, new.cells.first()?);
    let (dx, dy) = (to.x - from.x, to.y - from.y);
    let moved = |cell: &Cell| Cell::new(cell.x + dx, cell.y + dy);
    if old.cells.iter().map(moved).eq(new.cells.iter().copied()) {
        let (dx, dy) = (dx * STEP, dy * STEP);
        let leader = text.leader.as_ref().map(|leader| match leader {
            Shape::Line(role, points) => {
                Shape::Line(*role, points.iter().map(|point| point.moved(dx, dy)).collect())
            }
            other => other.clone(),
        });
        let place = text.place.clone().moved(dx, dy);
        return Some(WireText { words: text.words.clone(), place, leader });
    }
    let is_on = |leg: &[Cell]| {
        let (a, b): (Point, Point) = (leg[0].point(), leg[1].point());
        let foot = text.place.foot;
        Rect::new(a.x, a.y, b.x, b.y).holds(&Rect::new(foot.x, foot.y, foot.x, foot.y))
    };
    (text.leader.is_none() && new.cells.windows(2).any(is_on)).then(|| text.clone())
}
