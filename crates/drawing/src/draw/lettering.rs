//! Where the texts of parts and wires stand.
//!
//! Texts that stood before an edit keep their place while it is free; then the others choose.

use engine::arrange;

use super::{Drawing, in_steps, nearest_point, rooms};
use crate::geometry::{Point, Rect, STEP};
use crate::label::{self, Ground, Owner};
use crate::route::Routes;
use crate::scene::{Element, ElementId, Layer, Role, Shape};
use crate::symbol::Symbol;
use crate::wire_label::{WirePlace, WirePlaces};
use crate::words;

/// Where the texts of a drawing stand.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub(crate) struct Texts {
    /// The space of the text beside each symbol.
    pub parts: Vec<Option<Rect>>,
    /// The text of each wire.
    pub wires: Vec<Option<WireText>>,
}

/// The text of one wire.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct WireText {
    /// What it says: the name of the wire, and its size and color letters.
    pub words: (String, String),
    /// Where it stands.
    pub place: WirePlace,
    /// A line to it from the wire, if it stands far away.
    pub leader: Option<Shape>,
}

/// The rooms of texts in grid steps, for wires to go around.
pub(crate) fn rooms_of_texts(homes: &[Option<Rect>]) -> Vec<Rect> {
    homes.iter().flatten().map(|home| in_steps(*home)).collect()
}

