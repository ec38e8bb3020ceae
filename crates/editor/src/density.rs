//! How much lettering is worth showing at a scale, and how large marks may stand in for it.
//!
//! Lettering that is too small to be read only hides the circuit, and is the dearest of all to paint. So from step to
//! step less of it is shown, and what stays is drawn larger: first the designations alone, then none but that of marks.
//! Nothing is laid out anew for that.

use drawing::geometry::{Point, Rect, STEP};
use drawing::scene::{Anchor, Element, ElementId, Lettering, Role, Scene, Shape};
use drawing::text::HEIGHT;

/// Lettering whose capitals are lower than this is not shown, in pixels.
const LEAST_PX: f64 = 7.0;

/// By how much marks and designations are drawn larger at each step.
const FACTORS: [i32; 5] = [1, 2, 4, 8, 12];

/// By how much designations are drawn larger at the step `far`, the last one that shows any; the style says so too.
const NAMES_FAR: i32 = FACTORS[2];

/// The steps by the name of their style.
const CLASSES: [&str; 5] = ["near", "names", "far", "farther", "farthest"];

/// Of more marks than this the later ones keep their size: nobody reads so many at once.
const MOST_MARKS: usize = 400;

/// How much lettering is shown: everything at the first step, and less with each.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub struct Density(usize);

impl Density {
    /// The step at so many pixels a millimetre.
    pub fn at(scale: f64) -> Density {
        let capitals = f64::from(HEIGHT) / 100.0 * scale;
        let is_read = |factor: &i32| f64::from(*factor) * capitals >= LEAST_PX;
        Density(FACTORS.iter().position(is_read).unwrap_or(FACTORS.len() - 1))
    }

    /// The name of its style.
    pub fn class(self) -> &'static str {
        CLASSES[self.0]
    }

    /// By how much a mark with this room is drawn larger.
    pub fn factor(self, room: i32) -> i32 {
        FACTORS[self.0].min(room)
    }
}

/// How a mark may grow: away from its foot, where it points.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Room {
    /// What stays where it is.
    pub foot: Point,
    /// By how much it may be drawn larger at most.
    pub most: i32,
}

/// The room of each mark of `marks`, in their order, which is also the order in which they take it. At each step every
/// mark keeps off the others, and a reading keeps off symbols too; a finding is worth hiding one.
pub fn rooms(marks: &[Element], scene: &Scene) -> Vec<Room> {
    let mut rooms: Vec<Room> = marks.iter().map(|mark| Room { foot: foot_of(mark), most: 1 }).collect();
    let own: Vec<Rect> = marks.iter().map(body_of).collect();
    let symbols: Vec<Rect> = scene.elements().iter().filter_map(|element| element.body).collect();
    let n = marks.len().min(MOST_MARKS);
    for step in 1..FACTORS.len() {
        let (before, factor) = (FACTORS[step - 1], FACTORS[step]);
        let mut taken: Vec<Rect> = own.iter().zip(&rooms).map(|(own, room)| grown(own, *room)).collect();
        for i in 0..n {
            if rooms[i].most < before {
                continue;
            }
            let wanted = grown(&own[i], Room { most: factor, ..rooms[i] });
            let is_free = |others: &[Rect]| !others.iter().any(|other| other.overlaps(&wanted));
            let keeps_off = matches!(marks[i].id, ElementId::Finding(_)) || is_free(&symbols);
            if keeps_off && is_free(&taken[..i]) && is_free(&taken[i + 1..]) {
                rooms[i].most = factor;
                taken[i] = wanted;
            }
        }
    }
    rooms
}

