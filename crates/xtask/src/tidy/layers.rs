//! The layers inside a crate, read off the paths that its modules name.
//!
//! The compiler lets every module of a crate use every other; these rules keep the direction.

use std::collections::BTreeSet;

use super::Complaints;
use super::sources::Source;

/// The modules of the engine, the lowest first: what each may use of the others.
///
/// A module may always use itself. A module that is missing here fails, so that its place in the
/// order is a decision and not an accident.
static ENGINE: &[(&str, &[&str])] = &[
    ("arrange", &[]),
    ("quantity", &[]),
    ("ids", &[]),
    ("given", &["quantity"]),
    ("kind", &["quantity", "ids", "given"]),
    ("document", &["arrange", "quantity", "ids", "given", "kind"]),
    ("file", &["arrange", "quantity", "ids", "given", "kind", "document"]),
    ("notation", &["quantity", "ids", "given", "kind", "document"]),
    ("subject", &["ids", "document"]),
    ("working", &["quantity"]),
    ("conductor", &["quantity", "document", "working"]),
    ("route", &["arrange", "quantity", "ids", "given", "document", "working"]),
    (
        "resolve",
        &["quantity", "ids", "given", "kind", "document", "subject", "working", "conductor", "route"],
    ),
    ("bundle", &["arrange", "quantity", "working"]),
    (
        "circuit",
        &["arrange", "quantity", "ids", "given", "kind", "document", "subject", "conductor", "resolve"],
    ),
    (
        "solve",
        &[
            "arrange",
            "quantity",
            "ids",
            "given",
            "kind",
            "document",
            "subject",
            "working",
            "conductor",
            "resolve",
            "circuit",
        ],
    ),
    ("path", &["arrange", "quantity", "ids", "kind", "document", "subject", "circuit", "solve"]),
    ("sweep", &["arrange", "quantity", "ids", "given", "kind", "document", "subject", "circuit", "solve"]),
    ("finding", &["arrange", "quantity", "document", "subject", "working"]),
    (
        "protection",
        &[
            "arrange",
            "quantity",
            "ids",
            "given",
            "kind",
            "document",
            "subject",
            "working",
            "conductor",
            "resolve",
            "circuit",
            "solve",
        ],
    ),
    (
        "fault",
        &[
            "arrange",
            "quantity",
            "ids",
            "kind",
            "document",
            "subject",
            "circuit",
            "solve",
            "path",
            "sweep",
            "protection",
        ],
    ),
    ("endurance", &["quantity", "kind", "working", "circuit", "solve"]),
    ("charge", &["quantity", "kind", "document", "subject", "working", "circuit", "solve", "endurance"]),
    (
        "check",
        &[
            "arrange",
            "quantity",
            "ids",
            "given",
            "kind",
            "document",
            "subject",
            "working",
            "conductor",
            "route",
            "resolve",
            "circuit",
            "solve",
            "path",
            "sweep",
            "finding",
            "protection",
            "charge",
        ],
    ),
    (
        "laid",
        &[
            "arrange", "quantity", "ids", "document", "bundle", "route", "resolve", "circuit", "solve",
            "check",
        ],
    ),
    (
        "diagnose",
        &[
            "arrange", "quantity", "ids", "kind", "document", "subject", "circuit", "solve", "sweep",
            "fault", "finding", "check",
        ],
    ),
    ("mend", &["quantity", "given", "kind", "document", "subject", "finding", "check", "laid"]),
    (
        "sizing",
        &[
            "arrange",
            "quantity",
            "ids",
            "given",
            "kind",
            "document",
            "subject",
            "conductor",
            "resolve",
            "circuit",
            "solve",
            "finding",
            "protection",
            "check",
            "laid",
        ],
    ),
    (
        "sitting",
        &[
            "arrange", "quantity", "ids", "given", "kind", "document", "subject", "circuit", "resolve",
            "route", "finding", "check", "laid", "sizing",
        ],
    ),
    (
        "donor_survey",
        &[
            "arrange", "quantity", "ids", "given", "kind", "document", "circuit", "solve", "finding",
            "check", "laid",
        ],
    ),
    (
        "fitting_order",
        &[
            "arrange", "quantity", "ids", "given", "kind", "document", "subject", "route", "resolve",
            "circuit", "laid",
        ],
    ),
    (
        "mistakes",
        &[
            "arrange",
            "quantity",
            "ids",
            "kind",
            "document",
            "subject",
            "circuit",
            "solve",
            "path",
            "sweep",
            "protection",
            "fault",
            "check",
            "sizing",
        ],
    ),
    (
        "inspect",
        &[
            "arrange",
            "quantity",
            "ids",
            "given",
            "kind",
            "document",
            "subject",
            "circuit",
            "resolve",
            "finding",
            "protection",
            "check",
            "laid",
        ],
    ),
    ("reading", &["quantity", "ids", "kind", "document", "subject", "circuit", "solve", "check"]),
    (
        "explain",
        &["quantity", "ids", "kind", "subject", "working", "resolve", "circuit", "solve", "endurance"],
    ),
    (
        "answer",
        &[
            "quantity", "ids", "kind", "document", "subject", "circuit", "solve", "path", "sweep", "finding",
            "check", "laid", "mend", "reading",
        ],
    ),
    // Of `answer` it carries the plain data.
    ("post", &["quantity", "ids", "given", "kind", "document", "subject", "finding", "answer"]),
];

