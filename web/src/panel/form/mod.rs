//! A form made of fields as the editor describes them. It knows nothing of what they are about.

use editor::form::{Control, Field};
use leptos::html::{Input, Select};
use leptos::prelude::*;

/// Takes a field's name, the text entered and the unit; an error says why the text is refused.
pub type Enter = StoredValue<Box<dyn Fn(&str, &str, &str) -> Result<(), String> + Send + Sync>>;

/// What enters a text.
pub fn enter(set: impl Fn(&str, &str, &str) -> Result<(), String> + Send + Sync + 'static) -> Enter {
    StoredValue::new(Box::new(set))
}

/// The form. It is built anew only when it asks for other things, so that the focus stays where it is
/// while values change.
#[component]
pub fn Form(fields: Memo<Vec<Field>>, enter: Enter) -> impl IntoView {
    let shape = Memo::new(move |_| {
        let mut shape = fields.get();
        for field in &mut shape {
            field.text.clear();
        }
        shape
    });
    move || {
        let rows: Vec<_> =
            shape.get().into_iter().map(|field| row(fields, field, enter).into_any()).collect();
        view! { <div class="form">{rows}</div> }
    }
}

fn row(fields: Memo<Vec<Field>>, field: Field, enter: Enter) -> impl IntoView {
    let name = field.name;
    let refused = RwSignal::new(String::new());
    let text = move || {
        fields
            .with(|fields| fields.iter().find(|field| field.name == name).map(|field| field.text.clone()))
            .unwrap_or_default()
    };
    let set = move |text: &str, unit: &str| {
        let result = enter.with_value(|enter| enter(name, text, unit));
        refused.set(result.err().unwrap_or_default());
    };
    let control = match field.control {
        Control::Choice(choices) => choice(text, choices, set).into_any(),
        Control::Text => input(text, field.assumed, Vec::new(), set).into_any(),
        Control::Number(units) => input(text, field.assumed, units, set).into_any(),
    };
    view! {
        <label class="field">
            <span class="caption">{field.caption}</span>
            {control}
            <span class="refused" role="alert">{refused}</span>
        </label>
    }
}

fn choice(
    text: impl Fn() -> String + 'static,
    choices: Vec<(String, String)>,
    set: impl Fn(&str, &str) + 'static,
) -> impl IntoView {
    let select: NodeRef<Select> = NodeRef::new();
    // The choices must stand before one of them can be chosen.
    Effect::new(move |_| {
        if let Some(select) = select.get() {
            select.set_value(&text());
        }
    });
    let options: Vec<_> =
        choices.into_iter().map(|(stored, shown)| view! { <option value=stored>{shown}</option> }).collect();
    view! {
        <select node_ref=select on:change=move |event| set(&event_target_value(&event), "")>{options}</select>
    }
}

fn input(
    text: impl Fn() -> String + 'static,
    assumed: String,
    units: Vec<&'static str>,
    set: impl Fn(&str, &str) + Copy + 'static,
) -> impl IntoView {
    let input: NodeRef<Input> = NodeRef::new();
    let unit = RwSignal::new(units.first().copied().unwrap_or_default());
    Effect::new(move |_| {
        if let Some(input) = input.get() {
            input.set_value(&text());
        }
    });
    let enter = move || {
        if let Some(input) = input.get_untracked() {
            set(&input.value(), unit.get_untracked());
            // What was entered is kept in the first unit.
            unit.update(|_| ());
        }
    };
    let number = !units.is_empty();
    let hint = match (assumed.is_empty(), number) {
        (false, _) => format!("{assumed} assumed"),
        (true, true) => "not known".to_owned(),
        (true, false) => String::new(),
    };
    let several = units.len() > 1;
    let first = units.first().copied().unwrap_or_default();
    let shown_units: Vec<_> = units
        .into_iter()
        .map(|one| view! { <option value=one selected=move || unit.get() == one>{one}</option> })
        .collect();
    let choose_unit = move |event| {
        let chosen = event_target_value(&event);
        unit.set(if chosen == "A" { "A" } else { first });
        if let Some(input) = input.get_untracked() {
            // A number in one unit is not the same number in another: it is typed again.
            input.set_value("");
            let _ = input.focus();
        }
    };
    view! {
        <span class="entry">
            <input
                node_ref=input
                type="text"
                dir="auto"
                autocomplete="off"
                inputmode=if number { "decimal" } else { "text" }
                placeholder=hint
                on:change=move |_| enter()
            />
            {if several {
                view! { <select class="unit" aria-label="Unit" on:change=choose_unit>{shown_units}</select> }.into_any()
            } else {
                view! { <span class="unit">{first}</span> }.into_any()
            }}
        </span>
    }
}
