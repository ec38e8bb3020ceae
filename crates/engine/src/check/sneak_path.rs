//! Ways for current that nobody meant.

use std::collections::BTreeMap;

use petgraph::unionfind::UnionFind;

use crate::check::interlock_broken::steps;
use crate::check::swept::{SweptState, is_of_this_job, uses};
use crate::check::{Context, works};
use crate::circuit::Origin;
use crate::circuit::reach::walk;
use crate::finding::{Basis, Finding, Harm, Help, Label, Severity};
use crate::kind::Role;
use crate::quantity::{Amps, Quantity, Unit};
use crate::solve::working::of_branch;
use crate::subject::Subject;
use crate::sweep::{glows, words};
use crate::working::Working;

declare_check! {
    /// Finds wires that carry current both ways between circuits, and loads that work through another load.
    ///
    /// # What it checks
    ///
    /// Every state that working the switches and donor circuits one at a time can lead to.
    /// A wire, contact or joint that is live at both ends and carries current one way in one state and the other way in
    /// another, above 1 mA and a hundredth of the most it carries, is a cross-bar: it joins two feeds.
    /// A load or relay that is fed between supply and earth in one state, and in another works, or glows, with its current
    /// coming through another load, does so on a way that nobody meant.
    /// What is always in series, and what hangs on the supply or the earth without a contact between, is left alone.
    ///
    /// # Why it matters
    ///
    /// Something lights, dimly or fully, or a relay holds, while its own switch is off; the fault shows only in one
    /// combination of many.
    ///
    /// # Example
    ///
    /// Two lamps on switches of their own, and a wire that joins them behind the switches.
    ///
    /// # What to do
    ///
    /// A diode in the cross-bar, a pole of its own for each circuit, or an earth of its own for each load. If both are
    /// meant to work together, nothing.
    name: "sneak-path",
    summary: "current takes a way that nobody meant",
    harm: Harm::Failure,
    explained_by: &["supply-shorted", "missing-earth-return", "unconnected-terminal", "switched-earth-donor", "unconnected-terminal", "unfused-run", "load-never-lit"],
    run: run,
}

/// Least current in amperes that counts, and the least share of the most that a branch carries.
const LEAST_A: f64 = 0.001;
const LEAST_SHARE: f64 = 0.01;

fn run(context: &Context<'_>, findings: &mut Vec<Finding>) {
    let states = context.survey.states();
    let loads = through_loads(context, states, findings);
    cross_bars(context, states, &loads, findings);
}

/// The most current each way through a branch, and the state in which it flows.
#[derive(Clone, Copy, Default)]
struct Flows {
    forth: Option<(f64, usize)>,
    back: Option<(f64, usize)>,
}

/// Looks for branches between live nets whose current changes direction; those that hang on `loads`, which have been
/// told of, follow from what was told.
fn cross_bars(context: &Context<'_>, states: &[SweptState], loads: &[usize], findings: &mut Vec<Finding>) {
    let circuit = context.circuit;
    let stiff = |net: usize| context.survey.solver().influence().region(net).is_none();
    let mut both: Vec<(usize, Flows)> = Vec::new();
    for (branch, at) in circuit.branches.iter().enumerate() {
        let is_path = at.role == Role::Path && at.from != at.to;
        if !is_path || stiff(at.from) && stiff(at.to) || !is_of_this_job(context, branch) {
            continue;
        }
        let mut flows = Flows::default();
        for (index, state) in states.iter().enumerate() {
            let amps = state.rest.steady.amps(branch);
            // Between two live ends: a motor that is reversed has each of its wires live and grounded in turn.
            if !state.live[at.from] || !state.live[at.to] {
                continue;
            }
            let way = if amps > 0.0 { &mut flows.forth } else { &mut flows.back };
            if amps.abs() >= LEAST_A && way.is_none_or(|(most, _)| amps.abs() > most * (1.0 + 1e-9)) {
                *way = Some((amps.abs(), index));
            }
        }
        if let Flows { forth: Some((forth, _)), back: Some((back, _)) } = flows
            && forth.min(back) >= LEAST_SHARE * forth.max(back)
        {
            both.push((branch, flows));
        }
    }
    // What hangs together is one cross-bar.
    let mut joined = UnionFind::<usize>::new(circuit.nets.len());
    for (branch, _) in &both {
        joined.union(circuit.branches[*branch].from, circuit.branches[*branch].to);
    }
    let mut groups: BTreeMap<usize, Vec<(usize, Flows)>> = BTreeMap::new();
    for one in both {
        groups.entry(joined.find(circuit.branches[one.0].from)).or_default().push(one);
    }
    for group in groups.into_values() {
        let ends = |branch: usize| [circuit.branches[branch].from, circuit.branches[branch].to];
        let follows = |(branch, _): &(usize, Flows)| {
            loads.iter().any(|load| ends(*load).iter().any(|net| ends(*branch).contains(net)))
        };
        if !group.iter().any(follows) {
            findings.extend(cross_bar(context, states, &group));
        }
    }
}

