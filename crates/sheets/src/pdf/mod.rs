//! A set as a PDF: vectors and text that can be searched, with its fonts inside.
//!
//! Pages are in hundredths of a millimetre with y downwards, by one transformation at the start of each page, so that
//! numbers stand in it as they stand in the set. Nothing in the file depends on the time.

mod font;
mod page;

use drawing::text::clean;
use pdf_writer::{Finish, Name, Pdf, Rect, Ref, TextStr};

use crate::png;
use crate::set::Set;

/// Points in a hundredth of a millimetre: 72 to the inch.
const POINTS: f32 = 72.0 / 2540.0;

/// What pages call the picture of the workshop.
const PICTURE: Name<'static> = Name(b"Picture");

/// The set as a PDF file.
pub fn pdf(set: &Set) -> Vec<u8> {
    let faces = font::faces();
    let mut next = 1;
    let mut reference = || {
        next += 1;
        Ref::new(next - 1)
    };
    let (catalog, tree, information, outline) = (reference(), reference(), reference(), reference());
    let mut pdf = Pdf::new();
    let of_fonts: Vec<[Ref; 5]> = faces.iter().map(|_| [(); 5].map(|()| reference())).collect();
    let of_sheets: Vec<[Ref; 3]> = set.sheets.iter().map(|_| [(); 3].map(|()| reference())).collect();

    let mut root = pdf.catalog(catalog);
    root.pages(tree).lang(TextStr("en"));
    if !set.sheets.is_empty() {
        root.outlines(outline);
    }
    root.viewer_preferences().display_doc_title(true);
    root.finish();
    let mut about = pdf.document_info(information);
    about.title(TextStr(&clean(&set.title))).producer(TextStr("Loomwright"));
    if !set.author.is_empty() {
        about.author(TextStr(&set.author));
    }
    about.finish();
    pdf.pages(tree)
        .kids(of_sheets.iter().map(|[page, ..]| *page))
        .count(i32::try_from(set.sheets.len()).unwrap_or(i32::MAX));

    let picture = set.stamp.as_ref().and_then(|stamp| png::pixels(&stamp.picture.bytes()));
    let picture = picture.map(|pixels| (reference(), pixels));

    let mut used = vec![font::Used::default(); faces.len()];
    for (index, (sheet, [page, content, _])) in set.sheets.iter().zip(&of_sheets).enumerate() {
        let at: Vec<_> = match &picture {
            Some(_) => set.stamp.iter().flat_map(|stamp| stamp.on(index)).collect(),
            None => Vec::new(),
        };
        let written = page::content(sheet, &faces, &mut used, &at);
        let mut object = pdf.page(*page);
        object.parent(tree).contents(*content);
        object.media_box(Rect::new(0.0, 0.0, sheet.width as f32 * POINTS, sheet.height as f32 * POINTS));
        let mut resources = object.resources();
        let mut fonts = resources.fonts();
        for (face, [font, ..]) in faces.iter().zip(&of_fonts) {
            fonts.pair(Name(face.name), *font);
        }
        fonts.finish();
        if let Some((object, _)) = picture.as_ref().filter(|_| !at.is_empty()) {
            resources.x_objects().pair(PICTURE, *object);
        }
        resources.finish();
        object.finish();
        pdf.stream(*content, &packed(&written)).filter(pdf_writer::Filter::FlateDecode);
    }
    if let Some((object, (width, height, pixels))) = &picture {
        write_picture(&mut pdf, *object, [*width, *height], pixels);
    }
    for ((face, used), references) in faces.iter().zip(&used).zip(&of_fonts) {
        font::write(&mut pdf, face, used, *references);
    }
    marks_of_sheets(&mut pdf, set, outline, &of_sheets);
    pdf.finish()
}

/// Writes a picture of red, green and blue.
fn write_picture(pdf: &mut Pdf, object: Ref, sides: [u32; 2], pixels: &[u8]) {
    let [width, height] = sides.map(|side| i32::try_from(side).unwrap_or(i32::MAX));
    let packed = packed(pixels);
    let mut image = pdf.image_xobject(object, &packed);
    image.filter(pdf_writer::Filter::FlateDecode);
    image.width(width).height(height).bits_per_component(8);
    image.color_space().device_rgb();
}

/// The names of the sheets beside the pages, to go to one.
fn marks_of_sheets(pdf: &mut Pdf, set: &Set, outline: Ref, of_sheets: &[[Ref; 3]]) {
    let (Some([.., first]), Some([.., last])) = (of_sheets.first(), of_sheets.last()) else { return };
    let count = i32::try_from(set.sheets.len()).unwrap_or(i32::MAX);
    pdf.outline(outline).first(*first).last(*last).count(count);
    for (index, (sheet, [page, _, item])) in set.sheets.iter().zip(of_sheets).enumerate() {
        let mut entry = pdf.outline_item(*item);
        entry.title(TextStr(&sheet.name)).parent(outline);
        if let Some([.., before]) = index.checked_sub(1).and_then(|before| of_sheets.get(before)) {
            entry.prev(*before);
        }
        if let Some([.., after]) = of_sheets.get(index + 1) {
            entry.next(*after);
        }
        entry.dest().page(*page).fit();
    }
}

/// Bytes as a Flate stream.
fn packed(bytes: &[u8]) -> Vec<u8> {
    const LEVEL: u8 = 6;
    miniz_oxide::deflate::compress_to_vec_zlib(bytes, LEVEL)
}
