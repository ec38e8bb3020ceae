//! The marks of one sheet as the content of a page.

use drawing::geometry::{Point, Rect};
use drawing::scene::{Anchor, Lettering, Shape};
use drawing::style::{Look, Paint, Stroke, is_bold};
use drawing::text::{clean, font_size};
use pdf_writer::types::{LineCapStyle, LineJoinStyle};
use pdf_writer::{Content, Name, Str};

use super::font::{Face, Used};
use super::{PICTURE, POINTS};
use crate::set::Sheet;

/// What a page was told last, so that it is not told again.
#[derive(Default)]
struct Told {
    fill: Option<Paint>,
    stroke: Option<Stroke>,
    dash: Option<(i32, i32)>,
    font: Option<(bool, i32)>,
    narrow: Option<f32>,
}

/// The content of a page.
pub fn content(sheet: &Sheet, faces: &[Face; 2], used: &mut [Used], pictures: &[Rect]) -> Vec<u8> {
    let mut page = Content::new();
    page.transform([POINTS, 0.0, 0.0, -POINTS, 0.0, sheet.height as f32 * POINTS]);
    page.set_line_join(LineJoinStyle::RoundJoin);
    let mut told = Told::default();
    for mark in &sheet.marks {
        match &mark.shape {
            Shape::Text(lettering) => write(&mut page, lettering, mark.look, faces, used, &mut told),
            shape => draw(&mut page, shape, mark.look, &mut told),
        }
    }
    for at in pictures {
        page.save_state();
        // A picture fills the unit square, its upper edge at one.
        page.transform([at.width() as f32, 0.0, 0.0, -at.height() as f32, at.left as f32, at.bottom as f32]);
        page.x_object(PICTURE);
        page.restore_state();
    }
    page.finish().to_vec()
}

fn draw(page: &mut Content, shape: &Shape, look: Look, told: &mut Told) {
    if let Some(fill) = look.fill {
        fill_with(page, fill, told);
    }
    if let Some(stroke) = look.stroke {
        stroke_with(page, stroke, told);
    }
    match shape {
        Shape::Line(_, points) => polyline(page, points),
        Shape::Area(_, points) => {
            polyline(page, points);
            page.close_path();
        }
        Shape::Circle(_, center, radius) => {
            let right = center.moved(*radius, 0);
            page.move_to(right.x as f32, right.y as f32);
            let around = [(0, 1), (-1, 0), (0, -1), (1, 0)];
            let mut from = (1, 0);
            for to in around {
                quarter(page, *center, *radius, from, to);
                from = to;
            }
            page.close_path();
        }
        Shape::HalfCircle(_, from, to) => {
            let center = Point::new((from.x + to.x) / 2, (from.y + to.y) / 2);
            let radius = ((from.x - to.x).abs() + (from.y - to.y).abs()) / 2;
            let start = ((from.x - center.x).signum(), (from.y - center.y).signum());
            // A quarter clockwise, y growing downwards.
            let turned = |(x, y): (i32, i32)| (-y, x);
            page.move_to(from.x as f32, from.y as f32);
            quarter(page, center, radius, start, turned(start));
            quarter(page, center, radius, turned(start), turned(turned(start)));
        }
        Shape::Text(_) => {}
    }
    match (look.fill, look.stroke) {
        (Some(_), Some(_)) => page.fill_nonzero_and_stroke(),
        (Some(_), None) => page.fill_nonzero(),
        (None, Some(_)) => page.stroke(),
        (None, None) => page.end_path(),
    };
}

fn polyline(page: &mut Content, points: &[Point]) {
    for (index, point) in points.iter().enumerate() {
        let (x, y) = (point.x as f32, point.y as f32);
        if index == 0 {
            page.move_to(x, y)
        } else {
            page.line_to(x, y)
        };
    }
}

