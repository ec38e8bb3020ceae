//! Wires that their fuses do not protect.

use std::collections::BTreeMap;

use crate::arrange;

use crate::check::{Context, remedy};
use crate::circuit::NetIndex;
use crate::document::{Edit, Status};
use crate::finding::{Basis, Finding, Harm, Help, Label, Severity};
use crate::kind::Role;
use crate::protection::FuseRule;
use crate::protection::ratings::{in_words, largest_up_to};
use crate::protection::zones::{Flow, Zones};
use crate::quantity::{Amps, Quantity, Unit};
use crate::subject::Subject;
use crate::working::Working;

use returns::Returns;

mod returns;

declare_check! {
    /// Finds wires that are thinner than the fuse ahead of them protects.
    ///
    /// # What it checks
    ///
    /// The greatest current that can flow through a wire lastingly without any fuse opening: the greatest flow from the
    /// sources to it with the fuse ratings as capacities, so that fuses in parallel add and fuses in series limit.
    /// It must not exceed 1.074 times the current the wire can carry (1.45 / 1.35: what protection may let pass over what
    /// a blade fuse opens at).
    /// A lead that ends at fuses of its own is protected by those, and held to the sum of their ratings; how far away they may be is judged as an unfused run.
    /// A wire on the earth side must be able to carry the rating of the largest fuse among the loads it serves, less what
    /// other ways back can carry, because a load may fail to a short circuit.
    /// Of a rating given as a range the highest counts; where only that one is too large, it is no more than a Look.
    /// Feeds and returns that the same fuse is too large for are one finding, about the thinnest of them.
    ///
    /// # Why it matters
    ///
    /// A fault, or simply too much load, then heats the wire without ever blowing the fuse.
    ///
    /// # Example
    ///
    /// A 30 A fuse ahead of a branch of 0.5 mm2.
    ///
    /// # What to do
    ///
    /// Fit the largest fuse the thinnest wire behind it allows, or give the thin branch a fuse of its own.
    name: "fuse-larger-than-wire",
    summary: "a fuse lets more current pass than a wire behind it can carry",
    harm: Harm::Fire,
    explained_by: &["insulation-too-cool", "undersized-conductor", "unconnected-terminal"],
    run: run,
}

/// A wire and the current that can pass it lastingly.
struct Weak {
    rule: FuseRule,
    branch: usize,
    passes: f64,
    stands: Amps,
    doubtful: bool,
    /// Whether only the highest ratings let it pass that fuses may have.
    at_most: bool,
    earth_side: bool,
    /// The fuses that let the current pass, by branch.
    fuses: Vec<usize>,
}

fn run(context: &Context<'_>, findings: &mut Vec<Finding>) {
    let zones = context.zones();
    let rule = context.fuse_rule();
    let returns = Returns::new(context, fuses_of_loads(context, zones));
    // One fuse that is too large is one fault, on the way out and on the way back.
    let mut by_fuse: BTreeMap<Vec<usize>, Vec<Weak>> = BTreeMap::new();
    for (branch, wire, used) in context.wires() {
        let Some(stands) = used.ampacity() else { continue };
        let earth_side = !context.supplied[context.circuit.branches[branch].from];
        let limit = factor(rule, earth_side) * stands.low.get();
        // Most wires stand whatever may come; only for the others is it worth finding out what does.
        let may_be_weak = if earth_side {
            returns.asked_of(branch).iter().any(|(_, (amps, _))| *amps > limit)
        } else {
            let zone = zones.of(context.circuit.branches[branch].from);
            zones.inflow(zone).is_none_or(|(amps, _)| amps > limit)
        };
        // An existing wire is judged only where new work hangs on it.
        if !may_be_weak || wire.status == Status::Existing && !context.touches_new(branch) {
            continue;
        }
        let found = if earth_side { returns.flow(branch, limit) } else { zones.flow_through(branch) };
        let Some((passes, fuses)) = found else { continue };
        if passes > limit {
            let unsaid = wire.status == Status::Existing && !used.is_fully_said();
            let at_most = passes - in_doubt(context, &fuses) <= limit;
            let guessed = fuses.iter().any(|fuse| context.is_guessed(*fuse));
            let is_thick_at_best = passes <= factor(rule, earth_side) * stands.high.get();
            let doubtful = is_thick_at_best || unsaid || at_most || guessed;
            let weak = Weak {
                rule,
                branch,
                passes,
                stands: stands.low,
                doubtful,
                at_most,
                earth_side,
                fuses: fuses.clone(),
            };
            by_fuse.entry(fuses).or_default().push(weak);
        }
    }
    for weak in by_fuse.values_mut() {
        arrange::sort_by(weak, |a, b| {
            // What is certain speaks before what is doubtful, and a feed before its return of the same size.
            let thinner = a.stands.get().total_cmp(&b.stands.get());
            a.doubtful
                .cmp(&b.doubtful)
                .then(thinner)
                .then(a.earth_side.cmp(&b.earth_side))
                .then(a.branch.cmp(&b.branch))
        });
    }
    for weak in at_their_cause(context, by_fuse) {
        findings.push(finding(context, &weak));
    }
}

