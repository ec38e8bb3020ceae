//! One group of the drawing whose children follow a scene: only what differs touches the page.

use std::collections::BTreeMap;

use drawing::geometry::{Point, STEP};
use drawing::scene::{Change, Element, ElementId, Scene, diff};
use drawing::svg::{element_markup, number};
use engine::post::Spot;
use engine::subject::Subject;
use leptos::prelude::document;

const SVG: &str = "http://www.w3.org/2000/svg";

/// A `<g>` with one child for each element of a scene.
pub struct Layer {
    group: web_sys::Element,
    shown: std::sync::Arc<Scene>,
    children: BTreeMap<ElementId, Child>,
}

/// An element in the page, with what it is called for those who listen.
struct Child {
    element: web_sys::Element,
    name: String,
    /// Its style, and the point about which that may make it larger.
    style: (String, Point),
}

impl Layer {
    /// An empty layer in `group`.
    pub fn new(group: web_sys::Element) -> Layer {
        Layer { group, shown: std::sync::Arc::default(), children: BTreeMap::new() }
    }

    /// Shows `scene`.
    pub fn show(&mut self, scene: &std::sync::Arc<Scene>) {
        if std::sync::Arc::ptr_eq(&self.shown, scene) {
            return;
        }
        for change in diff(&self.shown, scene) {
            match change {
                Change::Removed(id) => {
                    if let Some(child) = self.children.remove(&id) {
                        child.element.remove();
                    }
                }
                Change::Changed(element) => {
                    if let Some(child) = self.children.get(&element.id) {
                        child.element.set_inner_html(&markup(&element));
                    }
                }
                Change::Added(element, after) => self.add(&element, after.as_ref()),
            }
        }
        self.shown = std::sync::Arc::clone(scene);
    }

    fn add(&mut self, element: &Element, after: Option<&ElementId>) {
        let Ok(child) = document().create_element_ns(Some(SVG), "g") else { return };
        set(&child, "data-id", &element.id.name());
        match &element.id {
            ElementId::Symbol(..) => {
                set(&child, "class", "symbol");
                set(&child, "role", "button");
                set(&child, "tabindex", "-1");
                set(&child, "aria-label", &element.title);
            }
            ElementId::Wire(_) => {
                set(&child, "role", "img");
                set(&child, "aria-label", &element.title);
            }
            _ => set(&child, "aria-hidden", "true"),
        }
        child.set_inner_html(&markup(element));
        let before = match after {
            None => self.group.first_child(),
            Some(after) => self.children.get(after).and_then(|before| before.element.next_sibling()),
        };
        // The only way this fails is that the group is not the parent of `before`, which it always is.
        let _ = self.group.insert_before(&child, before.as_ref());
        let child = Child { element: child, name: element.title.clone(), style: Default::default() };
        self.children.insert(element.id.clone(), child);
    }

    /// Gives an element a style, and the point about which that may make it larger.
    pub fn dress(&mut self, id: &ElementId, class: &str, about: Point) {
        let Some(child) = self.children.get_mut(id) else { return };
        if child.style.0 != class {
            set(&child.element, "class", class);
        }
        if child.style.1 != about || child.style.0.is_empty() {
            set(&child.element, "transform-origin", &format!("{} {}", number(about.x), number(about.y)));
        }
        child.style = (class.to_owned(), about);
    }

    /// Gives an element an attribute, or takes it from it.
    pub fn mark(&self, id: &ElementId, attribute: &str, is_marked: bool) {
        if let Some(child) = self.children.get(id) {
            // Which fails for names that are none only.
            let _ = child.element.toggle_attribute_with_force(attribute, is_marked);
        }
    }

    /// The scene that is shown.
    pub fn scene(&self) -> &Scene {
        &self.shown
    }

    /// The child of an element.
    pub fn child(&self, id: &ElementId) -> Option<&web_sys::Element> {
        self.children.get(id).map(|child| &child.element)
    }

    /// Every symbol with its child.
    pub fn symbols(&self) -> impl Iterator<Item = (&ElementId, &web_sys::Element)> {
        let symbols = self.children.iter().filter(|(id, _)| matches!(id, ElementId::Symbol(..)));
        symbols.map(|(id, child)| (id, &child.element))
    }

    /// Has everything but this stand back; with none, nothing.
    pub fn stand_back(&self, spot: Option<&Spot>) {
        let is_seen = |id: &ElementId, spot: &Spot| match id {
            ElementId::Wire(wire) | ElementId::WireText(wire) => spot.wires.contains(wire),
            ElementId::Symbol(part, ..)
            | ElementId::Stud(part, ..)
            | ElementId::TerminalText(part, ..)
            | ElementId::PartText(part, ..)
            | ElementId::Link(part) => spot.parts.contains(part),
            ElementId::Reading(_) | ElementId::Finding(_) => true,
        };
        for (id, child) in &self.children {
            let stands_back = spot.is_some_and(|spot| !is_seen(id, spot));
            // Which fails for names that are none only.
            let _ = child.element.toggle_attribute_with_force("data-back", stands_back);
        }
    }

    /// Calls every symbol and every wire what `words` says of it.
    pub fn name_things(&mut self, words: impl Fn(&Subject) -> String) {
        for (id, child) in &mut self.children {
            let subject = match id {
                ElementId::Symbol(part, ..) => Subject::Part(part.clone()),
                ElementId::Wire(wire) => Subject::Wire(wire.clone()),
                _ => continue,
            };
            let name = words(&subject);
            if name != child.name {
                set(&child.element, "aria-label", &name);
                child.name = name;
            }
        }
    }
}

/// The shapes of an element; those of a symbol with the frame that shows the focus. An outline would grow with the zoom.
fn markup(element: &Element) -> String {
    let mut markup = element_markup(element);
    if let (ElementId::Symbol(..), Some(bounds)) = (&element.id, element.bounds()) {
        let room = bounds.grown(STEP / 3);
        markup.push_str(&format!(
            "<rect class=\"focus-frame\" transform=\"scale(0.01)\" x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\"/>",
            room.left,
            room.top,
            room.width(),
            room.height()
        ));
    }
    markup
}

/// Sets an attribute whose name is always valid.
pub fn set(element: &web_sys::Element, name: &str, value: &str) {
    let _ = element.set_attribute(name, value);
}