fn cross_bar(context: &Context<'_>, states: &[SweptState], group: &[(usize, Flows)]) -> Option<Finding> {
    let circuit = context.circuit;
    let network = &circuit.resolved.network;
    let is_wire = |(branch, _): &&(usize, Flows)| matches!(circuit.branches[*branch].origin, Origin::Wire(_));
    let (branch, flows) = *group.iter().find(is_wire).or(group.first())?;
    let ((forth, one), (back, other)) = (flows.forth?, flows.back?);
    let subject = circuit.subject(branch);
    let actions = |index: usize| states[index].actions(&context.survey);
    let amps = |value: f64| Amps::new(value).map_or_else(String::new, |amps| amps.to_string());
    let mut because = Vec::new();
    for index in [one, other] {
        because.extend(
            steps(context, &actions(index))
                .into_iter()
                .map(|step| Label { text: format!("{}, for one of the two ways", step.text), ..step }),
        );
    }
    let mut touches = group.iter().map(|(branch, _)| circuit.subject(*branch)).collect::<Vec<_>>();
    let ends = group.iter().map(|(branch, _)| &circuit.branches[*branch]).flat_map(|at| [at.from, at.to]);
    touches.extend(context.misplaced_at(&context.joined_with(&ends.collect::<Vec<_>>())));
    Some(Finding {
        check: CHECK.name,
        severity: Severity::Look,
        message: format!(
            "{} joins two feeds: it carries {} one way {}, and {} the other way {}",
            subject.title(network),
            amps(forth),
            words::after(network, &actions(one)),
            amps(back),
            words::after(network, &actions(other)),
        ),
        subject: subject.clone(),
        because,
        measured: Quantity::new(forth.min(back), Unit::Ampere),
        basis: Basis::Calculated,
        allowed: None,
        help: vec![Help::words(
            "put a diode into it, or give each circuit a pole of its own; if both are meant to work together, nothing is wrong",
        )],
        source: "computed: the current changes its direction with the switches".to_owned(),
        working: [("current one way", forth), ("current the other way", back)]
            .into_iter()
            .filter_map(|(what, amps)| {
                Working::of_network(what, amps, Unit::Ampere, "Kirchhoff's current law")
            })
            .collect(),
        touches: [subject].into_iter().chain(touches).collect(),
    })
}

