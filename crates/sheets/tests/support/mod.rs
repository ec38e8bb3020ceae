//! Questions about the lettering of sheets.

use drawing::scene::{Lettering, Shape};
use sheets::Sheet;

/// All lettering of a sheet.
pub fn texts(sheet: &Sheet) -> impl Iterator<Item = &Lettering> {
    sheet.marks.iter().filter_map(|mark| match &mark.shape {
        Shape::Text(text) => Some(text),
        _ => None,
    })
}

/// Fails where one of these texts lies over another; `of` tells which sheet they are from.
pub fn assert_apart<'t>(texts: impl Iterator<Item = &'t Lettering>, of: &str) {
    let mut all: Vec<_> = texts.map(|text| (text.bounds(), text.text.as_str())).collect();
    all.sort_by_key(|(bounds, _)| bounds.left);
    for (index, (one, says)) in all.iter().enumerate() {
        for (other, also) in all[index + 1..].iter().take_while(|(other, _)| other.left < one.right) {
            // Borders may touch: what reaches below a line stands in the free space above the next.
            let apart = !one.grown(-20).overlaps(&other.grown(-20));
            assert!(apart, "{of}: `{says}` and `{also}`");
        }
    }
}
