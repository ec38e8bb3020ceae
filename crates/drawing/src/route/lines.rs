//! The columns, or the rows, that a grid has.

use engine::arrange;

/// Most points of a grid; beyond this no paths are looked for.
pub(super) const MOST_POINTS: usize = 2_000_000;

/// Which of `lines` is at this place.
pub(super) fn number(lines: &[i32], at: i32) -> Option<usize> {
    // As long as nothing stands far off, no line is left out.
    let number = usize::try_from(at - lines.first()?).ok()?;
    if lines.get(number) == Some(&at) { Some(number) } else { lines.binary_search(&at).ok() }
}

/// The first of `lines` that is not before this place.
pub(super) fn not_before(lines: &[i32], at: i32) -> usize {
    number(lines, at).unwrap_or_else(|| lines.partition_point(|line| *line < at))
}

/// All whole numbers within `stretches` and those of `more`, in order; `None` when they are too many.
pub(super) fn lines(
    stretches: impl Iterator<Item = (i32, i32)>,
    more: impl Iterator<Item = i32>,
) -> Option<Vec<i32>> {
    let mut stretches: Vec<(i32, i32)> = stretches.collect();
    arrange::sort(&mut stretches);
    let mut lines: Vec<i32> = Vec::new();
    for (from, to) in stretches {
        let from = lines.last().map_or(from, |last| from.max(last + 1));
        lines.extend(from..=to);
        if lines.len() > MOST_POINTS {
            return None;
        }
    }
    let left_out: Vec<i32> = more.filter(|line| number(&lines, *line).is_none()).collect();
    if !left_out.is_empty() {
        lines.extend(left_out);
        arrange::sort(&mut lines);
        lines.dedup();
    }
    Some(lines)
}
