//! What a gesture holds and draws, on sheets of their own above the drawing: whatever moves there, the drawing below is
//! neither laid out nor painted anew, however much is drawn.

use drawing::scene::ElementId;
use editor::Preview;
use engine::quantity::fixed;

use super::layer::{Layer, set};

/// The sheets above the drawing.
pub struct Lift {
    /// The sheet that is moved as a whole, and its group for what is taken off the drawing.
    sheet: web_sys::HtmlElement,
    scene: web_sys::Element,
    /// The sheet for what a gesture draws, and its group.
    hand: web_sys::Element,
    over: web_sys::Element,
    /// What is shown here in place of the drawing, and what is shown nowhere.
    moved: Vec<ElementId>,
    hidden: Vec<ElementId>,
    /// What else the gesture shows.
    drawn: String,
}

impl Lift {
    /// The sheet for what is taken off the drawing with its group, and the same for what a gesture draws.
    pub fn new(sheet: web_sys::HtmlElement, [scene, hand, over]: [web_sys::Element; 3]) -> Lift {
        let (moved, hidden, drawn) = (Vec::new(), Vec::new(), String::new());
        Lift { sheet, scene, hand, over, moved, hidden, drawn }
    }

    /// Shows what a gesture would do on release, with `markup` of what it draws, at `scale` pixels to a millimetre. Returns
    /// whether anything of the drawing is moved.
    pub fn show(&mut self, layer: &Layer, scale: f64, preview: Preview, markup: String) -> bool {
        let by = |hundredths| fixed(f64::from(hundredths) / 100.0 * scale, 3);
        let (dx, dy) = (by(preview.by.0), by(preview.by.1));
        if (&self.moved, &self.hidden) != (&preview.moved, &preview.hidden) {
            self.put_back(layer);
            self.take(layer, preview);
        }
        // As a style of the whole sheet it costs no painting at all.
        let _ = self.sheet.style().set_property("transform", &format!("translate({dx}px,{dy}px)"));
        if markup != self.drawn {
            self.over.set_inner_html(&markup);
            self.drawn = markup;
        }
        for (sheet, is_empty) in [(&*self.sheet, self.moved.is_empty()), (&self.hand, self.drawn.is_empty())]
        {
            // Which fails for names that are none only.
            let _ = sheet.toggle_attribute_with_force("hidden", is_empty);
        }
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
