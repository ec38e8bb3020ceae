//! Every symbol there is, on one sheet: each kind, and each variant of it that is drawn otherwise.

use std::sync::Arc;

use engine::document::{Card, Document, Network, Part, Placement, Pose};
use engine::given::Given;
use engine::ids::PartId;
use engine::kind::{ALL, Form, Kind, Value, Values, View};

use crate::overlay::Overlay;

/// Steps across the sheet, from one symbol to the next, and from one row to the next.
const ACROSS: i32 = 120;
/// See [`ACROSS`].
const GAP: i32 = 13;
/// See [`ACROSS`].
const ROW: i32 = 14;

/// The sheet with every symbol, as SVG.
pub fn overview() -> String {
    crate::picture(&every_symbol(), &Overlay::default())
}

/// A job with each kind once, and once more for each word of its values that makes another symbol.
fn every_symbol() -> Document {
    let mut network = Network::default();
    let mut placement = Placement::default();
    let (mut x, mut y) = (0, 0);
    for (number, (kind, label, values, views)) in variants().into_iter().enumerate() {
        let id = PartId::new(&format!("p{number}")).expect("a letter and a number are an id");
        for view in &views {
            let (left, _, right, _) = view.body;
            if x + right - left > ACROSS {
                (x, y) = (0, y + ROW);
            }
            placement.poses.push(Pose {
                part: id.clone(),
                view: view.name.to_owned(),
                x: x - left,
                y,
                turn: 0,
                mirrored: false,
                pinned: false,
            });
            x += right - left + GAP;
        }
        network.parts.push(Part { values, ..Part::new(id, kind, label) });
    }
    let card = Card { title: "Every symbol of the program".to_owned(), ..Card::default() };
    Document {
        card: Arc::new(card),
        network: Arc::new(network),
        placement: Arc::new(placement),
        ..Document::default()
    }
}

/// A kind with values that give it these symbols, and what to call it.
type Variant = (&'static Kind, String, Values, Vec<View>);

fn variants() -> Vec<Variant> {
    let mut all: Vec<Variant> = Vec::new();
    for kind in ALL.iter().copied() {
        let first = all.len();
        let plain = (kind.noun.to_owned(), Values::default());
        let words = kind.values.iter().flat_map(|spec| {
            let words = match spec.form {
                Form::Word(words) => words,
                _ => &[],
            };
            words.iter().skip(1).map(|word| {
                let mut values = Values::default();
                values.set(spec.name, Given::Known(Value::Word(word)));
                (format!("{}, {word}", kind.noun), values)
            })
        });
        for (label, values) in std::iter::once(plain).chain(words) {
            let views = (kind.views)(&values);
            if all[first..].iter().all(|(.., shown)| *shown != views) {
                all.push((kind, label, values, views));
            }
        }
    }
    all
}

#[cfg(test)]
mod tests {
    use engine::kind::glyph::Mark;

    use super::*;

    /// The points of a mark.
    fn points(mark: &Mark) -> Vec<(f64, f64)> {
        match mark {
            Mark::Line(points) | Mark::Outline(points) | Mark::Solid(points) | Mark::Link(points) => {
                points.clone()
            }
            Mark::Circle(center, _)
            | Mark::Dot(center, _)
            | Mark::HalfCircle(center, ..)
            | Mark::Letter(center, _)
            | Mark::Word(center, _) => vec![*center],
        }
    }

    #[test]
    fn all_symbols_are_on_one_grid_and_have_one_dot() {
        for (kind, label, _, views) in variants() {
            let marks = || views.iter().flat_map(|view| &view.marks);
            // The cross of a lamp ends where its circle does.
            let on_a_circle = |x: f64, y: f64| {
                marks().any(|mark| match mark {
                    Mark::Circle(center, radius) => {
                        (libm::hypot(x - center.0, y - center.1) - radius).abs() < 1e-9
                    }
                    _ => false,
                })
            };
            for mark in marks() {
                for (x, y) in points(mark) {
                    // A twentieth of a step is an eighth of a millimetre.
                    let on_grid = |v: f64| (v * 20.0 - libm::round(v * 20.0)).abs() < 1e-9;
                    assert!((on_grid(x) && on_grid(y)) || on_a_circle(x, y), "{label}: ({x}, {y})");
                }
                if let Mark::Dot(_, radius) = mark {
                    // A splice is a part, and so more than the meeting of lines.
                    let own = if kind.name == "splice" { 0.3 } else { 0.2 };
                    assert_eq!(*radius, own, "{label}");
                }
            }
        }
    }

    #[test]
    fn every_wire_meets_its_symbol_on_a_stroke() {
        for (_, label, _, views) in variants() {
            for view in &views {
                let ends: Vec<(f64, f64)> = view.marks.iter().flat_map(points).collect();
                for pin in &view.pins {
                    let at = (f64::from(pin.at.0), f64::from(pin.at.1));
                    assert!(ends.contains(&at), "{label}, {}: {}", view.name, pin.terminal);
                }
            }
        }
    }

    #[test]
    fn every_kind_is_on_the_overview() {
        let text = overview();
        for kind in ALL {
            assert!(text.contains(kind.noun), "{}", kind.name);
        }
    }
}
