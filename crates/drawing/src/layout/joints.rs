//! Which terminal of a joint sits on which of its pins, for joints that stand already.
//!
//! The pins of a joint are one point electrically, so each terminal takes the pin from which its
//! wires have the least way to go.

use super::{End, Former, Origin};
use crate::course::is_left_along;
use crate::geometry::direction;
use crate::symbol::{Port, Symbol};

/// How many steps of way a bend is worth.
const BEND: i64 = 7;

/// How many steps of way a crossing is worth.
const CROSSING: i64 = 18;

/// How often all pairs of pins are tried at most.
const ROUNDS: usize = 12;

/// Gives the terminals of the joints that stand the pins that suit them, and tells whether any
/// changed. Terminals that were wired before keep their pins while the joint stays where it was, and so
/// do those of a joint that was put into a wire, where they face the halves of it.
///
/// Exchanges pairs while that helps, so each joint takes some rounds of the square of its pins.
pub(super) fn fit(
    symbols: &mut [Symbol],
    ends: &[Option<[End; 2]>],
    origin: &Origin,
    former: Option<&Former>,
) -> bool {
    let mut fitted = false;
    for symbol in 0..symbols.len() {
        let shown = &symbols[symbol];
        if !shown.view.swappable || !shown.pinned {
            continue;
        }
        let n_pins = shown.view.pins.len();
        let held = match (former, origin.symbols[symbol]) {
            (Some(former), Some(was)) => held(shown, former, was),
            (Some(former), None) => {
                let gone = origin.gone(former.courses);
                let stands_on_one = |pin| gone.iter().any(|course| is_left_along(course, shown.port(pin)));
                (0..n_pins).map(stands_on_one).collect()
            }
            _ => vec![false; n_pins],
        };
        // The other ends of the wires on each terminal, which is named by the pin it had at first.
        let mut others: Vec<Vec<Port>> = vec![Vec::new(); n_pins];
        for [a, b] in ends.iter().flatten() {
            for (own, other) in [(a, b), (b, a)] {
                if own.symbol == symbol && other.symbol != symbol {
                    others[own.pin].push(symbols[other.symbol].port(other.pin));
                }
            }
        }
        let ports: Vec<Port> = (0..n_pins).map(|pin| shown.port(pin)).collect();
        let cost = |terminal: usize, pin: usize| -> (i64, i64) {
            others[terminal].iter().map(|other| way(ports[pin], *other)).fold((0, 0), sum)
        };
        let crossings = Crossings::new(&ports, &others);
        let mut terminal_on: Vec<usize> = (0..n_pins).collect();
        for _ in 0..ROUNDS {
            let mut helped = false;
            for a in 0..n_pins {
                for b in a + 1..n_pins {
                    let (x, y) = (terminal_on[a], terminal_on[b]);
                    if held[x] || held[y] || (others[x].is_empty() && others[y].is_empty()) {
                        continue;
                    }
                    let (now, then) = (sum(cost(x, a), cost(y, b)), sum(cost(x, b), cost(y, a)));
                    let more = CROSSING * crossings.more_after(&mut terminal_on, a, b);
                    if sum(then, (more, 0)) < now {
                        terminal_on.swap(a, b);
                        helped = true;
                    }
                }
            }
            if !helped {
                break;
            }
            fitted = true;
        }
        let names: Vec<String> = shown.view.pins.iter().map(|pin| pin.terminal.clone()).collect();
        for (pin, terminal) in symbols[symbol].view.pins.iter_mut().zip(terminal_on) {
            pin.terminal.clone_from(&names[terminal]);
        }
    }
    fitted
}

/// How often the wires of a joint have to cross one another, whatever way they go: those that leave on one side cross
/// where their pins are in another order than their other ends.
struct Crossings<'a> {
    ports: &'a [Port],
    /// By two terminals, how many of their wires cross when the first has the pin that lies left of the other's, or above it.
    between: Vec<Vec<i64>>,
}

impl Crossings<'_> {
    /// For the pins at `ports`; `others` are the other ends of the wires on each terminal.
    fn new<'a>(ports: &'a [Port], others: &[Vec<Port>]) -> Crossings<'a> {
        let along = |port: &Port, other: &Port| if is_upright(port) { other.at.x } else { other.at.y };
        let n_crossing = |own: usize, other: usize| {
            let pairs = others[own].iter().flat_map(|a| others[other].iter().map(move |b| (a, b)));
            pairs.filter(|(a, b)| along(&ports[own], a) > along(&ports[own], b)).count() as i64
        };
        let n_pins = ports.len();
        let between = (0..n_pins).map(|own| (0..n_pins).map(|other| n_crossing(own, other)).collect());
        Crossings { ports, between: between.collect() }
    }

    /// How many more crossings there are after the terminals on the pins `a` and `b` were exchanged.
    fn more_after(&self, terminal_on: &mut [usize], a: usize, b: usize) -> i64 {
        let before = self.of_two(terminal_on, a, b);
        terminal_on.swap(a, b);
        let after = self.of_two(terminal_on, a, b);
        terminal_on.swap(a, b);
        after - before
    }

    /// The crossings of the wires on two pins with all others.
    fn of_two(&self, terminal_on: &[usize], a: usize, b: usize) -> i64 {
        let of = |pin: usize, other: usize| {
            let [own, next] = [pin, other].map(|pin| &self.ports[pin]);
            if own.side != next.side {
                return 0;
            }
            let is_first = if is_upright(own) { own.at.x < next.at.x } else { own.at.y < next.at.y };
            let (first, second) = if is_first { (pin, other) } else { (other, pin) };
            self.between[terminal_on[first]][terminal_on[second]]
        };
        let others = (0..self.ports.len()).filter(|pin| *pin != a && *pin != b);
        others.map(|pin| of(a, pin) + of(b, pin)).sum::<i64>() + of(a, b)
    }
}

/// Whether wires leave upwards or downwards.
fn is_upright(port: &Port) -> bool {
    direction(port.side).0 == 0
}

/// By pin, whether its terminal had a wire before on a joint that has not changed.
fn held(shown: &Symbol, former: &Former, was: usize) -> Vec<bool> {
    let old = &former.layout.symbols[was];
    let mut held = vec![false; shown.view.pins.len()];
    if (shown.at, shown.turn) != (old.at, old.turn) || shown.view.pins != old.view.pins {
        return held;
    }
    for end in former.layout.ends.iter().flatten().flatten().filter(|end| end.symbol == was) {
        held[end.pin] = true;
    }
    held
}

fn sum(a: (i64, i64), b: (i64, i64)) -> (i64, i64) {
    (a.0 + b.0, a.1 + b.1)
}

/// How far a wire goes about between two ports. The second number makes wires that leave in one
/// direction keep the order of their other ends, so that they do not cross.
fn way(a: Port, b: Port) -> (i64, i64) {
    let (from, to) = (a.at.towards(a.side, 1), b.at.towards(b.side, 1));
    let (dx, dy) = (i64::from(to.x - from.x), i64::from(to.y - from.y));
    let behind = |port: Port, dx: i64, dy: i64| {
        let (x, y) = direction(port.side);
        i64::from(x) * dx + i64::from(y) * dy < 0
    };
    let n_back = i64::from(behind(a, dx, dy)) + i64::from(behind(b, -dx, -dy));
    (dx.abs() + dy.abs() + 2 * BEND * n_back, dx * dx + dy * dy)
}