/// A quarter of a circle from one of its four corners to the next. The handles of the curve that comes nearest to it are
/// 4/3 (sqrt 2 - 1) of the radius long.
fn quarter(page: &mut Content, center: Point, radius: i32, from: (i32, i32), to: (i32, i32)) {
    const HANDLE: f32 = 0.552_284_8;
    let r = radius as f32;
    let at = |x: f32, y: f32| (center.x as f32 + r * x, center.y as f32 + r * y);
    let (fx, fy, tx, ty) = (from.0 as f32, from.1 as f32, to.0 as f32, to.1 as f32);
    let (x1, y1) = at(fx + HANDLE * tx, fy + HANDLE * ty);
    let (x2, y2) = at(tx + HANDLE * fx, ty + HANDLE * fy);
    let (x3, y3) = at(tx, ty);
    page.cubic_to(x1, y1, x2, y2, x3, y3);
}

fn fill_with(page: &mut Content, paint: Paint, told: &mut Told) {
    if told.fill.replace(paint) != Some(paint) {
        let [r, g, b] = shares(paint);
        if r == g && g == b {
            page.set_fill_gray(r)
        } else {
            page.set_fill_rgb(r, g, b)
        };
    }
}

fn stroke_with(page: &mut Content, stroke: Stroke, told: &mut Told) {
    let before = told.stroke.replace(stroke);
    if before.map(|before| before.paint) != Some(stroke.paint) {
        let [r, g, b] = shares(stroke.paint);
        if r == g && g == b {
            page.set_stroke_gray(r)
        } else {
            page.set_stroke_rgb(r, g, b)
        };
    }
    if before.map(|before| before.width) != Some(stroke.width) {
        page.set_line_width(stroke.width as f32);
    }
    if before.map(|before| before.butt) != Some(stroke.butt) {
        page.set_line_cap(if stroke.butt { LineCapStyle::ButtCap } else { LineCapStyle::RoundCap });
    }
    if told.dash != stroke.dash {
        told.dash = stroke.dash;
        let dashes = stroke.dash.map(|(dash, gap)| [dash as f32, gap as f32]);
        page.set_dash_pattern(
            dashes.unwrap_or_default()[..if dashes.is_some() { 2 } else { 0 }].to_vec(),
            0.0,
        );
    }
}

fn shares(Paint(red, green, blue): Paint) -> [f32; 3] {
    // Three digits tell 256 steps apart.
    [red, green, blue].map(|step| libm::roundf(f32::from(step) / 255.0 * 1000.0) / 1000.0)
}

/// One line of lettering, made exactly as wide as the drawing reckoned with.
fn write(
    page: &mut Content,
    lettering: &Lettering,
    look: Look,
    faces: &[Face; 2],
    used: &mut [Used],
    told: &mut Told,
) {
    let bold = is_bold(lettering.role);
    let (face, used) = (&faces[usize::from(bold)], &mut used[usize::from(bold)]);
    let mut codes = Vec::new();
    let mut natural = 0.0;
    for c in clean(&lettering.text).chars() {
        let glyph = face.glyph(c);
        used.entry(glyph).or_insert(if glyph == 0 { '\u{fffd}' } else { c });
        codes.extend(glyph.to_be_bytes());
        natural += face.advance(glyph);
    }
    let size = font_size(lettering.height);
    let width = lettering.width();
    if natural <= 0.0 || size <= 0 || width <= 0 {
        return;
    }
    if let Some(fill) = look.fill {
        fill_with(page, fill, told);
    }
    page.begin_text();
    if told.font.replace((bold, size)) != Some((bold, size)) {
        page.set_font(Name(face.name), size as f32);
    }
    // Four digits are a hundredth of a millimetre on ten metres.
    let narrow = libm::roundf(width as f32 * 1000.0 / (natural * size as f32) * 1e6) / 1e4;
    if told.narrow.replace(narrow) != Some(narrow) {
        page.set_horizontal_scaling(narrow);
    }
    let before = match lettering.anchor {
        Anchor::Start => 0.0,
        Anchor::Middle => width as f32 / 2.0,
        Anchor::End => width as f32,
    };
    let (x, y) = (lettering.at.x as f32, lettering.at.y as f32);
    // Letters stand upright although y grows downwards.
    if lettering.upright {
        page.set_text_matrix([0.0, -1.0, -1.0, 0.0, x, y + before]);
    } else {
        page.set_text_matrix([1.0, 0.0, 0.0, -1.0, x - before, y]);
    }
    page.show(Str(&codes));
    page.end_text();
}
