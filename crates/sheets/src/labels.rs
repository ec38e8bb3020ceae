//! Labels to print, cut out and stick: one for each end of every new wire.

use drawing::geometry::{Point, Rect};
use drawing::scene::{Anchor, Lettering, Role, Shape};
use drawing::style::Ink;
use drawing::text::{HEIGHT, line_pitch};

use crate::columns::lines_of;
use crate::page::{Form, Page, inked};
use crate::set::Paper;

/// Width of a label, and its least height.
const WIDTH: i32 = 4000;
const LEAST_HEIGHT: i32 = 1000;

/// What stands above the labels, and the room it takes.
const SAYS: &str =
    "To cut out along the lines: one for each end of every new wire, with the terminal where that end goes.";
const ABOVE: i32 = 1250;

/// Free space inside a label.
const PAD: i32 = 150;

/// Pages of labels: the name of the wire in bold, below it where that end goes.
pub fn pages(labels: &[[String; 2]], paper: Paper, ink: Ink) -> Vec<Page> {
    let form = Form { paper, landscape: false, full: None };
    let field = form.field().grown(-300);
    // Below the centring mark of the sheet.
    let field = Rect { top: form.field().top + ABOVE, ..field };
    let columns = (field.width() / WIDTH).max(1);
    let left = field.left + (field.width() - columns * WIDTH) / 2;
    let mut pages: Vec<Page> = Vec::new();
    let mut y = i32::MAX;
    for row in labels.chunks(usize::try_from(columns).unwrap_or(1)) {
        let lines: Vec<Vec<(String, Role)>> = row.iter().map(lines).collect();
        let most = lines.iter().map(Vec::len).max().unwrap_or(1) as i32;
        let height = LEAST_HEIGHT.max(2 * PAD + HEIGHT + (most - 1) * line_pitch(HEIGHT) + HEIGHT / 3);
        if y.saturating_add(height) > field.bottom {
            let name = match pages.len() {
                0 => "Wire labels".to_owned(),
                n => format!("Wire labels {}", n + 1),
            };
            pages.push(Page {
                name,
                holds: vec!["Wire labels".to_owned()],
                form,
                marks: Vec::new(),
                state: String::new(),
            });
            y = field.top;
            let at = Point::new(left, field.top - HEIGHT);
            let text = SAYS.to_owned();
            let says = Shape::Text(Lettering {
                text,
                at,
                anchor: Anchor::Start,
                height: HEIGHT,
                upright: false,
                role: Role::Lettering,
            });
            if let Some(page) = pages.last_mut() {
                page.marks.extend(inked([says], ink));
            }
        }
        let mut shapes = Vec::new();
        for (lines, column) in lines.into_iter().zip(0..) {
            let cell = Rect::new(left + column * WIDTH, y, left + (column + 1) * WIDTH, y + height);
            shapes.push(drawing::sheet::outline(Role::Field, cell));
            for ((text, role), n) in lines.into_iter().zip(0..) {
                let at = Point::new(cell.left + PAD, cell.top + PAD + HEIGHT + n * line_pitch(HEIGHT));
                let anchor = Anchor::Start;
                shapes.push(Shape::Text(Lettering {
                    text,
                    at,
                    anchor,
                    height: HEIGHT,
                    upright: false,
                    role,
                }));
            }
        }
        if let Some(page) = pages.last_mut() {
            page.marks.extend(inked(shapes, ink));
        }
        y += height;
    }
    pages
}

fn lines([wire, end]: &[String; 2]) -> Vec<(String, Role)> {
    let most = WIDTH - 2 * PAD;
    let wire = lines_of(wire, most, Role::Designation).into_iter().map(|line| (line, Role::Designation));
    let end = lines_of(end, most, Role::Lettering).into_iter().map(|line| (line, Role::Lettering));
    wire.chain(end).collect()
}
