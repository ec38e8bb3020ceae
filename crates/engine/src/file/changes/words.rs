//! What the file says in keys and numbers, as a person says it.

use std::fmt::Display;

use super::super::said::{Object, Said};
use crate::document::subject::Subject;
use crate::document::{Document, settings};
use crate::ids::{PartId, PlaceId, RouteId, TerminalRef, WireId};
use crate::kind::{Form, ValueSpec};

/// The words for one list of a job.
pub(super) struct Words<'a> {
    pub document: &'a Document,
    pub list: &'static str,
}

/// What a key of a list is called.
pub(super) fn what(list: &str, key: &str) -> String {
    if let Some(spec) = setting(list, key) {
        return spec.meaning.to_owned();
    }
    let called = match key {
        "any_of" => "allowed when",
        "at" if list == "parts" => "where it stands on the drawing",
        "at" => "what it is about",
        "bundle" => "wires in its bundle",
        "ends.from" => "joint where it begins",
        "ends.to" => "joint where it ends",
        "end_m" => "wire within the place",
        "is" => "position",
        "label" => "name",
        "length_m" => "length",
        "nominal_v" => "nominal voltage",
        "set" => "positions",
        "slack_m" => "slack",
        "strand_class" => "strands",
        "use" => "used for",
        "via" => "led by way of",
        "width_m" => "width",
        "x_cm" => "position to the rear",
        "y_cm" => "position across",
        other => return other.replace('_', " "),
    };
    called.to_owned()
}

impl Words<'_> {
    /// An entry as a person names it.
    pub(super) fn title(&self, id: &str) -> String {
        let (network, plan) = (&self.document.network, &self.document.plan);
        let title = match self.list {
            "card" => Some("the job".to_owned()),
            "settings" => Some("settings".to_owned()),
            "outline" => Some("outline of the vehicle".to_owned()),
            "parts" => PartId::new(id).map(|id| Subject::Part(id).title(network)),
            "wires" => WireId::new(id).map(|id| Subject::Wire(id).title(network)),
            "places" => PlaceId::new(id).map(|id| format!("place {}", self.place(id.as_str()))),
            "routes" => RouteId::new(id)
                .and_then(|id| plan.route(&id))
                .map(|route| format!("route {}", plan.route_title(route))),
            "situations" => Some(format!("situation {id}")),
            "interlocks" => Some(format!("interlock {id}")),
            "accepted" => Some(format!("answer for {id}")),
            _ => Some(format!("record {id}")),
        };
        title.unwrap_or_else(|| id.to_owned())
    }

    /// What an entry is, for one that came or went; empty where its title says enough.
    pub(super) fn of_entry(&self, said: &Said) -> String {
        let Said::Object(object) = said else { return String::new() };
        match self.list {
            "wires" => {
                let [from, to] = ["from", "to"].map(|key| self.terminal(object.text(key)));
                let size = object.get("size").map(|size| format!(", {}", self.of("size", size)));
                format!("from {from} to {to}{}", size.unwrap_or_default())
            }
            "situations" => object.get("set").map(|set| self.of("set", set)).unwrap_or_default(),
            "accepted" => format!("{}: {}", object.text("by"), object.text("why")),
            _ => String::new(),
        }
    }

    /// What is said of a value of a part.
    pub(super) fn of_value(&self, spec: &ValueSpec, said: &Said) -> String {
        match (&spec.form, said) {
            (Form::Word(_), Said::Text(word)) => word.replace('_', " "),
            (Form::Part, Said::Text(id)) => self.part(id),
            _ => self.written("", sign_of(spec), said),
        }
    }

    /// What is said under a key.
    pub(super) fn of(&self, key: &str, said: &Said) -> String {
        let sign = match setting(self.list, key) {
            Some(spec) => sign_of(spec),
            // The file names the unit at the end of the key.
            None => match key.rsplit('_').next().unwrap_or_default() {
                "v" => "V",
                "m" => "m",
                "cm" => "cm",
                "mm" => "mm",
                "mm2" => "mm2",
                "c" => "degC",
                _ => "",
            },
        };
        self.written(key, sign, said)
    }

    /// What is said under a key, its numbers with this sign behind them.
    fn written(&self, key: &str, sign: &str, said: &Said) -> String {
        match said {
            Said::Text(text) => self.text(key, text),
            Said::Flag(flag) => if *flag { "yes" } else { "no" }.to_owned(),
            Said::Count(count) => with_sign(count, sign),
            // All its figures: two numbers that differ never look the same.
            Said::Number(number) => with_sign(number, sign),
            Said::List(list) => {
                let each: Vec<String> = list.iter().map(|one| self.written(key, sign, one)).collect();
                each.join(", ")
            }
            Said::Object(object) => self.object(key, sign, object),
        }
    }

    fn text(&self, key: &str, text: &str) -> String {
        match (self.list, key) {
            ("wires", "from" | "to") => self.terminal(text),
            ("routes", "from" | "to") | (_, "place" | "via") => self.place(text).to_owned(),
            (_, "part" | "load" | "box") => self.part(text),
            _ => text.to_owned(),
        }
    }

    fn object(&self, key: &str, sign: &str, object: &Object) -> String {
        if let Some(Said::List(ends)) = object.get("between") {
            let ends: Vec<String> = ends.iter().map(|end| self.written(key, sign, end)).collect();
            return ends.join(" to ");
        }
        let each = object.0.iter();
        match key {
            "set" if object.0.is_empty() => "everything at rest".to_owned(),
            "set" => each
                .map(|(id, is)| format!("{} {}", self.part(id), self.of("", is)))
                .collect::<Vec<_>>()
                .join(", "),
            "colour" => each.map(|(_, letters)| self.of("", letters)).collect::<Vec<_>>().join("-"),
            _ => each.map(|(key, said)| self.inner(key, said)).collect::<Vec<_>>().join(", "),
        }
    }

    /// What stands under a key of an object that is one fact as a whole.
    fn inner(&self, key: &str, said: &Said) -> String {
        match key {
            "awg" => self.written(key, "AWG", said),
            "by" | "is" | "box" | "mm2" | "part" | "seen" | "ambient_c" | "rated_c" => self.of(key, said),
            _ => format!("{} {}", what(self.list, key), self.of(key, said)),
        }
    }

    fn part(&self, id: &str) -> String {
        PartId::new(id).map_or_else(|| id.to_owned(), |id| Subject::Part(id).title(&self.document.network))
    }

    fn terminal(&self, text: &str) -> String {
        TerminalRef::parse(text).map_or_else(
            || text.to_owned(),
            |terminal| Subject::Terminal(terminal).title(&self.document.network),
        )
    }

    fn place<'t>(&'t self, id: &'t str) -> &'t str {
        PlaceId::new(id).and_then(|id| self.document.plan.place(&id)).map_or(id, |place| place.title())
    }
}

/// The setting of the job that a key of a list says.
fn setting(list: &str, key: &str) -> Option<&'static ValueSpec> {
    let all = settings::ALL.iter().filter(|_| list == "settings");
    all.map(|setting| &setting.spec).find(|spec| spec.name == key)
}

/// The sign of the unit of a value; empty when it has none.
fn sign_of(spec: &ValueSpec) -> &'static str {
    match spec.form {
        Form::Number { unit, .. } => unit.symbol(),
        _ => "",
    }
}

fn with_sign(number: impl Display, sign: &str) -> String {
    if sign.is_empty() { number.to_string() } else { format!("{number} {sign}") }
}