/// Loads and relays that are fed directly in one state and through another load in another.
///
/// Gives all loads concerned.
fn through_loads(context: &Context<'_>, states: &[SweptState], findings: &mut Vec<Finding>) -> Vec<usize> {
    let circuit = context.circuit;
    let mut found: Vec<(usize, usize, &'static str)> = Vec::new();
    for (branch, at) in circuit.branches.iter().enumerate() {
        if !uses(at.role) || at.law.is_none() || !states.iter().any(|state| state.is_direct(circuit, branch))
        {
            continue;
        }
        let device = circuit.devices.iter().position(|device| device.branch == branch);
        let does = |state: &SweptState| match (at.role, device) {
            (Role::Coil { .. }, Some(device)) => state.rest.state.devices[device].then_some("holds"),
            (Role::Load(load), _) if works(circuit, &state.rest, branch, &load) => Some("works"),
            (Role::Load(_), _) if glows(circuit, &state.rest, branch) => Some("glows"),
            _ => None,
        };
        let sneaks = states.iter().enumerate().find_map(|(index, state)| {
            let does = does(state).filter(|_| !state.is_direct(circuit, branch))?;
            Some((index, does))
        });
        if let Some((index, does)) = sneaks
            && helpers(context, &states[index], branch)
                .iter()
                .chain([&branch])
                .any(|one| is_of_this_job(context, *one))
        {
            found.push((branch, index, does));
        }
    }
    // Loads that share their way are one finding: the first, with the others.
    let mut told: Vec<usize> = Vec::new();
    for (branch, index, does) in &found {
        if told.contains(branch) {
            continue;
        }
        let helpers = helpers(context, &states[*index], *branch);
        told.push(*branch);
        told.extend(&helpers);
        findings.push(through_load(context, &states[*index], *branch, does, &helpers));
    }
    told
}

/// The other loads in the way of a branch that is not fed directly: what carries current between nets that are neither
/// live nor grounded.
fn helpers(context: &Context<'_>, state: &SweptState, branch: usize) -> Vec<usize> {
    let circuit = context.circuit;
    let steady = &state.rest.steady;
    let between = |net: usize| !state.live[net] && !state.grounded[net];
    let carries = |index: usize| steady.conducting(index) && steady.amps(index).abs() >= LEAST_A;
    let ends = [circuit.branches[branch].from, circuit.branches[branch].to];
    let start: Vec<usize> = ends.into_iter().filter(|net| between(*net)).collect();
    let met = walk(circuit, &start, |index, near| between(near) && carries(index));
    let met: Vec<usize> = met.into_iter().map(|(net, _)| net).filter(|net| between(*net)).collect();
    let is_helper = |other: &usize| {
        let at = &circuit.branches[*other];
        *other != branch
            && uses(at.role)
            && carries(*other)
            && (met.contains(&at.from) || met.contains(&at.to))
    };
    (0..circuit.branches.len()).filter(is_helper).collect()
}

fn through_load(
    context: &Context<'_>,
    state: &SweptState,
    branch: usize,
    does: &str,
    helpers: &[usize],
) -> Finding {
    let circuit = context.circuit;
    let network = &circuit.resolved.network;
    let subject = circuit.subject(branch);
    let actions = state.actions(&context.survey);
    let mut subjects: Vec<Subject> = helpers.iter().map(|helper| circuit.subject(*helper)).collect();
    subjects.dedup();
    let through = match &subjects[..] {
        [] => "another load".to_owned(),
        [one] => one.title(network),
        [one, ..] => format!("{} and others", one.title(network)),
    };
    let mut because = steps(context, &actions);
    because.extend(
        subjects.iter().map(|other| Label { subject: other.clone(), text: "lies in its way".to_owned() }),
    );
    Finding {
        check: CHECK.name,
        severity: if does == "glows" { Severity::Look } else { Severity::Stop },
        message: format!(
            "{} {does} with its current coming through {through}, {}",
            subject.title(network),
            words::after(network, &actions)
        ),
        subject: subject.clone(),
        because,
        measured: Quantity::new(state.rest.steady.amps(branch).abs(), Unit::Ampere),
        basis: Basis::Calculated,
        allowed: None,
        help: vec![Help::words(
            "give each of them an earth, or a pole of the switch, of its own, or put a diode between"
                .to_owned(),
        )],
        source: "computed: in another state it is fed between supply and earth alone".to_owned(),
        working: of_branch(circuit, &state.rest, branch, &subject.title(network)),
        touches: [subject].into_iter().chain(subjects).collect(),
    }
}
