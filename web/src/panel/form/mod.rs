//! A form made of fields as the editor describes them. It knows nothing of what they are about.

use std::sync::Arc;

use editor::form::{Control, DIFFERS, Field};
use leptos::prelude::*;

use crate::piece::{Tag, entered, field_of, focus, styled, tag};

/// Takes an entry: the field's name, the text and the unit. An error says why the text is refused.
type Enter = dyn Fn(&str, &str, &str) -> Result<(), String> + Send + Sync;

/// What fills a form, and what takes an entry.
pub struct Source {
    /// The fields as they stand.
    pub fields: Box<dyn Fn() -> Vec<Field> + Send + Sync>,
    /// Takes an entry.
    pub enter: Box<Enter>,
}

/// The form. Its rows are made anew only when it asks for other things, so that the focus stays where
/// it is while values change.
pub fn form(source: Source) -> Tag {
    let source = Arc::new(source);
    let fields: Memo<Vec<Field>> = Memo::new({
        let source = Arc::clone(&source);
        move |_| (source.fields)()
    });
    let shape: Memo<Vec<Field>> = Memo::new(move |_| {
        let mut shape = fields.get();
        for field in &mut shape {
            field.text.clear();
            field.note.clear();
            field.differs = false;
        }
        shape
    });
    styled("div", "form").region(move || {
        let rows = shape.get().into_iter().map(|field| row(fields, field, Arc::clone(&source)).end());
        rows.collect::<Vec<_>>().into_any()
    })
}

fn row(fields: Memo<Vec<Field>>, field: Field, source: Arc<Source>) -> Tag {
    let name = field.name;
    let refused = RwSignal::new(String::new());
    let text = move || {
        fields.with(|fields| {
            let found = fields.iter().find(|field| field.name == name);
            found.map(|field| field.text.clone()).unwrap_or_default()
        })
    };
    let note = move || {
        fields.with(|fields| {
            let found = fields.iter().find(|field| field.name == name);
            found.map(|field| field.note.clone()).unwrap_or_default()
        })
    };
    let differs =
        move || fields.with(|fields| fields.iter().any(|field| field.name == name && field.differs));
    let set = move |text: &str, unit: &str| {
        let result = (source.enter)(name, text, unit);
        let accepted = result.is_ok();
        refused.set(result.err().unwrap_or_default());
        accepted
    };
    // Only one side of the drawer is shown at a time, so the names of fields are unique in the page.
    let (id, why) = (format!("field-{name}"), format!("refused-{name}"));
    let caption = styled("label", "caption").set("for", id.as_str()).text(field.caption.as_str());
    let described = why.clone();
    let told = move |control: Tag| {
        let is_refused = move || refused.with(|why| !why.is_empty());
        control
            .set("id", id)
            .live("aria-invalid", move || is_refused().then(|| "true".to_owned()))
            .live("aria-describedby", move || is_refused().then(|| described.clone()))
    };
    let control = match field.control {
        Control::Choice(choices) => told(choice(text, choices, set)),
        Control::Text => input(told, &field.caption, text, differs, field.assumed, Vec::new(), set),
        Control::Number(units) => input(told, &field.caption, text, differs, field.assumed, units, set),
    };
    styled("div", "field")
        .add(caption)
        .add(control)
        .add(styled("span", "note").says(note))
        .add(styled("span", "refused").set("id", why).set("role", "alert").says(move || refused.get()))
}

fn choice(
    text: impl Fn() -> String + Send + Sync + Copy + 'static,
    choices: Vec<(String, String)>,
    set: impl Fn(&str, &str) -> bool + 'static,
) -> Tag {
    let now = untrack(text);
    let options = choices.into_iter().map(|(stored, shown)| {
        // The value of the field can only be set once its options stand; until then they say it.
        let option = tag("option").set("value", stored.clone()).text(shown);
        // That things differ is told, but nothing to choose.
        let option = if stored == DIFFERS { option.set("disabled", "").set("hidden", "") } else { option };
        if stored == now { option.set("selected", "") } else { option }
    });
    tag("select").all(options).value(text).on("change", move |event| {
        if !set(&entered(&event), "")
            && let Some(select) = event_target_select(&event)
        {
            select.set_value(&untrack(text));
        }
    })
}

fn event_target_select(event: &web_sys::Event) -> Option<web_sys::HtmlSelectElement> {
    use wasm_bindgen::JsCast;
    event.target()?.dyn_into().ok()
}

fn input(
    told: impl FnOnce(Tag) -> Tag,
    caption: &str,
    text: impl Fn() -> String + Send + Sync + 'static,
    differs: impl Fn() -> bool + Send + Sync + 'static,
    assumed: String,
    units: Vec<&'static str>,
    set: impl Fn(&str, &str) -> bool + 'static,
) -> Tag {
    let first = units.first().copied().unwrap_or_default();
    let hint = match (assumed.is_empty(), units.is_empty()) {
        (false, _) => format!("{assumed} assumed"),
        (true, false) => "not known".to_owned(),
        (true, true) => String::new(),
    };
    // What the field said when it was gone to: Escape leaves it at that.
    let before = StoredValue::new(String::new());
    let second = RwSignal::new(false);
    let other = units.get(1).copied().unwrap_or(first);
    let field = tag("input")
        .set("type", "text")
        .set("dir", "auto")
        .set("autocomplete", "off")
        .set("inputmode", if units.is_empty() { "text" } else { "decimal" })
        .live("placeholder", move || Some(if differs() { DIFFERS.to_owned() } else { hint.clone() }))
        // What was entered in another unit is shown in the first one, in which it is kept.
        .value(move || if second.get() { String::new() } else { text() })
        .on("change", move |event| {
            // What was typed is entered even when the form goes at that moment, and with it what is known of the unit.
            let is_second = second.try_get_untracked().unwrap_or_default();
            let unit = if is_second { other } else { first };
            if set(&entered(&event), unit) && is_second {
                second.set(false);
            }
        })
        // Who goes to a field that says something mostly means to say something else: typing replaces it.
        .on("focus", move |event| {
            if let Some(field) = field_of(&event) {
                before.set_value(field.value());
                field.select();
            }
        })
        .on("keydown", move |event| {
            use wasm_bindgen::JsCast;
            let key = event.dyn_ref::<web_sys::KeyboardEvent>().map(web_sys::KeyboardEvent::key);
            let Some(field) = field_of(&event) else { return };
            match key.as_deref() {
                Some("Enter") => {
                    // Leaving the field is what enters it.
                    let _ = field.blur();
                    let _ = field.focus();
                }
                Some("Escape") => {
                    field.set_value(&before.get_value());
                    focus("drawing");
                }
                _ => {}
            }
        });
    let unit = if units.len() > 1 {
        unit_choice(caption, &units, second)
    } else {
        styled("span", "unit").text(first)
    };
    styled("span", "entry").add(told(field)).add(unit)
}

/// Chooses between the two units of a field.
fn unit_choice(caption: &str, units: &[&'static str], second: RwSignal<bool>) -> Tag {
    let stored = ["first", "second"];
    let options =
        stored.iter().zip(units).map(|(stored, unit)| tag("option").set("value", *stored).text(*unit));
    styled("select", "unit")
        .set("aria-label", format!("Unit of {caption}"))
        .all(options)
        .value(move || if second.get() { "second" } else { "first" }.to_owned())
        .on("change", move |event| second.set(entered(&event) == "second"))
}
