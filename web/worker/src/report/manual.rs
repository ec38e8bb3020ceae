//! The manual of a check or a kind of part.
//!
//! The manuals are our own and use three things of Markdown: headings, paragraphs and code in backticks. That is all this
//! reads; anything else shows as it is written.

use super::markup::Markup;

/// The manual of this name; `None` when there is none.
pub fn page(name: &str) -> Option<String> {
    let text = engine::answer::manual(name)?;
    let mut page = Markup::new();
    page.element("div", &[("class", "manual")], |page| {
        for block in text.split("\n\n").map(str::trim).filter(|block| !block.is_empty()) {
            match block.trim_start_matches('#') {
                heading if heading.len() < block.len() => page.line("h3", "", heading.trim()),
                _ => page.element("p", &[], |paragraph| pieces(paragraph, block)),
            }
        }
    });
    Some(page.done())
}

/// Text and code, which take turns at each backtick.
fn pieces(paragraph: &mut Markup, block: &str) {
    for (number, piece) in block.split('`').enumerate() {
        if number % 2 == 0 {
            paragraph.text(piece);
        } else {
            paragraph.element("code", &[], |code| code.text(piece));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn manuals_have_headings_and_paragraphs_and_no_signs_of_markdown() {
        for check in engine::check::ALL {
            let page = page(check.name).unwrap();
            assert!(page.contains("<h3 dir=\"auto\">What to do</h3><p>"), "{}", check.name);
            assert!(!page.contains('`') && !page.contains("# "), "{}", check.name);
        }
        assert_eq!(page("nothing"), None);
    }
}