/// What is too thin for several fuses together goes to those among them that are too large by themselves, where it would
/// stand the others.
fn at_their_cause(context: &Context<'_>, mut by_fuse: BTreeMap<Vec<usize>, Vec<Weak>>) -> Vec<Vec<Weak>> {
    let groups: Vec<Vec<usize>> = by_fuse.keys().cloned().collect();
    for group in &groups {
        let stands_the_others = |cause: &[usize]| {
            let theirs: f64 = cause.iter().filter_map(|fuse| rating(context, *fuse)).sum();
            by_fuse[group].iter().all(|one| one.passes - theirs <= one.allowed().get())
        };
        let is_cause = |other: &&Vec<usize>| {
            *other != group
                && other.iter().all(|fuse| group.contains(fuse))
                && by_fuse.contains_key(*other)
                && stands_the_others(other)
        };
        if let Some(cause) = groups.iter().find(is_cause)
            && let Some(effects) = by_fuse.remove(group)
        {
            by_fuse.entry(cause.clone()).or_default().extend(effects);
        }
    }
    by_fuse.into_values().collect()
}

impl Weak {
    /// The largest fuse it may have.
    fn allowed(&self) -> Amps {
        Amps::new(factor(self.rule, self.earth_side) * self.stands.get())
            .expect("a multiple of a current is finite")
    }

    /// Where its limit is from.
    fn source(&self, context: &Context<'_>) -> String {
        let table = context.wire_of(self.branch).map_or("", |(_, used)| used.table.source());
        match self.earth_side {
            true => format!("first principles: a return carries what a failed load lets through; {table}"),
            false => format!("{}; {table}", self.rule.source),
        }
    }

    /// How its limit came about.
    fn working(&self, context: &Context<'_>) -> Vec<Working> {
        let title = context.circuit.subject(self.branch).title(&context.circuit.resolved.network);
        let sum = Working::of(
            format!("current that may pass {title}"),
            "I = min(I_fuses, I_flow)",
            self.passes,
            Unit::Ampere,
            "greatest flow from the sources with the fuse ratings as capacities (Ford and Fulkerson 1956)",
        );
        let fuses: f64 = self.fuses.iter().filter_map(|fuse| rating(context, *fuse)).sum();
        let sum = sum.map(|sum| {
            sum.with("I_fuses", "ratings of the fuses that let it pass", fuses, Unit::Ampere, Basis::Entered)
                .with(
                    "I_flow",
                    "what can reach the wire through them",
                    self.passes,
                    Unit::Ampere,
                    Basis::Calculated,
                )
        });
        let rule = (!self.earth_side).then(|| self.rule.working(&title, self.stands)).flatten();
        let used = context.wire_of(self.branch).map(|(_, used)| used);
        let stands = used.and_then(|used| used.ampacity_working(&title));
        sum.into_iter().chain(rule).chain(stands).collect()
    }

    /// Why that is its limit.
    fn limit_words(&self) -> String {
        let stands = self.stands;
        match self.earth_side {
            true => format!("is a return and can carry {stands}; a return must carry the whole of the fuse"),
            false => format!(
                "is a feed and can carry {stands}; the fuse of a feed may be {:.3} times that, {}",
                self.rule.factor,
                self.allowed()
            ),
        }
    }
}

