//! What everything looks like, for whoever puts it on a screen or on paper: paints, line widths and dashes by role.
//!
//! The SVG writer and every other writer ask here, so that one drawing looks the same everywhere.
//! Widths are of the ISO 128 series: 0.18, 0.25, 0.35, 0.5, 0.7 and 1 mm.

use engine::document::{Color, Size, Status, Wire};
use engine::given::Given;

use crate::scene::{Element, Role, Shape, Weight};

/// With which inks a drawing is made.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum Ink {
    /// Wires carry the paint of their insulation.
    #[default]
    Colored,
    /// Black, white, and a grey dark enough to come out of an office printer as lines.
    Black,
}

/// Red, green and blue.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Paint(pub u8, pub u8, pub u8);

impl Paint {
    /// As SVG writes it: `#16202a`.
    pub fn hex(self) -> String {
        format!("#{:02x}{:02x}{:02x}", self.0, self.1, self.2)
    }
}

/// How a line is drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Stroke {
    /// Its paint.
    pub paint: Paint,
    /// Its width in hundredths of a millimetre.
    pub width: i32,
    /// Length of dash and gap in hundredths of a millimetre, for a dashed line.
    pub dash: Option<(i32, i32)>,
    /// Whether it ends where its points do; else it ends round, half its width further.
    pub butt: bool,
}

/// How one shape is drawn. Of lettering `fill` is the paint of its letters.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub struct Look {
    /// What is inside.
    pub fill: Option<Paint>,
    /// The line along it.
    pub stroke: Option<Stroke>,
}

/// The inks and paper of a drawing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Palette {
    /// Lines and lettering.
    pub ink: Paint,
    /// Lines of what was there before.
    pub faded: Paint,
    /// Lettering of what was there before.
    pub faded_text: Paint,
    /// The ground.
    pub paper: Paint,
}

const WHITE: Paint = Paint(0xff, 0xff, 0xff);

/// The palette of an ink.
pub fn palette(ink: Ink) -> Palette {
    match ink {
        Ink::Colored => Palette {
            ink: Paint(0x16, 0x20, 0x2a),
            faded: Paint(0x6b, 0x76, 0x80),
            faded_text: Paint(0x4c, 0x56, 0x5f),
            paper: Paint(0xff, 0xfe, 0xfb),
        },
        // What is lighter than half grey may vanish in an office printer, or come out as dots.
        Ink::Black => Palette {
            ink: Paint(0, 0, 0),
            faded: Paint(0x60, 0x60, 0x60),
            faded_text: Paint(0x30, 0x30, 0x30),
            paper: WHITE,
        },
    }
}

/// The weight of a wire's line, which tells its size: a power wire is twice as wide as a signal wire (ISO 128: wide to
/// narrow at least two to one). Where the size is not known it has the lightest; of a range the greater end counts.
pub fn weight(wire: &Wire) -> Weight {
    /// Greatest cross-section of each weight in square millimetres (common practice, no source).
    const UP_TO: [(f64, Weight); 3] = [(1.0, Weight::Light), (4.0, Weight::Medium), (16.0, Weight::Heavy)];
    let size: Size = match wire.size {
        Given::Known(size) | Given::Between(_, size) => size,
        Given::NotKnown => return Weight::Light,
    };
    let area = size.area().get();
    // A gauge is nobody's round number: 18 AWG is drawn as the 1 mm2 it is sold as (0.82 mm2), 12 AWG as 4 mm2 (3.3 mm2).
    UP_TO.iter().find(|(most, _)| area <= *most).map_or(Weight::Heaviest, |(_, weight)| *weight)
}

/// Width of the line of a wire in hundredths of a millimetre.
pub fn width_of_wire(weight: Weight) -> i32 {
    match weight {
        Weight::Light => 35,
        Weight::Medium => 50,
        Weight::Heavy => 70,
        Weight::Heaviest => 100,
    }
}

