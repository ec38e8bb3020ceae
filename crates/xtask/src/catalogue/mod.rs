//! The catalogue of all words of the interface, and what a language makes of them.
//!
//! The words stand where they are used, in Rust, JavaScript and HTML. From there they are gathered into a template in the
//! format of gettext (`web/words/loomwright.pot`), to which a language is a file beside it (`web/words/de.po`). Whatever is put
//! in while the program runs is a gap: `{1}`, `{2}` and so on, in the order of the source.
//!
//! What is shown cannot be told for certain from a text alone, so [`is_shown`] goes by its form and rather takes one too many:
//! a text that is never shown costs an entry that nobody translates. A single word in small letters may be a caption as well as
//! a key; it is taken where a language has it.

mod markup;
mod rust;
mod script;

use std::collections::{BTreeMap, BTreeSet};
use std::io::BufWriter;
use std::path::{Path, PathBuf};

use anyhow::{Context, Result, anyhow, bail};
use polib::catalog::Catalog;
use polib::message::Message;
use polib::metadata::CatalogMetadata;
use polib::po_file;
use serde_json::Value;

use crate::run;

/// The catalogue, below the root of the source tree.
pub const TEMPLATE: &str = "web/words/loomwright.pot";

/// Every language: its tag, and its file below the root of the source tree.
pub const LANGUAGES: &[(&str, &str)] = &[("de", "web/words/de.po")];

/// Folders and files with words that are shown.
const SOURCES: &[&str] = &[
    "web/index.html",
    "web/start.js",
    "web/host",
    "web/src",
    "web/worker/src",
    "crates/editor/src",
    "crates/engine/src",
    "crates/sheets/src",
    "crates/drawing/src",
    "fixtures/starts",
];

/// What was found: every text with the files that it stands in.
type Found = BTreeMap<String, BTreeSet<String>>;

/// The text of the catalogue.
pub fn template() -> Result<String> {
    let mut found = gathered()?;
    let mut wanted = BTreeSet::new();
    for (_, path) in LANGUAGES {
        wanted.extend(entries(path)?.into_iter().map(|(words, _)| words));
    }
    found.retain(|words, _| is_shown(words) || wanted.contains(words));
    let mut metadata = CatalogMetadata::new();
    metadata.project_id_version = "Loomwright".to_owned();
    metadata.language = "en".to_owned();
    metadata.content_type = "text/plain; charset=UTF-8".to_owned();
    metadata.content_transfer_encoding = "8bit".to_owned();
    metadata.mime_version = "1.0".to_owned();
    let mut catalog = Catalog::new(metadata);
    for (words, files) in &found {
        let files: Vec<&str> = files.iter().map(String::as_str).collect();
        let mut entry = Message::build_singular();
        entry.with_msgid(words.clone()).with_source(files.join("\n"));
        catalog.append_or_update(entry.done());
    }
    written(&catalog)
}

fn written(catalog: &Catalog) -> Result<String> {
    let mut writer = BufWriter::new(Vec::new());
    po_file::write(catalog, &mut writer).context("cannot write the catalogue")?;
    Ok(String::from_utf8(writer.into_inner()?)?)
}

/// What a language says: words of the source, and words of the language; as data for the page.
pub fn of_language(path: &str) -> Result<Vec<u8>> {
    let said: BTreeMap<String, String> = entries(path)?.into_iter().collect();
    Ok(serde_json::to_vec(&said)?)
}

/// What is wrong with a language: words that stand nowhere, gaps that differ.
pub fn mistakes(path: &str) -> Result<Vec<String>> {
    let found = gathered()?;
    let mut mistakes = Vec::new();
    for (words, said) in entries(path)? {
        if !found.contains_key(&words) {
            mistakes.push(format!("`{path}`: no source says `{words}` any more; take the entry out"));
        }
        if gaps(&words) != gaps(&said) {
            mistakes.push(format!("`{path}`: the gaps of `{words}` are not those of `{said}`"));
        }
    }
    Ok(mistakes)
}

/// The translated entries of a language.
fn entries(path: &str) -> Result<Vec<(String, String)>> {
    let file = run::root().join(path);
    let catalog = po_file::parse(&file).with_context(|| format!("cannot read `{path}`"))?;
    let mut entries = Vec::new();
    for message in catalog.messages() {
        let said = message.msgstr().map_err(|_| anyhow!("`{path}`: `{}` has a plural", message.msgid()))?;
        if !said.is_empty() && !message.is_fuzzy() {
            entries.push((message.msgid().to_owned(), said.to_owned()));
        }
    }
    if entries.is_empty() {
        bail!("`{path}` says nothing");
    }
    Ok(entries)
}

