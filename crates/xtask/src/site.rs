//! The web app as a set of files for a static host, and the headers that go with them.
//!
//! One table serves the development server, the browser stage and the file `_headers` that static
//! hosts read, so what is tested is what is delivered.

use std::collections::{BTreeMap, BTreeSet};
use std::io::Write;
use std::path::{Path, PathBuf};
use std::sync::OnceLock;

use anyhow::{Context, Result, bail};

/// What the page may load: its own files and nothing from anywhere else.
///
/// `wasm-unsafe-eval` allows compiling WebAssembly and no other form of evaluation. The page
/// carries the same policy in a meta element, for hosts that cannot send headers;
/// `frame-ancestors` has no effect there, so only the header has it.
pub const POLICY: &str = "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; style-src 'self'; \
    connect-src 'self'; img-src 'self' data: blob:; worker-src 'self'; manifest-src 'self'; \
    base-uri 'none'; form-action 'none'";

/// What the first visit may cost, over the wire, compressed with brotli: a guard against growth.
pub const BUDGET: usize = 250_000;

/// What the part that writes PDF files may cost, with its fonts, compressed with brotli.
pub const PAPER_BUDGET: usize = 120_000;

/// The script that serves the page where there is no signal. Its name stays the same from build to build: that is how a
/// browser finds the next one.
pub const SERVICE: &str = "service.js";

/// The folder whose files carry a hash of their content in their name.
pub const ASSETS: &str = "assets";

/// The files of the site by their path below its root.
pub type Site = BTreeMap<String, File>;

/// A file of the site.
pub struct File {
    /// Its content.
    pub plain: Vec<u8>,
    compressed: OnceLock<Vec<u8>>,
}

impl From<Vec<u8>> for File {
    fn from(plain: Vec<u8>) -> File {
        File { plain, compressed: OnceLock::new() }
    }
}

impl File {
    /// The file as a host sends it, compressed with brotli at its best setting. That takes seconds for a module, so it
    /// is done when it is first asked for, and kept.
    pub fn compressed(&self) -> &[u8] {
        self.compressed.get_or_init(|| {
            let mut compressed = Vec::new();
            let mut writer = brotli::CompressorWriter::new(&mut compressed, 1 << 16, 11, 22);
            writer.write_all(&self.plain).expect("writing to memory does not fail");
            drop(writer);
            compressed
        })
    }
}

/// The headers of every response.
pub fn headers_of_all() -> Vec<(&'static str, String)> {
    vec![
        ("Content-Security-Policy", format!("{POLICY}; frame-ancestors 'none'")),
        ("X-Content-Type-Options", "nosniff".to_owned()),
        ("Referrer-Policy", "no-referrer".to_owned()),
        ("Cross-Origin-Opener-Policy", "same-origin".to_owned()),
    ]
}

/// The type of a file, from its name.
pub fn content_type(path: &str) -> &'static str {
    match Path::new(path).extension().and_then(|extension| extension.to_str()) {
        Some("html") => "text/html; charset=utf-8",
        Some("css") => "text/css; charset=utf-8",
        Some("js") => "text/javascript; charset=utf-8",
        Some("wasm") => "application/wasm",
        Some("svg") => "image/svg+xml; charset=utf-8",
        Some("png") => "image/png",
        Some("json") => "application/json; charset=utf-8",
        Some("webmanifest") => "application/manifest+json; charset=utf-8",
        _ => "application/octet-stream",
    }
}

/// The file `_headers`, in the form that common static hosts read.
///
/// Those hosts join the values when two rules give the same header, so no header appears in two
/// rules that can match one path.
pub fn headers_file() -> String {
    let mut text = String::from("/*\n");
    for (name, value) in headers_of_all() {
        text.push_str(&format!("  {name}: {value}\n"));
    }
    for path in ["", "index.html", SERVICE] {
        text.push_str(&format!("/{path}\n  Cache-Control: no-cache\n"));
    }
    text.push_str(&format!("/{ASSETS}/*\n  Cache-Control: public, max-age=31536000, immutable\n"));
    text.push_str(&format!("/{ASSETS}/*.wasm\n  Content-Type: {}\n", content_type("web.wasm")));
    text
}

/// `stem-HASH.extension` for this content.
pub fn hashed_name(stem: &str, extension: &str, content: &[u8]) -> String {
    format!("{ASSETS}/{stem}-{}.{extension}", hash(content))
}

/// The 64-bit FNV-1a hash of this content: it has to tell builds apart, not to resist an attacker.
pub fn hash(content: &[u8]) -> String {
    let mut hash: u64 = 0xcbf2_9ce4_8422_2325;
    for byte in content {
        hash = (hash ^ u64::from(*byte)).wrapping_mul(0x0000_0100_0000_01b3);
    }
    format!("{hash:016x}")
}

