//! The title block: the fields of ISO 7200 (from memory), at most 180 mm wide.

use engine::document::Card;

use super::{outline, text};
use crate::geometry::{Point, Rect};
use crate::scene::{Anchor, Role, Shape};
use crate::text::{HEIGHT, clean, wrapped};

/// Width of the block.
pub const WIDTH: i32 = 18_000;

/// Height of a row for short fields, and of one that has room for two lines.
const ROW: i32 = 950;
const HIGH_ROW: i32 = 1300;

/// Height of the whole block, and of the short one of sheets that follow.
pub const FULL: i32 = 4 * HIGH_ROW;
/// Height of the short block of sheets that follow.
pub const SHORT: i32 = ROW + HIGH_ROW;

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
                (HIGH_ROW, &[(4, "Title", &card.title), (2, "Number", &card.number)]),
                (HIGH_ROW, &[(3, "Customer", &card.customer), (3, "Vehicle", &card.vehicle)]),
                (
                    HIGH_ROW,
                    &[
                        (2, "Owner", &card.owner),
                        (2, "Drawn by", &card.drawn_by),
                        (1, "Approved by", &card.approved_by),
                        (1, "Paper", self.paper),
                    ],
                ),
                (
                    HIGH_ROW,
                    &[
                        (3, "Document", self.document),
                        (1, "Revision", &card.revision),
                        (1, "Date", &card.date),
                        (1, "Sheet", self.sheet),
                    ],
                ),
            ],
        )
    }

    /// The short block, its lower right corner at `corner`.
    pub fn short(&self, corner: Point) -> Vec<Shape> {
        let card = self.card;
        self.rows(
            corner,
            &[
                (ROW, &[(3, "Title", &card.title), (2, "Document", self.document), (1, "Sheet", self.sheet)]),
                (
                    HIGH_ROW,
                    &[
                        (1, "Number", &card.number),
                        (1, "Revision", &card.revision),
                        (1, "Date", &card.date),
                        (1, "Owner", &card.owner),
                        (1, "Drawn by", &card.drawn_by),
                        (1, "Approved by", &card.approved_by),
                    ],
                ),
            ],
        )
    }

    /// Rows of fields: width in sixths, caption, what it says.
    fn rows(&self, corner: Point, rows: &[(i32, &[(i32, &str, &str)])]) -> Vec<Shape> {
        let height: i32 = rows.iter().map(|(height, _)| height).sum();
        let left = corner.x - WIDTH;
        let mut top = corner.y - height;
        let mut shapes = vec![outline(Role::Field, Rect::new(left, top, corner.x, corner.y))];
        for (height, fields) in rows {
            let mut at = 0;
            for (share, caption, says) in *fields {
                let cell =
                    Rect::new(left + WIDTH * at / 6, top, left + WIDTH * (at + share) / 6, top + height);
                shapes.extend(field(cell, caption, says));
                at += share;
            }
            top += height;
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
    let is_high = cell.height() > ROW;
    let large = if caption == "Title" && is_high { LARGE } else { HEIGHT };
    let most = if is_high { 2 } else { 1 };
    let one = wrapped(&says, large, room, most);
    let (height, baselines) = match (one.len(), is_high) {
        (2, _) => (HEIGHT, [730, 1130]),
        (_, true) => (large, [970, 0]),
        _ => (large, [770, 0]),
    };
    for (line, baseline) in wrapped(&says, height, room, most).into_iter().zip(baselines) {
        shapes.push(text(line, at(baseline), Anchor::Start, height, Role::Designation));
    }
    shapes
}
