//! The table of part kinds for `fixtures/README.md`, made from the kind table itself.

use super::schema::assumed;
use crate::given::Given;
use crate::kind::{self, Form, Kind, Value, ValueSpec, Values};

const START: &str = "<!-- kinds: written by `cargo xtask generate` -->\n";
const END: &str = "<!-- kinds end -->\n";

/// `readme` with the present table of part kinds between its two marks; `None` when a mark is
/// missing.
pub fn with_kinds_table(readme: &str) -> Option<String> {
    let (before, rest) = readme.split_once(START)?;
    let (_, after) = rest.split_once(END)?;
    Some(format!("{before}{START}\n{}{END}{after}", table()))
}

fn table() -> String {
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
        let generated = with_kinds_table(on_file).expect("the readme has both marks");
        assert!(on_file == generated, "run `cargo xtask generate`");
    }

    #[test]
    fn a_readme_without_marks_is_left_alone() {
        assert_eq!(with_kinds_table("# Jobs\n"), None);
    }
}
