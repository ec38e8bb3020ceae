//! What a workshop says of itself above the whole title block: its picture, its name, and where it is found.

use drawing::geometry::{Point, Rect};
use drawing::scene::{Anchor, Lettering, Role, Shape};
use drawing::sheet::WIDTH;
use drawing::text::{HEIGHT, clean, line_pitch, wrapped};
use engine::file::workshop::WorkshopCard;

/// Free space inside the strip.
const PAD: i32 = 150;

/// The room for a picture: width and height.
const ROOM: (i32, i32) = (5_000, 2_000);

/// The strip above a title block.
#[derive(Clone, Debug, Default)]
pub struct Letterhead {
    /// The lines, and whether each is the name.
    lines: Vec<(String, Role)>,
    /// Width and height of the picture on paper.
    picture: Option<(i32, i32)>,
}

impl Letterhead {
    /// What a card says; nothing where there is nothing to say. `has_picture` tells whether its picture can be shown.
    pub fn of(card: &WorkshopCard, has_picture: bool) -> Letterhead {
        let picture = card.picture.as_ref().filter(|_| has_picture);
        let picture = picture.map(|picture| fitted(picture.width, picture.height));
        let room = WIDTH - 2 * PAD - picture.map_or(0, |(width, _)| width + PAD);
        // Bold is wider than what the wrapping reckons with.
        let broken = |text: &str, role: Role| {
            let lines = wrapped(&clean(text), HEIGHT, room * 12 / 13, 2);
            lines.into_iter().map(move |line| (line, role)).collect::<Vec<_>>()
        };
        let mut lines = broken(&card.name, Role::Designation);
        for text in card.address.iter().chain([&card.contact]) {
            lines.extend(broken(text, Role::Lettering));
        }
        Letterhead { lines, picture }
    }

    /// Height of the strip; nought when there is nothing in it.
    pub fn height(&self) -> i32 {
        let lines = i32::try_from(self.lines.len()).unwrap_or(0) * line_pitch(HEIGHT);
        match lines.max(self.picture.map_or(0, |(_, height)| height)) {
            0 => 0,
            filled => filled + 2 * PAD,
        }
    }

    /// Its outline and its lines, its lower right corner at `corner`.
    pub fn shapes(&self, corner: Point) -> Vec<Shape> {
        let Rect { left, top, right, bottom } = self.strip(corner);
        if top == bottom {
            return Vec::new();
        }
        let corners = [(left, top), (right, top), (right, bottom), (left, bottom)];
        let mut shapes = vec![Shape::Area(Role::Field, corners.map(|(x, y)| Point::new(x, y)).to_vec())];
        let x = left + PAD + self.picture.map_or(0, |(width, _)| width + PAD);
        for (number, (text, role)) in (0..).zip(&self.lines) {
            let y = top + PAD + HEIGHT + number * line_pitch(HEIGHT);
            shapes.push(Shape::Text(Lettering {
                text: text.clone(),
                at: Point::new(x, y),
                anchor: Anchor::Start,
                height: HEIGHT,
                upright: false,
                role: *role,
            }));
        }
        shapes
    }

    /// What is written in it.
    pub fn texts(&self) -> impl Iterator<Item = &str> {
        self.lines.iter().map(|(text, _)| text.as_str())
    }

    /// Where its picture stands.
    pub fn picture(&self, corner: Point) -> Option<Rect> {
        let Rect { left, top, .. } = self.strip(corner);
        let (left, top) = (left + PAD, top + PAD);
        self.picture.map(|(width, height)| Rect::new(left, top, left + width, top + height))
    }

    fn strip(&self, corner: Point) -> Rect {
        Rect::new(corner.x - WIDTH, corner.y - self.height(), corner.x, corner.y)
    }
}

/// The largest size within the room that keeps the sides of a picture in proportion.
fn fitted(width: u32, height: u32) -> (i32, i32) {
    let (width, height) = (f64::from(width.max(1)), f64::from(height.max(1)));
    let scale = (f64::from(ROOM.0) / width).min(f64::from(ROOM.1) / height);
    // Both are within the room.
    ((width * scale) as i32, (height * scale) as i32)
}
