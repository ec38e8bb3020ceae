//! Which crate may use which: the arrows between our own, and the list of foreign ones.
//!
//! A foreign crate is added here together with its reason in the commit; reading the lock file is
//! part of adding it.

use std::collections::{BTreeMap, BTreeSet};

use anyhow::{Context, Result};
use serde_json::Value;

use super::Complaints;
use crate::run;

struct Arrows {
    package: &'static str,
    ours: &'static [&'static str],
    foreign: &'static [&'static str],
    foreign_in_tests: &'static [&'static str],
}

static ALL: &[Arrows] = &[
    Arrows {
        package: "engine",
        ours: &[],
        foreign: &["base64", "libm", "petgraph", "roxmltree", "schemars", "serde", "serde_json"],
        foreign_in_tests: &["expect-test", "proptest"],
    },
    Arrows {
        package: "drawing",
        ours: &["engine"],
        foreign: &["libm", "svg"],
        foreign_in_tests: &["expect-test", "proptest", "roxmltree"],
    },
    Arrows {
        package: "sheets",
        ours: &["engine", "drawing"],
        foreign: &["libm", "miniz_oxide", "pdf-writer", "ttf-parser"],
        foreign_in_tests: &[],
    },
    Arrows {
        package: "editor",
        ours: &["engine", "drawing"],
        foreign: &[],
        foreign_in_tests: &["expect-test", "proptest"],
    },
    Arrows {
        package: "loomwright",
        ours: &["engine", "drawing", "sheets"],
        foreign: &["anyhow", "clap", "same-file", "serde_json"],
        foreign_in_tests: &["expect-test"],
    },
    Arrows {
        package: "web",
        ours: &["editor", "engine", "drawing"],
        foreign: &[
            "js-sys",
            "leptos",
            "wasm-bindgen",
            "wasm-bindgen-futures",
            "wasm_split_helpers",
            "web-sys",
        ],
        foreign_in_tests: &[],
    },
    Arrows {
        package: "worker",
        ours: &["engine", "drawing", "sheets", "editor"],
        foreign: &["wasm-bindgen"],
        foreign_in_tests: &[],
    },
    Arrows { package: "paper", ours: &["sheets"], foreign: &["wasm-bindgen"], foreign_in_tests: &[] },
    Arrows {
        package: "xtask",
        ours: &["drawing", "engine"],
        foreign: &[
            "anyhow",
            "brotli",
            "polib",
            "proc-macro2",
            "serde_json",
            "syn",
            "tiny_http",
            "walrus",
            "wasm-bindgen-cli-support",
            "wasm_split_cli_support",
        ],
        foreign_in_tests: &[],
    },
    // Nothing may use the package of the tests, so what it uses reaches nobody.
    Arrows {
        package: "suite",
        ours: &["engine", "drawing", "sheets", "editor", "loomwright"],
        foreign: &[
            "anyhow",
            "criterion",
            "expect-test",
            "faer",
            "libtest-mimic",
            "nalgebra",
            "nalgebra-sparse",
            "num-bigint",
            "petgraph",
            "proptest",
            "roxmltree",
            "serde",
            "serde_json",
            "libm",
        ],
        foreign_in_tests: &[
            "boon",
            "expect-test",
            "faer",
            "libtest-mimic",
            "nalgebra",
            "nalgebra-sparse",
            "num-bigint",
            "proptest",
        ],
    },
];

/// A dependency as the manifest states it.
struct Dependency {
    package: String,
    on: String,
    in_tests: bool,
}

pub fn examine(complaints: &mut Complaints) -> Result<()> {
    let metadata = run::output(&mut run::cargo(&["metadata", "--no-deps", "--format-version", "1"]))?;
    let metadata: Value =
        serde_json::from_slice(&metadata).context("cannot read what `cargo metadata` wrote")?;
    let packages = metadata["packages"].as_array().context("`cargo metadata` lists no packages")?;
    let names: BTreeSet<&str> = packages.iter().filter_map(|package| package["name"].as_str()).collect();
    let mut dependencies = Vec::new();
    for package in packages {
        for dependency in package["dependencies"].as_array().into_iter().flatten() {
            dependencies.push(Dependency {
                package: package["name"].as_str().unwrap_or_default().to_owned(),
                on: dependency["name"].as_str().unwrap_or_default().to_owned(),
                in_tests: dependency["kind"] == "dev",
            });
        }
    }
    compare(&names, &dependencies, complaints);
    Ok(())
}

fn compare(names: &BTreeSet<&str>, dependencies: &[Dependency], complaints: &mut Complaints) {
    let table: BTreeMap<&str, &Arrows> = ALL.iter().map(|arrows| (arrows.package, arrows)).collect();
    for name in names {
        if !table.contains_key(name) {
            complaints.fail(format!("package `{name}` is not in the table of arrows in tidy/arrows.rs"));
        }
    }
    for Dependency { package, on, in_tests } in dependencies {
        let Some(arrows) = table.get(package.as_str()) else { continue };
        let on = on.as_str();
        let allowed = if names.contains(on) {
            arrows.ours.contains(&on)
        } else {
            arrows.foreign.contains(&on) || (*in_tests && arrows.foreign_in_tests.contains(&on))
        };
        if !allowed {
            complaints.fail(format!("package `{package}` may not use `{on}`"));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn refused(package: &str, on: &str, in_tests: bool) -> bool {
        let names: BTreeSet<&str> = ALL.iter().map(|arrows| arrows.package).collect();
        let mut complaints = Complaints::default();
        compare(
            &names,
            &[Dependency { package: package.to_owned(), on: on.to_owned(), in_tests }],
            &mut complaints,
        );
        !complaints.failures.is_empty()
    }

    #[test]
    fn arrows_between_our_crates_point_one_way() {
        assert!(refused("engine", "drawing", false));
        assert!(refused("engine", "drawing", true));
        assert!(!refused("drawing", "engine", false));
        assert!(refused("web", "loomwright", false));
    }

    #[test]
    fn nobody_uses_the_tests() {
        for arrows in ALL {
            assert!(refused(arrows.package, "suite", true), "{}", arrows.package);
        }
    }

    #[test]
    fn foreign_crates_of_tests_stay_in_tests() {
        assert!(refused("drawing", "expect-test", false));
        assert!(!refused("drawing", "expect-test", true));
        assert!(refused("engine", "rand", false));
    }
}