/// A path that only some files below a folder may name.
struct Only {
    below: &'static str,
    path: &'static str,
    allowed_in: &'static [&'static str],
    why: &'static str,
}

static ONLY: &[Only] = &[
    Only {
        below: "crates/engine/src/",
        path: "serde",
        allowed_in: &["crates/engine/src/file"],
        why: "the saved format is the business of `file` alone",
    },
    Only {
        below: "crates/engine/src/",
        path: "base64",
        allowed_in: &["crates/engine/src/file"],
        why: "the saved format is the business of `file` alone",
    },
    Only {
        below: "crates/engine/src/",
        path: "roxmltree",
        allowed_in: &["crates/engine/src/file"],
        why: "the saved format is the business of `file` alone",
    },
    Only {
        below: "web/src/",
        path: "engine::solve",
        allowed_in: &["web/src/state/derived.rs"],
        why: "the app shows what is derived in one place",
    },
    Only {
        below: "web/src/",
        path: "engine::check",
        allowed_in: &["web/src/state/derived.rs"],
        why: "the app shows what is derived in one place",
    },
    Only {
        below: "crates/drawing/src/",
        path: "engine::solve",
        allowed_in: &["crates/drawing/src/overlay"],
        why: "the drawing of a job does not depend on its solution; only the marks over it do",
    },
];

pub fn examine(sources: &[Source], complaints: &mut Complaints) {
    for source in sources.iter().filter(|source| source.is_a(&["rs"])) {
        if let Some(inside) = source.path.strip_prefix("crates/engine/src/") {
            examine_module(source, inside, complaints);
        }
        for only in ONLY {
            let exempt = only.allowed_in.iter().any(|path| source.path.starts_with(path));
            if exempt || !source.path.starts_with(only.below) {
                continue;
            }
            for (number, line) in source.code().filter(|(_, line)| names(line, only.path)) {
                complaints.fail(format!(
                    "`{}`:{number}: may not name `{}`: {}; found in `{}`",
                    source.path,
                    only.path,
                    only.why,
                    line.trim()
                ));
            }
        }
    }
}

fn examine_module(source: &Source, inside: &str, complaints: &mut Complaints) {
    let module = inside.split(['/', '.']).next().unwrap_or_default();
    if module == "lib" {
        return;
    }
    let Some((_, may_use)) = ENGINE.iter().find(|(name, _)| *name == module) else {
        complaints.fail(format!("`{}`: module `{module}` has no place in tidy/layers.rs", source.path));
        return;
    };
    let code: String = source.code().map(|(_, line)| format!("{line}\n")).collect();
    for used in modules_named(&code) {
        // Macros and re-exports of the crate itself are not modules.
        let is_module = ENGINE.iter().any(|(name, _)| *name == used);
        if is_module && used != module && !may_use.contains(&used.as_str()) {
            complaints.fail(format!("`{}`: `{module}` may not use `{used}`", source.path));
        }
    }
}

