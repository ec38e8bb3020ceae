//! The title block: the fields of ISO 7200 (from memory), at most 180 mm wide.

use engine::document::Card;

use super::{outline, text};
use crate::geometry::{Point, Rect};
use crate::scene::{Anchor, Role, Shape};
use crate::text::{HEIGHT, bold, clean, cut, width, wrapped};

/// Width of the block.
pub const WIDTH: i32 = 18_000;

/// Height of a row: its caption, and two lines.
const ROW: i32 = 1300;

/// Height of a row of the short block: its caption, and one line.
const LOW_ROW: i32 = 790;

/// Free space inside a field, left and right.
const PAD: i32 = 150;

/// Height of the whole block.
pub const FULL: i32 = 4 * ROW;
/// Height of the short block of sheets that follow.
pub const SHORT: i32 = 2 * LOW_ROW;

/// A field: its width in twenty-fourths of the block, its caption, and what it says.
type Field<'a> = (i32, &'a str, &'a str);

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

    /// The short block, its lower right corner at `corner`. What is too long for it is written out in the whole block
    /// of the first sheet.
    pub fn short(&self, corner: Point) -> Vec<Shape> {
        let card = self.card;
        let rows: [&[(&str, &str)]; 2] = [
            &[("Title", &card.title), ("Document", self.document), ("Sheet", self.sheet)],
            &[
                ("Number", &card.number),
                ("Rev.", &card.revision),
                ("Date", &card.date),
                ("Owner", &card.owner),
                ("Drawn by", &card.drawn_by),
                ("Approved by", &card.approved_by),
            ],
        ];
        let left = corner.x - WIDTH;
        let mut shapes = vec![outline(Role::Field, Rect::new(left, corner.y - SHORT, corner.x, corner.y))];
        for (fields, top) in rows.into_iter().zip([corner.y - SHORT, corner.y - LOW_ROW]) {
            let mut at = left;
            for ((caption, says), wide) in fields.iter().zip(shares(fields)) {
                shapes.extend(low_field(Rect::new(at, top, at + wide, top + LOW_ROW), caption, says));
                at += wide;
            }
        }
        shapes
    }

    fn rows(&self, corner: Point, rows: &[&[Field<'_>]]) -> Vec<Shape> {
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

/// Widths of the fields of a low row: as they need them, and the longest give way.
fn shares(fields: &[(&str, &str)]) -> Vec<i32> {
    let needs = |(caption, says): &(&str, &str)| {
        let says = bold(width(&clean(says), HEIGHT)) + GAP;
        says.max(width(caption, HEIGHT)) + 2 * PAD
    };
    let needed: Vec<i32> = fields.iter().map(needs).collect();
    let n_fields = i32::try_from(fields.len()).unwrap_or(1).max(1);
    // The greatest width that any field may have; short ones leave the others more than their equal share.
    let mut most = WIDTH / n_fields;
    loop {
        let (short, long): (Vec<i32>, Vec<i32>) = needed.iter().partition(|need| **need <= most);
        let left = WIDTH - short.iter().sum::<i32>();
        match i32::try_from(long.len()).unwrap_or(1) {
            0 => {
                // Everything has room: what is left is shared, and rounding falls to the first.
                let mut widths: Vec<i32> = needed.iter().map(|need| need + left / n_fields).collect();
                widths[0] += left % n_fields;
                return widths;
            }
            n_long if left / n_long > most => most = left / n_long,
            n_long => {
                let mut widths: Vec<i32> = needed.iter().map(|need| (*need).min(most)).collect();
                if let Some(one) = widths.iter_mut().find(|width| **width == most) {
                    *one += left - n_long * most;
                }
                return widths;
            }
        }
    }
}

/// What the measure of bold text may fall short by.
const GAP: i32 = 50;

/// A field of one line.
fn low_field(cell: Rect, caption: &str, says: &str) -> Vec<Shape> {
    let at = |y: i32| Point::new(cell.left + PAD, cell.top + y);
    let room = (cell.width() - 2 * PAD) * 12 / 13;
    vec![
        outline(Role::Field, cell),
        text(caption.to_owned(), at(310), Anchor::Start, HEIGHT, Role::Caption),
        text(cut(&clean(says), HEIGHT, room), at(670), Anchor::Start, HEIGHT, Role::Designation),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn fields_of_a_low_row_fill_it_and_the_longest_give_way() {
        let long = "a name that is longer than a whole row has room for ".repeat(4);
        for fields in [
            vec![("Title", "short"), ("Document", "Wire list"), ("Sheet", "1/2")],
            vec![("Title", long.as_str()), ("Document", "Wire list"), ("Sheet", "11/22")],
            vec![("Title", long.as_str()), ("Document", long.as_str()), ("Sheet", "11/22"), ("Date", "")],
        ] {
            let widths = shares(&fields);
            assert_eq!(widths.iter().sum::<i32>(), WIDTH, "{widths:?}");
            for ((caption, says), wide) in fields.iter().zip(&widths) {
                assert!(*wide >= width(caption, HEIGHT) + 2 * PAD, "{caption}: {widths:?}");
                let has_room = cut(says, HEIGHT, (wide - 2 * PAD) * 12 / 13) == *says;
                assert_eq!(has_room, *says != long, "{says}: {widths:?}");
            }
        }
    }
}
