//! The scene as SVG text, on its sheet.
//!
//! Only presentation attributes are used, no style sheets and no scripts, so that the picture
//! shows under a strict content security policy. What users wrote is always text.

use engine::document::{Card, Document, Status};
use engine::kind::{Kind, Values};
use engine::protection::rules;
use svg::node::element::Element as Tag;
use svg::node::{Blob, Node, Text as TextNode};

use crate::draw;
use crate::geometry::{Point, Rect, STEP};
use crate::overlay::{self, Overlay};
use crate::scene::{Anchor, Element, ElementId, Lettering, Scene, Shape};
use crate::sheet::{Sheet, sheet};
use crate::style::{self, Ink, Look};
use crate::symbol::Symbol;
use crate::text::{clean, font_size};

/// What goes on paper beside the scene.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct SvgOptions {
    /// Title data for the title block.
    pub card: Card,
    /// The rules that the job's limits go by, where they are not the usual ones: they stand on the sheet.
    pub rules: Option<String>,
    /// The job as a ready-made XML element, to be carried in the picture; nothing when empty.
    pub job: String,
}

impl SvgOptions {
    /// The title data and the rules of a document; `job` is carried in the picture.
    pub fn of(document: &Document, job: String) -> SvgOptions {
        SvgOptions { card: (*document.card).clone(), rules: rules::chosen_in_words(&document.settings), job }
    }
}

/// The fonts asked for; the widths of the first are those the drawing reckons with.
pub const FONTS: &str = "'Liberation Sans', Arimo, Helvetica, Arial, sans-serif";

/// The picture of `scene` with `overlay` on a sheet with frame and title block.
///
/// The same arguments give the same bytes.
pub fn svg(scene: &Scene, overlay: &Overlay, options: &SvgOptions) -> String {
    let marks = overlay::marks(scene, overlay);
    let sheet = sheet_around(scene, &marks, overlay, options);
    let Rect { left, top, .. } = sheet.paper;
    let mut root = Tag::new("svg");
    root.assign("xmlns", "http://www.w3.org/2000/svg");
    root.assign("width", format!("{}mm", number(sheet.paper.width())));
    root.assign("height", format!("{}mm", number(sheet.paper.height())));
    let size = [left, top, sheet.paper.width(), sheet.paper.height()].map(number);
    root.assign("viewBox", size.join(" "));
    root.assign("role", "img");
    root.assign("font-family", FONTS);
    root.assign("fill", "none");
    root.assign("stroke-linecap", "round");
    root.assign("stroke-linejoin", "round");
    let title = clean(&options.card.title);
    root.append(titled(if title.trim().is_empty() { "Circuit diagram" } else { &title }));
    if !options.job.is_empty() {
        let mut metadata = Tag::new("metadata");
        metadata.append(Blob::new(options.job.clone()));
        root.append(metadata);
    }
    let mut paper = Tag::new("g");
    paper.assign("id", "sheet");
    let mut ground = Tag::new("rect");
    for (name, value) in
        [("x", left), ("y", top), ("width", sheet.paper.width()), ("height", sheet.paper.height())]
    {
        ground.assign(name, number(value));
    }
    ground.assign("fill", style::palette(Ink::Colored).paper.hex());
    paper.append(ground);
    for shape in &sheet.shapes {
        paper.append(tag(shape, style::look(style::role_of(shape), Status::New, Ink::Colored)));
    }
    root.append(paper);
    for (id, elements) in [("drawing", scene.elements()), ("marks", &marks)] {
        let mut group = Tag::new("g");
        group.assign("id", id);
        for element in elements {
            group.append(element_tag(element));
        }
        root.append(group);
    }
    let mut text = root.to_string();
    text.push('\n');
    text
}

/// The sheet that [`svg`](fn@svg) puts a drawing on, which knows the name of its size.
pub fn sheet_of(scene: &Scene, overlay: &Overlay, options: &SvgOptions) -> Sheet {
    sheet_around(scene, &overlay::marks(scene, overlay), overlay, options)
}

