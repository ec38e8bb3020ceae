//! The sheet under a drawing: its size, frame, title block and cautions.
//!
//! Frame and title block follow ISO 5457 and ISO 7200 (from memory); landscape A4 is a deviation
//! that suits office printers.

mod block;
mod frame;

use engine::document::Card;

use crate::geometry::{Point, Rect};
use crate::overlay::Overlay;
use crate::scene::{Anchor, Lettering, Role, Shape};
use crate::text::{HEIGHT, line_pitch, wrapped};

pub use block::{Block, FULL, SHORT, WIDTH};
pub use frame::{Frame, MARGINS, Margins, WIDE_MARGINS};

/// Sheets in landscape, smallest first: name, width and height in hundredths of a millimetre
/// (ISO 216). What needs more gets a sheet of the same shape, to be printed smaller on the last.
const SIZES: [(&str, i32, i32); 2] = [("A4", 29_700, 21_000), ("A3", 42_000, 29_700)];

/// Free space between frame and drawing.
const FREE: i32 = 500;

/// What must be said on every sheet.
pub const CAUTIONS: &[&str] = &[
    "Calculated, not measured.",
    "Disconnect the battery, negative first, before any work. A wrong cable or fuse can start a fire.",
    "Local regulations, the vehicle maker's instructions and a qualified person come first.",
    "Not for airbag, brake or steering circuits, high-voltage or gas-space wiring.",
];

/// How to read the drawing.
pub const LEGEND: &[&str] = &[
    "Wires: name, size in mm² or AWG, colour letters (IEC 60757).",
    "Contacts are drawn at rest. Grey lettering, thinner lines: already there. With a cross: comes out.",
    "Designation letters: IEC 81346. Terminal numbers: DIN 72552, of relays ISO 7588-1.",
];

/// How to read the readings on it, where there are some.
pub const LEGEND_OF_READINGS: &str = "Readings with ≈ rest on an assumed value of their own.";

/// A sheet around a drawing.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Sheet {
    /// Name of the size, or how to print it on the largest size there is.
    pub name: String,
    /// The whole paper, in the coordinates of the scene.
    pub paper: Rect,
    /// The field left for the drawing.
    pub field: Rect,
    /// Frame, title block and cautions.
    pub shapes: Vec<Shape>,
}

/// The smallest sheet that holds `content`, which keeps its coordinates.
///
/// The title block says what `overlay` shows; its marks are part of the content. `rules` are those that the limits go
/// by, where they are not the usual ones.
pub fn sheet(content: Rect, card: &Card, overlay: &Overlay, rules: Option<&str>) -> Sheet {
    let readings = overlay.situation.as_ref().map(|_| LEGEND_OF_READINGS);
    let extra: Vec<&str> = readings.into_iter().chain(rules).collect();
    let fit = SIZES.iter().find_map(|&(name, width, height)| {
        let strip = strip_height(width, &extra);
        let room = field_size(width, height, strip);
        (content.width() <= room.0 && content.height() <= room.1)
            .then(|| (name.to_owned(), width, height, strip))
    });
    let (name, width, height, strip) = fit.unwrap_or_else(|| {
        let (name, like_width, like_height) = SIZES[SIZES.len() - 1];
        let up = |v: i32| (v + 999) / 1000 * 1000;
        let across = content.width() + MARGINS.filing + MARGINS.others + 2 * FREE;
        let down = |strip: i32| content.height() + 2 * MARGINS.others + 2 * FREE + strip;
        // A wider sheet never needs a higher strip of notes.
        let tall = i64::from(down(strip_height(like_width, &extra))) * i64::from(like_width)
            / i64::from(like_height);
        let width = up(across.max(tall as i32)).max(like_width);
        let height = (i64::from(width) * i64::from(like_height) / i64::from(like_width)) as i32;
        let scale = i64::from(like_width) * 100 / i64::from(width);
        (format!("prints on {name} at {scale} %"), width, height, strip_height(width, &extra))
    });
    let (free_width, free_height) = field_size(width, height, strip);
    let left = content.center().x - free_width / 2 - FREE - MARGINS.filing;
    let top = content.center().y - free_height / 2 - FREE - MARGINS.others;
    let paper = Rect::new(left, top, left + width, top + height);
    let frame = Frame::new(paper, MARGINS);
    let mut shapes = frame.shapes(name != "A4");
    let frame = frame.inside;
    let field = Rect { bottom: frame.bottom - strip, ..frame };
    shapes.push(Shape::Line(
        Role::Field,
        vec![Point::new(frame.left, field.bottom), Point::new(frame.right, field.bottom)],
    ));
    let checks = if overlay.unchecked { ", not checked" } else { "" };
    let document = match &overlay.situation {
        // Reads well with the name of a situation, at rest, and with positions that have no name.
        Some(situation) => format!("Circuit diagram{checks} with readings, switches: {situation}"),
        None => format!("Circuit diagram{checks}"),
    };
    let block =
        Block { card, document: &document, paper: name.trim_start_matches("prints on "), sheet: "1/1" };
    shapes.extend(block.full(Point::new(frame.right, frame.bottom)));
    let notes = Rect { right: frame.right - WIDTH, top: field.bottom, ..frame };
    shapes.extend(note_lines(notes.width(), &extra).into_iter().enumerate().map(|(i, (line, role))| {
        let at = Point::new(notes.left + 300, notes.top + 300 + HEIGHT + i as i32 * line_pitch(HEIGHT));
        text(line, at, Anchor::Start, HEIGHT, role)
    }));
    Sheet { name, paper, field, shapes }
}

