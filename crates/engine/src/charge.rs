//! The charge budget of a situation: what alternators give, what batteries give or take, and how long a battery lasts.

use crate::circuit::series::chains;
use crate::circuit::{Circuit, Origin};
use crate::document::Situation;
use crate::endurance;
use crate::kind::{Class, Law};
use crate::quantity::Amps;
use crate::solve::{Rest, Solver, Verdict};
use crate::subject::Subject;
use crate::working::Working;

/// Share of its limit that an alternator delivers at idle (common practice, no source).
pub const AT_IDLE: f64 = 0.4;

/// How fast the engine turns.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Pace {
    /// No alternator runs.
    Stopped,
    /// Alternators deliver what they can at idle.
    Idle,
    /// Alternators deliver all they can.
    Road,
}

impl Pace {
    /// The words in command replies.
    pub fn word(self) -> &'static str {
        match self {
            Pace::Stopped => "engine off",
            Pace::Idle => "at idle",
            Pace::Road => "on the road",
        }
    }
}

/// One source in a situation.
#[derive(Clone, Debug, PartialEq)]
pub struct Supply {
    /// The alternator or battery.
    pub subject: Subject,
    /// Whether it is a battery.
    pub is_battery: bool,
    /// Amperes it gives; negative is charge.
    pub gives: Amps,
    /// The most it can give at this pace, where a limit is known.
    pub limit: Option<Amps>,
    /// How long it lasts from full; only for a battery that gives, and whose capacity is known.
    pub lasts: Option<Working>,
}

/// What comes in and what goes out in one situation.
#[derive(Clone, Debug, PartialEq)]
pub struct Budget {
    /// The situation's name.
    pub situation: String,
    /// The pace it is told for.
    pub pace: Pace,
    /// How the situation comes to rest.
    pub verdict: Verdict,
    /// Every source that is on, in the order of the job; empty where there are no readings.
    pub supplies: Vec<Supply>,
    /// Amperes that the batteries give together; negative is charge. `None` without readings.
    pub from_batteries: Option<Amps>,
}

/// The most the alternator of branch `source` delivers at idle: as said, else [`AT_IDLE`] of its limit; `None` where no
/// limit is known or it is no alternator.
pub fn idle_limit(circuit: &Circuit, source: usize) -> Option<Amps> {
    let Origin::Part(part, _) = circuit.branches[source].origin else { return None };
    let Some(Law::Source { limit: Some(limit), .. }) = circuit.branches[source].law else { return None };
    if !is_generator(circuit, source) {
        return None;
    }
    let said = circuit.resolved.parts[part].as_ref().and_then(|used| used.number("idle_a"));
    Amps::new(said.map_or(AT_IDLE * limit.get(), |idle| idle.min(limit.get())))
}

/// The budget of each situation; of one in which an alternator runs, at idle and on the road.
pub fn budgets(circuit: &Circuit, situations: &[Situation]) -> Vec<Budget> {
    let road = Solver::new(circuit);
    let idle = road.with_changed(|source, law| match law {
        Law::Source { emf, internal, one_way, .. } => {
            let limit = idle_limit(circuit, source)?;
            Some(Law::Source { emf, internal, limit: Some(limit), one_way })
        }
        _ => None,
    });
    let mut budgets = Vec::new();
    for situation in situations {
        let positions = circuit.positions(situation);
        let runs =
            |source: usize| is_generator(circuit, source) && circuit.is_in_position(source, &positions);
        if circuit.sources().any(runs) {
            // At idle and on the road are the same where no limit is known.
            if circuit.sources().any(|source| runs(source) && idle_limit(circuit, source).is_some()) {
                budgets.push(budget(&idle, situation, positions.clone(), Pace::Idle));
            }
            budgets.push(budget(&road, situation, positions, Pace::Road));
        } else {
            budgets.push(budget(&road, situation, positions, Pace::Stopped));
        }
    }
    budgets
}

fn budget(solver: &Solver<'_>, situation: &Situation, positions: Vec<u8>, pace: Pace) -> Budget {
    let circuit = solver.circuit();
    let solution = solver.solve(positions.clone());
    let shown = solution.shown();
    let on = circuit.sources().filter(|source| circuit.is_in_position(*source, &positions));
    let supplies: Vec<Supply> = shown
        .map_or_else(Vec::new, |rest| on.filter_map(|source| supply(circuit, rest, source, pace)).collect());
    Budget {
        situation: situation.name.clone(),
        pace,
        verdict: solution.verdict,
        from_batteries: shown.and_then(|rest| from_batteries(circuit, rest)),
        supplies,
    }
}

/// Amperes that the batteries give together: those in series the same, beside each other each its own.
fn from_batteries(circuit: &Circuit, rest: &Rest) -> Option<Amps> {
    let is_battery = |source: &usize| class(circuit, *source) == Some(Class::Battery);
    let chains = chains(circuit, &rest.state);
    let of_batteries = chains.iter().filter(|chain| chain.sources.iter().all(is_battery));
    let gives = of_batteries.filter_map(|chain| chain.gives(|source| Some(-rest.steady.amps(source))));
    Amps::new(gives.sum())
}

