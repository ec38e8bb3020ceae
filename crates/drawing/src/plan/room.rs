//! Room for lettering: boxes that are taken, and the place for the next.

use crate::geometry::{Point, Rect};
use crate::text::{bold, descent, line_pitch, width};

/// Lines of lettering around a point, and where they stand.
pub struct Label {
    /// The lines, the first of them bold where `is_bold` says so.
    pub lines: Vec<String>,
    /// Whether the first line is bold.
    pub is_bold: bool,
    /// The left end of the first baseline.
    pub at: Point,
}

/// What is taken of the picture.
pub struct Room {
    /// Height of capitals.
    height: i32,
    taken: Vec<Rect>,
    /// What lettering may cover but better does not.
    better_free: Vec<Rect>,
    /// Where lettering is seen.
    within: Rect,
}

impl Room {
    /// All of `within` free, for capitals of this height.
    pub fn new(height: i32, within: Rect) -> Room {
        Room { height, taken: Vec::new(), better_free: Vec::new(), within }
    }

    /// Takes a box.
    pub fn take(&mut self, rect: Rect) {
        self.taken.push(rect);
    }

    /// Asks to keep a box clear where there is a choice.
    pub fn spare(&mut self, rect: Rect) {
        self.better_free.push(rect);
    }

    /// The lines as a label beside `at`, as near as `gap`, where they cover least, unless they would cover more there
    /// than `percent` of their own size.
    pub fn put(
        &mut self,
        lines: Vec<String>,
        is_bold: bool,
        at: Point,
        gap: i32,
        percent: i64,
    ) -> Option<Label> {
        let (best, covered, _) = self.best(&lines, is_bold, at, gap)?;
        let is_fine = covered * 100 <= shared(&best, &best) * percent;
        is_fine.then(|| self.taken_by(lines, is_bold, best))
    }

    /// The same where they cover nothing at all, not even what they may.
    pub fn put_clear(&mut self, lines: Vec<String>, is_bold: bool, at: Point, gap: i32) -> Option<Label> {
        let (best, covered, spared) = self.best(&lines, is_bold, at, gap)?;
        (covered == 0 && spared == 0).then(|| self.taken_by(lines, is_bold, best))
    }

    fn taken_by(&mut self, lines: Vec<String>, is_bold: bool, place: Rect) -> Label {
        self.take(place.grown(self.height / 4));
        Label { lines, is_bold, at: Point::new(place.left, place.top + self.height) }
    }

    /// Where lines beside `at` cover least, and how much they cover there of what is taken and of what better stays free.
    fn best(&self, lines: &[String], is_bold: bool, at: Point, gap: i32) -> Option<(Rect, i64, i64)> {
        let height = self.height;
        let wide = |(n, line): (usize, &String)| {
            let plain = width(line, height);
            if n == 0 && is_bold { bold(plain) } else { plain }
        };
        let w = lines.iter().enumerate().map(wide).max()?;
        let more = i32::try_from(lines.len()).unwrap_or(1) - 1;
        let h = height + line_pitch(height) * more + descent(height);
        // Right, below, above, left; then the corners; then the same a little farther off.
        let around = |gap: i32| {
            [
                (gap, -h / 2),
                (-w / 2, gap),
                (-w / 2, -gap - h),
                (-gap - w, -h / 2),
                (gap / 2, gap / 2),
                (gap / 2, -gap / 2 - h),
                (-gap / 2 - w, gap / 2),
                (-gap / 2 - w, -gap / 2 - h),
            ]
        };
        let spots = around(gap).into_iter().chain(around(gap * 3 / 2));
        let boxes = spots.map(|(x, y)| {
            let (x, y) = (at.x + x, at.y + y);
            Rect::new(x, y, x + w, y + h)
        });
        let sum = |all: &[Rect], rect: &Rect| -> i64 { all.iter().map(|other| shared(rect, other)).sum() };
        // What is not seen is as good as covered.
        let covered = |rect: &Rect| sum(&self.taken, rect) + shared(rect, rect) - shared(rect, &self.within);
        let weighed = boxes.map(|rect| (rect, covered(&rect), sum(&self.better_free, &rect)));
        weighed.min_by_key(|(_, covered, spared)| (*covered, *spared))
    }

    /// Everything that is taken.
    pub fn bounds(&self) -> Option<Rect> {
        self.taken.iter().copied().reduce(Rect::joined)
    }
}

/// The area that two boxes share.
fn shared(one: &Rect, other: &Rect) -> i64 {
    let across = i64::from(one.right.min(other.right)) - i64::from(one.left.max(other.left));
    let down = i64::from(one.bottom.min(other.bottom)) - i64::from(one.top.max(other.top));
    across.max(0) * down.max(0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_label_goes_where_nothing_is() {
        let mut room = Room::new(100, Rect::new(-9000, -9000, 9000, 9000));
        let words = || vec!["dash".to_owned()];
        let at = Point::new(0, 0);
        let first = room.put(words(), true, at, 100, 0).unwrap();
        assert_eq!((first.at.x, first.lines.len()), (100, 1), "to the right, where there is room");
        let second = room.put(words(), true, at, 100, 0).unwrap();
        assert_ne!(first.at, second.at);
        let mut room = Room::new(100, Rect::new(-9000, -9000, 9000, 9000));
        room.spare(Rect::new(100, -50, 300, 50));
        assert_ne!(room.put(words(), true, at, 100, 0).unwrap().at, first.at, "lines are kept clear");
    }

    #[test]
    fn what_need_not_be_said_is_left_out_where_there_is_no_room() {
        let mut room = Room::new(100, Rect::new(-9000, -9000, 9000, 9000));
        room.take(Rect::new(-5000, -5000, 5000, 5000));
        let words = || vec!["0.4 m".to_owned()];
        assert!(room.put(words(), false, Point::new(0, 0), 100, 50).is_none());
        assert!(room.put(words(), false, Point::new(0, 0), 100, 100).is_some());
    }

    #[test]
    fn what_must_be_clear_is_left_out_where_it_would_cover_a_line() {
        let mut room = Room::new(100, Rect::new(-9000, -9000, 9000, 9000));
        room.spare(Rect::new(-5000, -5000, 5000, 5000));
        let words = || vec!["dash".to_owned()];
        assert!(room.put_clear(words(), true, Point::new(0, 0), 100).is_none());
        assert!(room.put_clear(words(), true, Point::new(7000, 0), 100).is_some());
    }

    #[test]
    fn lettering_stays_where_it_is_seen() {
        let mut room = Room::new(100, Rect::new(-9000, -9000, 150, 9000));
        let label = room.put(vec!["trailer socket".to_owned()], true, Point::new(0, 0), 100, 0).unwrap();
        assert!(label.at.x < 0, "to the left, as the right is out of sight");
    }
}
