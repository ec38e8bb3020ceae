//! What a gesture holds, on a sheet of its own above the drawing: whatever moves there, the drawing below is neither laid out
//! nor painted anew, however much is drawn.

use drawing::scene::ElementId;
use editor::Preview;

use super::layer::{Layer, set};

/// The sheet above the drawing.
pub struct Lift {
    sheet: web_sys::Element,
    scene: web_sys::Element,
    over: web_sys::Element,
    /// What is shown here in place of the drawing, and what is shown nowhere.
    moved: Vec<ElementId>,
    hidden: Vec<ElementId>,
    /// What else the gesture shows.
    drawn: String,
}

impl Lift {
    /// The sheet with its groups for what is taken off the drawing, and for what lies over that.
    pub fn new([sheet, scene, over]: [web_sys::Element; 3]) -> Lift {
        Lift { sheet, scene, over, moved: Vec::new(), hidden: Vec::new(), drawn: String::new() }
    }

    /// Shows what a gesture would do on release, with `markup` of what it draws. Returns whether anything of the drawing is
    /// moved.
    pub fn show(&mut self, layer: &Layer, preview: Preview, markup: String) -> bool {
        let (dx, dy) = preview.by;
        if (&self.moved, &self.hidden) != (&preview.moved, &preview.hidden) {
            self.put_back(layer);
            self.take(layer, preview);
        }
        let transform = format!("translate({} {})", f64::from(dx) / 100.0, f64::from(dy) / 100.0);
        set(&self.scene, "transform", &transform);
        if markup != self.drawn {
            self.over.set_inner_html(&markup);
            self.drawn = markup;
        }
        let is_empty = self.moved.is_empty() && self.drawn.is_empty();
        // Which fails for names that are none only.
        let _ = self.sheet.toggle_attribute_with_force("hidden", is_empty);
        !self.moved.is_empty()
    }

    fn take(&mut self, layer: &Layer, Preview { moved, hidden, .. }: Preview) {
        for child in moved.iter().filter_map(|id| layer.child(id)) {
            if let Ok(copy) = child.clone_node_with_deep(true) {
                // A node that was just made can stand anywhere.
                let _ = self.scene.append_child(&copy);
            }
        }
        for child in moved.iter().chain(&hidden).filter_map(|id| layer.child(id)) {
            set(child, "visibility", "hidden");
        }
        (self.moved, self.hidden) = (moved, hidden);
    }

    /// Shows on the drawing again what was taken off it.
    pub fn put_back(&mut self, layer: &Layer) {
        for id in std::mem::take(&mut self.moved).iter().chain(&std::mem::take(&mut self.hidden)) {
            if let Some(child) = layer.child(id) {
                let _ = child.remove_attribute("visibility");
            }
        }
        self.scene.set_inner_html("");
    }
}
