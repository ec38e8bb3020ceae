//! The title block: the fields of ISO 7200 (from memory), at most 180 mm wide.

use engine::document::Card;

use super::{outline, text};
use crate::geometry::{Point, Rect};
use crate::scene::{Anchor, Role, Shape};
use crate::text::{HEIGHT, clean, wrapped};

/// Width of the block.
pub const WIDTH: i32 = 18_000;

/// Height of a row: its caption, and two lines.
const ROW: i32 = 1300;

/// Height of the whole block, and of the short one of sheets that follow.
pub const FULL: i32 = 4 * ROW;
/// Height of the short block of sheets that follow.
pub const SHORT: i32 = 2 * ROW;

/// What a title block says beside the card of the job.
#[derive(Clone, Copy, Debug)]
pub struct Block<'a> {
    /// Title data.
    pub card: &'a Card,
    /// Type of document: `Circuit diagram`.
    pub document: &'a str,
    /// Size of the paper, or how to print it.
    pub paper: &'a str,
    /// Number of the sheet and of all sheets.
    pub sheet: &'a str,
}

impl Block<'_> {
    /// The block with every field, its lower right corner at `corner`.
    pub fn full(&self, corner: Point) -> Vec<Shape> {
        let card = self.card;
        self.rows(
            corner,
            &[
                &[(16, "Title", &card.title), (8, "Number", &card.number)],
                &[(12, "Customer", &card.customer), (12, "Vehicle", &card.vehicle)],
                &[
                    (7, "Owner", &card.owner),
                    (7, "Drawn by", &card.drawn_by),
                    (6, "Approved by", &card.approved_by),
                    (4, "Paper", self.paper),
                ],
                &[
                    (13, "Document", self.document),
                    (3, "Revision", &card.revision),
                    (4, "Date", &card.date),
                    (4, "Sheet", self.sheet),
                ],
            ],
        )
    }

    /// The short block, its lower right corner at `corner`.
    pub fn short(&self, corner: Point) -> Vec<Shape> {
        let card = self.card;
        self.rows(
            corner,
            &[
                &[(14, "Title", &card.title), (7, "Document", self.document), (3, "Sheet", self.sheet)],
                &[
                    (4, "Number", &card.number),
                    (2, "Rev.", &card.revision),
                    (3, "Date", &card.date),
                    (5, "Owner", &card.owner),
                    (5, "Drawn by", &card.drawn_by),
                    (5, "Approved by", &card.approved_by),
                ],
            ],
        )
    }

    /// Rows of fields: width in twenty-fourths, caption, what it says.
    fn rows(&self, corner: Point, rows: &[&[(i32, &str, &str)]]) -> Vec<Shape> {
        let left = corner.x - WIDTH;
        let mut top = corner.y - ROW * i32::try_from(rows.len()).unwrap_or(0);
        let mut shapes = vec![outline(Role::Field, Rect::new(left, top, corner.x, corner.y))];
        for fields in rows {
            let mut at = 0;
            for (share, caption, says) in *fields {
                let border = |at: i32| left + WIDTH * at / 24;
                shapes.extend(field(
                    Rect::new(border(at), top, border(at + share), top + ROW),
                    caption,
                    says,
                ));
                at += share;
            }
            top += ROW;
        }
        shapes
    }
}

/// One field: its caption, and what it says on as many lines as there is room for.
fn field(cell: Rect, caption: &str, says: &str) -> Vec<Shape> {
    const LARGE: i32 = 350;
    const PAD: i32 = 150;
    let mut shapes = vec![outline(Role::Field, cell)];
    let at = |y: i32| Point::new(cell.left + PAD, cell.top + y);
    shapes.push(text(caption.to_owned(), at(310), Anchor::Start, HEIGHT, Role::Caption));
    // Bold is wider than what the wrapping reckons with.
    let room = (cell.width() - 2 * PAD) * 12 / 13;
    let says = clean(says);
    let large = if caption == "Title" { LARGE } else { HEIGHT };
    let (height, baselines) = match wrapped(&says, large, room, 2).len() {
        2 => (HEIGHT, [730, 1130]),
        _ => (large, [970, 0]),
    };
    for (line, baseline) in wrapped(&says, height, room, 2).into_iter().zip(baselines) {
        shapes.push(text(line, at(baseline), Anchor::Start, height, Role::Designation));
    }
    shapes
}
