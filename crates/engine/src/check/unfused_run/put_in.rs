//! A fuse put into the first wire of a run that has none.

use super::BARE_M;
use crate::check::Context;
use crate::circuit::reach::walk;
use crate::circuit::{Circuit, NetIndex};
use crate::document::settings::FUSE_CONTINUOUS;
use crate::document::{Edit, Labels, Part, Status, Wire};
use crate::given::Given;
use crate::ids::{TerminalName, TerminalRef};
use crate::kind::{Role, Value, by_name};
use crate::protection::ratings::smallest_from;
use crate::quantity::{Amps, Metres};

/// Length of the new lead from the source point to the fuse, in metres (common practice, no source).
const LEAD_M: f64 = 0.1;

/// The fuse that the first wire of a run should have, put in beside its source: the smallest that carries what flows
/// for good, if every wire behind it stands that. Nothing where no such fuse is made, or the wire was there before.
pub(super) fn fuse(context: &Context<'_>, source: usize, root: usize, members: &[usize]) -> Vec<Edit> {
    edits(context, source, root, members).unwrap_or_default()
}

fn edits(context: &Context<'_>, source: usize, root: usize, members: &[usize]) -> Option<Vec<Edit>> {
    let circuit = context.circuit;
    let network = &circuit.resolved.network;
    let (wire, used) = context.wire_of(root).filter(|(wire, _)| wire.status == Status::New)?;
    let rating = rating(context, members)?;
    let mut ids = network.fresh_ids();
    let mut labels = Labels::of(network);
    let kind = by_name("fuse")?;
    let mut fuse = Part::new(ids.part(), kind, labels.part(kind.letter));
    fuse.values.set("rating_a", Given::Known(Value::Number(rating.get())));
    let [inlet, outlet] =
        ["1", "2"].map(|name| TerminalRef { part: fuse.id.clone(), terminal: TerminalName::new(name) });
    let near_is_from = reaches(circuit, root, circuit.branches[root].from, source);
    let lead_m = LEAD_M.min(used.length.used.get().min(BARE_M));
    let lead = Wire {
        id: ids.wire(),
        label: labels.wire(),
        from: if near_is_from { wire.from.clone() } else { wire.to.clone() },
        to: inlet,
        length: Given::Known(Metres::new(lead_m)?),
        ..wire.clone()
    };
    let rest = match near_is_from {
        true => Wire { from: outlet, ..wire.clone() },
        false => Wire { to: outlet, ..wire.clone() },
    };
    let add = Edit::Add { parts: vec![fuse], wires: vec![lead], poses: Vec::new() };
    Some(vec![add, Edit::ChangeWire(rest)])
}

/// The smallest rating that is made and that what flows through these wires lets be carried for good, if the wires stand
/// it.
fn rating(context: &Context<'_>, members: &[usize]) -> Option<Amps> {
    let settings = &context.circuit.resolved.settings;
    let for_good = settings.number(&FUSE_CONTINUOUS) / 100.0;
    let flows = |branch: &usize| context.survey.greatest_amps(*branch, |_| true).map(|(amps, _, _)| amps);
    let most = members.iter().filter_map(flows).fold(0.0, f64::max);
    let rule = context.fuse_rule();
    let stands = members.iter().filter_map(|member| context.wire_of(*member)?.1.ampacity());
    let allowed = stands.map(|stands| rule.factor * stands.low.get()).fold(f64::INFINITY, f64::min);
    let rating = smallest_from(Amps::new(most / for_good)?)?;
    (rating.get() <= allowed).then_some(rating)
}

/// Whether one end of a wire hangs on the positive pole of a source without that wire.
fn reaches(circuit: &Circuit, wire: usize, end: NetIndex, source: usize) -> bool {
    let passes = |index: usize, _: NetIndex| index != wire && circuit.branches[index].role == Role::Path;
    walk(circuit, &[circuit.branches[source].from], passes).iter().any(|(net, _)| *net == end)
}