/// Of the text beside each symbol, whether its designation may be drawn larger at the step `far`: off the marks with these
/// rooms, off the designations that were before it, and off all symbols but its own. Half a name would be another name.
pub fn names_with_room<'s>(
    scene: &'s Scene,
    marks: &[Element],
    rooms: &[Room],
) -> Vec<(&'s ElementId, bool)> {
    let elements = scene.elements();
    let bodies: Vec<(&ElementId, Rect)> =
        elements.iter().filter_map(|element| Some((&element.id, element.body?))).collect();
    let grown = |(mark, room): (&Element, &Room)| space_of(mark, NAMES_FAR.min(room.most));
    let mut taken: Vec<Rect> = marks.iter().zip(rooms).map(grown).collect();
    let mut names = Vec::new();
    for element in elements {
        let ElementId::PartText(part, view, n) = &element.id else { continue };
        let own = ElementId::Symbol(part.clone(), view, *n);
        let mut lines = element.shapes.iter().filter_map(name_far);
        let Some(wanted) = lines.next() else { continue };
        // The lines of a long one would grow into each other.
        let is_free = lines.next().is_none()
            && !taken.iter().any(|other| other.overlaps(&wanted))
            && !bodies.iter().any(|(id, body)| body.overlaps(&wanted) && **id != own);
        if is_free {
            // Names side by side would read as one.
            taken.push(wanted.grown(STEP));
        }
        names.push((&element.id, is_free));
    }
    names
}

/// The space of a designation at the step `far`: it grows away from where it is held.
fn name_far(shape: &Shape) -> Option<Rect> {
    let bounds = shape.bounds();
    match shape {
        Shape::Text(Lettering { role: Role::Designation, anchor, .. }) => {
            let x = match anchor {
                Anchor::Start => bounds.left,
                Anchor::Middle => bounds.center().x,
                Anchor::End => bounds.right,
            };
            Some(grown(&bounds, Room { foot: Point::new(x, bounds.center().y), most: NAMES_FAR }))
        }
        _ => None,
    }
}

/// The space that a mark takes when it is drawn larger by `factor`, without the line that leads to it.
pub fn space_of(mark: &Element, factor: i32) -> Rect {
    grown(&body_of(mark), Room { foot: foot_of(mark), most: factor })
}

fn grown(rect: &Rect, Room { foot, most }: Room) -> Rect {
    let (x, y) = (|x: i32| foot.x + most * (x - foot.x), |y: i32| foot.y + most * (y - foot.y));
    Rect::new(x(rect.left), y(rect.top), x(rect.right), y(rect.bottom))
}

/// Where the line to a mark begins.
fn foot_of(mark: &Element) -> Point {
    match mark.shapes.first() {
        Some(Shape::Line(_, points)) => points.first().copied().unwrap_or_default(),
        _ => body_of(mark).center(),
    }
}

fn body_of(mark: &Element) -> Rect {
    let areas = mark.shapes.iter().filter(|shape| matches!(shape, Shape::Area(..)));
    areas.map(Shape::bounds).reduce(Rect::joined).unwrap_or(Rect::new(0, 0, 0, 0))
}

#[cfg(test)]
mod tests {
    use drawing::scene::{Layer, Role};
    use engine::document::Status;
    use engine::ids::PartId;

    use super::*;

    #[test]
    fn what_is_shown_is_never_lower_than_can_be_read_and_grows_no_more_than_needed() {
        for hundredths in 25..4000 {
            let scale = f64::from(hundredths) / 100.0;
            let density = Density::at(scale);
            let factor = density.factor(i32::MAX);
            let height = 2.5 * scale * f64::from(factor);
            assert!(height >= LEAST_PX, "{scale}");
            assert!(factor == 1 || height < 2.0 * LEAST_PX + 1e-9, "{scale}");
        }
        assert_eq!(Density::at(0.01).class(), "farthest");
    }

