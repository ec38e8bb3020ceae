//! Wires that join the negative pole of a battery and the body beside the strap that is there for it.

use crate::arrange;
use crate::check::{Context, remedy};
use crate::circuit::reach::walk;
use crate::circuit::{Gate, NetIndex, Origin};
use crate::document::{Status, Use, Wire};
use crate::finding::{Basis, Finding, Harm, Help, Label, Severity};
use crate::kind::{Class, Law, Role};
use crate::quantity::{Amps, Ohms};
use crate::resolve::UsedWire;
use crate::solve::Rest;
use crate::solve::working::of_branch;

declare_check! {
    /// Finds wires that would carry more than they can if the strap of a battery or an alternator came loose.
    ///
    /// # What it checks
    ///
    /// Each strap of a battery or an alternator to the body, and each starter cable in its place, is opened in turn, and
    /// the lasting states of the situations looked at are solved again. A new wire that then carries more than it can is
    /// found; one that carries too much already is another check's.
    ///
    /// # Why it matters
    ///
    /// Straps corrode and are left off after repairs. Then all the current of the battery goes through whatever else
    /// joins its pole and the body, and a thin earth wire glows in its loom with no fuse to end it.
    ///
    /// # Example
    ///
    /// A second earth of a radio, 1 mm2, goes from the negative post of the battery to a stud on the body.
    ///
    /// # What to do
    ///
    /// Lead new earth wires to the body alone, or make the wire as thick as a strap.
    name: "stands-in-for-strap",
    summary: "a thin wire joins a battery's negative pole and the body beside the strap",
    harm: Harm::Fire,
    explained_by: &["supply-shorted", "undersized-conductor"],
    run: run,
}

const SOURCE: &str =
    "computed: current of every wire with the strap open; that straps come loose: common practice, no source";

/// Resistance of a strap that is off, in ohms.
const OFF_OHM: f64 = 1e9;

/// A wire with a strap off: the state in which it carries most.
struct Carried {
    branch: usize,
    strap: usize,
    amps: f64,
    stands: Amps,
    rest: Rest,
    when: String,
}

fn run(context: &Context<'_>, findings: &mut Vec<Finding>) {
    for strap in (0..context.circuit.branches.len()).filter(|branch| is_strap(context, *branch)) {
        if !is_bypassed(context, strap) {
            continue;
        }
        let mut carried = carried_without(context, strap);
        arrange::sort_by(&mut carried, |a, b| {
            (b.amps / b.stands.get()).total_cmp(&(a.amps / a.stands.get()))
        });
        findings.extend(finding(context, &carried));
    }
}

/// Whether a branch ties a pole of a battery or an alternator to the body, or is a starter cable that does.
fn is_strap(context: &Context<'_>, branch: usize) -> bool {
    let circuit = context.circuit;
    match circuit.branches[branch].origin {
        Origin::Part(part, _) => {
            let class = circuit.resolved.network.parts[part].kind.class;
            let branch = &circuit.branches[branch];
            matches!(class, Class::Battery | Class::Generator)
                && branch.role == Role::Path
                && branch.gate == Gate::Always
        }
        Origin::Wire(wire) => {
            circuit.resolved.network.wires[wire].used_for == Some(Use::StarterCable)
                && context.returned[circuit.branches[branch].from]
                && !context.supplied[circuit.branches[branch].from]
        }
    }
}

/// Whether something else joins the ends of a strap without using energy.
fn is_bypassed(context: &Context<'_>, strap: usize) -> bool {
    let circuit = context.circuit;
    let (from, to) = (circuit.branches[strap].from, circuit.branches[strap].to);
    let passes = |index: usize, _: NetIndex| index != strap && circuit.branches[index].role == Role::Path;
    walk(circuit, &[from], passes).iter().any(|(net, _)| *net == to)
}

/// The new wires that carry more than they can only with the strap off.
fn carried_without(context: &Context<'_>, strap: usize) -> Vec<Carried> {
    let off = Ohms::new(OFF_OHM).map(Law::Resistance);
    let solver = context.survey.solver().with_changed(|index, _| if index == strap { off } else { None });
    let without: Vec<(Rest, &str)> = context
        .survey
        .rests()
        .filter_map(|(surveyed, rest)| {
            let steady = solver.held(&rest.state)?;
            Some((Rest { steady, ..rest.clone() }, surveyed.when.as_str()))
        })
        .collect();
    let of_wire = |(branch, wire, used): (usize, &Wire, &UsedWire)| {
        let stands = used.ampacity()?.low;
        let amps = |rest: &Rest| rest.steady.amps(branch).abs();
        let (rest, when) = without.iter().max_by(|a, b| amps(&a.0).total_cmp(&amps(&b.0)))?;
        let before = context.survey.greatest_amps(branch, |_| true).map_or(0.0, |(amps, _, _)| amps);
        let is_new = wire.status == Status::New && wire.used_for != Some(Use::StarterCable);
        let carried =
            Carried { branch, strap, amps: amps(rest), stands, rest: rest.clone(), when: (*when).to_owned() };
        (is_new && carried.amps > stands.get() && before <= stands.get()).then_some(carried)
    };
    context.wires().filter_map(of_wire).collect()
}

fn finding(context: &Context<'_>, carried: &[Carried]) -> Option<Finding> {
    let [worst, others @ ..] = carried else { return None };
    let circuit = context.circuit;
    let network = &circuit.resolved.network;
    let subject = circuit.subject(worst.branch);
    let title = subject.title(network);
    let strap = match circuit.branches[worst.strap].origin {
        Origin::Wire(_) => circuit.subject(worst.strap).title(network),
        _ => format!("the strap of {}", circuit.subject(worst.strap).title(network)),
    };
    let amps = Amps::new(worst.amps)?;
    let message = format!(
        "{title} joins the negative pole and the body beside {strap}: with that off, it carries {amps} {}, and can carry {}",
        worst.when, worst.stands
    );
    let (wire, used) = context.wire_of(worst.branch)?;
    let mut working = of_branch(circuit, &worst.rest, worst.branch, &title);
    working.extend(used.ampacity_working(&title));
    Some(Finding {
        because: others
            .iter()
            .map(|other| Label { subject: circuit.subject(other.branch), text: "carries it too".to_owned() })
            .collect(),
        measured: Some(amps.into()),
        basis: Basis::Calculated,
        allowed: Some(worst.stands.into()),
        help: vec![
            Help::words("lead the earth to the body alone"),
            Help::words("make the wire as thick as a strap")
                .with_fix(remedy::carrying(network, &wire.id, used, worst.amps)),
        ],
        working,
        touches: carried.iter().map(|one| circuit.subject(one.branch)).collect(),
        ..Finding::of(CHECK.name, Severity::Look, subject, message, SOURCE)
    })
}
