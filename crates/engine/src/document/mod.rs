//! The job as the user authored it: a plain value, nothing derived.
//!
//! A document is a handful of shared parts, split by what depends on them, so that copying it is
//! cheap and a change in one part leaves the others pointer-equal: moving a symbol changes
//! [`Placement`] only, and nothing electrical reads that.

use std::collections::BTreeMap;
use std::sync::Arc;

use crate::ids::PartId;

pub mod accepted;
pub mod edit;
pub mod interlock;
mod labels;
mod limits;
pub mod network;
pub mod placement;
pub mod plan;
pub mod record;
pub mod sentence;
pub mod settings;
pub mod subject;
pub mod validate;
pub mod wire;

pub use accepted::{Accepted, Severity};
pub use edit::{Edit, EditError};
pub use interlock::{InState, Interlock, Rule};
pub use labels::Labels;
pub use network::{Network, Part, Status};
pub use placement::{Placement, Pose, Standing};
pub use plan::{Outline, Plan, Route, RouteKind, Shape, VehiclePlace};
pub use record::{Complaint, Found, Observations, Probe, Purpose, Reading, Record, Seen};
pub use settings::{Setting, Settings};
pub use wire::{Color, Insulation, Joint, Size, Strands, Surroundings, Use, Wire};

/// One job.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Document {
    /// Title data.
    pub card: Arc<Card>,
    /// What holds for the whole job.
    pub settings: Arc<Settings>,
    /// Parts and wires.
    pub network: Arc<Network>,
    /// Where symbols sit on the drawing.
    pub placement: Arc<Placement>,
    /// Where parts sit on the vehicle, and the routes between.
    pub plan: Arc<Plan>,
    /// Named situations, besides the one at rest.
    pub situations: Arc<Vec<Situation>>,
    /// Rules that must hold in every situation.
    pub interlocks: Arc<Vec<Interlock>>,
    /// Findings that somebody answers for.
    pub accepted: Arc<Vec<Accepted>>,
    /// What was measured and seen on the vehicle.
    pub records: Arc<Vec<Record>>,
}

/// Title data of a job; all of it free text.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct Card {
    /// What the job is about.
    pub title: String,
    /// For whom.
    pub customer: String,
    /// On which vehicle.
    pub vehicle: String,
    /// Whose document it is, in the title block: the workshop.
    pub owner: String,
    /// Who drew it.
    pub drawn_by: String,
    /// Who approved it.
    pub approved_by: String,
    /// When, as the user wrote it.
    pub date: String,
    /// Job number.
    pub number: String,
    /// Which issue of the document this is.
    pub revision: String,
}

/// The positions of parts at one time. Parts left out are at rest.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct Situation {
    /// Its name; the situation at rest is called [`AT_REST`].
    pub name: String,
    /// Position by part.
    pub set: BTreeMap<PartId, String>,
}

/// The name of the situation in which every part is at rest.
pub const AT_REST: &str = "at rest";

impl Situation {
    /// Every part at rest.
    pub fn at_rest() -> Situation {
        Situation { name: AT_REST.to_owned(), set: BTreeMap::new() }
    }
}
