//! The few shapes that every view is made of.
//!
//! A view written out as one typed tree costs code of its own for each tree, and the first visit waits
//! for all of it. Here elements, attributes, texts and listeners have one type each, whatever they are
//! for, so that they are compiled once.

use std::pin::Pin;
use std::sync::{Arc, Mutex};
use std::time::Duration;

use leptos::ev;
use leptos::html;
use leptos::prelude::*;
use leptos::tachys::html::attribute::any_attribute::{AnyAttribute, IntoAnyAttribute};
use leptos::tachys::html::attribute::custom::custom_attribute;
use leptos::tachys::html::event::on;
use leptos::tachys::html::property::prop;
use leptos::task::spawn_local;
use wasm_bindgen::JsCast;

/// An element in the making.
pub struct Tag {
    name: &'static str,
    attributes: Vec<AnyAttribute>,
    children: Vec<AnyView>,
}

/// An element called `name`.
pub fn tag(name: &'static str) -> Tag {
    Tag { name, attributes: Vec::new(), children: Vec::new() }
}

/// An element with a class.
pub fn styled(name: &'static str, class: &str) -> Tag {
    tag(name).set("class", class)
}

/// A button that says `caption` and does `act`.
pub fn button(caption: impl Into<String>, act: impl FnMut() + 'static) -> Tag {
    plain_button(act).text(caption)
}

/// A button that says nothing yet.
pub fn plain_button(mut act: impl FnMut() + 'static) -> Tag {
    tag("button").set("type", "button").on("click", move |_| act())
}

/// A place for the report that these words ask for; see `web/host/reports.js`.
pub fn report(words: impl Into<String>) -> Tag {
    styled("div", "report").set("data-report", words)
}

/// A report that is asked for when it is opened under `caption`.
pub fn report_under(caption: &str, words: impl Into<String>) -> Tag {
    tag("details").add(tag("summary").text(caption)).add(report(words))
}

/// A view that is made anew whenever something it reads changes.
pub fn region(make: impl FnMut() -> AnyView + Send + 'static) -> AnyView {
    let make: Arc<Mutex<dyn FnMut() -> AnyView + Send>> = Arc::new(Mutex::new(make));
    make.into_any()
}

/// A view that comes once what is there already has been painted, in a turn of its own: no paint, and nothing that is
/// pressed meanwhile, waits for it. Several come in the order in which they were asked for; what stands below such a
/// view must come so too, or it would slide away under a finger.
pub fn soon(make: impl FnOnce() -> AnyView + Send + 'static) -> AnyView {
    let is_due = RwSignal::new(false);
    after_this(move || {
        let take_turn: Box<dyn FnOnce()> = Box::new(move || {
            // Another side may have taken the place of the one it belongs to.
            let _ = is_due.try_set(true);
        });
        set_timeout(take_turn, Duration::ZERO);
    });
    let make: Box<dyn FnOnce() -> AnyView + Send> = Box::new(make);
    let mut make = Some(make);
    region(move || match make.take_if(|_| is_due.get()) {
        Some(make) => untrack(make),
        None => styled("div", SOON).end(),
    })
}

/// The class of what stands in the place of a view that is still to come.
const SOON: &str = "soon";

/// Some views, one after the other.
pub fn several(views: Vec<AnyView>) -> AnyView {
    views.into_any()
}

/// No view.
pub fn nothing() -> AnyView {
    several(Vec::new())
}

impl Tag {
    /// Gives it an attribute.
    pub fn set(mut self, name: &'static str, value: impl Into<String>) -> Tag {
        let value: String = value.into();
        self.attributes.push(custom_attribute(name, value).into_any_attr());
        self
    }

    /// Gives it an attribute that follows what `value` reads; without a value it is not there.
    pub fn live(
        mut self,
        name: &'static str,
        value: impl Fn() -> Option<String> + Send + Sync + 'static,
    ) -> Tag {
        let value: Signal<Option<String>> = Signal::derive(value);
        self.attributes.push(custom_attribute(name, value).into_any_attr());
        self
    }

