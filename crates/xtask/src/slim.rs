//! What a bound module and its glue carry that nobody here uses: a way into streams that a dependency exports, and names
//! that are long so as to be unlike all others, of which the glue and the module are the only readers.

use std::collections::{BTreeMap, BTreeSet};

use walrus::Module;

/// What the names of the exports begin with by which streams of the browser would call in. A dependency of leptos brings
/// them for functions of a server; the page has none.
const OF_STREAMS: [&str; 2] = ["intounderlying", "__wbg_intounderlying"];

/// What the glue calls the same.
const STREAMS: &str = "IntoUnderlying";

/// What the exports are named after by which the glue calls closures.
const OF_CLOSURES: &str = "wasm_bindgen__";

/// Takes it all out of a module that was just bound, and gives the glue without it.
pub fn slim(module: &mut Module, glue: &str) -> String {
    let exports = module.exports.iter();
    let of_streams = exports.filter(|export| OF_STREAMS.iter().any(|start| export.name.starts_with(start)));
    for id in of_streams.map(|export| export.id()).collect::<Vec<_>>() {
        module.exports.delete(id);
    }
    walrus::passes::gc::run(module);

    let imported: BTreeSet<&str> = module.imports.iter().map(|import| import.name.as_str()).collect();
    let glue = without_idle_blocks(glue, &imported);
    let mut short = BTreeMap::new();
    for import in module.imports.iter_mut().filter(|import| import.name.starts_with("__wb")) {
        let next = format!("i{}", short.len());
        import.name = short.entry(std::mem::take(&mut import.name)).or_insert(next).clone();
    }
    for export in module.exports.iter_mut().filter(|export| export.name.starts_with(OF_CLOSURES)) {
        let next = format!("c{}", short.len());
        export.name = short.entry(std::mem::take(&mut export.name)).or_insert(next).clone();
    }
    renamed(&glue, &short)
}

/// The glue without the blocks of what the module no longer asks for.
fn without_idle_blocks(glue: &str, imported: &BTreeSet<&str>) -> String {
    let mut kept = String::new();
    // How many braces of an idle block are open.
    let mut depth = 0;
    for line in glue.lines() {
        let start = line.trim_start();
        let is_idle = start
            .split_once(": function(")
            .is_some_and(|(name, _)| name.starts_with("__wb") && !imported.contains(name));
        if depth > 0 || is_idle || start.starts_with(&format!("export class {STREAMS}")) {
            depth += line.matches('{').count();
            depth -= line.matches('}').count();
        } else if !start.starts_with(&format!("if (Symbol.dispose) {STREAMS}")) {
            kept.push_str(line);
            kept.push('\n');
        }
    }
    kept
}

/// A script with other names in place of these.
fn renamed(script: &str, names: &BTreeMap<String, String>) -> String {
    let mut text = String::with_capacity(script.len());
    let mut rest = script;
    let is_of_name = |letter: char| letter.is_ascii_alphanumeric() || letter == '_' || letter == '$';
    while let Some(start) = rest.find(is_of_name) {
        let (before, from) = rest.split_at(start);
        let (name, after) = from.split_at(from.find(|letter| !is_of_name(letter)).unwrap_or(from.len()));
        text.push_str(before);
        text.push_str(names.get(name).map_or(name, String::as_str));
        rest = after;
    }
    text.push_str(rest);
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_whole_names_are_replaced() {
        let names = BTreeMap::from([("__wbg_a_1".to_owned(), "i0".to_owned())]);
        let script = "x.__wbg_a_1(__wbg_a_12, _);__wbg_a_1";
        assert_eq!(renamed(script, &names), "x.i0(__wbg_a_12, _);i0");
    }

    #[test]
    fn what_the_module_asks_for_stays_in_the_glue() {
        let block = |name: &str| {
            format!("        {name}: function(a) {{\n            if (a) {{\n            }}\n        }},\n")
        };
        let class = "export class IntoUnderlyingSink {\nfree() {\n}\n}\nif (Symbol.dispose) IntoUnderlyingSink.b = 1;\n";
        let glue = format!("{}{}{class}let wasm;\n", block("__wbg_used_1"), block("__wbg_idle_2"));
        let kept = without_idle_blocks(&glue, &BTreeSet::from(["__wbg_used_1"]));
        assert_eq!(kept, format!("{}let wasm;\n", block("__wbg_used_1")));
    }
}
