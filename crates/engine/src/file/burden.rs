//! Refuses XML that would take the parser very long, before it is parsed.
//!
//! The parser compares every attribute of an element with the others and looks every name's
//! namespace up in a list, so a small file with a great many of either keeps it busy for minutes.
//! No drawing has them. What is malformed passes here and is left to the parser.

use super::Problem;

/// Most attributes of one element.
const MOST_ATTRIBUTES: usize = 100;

/// Most namespaces declared in one file.
const MOST_NAMESPACES: usize = 100;

/// Checks that `xml` is no burden. Takes time in proportion to its length.
pub(super) fn check(xml: &str) -> Result<(), Problem> {
    let mut rest = xml;
    let mut namespaces = 0;
    while let Some(start) = rest.find('<') {
        rest = &rest[start..];
        let special = [("<!--", "-->"), ("<![CDATA[", "]]>"), ("<?", "?>")];
        rest = match special.iter().find(|(open, _)| rest.starts_with(open)) {
            Some((open, close)) => {
                rest[open.len()..].split_once(close).map(|(_, after)| after).unwrap_or_default()
            }
            None => {
                let tag = Tag::at_start_of(rest);
                if tag.attributes > MOST_ATTRIBUTES {
                    let message = format!("an element has more than {MOST_ATTRIBUTES} attributes");
                    return Err(Problem::new(String::new(), message));
                }
                namespaces += tag.namespaces;
                if namespaces > MOST_NAMESPACES {
                    let message = format!("more than {MOST_NAMESPACES} namespaces are declared");
                    return Err(Problem::new(String::new(), message));
                }
                &rest[tag.length..]
            }
        };
    }
    Ok(())
}

/// What a tag amounts to, roughly.
struct Tag {
    /// Bytes up to and with its `>`.
    length: usize,
    attributes: usize,
    namespaces: usize,
}

impl Tag {
    fn at_start_of(text: &str) -> Tag {
        let mut tag = Tag { length: text.len(), attributes: 0, namespaces: 0 };
        let bytes = text.as_bytes();
        let mut quote = None;
        for (at, &byte) in bytes.iter().enumerate() {
            match quote {
                Some(open) if byte == open => quote = None,
                Some(_) => {}
                None => match byte {
                    b'"' | b'\'' => quote = Some(byte),
                    // Every attribute has exactly one equals sign outside of quotes.
                    b'=' => tag.attributes += 1,
                    b'x' if bytes[at..].starts_with(b"xmlns") => tag.namespaces += 1,
                    b'>' => {
                        tag.length = at + 1;
                        break;
                    }
                    _ => {}
                },
            }
        }
        tag
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn attributes(n: usize) -> String {
        let all: String = (0..n).map(|i| format!(" a{i}='>='")).collect();
        format!("<svg><!-- = > --><g{all}/></svg>")
    }

    #[test]
    fn an_element_with_very_many_attributes_is_refused() {
        assert_eq!(check(&attributes(100)), Ok(()));
        let refused = check(&attributes(101)).unwrap_err().to_string();
        assert_eq!(refused, "an element has more than 100 attributes");
    }

    #[test]
    fn very_many_namespaces_are_refused_wherever_they_are_declared() {
        let nested = |n: usize| (0..n).map(|i| format!("<g xmlns:a{i}='u'>")).collect::<String>();
        assert_eq!(check(&nested(100)), Ok(()));
        assert_eq!(check(&nested(101)).unwrap_err().to_string(), "more than 100 namespaces are declared");
    }

    #[test]
    fn text_that_only_looks_like_markup_does_not_count() {
        let text = "xmlns= ".repeat(200);
        for harmless in
            [format!("<g>{text}</g>"), format!("<![CDATA[<g {text}>]]>"), format!("<g a='{text}'/>")]
        {
            assert_eq!(check(&harmless), Ok(()), "{harmless}");
        }
    }

    #[test]
    fn what_never_ends_is_left_to_the_parser() {
        for open in ["<", "<g", "<g a='", "<!--", "<![CDATA[", "<?"] {
            assert_eq!(check(open), Ok(()), "{open}");
        }
    }
}
