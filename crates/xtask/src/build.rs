//! The web build: from the sources to the files of the site.
//!
//! Cargo compiles the three modules, those of the page, of the worker and of what writes PDF files, [`crate::split`] cuts
//! the first in two, `wasm-bindgen-cli-support` writes the glue between each and JavaScript, [`crate::slim`] takes out what
//! nobody here uses, and [`crate::place`] gives every file its name.

use std::path::{Path, PathBuf};

use anyhow::{Context, Result, bail};
use serde_json::{Value, json};
use wasm_bindgen_cli_support::Bindgen;

use crate::place::{Placing, Source, Sources};
use crate::site::{self, Site};
use crate::{catalogue, machine, run, slim, split};

/// Builds, writes `dist/` and prints what the first visit costs.
pub fn command() -> Result<()> {
    let site = build()?;
    let folder = run::root().join("dist");
    site::write(&site, &folder)?;
    println!("written to {}", folder.display());
    weigh(&site)
}

/// A package that becomes a module.
struct Module {
    package: &'static str,
    profile: &'static str,
}

/// The page is built for size, because everybody waits for it to load; the worker for speed, because it is waited for
/// at every change.
const PAGE: Module = Module { package: "web", profile: "wasm" };
const WORKER: Module = Module { package: "worker", profile: "wasm-fast" };

/// Built for size too: it is loaded while somebody waits for a file.
const PAPER: Module = Module { package: "paper", profile: "wasm" };

/// Builds the web app.
pub fn build() -> Result<Site> {
    let mut sources = page()?;
    for module in [WORKER, PAPER] {
        let (glue, wasm) = compile(&module)?;
        // The glue must be told the name of its module: left to itself it looks for a file without a hash.
        let glue = without_comments(&glue).into_bytes();
        sources.insert(format!("{}-glue.js", module.package), Source::File(glue));
        sources.insert(format!("{}.wasm", module.package), Source::File(wasm));
    }
    assemble(sources)
}

/// Builds the module of the page: its glue and its two halves.
fn page() -> Result<Sources> {
    // The halves are found by the references between functions and data, which the linker throws away unless told.
    let module = link(&PAGE, &["--", "-C", "link-arg=--emit-relocs"])?;
    let halves = split::halves(&module)?;
    let (glue, wasm) = bind(&halves.first, true)?;
    let glue = without_comments(&split::joined(&glue, &halves)?);
    Ok(Sources::from([
        ("web-glue.js".to_owned(), Source::Template(glue)),
        ("web.wasm".to_owned(), Source::File(wasm)),
        ("rest.wasm".to_owned(), Source::File(halves.rest)),
    ]))
}

/// Builds the module of the worker alone: its glue and itself.
pub fn worker() -> Result<(String, Vec<u8>)> {
    compile(&WORKER)
}

fn compile(module: &Module) -> Result<(String, Vec<u8>)> {
    bind(&link(module, &[])?, false)
}

/// Has cargo build a module, with these arguments for the compiler of its own crate, and tells where it is.
fn link(Module { package, profile }: &Module, arguments: &[&str]) -> Result<PathBuf> {
    machine::need_wasm_target()?;
    let mut compile = run::cargo(&["rustc", "--profile", profile, "--package", package]);
    compile.args(["--target", machine::WASM]).args(arguments);
    compile.env("CARGO_TARGET_WASM32_UNKNOWN_UNKNOWN_RUSTFLAGS", without_paths_of_this_machine());
    run::run(&mut compile)?;
    Ok(run::target().join(machine::WASM).join(profile).join(format!("{package}.wasm")))
}

/// Fails when the first visit would cost more than [`site::BUDGET`]; prints every file either way.
pub fn weigh(site: &Site) -> Result<()> {
    let first = site::first_visit(site)?;
    println!("{:>10} {:>10}  file", "bytes", "brotli");
    let total = weigh_some(site, |path| first.contains(path));
    println!("{:>10} {total:>10}  first visit until it can be used, of {} allowed", "", site::BUDGET);
    let later = weigh_some(site, |path| !first.contains(path) && path != HEADERS);
    println!("{:>10} {later:>10}  later, or when asked for", "");
    let of_paper = format!("{}/{}", site::ASSETS, PAPER.package);
    let paper = weigh_some(site, |path| path.starts_with(&of_paper));
    println!("{:>10} {paper:>10}  to write a PDF for the first time, of {} allowed", "", site::PAPER_BUDGET);
    if total > site::BUDGET {
        bail!("the first visit costs {total} bytes; {} are allowed", site::BUDGET);
    }
    if paper > site::PAPER_BUDGET {
        bail!("the first PDF costs {paper} bytes; {} are allowed", site::PAPER_BUDGET);
    }
    Ok(())
}

