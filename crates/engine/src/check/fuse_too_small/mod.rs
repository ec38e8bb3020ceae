//! Fuses that their own loads may blow.

use std::collections::BTreeMap;

use crate::check::{Context, Surveyed, works};
use crate::circuit::Circuit;
use crate::document::Status;
use crate::document::settings::FUSE_CONTINUOUS;
use crate::finding::{Finding, Harm};
use crate::kind::{Class, Law, OPENS_ABOVE, Role};
use crate::protection::Link;
use crate::quantity::{Ohms, Volts};
use crate::solve::{Rest, Solver};

mod told;

declare_check! {
    /// Finds fuses and breakers that are too small for what they feed.
    ///
    /// # What it checks
    ///
    /// The computed current of each fuse in every situation looked at: above 1.35 times its rating it opens sooner or later,
    /// which is Stop; above its rating is Look.
    /// So is more than 80 % of its rating for good (common practice, no source), counted with batteries of 12.0 V (24.0 V)
    /// and alternators stopped, because that is what loads are rated for.
    /// When filament lamps are switched on cold, the integral of their inrush, half the square of its peak times a time
    /// constant, is compared with the least that opens the fuse: above it with a constant of 20 ms is Look, with one of 50
    /// ms Note (common practice, no source). The inrush of electronic lamps is not known and not judged.
    /// Of a rating given as a range the lowest counts; where only that one opens, it is no more than a Look.
    /// Situations with a stalled motor are left out, because there the fuse is meant to open. Of existing fuses and the
    /// vehicle's own only those are judged whose current new work changes.
    ///
    /// # Why it matters
    ///
    /// A fuse that runs near its rating ages until it blows, mostly at night; and whoever finds it blown fits a larger one.
    ///
    /// # Example
    ///
    /// Two driving lamps of 55 W on a 10 A fuse.
    ///
    /// # What to do
    ///
    /// Fit the next larger fuse if the wires behind it allow it, or share the load out over two.
    name: "fuse-too-small",
    summary: "a fuse is too small for what it feeds",
    harm: Harm::Failure,
    explained_by: &["supply-shorted", "unconnected-terminal", "wrong-voltage", "contact-overloaded"],
    run: run,
}

/// Share of its rating that a fuse may carry for good, as the settings of the job have it.
fn for_good(circuit: &Circuit) -> f64 {
    circuit.resolved.settings.number(&FUSE_CONTINUOUS) / 100.0
}

/// Share of what it may carry for good from which on it is worth computing what a fuse carries at the voltage loads are
/// rated for.
const WORTH_A_LOOK: f64 = 0.8125;

/// Volts of a battery, over those it has without load when charged, that loads are rated for: 12.0 for 12.6.
const RATED_SUPPLY: f64 = 12.0 / 12.6;

/// Time constants with which the inrush of a filament fades, the quick and the slow, in seconds.
const FADES_S: [f64; 2] = [0.020, 0.050];

/// The share by which new work must change the current of an existing fuse to count (common practice, no source).
const CHANGED_SHARE: f64 = 0.01;

/// What is wrong with a fuse, the gravest first.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
enum Fault {
    /// It opens.
    Opens,
    /// It carries more than its rating.
    AboveRating,
    /// It carries more for good than it should.
    ForGood,
    /// The inrush may open it, however quickly it fades.
    Inrush,
    /// The inrush may open it if it fades slowly.
    SlowInrush,
}

/// A fuse that is too small.
struct Weak {
    fault: Fault,
    amps: f64,
    when: String,
}

/// Keeps the gravest fault of each fuse, and of those the one with most current.
#[derive(Default)]
struct Found(BTreeMap<usize, Weak>);

impl Found {
    fn add(&mut self, fuse: usize, fault: Fault, amps: f64, when: &str) {
        let is_graver = |known: &Weak| (fault, -amps) < (known.fault, -known.amps);
        if self.0.get(&fuse).is_none_or(is_graver) {
            self.0.insert(fuse, Weak { fault, amps, when: when.to_owned() });
        }
    }
}

