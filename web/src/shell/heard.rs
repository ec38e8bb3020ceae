//! What has come of a change, for those who do not see the marks: how much is found, told when that changes, and never the
//! readings, which change with everything.

use std::cell::RefCell;
use std::rc::Rc;
use std::time::Duration;

use leptos::prelude::{document, set_timeout};
use wasm_bindgen::JsCast;

use crate::panel::checks::counts;
use crate::piece::follow;
use crate::state::desk::{Desk, Topic};

/// What changes again within this time is told once.
const WAIT: Duration = Duration::from_millis(800);

/// What keeps the line out of sight, but in the tree of those who listen.
const UNSEEN: [(&str, &str); 6] = [
    ("position", "absolute"),
    // At the lower end it would make the page higher than the window.
    ("top", "0"),
    ("width", "1px"),
    ("height", "1px"),
    ("overflow", "hidden"),
    ("clip-path", "inset(50%)"),
];

/// The job and what is found in it.
type Found = (u64, String);

/// Tells what is found from now on, in a line of its own; of a job that was just opened nothing is told.
pub fn tell_findings(desk: Desk) {
    let Some(line) = line() else { return };
    let now: Rc<RefCell<Found>> = Rc::default();
    let told: Rc<RefCell<Found>> = Rc::default();
    follow(move || {
        let sitting = desk.read(&[Topic::Answer], |state| state.checked().map(|_| state.sitting));
        let Some(sitting) = sitting else { return };
        let found = (sitting, counts(desk));
        if now.replace(found.clone()) == found {
            return;
        }
        let (now, told, line) = (Rc::clone(&now), Rc::clone(&told), line.clone());
        let tell: Box<dyn FnOnce()> = Box::new(move || {
            if *now.borrow() != found {
                return;
            }
            let before = told.replace(found.clone());
            if before.0 == found.0 && before != found {
                line.set_text_content(Some(&found.1));
            }
        });
        set_timeout(tell, WAIT);
    });
}

fn line() -> Option<web_sys::HtmlElement> {
    let line: web_sys::HtmlElement = document().create_element("p").ok()?.dyn_into().ok()?;
    let _ = line.set_attribute("role", "status");
    line.set_class_name("heard");
    for (name, value) in UNSEEN {
        // A style that is not taken leaves the line to be seen.
        let _ = line.style().set_property(name, value);
    }
    document().body()?.append_child(&line).ok()?;
    Some(line)
}
