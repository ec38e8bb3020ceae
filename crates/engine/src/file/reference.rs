//! The tables of settings and part kinds for `fixtures/README.md`, made from the tables that the reader goes by.

use super::schema::assumed;
use crate::document::settings;
use crate::given::Given;
use crate::kind::{self, Form, Kind, Value, ValueSpec, Values};

/// The marks around each table.
const SETTINGS: (&str, &str) =
    ("<!-- settings: written by `cargo xtask generate` -->\n", "<!-- settings end -->\n");
const KINDS: (&str, &str) = ("<!-- kinds: written by `cargo xtask generate` -->\n", "<!-- kinds end -->\n");

/// `readme` with the present tables of settings and part kinds between their marks; `None` when a mark is
/// missing.
pub fn with_tables(readme: &str) -> Option<String> {
    let with_settings = between(readme, SETTINGS, &settings_table())?;
    between(&with_settings, KINDS, &kinds())
}

/// `readme` with `text` between its two marks.
fn between(readme: &str, (start, end): (&str, &str), text: &str) -> Option<String> {
    let (before, rest) = readme.split_once(start)?;
    let (_, after) = rest.split_once(end)?;
    Some(format!("{before}{start}\n{text}{end}{after}"))
}

fn settings_table() -> String {
    let mut text = "\n| key | value | when left out | meaning | source |\n|---|---|---|---|---|\n".to_owned();
    for setting in settings::ALL {
        let spec = &setting.spec;
        text.push_str(&format!(
            "| `{}` | {} | {} | {} | {} |\n",
            spec.name,
            form(spec).replace("number or range", "number"),
            assumed(spec).unwrap_or_default(),
            spec.meaning,
            setting.sources.join("; ")
        ));
    }
    text.push('\n');
    text
}

fn kinds() -> String {
    kind::ALL.iter().map(|kind| section(kind)).collect()
}

fn section(kind: &Kind) -> String {
    let mut text =
        format!("#### `{}`\n\n{}\n\n", kind.name, kind.manual().lines().next().unwrap_or_default());
    let terminals = |values: &Values| -> Vec<String> {
        (kind.terminals)(values).iter().map(|terminal| terminal.name.to_string()).collect()
    };
    let positions = |values: &Values| -> Vec<String> {
        (kind.positions)(values).iter().map(|position| (*position).to_owned()).collect()
    };
    let views = |values: &Values| -> Vec<String> {
        (kind.views)(values).iter().map(|view| view.name.to_owned()).collect()
    };
    line(&mut text, kind, "Terminals", &terminals);
    line(&mut text, kind, "Positions, the one at rest first", &positions);
    line(&mut text, kind, "Symbols", &views);
    text.push_str("\n| key | value | when left out | meaning |\n|---|---|---|---|\n");
    for spec in kind.values {
        text.push_str(&format!(
            "| `{}` | {} | {} | {} |\n",
            spec.name,
            form(spec),
            assumed(spec).unwrap_or_else(|| "not known".to_owned()),
            spec.meaning
        ));
    }
    text.push('\n');
    text
}

/// One list of names, and how single values change it.
fn line(text: &mut String, kind: &Kind, title: &str, names: &dyn Fn(&Values) -> Vec<String>) {
    let usual = names(&Values::default());
    if usual.is_empty() {
        return;
    }
    text.push_str(&format!("* {title}: {}", listed(&usual)));
    for spec in kind.values {
        for (value, said) in deviations(spec) {
            let mut values = Values::default();
            values.set(spec.name, Given::Known(value));
            let other = names(&values);
            if other != usual {
                text.push_str(&format!("; with `{}` {said}: {}", spec.name, listed(&other)));
            }
        }
    }
    text.push('\n');
}

/// Values that may change which terminals and positions a part has.
fn deviations(spec: &ValueSpec) -> Vec<(Value, String)> {
    match spec.form {
        Form::Word(words) => words.iter().map(|word| (Value::Word(word), format!("`{word}`"))).collect(),
        Form::Flag => [true, false].map(|flag| (Value::Flag(flag), format!("`{flag}`"))).to_vec(),
        // One more count shows how the names go on.
        Form::Count { least, .. } => vec![(Value::Number(f64::from(least)), least.to_string())],
        Form::Number { .. } | Form::Part | Form::Seat => Vec::new(),
    }
}

fn listed(names: &[String]) -> String {
    names.iter().map(|name| format!("`{name}`")).collect::<Vec<_>>().join(" ")
}

fn form(spec: &ValueSpec) -> String {
    match spec.form {
        Form::Number { unit, least, most } => {
            format!("number or range, {least} to {most} {}", unit.symbol()).trim_end().to_owned()
        }
        Form::Count { least, most } => format!("whole number, {least} to {most}"),
        Form::Word(words) => words.iter().map(|word| format!("`{word}`")).collect::<Vec<_>>().join(", "),
        Form::Flag => "`true` or `false`".to_owned(),
        Form::Part => "id of a battery".to_owned(),
        Form::Seat => "`{ \"box\": id of a fuse box, \"way\": whole number from 1 }`".to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_table_on_file_is_the_generated_one() {
        let on_file = include_str!("../../../../fixtures/README.md");
        let generated = with_tables(on_file).expect("the readme has both marks");
        assert!(on_file == generated, "run `cargo xtask generate`");
    }

    #[test]
    fn a_readme_without_marks_is_left_alone() {
        assert_eq!(with_tables("# Jobs\n"), None);
    }
}
