//! Parts with the wires between them, carried from one place to another or to another job.

use engine::document::{Document, Network, Part, Pose, Wire};
use engine::given::Given;
use engine::ids::{PartId, PlaceId, TerminalRef};
use engine::kind::Value;

use engine::document::Labels;

/// A copy of some parts, the wires between them, and where they stood to one another.
///
/// It is kept outside of any session, so that it can be pasted into another job.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Clip {
    pub(crate) parts: Vec<Part>,
    pub(crate) wires: Vec<Wire>,
    pub(crate) poses: Vec<Pose>,
}

impl Clip {
    /// A copy of `parts` with every wire that has both ends on them; `standing` are the poses of
    /// the whole drawing. `None` when there is nothing to copy.
    pub(crate) fn of(network: &Network, parts: &[PartId], standing: &[Pose]) -> Option<Clip> {
        let clip = Clip {
            parts: network.parts.iter().filter(|part| parts.contains(&part.id)).cloned().collect(),
            wires: (network.wires.iter())
                .filter(|wire| parts.contains(&wire.from.part) && parts.contains(&wire.to.part))
                .cloned()
                .collect(),
            poses: standing.iter().filter(|pose| parts.contains(&pose.part)).cloned().collect(),
        };
        (!clip.parts.is_empty()).then_some(clip)
    }

    /// The same with ids and labels that `document` does not have yet, and without places that it does not have.
    ///
    /// A value that names a part outside of the clip is left out: in another job the id may be
    /// that of anything, and in the same job the seat is taken.
    pub(crate) fn renewed(&self, document: &Document) -> Clip {
        let network = &document.network;
        // Another job may have no such place.
        let is_place = |id: &PlaceId| document.plan.place(id).is_some();
        let mut ids = network.fresh_ids();
        let mut labels = Labels::of(network);
        let pairs: Vec<(PartId, PartId)> =
            self.parts.iter().map(|part| (part.id.clone(), ids.part())).collect();
        let new_id = |old: &PartId| pairs.iter().find(|(from, _)| from == old).map(|(_, to)| to.clone());
        let parts = self.parts.iter().zip(&pairs).map(|(part, (_, id))| {
            let mut part = Part {
                id: id.clone(),
                label: labels.part_like(&part.label),
                place: part.place.clone().filter(is_place),
                ..part.clone()
            };
            let named: Vec<(&'static str, Given<Value>)> = (part.values.iter())
                .filter_map(|(name, given)| match given {
                    Given::Known(Value::Part(id)) => Some((name, new_id(id).map(Value::Part))),
                    Given::Known(Value::Seat(id, way)) => {
                        Some((name, new_id(id).map(|id| Value::Seat(id, *way))))
                    }
                    _ => None,
                })
                .map(|(name, value)| (name, value.map_or(Given::NotKnown, Given::Known)))
                .collect();
            for (name, given) in named {
                part.values.set(name, given);
            }
            part
        });
        let parts = parts.collect();
        let end = |end: &TerminalRef| TerminalRef {
            part: new_id(&end.part).unwrap_or_else(|| end.part.clone()),
            terminal: end.terminal.clone(),
        };
        let wires = self.wires.iter().map(|wire| Wire {
            id: ids.wire(),
            label: labels.wire_like(&wire.label),
            from: end(&wire.from),
            to: end(&wire.to),
            via: wire.via.iter().filter(|place| is_place(place)).cloned().collect(),
            ..wire.clone()
        });
        let wires = wires.collect();
        let pose = |pose: &Pose| Some(Pose { part: new_id(&pose.part)?, ..pose.clone() });
        Clip { parts, wires, poses: self.poses.iter().filter_map(pose).collect() }
    }
}
