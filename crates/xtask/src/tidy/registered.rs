//! Every file of a folder of rules is registered in that folder's index, and every check has its
//! literate fixture.

use super::Complaints;
use super::sources::Source;

pub fn examine(sources: &[Source], complaints: &mut Complaints) {
    let text_of =
        |path: &str| sources.iter().find(|source| source.path == path).map(|source| source.text.as_str());
    for source in sources {
        examine_declared(source, &text_of, complaints);
        if let Some(name) = file_in(source, "crates/engine/src/check/")
            && source.text.contains("declare_check!")
        {
            let index = text_of("crates/engine/src/check/mod.rs").unwrap_or_default();
            examine_entry(source, name, "CHECK", index, complaints);
            let fixture = format!("fixtures/checks/{}.md", name.replace('_', "-"));
            if text_of(&fixture).is_none() {
                complaints.fail(format!("`{}`: its fixture `{fixture}` is missing", source.path));
            }
        }
        if let Some(name) = file_in(source, "crates/engine/src/kind/")
            && source.text.contains("declare_kind!")
        {
            let index = text_of("crates/engine/src/kind/mod.rs").unwrap_or_default();
            examine_entry(source, name, "KIND", index, complaints);
        }
    }
}

/// The name of a file right inside this folder; none for its index.
fn file_in<'a>(source: &'a Source, folder: &str) -> Option<&'a str> {
    let name = source.path.strip_prefix(folder)?.strip_suffix(".rs")?;
    (name != "mod" && !name.contains('/')).then_some(name)
}

/// A file that no module declares is compiled by nobody, and the compiler does not say so.
fn examine_declared<'a>(
    source: &Source,
    text_of: &impl Fn(&str) -> Option<&'a str>,
    complaints: &mut Complaints,
) {
    let Some((folder, file)) = source.path.rsplit_once('/') else { return };
    let Some(at) = source.path.find("/src/") else { return };
    let in_root = folder.len() == at + "/src".len();
    let (name, index_folder) = match file {
        "lib.rs" | "main.rs" => return,
        "mod.rs" => match folder.rsplit_once('/') {
            Some((above, name)) => (name, above),
            None => return,
        },
        _ => match file.strip_suffix(".rs") {
            Some(name) => (name, folder),
            None => return,
        },
    };
    let indexes = if index_folder.ends_with("/src") || in_root {
        ["lib.rs", "main.rs"].as_slice()
    } else {
        &["mod.rs"]
    };
    let declaration = format!("mod {name};");
    let declared = indexes.iter().any(|index| {
        text_of(&format!("{index_folder}/{index}")).is_some_and(|text| text.contains(&declaration))
    });
    if !declared {
        complaints.fail(format!("`{}`: nothing says `{declaration}`, so it is not compiled", source.path));
    }
}

/// The entry in the list of the index, and the name a rule is known by, which is that of its file.
fn examine_entry(source: &Source, name: &str, item: &str, index: &str, complaints: &mut Complaints) {
    if !index.contains(&format!("{name}::{item}")) {
        complaints
            .fail(format!("`{}`: `{name}::{item}` is not in the list of its folder's mod.rs", source.path));
    }
    let kebab = name.replace('_', "-");
    if !source.text.contains(&format!("\"{kebab}\"")) {
        complaints.fail(format!("`{}`: it should be named \"{kebab}\", as its file is", source.path));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn about(files: &[(&str, &str)]) -> Vec<String> {
        let sources: Vec<Source> = files
            .iter()
            .map(|(path, text)| Source { path: (*path).to_owned(), text: (*text).to_owned() })
            .collect();
        let mut complaints = Complaints::default();
        examine(&sources, &mut complaints);
        complaints.failures
    }

    const CHECK: (&str, &str) =
        ("crates/engine/src/check/thin_wire.rs", "declare_check! { name: \"thin-wire\" }");
    const LIB: (&str, &str) = ("crates/engine/src/lib.rs", "mod check;");

    #[test]
    fn a_check_has_module_entry_name_and_fixture() {
        let index = ("crates/engine/src/check/mod.rs", "mod thin_wire; ALL = [&thin_wire::CHECK];");
        let fixture = ("fixtures/checks/thin-wire.md", "");
        assert_eq!(about(&[LIB, CHECK, index, fixture]), Vec::<String>::new());
        assert_eq!(about(&[LIB, CHECK, index]).len(), 1);
        assert_eq!(
            about(&[LIB, CHECK, ("crates/engine/src/check/mod.rs", "mod thin_wire;"), fixture]).len(),
            1
        );
        let misnamed = (CHECK.0, "declare_check! { name: \"thick-wire\" }");
        assert_eq!(about(&[LIB, misnamed, index, fixture]).len(), 1);
    }

    #[test]
    fn a_file_nobody_declares_is_found() {
        assert_eq!(about(&[("web/src/main.rs", "mod app;"), ("web/src/app.rs", "")]), Vec::<String>::new());
        assert_eq!(about(&[("web/src/main.rs", ""), ("web/src/app.rs", "")]).len(), 1);
        assert_eq!(about(&[("web/src/main.rs", ""), ("web/src/state/mod.rs", "")]).len(), 1);
    }
}
