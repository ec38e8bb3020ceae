//! Which pins of a joint its wires take: from left to right as their other ends lie.

use engine::arrange;
use engine::kind::glyph::Side;

use super::Facts;
use super::flow::is_above;
use super::order::Group;
use crate::symbol::Symbol;

/// A joint among the seats of a group.
#[derive(Clone, Debug)]
pub(super) struct Joint {
    pub seat: usize,
    pub symbol: usize,
    /// Pins for wires to what stands below and above, best first: how far right each is, and its
    /// index.
    pins: [Vec<(i32, usize)>; 2],
    /// By terminal, named by the pin it had at first, the pin it has now.
    dealt: Vec<Option<usize>>,
}

impl Joint {
    pub(super) fn new(symbols: &[Symbol], symbol: usize, seat: usize) -> Joint {
        let shown = &symbols[symbol];
        let n_pins = shown.view.pins.len();
        let pins = [false, true].map(|above| {
            let mut pins: Vec<(i32, usize)> = (0..n_pins)
                .filter(|&pin| is_above(shown, pin) == above)
                .map(|pin| (shown.offset(pin).at.x, pin))
                .collect();
            // Pins that leave straight come first.
            arrange::sort_by_key(&mut pins, |&(x, pin)| {
                let leaves_aside = matches!(shown.offset(pin).side, Side::Left | Side::Right);
                (leaves_aside, x.abs(), pin)
            });
            pins
        });
        Joint { seat, symbol, pins, dealt: vec![None; n_pins] }
    }
}

impl Group {
    /// Gives the wires of every joint its pins from left to right, as their other ends lie when the
    /// seats stand at `places`.
    ///
    /// Several wires of one terminal keep together on one pin.
    pub(super) fn deal_pins(&mut self, places: &[i64]) {
        for joint in 0..self.joints.len() {
            let seat = self.joints[joint].seat;
            let mut dealt: Vec<Option<usize>> = vec![None; self.joints[joint].dealt.len()];
            for above in [true, false] {
                // Where the other end lies, and the terminal.
                let mut leaving: Vec<(i64, usize)> = Vec::new();
                for &span in &self.on_seat[seat] {
                    let [a, b] = self.spans[span].ties;
                    for (own, other) in [(a, b), (b, a)] {
                        let is_new = || !leaving.iter().any(|(_, terminal)| *terminal == own.pin);
                        if own.seat == seat && own.above == above && dealt[own.pin].is_none() && is_new() {
                            leaving.push((places[other.seat] * 4096 + i64::from(other.offset), own.pin));
                        }
                    }
                }
                arrange::sort(&mut leaving);
                let mut pins = self.joints[joint].pins[usize::from(above)].clone();
                pins.truncate(leaving.len());
                arrange::sort(&mut pins);
                for ((_, terminal), (_, pin)) in leaving.iter().zip(&pins) {
                    dealt[*terminal] = Some(*pin);
                }
            }
            let offset_of = |pin: usize| {
                let pins = self.joints[joint].pins.iter().flatten();
                pins.filter(|(_, other)| *other == pin).map(|(x, _)| *x).next()
            };
            for &span in &self.on_seat[seat] {
                for tie in self.spans[span].ties.iter_mut().filter(|tie| tie.seat == seat) {
                    if let Some(x) = dealt[tie.pin].and_then(offset_of) {
                        tie.offset = x;
                    }
                }
            }
            self.joints[joint].dealt = dealt;
        }
    }

    /// Writes the terminals that the pins of joints have got into the symbols.
    pub(super) fn name_pins(&self, symbols: &mut [Symbol], facts: &mut Facts) {
        for joint in &self.joints {
            let pins = &mut symbols[joint.symbol].view.pins;
            let names: Vec<String> = pins.iter().map(|pin| pin.terminal.clone()).collect();
            let mut terminal_on: Vec<Option<usize>> = vec![None; names.len()];
            for (terminal, pin) in joint.dealt.iter().enumerate() {
                if let Some(pin) = pin {
                    terminal_on[*pin] = Some(terminal);
                }
            }
            let mut unused = (0..names.len()).filter(|&terminal| joint.dealt[terminal].is_none());
            let mut new_pin = vec![0; names.len()];
            for (pin, terminal) in terminal_on.into_iter().enumerate() {
                let terminal =
                    terminal.unwrap_or_else(|| unused.next().expect("as many terminals are left as pins"));
                pins[pin].terminal.clone_from(&names[terminal]);
                new_pin[terminal] = pin;
            }
            let mut n_wires = vec![0; names.len()];
            for (terminal, n) in facts.n_wires[joint.symbol].iter().enumerate() {
                n_wires[new_pin[terminal]] = *n;
            }
            facts.n_wires[joint.symbol] = n_wires;
            for end in facts.links.iter_mut().flat_map(|link| &mut link.ends) {
                if end.symbol == joint.symbol {
                    end.pin = new_pin[end.pin];
                }
            }
        }
    }
}
