//! The two faces of the set, and how they stand in the file: glyphs by their number, with a table back to characters.

use std::collections::BTreeMap;

use drawing::text::is_in_font;
use pdf_writer::types::{CidFontType, FontFlags, SystemInfo, UnicodeCmap};
use pdf_writer::{Finish, Name, Pdf, Rect, Ref, Str};
use ttf_parser::{Face as Parsed, GlyphId};

/// One of the fonts. Both are subsets of Arimo; `crates/sheets/font/` tells how they were made.
pub struct Face {
    /// Its name among the resources of a page.
    pub name: &'static [u8],
    base: &'static [u8],
    content: &'static [u8],
    is_bold: bool,
    parsed: Option<Parsed<'static>>,
}

/// The glyphs of a face that were used, with the character each stands for.
pub type Used = BTreeMap<u16, char>;

/// Ordinary, then bold.
pub fn faces() -> [Face; 2] {
    let face = |name, base, content: &'static [u8], is_bold| Face {
        name,
        base,
        content,
        is_bold,
        parsed: Parsed::parse(content, 0).ok(),
    };
    [
        face(b"R", b"LOOMWR+Arimo", include_bytes!("../../font/regular.ttf"), false),
        face(b"B", b"LOOMWB+Arimo-Bold", include_bytes!("../../font/bold.ttf"), true),
    ]
}

impl Face {
    /// The glyph of a character. What is not in the font has the glyph that says so.
    pub fn glyph(&self, c: char) -> u16 {
        let found = || self.parsed.as_ref()?.glyph_index(c);
        if is_in_font(c) { found().map_or(0, |glyph| glyph.0) } else { 0 }
    }

    /// How far a glyph goes, in thousandths of the font size.
    pub fn advance(&self, glyph: u16) -> f32 {
        let advance = self.parsed.as_ref().and_then(|face| face.glyph_hor_advance(GlyphId(glyph)));
        self.thousandths(i32::from(advance.unwrap_or(0)))
    }

    fn thousandths(&self, units: i32) -> f32 {
        let em = self.parsed.as_ref().map_or(1000, |face| i32::from(face.units_per_em()));
        units as f32 * 1000.0 / em as f32
    }
}

/// Writes a face and what was used of it. The references are those of the font, its one descendant, its descriptor, its
/// table of characters and its content.
pub fn write(
    pdf: &mut Pdf,
    face: &Face,
    used: &Used,
    [font, descendant, descriptor, back, content]: [Ref; 5],
) {
    let system = SystemInfo { registry: Str(b"Adobe"), ordering: Str(b"Identity"), supplement: 0 };
    pdf.type0_font(font)
        .base_font(Name(face.base))
        .encoding_predefined(Name(b"Identity-H"))
        .descendant_font(descendant)
        .to_unicode(back);
    let mut cid = pdf.cid_font(descendant);
    cid.subtype(CidFontType::Type2)
        .base_font(Name(face.base))
        .system_info(system)
        .font_descriptor(descriptor)
        .default_width(face.advance(0))
        .cid_to_gid_map_predefined(Name(b"Identity"));
    let mut widths = cid.widths();
    for glyph in used.keys() {
        widths.consecutive(*glyph, [face.advance(*glyph)]);
    }
    widths.finish();
    cid.finish();
    let mut about = pdf.font_descriptor(descriptor);
    about.name(Name(face.base)).flags(FontFlags::NON_SYMBOLIC).italic_angle(0.0).font_file2(content);
    about.stem_v(if face.is_bold { 140.0 } else { 88.0 });
    if let Some(parsed) = &face.parsed {
        let bounds = parsed.global_bounding_box();
        let [left, bottom, right, top] = [bounds.x_min, bounds.y_min, bounds.x_max, bounds.y_max]
            .map(|units| face.thousandths(i32::from(units)));
        about.bbox(Rect::new(left, bottom, right, top));
        about.ascent(face.thousandths(i32::from(parsed.ascender())));
        about.descent(face.thousandths(i32::from(parsed.descender())));
        about.cap_height(face.thousandths(i32::from(parsed.capital_height().unwrap_or(0))));
    }
    about.finish();
    let name = if face.is_bold { Name(b"Loomwright-Bold") } else { Name(b"Loomwright-Regular") };
    let mut characters = UnicodeCmap::new(name, system);
    for (glyph, character) in used {
        characters.pair(*glyph, *character);
    }
    pdf.cmap(back, &super::packed(&characters.finish())).filter(pdf_writer::Filter::FlateDecode);
    let length = i32::try_from(face.content.len()).unwrap_or(i32::MAX);
    let packed = super::packed(face.content);
    let mut stream = pdf.stream(content, &packed);
    stream.filter(pdf_writer::Filter::FlateDecode).pair(Name(b"Length1"), length);
}