fn sheet_around(scene: &Scene, marks: &[Element], overlay: &Overlay, options: &SvgOptions) -> Sheet {
    let content = marks
        .iter()
        .filter_map(Element::bounds)
        .chain(scene.bounds())
        .reduce(Rect::joined)
        .unwrap_or(Rect::new(0, 0, 0, 0));
    sheet(content, &options.card, overlay, options.rules.as_deref())
}

/// Hundredths of a millimetre as millimetres: the one place that writes numbers.
pub fn number(hundredths: i32) -> String {
    let sign = if hundredths < 0 { "-" } else { "" };
    let size = hundredths.unsigned_abs();
    let (whole, rest) = (size / 100, size % 100);
    match (rest, rest % 10) {
        (0, _) => format!("{sign}{whole}"),
        (_, 0) => format!("{sign}{whole}.{}", rest / 10),
        _ => format!("{sign}{whole}.{rest:02}"),
    }
}

fn titled(text: &str) -> Tag {
    let mut title = Tag::new("title");
    title.append(TextNode::new(clean(text)));
    title
}

fn element_tag(element: &Element) -> Tag {
    let mut group = Tag::new("g");
    group.assign("id", element.id.name());
    match &element.id {
        ElementId::Wire(wire) | ElementId::WireText(wire) => group.assign("data-wire", wire.as_str()),
        ElementId::Symbol(part, ..)
        | ElementId::Stud(part, ..)
        | ElementId::TerminalText(part, ..)
        | ElementId::PartText(part, ..)
        | ElementId::Link(part) => group.assign("data-part", part.as_str()),
        ElementId::Reading(_) | ElementId::Finding(_) => {}
    }
    if !element.title.is_empty() {
        group.append(titled(&element.title));
    }
    for tag in shape_tags(element) {
        group.append(tag);
    }
    group
}

/// What is drawn of one element, as [`svg`](fn@svg) writes it into the group of the element.
pub fn element_markup(element: &Element) -> String {
    let mut text = String::new();
    for tag in shape_tags(element) {
        if !text.is_empty() {
            text.push('\n');
        }
        text.push_str(&tag.to_string());
    }
    text
}

fn shape_tags(element: &Element) -> Vec<Tag> {
    style::looks(element, Ink::Colored).into_iter().map(|(shape, look)| tag(shape, look)).collect()
}

fn line(points: &[Point]) -> Tag {
    let mut tag = Tag::new("polyline");
    tag.assign("points", coordinates(points));
    tag
}

fn coordinates(points: &[Point]) -> String {
    points.iter().map(|p| format!("{},{}", number(p.x), number(p.y))).collect::<Vec<_>>().join(" ")
}

/// A shape with its look as an SVG element.
pub fn tag(shape: &Shape, look: Look) -> Tag {
    let mut tag = match shape {
        Shape::Line(_, points) => line(points),
        Shape::Area(_, points) => {
            let mut tag = Tag::new("polygon");
            tag.assign("points", coordinates(points));
            tag
        }
        Shape::Circle(_, center, radius) => {
            let mut tag = Tag::new("circle");
            tag.assign("cx", number(center.x));
            tag.assign("cy", number(center.y));
            tag.assign("r", number(*radius));
            tag
        }
        Shape::HalfCircle(_, from, to) => {
            let mut tag = Tag::new("path");
            let radius = ((from.x - to.x).abs() + (from.y - to.y).abs()) / 2;
            let [x0, y0, x1, y1, r] = [from.x, from.y, to.x, to.y, radius].map(number);
            tag.assign("d", format!("M{x0},{y0}A{r},{r} 0 0 1 {x1},{y1}"));
            tag
        }
        Shape::Text(lettering) => text_tag(lettering),
    };
    if let Some(stroke) = look.stroke {
        tag.assign("stroke", stroke.paint.hex());
        tag.assign("stroke-width", number(stroke.width));
        if let Some((dash, gap)) = stroke.dash {
            tag.assign("stroke-dasharray", format!("{} {}", number(dash), number(gap)));
        }
        if stroke.butt {
            tag.assign("stroke-linecap", "butt");
        }
    }
    if let Some(fill) = look.fill {
        tag.assign("fill", fill.hex());
    }
    tag
}