/// The first names after each `crate::` of a text, those inside braces included.
fn modules_named(code: &str) -> BTreeSet<String> {
    let mut found = BTreeSet::new();
    for (at, start) in code.match_indices("crate::") {
        let rest = &code[at + start.len()..];
        match rest.strip_prefix('{') {
            Some(group) => found.extend(first_names(group)),
            None => found.extend(first_name(rest)),
        }
    }
    found
}

/// The first name of each entry of a brace group whose opening brace is already taken off.
fn first_names(group: &str) -> Vec<String> {
    let mut names = Vec::new();
    let mut depth = 0;
    let mut entry_starts_at = 0;
    for (at, character) in group.char_indices() {
        match character {
            '{' => depth += 1,
            '}' if depth > 0 => depth -= 1,
            '}' | ',' if depth == 0 => {
                names.extend(first_name(group[entry_starts_at..at].trim_start()));
                entry_starts_at = at + 1;
                if character == '}' {
                    break;
                }
            }
            _ => {}
        }
    }
    names
}

fn first_name(path: &str) -> Option<String> {
    let name: String = path.chars().take_while(|c| c.is_ascii_alphanumeric() || *c == '_').collect();
    (!name.is_empty()).then_some(name)
}

/// Whether a line names this path, and not merely a longer name that contains it.
fn names(line: &str, path: &str) -> bool {
    let part_of_name = |c: char| c.is_ascii_alphanumeric() || c == '_';
    let direct = line.match_indices(path).any(|(at, _)| {
        !line[..at].ends_with(part_of_name) && !line[at + path.len()..].starts_with(part_of_name)
    });
    // `engine::{solve, ..}` names `engine::solve` too.
    let grouped = path.split_once("::").is_some_and(|(first, second)| {
        line.split_once(&format!("{first}::{{"))
            .is_some_and(|(_, group)| first_names(group).iter().any(|n| n == second))
    });
    direct || grouped
}

#[cfg(test)]
mod tests {
    use super::super::complaints_about;
    use super::*;

    fn about(path: &str, text: &str) -> usize {
        complaints_about(path, text, examine).len()
    }

    #[test]
    fn a_lower_layer_does_not_use_a_higher_one() {
        assert_eq!(about("crates/engine/src/circuit/nets.rs", "use crate::solve::Solution;"), 1);
        assert_eq!(about("crates/engine/src/solve/mod.rs", "use crate::circuit::Net;"), 0);
        assert_eq!(about("crates/engine/src/ids.rs", "fn f() { crate::document::x() }"), 1);
        assert_eq!(about("crates/engine/src/nowhere.rs", ""), 1);
    }

    #[test]
    fn names_inside_braces_count() {
        let text = "use crate::{\n    ids::{PartId, WireId},\n    solve,\n};";
        assert_eq!(modules_named(text), BTreeSet::from(["ids".to_owned(), "solve".to_owned()]));
        assert_eq!(about("crates/engine/src/circuit/mod.rs", text), 1);
        assert_eq!(about("web/src/app.rs", "use engine::{file, solve};"), 1);
    }

    #[test]
    fn comments_and_unit_tests_may_name_anything() {
        let text = "//! See [`crate::solve`].\n#[cfg(test)]\nmod tests { use crate::solve; }";
        assert_eq!(about("crates/engine/src/circuit/mod.rs", text), 0);
    }

    #[test]
    fn the_saved_format_is_named_in_one_module() {
        assert_eq!(about("crates/engine/src/document/mod.rs", "#[derive(serde::Serialize)]"), 1);
        assert_eq!(about("crates/engine/src/file/mod.rs", "use serde_json::Value;"), 0);
        assert_eq!(about("crates/engine/src/document/mod.rs", "let deserted = 1;"), 0);
    }

    #[test]
    fn the_app_derives_in_one_place() {
        assert_eq!(about("web/src/app.rs", "let s = engine::solve::solve(x);"), 1);
        assert_eq!(about("web/src/state/derived.rs", "let s = engine::solve::solve(x);"), 0);
    }
}