/// How a shape of this role is drawn.
pub fn look(role: Role, status: Status, ink: Ink) -> Look {
    let palette = palette(ink);
    let existing = status == Status::Existing;
    let own = if existing { palette.faded } else { palette.ink };
    let line = |paint: Paint, width: i32| Stroke { paint, width, dash: None, butt: false };
    let stroked = |stroke: Stroke| Look { fill: None, stroke: Some(stroke) };
    let dashed = |stroke: Stroke, dash: (i32, i32)| Stroke { dash: Some(dash), butt: true, ..stroke };
    let removed = |stroke: Stroke| match status {
        Status::Remove => dashed(stroke, (180, 120)),
        _ => stroke,
    };
    match role {
        Role::Outline => stroked(removed(line(own, if existing { 25 } else { 35 }))),
        Role::Solid => Look { fill: Some(own), stroke: Some(line(own, 18)) },
        Role::Link => stroked(dashed(line(own, 25), (90, 90))),
        Role::Cross => stroked(line(palette.ink, 50)),
        Role::Leader => stroked(line(palette.ink, 18)),
        Role::Wire(weight) => {
            let width = width_of_wire(weight);
            // One step of the series lighter, so that what is new stands out also without color.
            let lighter = |width: i32| match width {
                100 => 70,
                70 => 50,
                50 => 35,
                _ => 25,
            };
            stroked(removed(line(own, if existing { lighter(width) } else { width })))
        }
        Role::Frame => stroked(line(palette.ink, 70)),
        Role::Field => stroked(line(palette.ink, 18)),
        Role::Card => Look { fill: Some(WHITE), stroke: Some(line(palette.ink, 25)) },
        Role::MarkSolid => Look { fill: Some(palette.ink), stroke: Some(line(palette.ink, 25)) },
        Role::Reversed => Look { fill: Some(WHITE), stroke: None },
        Role::Designation | Role::Lettering | Role::Letter | Role::Caption => {
            Look { fill: Some(if existing { palette.faded_text } else { palette.ink }), stroke: None }
        }
    }
}

/// Whether lettering of this role is bold.
pub fn is_bold(role: Role) -> bool {
    matches!(role, Role::Designation | Role::Reversed)
}

/// Everything that is drawn of an element, in order: its shapes, and over the line of a wire the paint of its insulation.
pub fn looks(element: &Element, ink: Ink) -> Vec<(&Shape, Look)> {
    let mut all = Vec::new();
    for shape in &element.shapes {
        all.push((shape, look(role_of(shape), element.status, ink)));
        if let (Shape::Line(Role::Wire(weight), _), Some(color)) = (shape, element.color) {
            all.extend(cores(color, *weight, ink).into_iter().map(|core| (shape, core)));
        }
    }
    all
}

/// The lines along the inside of a wire: the paint of its insulation, and its stripe as dashes.
///
/// In black a stripe is white dashes on the solid line, whatever its colors; the letters tell those.
fn cores(color: Color, weight: Weight, ink: Ink) -> Vec<Look> {
    let width = match weight {
        Weight::Light => 20,
        Weight::Medium => 30,
        Weight::Heavy => 42,
        Weight::Heaviest => 64,
    };
    // Of a light wire the outline on both sides must still make a line where a printer has a dot for a third of a
    // millimetre; its stripe is as wide as that of any other.
    let base_width = |paint: Paint| if is_light(paint) { width * 11 / 20 } else { width };
    let stripe = |paint: Paint| Stroke { paint, width, dash: Some((200, 200)), butt: true };
    let strokes: Vec<Stroke> = match ink {
        Ink::Black => color.stripe.map(|_| stripe(WHITE)).into_iter().collect(),
        Ink::Colored => {
            let base = paint_of(color.base).map(|paint| {
                let width = base_width(paint);
                Stroke { paint, width, dash: None, butt: true }
            });
            base.into_iter().chain(color.stripe.and_then(paint_of).map(stripe)).collect()
        }
    };
    strokes.into_iter().map(|stroke| Look { fill: None, stroke: Some(stroke) }).collect()
}

/// Whether a paint is near that of paper, by the weights of its parts for the eye (ITU-R BT.601, from memory).
fn is_light(Paint(red, green, blue): Paint) -> bool {
    299 * u32::from(red) + 587 * u32::from(green) + 114 * u32::from(blue) > 210_000
}

/// The role of a shape.
pub fn role_of(shape: &Shape) -> Role {
    match shape {
        Shape::Line(role, _)
        | Shape::Area(role, _)
        | Shape::Circle(role, ..)
        | Shape::HalfCircle(role, ..) => *role,
        Shape::Text(lettering) => lettering.role,
    }
}