impl Drawing<'_> {
    /// The size of the text beside a symbol.
    pub(crate) fn text_size(&self, symbol: usize) -> (i32, i32) {
        let (n_bold, lines) = &self.words.lines[self.layout.symbols[symbol].part];
        label::part_block_size(*n_bold, lines)
    }

    /// Where each symbol's text would stand if no wire were in the way; wires then rather go
    /// around it. Texts that have a place in `former` keep it.
    pub(crate) fn first_homes(&self, former: &[Option<Rect>]) -> Vec<Option<Rect>> {
        let mut ground = Ground::default();
        for stroke in self.marks.iter().flatten().flat_map(rooms) {
            ground.take(stroke, Owner::Fixed);
        }
        for name in self.names.iter().flatten().flatten() {
            ground.take(name.bounds(), Owner::Fixed);
        }
        let mut homes: Vec<Option<Rect>> = vec![None; self.layout.symbols.len()];
        for (home, was) in homes.iter_mut().zip(former) {
            *home = was.filter(|was| ground.is_free(was));
            if let Some(home) = *home {
                ground.take(home, Owner::Fixed);
            }
        }
        for (symbol, home) in homes.iter_mut().enumerate().filter(|(_, home)| home.is_none()) {
            *home = self.best_home(symbol, &ground);
            if let Some(home) = *home {
                ground.take(home, Owner::Fixed);
            }
        }
        homes
    }

    /// The best place for the text beside a symbol that is free, or the one with least on it.
    fn best_home(&self, symbol: usize, ground: &Ground) -> Option<Rect> {
        let (width, height) = self.text_size(symbol);
        if width == 0 {
            return None;
        }
        let symbol = &self.layout.symbols[symbol];
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

    /// Puts all texts down; `homes` is where those of the parts would stand without wires.
    pub(super) fn texts(&mut self, routes: &Routes, homes: &[Option<Rect>], former: &Texts) -> Texts {
        let n_symbols = self.layout.symbols.len();
        let mut texts = Texts { parts: vec![None; n_symbols], wires: vec![None; self.network.wires.len()] };
        for (text, was) in texts.parts.iter_mut().zip(&former.parts) {
            *text = was.filter(|was| self.ground.is_free(was));
            if let Some(home) = *text {
                self.ground.take(home, Owner::Fixed);
            }
        }
        for (text, was) in texts.wires.iter_mut().zip(&former.wires) {
            *text = was.clone().filter(|was| self.ground.is_free(&was.place.bounds));
            if let Some(text) = text {
                self.ground.take(text.place.bounds, Owner::Fixed);
            }
        }
        // A wire may have had no other way than through the first home of a text, and what stays
        // may stand there; until that is known, nothing else goes there.
        let waiting: Vec<usize> = (0..n_symbols).filter(|&symbol| texts.parts[symbol].is_none()).collect();
        let first = |symbol: usize| homes.get(symbol).copied().flatten();
        for home in waiting.iter().filter_map(|&symbol| first(symbol)) {
            self.ground.take(home, Owner::Fixed);
        }
        for symbol in waiting {
            let home = first(symbol);
            if let Some(home) = home {
                self.ground.free(home, Owner::Fixed);
            }
            let home = match home {
                Some(home) if self.ground.is_free(&home) => Some(home),
                _ => self.best_home(symbol, &self.ground).or(home),
            };
            if let Some(home) = home {
                self.ground.take(home, Owner::Fixed);
            }
            texts.parts[symbol] = home;
        }
        self.choose_wire_texts(routes, &mut texts.wires);
        for (symbol, home) in texts.parts.iter().enumerate() {
            if let Some(home) = home {
                let element = self.part_text(symbol, *home);
                self.elements.push(element);
            }
        }
        for (wire, text) in self.network.wires.iter().zip(&texts.wires) {
            let Some(text) = text else { continue };
            let mut element = Element::new(ElementId::WireText(wire.id.clone()), Layer::Text, wire.status);
            element.title = format!("wire {}", wire.title());
            element.shapes.extend(text.leader.clone());
            element.shapes.extend(text.place.lines.iter().cloned().map(Shape::Text));
            self.elements.push(element);
        }
        texts
    }

    fn part_text(&self, index: usize, home: Rect) -> Element {
        let symbol: &Symbol = &self.layout.symbols[index];
        let (n_designation, lines) = &self.words.lines[symbol.part];
        let mut element =
            Element::new(self.id(symbol, ElementId::PartText), Layer::Text, self.status(symbol));
        element.title =
            format!("{} {}", self.network.parts[symbol.part].kind.noun, self.words.designations[symbol.part]);
        // Text that had to go far away is led back to its symbol.
        let ink = symbol.ink();
        let to = nearest_point(&home, ink.center());
        let from = nearest_point(&ink, to);
        if (from.x - to.x).abs() + (from.y - to.y).abs() > 4 * STEP {
            element.shapes.push(Shape::Line(Role::Leader, vec![from, to]));
        }
        for (i, mut line) in label::block(lines, home, ink.center()).into_iter().enumerate() {
            if i < *n_designation {
                line.role = Role::Designation;
            }
            element.shapes.push(Shape::Text(line));
        }
        element
    }

    /// Finds places for the texts of wires that have none yet.
    fn choose_wire_texts(&mut self, routes: &Routes, texts: &mut [Option<WireText>]) {
        let mut order: Vec<usize> =
            (0..texts.len()).filter(|&i| routes.paths[i].is_some() && texts[i].is_none()).collect();
        let length = |i: &usize| -> i32 {
            let cells = routes.paths[*i].as_ref().map_or(&[][..], |path| &path.cells);
            cells.windows(2).map(|w| w[0].distance(w[1])).sum()
        };
        // Short wires have the fewest places to choose from.
        arrange::sort_by_key(&mut order, |i| (length(i), *i));
        for index in order {
            let Some(path) = &routes.paths[index] else { continue };
            let points: Vec<Point> = path.cells.iter().map(|cell| cell.point()).collect();
            let words = words::wire_words(&self.network.wires[index]);
            let places = WirePlaces::new(&points, &words.0, &words.1);
            let found = places.bounds().position(|bounds| self.ground.is_free(&bounds));
            let found = match found {
                Some(free) => places.place(free).map(|place| (place, None)),
                None => self.remote_place(&places),
            };
            if let Some((place, leader)) = found {
                self.ground.take(place.bounds, Owner::Fixed);
                texts[index] = Some(WireText { words, place, leader });
            }
        }
    }

    /// A free place away from the wire, with a line that leads to it.
    fn remote_place(&self, places: &WirePlaces) -> Option<(WirePlace, Option<Shape>)> {
        let rooms: Vec<Rect> = places.bounds().collect();
        let Some((index, dx, dy)) = self.ground.shift_to_free(&rooms) else {
            return Some((places.place(0)?, None));
        };
        let near = places.place(index)?;
        // The wire stays where it is.
        let foot = near.foot;
        let place = WirePlace { foot, ..near.moved(dx, dy) };
        let leader = Shape::Line(Role::Leader, vec![foot, nearest_point(&place.bounds, foot)]);
        Some((place, Some(leader)))
    }
}
