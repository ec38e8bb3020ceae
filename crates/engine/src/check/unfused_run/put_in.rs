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
use crate::protection::ratings::{family_to_name, smallest_from};
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
    if let Some(family) = family_to_name(rating) {
        fuse.values.set("family", Given::Known(Value::Word(family)));
    }
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::circuit::build;
    use crate::document::Settings;
    use crate::{check, notation};

    /// The rating and the family of the fuse that is put in ahead of a load of so many watts at 12 V.
    fn put_in_for(watts: f64) -> (Given<Value>, Given<Value>) {
        let text = format!(
            "battery G1\nresistor R1 watts={watts} at_v=12\nearth X1\n\
             wire w1 G1.+ R1.1 mm2=25 m=1\nwire w2 R1.2 X1.1 mm2=25 m=0.5"
        );
        let circuit = build(&notation::network(&text).unwrap(), &Settings::default());
        let found = check::run_all(&circuit, &[], &[]);
        let unfused = found.iter().find(|finding| finding.check == "unfused-run").unwrap();
        let edits = unfused.help.iter().flat_map(|help| &help.fix);
        let mut fuses = edits.filter_map(|edit| match edit {
            Edit::Add { parts, .. } => parts.first(),
            _ => None,
        });
        let values = &fuses.next().unwrap().values;
        (values.get("rating_a"), values.get("family"))
    }

    /// 12.6 V over 0.25 ohm and 13 milliohm of battery, strap, wires and joint are 47.9 A, 80 % of 59.9 A.
    #[test]
    fn a_fuse_for_more_than_the_usual_blade_is_named_as_a_type_that_is_made() {
        let number = |value| Given::Known(Value::Number(value));
        assert_eq!(put_in_for(576.0), (number(60.0), Given::Known(Value::Word("blade-E"))));
        assert_eq!(put_in_for(120.0), (number(15.0), Given::NotKnown));
    }
}
