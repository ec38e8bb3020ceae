//! Pieces of a drawing on sheets: where several are small, they share one.

use drawing::geometry::Rect;

/// Free space between two pieces on one sheet.
const GAP: i32 = 1500;

/// Where a piece stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Stand {
    /// On which sheet, counted from nought.
    pub sheet: usize,
    /// By how much it moves there.
    pub by: (i32, i32),
}

/// Puts pieces on sheets in their order, in the middle of `field`; as many as fit share a sheet, beside each other or one
/// above the other. A piece that is larger than the field has a sheet of its own.
pub fn packed(pieces: &[Rect], field: &Rect) -> Vec<Stand> {
    let mut stands = Vec::new();
    let (mut from, mut sheet) = (0, 0);
    while from < pieces.len() {
        let fits = |to: &usize| way(&pieces[from..*to], field).is_some();
        let to = (from + 2..=pieces.len()).take_while(fits).last().unwrap_or(from + 1);
        let group = &pieces[from..to];
        let is_row = way(group, field).unwrap_or(true);
        let (wide, high) = size(group, is_row);
        let (mut x, mut y) = (field.center().x - wide / 2, field.center().y - high / 2);
        // What stood level on the drawing stays level, where that is not too far apart.
        let whole = group.iter().copied().reduce(Rect::joined).unwrap_or(*field);
        let level_x = (whole.width() <= field.width()).then(|| field.center().x - whole.center().x);
        let level_y = (whole.height() <= field.height()).then(|| field.center().y - whole.center().y);
        for piece in group {
            let by = match is_row {
                true => (x - piece.left, level_y.unwrap_or(y - piece.top)),
                false => (level_x.unwrap_or(x - piece.left), y - piece.top),
            };
            stands.push(Stand { sheet, by });
            match is_row {
                true => x += piece.width() + GAP,
                false => y += piece.height() + GAP,
            }
        }
        (from, sheet) = (to, sheet + 1);
    }
    stands
}

/// Whether pieces fit beside each other, or else one above the other; `None` when they do not fit.
fn way(group: &[Rect], field: &Rect) -> Option<bool> {
    [true, false].into_iter().find(|is_row| {
        let (wide, high) = size(group, *is_row);
        wide <= field.width() && high <= field.height()
    })
}

/// Width and height of pieces in a row or a column.
fn size(group: &[Rect], is_row: bool) -> (i32, i32) {
    let gaps = i32::try_from(group.len().saturating_sub(1)).unwrap_or(0) * GAP;
    let (wide, high) = (group.iter().map(Rect::width), group.iter().map(Rect::height));
    match is_row {
        true => (wide.sum::<i32>() + gaps, high.max().unwrap_or(0)),
        false => (wide.max().unwrap_or(0), high.sum::<i32>() + gaps),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn small_pieces_share_a_sheet_and_none_lies_over_another() {
        let field = Rect::new(0, 0, 20_000, 10_000);
        let sheets = |sizes: &[(i32, i32)]| -> Vec<usize> {
            let pieces: Vec<Rect> =
                (0..).zip(sizes).map(|(n, (w, h))| Rect::new(n * 50_000, 7, n * 50_000 + w, 7 + h)).collect();
            let stands = packed(&pieces, &field);
            let placed: Vec<(usize, Rect)> = pieces
                .iter()
                .zip(&stands)
                .map(|(piece, stand)| (stand.sheet, piece.moved(stand.by.0, stand.by.1)))
                .collect();
            for (index, (sheet, one)) in placed.iter().enumerate() {
                assert!(field.holds(one), "{one:?}");
                let others = placed[index + 1..].iter().filter(|(other, _)| other == sheet);
                assert!(others.into_iter().all(|(_, other)| !one.overlaps(other)), "{placed:?}");
            }
            stands.iter().map(|stand| stand.sheet).collect()
        };
        assert_eq!(sheets(&[(12_000, 9_000), (6_000, 9_000)]), [0, 0], "beside each other");
        assert_eq!(sheets(&[(18_000, 4_000), (18_000, 4_000)]), [0, 0], "one above the other");
        assert_eq!(sheets(&[(12_000, 9_000), (7_000, 9_000), (5_000, 9_000)]), [0, 1, 1]);
        assert_eq!(sheets(&[(18_000, 9_000), (18_000, 9_000)]), [0, 1]);
    }

    #[test]
    fn what_stood_level_stays_level() {
        let field = Rect::new(0, 0, 20_000, 10_000);
        let pieces = [Rect::new(0, 1000, 5000, 9000), Rect::new(30_000, 3000, 35_000, 6000)];
        let [one, other] = packed(&pieces, &field)[..] else { panic!("two pieces") };
        assert_eq!((one.sheet, other.sheet), (0, 0));
        assert_eq!(one.by.1, other.by.1);
    }
}
