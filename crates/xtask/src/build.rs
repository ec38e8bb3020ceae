//! The web build: from the sources to the files of the site.
//!
//! Cargo compiles, `wasm-bindgen-cli-support` writes the glue between the module and the page, and
//! the rest is naming: every file but the page itself carries a hash of its content in its name, so
//! that a host may cache it for ever and glue and module of two builds never meet.

use std::path::{Path, PathBuf};

use anyhow::{Context, Result, bail};
use wasm_bindgen_cli_support::Bindgen;

use crate::site::{self, Site};
use crate::{machine, run};

/// Builds, writes `dist/` and prints what the first visit costs.
pub fn command() -> Result<()> {
    let site = build()?;
    let folder = run::root().join("dist");
    site::write(&site, &folder)?;
    println!("written to {}", folder.display());
    weigh(&site)
}

/// Builds the web app.
pub fn build() -> Result<Site> {
    machine::need_wasm_target()?;
    let mut compile = run::cargo(&["build", "--profile", "wasm", "--package", "web"]);
    compile.args(["--target", machine::WASM]);
    compile.env("CARGO_TARGET_WASM32_UNKNOWN_UNKNOWN_RUSTFLAGS", without_paths_of_this_machine());
    run::run(&mut compile)?;
    let module = run::target().join(machine::WASM).join("wasm").join("web.wasm");
    let (glue, wasm) = bind(&module)?;
    assemble(glue, wasm)
}

/// Fails when the first visit would cost more than [`site::BUDGET`]; prints every file either way.
pub fn weigh(site: &Site) -> Result<()> {
    println!("{:>10} {:>10}  file", "bytes", "brotli");
    let mut total = 0;
    for (path, content) in site.iter().filter(|(path, _)| path.as_str() != HEADERS) {
        let size = site::size_on_the_wire(content);
        total += size;
        println!("{:>10} {size:>10}  {path}", content.len());
    }
    println!("{:>10} {total:>10}  first visit, of {} allowed", "", site::BUDGET);
    if total > site::BUDGET {
        bail!("the first visit costs {total} bytes; {} are allowed", site::BUDGET);
    }
    Ok(())
}

const HEADERS: &str = "_headers";

/// Flags that keep the folders of this machine out of the texts of panics: they are nobody's
/// business, and a build must not depend on where it is made.
fn without_paths_of_this_machine() -> String {
    let mut flags = vec![format!("--remap-path-prefix={}=.", run::root().display())];
    let cargo_home = std::env::var_os("CARGO_HOME").map(PathBuf::from);
    let default_home = || std::env::home_dir().map(|home| home.join(".cargo"));
    if let Some(cargo_home) = cargo_home.or_else(default_home) {
        flags.push(format!("--remap-path-prefix={}/registry/src=", cargo_home.display()));
    }
    flags.join(" ")
}

/// The glue and the module that the page loads.
fn bind(module: &Path) -> Result<(String, Vec<u8>)> {
    let mut bindgen = Bindgen::new();
    bindgen.input_path(module).web(true)?.typescript(false);
    // Names help nobody at run time and are a third of the module.
    bindgen.remove_name_section(true).remove_producers_section(true);
    let mut output =
        bindgen.generate_output().with_context(|| format!("cannot bind `{}`", module.display()))?;
    if output.snippets().values().any(|files| !files.is_empty()) || !output.local_modules().is_empty() {
        // They would have to be hashed and imported by their new names; nothing needs them so far.
        bail!("a dependency brings JavaScript of its own, which this build does not place");
    }
    let glue = output.js().to_owned();
    Ok((glue, output.wasm_mut().emit_wasm()))
}

fn assemble(glue: String, wasm: Vec<u8>) -> Result<Site> {
    let web = run::root().join("web");
    let read = |name: &str| {
        std::fs::read_to_string(web.join(name)).with_context(|| format!("cannot read `web/{name}`"))
    };

    let mut site = Site::new();
    let mut place = |stem: &str, extension: &str, content: Vec<u8>| {
        let path = site::hashed_name(stem, extension, &content);
        site.insert(path.clone(), content);
        path
    };

    let wasm_path = place("web", "wasm", wasm);
    let glue_path = place("web", "js", glue.into_bytes());
    // The module must be named to the glue: left to itself it looks for a file without a hash.
    let start = fill(&read("start.js")?, &[("GLUE", beside(&glue_path)), ("WASM", beside(&wasm_path))])?;
    let start_path = place("start", "js", start.into_bytes());
    let style_path = place("style", "css", style()?.into_bytes());
    let icon_path = place("icon", "svg", read("icon.svg")?.into_bytes());

    let page = fill(
        &read("index.html")?,
        &[
            ("POLICY", site::POLICY),
            ("STYLE", &style_path),
            ("ICON", &icon_path),
            ("START", &start_path),
            ("GLUE", &glue_path),
            ("WASM", &wasm_path),
        ],
    )?;
    site.insert("index.html".to_owned(), page.into_bytes());
    site.insert(HEADERS.to_owned(), site::headers_file().into_bytes());
    Ok(site)
}

/// All style sheets as one: the common ones first, then those that lie beside their components.
fn style() -> Result<String> {
    let mut paths = Vec::new();
    for folder in ["web/style", "web/src"] {
        let from = paths.len();
        style_sheets(&run::root().join(folder), &mut paths)?;
        paths[from..].sort();
    }
    let mut style = String::new();
    for path in paths {
        style.push_str(
            &std::fs::read_to_string(&path).with_context(|| format!("cannot read `{}`", path.display()))?,
        );
    }
    Ok(style)
}

fn style_sheets(folder: &Path, paths: &mut Vec<PathBuf>) -> Result<()> {
    for entry in std::fs::read_dir(folder).with_context(|| format!("cannot list `{}`", folder.display()))? {
        let path = entry?.path();
        if path.is_dir() {
            style_sheets(&path, paths)?;
        } else if path.extension().is_some_and(|extension| extension == "css") {
            paths.push(path);
        }
    }
    Ok(())
}

/// The name of an asset as seen from another asset.
fn beside(path: &str) -> &str {
    path.rsplit('/').next().unwrap_or(path)
}

/// The template with each `{{NAME}}` replaced; a name that is missing or left over is an error.
fn fill(template: &str, values: &[(&str, &str)]) -> Result<String> {
    let mut text = template.to_owned();
    for (name, value) in values {
        let mark = format!("{{{{{name}}}}}");
        if !text.contains(&mark) {
            bail!("`{mark}` does not occur in its template");
        }
        text = text.replace(&mark, value);
    }
    if let Some(at) = text.find("{{") {
        let left: String = text[at..].chars().take(20).collect();
        bail!("nothing to put in place of `{left}`");
    }
    Ok(text)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_template_is_filled_wholly_or_refused() {
        assert_eq!(fill("a {{X}} c {{X}}", &[("X", "b")]).unwrap(), "a b c b");
        assert!(fill("a {{X}} {{Y}}", &[("X", "b")]).is_err());
        assert!(fill("a", &[("X", "b")]).is_err());
    }

    #[test]
    fn a_site_over_budget_is_refused() {
        // A linear congruential sequence does not compress.
        let mut state: u32 = 1;
        let mut noise = || {
            state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            (state >> 24) as u8
        };
        let heavy: Vec<u8> = (0..site::BUDGET + 1000).map(|_| noise()).collect();
        assert!(weigh(&Site::from([("heavy".to_owned(), heavy)])).is_err());
        assert!(weigh(&Site::from([("light".to_owned(), vec![0; site::BUDGET])])).is_ok());
    }
}