fn supply(circuit: &Circuit, rest: &Rest, source: usize, pace: Pace) -> Option<Supply> {
    let subject = circuit.subject(source);
    let title = subject.title(&circuit.resolved.network);
    let limit = match circuit.branches[source].law {
        Some(Law::Source { limit, .. }) if pace == Pace::Idle => idle_limit(circuit, source).or(limit),
        Some(Law::Source { limit, .. }) => limit,
        _ => None,
    };
    Some(Supply {
        subject,
        is_battery: class(circuit, source) == Some(Class::Battery),
        gives: Amps::new(-rest.steady.amps(source))?,
        limit,
        lasts: endurance::working(circuit, rest, source, &title),
    })
}

fn class(circuit: &Circuit, source: usize) -> Option<Class> {
    match circuit.branches[source].origin {
        Origin::Part(part, _) => Some(circuit.resolved.network.parts[part].kind.class),
        _ => None,
    }
}

fn is_generator(circuit: &Circuit, source: usize) -> bool {
    class(circuit, source) == Some(Class::Generator)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::circuit::build;
    use crate::document::Settings;
    use crate::notation::network;

    fn of(text: &str, situation: &[(&str, &str)]) -> Vec<Budget> {
        let circuit = build(&network(text).unwrap(), &std::sync::Arc::new(Settings::of(12.0)));
        let set = situation
            .iter()
            .map(|(part, position)| (crate::ids::PartId::new(part).unwrap(), (*position).to_owned()));
        budgets(&circuit, &[Situation { name: "now".to_owned(), set: set.collect() }])
    }

    /// 20 A at most, 8 A at idle, a heater of 0.42 ohm, battery of 12.6 V behind 0.01 ohm, all else without resistance:
    /// `(12.6 - U)/0.01 + I_alternator = U/0.42`. On the road U = 12.502326 V and the battery gives 9.7674 A, at idle
    /// U = 12.385116 V and 21.4884 A.
    #[test]
    fn an_alternator_at_its_limit_leaves_the_rest_to_the_battery() {
        let found = of(
            "battery G1 open_circuit_v=12.6 internal_ohm=0.01 strap_ohm=0 capacity_ah=100\n\
             alternator G2 limit_a=20 strap_ohm=0\nresistor R1 ohm=0.42\nearth X1 joint_ohm=0\n\
             wire w1 G2.B+ G1.+ mm2=16 m=0\nwire w2 G1.+ R1.1 mm2=16 m=0\nwire w3 R1.2 X1.1 mm2=16 m=0",
            &[("G2", "running")],
        );
        let amps = |budget: &Budget| budget.from_batteries.unwrap().get();
        assert_eq!(found.iter().map(|budget| budget.pace).collect::<Vec<_>>(), [Pace::Idle, Pace::Road]);
        // A joint without resistance counts a microohm, hence three digits.
        assert!((amps(&found[0]) - 21.4884).abs() < 2e-3, "{}", amps(&found[0]));
        assert!((amps(&found[1]) - 9.7674).abs() < 2e-3, "{}", amps(&found[1]));
        let limits: Vec<_> = found.iter().map(|budget| budget.supplies[1].limit.unwrap().get()).collect();
        assert_eq!(limits, [8.0, 20.0]);
        // 20 h (100/(20 x 9.7674))^1.2 = 8.955 h.
        let lasts = found[1].supplies[0].lasts.as_ref().unwrap().result.value;
        assert!((lasts - 8.955).abs() < 3e-3, "{lasts}");
        assert!(found[1].supplies[1].lasts.is_none());
    }

    #[test]
    fn with_the_engine_off_there_is_one_budget_and_no_alternator_in_it() {
        let found = of(
            "battery G1\nalternator G2 limit_a=20\nearth X1\nlamp E1 watts=21\n\
             wire w1 G2.B+ G1.+ mm2=16 m=1\nwire w2 G1.+ E1.1 mm2=1.5 m=1\nwire w3 E1.2 X1.1 mm2=1.5 m=1",
            &[],
        );
        assert_eq!(found.len(), 1);
        assert_eq!(found[0].pace, Pace::Stopped);
        assert_eq!(found[0].supplies.len(), 1);
        assert!(found[0].from_batteries.unwrap().get() > 1.7);
        // Nothing is known of its capacity, so nothing is said of how long it lasts.
        assert!(found[0].supplies[0].lasts.is_none());
    }

    /// 25.2 V over 12.6 ohm and twice 0.01 ohm: 1.9968 A, through both.
    #[test]
    fn batteries_in_series_give_one_current() {
        let found = of(
            "battery G1 open_circuit_v=12.6 internal_ohm=0.01 strap_ohm=0\n\
             battery G2 open_circuit_v=12.6 internal_ohm=0.01 to_chassis=no\n\
             resistor R1 ohm=12.6\nearth X1 joint_ohm=0\n\
             wire w1 G1.+ G2.- mm2=50 m=0\nwire w2 G2.+ R1.1 mm2=16 m=0\nwire w3 R1.2 X1.1 mm2=16 m=0",
            &[],
        );
        let gives: Vec<f64> = found[0].supplies.iter().map(|supply| supply.gives.get()).collect();
        let together = found[0].from_batteries.unwrap().get();
        for amps in gives.into_iter().chain([together]) {
            assert!((amps - 25.2 / 12.62).abs() < 1e-4, "{amps}");
        }
    }
}
