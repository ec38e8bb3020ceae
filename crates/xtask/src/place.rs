//! Naming: every file of the site but the page itself carries a hash of its content in its name, so that a host may
//! cache it for ever and files of two builds never meet.
//!
//! A file names another one by a mark, `{{answers.js}}`, in place of which the hashed name is put. So the files that a
//! file names are placed before it, whatever they are called and whoever imports whom.

use std::collections::BTreeMap;

use anyhow::{Context, Result, bail};

use crate::site::{self, Site};

/// What a mark stands for.
pub enum Source {
    /// A file that may name others.
    Template(String),
    /// A file that is placed as it is.
    File(Vec<u8>),
    /// Text that is put in place of the mark as it is.
    Text(String),
}

/// Everything that may be named, by its mark: the name of the file without the hash, or a word in capitals.
pub type Sources = BTreeMap<String, Source>;

/// Puts files under their hashed names, each after those that it names.
pub struct Placing<'s> {
    sources: &'s Sources,
    /// Files placed so far.
    pub site: Site,
    placed: BTreeMap<String, String>,
    open: Vec<String>,
}

impl<'s> Placing<'s> {
    /// Nothing placed yet.
    pub fn new(sources: &'s Sources) -> Placing<'s> {
        Placing { sources, site: Site::new(), placed: BTreeMap::new(), open: Vec::new() }
    }

    /// Places every file, the ones nobody names too.
    pub fn all(&mut self) -> Result<()> {
        for (mark, source) in self.sources {
            if !matches!(source, Source::Text(_)) {
                self.path(mark)?;
            }
        }
        Ok(())
    }

    /// The path of the file of this mark, placed now unless it is already.
    pub fn path(&mut self, mark: &str) -> Result<String> {
        if let Some(path) = self.placed.get(mark) {
            return Ok(path.clone());
        }
        if self.open.iter().any(|open| open == mark) {
            bail!("`{}` name each other, so none of them can be named first", self.open.join("`, `"));
        }
        let content = match self.sources.get(mark) {
            Some(Source::File(content)) => content.clone(),
            Some(Source::Template(text)) => {
                self.open.push(mark.to_owned());
                let text = self.filled(text, true).with_context(|| format!("in `{mark}`"))?;
                self.open.pop();
                text.into_bytes()
            }
            Some(Source::Text(_)) | None => bail!("there is no file `{mark}`"),
        };
        let (stem, extension) = mark.rsplit_once('.').with_context(|| format!("`{mark}` has no ending"))?;
        let path = site::hashed_name(stem, extension, &content);
        self.site.insert(path.clone(), content.into());
        self.placed.insert(mark.to_owned(), path.clone());
        Ok(path)
    }

    /// The template with something in place of every mark. `beside` is whether it lies with the files it names.
    pub fn filled(&mut self, template: &str, beside: bool) -> Result<String> {
        let mut text = String::with_capacity(template.len());
        let mut rest = template;
        while let Some((before, after)) = rest.split_once("{{") {
            let (mark, after) = after.split_once("}}").context("a mark is not closed")?;
            text.push_str(before);
            match self.sources.get(mark) {
                Some(Source::Text(put)) => text.push_str(put),
                _ => {
                    let path = self.path(mark)?;
                    text.push_str(if beside { name(&path) } else { &path });
                }
            }
            rest = after;
        }
        text.push_str(rest);
        Ok(text)
    }
}

/// The name of an asset as seen from another asset.
fn name(path: &str) -> &str {
    path.rsplit('/').next().unwrap_or(path)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn template(text: &str) -> Source {
        Source::Template(text.to_owned())
    }

    fn sources(all: impl IntoIterator<Item = (&'static str, Source)>) -> Sources {
        all.into_iter().map(|(mark, source)| (mark.to_owned(), source)).collect()
    }

    #[test]
    fn files_are_placed_after_those_they_name() {
        let sources = sources([
            ("a.js", template("import \"./{{b.js}}\"")),
            ("b.js", template("fetch(\"./{{c.wasm}}\") // {{WHO}}")),
            ("c.wasm", Source::File(vec![0, 1])),
            ("WHO", Source::Text("us".to_owned())),
        ]);
        let mut placing = Placing::new(&sources);
        let page = placing.filled("src=\"{{a.js}}\"", false).unwrap();
        let wasm = placing.path("c.wasm").unwrap();
        let [a, b] = ["a.js", "b.js"].map(|mark| placing.path(mark).unwrap());
        assert_eq!(page, format!("src=\"{a}\""));
        let text = |path: &str| String::from_utf8(placing.site[path].plain.clone()).unwrap();
        assert_eq!(text(&a), format!("import \"./{}\"", name(&b)));
        assert_eq!(text(&b), format!("fetch(\"./{}\") // us", name(&wasm)));
    }

    #[test]
    fn a_changed_file_renames_those_that_name_it() {
        let path = |content: u8| {
            let sources =
                sources([("a.js", template("{{c.wasm}}")), ("c.wasm", Source::File(vec![content]))]);
            Placing::new(&sources).path("a.js").unwrap()
        };
        assert_ne!(path(0), path(1));
    }

    #[test]
    fn marks_of_nothing_and_files_that_name_each_other_are_refused() {
        let round = sources([("a.js", template("{{b.js}}")), ("b.js", template("{{a.js}}"))]);
        assert!(Placing::new(&round).path("a.js").is_err());
        let lost = sources([("a.js", template("{{b.js}}"))]);
        assert!(Placing::new(&lost).all().is_err());
        assert!(Placing::new(&lost).filled("{{a.js", false).is_err());
    }
}
