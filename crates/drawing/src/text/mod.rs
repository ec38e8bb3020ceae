//! How wide text is, how it is broken into lines, and which characters may be drawn.
//!
//! Widths come from a table, never from a font of the machine, so that the same job gives the
//! same drawing everywhere.

mod advances;

use crate::geometry::STEP;
use advances::{EXTRAS, REGULAR, RUNS};

/// Height of the capitals of ordinary lettering, in hundredths of a millimetre (ISO 3098: 2.5 mm).
pub const HEIGHT: i32 = STEP;

/// Font size over capital height: the capitals of Arimo and Liberation Sans are 1409 of 2048 of their size high.
const SIZE_PER_HEIGHT: (i64, i64) = (2048, 1409);

/// What widths are reckoned with over capital height: letters are set 4 % narrower than they are cut, which nobody sees
/// and saves room.
const SETTING_PER_HEIGHT: (i64, i64) = (1000, 716);

/// Baseline to baseline over capital height: with lower case 1.5 h (ISO 3098, lettering B).
const PITCH: (i32, i32) = (3, 2);

/// The font size that gives capitals of `height`.
pub fn font_size(height: i32) -> i32 {
    scaled(i64::from(height) * SIZE_PER_HEIGHT.0, SIZE_PER_HEIGHT.1)
}

/// From one baseline to the next, for capitals of `height`.
pub fn line_pitch(height: i32) -> i32 {
    height * PITCH.0 / PITCH.1
}

/// How far letters such as `g` reach below the baseline, for capitals of `height`.
pub fn descent(height: i32) -> i32 {
    height * 3 / 10
}

/// The width of `text` in capitals of `height`, both in hundredths of a millimetre.
pub fn width(text: &str, height: i32) -> i32 {
    let setting = scaled(i64::from(height) * SETTING_PER_HEIGHT.0, SETTING_PER_HEIGHT.1);
    let thousandths: i64 = text.chars().map(|c| i64::from(advance(c))).sum();
    scaled(thousandths * i64::from(setting), 1000)
}

/// The width in bold of text that is `plain` wide in ordinary lettering (approximate).
pub fn bold(plain: i32) -> i32 {
    plain + plain / 12
}

/// `numerator / denominator`, rounded up, and kept within what a drawing can hold.
fn scaled(numerator: i64, denominator: i64) -> i32 {
    i32::try_from((numerator + denominator - 1) / denominator).unwrap_or(i32::MAX / 4)
}

/// Whether there is a letter for the character in the fonts that drawings are printed with.
pub fn is_in_font(c: char) -> bool {
    place(c).is_some()
}

/// Where the character stands in the tables of widths.
fn place(c: char) -> Option<usize> {
    let mut before = 0;
    for (first, last) in RUNS {
        if (first..=last).contains(&c) {
            return Some(before + (c as usize - first as usize));
        }
        before += last as usize - first as usize + 1;
    }
    EXTRAS.chars().position(|extra| extra == c).map(|index| before + index)
}

/// How wide a letter is cut, in thousandths of the font size.
fn advance(c: char) -> u16 {
    if let Some(place) = place(c) {
        return REGULAR[place];
    }
    match c {
        // Marks that sit on the letter before them.
        '\u{300}'..='\u{36f}' | '\u{200b}'..='\u{200f}' => 0,
        // Latin, Greek and Cyrillic letters beyond, then full-width scripts and pictures.
        '\u{180}'..='\u{5ff}' => 722,
        _ => 1000,
    }
}

/// `text` fit to be drawn on one line: what XML 1.0 does not allow becomes U+FFFD, and so do
/// control characters that turn the direction of writing; line ends and tabs become spaces.
pub fn clean(text: &str) -> String {
    text.chars()
        .map(|c| match c {
            '\t' | '\n' | '\r' => ' ',
            c if !is_xml(c) || c.is_control() => '\u{fffd}',
            '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}' => '\u{fffd}',
            c => c,
        })
        .collect()
}

/// Whether XML 1.0 allows the character (production 2 of the recommendation).
fn is_xml(c: char) -> bool {
    matches!(c, '\t' | '\n' | '\r' | ' '..='\u{d7ff}' | '\u{e000}'..='\u{fffd}' | '\u{10000}'..='\u{10ffff}')
}

/// `text` cut to `most` wide, with an ellipsis when something had to go.
pub fn cut(text: &str, height: i32, most: i32) -> String {
    if width(text, height) <= most {
        return text.to_owned();
    }
    let ends: Vec<usize> = text.char_indices().map(|(at, _)| at).collect();
    let with_ellipsis = |end: usize| format!("{}…", text[..end].trim_end());
    // The longer the start that is kept, the wider.
    let n_fitting = ends.partition_point(|end| width(&with_ellipsis(*end), height) <= most);
    n_fitting.checked_sub(1).map_or_else(|| "…".to_owned(), |last| with_ellipsis(ends[last]))
}

/// `text` broken between words into at most `n_lines` lines no wider than `most`; what does not
/// fit ends in an ellipsis.
pub fn wrapped(text: &str, height: i32, most: i32, n_lines: usize) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        let joined = lines.last().map(|line| format!("{line} {word}"));
        let full = lines.len() == n_lines;
        match (lines.last_mut(), joined) {
            // The last line takes the rest, to be cut below.
            (Some(line), Some(joined)) if full || width(&joined, height) <= most => *line = joined,
            _ => lines.push(word.to_owned()),
        }
    }
    lines.iter().map(|line| cut(line, height, most)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn capitals_are_as_high_as_they_are_meant_to_be() {
        let capitals = |height| f64::from(font_size(height)) * 1409.0 / 2048.0;
        for height in [180, HEIGHT, 350, 500] {
            assert!((0.0..1.0).contains(&(capitals(height) - f64::from(height))), "{height}");
        }
        assert_eq!(width("00", HEIGHT), 390);
    }

    #[test]
    fn the_tables_hold_a_width_for_every_letter_of_the_fonts() {
        let runs: usize = RUNS.iter().map(|(first, last)| *last as usize - *first as usize + 1).sum();
        assert_eq!(runs + EXTRAS.chars().count(), REGULAR.len());
        // As the design of the letters has them: all figures are equally wide, an em dash is as wide as the size.
        assert!(('0'..='9').all(|figure| advance(figure) == 556));
        assert_eq!((advance('—'), advance('Ω')), (1000, 748));
        assert!(is_in_font('ő') && is_in_font('²') && !is_in_font('漢') && !is_in_font('\u{fffd}'));
    }

    #[test]
    fn long_text_is_cut_with_an_ellipsis() {
        let text = cut("a very long designation indeed", HEIGHT, 2000);
        assert!(text.ends_with('…') && width(&text, HEIGHT) <= 2000, "{text}");
        assert_eq!(cut("K1", HEIGHT, 2000), "K1");
    }

    #[test]
    fn lines_break_between_words() {
        assert_eq!(wrapped("work lamps left rear", HEIGHT, 1800, 3), ["work lamps", "left rear"]);
        let one = wrapped("work lamps left rear", HEIGHT, 1800, 1);
        assert!(one.len() == 1 && one[0].ends_with('…'), "{one:?}");
        assert!(wrapped("  ", HEIGHT, 1800, 3).is_empty());
    }

    #[test]
    fn characters_outside_xml_are_replaced() {
        assert_eq!(clean("a\u{0}b\u{1b}c\u{ffff}d\ne\u{202e}f"), "a\u{fffd}b\u{fffd}c\u{fffd}d e\u{fffd}f");
    }
}
