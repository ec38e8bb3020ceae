//! The job as a file of the user's own.

use std::pin::Pin;

use leptos::prelude::AnyView;
use wasm_bindgen::JsValue;

use super::{close, head};
use crate::host;
use crate::piece::{Tag, later, plain_button, several, styled, tag};
use crate::shell::job_text;
use crate::state::desk::Desk;

/// The two forms.
pub fn save(desk: Desk) -> AnyView {
    let text = "The job is kept on this device as you work. A file is for the customer, for another device, and for the \
                day this one breaks.";
    let choice = |act: Box<dyn FnMut()>, name: &'static str, what: &'static str| -> Tag {
        plain_button(act).set("class", "choice").add(tag("strong").text(name)).add(tag("span").text(what))
    };
    let drawing = choice(
        Box::new(move || {
            let readings = if desk.look(|state| state.readings) { " readings" } else { "" };
            give(desk, "svg", Box::pin(host::tell_report(format!("picture{readings}"))));
        }),
        "Drawing (SVG)",
        "A picture that opens anywhere, with the whole job inside. It opens here again for editing.",
    );
    let job = choice(
        Box::new(move || {
            let text = JsValue::from_str(&job_text(desk));
            give(desk, "json", Box::pin(std::future::ready(Ok(text))));
        }),
        "Job (JSON)",
        "The job alone, for the command line and for other programs.",
    );
    several(vec![
        head(desk, "Save a copy").end(),
        tag("p").text(text).end(),
        styled("div", "choices").add(drawing).add(job).end(),
    ])
}

/// The text of a file on its way, or why there is none.
type Coming = Pin<Box<dyn Future<Output = Result<JsValue, JsValue>>>>;

/// Gives a file to the user and says how it went.
fn give(desk: Desk, ending: &str, text: Coming) {
    let name = format!("{}.{ending}", desk.look(|state| file_name(&state.session.document().card.title)));
    later(async move {
        let result = match text.await.map(|text| text.as_string().unwrap_or_default()) {
            Ok(text) if !text.is_empty() => host::save_file(&name, &text).await,
            Ok(_) => Err(JsValue::from_str("the drawing could not be made")),
            Err(error) => Err(error),
        };
        desk.act(|state| {
            state.said = match result.as_ref().map(|how| how.as_string().unwrap_or_default()) {
                Ok(how) if how == "cancelled" => "Not saved".to_owned(),
                Ok(how) if how == "shared" => format!("Shared {name}"),
                Ok(how) if how == "downloaded" => format!("{name} is with your downloads"),
                Ok(_) => format!("Saved {name}"),
                Err(error) => format!("Not saved: {}", host::reason(error)),
            };
        });
        close(desk);
    });
}

/// A title as the name of a file: letters and digits of any script, joined by hyphens.
pub fn file_name(title: &str) -> String {
    const LONGEST: usize = 60;
    let mut name = String::new();
    for letter in title.chars() {
        if letter.is_alphanumeric() {
            name.push(letter.to_ascii_lowercase());
        } else if !name.is_empty() && !name.ends_with('-') {
            name.push('-');
        }
        if name.len() >= LONGEST {
            break;
        }
    }
    let name = name.trim_end_matches('-');
    if name.is_empty() { "job".to_owned() } else { name.to_owned() }
}