    /// Tells whether it is pressed, as a button that stays down.
    pub fn pressed(self, pressed: impl Fn() -> bool + Send + Sync + 'static) -> Tag {
        self.live("aria-pressed", move || Some(if pressed() { "true" } else { "false" }.to_owned()))
    }

    /// Hides it while `hidden` holds.
    pub fn hidden(self, hidden: impl Fn() -> bool + Send + Sync + 'static) -> Tag {
        self.live("hidden", move || hidden().then(String::new))
    }

    /// Keeps the value of a field at what `value` reads.
    pub fn value(mut self, value: impl Fn() -> String + Send + Sync + 'static) -> Tag {
        let value: Signal<String> = Signal::derive(value);
        self.attributes.push(prop("value", value).into_any_attr());
        self
    }

    /// Listens to an event.
    pub fn on(mut self, event: &'static str, listen: impl FnMut(web_sys::Event) + 'static) -> Tag {
        let listen: Box<dyn FnMut(web_sys::Event)> = Box::new(listen);
        self.attributes.push(on(ev::Custom::new(event), listen).into_any_attr());
        self
    }

    /// Sets what is inside as markup of our own; never what a user wrote.
    pub fn markup(mut self, markup: impl Fn() -> String + Send + Sync + 'static) -> Tag {
        let markup: Signal<String> = Signal::derive(markup);
        self.attributes.push(prop("innerHTML", markup).into_any_attr());
        self
    }

    /// Adds a text.
    pub fn text(mut self, text: impl Into<String>) -> Tag {
        let text: String = text.into();
        self.children.push(text.into_any());
        self
    }

    /// Adds a text that follows what `text` reads.
    pub fn says(mut self, text: impl Fn() -> String + Send + Sync + 'static) -> Tag {
        let text: Signal<String> = Signal::derive(text);
        self.children.push(text.into_any());
        self
    }

    /// Adds an element.
    pub fn add(self, child: Tag) -> Tag {
        self.child(child.end())
    }

    /// Adds a view.
    pub fn child(mut self, child: AnyView) -> Tag {
        self.children.push(child);
        self
    }

    /// Adds what `make` makes, anew whenever something it reads changes.
    pub fn region(self, make: impl FnMut() -> AnyView + Send + 'static) -> Tag {
        self.child(region(make))
    }

    /// Adds several elements.
    pub fn all(mut self, children: impl IntoIterator<Item = Tag>) -> Tag {
        for child in children {
            self.children.push(child.end());
        }
        self
    }

    /// The element as a view.
    pub fn end(self) -> AnyView {
        html::custom(self.name).add_any_attr(self.attributes).child(self.children).into_any()
    }
}

/// The text in the field an event comes from.
pub fn entered(event: &web_sys::Event) -> String {
    event_target_value(event)
}

/// The field an event comes from.
pub fn field_of(event: &web_sys::Event) -> Option<web_sys::HtmlInputElement> {
    event.target()?.dyn_into().ok()
}

/// The element with this id.
pub fn by_id<T: JsCast>(id: &str) -> Option<T> {
    document().get_element_by_id(id)?.dyn_into().ok()
}

/// Gives the focus to the element with this id, once what was changed stands in the page, and what is still to come.
pub fn focus(id: impl Into<String>) {
    let id: String = id.into();
    after_this(move || match document().get_element_by_id(&id) {
        Some(element) => {
            // The drawing is no element of HTML but takes the focus by the same call; what takes none leaves it
            // where it was.
            let _ = element.unchecked_ref::<web_sys::HtmlElement>().focus();
        }
        None if document().get_elements_by_class_name(SOON).length() > 0 => focus(id),
        None => {}
    });
}

/// Does something once what was changed stands in the page.
pub fn after_this(act: impl FnOnce() + 'static) {
    let act: Box<dyn FnOnce()> = Box::new(act);
    request_animation_frame(act);
}

/// Does something that waits for the browser, beside everything else.
pub fn later(work: impl Future<Output = ()> + 'static) {
    let work: Pin<Box<dyn Future<Output = ()>>> = Box::pin(work);
    spawn_local(work);
}

/// Follows what `change` reads.
pub fn follow(change: impl Fn() + 'static) {
    let change: Box<dyn Fn()> = Box::new(change);
    Effect::new(move |_: Option<()>| change());
}
