//! Words that have no place in the source tree: paths of one machine, papers that are not part of
//! the repository, and addresses on the network.

use super::Complaints;
use super::sources::Source;

/// Found anywhere in a line, whatever the case of the letters.
const FORBIDDEN: &[(&str, &str)] = &[
    ("/work/", "a path of one machine"),
    ("/tmp/", "a path of one machine"),
    ("/root/", "a path of one machine"),
    ("/home/", "a path of one machine"),
    ("codebase.md", "a paper that is not in the repository"),
    ("contract.md", "a paper that is not in the repository"),
    ("engine.md", "a paper that is not in the repository"),
    ("models.md", "a paper that is not in the repository"),
    ("product.md", "a paper that is not in the repository"),
    ("standards.md", "a paper that is not in the repository"),
    ("workshop-ui.md", "a paper that is not in the repository"),
    (" ruling", "say what the rule is and why instead"),
    ("issue #", "say what the reason is instead"),
    ("issue 1", "say what the reason is instead"),
    ("issue 2", "say what the reason is instead"),
];

/// Where an address may point: names of XML and schema vocabularies, and this machine.
const ADDRESSES: &[&str] =
    &["www.w3.org/", "json-schema.org/", "127.0.0.1", "localhost", "loomwright.invalid/"];

/// Sources are cited by standard, edition and table, so that the citation outlives any address.
const ADDRESS_STARTS: &[&str] = &["http://", "https://"];

pub fn examine(sources: &[Source], complaints: &mut Complaints) {
    // This file has to spell the words out.
    for source in sources.iter().filter(|source| source.path != "crates/xtask/src/tidy/words.rs") {
        for (line, number) in source.text.lines().zip(1..) {
            let lower = line.to_lowercase();
            for (word, why) in FORBIDDEN {
                if lower.contains(word) {
                    complaints.fail(format!("`{}`:{number}: `{}`: {why}", source.path, word.trim()));
                }
            }
            for start in ADDRESS_STARTS {
                for (at, _) in lower.match_indices(start) {
                    let rest = &lower[at + start.len()..];
                    let is_host = rest.starts_with(|c: char| c.is_ascii_alphanumeric());
                    if is_host && !ADDRESSES.iter().any(|allowed| rest.starts_with(allowed)) {
                        complaints.fail(format!(
                            "`{}`:{number}: an address on the network; cite standard, edition and table",
                            source.path
                        ));
                    }
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::complaints_about;
    use super::*;

    #[test]
    fn machine_paths_and_foreign_addresses_are_found() {
        let about = |text| complaints_about("README.md", text, examine).len();
        assert_eq!(about("see /TMP/x"), 1);
        assert_eq!(about("see https://example.org/table"), 1);
        assert_eq!(about("http://www.w3.org/2000/svg and http://127.0.0.1:4180/ and https:// alone"), 0);
        assert_eq!(about("the scheduling of work is ruled out"), 0);
    }
}
