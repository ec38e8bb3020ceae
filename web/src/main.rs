//! The app: it shows a job and hands on what happens to it, and holds no rule of electricity and no
//! geometry of its own.

mod app;
mod canvas;
mod host;
mod outside;
mod panel;
mod piece;
mod rest;
mod shell;
mod state;

use leptos::mount::mount_to;
use leptos::prelude::document;
use wasm_bindgen::JsCast;
use web_sys::HtmlElement;

fn main() {
    std::panic::set_hook(Box::new(|panic| say_that_it_stopped(&panic.to_string())));
    let place = document().get_element_by_id("app").expect("the page has a place for the app");
    place.set_inner_html("");
    let place = place.dyn_into::<HtmlElement>().expect("the place for the app is an element of HTML");
    mount_to(place, app::app).forget();
}

/// Shows the notice that lies ready in the page, without the app: the app is what has stopped.
fn say_that_it_stopped(why: &str) {
    let page = document();
    if let Some(text) = page.get_element_by_id("stopped-why") {
        text.set_text_content(Some(why));
    }
    if let Some(notice) = page.get_element_by_id("stopped") {
        // There is nobody left to tell if even this fails.
        let _ = notice.remove_attribute("hidden");
    }
    web_sys::console::error_1(&why.into());
}
