//! How far a source reaches without a fuse.

use std::collections::{BTreeMap, BTreeSet};

use engine::circuit::{CHASSIS, NetIndex};
use engine::document::{Use, Wire};
use engine::given::Given;
use engine::kind::Law;

use super::{BARE_M, Plan, SHEATHED_M, far, wire_of};
use crate::judge::limits::{mm2, wire_stands};
use crate::judge::{Fault, Harm, id, is_path};

/// Metres from the battery to the fuse of a sheathed lead (ABYC E-11, edition not known to us).
const FROM_BATTERY_M: f64 = 1.83;

/// Where a walk from a source stands.
#[derive(Clone, Copy)]
struct Way {
    metres: f64,
    sheathed: bool,
    from_battery: bool,
    mm2: f64,
    starter: bool,
}

impl Plan<'_> {
    /// What each source reaches without a fuse.
    pub(super) fn reach(&self, faults: &mut BTreeSet<Fault>) {
        for &(post, source, limit) in &self.sources {
            let mut best: BTreeMap<NetIndex, f64> = BTreeMap::from([(post, 0.0)]);
            let start =
                Way { metres: 0.0, sheathed: true, from_battery: true, mm2: f64::INFINITY, starter: false };
            let mut waiting = vec![(post, start, None)];
            while let Some((net, way, by)) = waiting.pop() {
                for &branch in &self.circuit.at[net] {
                    let other = far(self.circuit, branch, net);
                    let blocked = matches!(self.circuit.branches[branch].law, Some(Law::Diode { .. }))
                        && self.circuit.branches[branch].from != net;
                    if Some(branch) == by
                        || !is_path(self.circuit, branch)
                        || !self.conducts[branch]
                        || blocked
                        || other == CHASSIS
                    {
                        continue;
                    }
                    let next = match wire_of(self.circuit, branch) {
                        Some(wire) => {
                            let next = self.along(way, wire, net);
                            self.judge_reached(branch, other, source, limit, &next, wire, faults);
                            next
                        }
                        None => way,
                    };
                    if best.get(&other).is_none_or(|metres| next.metres < *metres - 1e-9) {
                        best.insert(other, next.metres);
                        waiting.push((other, next, Some(branch)));
                    }
                }
            }
        }
    }

    /// A wire on: a thinner one begins anew where it leaves a thicker, a starter cable or a bar.
    fn along(&self, way: Way, wire: &Wire, net: NetIndex) -> Way {
        let metres = match wire.length {
            Given::Known(metres) => metres.get(),
            _ => 0.0,
        };
        let mm2 = mm2(wire).unwrap_or(f64::INFINITY);
        let sheathed = wire.sleeve.is_some();
        let network = &self.circuit.resolved.network;
        let is_bar = self.circuit.nets[net]
            .iter()
            .any(|terminal| network.part(&terminal.part).is_some_and(|part| part.kind.name == "bar"));
        let starter = wire.used_for == Some(Use::StarterCable);
        let first = way.mm2.is_infinite();
        if first || way.starter || mm2 < way.mm2 || is_bar {
            return Way { metres, sheathed, from_battery: first, mm2, starter };
        }
        Way {
            metres: way.metres + metres,
            sheathed: way.sheathed && sheathed,
            from_battery: way.from_battery,
            mm2,
            starter,
        }
    }

    #[expect(clippy::too_many_arguments, reason = "one place of one walk")]
    fn judge_reached(
        &self,
        branch: usize,
        other: NetIndex,
        source: usize,
        limit: Option<f64>,
        way: &Way,
        wire: &Wire,
        faults: &mut BTreeSet<Fault>,
    ) {
        let stands = wire_stands(self.circuit, wire);
        if way.starter || limit.zip(stands).is_some_and(|(limit, stands)| stands >= limit) {
            return;
        }
        let (uses, fuses) = self.beyond(branch, other, source);
        let harm = if uses || !fuses {
            Harm::Unprotected
        } else {
            let allowed = match (way.sheathed, way.from_battery) {
                (false, _) => BARE_M,
                (true, false) => SHEATHED_M,
                (true, true) => FROM_BATTERY_M,
            };
            if way.metres <= allowed + 1e-9 {
                return;
            }
            Harm::FuseFar
        };
        faults.insert(Fault { harm, of: id(self.circuit, branch) });
    }
}