/// Whether a wire that can carry `stands` for good is protected by the fuses ahead of it, or, as a return, stands the
/// largest fuse among the loads it serves.
pub fn stands_its_fuse(context: &Context<'_>, branch: usize, stands: Amps) -> bool {
    let zones = context.zones();
    let earth_side = !context.supplied[context.circuit.branches[branch].from];
    let limit = factor(context.fuse_rule(), earth_side) * stands.get();
    let passes = if earth_side {
        Returns::new(context, fuses_of_loads(context, zones)).flow(branch, limit)
    } else {
        zones.flow_through(branch)
    };
    passes.is_none_or(|(amps, _)| amps <= limit)
}

/// The wires, by branch, that their fuses do not protect.
pub fn unprotected(context: &Context<'_>) -> Vec<usize> {
    too_thin(context, context.zones())
}

/// The wires, by branch, that their fuses would not protect if the fuse at the branch `fuse` were rated so.
pub fn unprotected_with(context: &Context<'_>, fuse: usize, rating: Amps) -> Vec<usize> {
    let mut circuit = context.circuit.clone();
    circuit.branches[fuse].role = Role::Protection(Some(rating));
    too_thin(context, &Zones::new(&circuit))
}

/// The wires, by branch, that more may flow through for good than they stand, with the fuses as `zones` has them.
fn too_thin(context: &Context<'_>, zones: &Zones<'_>) -> Vec<usize> {
    let returns = Returns::new(context, fuses_of_loads(context, zones));
    let is_too_thin = |branch: usize, stands: Amps| {
        let earth_side = !context.supplied[context.circuit.branches[branch].from];
        let limit = factor(context.fuse_rule(), earth_side) * stands.get();
        let passes = if earth_side { returns.flow(branch, limit) } else { zones.flow_through(branch) };
        passes.is_some_and(|(amps, _)| amps > limit)
    };
    let wires = context.wires().filter_map(|(branch, _, used)| Some((branch, used.ampacity()?.low)));
    wires.filter(|(branch, stands)| is_too_thin(*branch, *stands)).map(|(branch, _)| branch).collect()
}

/// A return must stand the whole of the fuse; a feed is protected by it.
fn factor(rule: FuseRule, earth_side: bool) -> f64 {
    if earth_side { 1.0 } else { rule.factor }
}

/// The largest fuse among the loads and coils whose earth side each net is.
fn fuses_of_loads(context: &Context<'_>, zones: &Zones<'_>) -> BTreeMap<NetIndex, Flow> {
    let mut asked: BTreeMap<NetIndex, Flow> = BTreeMap::new();
    for branch in &context.circuit.branches {
        let is_user = matches!(branch.role, Role::Load(_) | Role::Coil { .. });
        if is_user
            && context.returned[branch.to]
            && context.supplied[branch.from]
            && let Some(flow) = zones.inflow(zones.of(branch.from))
        {
            let known = asked.entry(branch.to).or_insert((0.0, Vec::new()));
            if flow.0 > known.0 {
                *known = flow;
            }
        }
    }
    asked
}

/// Where the current that may pass comes from: from one rating it is that rating, from several it is calculated.
fn rating(context: &Context<'_>, fuse: usize) -> Option<f64> {
    context.circuit.rating(fuse).map(|rating| rating.high.get())
}

/// How much lower than the highest the ratings of these fuses may be together, in amperes.
fn in_doubt(context: &Context<'_>, fuses: &[usize]) -> f64 {
    let of = |fuse: &usize| context.circuit.rating(*fuse).map(|rating| rating.high.get() - rating.low.get());
    fuses.iter().filter_map(of).sum()
}

fn basis(context: &Context<'_>, weak: &Weak) -> Basis {
    match weak.fuses[..] {
        [fuse] if rating(context, fuse) == Some(weak.passes) => {
            if context.is_guessed(fuse) {
                Basis::Assumed
            } else {
                Basis::Entered
            }
        }
        _ => Basis::Calculated,
    }
}