fn run(context: &Context<'_>, findings: &mut Vec<Finding>) {
    let circuit = context.circuit;
    let links: Vec<Link> =
        (0..circuit.branches.len()).filter_map(|branch| Link::of(circuit, branch).map(least)).collect();
    if links.is_empty() {
        return;
    }
    let solver = context.survey.solver();
    let at_rated_supply = solver.with_changed(|branch, _| at_rated_supply(context, branch));
    let with_all_cold = solver.with_resistances(|branch| cold_resistance(circuit, branch));
    let mut found = Found::default();
    for surveyed in context.survey.situations.iter().filter(|surveyed| !surveyed.is_blocked) {
        steady(surveyed, &links, &at_rated_supply, &mut found);
        inrush(context, surveyed, &links, &with_all_cold, &mut found);
    }
    for (fuse, weak) in found.0 {
        if is_ours(context, fuse, &weak) {
            findings.push(told::finding(context, fuse, &weak));
        }
    }
}

/// A link as small as it may be: loads are held to the lower end of a range.
fn least(link: Link) -> Link {
    Link { rated: link.rated_least, ..link }
}

fn steady(surveyed: &Surveyed, links: &[Link], at_rated_supply: &Solver<'_>, found: &mut Found) {
    let for_good = for_good(at_rated_supply.circuit());
    let mut near_rating = false;
    for rest in surveyed.rests() {
        for link in links {
            let amps = rest.steady.amps(link.branch).abs();
            let share = amps / link.rated.get();
            near_rating |= share > WORTH_A_LOOK * for_good;
            if share > OPENS_ABOVE {
                found.add(link.branch, Fault::Opens, amps, &surveyed.when);
            } else if share > 1.0 {
                found.add(link.branch, Fault::AboveRating, amps, &surveyed.when);
            }
        }
    }
    if !near_rating {
        return;
    }
    let mut positions = surveyed.positions.clone();
    for (index, part) in at_rated_supply.circuit().resolved.network.parts.iter().enumerate() {
        if part.kind.class == Class::Generator {
            positions[index] = 0;
        }
    }
    if let Some(rest) = at_rated_supply.enter(positions).shown() {
        for link in links {
            let amps = rest.steady.amps(link.branch).abs();
            if amps > for_good * link.rated.get() {
                found.add(link.branch, Fault::ForGood, amps, &surveyed.when);
            }
        }
    }
}

/// A battery at the voltage that loads are rated for.
fn at_rated_supply(context: &Context<'_>, branch: usize) -> Option<Law> {
    match context.circuit.branches[branch].law {
        Some(Law::Source { emf, internal, limit, one_way: false }) => {
            Some(Law::Source { emf: Volts::new(emf.get() * RATED_SUPPLY)?, internal, limit, one_way: false })
        }
        _ => None,
    }
}

fn inrush(
    context: &Context<'_>,
    surveyed: &Surveyed,
    links: &[Link],
    with_all_cold: &Solver<'_>,
    found: &mut Found,
) {
    // No filament draws more at first than its cold resistance lets it: most fuses stand even that.
    let most = filaments(context.circuit).fold(1.0, f64::max);
    for rest in surveyed.rests() {
        let steady = |link: &Link| most * rest.steady.amps(link.branch).abs();
        if !links.iter().any(|link| opens_at(link, steady(link), FADES_S[1])) {
            continue;
        }
        let Some(cold) = with_all_cold.held(&rest.state) else { continue };
        if !links.iter().any(|link| opens_at(link, cold.amps(link.branch).abs(), FADES_S[1])) {
            continue;
        }
        for before in before(context, surveyed) {
            let is_cold = |branch: usize| !lit(context, &before, branch) && lit(context, rest, branch);
            let resistance =
                |branch: usize| cold_resistance(context.circuit, branch).filter(|_| is_cold(branch));
            let Some(peaks) = context.survey.solver().with_resistances(resistance).held(&rest.state) else {
                continue;
            };
            for link in links {
                let amps = peaks.amps(link.branch).abs();
                if opens_at(link, amps, FADES_S[1]) {
                    let surely = opens_at(link, amps, FADES_S[0]);
                    let fault = if surely { Fault::Inrush } else { Fault::SlowInrush };
                    found.add(link.branch, fault, amps, &surveyed.when);
                }
            }
        }
    }
}

