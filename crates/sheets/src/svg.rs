//! One sheet as an SVG picture.

use drawing::style::palette;
use drawing::svg::{FONTS, number, tag};
use drawing::text::clean;

use crate::set::Set;

/// The sheet of this index as a picture of its own, in millimetres; empty when there is no such sheet.
///
/// Only presentation attributes are used, and what users wrote is always text.
pub fn svg(set: &Set, index: usize) -> String {
    let Some(sheet) = set.sheets.get(index) else { return String::new() };
    let (width, height) = (number(sheet.width), number(sheet.height));
    let mut text = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width}mm\" height=\"{height}mm\" \
         viewBox=\"0 0 {width} {height}\" role=\"img\" font-family=\"{FONTS}\" fill=\"none\" \
         stroke-linecap=\"round\" stroke-linejoin=\"round\">\n<title>{}</title>\n\
         <rect width=\"{width}\" height=\"{height}\" fill=\"{}\"/>\n",
        escaped(&sheet.name),
        palette(set.ink).paper.hex()
    );
    for mark in &sheet.marks {
        text.push_str(&tag(&mark.shape, mark.look).to_string());
        text.push('\n');
    }
    for at in set.stamp.iter().flat_map(|stamp| stamp.on(index)) {
        text.push_str(&format!(
            "<image x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" href=\"data:image/png;base64,{}\"/>\n",
            number(at.left),
            number(at.top),
            number(at.width()),
            number(at.height()),
            set.stamp.as_ref().map_or("", |stamp| stamp.picture.text())
        ));
    }
    text.push_str("</svg>\n");
    text
}

fn escaped(text: &str) -> String {
    clean(text).replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;")
}