/// What a fuse does, and whether its rating is a guess.
fn lets_pass(context: &Context<'_>, fuse: usize) -> String {
    if let Some(rating) = context.circuit.rating(fuse).filter(|rating| rating.low < rating.high) {
        return format!("lets the current pass; its rating is given as {} to {}", rating.low, rating.high);
    }
    match (context.is_guessed(fuse), context.circuit.branches[fuse].role) {
        (true, Role::Protection(Some(rating))) => {
            format!("lets the current pass; the vehicle's own fuse is not known, {rating} is assumed")
        }
        _ => "lets the current pass".to_owned(),
    }
}

fn least(a: Amps, b: Amps) -> Amps {
    if b < a { b } else { a }
}

fn finding(context: &Context<'_>, weak: &[Weak]) -> Finding {
    let circuit = context.circuit;
    let network = &circuit.resolved.network;
    let worst = &weak[0];
    let subject = circuit.subject(worst.branch);
    let fuses: Vec<Subject> = worst.fuses.iter().map(|fuse| circuit.subject(*fuse)).collect();
    let names: Vec<String> = fuses.iter().map(|fuse| fuse.title(network)).collect();
    let passes = Amps::new(worst.passes).expect("a sum of ratings is finite");
    let allowed = worst.allowed();
    let title = subject.title(network);
    let names = names.join(" and ");
    let stands = worst.stands;
    let if_so = if worst.at_most {
        " if it has the highest rating that is given"
    } else if worst.doubtful {
        " if what is assumed of it holds"
    } else {
        ""
    };
    let message = match worst.earth_side {
        true => format!(
            "{title} is the return of loads behind {names} and too thin for it{if_so}: {passes} may flow when a load \
             fails, and it can carry {stands}"
        ),
        false => format!("{names} lets {passes} pass, too much for {title}{if_so}, which can carry {stands}"),
    };
    let mut because: Vec<Label> = fuses
        .iter()
        .zip(&worst.fuses)
        .map(|(fuse, branch)| Label { subject: fuse.clone(), text: lets_pass(context, *branch) })
        .collect();
    because.extend(
        weak.iter().map(|one| Label { subject: circuit.subject(one.branch), text: one.limit_words() }),
    );
    let mut touches: Vec<Subject> = weak.iter().map(|other| circuit.subject(other.branch)).collect();
    touches.extend(fuses);
    Finding {
        check: CHECK.name,
        severity: if worst.doubtful { Severity::Look } else { Severity::Stop },
        message,
        subject,
        because,
        measured: Some(passes.into()),
        basis: basis(context, worst),
        allowed: Some(Quantity::from(allowed)),
        help: vec![
            Help::words(match weak.iter().map(Weak::allowed).reduce(least).and_then(largest_up_to) {
                // A fuse in a return would leave its load live when it blows.
                Some(rating) if weak.iter().any(|one| one.earth_side) => {
                    format!("fit a fuse of at most {}, or use a larger size", in_words(rating))
                }
                Some(rating) => format!(
                    "fit a fuse of at most {}, use a larger size, or give the thin branch a fuse of its own",
                    in_words(rating)
                ),
                None => "use a larger size: no usual fuse is small enough".to_owned(),
            })
            .with_fix(larger(context, weak)),
        ],
        source: worst.source(context),
        working: worst.working(context),
        touches,
    }
}

/// Every new wire that is too thin in a size that the fuses protect.
fn larger(context: &Context<'_>, weak: &[Weak]) -> Vec<Edit> {
    let network = &context.circuit.resolved.network;
    let wires = weak.iter().filter_map(|one| Some((one, context.wire_of(one.branch)?)));
    let needs = |one: &Weak| one.passes / factor(one.rule, one.earth_side);
    wires.flat_map(|(one, (wire, used))| remedy::carrying(network, &wire.id, used, needs(one))).collect()
}

#[cfg(test)]
mod tests {
    use crate::circuit::build;
    use crate::document::Settings;
    use crate::finding::{Basis, Finding};
    use crate::{check, notation};

    fn found(text: &str) -> Vec<Finding> {
        let circuit = build(&notation::network(text).unwrap(), &Settings::default());
        let found = check::run_all(&circuit, &[], &[]);
        found.into_iter().filter(|one| one.check == super::CHECK.name).collect()
    }