/// The paint of a wire's color letters; none for black, which the outline already is.
fn paint_of(letters: &str) -> Option<Paint> {
    Some(match letters {
        "BN" => Paint(0x8a, 0x5a, 0x33),
        "RD" => Paint(0xd2, 0x3b, 0x34),
        "OG" => Paint(0xee, 0x8a, 0x2a),
        "YE" => Paint(0xf4, 0xd3, 0x3f),
        "GN" => Paint(0x3f, 0x9d, 0x56),
        "BU" => Paint(0x3d, 0x7f, 0xd0),
        "VT" => Paint(0x8d, 0x62, 0xc4),
        "GY" => Paint(0xa9, 0xb0, 0xb6),
        "WH" => WHITE,
        "PK" => Paint(0xf2, 0xa3, 0xb8),
        "GD" => Paint(0xc9, 0xa6, 0x43),
        "TQ" => Paint(0x3f, 0xb9, 0xb4),
        "SR" => Paint(0xd5, 0xda, 0xde),
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use engine::document::wire::COLOR_LETTERS;
    use engine::ids::{TerminalRef, WireId};
    use engine::quantity::SquareMillimetres;

    use super::*;

    fn all_roles() -> Vec<Role> {
        let weights = [Weight::Light, Weight::Medium, Weight::Heavy, Weight::Heaviest];
        let mut roles = vec![
            Role::Outline,
            Role::Solid,
            Role::Link,
            Role::Cross,
            Role::Frame,
            Role::Field,
            Role::Caption,
            Role::Leader,
            Role::Designation,
            Role::Lettering,
            Role::Letter,
            Role::Card,
            Role::MarkSolid,
            Role::Reversed,
        ];
        roles.extend(weights.map(Role::Wire));
        roles
    }

    #[test]
    fn in_black_every_paint_is_white_or_darker_than_half_grey() {
        for role in all_roles() {
            for status in [Status::New, Status::Existing, Status::Remove] {
                let look = look(role, status, Ink::Black);
                for Paint(red, green, blue) in look.fill.into_iter().chain(look.stroke.map(|line| line.paint))
                {
                    assert!(red == green && green == blue && (red == 255 || red < 128), "{role:?}");
                }
            }
        }
    }

    #[test]
    fn a_stripe_is_seen_in_black_and_one_color_alone_is_a_solid_line() {
        let striped = Color { base: "RD", stripe: Some("WH") };
        let dashes = cores(striped, Weight::Light, Ink::Black);
        assert!(dashes.len() == 1 && dashes[0].stroke.is_some_and(|line| line.dash.is_some()));
        assert!(cores(Color { base: "RD", stripe: None }, Weight::Light, Ink::Black).is_empty());
    }

    #[test]
    fn a_light_wire_is_more_outline_than_paint() {
        for weight in [Weight::Light, Weight::Medium, Weight::Heavy] {
            let base = cores(Color { base: "WH", stripe: Some("RD") }, weight, Ink::Colored)[0];
            let painted = base.stroke.map_or(0, |line| line.width);
            assert!(painted > 0 && 3 * painted <= width_of_wire(weight), "{weight:?}: {painted}");
        }
    }

    #[test]
    fn colors_can_be_told_apart_and_only_black_has_no_paint() {
        for (index, (letters, _)) in COLOR_LETTERS.iter().enumerate() {
            assert_eq!(paint_of(letters).is_none(), *letters == "BK");
            let same = COLOR_LETTERS[..index].iter().any(|(other, _)| paint_of(other) == paint_of(letters));
            assert!(!same, "{letters}");
        }
    }

    #[test]
    fn thicker_wires_have_wider_lines_and_unknown_ones_the_lightest() {
        let end = |name: &str| TerminalRef::new(&engine::ids::PartId::new("p1").expect("an id"), name);
        let mut wire = Wire::new(WireId::new("w1").expect("an id"), end("1"), end("2"));
        assert_eq!(width_of_wire(weight(&wire)), 35);
        for (mm2, width) in [(0.5, 35), (1.0, 35), (1.5, 50), (4.0, 50), (6.0, 70), (16.0, 70), (25.0, 100)] {
            wire.size = Given::Known(Size::Metric(SquareMillimetres::new(mm2).expect("a size")));
            assert_eq!(width_of_wire(weight(&wire)), width, "{mm2} mm2");
        }
        wire.size = Given::Known(Size::Gauge(-1));
        assert_eq!(width_of_wire(weight(&wire)), 100, "2/0 AWG");
    }

    #[test]
    fn what_was_there_before_is_lighter_than_what_is_new() {
        for weight in [Weight::Light, Weight::Medium, Weight::Heavy, Weight::Heaviest] {
            let width = |status| look(Role::Wire(weight), status, Ink::Black).stroke.map(|line| line.width);
            assert!(width(Status::Existing) < width(Status::New), "{weight:?}");
            assert_eq!(width(Status::New), width(Status::Remove));
        }
    }
}