/// The files that a browser fetches until the page can be used: the page, the files its elements name, and whatever
/// those scripts import at once. What a script only names, such as the script of a worker, comes later.
pub fn first_visit(site: &Site) -> Result<BTreeSet<String>> {
    let text = |path: &str| -> Result<String> {
        let file = site.get(path).with_context(|| format!("`{path}` is named and is not there"))?;
        Ok(String::from_utf8_lossy(&file.plain).into_owned())
    };
    let mut first = BTreeSet::from(["index.html".to_owned()]);
    let mut waiting = named(&text("index.html")?, &format!("=\"{ASSETS}/"));
    while let Some(name) = waiting.pop() {
        let path = format!("{ASSETS}/{name}");
        if !first.insert(path.clone()) {
            continue;
        }
        if !site.contains_key(&path) {
            bail!("`{path}` is named and is not there");
        }
        if name.ends_with(".js") {
            let script = text(&path)?;
            for before in ["from \"./", "import \"./"] {
                waiting.extend(named(&script, before));
            }
        }
    }
    Ok(first)
}

/// What stands between each `before` and the next quote.
fn named(text: &str, before: &str) -> Vec<String> {
    text.split(before).skip(1).filter_map(|rest| rest.split('"').next()).map(str::to_owned).collect()
}

/// Writes the site into a folder; what the folder held before is gone afterwards.
pub fn write(site: &Site, folder: &Path) -> Result<()> {
    if folder.exists() {
        std::fs::remove_dir_all(folder).with_context(|| format!("cannot empty `{}`", folder.display()))?;
    }
    for (path, file) in site {
        let path: PathBuf = folder.join(path);
        let parent = path.parent().expect("the file is inside the folder");
        std::fs::create_dir_all(parent).with_context(|| format!("cannot make `{}`", parent.display()))?;
        std::fs::write(&path, &file.plain).with_context(|| format!("cannot write `{}`", path.display()))?;
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_changed_file_gets_another_name() {
        assert_ne!(hashed_name("app", "css", b"a{}"), hashed_name("app", "css", b"b{}"));
    }

    #[test]
    fn the_hash_is_the_published_fnv_1a() {
        // Test vector of the FNV reference: the 64-bit FNV-1a hash of "foobar".
        assert_eq!(hashed_name("x", "y", b"foobar"), "assets/x-85944171f73967e8.y");
    }

    #[test]
    fn no_two_header_rules_for_one_file_give_the_same_header() {
        let text = headers_file();
        let mut rule = "";
        let mut given: Vec<(&str, &str)> = Vec::new();
        for line in text.lines() {
            match line.strip_prefix("  ") {
                Some(header) => given.push((rule, header.split(':').next().unwrap())),
                None => rule = line,
            }
        }
        for path in ["/", "/index.html", "/service.js", "/assets/web-1.wasm", "/assets/web-1.js"] {
            let matches = |rule: &str| match rule.split_once('*') {
                Some((before, after)) => path.starts_with(before) && path.ends_with(after),
                None => rule == path,
            };
            let mut names: Vec<&str> =
                given.iter().filter(|(r, _)| matches(r)).map(|(_, name)| *name).collect();
            let n_names = names.len();
            names.sort_unstable();
            names.dedup();
            assert_eq!(names.len(), n_names, "{path}");
            assert!(names.contains(&"Content-Security-Policy") && names.contains(&"Cache-Control"), "{path}");
        }
    }

    #[test]
    fn the_first_visit_is_what_elements_name_and_scripts_import() {
        let page = r#"<link href="assets/a.css"><script src="assets/a.js"></script>
            <script type="application/json">{"path":"assets/job.json"}</script>"#;
        let a = r#"import b from "./b.js"; import "./c.js"; new URL("./later.wasm", import.meta.url)"#;
        let file = |path: &str, text: &str| (path.to_owned(), File::from(text.as_bytes().to_vec()));
        let mut site = Site::from([
            file("index.html", page),
            file("assets/a.css", ""),
            file("assets/a.js", a),
            file("assets/b.js", ""),
            file("assets/c.js", ""),
            file("assets/job.json", "{}"),
            file("assets/later.wasm", ""),
        ]);
        let first: Vec<String> = first_visit(&site).unwrap().into_iter().collect();
        assert_eq!(first, ["assets/a.css", "assets/a.js", "assets/b.js", "assets/c.js", "index.html"]);
        site.remove("assets/c.js");
        assert!(first_visit(&site).is_err());
    }

    #[test]
    fn hosts_are_told_the_type_of_the_module() {
        // Browsers compile a module while it arrives only if it comes with this type.
        assert!(headers_file().contains("Content-Type: application/wasm\n"));
    }

    #[test]
    fn a_file_is_compressed_once() {
        let file = File::from("wire ".repeat(1000).into_bytes());
        let compressed = file.compressed();
        assert!(compressed.len() < 100);
        assert_eq!(compressed.as_ptr(), file.compressed().as_ptr());
    }
}