/// Room for the drawing on a sheet with a strip of notes of this height.
fn field_size(width: i32, height: i32, strip: i32) -> (i32, i32) {
    (width - MARGINS.filing - MARGINS.others - 2 * FREE, height - 2 * MARGINS.others - 2 * FREE - strip)
}

/// Height of the strip that holds notes and title block on a sheet of this width.
fn strip_height(width: i32, extra: &[&str]) -> i32 {
    let n_lines = note_lines(width - MARGINS.filing - MARGINS.others - WIDTH, extra).len() as i32;
    (n_lines * line_pitch(HEIGHT) + 500).max(FULL)
}

/// Cautions, legend and what else is to be said of this drawing, broken into lines for a field of this width.
fn note_lines(width: i32, extra: &[&str]) -> Vec<(String, Role)> {
    const MOST: usize = 8;
    let lines = |notes: &[&str], role: Role| -> Vec<(String, Role)> {
        notes
            .iter()
            .flat_map(|note| wrapped(note, HEIGHT, (width - 600) * 12 / 13, MOST))
            .map(|line| (line, role))
            .collect()
    };
    let mut all = lines(CAUTIONS, Role::Designation);
    all.extend(lines(LEGEND, Role::Lettering));
    all.extend(lines(extra, Role::Lettering));
    all
}

/// A rectangle.
pub fn outline(role: Role, rect: Rect) -> Shape {
    let Rect { left, top, right, bottom } = rect;
    let corner = Point::new;
    Shape::Area(
        role,
        vec![corner(left, top), corner(right, top), corner(right, bottom), corner(left, bottom)],
    )
}

/// A line of lettering.
pub fn text(text: String, at: Point, anchor: Anchor, height: i32, role: Role) -> Shape {
    Shape::Text(Lettering { text, at, anchor, height, upright: false, role })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Whether a text stands inside the frame; the name of a zone stands just outside of it.
    fn is_inside(sheet: &Sheet, text: &Lettering) -> bool {
        let of_zone = text.text.chars().count() <= 2;
        sheet.paper.grown(if of_zone { -500 } else { -MARGINS.others }).holds(&text.bounds())
    }

    #[test]
    fn a_sheet_with_readings_says_what_their_mark_means_and_has_room_for_it() {
        for width in [10_000, 30_000, 50_000] {
            let content = Rect::new(0, 0, width, 9_000);
            let notes = |situation: Option<&str>| {
                let overlay = Overlay { situation: situation.map(str::to_owned), ..Overlay::default() };
                let sheet = sheet(content, &Card::default(), &overlay, None);
                let inside = |text: &Lettering| is_inside(&sheet, text);
                let texts = sheet.shapes.iter().filter_map(|shape| match shape {
                    Shape::Text(text) => Some(text),
                    _ => None,
                });
                assert!(texts.clone().all(inside), "{width}");
                texts.map(|text| text.text.clone()).collect::<Vec<_>>().join(" ")
            };
            assert!(notes(Some("at rest")).contains(LEGEND_OF_READINGS), "{width}");
            assert!(!notes(None).contains('≈'), "{width}");
        }
    }

    #[test]
    fn the_rules_that_were_chosen_stand_on_the_sheet_and_have_room() {
        let rules = "The fuse ahead of them is by a rule of which nobody but this job has heard.";
        for width in [10_000, 50_000] {
            let content = Rect::new(0, 0, width, 9_000);
            let sheet = sheet(content, &Card::default(), &Overlay::default(), Some(rules));
            let texts = sheet.shapes.iter().filter_map(|shape| match shape {
                Shape::Text(text) => Some(text),
                _ => None,
            });
            assert!(texts.clone().all(|text| is_inside(&sheet, text)), "{width}");
            let said = texts.map(|text| text.text.clone()).collect::<Vec<_>>().join(" ");
            assert!(said.contains(rules), "{said}");
        }
    }

    #[test]
    fn the_smallest_sheet_that_holds_the_drawing_is_taken() {
        let card = Card::default();
        for (width, height, name) in [
            (10_000, 9_000, "A4"),
            (30_000, 9_000, "A3"),
            (50_000, 20_000, "prints on A3 at 77 %"),
            (300_000, 20_000, "prints on A3 at 13 %"),
        ] {
            let content = Rect::new(-500, 700, -500 + width, 700 + height);
            let sheet = sheet(content, &card, &Overlay::default(), None);
            assert_eq!(sheet.name, name);
            assert!(sheet.field.holds(&content), "{sheet:?}");
            assert!(sheet.paper.holds(&sheet.field));
            for shape in &sheet.shapes {
                assert!(sheet.paper.holds(&shape.bounds()), "{shape:?}");
            }
        }
    }

    #[test]
    fn a_sheet_without_marks_says_when_nothing_was_checked() {
        let says = |overlay: &Overlay| {
            let sheet = sheet(Rect::new(0, 0, 100, 100), &Card::default(), overlay, None);
            let texts = sheet.shapes.into_iter().filter_map(|shape| match shape {
                Shape::Text(text) => Some(text.text),
                _ => None,
            });
            texts.collect::<Vec<_>>().join(" ")
        };
        let situation = Some("at rest".to_owned());
        let plain = says(&Overlay::default());
        assert!(plain.contains("Circuit diagram") && !plain.contains("not checked"), "{plain}");
        let overlay = Overlay { unchecked: true, ..Overlay::default() };
        assert!(says(&overlay).contains("Circuit diagram, not checked"));
        let with_readings = says(&Overlay { situation, ..overlay });
        let expected = "Circuit diagram, not checked with readings, switches: at rest";
        assert!(with_readings.contains(expected), "{with_readings}");
    }
}
