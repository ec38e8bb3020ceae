//! The texts of markup: what stands between tags, and the attributes that are shown or read aloud.

/// Attributes with words.
const ATTRIBUTES: &[&str] = &["aria-label", "title", "placeholder", "alt"];

/// The texts of a literal: itself, unless it holds markup. Blanks are as a browser shows them, and gaps are numbered anew.
pub fn pieces(literal: &str) -> Vec<String> {
    let mut pieces = Vec::new();
    let mut rest = literal;
    while let Some(at) = tag_start(rest) {
        pieces.push(&rest[..at]);
        rest = &rest[at..];
        let (end, is_whole) = match () {
            () if rest.starts_with("<!--") => (rest.find("-->").map(|end| end + 2), false),
            () if rest.starts_with("<script") => (rest.find("</script").map(|end| end + 8), false),
            () => (tag_end(rest), true),
        };
        let end = end.unwrap_or(rest.len() - 1);
        if is_whole {
            attributes(&rest[..=end], &mut pieces);
        }
        rest = &rest[end + 1..];
    }
    pieces.push(rest);
    pieces.into_iter().map(shown).filter(|piece| !piece.is_empty()).collect()
}

fn tag_start(text: &str) -> Option<usize> {
    text.match_indices('<').map(|(at, _)| at).find(|at| {
        text[at + 1..].starts_with(|next: char| next.is_ascii_lowercase() || next == '/' || next == '!')
    })
}

/// Where a tag ends; what is quoted in it does not end it.
fn tag_end(tag: &str) -> Option<usize> {
    let mut is_quoted = false;
    tag.char_indices().find_map(|(at, letter)| {
        is_quoted ^= letter == '"';
        (letter == '>' && !is_quoted).then_some(at)
    })
}

fn attributes<'t>(tag: &'t str, pieces: &mut Vec<&'t str>) {
    for name in ATTRIBUTES {
        let start = format!(" {name}=\"");
        if let Some((_, rest)) = tag.split_once(start.as_str()) {
            pieces.extend(rest.split('"').next());
        }
    }
}

/// A text as it is shown.
fn shown(text: &str) -> String {
    let text = text.split([' ', '\n', '\t']).filter(|word| !word.is_empty()).collect::<Vec<_>>().join(" ");
    let text =
        text.replace('\u{a0}', " ").replace("&nbsp;", " ").replace("&lt;", "<").replace("&quot;", "\"");
    numbered_anew(text.replace("&amp;", "&").trim())
}

/// A text whose first gap is the first again.
fn numbered_anew(text: &str) -> String {
    let mut parts = text.split('{');
    let mut out = parts.next().unwrap_or_default().to_owned();
    let mut n_gaps = 0;
    for part in parts {
        match part.split_once('}') {
            Some((number, rest)) if number.parse::<u32>().is_ok() => {
                n_gaps += 1;
                out.push_str(&format!("{{{n_gaps}}}{rest}"));
            }
            _ => {
                out.push('{');
                out.push_str(part);
            }
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn markup_falls_into_its_texts() {
        let text = "<p class=\"{1}\" title=\"More {2}\">Take\n  {3}</p><!-- no --><b>{4} &amp; on</b> 3 < 4";
        assert_eq!(pieces(text), ["More {1}", "Take {1}", "{1} & on", "3 < 4"]);
        assert_eq!(pieces("{1} of {2}"), ["{1} of {2}"]);
    }
}