    /// A symbol a millimetre wide with its name beside it, so many millimetres from the left.
    fn named(name: &str, at: i32) -> [Element; 2] {
        let part = PartId::new(&name.to_lowercase()).unwrap();
        let mut symbol =
            Element::new(ElementId::Symbol(part.clone(), "main", 0), Layer::Symbols, Status::New);
        symbol.body = Some(Rect::new(at * 100, 0, at * 100 + 100, 1000));
        let mut beside = Element::new(ElementId::PartText(part, "main", 0), Layer::Text, Status::New);
        beside.shapes.push(Shape::Text(Lettering {
            text: name.to_owned(),
            at: Point::new(at * 100 + 150, 500),
            anchor: Anchor::Start,
            height: HEIGHT,
            upright: false,
            role: Role::Designation,
        }));
        [symbol, beside]
    }

    #[test]
    fn names_are_shown_from_afar_as_long_as_each_can_be_told_from_the_others() {
        let shown = |elements: Vec<Element>| -> Vec<bool> {
            names_with_room(&Scene::new(elements), &[], &[])
                .into_iter()
                .map(|(_, has_room)| has_room)
                .collect()
        };
        let [one, two] = [named("K1", 0), named("K2", 40)];
        assert_eq!(shown([one.clone(), two].concat()), [true, true]);
        // Four times as large the first reaches beyond 12 mm, where the second symbol begins.
        let near = named("K2", 12);
        assert_eq!(
            shown([one.clone(), near.clone()].concat()),
            [false, true],
            "{:?}",
            name_far(&one[1].shapes[0])
        );
        let [_, beside] = near;
        assert_eq!(shown(vec![one[0].clone(), one[1].clone(), beside]), [true, false]);
        // A mark may grow over a name.
        let scene = Scene::new(one.to_vec());
        let marks = [mark(ElementId::Finding(1), -2000)];
        let has_room =
            |most: i32| names_with_room(&scene, &marks, &[Room { foot: Point::new(-3000, 0), most }])[0].1;
        assert_eq!([has_room(1), has_room(4)], [true, false]);
        let mut long = one;
        let second = long[1].shapes[0].clone();
        long[1].shapes.push(second);
        assert_eq!(shown(long.to_vec()), [false], "two lines");
    }

    fn mark(id: ElementId, at: i32) -> Element {
        let mut mark = Element::new(id, Layer::Marks, Status::New);
        mark.shapes.push(Shape::Line(Role::Leader, vec![Point::new(at, 0), Point::new(at, 100)]));
        let corners = [(at, 100), (at + 1500, 100), (at + 1500, 550), (at, 550)];
        mark.shapes.push(Shape::Area(Role::Card, corners.map(|(x, y)| Point::new(x, y)).to_vec()));
        mark
    }

    fn most(marks: &[Element], scene: &Scene) -> Vec<i32> {
        rooms(marks, scene).iter().map(|room| room.most).collect()
    }

    #[test]
    fn marks_grow_until_they_would_meet() {
        let reading = |name: &str, at| mark(ElementId::Reading(name.to_owned()), at);
        let empty = Scene::default();
        assert_eq!(most(&[reading("w1", 0)], &empty), [12]);
        // The first takes the room between the two; the second may still grow away from it.
        assert_eq!(most(&[reading("w1", 0), reading("w2", 3500)], &empty), [2, 12]);
        let close = [reading("w1", 0), reading("w2", 1600)];
        assert_eq!(most(&close, &empty), [1, 12]);
        let all = rooms(&close, &empty);
        for factor in FACTORS {
            let [one, other] = [0, 1].map(|i| space_of(&close[i], factor.min(all[i].most)));
            assert!(!one.overlaps(&other), "{factor}");
        }
    }

    #[test]
    fn a_reading_keeps_off_symbols_and_a_finding_does_not() {
        let part = PartId::new("p1").unwrap();
        let mut symbol = Element::new(ElementId::Symbol(part, "main", 0), Layer::Symbols, Status::New);
        symbol.body = Some(Rect::new(2000, 0, 3000, 1000));
        let scene = Scene::new(vec![symbol]);
        assert_eq!(most(&[mark(ElementId::Reading("w1".to_owned()), 0)], &scene), [1]);
        assert_eq!(most(&[mark(ElementId::Finding(1), 0)], &scene), [12]);
    }
}