/// Hot resistance over cold of every filament.
fn filaments(circuit: &Circuit) -> impl Iterator<Item = f64> + '_ {
    circuit.branches.iter().filter_map(|branch| match branch.law {
        Some(Law::Filament { rated_v, rated_a, cold }) => Some(rated_v.get() / rated_a.get() / cold.get()),
        _ => None,
    })
}

/// The cold resistance of a filament.
fn cold_resistance(circuit: &Circuit, branch: usize) -> Option<Ohms> {
    match circuit.branches[branch].law {
        Some(Law::Filament { cold, .. }) => Some(cold),
        _ => None,
    }
}

/// Whether an inrush of this peak may open a link.
fn opens_at(link: &Link, peak: f64, fades_s: f64) -> bool {
    let multiple = peak / link.rated.get();
    let least = link.band.as_ref().and_then(|band| band.least_integral(multiple));
    least.is_some_and(|least| 0.5 * multiple * multiple * fades_s > least)
}

/// The states before each single action that leads to a situation.
fn before(context: &Context<'_>, surveyed: &Surveyed) -> Vec<Rest> {
    let inputs = context.circuit.inputs.iter().filter(|input| surveyed.positions[input.part] != 0);
    let without = |input: &crate::circuit::Input| {
        let mut positions = surveyed.positions.clone();
        positions[input.part] = 0;
        context.survey.solver().enter(positions).shown().cloned()
    };
    inputs.filter_map(without).collect()
}

/// Whether a filament works in a state.
fn lit(context: &Context<'_>, rest: &Rest, branch: usize) -> bool {
    match &context.circuit.branches[branch].role {
        Role::Load(load) => works(context.circuit, rest, branch, load),
        _ => false,
    }
}

/// Whether a fuse is this job's business: new, or existing and new work changes its current.
fn is_ours(context: &Context<'_>, fuse: usize, weak: &Weak) -> bool {
    let is_new = context
        .part_of(fuse)
        .is_some_and(|(_, part)| part.status == Status::New && part.kind.class != Class::Donor);
    let surveyed = context.survey.situations.iter().find(|surveyed| surveyed.when == weak.when);
    is_new
        || surveyed.is_some_and(|surveyed| {
            let Some(now) = surveyed.rests().next().map(|rest| rest.steady.amps(fuse).abs()) else {
                return false;
            };
            let before = context.amps_before(fuse, &surveyed.positions);
            before.is_none_or(|before| (now - before.abs()).abs() > CHANGED_SHARE * now)
        })
}

#[cfg(test)]
mod tests {
    use crate::circuit::build;
    use crate::document::{Settings, Situation};
    use crate::finding::{Finding, Severity};
    use crate::ids::PartId;
    use crate::{check, notation};

    fn found(text: &str) -> Vec<Finding> {
        super::CHECK.alone_on(text)
    }

    fn on_a_fuse(fuse: &str, load: &str) -> Vec<Finding> {
        found(&format!(
            "battery G1
            {fuse}
            switch S1
            {load}
            earth X1
            wire w1 G1.+ F1.1 mm2=4 m=0.15
            wire w2 F1.2 S1.in mm2=4 m=1
            wire w3 S1.out E1.1 mm2=4 m=1
            wire w4 E1.2 X1.1 mm2=4 m=0.5"
        ))
    }

