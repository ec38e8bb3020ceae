//! The texts of a Rust file.

use anyhow::{Result, anyhow};
use proc_macro2::{Delimiter, TokenStream, TokenTree};

/// What is said to whoever reads a panic, and never shown.
const FOR_DEVELOPERS: &[&str] = &[
    "expect",
    "panic",
    "assert",
    "assert_eq",
    "assert_ne",
    "debug_assert",
    "debug_assert_eq",
    "unreachable",
    "cfg",
];

/// The string literals of a file, with what is put in as numbered gaps; without attributes, documentation, tests and panics.
pub fn literals(text: &str) -> Result<Vec<String>> {
    let tokens: TokenStream = text.parse().map_err(|error| anyhow!("cannot be read as Rust: {error}"))?;
    let mut literals = Vec::new();
    walk(tokens, &mut literals);
    Ok(literals)
}

fn walk(tokens: TokenStream, literals: &mut Vec<String>) {
    let mut tokens = tokens.into_iter().peekable();
    let mut is_of_test = false;
    let mut word = String::new();
    while let Some(token) = tokens.next() {
        match token {
            TokenTree::Punct(mark) if mark.as_char() == '#' => {
                if matches!(tokens.peek(), Some(TokenTree::Punct(next)) if next.as_char() == '!') {
                    tokens.next();
                }
                if let Some(TokenTree::Group(group)) = tokens.peek()
                    && group.delimiter() == Delimiter::Bracket
                {
                    is_of_test |= group.stream().to_string().replace(' ', "") == "cfg(test)";
                    tokens.next();
                }
            }
            TokenTree::Ident(name) => word = name.to_string(),
            // The mark of a macro stands between its name and what it is given.
            TokenTree::Punct(mark) if mark.as_char() == '!' => {}
            TokenTree::Punct(mark) => {
                word.clear();
                is_of_test &= mark.as_char() != ';';
            }
            TokenTree::Group(group) => {
                let is_skipped = is_of_test || FOR_DEVELOPERS.contains(&word.as_str());
                // What a test function takes comes before what it does.
                is_of_test &= group.delimiter() != Delimiter::Brace;
                if !is_skipped {
                    walk(group.stream(), literals);
                }
                word.clear();
            }
            TokenTree::Literal(literal) => {
                if let syn::Lit::Str(text) = syn::Lit::new(literal) {
                    literals.push(with_gaps(&text.value()));
                }
            }
        }
    }
}

/// A text with the arguments of formatting as numbered gaps.
fn with_gaps(text: &str) -> String {
    let mut out = String::new();
    let mut n_gaps = 0;
    let mut rest = text;
    while let Some(at) = rest.find(['{', '}']) {
        out.push_str(&rest[..at]);
        let after = &rest[at..];
        if after.starts_with("{{") || after.starts_with("}}") {
            out.push(char::from(after.as_bytes()[0]));
            rest = &after[2..];
            continue;
        }
        let argument = after[1..]
            .split_once('}')
            .filter(|(argument, _)| after.starts_with('{') && is_argument(argument));
        if let Some((_, behind)) = argument {
            n_gaps += 1;
            out.push_str(&format!("{{{n_gaps}}}"));
            rest = behind;
        } else {
            out.push_str(&after[..1]);
            rest = &after[1..];
        }
    }
    out.push_str(rest);
    out
}

/// Whether this stands between braces where something is put in: a name or a number, and how it is written.
fn is_argument(text: &str) -> bool {
    let name = text.split(':').next().unwrap_or_default();
    name.chars().all(|letter| letter.is_ascii_alphanumeric() || letter == '_')
        && !text.contains([' ', '\n', ';'])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn literals_are_taken_but_not_those_of_tests_and_panics() {
        let text = r##"
            //! Not this.
            #![expect(x, reason = "nor this")]
            fn a() { b("One"); c.expect("no"); format!("Two {} and {three:.1} {{}}", "in \
                it"); assert!(x, "no"); }
            #[cfg(test)]
            mod tests { const A: &str = "no"; }
            const LAST: &str = r#"Last"#;
        "##;
        assert_eq!(literals(text).unwrap(), ["One", "Two {1} and {2} {}", "in it", "Last"]);
    }
}
