//! An empty sheet: paper, frame, zones, title block and footer, and the field that is left.

use drawing::geometry::{Point, Rect};
use drawing::scene::{Anchor, Lettering, Role, Shape};
use drawing::sheet::{Block, FULL, Frame, MARGINS, SHORT, WIDE_MARGINS};
use drawing::style::{Ink, look, role_of};
use drawing::text::{HEIGHT, clean, cut};
use engine::document::{Card, Status};

use crate::letterhead::Letterhead;
use crate::set::{Mark, Paper, Set, Sheet};

/// Height of the line at the foot of every sheet.
const FOOT: i32 = 430;

/// What is on a sheet before it is numbered.
#[derive(Clone)]
pub struct Page {
    /// What it is called.
    pub name: String,
    /// What begins or goes on in it, for the table of contents.
    pub holds: Vec<String>,
    /// Its form.
    pub form: Form,
    /// What stands in its field.
    pub marks: Vec<Mark>,
    /// What the readings on it belong to; empty when it has none.
    pub state: String,
}

/// A form of sheet: which way round, and with which title block.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Form {
    /// On which paper.
    pub paper: Paper,
    /// Whether its long side lies.
    pub landscape: bool,
    /// Where the title block has every field: the height of what stands above it.
    pub full: Option<i32>,
}

impl Form {
    /// Width and height of the paper.
    pub fn size(self) -> (i32, i32) {
        let (short, long) = self.paper.sides();
        if self.landscape { (long, short) } else { (short, long) }
    }

    /// The frame.
    pub fn frame(self) -> Frame {
        let (width, height) = self.size();
        let margins = match self.paper {
            Paper::A4 | Paper::A3 => MARGINS,
            Paper::Letter | Paper::Tabloid => WIDE_MARGINS,
        };
        Frame::new(Rect::new(0, 0, width, height), margins)
    }

    /// What is left above title block and foot.
    pub fn field(self) -> Rect {
        let inside = self.frame().inside;
        Rect { bottom: inside.bottom - FOOT - self.full.map_or(SHORT, |above| FULL + above), ..inside }
    }
}

/// Shapes of what is new, as they look in an ink.
pub fn inked(shapes: impl IntoIterator<Item = Shape>, ink: Ink) -> impl Iterator<Item = Mark> {
    shapes.into_iter().map(move |shape| {
        let look = look(role_of(&shape), Status::New, ink);
        Mark { shape, look }
    })
}

/// Numbers the pages of a set, and puts frame, title block and foot on them.
pub fn finished(pages: Vec<Page>, card: &Card, letterhead: &Letterhead, ink: Ink) -> Vec<Sheet> {
    let count = pages.len();
    let sheet = |(index, page): (usize, Page)| {
        let (form, number) = (page.form, format!("{}/{count}", index + 1));
        let frame = form.frame();
        let corner = Point::new(frame.inside.right, frame.inside.bottom - FOOT);
        let block = Block { card, document: &page.name, paper: form.paper.name(), sheet: &number };
        let mut shapes = frame.shapes(form.paper != Paper::A4);
        shapes.extend(if form.full.is_some() { block.full(corner) } else { block.short(corner) });
        if form.full.is_some() {
            shapes.extend(letterhead.shapes(above_block(form)));
        }
        let across = |y: i32| {
            Shape::Line(
                Role::Field,
                vec![Point::new(frame.inside.left, y), Point::new(frame.inside.right, y)],
            )
        };
        shapes.push(across(form.field().bottom));
        shapes.push(across(corner.y));
        let mut marks: Vec<Mark> = inked(shapes, ink).collect();
        marks.extend(page.marks);
        let (width, height) = form.size();
        let mut sheet = Sheet { name: page.name, width, height, marks };
        let foot = foot(&sheet, card, &number, &page.state, frame.inside);
        sheet.marks.extend(inked([foot], ink));
        sheet
    };
    pages.into_iter().enumerate().map(sheet).collect()
}

/// The upper right corner of the whole title block.
pub fn above_block(form: Form) -> Point {
    let inside = form.frame().inside;
    Point::new(inside.right, inside.bottom - FOOT - FULL)
}

/// The line at the foot: what matches loose sheets, and that nothing was measured.
fn foot(sheet: &Sheet, card: &Card, number: &str, state: &str, inside: Rect) -> Shape {
    let room = inside.width() - 300;
    let mut end = format!("sheet {number} · page {} · Calculated, not measured.", hash(sheet));
    if !state.is_empty() {
        // At most half of the line, so that the number of the job has room.
        end.push_str(&format!(" {}", cut(&clean(state), HEIGHT, room / 2)));
    }
    let job = clean(card.number.trim());
    let revision = clean(card.revision.trim());
    let mut said = if job.is_empty() { "job without a number".to_owned() } else { format!("job {job}") };
    if !revision.is_empty() {
        said.push_str(&format!(", revision {revision}"));
    }
    let left = room - drawing::text::width(&format!(" · {end}"), HEIGHT);
    Shape::Text(Lettering {
        text: format!("{} · {end}", cut(&said, HEIGHT, left)),
        at: Point::new(inside.left + 150, inside.bottom - 110),
        anchor: Anchor::Start,
        height: HEIGHT,
        upright: false,
        role: Role::Lettering,
    })
}

/// Eight characters that differ between sheets that differ: the 32-bit hash of Fowler, Noll and Vo (FNV-1a).
fn hash(sheet: &Sheet) -> String {
    let one = Set { sheets: vec![sheet.clone()], ..Set::default() };
    let mix = |hash: u32, byte: &u8| (hash ^ u32::from(*byte)).wrapping_mul(0x0100_0193);
    format!("{:08x}", one.to_bytes().iter().fold(0x811c_9dc5, mix))
}
