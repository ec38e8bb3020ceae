//! The form of several wires at once: what they share, and what is said of all of them in one step.

use engine::document::{Plan, Wire};

use super::{Control, Field, changed_wire, wire_fields};

/// What a choice holds while the wires differ in it. It is among the choices of every such field,
/// so that the form asks for the same whether they differ or not, but it cannot be chosen.
pub const DIFFERS: &str = "differs";

/// The fields of a wire that may be said of several at once: all but its label, which is its own.
pub fn shared_wire_fields(plan: &Plan, wires: &[&Wire]) -> Vec<Field> {
    let all: Vec<Vec<Field>> = wires.iter().map(|wire| wire_fields(plan, wire)).collect();
    let Some((first, others)) = all.split_first() else { return Vec::new() };
    let shared = |field: &Field| {
        let same: Vec<&Field> = others.iter().flatten().filter(|other| other.name == field.name).collect();
        let differs = same.iter().any(|other| other.text != field.text);
        let mut field = Field { differs, ..field.clone() };
        if differs {
            field.text.clear();
        }
        if let Control::Choice(choices) = &mut field.control {
            // What only one of them can keep, such as a range from a file, is no choice for all.
            choices.retain(|choice| same.iter().all(|other| has_choice(other, choice)));
            choices.insert(0, (DIFFERS.to_owned(), DIFFERS.to_owned()));
            if differs {
                DIFFERS.clone_into(&mut field.text);
            }
        }
        field
    };
    first.iter().filter(|field| field.name != "label").map(shared).collect()
}

fn has_choice(field: &Field, choice: &(String, String)) -> bool {
    matches!(&field.control, Control::Choice(choices) if choices.contains(choice))
}

/// `wires` after `text` was entered into the field `name` of all of them; why not, and at which wire,
/// when one of them refuses it. Then none is to change.
pub fn changed_wires(plan: &Plan, wires: &[&Wire], name: &str, text: &str) -> Result<Vec<Wire>, String> {
    let change = |wire: &&Wire| {
        changed_wire(plan, wire, name, text).map_err(|why| match wires.len() {
            1 => why,
            _ => format!("{}: {why}", wire.title()),
        })
    };
    let is_choice = |field: &Field| field.name == name && matches!(field.control, Control::Choice(_));
    if text == DIFFERS && wires.iter().any(|wire| wire_fields(plan, wire).iter().any(is_choice)) {
        return Err("choose what holds for all of them".to_owned());
    }
    wires.iter().map(change).collect()
}

#[cfg(test)]
mod tests {
    use engine::document::Size;
    use engine::given::Given;
    use engine::ids::{TerminalRef, WireId};

    use super::*;

    fn wire(id: &str) -> Wire {
        let terminal = |text: &str| TerminalRef::parse(text).unwrap();
        let label = id.to_uppercase();
        Wire { label, ..Wire::new(WireId::new(id).unwrap(), terminal("a.1"), terminal("b.1")) }
    }

    fn field<'a>(fields: &'a [Field], name: &str) -> &'a Field {
        fields.iter().find(|field| field.name == name).unwrap()
    }

    #[test]
    fn what_wires_share_is_shown_and_what_differs_says_so() {
        let one = changed_wire(
            &Plan::default(),
            &changed_wire(&Plan::default(), &wire("w1"), "size", "2.5 mm2").unwrap(),
            "length_m",
            "2",
        )
        .unwrap();
        let other = changed_wire(
            &Plan::default(),
            &changed_wire(&Plan::default(), &wire("w2"), "size", "2.5 mm2").unwrap(),
            "length_m",
            "3",
        )
        .unwrap();
        let other = changed_wire(&Plan::default(), &other, "base", "RD").unwrap();
        let fields = shared_wire_fields(&Plan::default(), &[&one, &other]);
        let told = |name: &str| (field(&fields, name).text.as_str(), field(&fields, name).differs);
        assert_eq!(told("size"), ("2.5 mm2", false));
        assert_eq!(told("length_m"), ("", true));
        assert_eq!(told("base"), (DIFFERS, true));
        assert_eq!(told("bundle"), ("", false));
        assert!(fields.iter().all(|field| field.name != "label"));
    }

    #[test]
    fn a_form_asks_for_the_same_whether_its_wires_differ_or_not() {
        let one = changed_wire(&Plan::default(), &wire("w1"), "base", "RD").unwrap();
        let asked = |wires: [&Wire; 2]| -> Vec<Field> {
            let fields = shared_wire_fields(&Plan::default(), &wires).into_iter();
            fields.map(|field| Field { text: String::new(), differs: false, ..field }).collect()
        };
        assert_eq!(asked([&one, &wire("w2")]), asked([&one, &one]));
    }

    #[test]
    fn a_value_is_set_on_all_wires_or_on_none() {
        let one = changed_wire(&Plan::default(), &wire("w1"), "base", "RD").unwrap();
        let changed = changed_wires(&Plan::default(), &[&one, &wire("w2")], "bundle", "3").unwrap();
        assert!(changed.iter().all(|wire| wire.bundle == Some(3)));
        let refused = changed_wires(&Plan::default(), &[&one, &wire("w2")], "stripe", "WH");
        assert_eq!(refused, Err("W2: choose the colour before its stripe".to_owned()));
        for name in ["base", "grommet", "use"] {
            assert!(changed_wires(&Plan::default(), &[&one, &wire("w2")], name, DIFFERS).is_err(), "{name}");
        }
    }

    #[test]
    fn what_only_one_wire_can_keep_is_no_choice_for_all() {
        let range = Wire { size: Given::Between(Size::Gauge(14), Size::Gauge(12)), ..wire("w1") };
        let fields = shared_wire_fields(&Plan::default(), &[&range, &wire("w2")]);
        let Control::Choice(choices) = &field(&fields, "size").control else { panic!("sizes are chosen") };
        assert!(choices.iter().all(|(stored, _)| !stored.contains(" to ")), "{choices:?}");
        for (stored, _) in choices.iter().skip(1) {
            assert!(
                changed_wires(&Plan::default(), &[&range, &wire("w2")], "size", stored).is_ok(),
                "{stored}"
            );
        }
    }
}
