//! The module of the page in two halves: the one that the first picture needs, and the rest, which is fetched behind it.
//!
//! The cut is where `web/src/rest.rs` says: what only leads from there is taken out of the module, by the references that
//! the linker left in it. Both halves share memory and functions; the script that joins them becomes a part of the glue,
//! because the two would have to name each other, and names carry the hash of what they name.

use std::path::{Path, PathBuf};

use anyhow::{Context, Result, anyhow, bail};
use wasm_split_cli_support::{Options, transform};

use crate::run;

/// The first half still has to be bound to JavaScript.
pub struct Halves {
    /// Where the half lies that the first picture needs.
    pub first: PathBuf,
    /// What is fetched behind it.
    pub rest: Vec<u8>,
    /// The script that fetches the rest; it names its file by the mark `{{rest.wasm}}`.
    script: String,
}

/// The name under which the glue would import the script.
const LINK: &str = "./rest-link.js";

/// What the script calls the glue, which it is a part of in the end.
const GLUE: &str = "./glue.js";

/// Cuts a module that was linked with its references in it.
pub fn halves(module: &Path) -> Result<Halves> {
    let input = std::fs::read(module).with_context(|| format!("cannot read `{}`", module.display()))?;
    let folder = run::target().join("split");
    if folder.exists() {
        std::fs::remove_dir_all(&folder).context("cannot empty the folder of the halves")?;
    }
    let first = folder.join("first.wasm");
    let mut options = Options::new(&input);
    options.output_dir = &folder;
    options.main_out_path = &first;
    options.link_name = LINK;
    options.main_module = GLUE;
    let split =
        transform(options).map_err(|error| anyhow!("cannot cut `{}`: {error:?}", module.display()))?;
    let [rest] = split.split_modules.as_slice() else {
        bail!("the page is cut in two, and {} modules were cut off", split.split_modules.len());
    };
    let name = rest.file_name().context("a file has a name")?.to_string_lossy();
    let script =
        std::fs::read_to_string(folder.join(LINK)).context("cannot read the script of the halves")?;
    let whole = std::fs::read(rest).with_context(|| format!("cannot read `{}`", rest.display()))?;
    Ok(Halves { first, rest: without_names(&whole)?, script: in_glue(&script, &name)? })
}

/// A module without its custom sections, such as that of names: they help nobody at run time.
fn without_names(module: &[u8]) -> Result<Vec<u8>> {
    /// The magic number and the version.
    const HEAD: usize = 8;
    const CUSTOM: u8 = 0;
    let (head, mut left) = module.split_at_checked(HEAD).context("the module is cut off")?;
    let mut kept = head.to_vec();
    while let Some((id, after)) = left.split_first() {
        let (length, n_bytes) = leb128(after)?;
        let end = 1 + n_bytes + length;
        let section = left.get(..end).context("a section of the module is cut off")?;
        if *id != CUSTOM {
            kept.extend_from_slice(section);
        }
        left = &left[end..];
    }
    Ok(kept)
}

/// A number as modules write it, seven bits a byte and the lowest first, and how many bytes that takes.
fn leb128(bytes: &[u8]) -> Result<(usize, usize)> {
    let mut number = 0;
    for (index, byte) in bytes.iter().take(5).enumerate() {
        number |= usize::from(byte & 0x7f) << (7 * index);
        if byte & 0x80 == 0 {
            return Ok((number, index + 1));
        }
    }
    bail!("a length in the module is none")
}

/// The script as it stands in the glue, with a mark in place of the name of the file.
fn in_glue(script: &str, file: &str) -> Result<String> {
    let import = format!("import {{ initSync }} from \"{GLUE}\";");
    let named = format!("\"./{file}\"");
    if !script.contains(&import) || !script.contains(&named) {
        bail!("the script of the halves is not what it is taken for");
    }
    Ok(script.replace(&import, "").replace("export const", "const").replace(&named, "\"./{{rest.wasm}}\""))
}

/// The glue with the script in place of its import.
pub fn joined(glue: &str, halves: &Halves) -> Result<String> {
    let from = format!("from \"{LINK}\"");
    let mut names = Vec::new();
    let mut text = String::new();
    for line in glue.lines() {
        match line.trim().strip_prefix("import * as ").filter(|line| line.contains(&from)) {
            Some(line) => names.extend(line.split_whitespace().next().map(str::to_owned)),
            None => {
                text.push_str(line);
                text.push('\n');
            }
        }
    }
    let [name] = names.as_slice() else {
        bail!("the glue imports the script of the halves {} times", names.len());
    };
    let loader = "__wasm_split_load_rest";
    Ok(format!("{text}{}\nconst {name} = {{ {loader} }};\n", halves.script))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_custom_sections_are_left_out() {
        let head = b"\0asm\x01\0\0\0";
        let long = vec![7; 200];
        let section = |id: u8| [&[id, 0xc8, 0x01], long.as_slice()].concat();
        let module = [head.as_slice(), &section(1), &section(0), &section(10), &[0, 1, 7]].concat();
        assert_eq!(without_names(&module).unwrap(), [head.as_slice(), &section(1), &section(10)].concat());
        assert!(without_names(&module[..module.len() - 1]).is_err());
        assert!(without_names(&head[..7]).is_err());
    }

    #[test]
    fn the_script_becomes_a_part_of_the_glue() {
        let script = "import { initSync } from \"./glue.js\";\nfetch(\"./a.wasm\");\nexport const b = 1;";
        let script = in_glue(script, "a.wasm").unwrap();
        assert_eq!(script, "\nfetch(\"./{{rest.wasm}}\");\nconst b = 1;");
        let halves = Halves { first: PathBuf::new(), rest: Vec::new(), script };
        let glue = "import * as one from \"./rest-link.js\"\nlet wasm;";
        let glue = joined(glue, &halves).unwrap();
        assert!(
            glue.starts_with("let wasm;\n") && glue.contains("const one = { __wasm_split_load_rest };"),
            "{glue}"
        );
        assert!(in_glue("fetch(\"./b.wasm\");", "a.wasm").is_err());
        assert!(joined("let wasm;", &halves).is_err());
    }
}