    /// A resistor that takes 10 A at 12 V takes a little more of a full battery.
    #[test]
    fn the_load_decides_between_nothing_practice_and_blowing() {
        let load = "resistor E1 watts=120 at_v=12";
        for (rating, expected) in [
            (15.0, None),
            (12.0, Some(Severity::Look)),
            (10.0, Some(Severity::Look)),
            (7.5, Some(Severity::Stop)),
        ] {
            let findings = on_a_fuse(&format!("fuse F1 rating_a={rating}"), load);
            assert_eq!(findings.first().map(|one| one.severity), expected, "{rating}: {findings:?}");
        }
        let breaker = on_a_fuse("breaker F1 rating_a=7", load);
        assert!(breaker[0].message.contains("circuit breaker F1 (7 A) would trip"), "{}", breaker[0].message);
        assert_eq!(breaker[0].because.len(), 1);
    }

    /// Loads are rated for 12 V: 8 A of 10 is just good practice, although a full battery drives more through it.
    #[test]
    fn what_a_load_is_rated_for_counts_for_good() {
        assert_eq!(on_a_fuse("fuse F1 rating_a=10", "resistor E1 watts=96 at_v=12"), []);
        assert_eq!(on_a_fuse("fuse F1 rating_a=10", "resistor E1 watts=99 at_v=12").len(), 1);
    }

    /// A blade fuse of 10 A may open at 108 A2s. 50 W draw 46 A at first: at most 53 A2s. 84 W draw 71 A: 51 A2s when
    /// the inrush fades quickly, 128 when slowly. With a filament forty times as good when cold they draw 160 A: 250 A2s
    /// at least.
    #[test]
    fn cold_lamps_may_blow_a_fuse_that_stands_them_warm() {
        let lamp = |watts: f64, ratio: f64| format!("lamp E1 watts={watts} cold_ratio={ratio}");
        assert_eq!(on_a_fuse("fuse F1 rating_a=10", &lamp(50.0, 12.0)), []);
        for (ratio, severity) in [(12.0, Severity::Note), (40.0, Severity::Look)] {
            let findings = on_a_fuse("fuse F1 rating_a=10", &lamp(84.0, ratio));
            assert_eq!(findings.len(), 1, "{findings:?}");
            assert_eq!(findings[0].severity, severity);
            assert!(findings[0].message.contains("cold lamps"), "{}", findings[0].message);
        }
        // A resistor that takes as much when warm has no inrush.
        assert_eq!(on_a_fuse("fuse F1 rating_a=10", "resistor E1 watts=84 at_v=12"), []);
    }

    #[test]
    fn a_stalled_motor_may_blow_its_fuse() {
        let text = "battery G1
            fuse F1 rating_a=10
            motor E1 run_a=5 stall_a=30
            earth X1
            wire w1 G1.+ F1.1 mm2=4 m=0.15
            wire w2 F1.2 E1.+ mm2=4 m=1
            wire w4 E1.- X1.1 mm2=4 m=0.5";
        let circuit = build(&notation::network(text).unwrap(), &Settings::default());
        let set = [(PartId::new("E1").unwrap(), "stalled".to_owned())].into_iter().collect();
        let stalled = Situation { name: "blocked".to_owned(), set };
        let mut findings = Vec::new();
        (super::CHECK.run)(&check::Context::new(&circuit, &[stalled], &[]), &mut findings);
        assert_eq!(findings, []);
    }

    #[test]
    fn an_existing_fuse_is_judged_where_new_loads_hang_on_it() {
        let text = |status: &str| {
            format!(
                "battery G1 status=existing
                fuse F1 rating_a=5 status=existing
                resistor R1 watts=55 status=existing
                resistor R2 watts=30 status={status}
                earth X1 status=existing
                wire w1 G1.+ F1.1 mm2=4 m=0.15 status=existing
                wire w2 F1.2 R1.1 mm2=4 m=1 status=existing
                wire w3 F1.2 R2.1 mm2=4 m=1 status={status}
                wire w4 R1.2 X1.1 mm2=4 m=0.5 status=existing
                wire w5 R2.2 X1.1 mm2=4 m=0.5 status={status}"
            )
        };
        assert_eq!(found(&text("existing")), []);
        assert_eq!(found(&text("new")).len(), 1);
    }
}