fn text_tag(lettering: &Lettering) -> Tag {
    let mut tag = Tag::new("text");
    let (x, y) = (number(lettering.at.x), number(lettering.at.y));
    if lettering.upright {
        tag.assign("transform", format!("translate({x} {y}) rotate(-90)"));
    } else {
        tag.assign("x", x);
        tag.assign("y", y);
    }
    tag.assign("font-size", number(font_size(lettering.height)));
    if style::is_bold(lettering.role) {
        tag.assign("font-weight", "bold");
    }
    match lettering.anchor {
        Anchor::Start => {}
        Anchor::Middle => tag.assign("text-anchor", "middle"),
        Anchor::End => tag.assign("text-anchor", "end"),
    }
    // The drawing kept exactly this room free, whatever font is there in the end.
    tag.assign("textLength", number(lettering.width().max(1)));
    tag.assign("lengthAdjust", "spacingAndGlyphs");
    tag.append(TextNode::new(clean(&lettering.text)));
    tag
}

/// The symbols of a kind side by side as a picture of their own, in the color of the text around
/// it, for choosing a part by its looks.
pub fn symbol_picture(kind: &Kind) -> String {
    /// Free space around and between the symbols.
    const FREE: i32 = 60;
    /// Small symbols stand in a picture of this height, so that lines look equally wide in all.
    const LEAST_HEIGHT: i32 = 6 * STEP;
    let mut shapes: Vec<Shape> = Vec::new();
    let mut bounds: Option<Rect> = None;
    for view in (kind.views)(&Values::default()) {
        let mut symbol = Symbol::new(0, view, 0);
        let right = bounds.map_or(0, |bounds: Rect| bounds.right);
        symbol.at.x = (right + STEP - symbol.local_ink().left + STEP - 1) / STEP;
        for shape in symbol.view.marks.iter().map(|mark| draw::shape(&symbol, mark)) {
            let own = shape.bounds();
            bounds = Some(bounds.map_or(own, |bounds| bounds.joined(own)));
            shapes.push(shape);
        }
    }
    let mut frame = bounds.unwrap_or(Rect::new(0, 0, 0, 0)).grown(FREE);
    let lacking = (LEAST_HEIGHT - frame.height()).max(0);
    frame.top -= lacking / 2;
    frame.bottom += lacking - lacking / 2;
    let Rect { left, top, right, bottom } = frame;
    let mut root = Tag::new("svg");
    root.assign("xmlns", "http://www.w3.org/2000/svg");
    root.assign("viewBox", [left, top, right - left, bottom - top].map(number).join(" "));
    root.assign("font-family", FONTS);
    root.assign("fill", "none");
    root.assign("stroke-linecap", "round");
    root.assign("stroke-linejoin", "round");
    for shape in &shapes {
        let mut tag = tag(shape, style::look(style::role_of(shape), Status::New, Ink::Colored));
        for name in ["fill", "stroke"] {
            if tag.get_attributes().contains_key(name) {
                tag.assign(name, "currentColor");
            }
        }
        root.append(tag);
    }
    root.to_string()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_written_as_short_as_they_are_exact() {
        for (hundredths, text) in [(0, "0"), (250, "2.5"), (-5, "-0.05"), (1234, "12.34"), (-100, "-1")] {
            assert_eq!(number(hundredths), text);
        }
    }

    #[test]
    fn an_empty_drawing_is_a_sheet_with_its_cautions() {
        let text = svg(&Scene::default(), &Overlay::default(), &SvgOptions::default());
        assert!(text.starts_with("<svg") && text.contains("Calculated, not measured."), "{text}");
    }
}