/// The gaps of a text, in the order of their numbers.
fn gaps(text: &str) -> BTreeSet<&str> {
    text.split('{').skip(1).filter_map(|rest| rest.split_once('}')).map(|(number, _)| number).collect()
}

/// Every text of the sources that has a word in it.
fn gathered() -> Result<Found> {
    let mut found = Found::new();
    for place in SOURCES {
        let mut files = Vec::new();
        below(&run::root().join(place), &mut files)?;
        for file in files {
            let text = std::fs::read_to_string(&file)
                .with_context(|| format!("cannot read `{}`", file.display()))?;
            let name = file.strip_prefix(run::root())?.to_string_lossy().into_owned();
            let literals = match file.extension().and_then(|ending| ending.to_str()) {
                Some("rs") => rust::literals(&text).with_context(|| format!("in `{name}`"))?,
                Some("js") => script::literals(&text),
                Some("html") => vec![text],
                // Ready circuits are listed by their titles.
                Some("json") => serde_json::from_str::<Value>(&text)?["card"]["title"]
                    .as_str()
                    .map(str::to_owned)
                    .into_iter()
                    .collect(),
                _ => continue,
            };
            for piece in literals.iter().flat_map(|literal| markup::pieces(literal)) {
                if has_word(&piece) {
                    found.entry(piece).or_default().insert(name.clone());
                }
            }
        }
    }
    Ok(found)
}

/// The files of a folder and those below it, but no tests; a file is itself.
fn below(path: &Path, files: &mut Vec<PathBuf>) -> Result<()> {
    if path.is_file() {
        files.push(path.to_owned());
        return Ok(());
    }
    for entry in std::fs::read_dir(path).with_context(|| format!("cannot list `{}`", path.display()))? {
        let path = entry?.path();
        if !path.file_stem().is_some_and(|stem| stem == "tests" || stem == "script_tests") {
            below(&path, files)?;
        }
    }
    Ok(())
}

/// Whether something is left of it when the gaps are taken out.
fn has_word(text: &str) -> bool {
    let fixed: String =
        text.split('{').map(|part| part.split_once('}').map_or(part, |(_, rest)| rest)).collect();
    fixed
        .split(|letter: char| !letter.is_alphanumeric())
        .any(|word| word.chars().count() > 1 && word.chars().all(char::is_alphabetic))
}

/// Whether a text has the form of one that is shown: several words, or one with a capital; and nothing of a path, a selector,
/// a name in a program or a key.
fn is_shown(text: &str) -> bool {
    let has_code = ["::", "//", "=\"", "](", "[", "]", "\\", "_", "--", "();", "=>", "&&", "var(", "$"]
        .iter()
        .any(|mark| text.contains(mark));
    let starts_as_code = text.starts_with(['.', '#', '/', '<', '>', '@', '*', ':']);
    let is_single = !text.contains([' ', '\u{a0}']);
    let begins_small = text.starts_with(|letter: char| letter.is_lowercase());
    let is_mixed = text.chars().zip(text.chars().skip(1)).any(|(a, b)| a.is_lowercase() && b.is_uppercase());
    has_word(text)
        && !has_code
        && !starts_as_code
        && !(is_single && (begins_small || is_mixed || text.starts_with('{')))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sentences_and_captions_are_shown_and_keys_are_not() {
        for text in ["Wire list", "Close", "{1} of {2} wires", "no size yet", "Takes 12 V"] {
            assert!(is_shown(text), "{text}");
        }
        for text in [
            "wire",
            "data-ask",
            ".drawer button",
            "M8 2h8l6 6v8",
            "{1}-{2}",
            "ArrowLeft",
            "#id",
            "a[href]",
            "{1} A",
        ] {
            assert!(!is_shown(text), "{text}");
        }
    }

    #[test]
    fn gaps_are_compared_by_their_numbers() {
        assert_eq!(gaps("{1} of {2}"), gaps("von {2} sind es {1}"));
        assert_ne!(gaps("{1} of {2}"), gaps("{1} von {1}"));
    }
}
