//! Where symbols sit on the drawing. Nothing electrical reads this.

use crate::ids::{PartId, TerminalName};

/// Farthest a symbol may stand from the origin, in grid steps: ten metres on the sheet.
pub const FARTHEST: i32 = 4_000;

/// The pose of one symbol of a part.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Pose {
    /// The part.
    pub part: PartId,
    /// Which of its symbols (`main`, `coil`, `contact`).
    pub view: String,
    /// Grid steps from the left.
    pub x: i32,
    /// Grid steps from the top.
    pub y: i32,
    /// Quarter turns clockwise, 0 to 3.
    pub turn: u8,
    /// Mirrored left to right, before turning.
    pub mirrored: bool,
    /// Whether the user wants it kept in this place when the drawing is tidied.
    pub pinned: bool,
}

/// Where a symbol of a drawing stands, whoever put it there.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Standing {
    /// Its pose.
    pub pose: Pose,
    /// Its terminals in the order of its pins, which the drawing chooses for joints.
    pub terminals: Vec<TerminalName>,
}

/// The poses the user chose, in document order. A symbol without one is posed by the drawing.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct Placement {
    /// All poses; the same symbol may stand more than once.
    pub poses: Vec<Pose>,
}

impl Placement {
    /// The poses of one part.
    pub fn of<'a>(&'a self, part: &'a PartId) -> impl Iterator<Item = &'a Pose> {
        self.poses.iter().filter(move |pose| pose.part == *part)
    }
}