/// Prints the files that `belongs` holds for, and returns what they cost together.
fn weigh_some(site: &Site, belongs: impl Fn(&str) -> bool) -> usize {
    let mut total = 0;
    for (path, file) in site.iter().filter(|(path, _)| belongs(path)) {
        let size = file.compressed().len();
        total += size;
        println!("{:>10} {size:>10}  {path}", file.plain.len());
    }
    total
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

/// The glue and the module that the page loads; one that is a half keeps what the other half asks of it.
fn bind(module: &Path, is_half: bool) -> Result<(String, Vec<u8>)> {
    let mut bindgen = Bindgen::new();
    bindgen.input_path(module).web(true)?.typescript(false);
    bindgen.keep_lld_exports(is_half);
    // Names help nobody at run time and are a third of the module.
    bindgen.remove_name_section(true).remove_producers_section(true);
    let mut output =
        bindgen.generate_output().with_context(|| format!("cannot bind `{}`", module.display()))?;
    if output.snippets().values().any(|files| !files.is_empty()) || !output.local_modules().is_empty() {
        // They would have to be hashed and imported by their new names; nothing needs them so far.
        bail!("a dependency brings JavaScript of its own, which this build does not place");
    }
    let glue = output.js().to_owned();
    let glue = slim::slim(output.wasm_mut(), &glue);
    Ok((glue, output.wasm_mut().emit_wasm()))
}

/// Everything beside the modules, and then all of it under its name.
fn assemble(mut sources: Sources) -> Result<Site> {
    let web = run::root().join("web");
    let read = |path: &Path| {
        std::fs::read_to_string(path).with_context(|| format!("cannot read `{}`", path.display()))
    };
    let mut scripts = files(&web.join("host"), "js")?;
    scripts.push(web.join("start.js"));
    for script in scripts {
        sources.insert(file_name(&script)?, Source::Template(without_comments(&read(&script)?)));
    }
    for sheet in files(&web.join("host"), "css")? {
        sources.insert(file_name(&sheet)?, Source::File(without_comments(&read(&sheet)?).into_bytes()));
    }
    sources.insert("style.css".to_owned(), Source::File(without_comments(&style()?).into_bytes()));
    for icon in [files(&web, "svg")?, files(&web, "png")?].concat() {
        let content = std::fs::read(&icon).with_context(|| format!("cannot read `{}`", icon.display()))?;
        sources.insert(file_name(&icon)?, Source::File(content));
    }
    let manifest = "manifest.webmanifest";
    sources.insert(manifest.to_owned(), Source::Template(read(&web.join(manifest))?));
    for (tag, path) in catalogue::LANGUAGES {
        sources.insert(format!("{tag}.json"), Source::File(catalogue::of_language(path)?));
    }
    sources.insert("POLICY".to_owned(), Source::Text(site::POLICY.to_owned()));
    let (starts, jobs) = (shelved("starts", &mut sources)?, shelved("jobs", &mut sources)?);

    let mut placing = Placing::new(&sources);
    let mut list = |jobs: Vec<Shelved>| -> Result<Vec<Value>> {
        let entry = |job: Shelved| {
            let path = placing.path(&job.mark)?;
            Ok(json!({ "name": job.name, "title": job.title, "path": path }))
        };
        jobs.into_iter().map(entry).collect()
    };
    let shelf = json!({ "starts": list(starts)?, "demonstrations": list(jobs)? });
    sources.insert("SHELF".to_owned(), Source::Text(shelf.to_string()));
    let mut placing = Placing::new(&sources);
    placing.all()?;
    let page = placing.filled(&read(&web.join("index.html"))?, false).context("in `index.html`")?;
    let mut site = placing.site;
    // The script that serves the page without signal is told which files the build has, and which build that is.
    let files = serde_json::to_string(&site.keys().collect::<Vec<_>>())?;
    sources.insert("BUILD".to_owned(), Source::Text(site::hash(format!("{files}{page}").as_bytes())));
    sources.insert("FILES".to_owned(), Source::Text(files));
    let service = without_comments(&read(&web.join(site::SERVICE))?);
    let service = Placing::new(&sources).filled(&service, false);
    let service = service.with_context(|| format!("in `{}`", site::SERVICE))?;
    site.insert("index.html".to_owned(), page.into_bytes().into());
    site.insert(site::SERVICE.to_owned(), service.into_bytes().into());
    site.insert(HEADERS.to_owned(), site::headers_file().into_bytes().into());
    Ok(site)
}

/// A script or style sheet without indentation and without the lines that hold nothing but a comment: those are for
/// whoever reads the source, and the first visit would wait for them. No text that runs over lines may count on its blanks.
fn without_comments(text: &str) -> String {
    let mut kept = String::new();
    let mut is_inside = false;
    for line in text.lines() {
        let start = line.trim();
        let begins = !is_inside && start.starts_with("/*");
        if is_inside || begins {
            // What follows the end of a comment on its line is kept.
            is_inside = !start.contains("*/");
            if is_inside || start.ends_with("*/") {
                continue;
            }
        }
        if !start.is_empty() && !start.starts_with("//") {
            kept.push_str(line.trim_start());
            kept.push('\n');
        }
    }
    kept
}

/// A job that comes with the app and is fetched when it is chosen.
struct Shelved {
    mark: String,
    name: String,
    title: String,
}

/// Adds the jobs of a folder of the fixtures to the sources.
fn shelved(folder: &str, sources: &mut Sources) -> Result<Vec<Shelved>> {
    let mut shelved = Vec::new();
    for path in files(&run::root().join("fixtures").join(folder), "json")? {
        let content = std::fs::read(&path).with_context(|| format!("cannot read `{}`", path.display()))?;
        let job: Value =
            serde_json::from_slice(&content).with_context(|| format!("cannot read `{}`", path.display()))?;
        let name = path.file_stem().context("a job has a name")?.to_string_lossy().into_owned();
        let title = job["card"]["title"].as_str().unwrap_or(&name).to_owned();
        let mark = format!("{folder}-{name}.json");
        sources.insert(mark.clone(), Source::File(content));
        shelved.push(Shelved { mark, name, title });
    }
    Ok(shelved)
}

/// The files of a folder with this ending, by name; none when there is no such folder.
fn files(folder: &Path, ending: &str) -> Result<Vec<PathBuf>> {
    let mut found = Vec::new();
    if folder.exists() {
        for entry in
            std::fs::read_dir(folder).with_context(|| format!("cannot list `{}`", folder.display()))?
        {
            let path = entry?.path();
            if path.extension().is_some_and(|extension| extension == ending) {
                found.push(path);
            }
        }
    }
    found.sort();
    Ok(found)
}

fn file_name(path: &Path) -> Result<String> {
    Ok(path.file_name().context("a file has a name")?.to_string_lossy().into_owned())
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_lines_of_comment_are_left_out() {
        let script = "// why\nlet a = \"//x\"; // what\n\n/**\n * More.\n */\n/* one */\n  let b = 4 /* of */ * 2;\n/* c */ let c;\n";
        assert_eq!(
            without_comments(script),
            "let a = \"//x\"; // what\nlet b = 4 /* of */ * 2;\n/* c */ let c;\n"
        );
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
        let site = |names: &str, content: &[u8]| {
            let page = format!("<script src=\"{names}\"></script>");
            Site::from([
                ("index.html".to_owned(), page.into_bytes().into()),
                ("assets/a.js".to_owned(), content.to_vec().into()),
            ])
        };
        assert!(weigh(&site("assets/a.js", &heavy)).is_err());
        assert!(weigh(&site("assets/a.js", &vec![0; site::BUDGET])).is_ok());
        assert!(weigh(&site("", &heavy)).is_ok(), "what is fetched later may weigh more");
        let mut with_paper = site("", &[]);
        with_paper
            .insert("assets/paper-1.wasm".to_owned(), heavy[..site::PAPER_BUDGET + 1000].to_vec().into());
        assert!(weigh(&with_paper).is_err(), "what writes PDF files has a limit of its own");
    }
}
