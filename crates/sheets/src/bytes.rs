//! A set as bytes, for the way from where it is made to where it is written. Of one build; never kept.

use drawing::geometry::{Point, Rect};
use drawing::scene::{Anchor, Lettering, Role, Shape};
use drawing::style::{Ink, Look, Paint, Stroke};

use engine::file::workshop::Picture;

use crate::set::{Mark, Set, Sheet, Stamp};

impl Set {
    /// The set as bytes.
    pub fn to_bytes(&self) -> Vec<u8> {
        let mut out = Out(Vec::new());
        out.text(&self.title);
        out.text(&self.author);
        out.flag(self.ink == Ink::Black);
        out.count(self.lost.len());
        self.lost.iter().for_each(|text| out.text(text));
        out.count(self.sheets.len());
        for sheet in &self.sheets {
            out.text(&sheet.name);
            out.number(sheet.width);
            out.number(sheet.height);
            out.count(sheet.marks.len());
            for mark in &sheet.marks {
                out.shape(&mark.shape);
                out.look(mark.look);
            }
        }
        if let Some(stamp) = &self.stamp {
            out.text(stamp.picture.text());
            out.count(stamp.at.len());
            for (sheet, Rect { left, top, right, bottom }) in &stamp.at {
                out.count(*sheet);
                [left, top, right, bottom].into_iter().for_each(|side| out.number(*side));
            }
        }
        out.0
    }

    /// The set that was made to these bytes; `None` when they are not such bytes.
    pub fn from_bytes(bytes: &[u8]) -> Option<Set> {
        let mut from = From(bytes);
        let (title, author) = (from.text()?, from.text()?);
        let ink = if from.flag()? { Ink::Black } else { Ink::Colored };
        let lost = from.all(From::text)?;
        let sheets = from.all(|from| {
            let (name, width, height) = (from.text()?, from.number()?, from.number()?);
            let mark = |from: &mut From<'_>| Some(Mark { shape: from.shape()?, look: from.look()? });
            Some(Sheet { name, width, height, marks: from.all(mark)? })
        })?;
        let stamp = if from.0.is_empty() { None } else { Some(from.stamp()?) };
        from.0.is_empty().then_some(Set { title, author, ink, sheets, lost, stamp })
    }
}

struct Out(Vec<u8>);

impl Out {
    fn byte(&mut self, byte: u8) {
        self.0.push(byte);
    }

    fn flag(&mut self, flag: bool) {
        self.byte(u8::from(flag));
    }

    fn number(&mut self, number: i32) {
        self.0.extend(number.to_le_bytes());
    }

    fn count(&mut self, count: usize) {
        self.number(i32::try_from(count).unwrap_or(i32::MAX));
    }

    fn text(&mut self, text: &str) {
        self.count(text.len());
        self.0.extend(text.as_bytes());
    }

    fn point(&mut self, point: Point) {
        self.number(point.x);
        self.number(point.y);
    }

    fn shape(&mut self, shape: &Shape) {
        match shape {
            Shape::Line(_, points) | Shape::Area(_, points) => {
                self.byte(if matches!(shape, Shape::Line(..)) { 0 } else { 1 });
                self.count(points.len());
                points.iter().for_each(|point| self.point(*point));
            }
            Shape::Circle(_, center, radius) => {
                self.byte(2);
                self.point(*center);
                self.number(*radius);
            }
            Shape::HalfCircle(_, from, to) => {
                self.byte(3);
                self.point(*from);
                self.point(*to);
            }
            Shape::Text(lettering) => {
                self.byte(4);
                self.text(&lettering.text);
                self.point(lettering.at);
                self.byte(lettering.anchor as u8);
                self.number(lettering.height);
                self.flag(lettering.upright);
                self.byte(match lettering.role {
                    Role::Designation => 1,
                    Role::Reversed => 2,
                    _ => 0,
                });
            }
        }
    }

    fn look(&mut self, look: Look) {
        self.flag(look.fill.is_some());
        look.fill.into_iter().for_each(|paint| self.paint(paint));
        self.flag(look.stroke.is_some());
        if let Some(stroke) = look.stroke {
            self.paint(stroke.paint);
            self.number(stroke.width);
            let (dash, gap) = stroke.dash.unwrap_or((0, 0));
            self.number(dash);
            self.number(gap);
            self.flag(stroke.butt);
        }
    }

    fn paint(&mut self, Paint(red, green, blue): Paint) {
        self.0.extend([red, green, blue]);
    }
}

struct From<'a>(&'a [u8]);

impl From<'_> {
    fn take(&mut self, n: usize) -> Option<&[u8]> {
        let (taken, rest) = self.0.split_at_checked(n)?;
        self.0 = rest;
        Some(taken)
    }

    fn byte(&mut self) -> Option<u8> {
        self.take(1).map(|taken| taken[0])
    }

    fn flag(&mut self) -> Option<bool> {
        self.byte().map(|byte| byte != 0)
    }

    fn number(&mut self) -> Option<i32> {
        self.take(4).and_then(|taken| taken.try_into().ok()).map(i32::from_le_bytes)
    }

    /// As many as are said; more than there are bytes left cannot be.
    fn all<T>(&mut self, one: impl Fn(&mut Self) -> Option<T>) -> Option<Vec<T>> {
        let count = usize::try_from(self.number()?).ok().filter(|count| *count <= self.0.len())?;
        (0..count).map(|_| one(self)).collect()
    }

    fn stamp(&mut self) -> Option<Stamp> {
        let picture = Picture::of(&self.text()?).ok()?;
        let at = self.all(|from| {
            let sheet = usize::try_from(from.number()?).ok()?;
            Some((sheet, Rect::new(from.number()?, from.number()?, from.number()?, from.number()?)))
        })?;
        Some(Stamp { picture, at })
    }

    fn text(&mut self) -> Option<String> {
        let count = usize::try_from(self.number()?).ok()?;
        self.take(count).and_then(|taken| String::from_utf8(taken.to_vec()).ok())
    }

    fn point(&mut self) -> Option<Point> {
        Some(Point::new(self.number()?, self.number()?))
    }

    /// A shape; its role is forgotten but for what decides how wide lettering is, because its look is told.
    fn shape(&mut self) -> Option<Shape> {
        Some(match self.byte()? {
            0 => Shape::Line(Role::Outline, self.all(From::point)?),
            1 => Shape::Area(Role::Outline, self.all(From::point)?),
            2 => Shape::Circle(Role::Outline, self.point()?, self.number()?),
            3 => Shape::HalfCircle(Role::Outline, self.point()?, self.point()?),
            4 => Shape::Text(Lettering {
                text: self.text()?,
                at: self.point()?,
                anchor: match self.byte()? {
                    0 => Anchor::Start,
                    1 => Anchor::Middle,
                    _ => Anchor::End,
                },
                height: self.number()?,
                upright: self.flag()?,
                role: match self.byte()? {
                    1 => Role::Designation,
                    2 => Role::Reversed,
                    _ => Role::Lettering,
                },
            }),
            _ => return None,
        })
    }

    fn look(&mut self) -> Option<Look> {
        let fill = if self.flag()? { Some(self.paint()?) } else { None };
        let stroke = if self.flag()? {
            let (paint, width) = (self.paint()?, self.number()?);
            let dash = Some((self.number()?, self.number()?)).filter(|dash| *dash != (0, 0));
            Some(Stroke { paint, width, dash, butt: self.flag()? })
        } else {
            None
        };
        Some(Look { fill, stroke })
    }

    fn paint(&mut self) -> Option<Paint> {
        Some(Paint(self.byte()?, self.byte()?, self.byte()?))
    }
}