    fn said<'f>(finding: &'f Finding, wire: &str) -> &'f str {
        let of_wire = |label: &&crate::finding::Label| label.subject.id() == wire;
        finding.because.iter().find(of_wire).map_or("", |label| label.text.as_str())
    }

    /// 1.5 mm2 of class B in the engine bay can carry 24 A x 0.6746 = 16.2 A; 1.074 times that is 17.4 A.
    #[test]
    fn a_feed_and_its_return_behind_one_fuse_are_one_finding_that_says_why_their_limits_differ() {
        let findings = found(
            "battery G1
            fuse F1 rating_a=30
            lamp E1 watts=55
            earth X1
            wire w1 G1.+ F1.1 mm2=6 m=0.1 insulation=B surroundings=engine_bay
            wire w2 F1.2 E1.1 mm2=1.5 m=2 insulation=B surroundings=engine_bay
            wire w3 E1.2 X1.1 mm2=1.5 m=1 insulation=B surroundings=engine_bay",
        );
        assert_eq!(findings.len(), 1, "{findings:?}");
        assert_eq!(findings[0].subject.id(), "w2");
        assert_eq!(
            said(&findings[0], "w2"),
            "is a feed and can carry 16.2 A; the fuse of a feed may be 1.074 times that, 17.4 A"
        );
        assert_eq!(
            said(&findings[0], "w3"),
            "is a return and can carry 16.2 A; a return must carry the whole of the fuse"
        );
        // The 30 A were entered, as the rating of the fuse; nothing was calculated.
        assert_eq!(findings[0].basis, Basis::Entered);
        // A fuse of 15 A is right for both.
        assert!(findings[0].help[0].text.starts_with("fit a fuse of at most 15 A"), "{:?}", findings[0].help);
    }

    #[test]
    fn the_fuse_that_is_advised_is_right_for_the_return_too() {
        let findings = found(
            "battery G1
            fuse F1 rating_a=30
            lamp E1 watts=55
            earth X1
            wire w1 G1.+ F1.1 mm2=6 m=0.1 insulation=B surroundings=engine_bay
            wire w2 F1.2 E1.1 mm2=1.5 m=2 insulation=B surroundings=engine_bay
            wire w3 E1.2 X1.1 mm2=0.75 m=1 insulation=B surroundings=engine_bay",
        );
        assert_eq!(findings.len(), 1, "{findings:?}");
        assert_eq!(findings[0].subject.id(), "w3");
        // 0.75 mm2 there can carry 15 A x 0.6746 = 10.1 A.
        assert!(findings[0].help[0].text.starts_with("fit a fuse of at most 10 A"), "{:?}", findings[0].help);
    }

    /// 1 mm2 of class B in the engine bay can carry 19 A x 0.6746 = 12.8 A; nothing but its own fuse bounds what it carries.
    #[test]
    fn a_lead_from_the_battery_is_held_to_the_fuses_at_its_end() {
        let lead = |mm2: f64| {
            format!(
                "battery G1
                fuse F1 rating_a=30
                lamp E1 watts=55
                earth X1
                wire w1 G1.+ F1.1 mm2={mm2} m=0.15 insulation=B surroundings=engine_bay
                wire w2 F1.2 E1.1 mm2=6 m=1 insulation=B surroundings=engine_bay
                wire w3 E1.2 X1.1 mm2=6 m=0.5 insulation=B surroundings=engine_bay"
            )
        };
        let findings = found(&lead(1.0));
        assert_eq!(findings.len(), 1, "{findings:?}");
        assert_eq!(findings[0].subject.id(), "w1");
        assert_eq!(findings[0].measured.unwrap().value, 30.0);
        assert_eq!(found(&lead(6.0)), []);
    }

    #[test]
    fn returns_behind_different_fuses_are_findings_of_their_own() {
        let one = |n: u8| {
            format!(
                "fuse F{n} rating_a=30
                lamp E{n} watts=55
                earth X{n}
                wire w{n}1 G1.+ F{n}.1 mm2=6 m=0.1
                wire w{n}2 F{n}.2 E{n}.1 mm2=6 m=2
                wire w{n}3 E{n}.2 X{n}.1 mm2=0.75 m=1
                "
            )
        };
        assert_eq!(found(&format!("battery G1\n{}{}", one(1), one(2))).len(), 2);
    }
}
