//! Which symbols a wire joins, where a terminal is shown by several.

use std::collections::{BTreeMap, BTreeSet};

use engine::arrange;
use engine::document::Network;
use engine::ids::TerminalRef;

use super::{End, Former, Origin};
use crate::symbol::Symbol;

/// The ends of each wire and the number of wires on each pin.
///
/// Where a terminal is shown several times, free repetitions serve one wire each in the order of
/// the wires; which of pinned ones [`choose_ends`] decides, unless the wire was there before and
/// neither end moved.
pub(super) fn wire_ends(
    network: &Network,
    symbols: &[Symbol],
    origin: &Origin,
    former: Option<&Former>,
) -> (Vec<Option<[End; 2]>>, Vec<Vec<usize>>) {
    let mut shown: BTreeMap<TerminalRef, Vec<End>> = BTreeMap::new();
    for (index, symbol) in symbols.iter().enumerate() {
        for (pin, at) in symbol.view.pins.iter().enumerate() {
            let terminal = TerminalRef::new(&network.parts[symbol.part].id, &at.terminal);
            shown.entry(terminal).or_default().push(End { symbol: index, pin });
        }
    }
    let mut next: BTreeMap<&TerminalRef, usize> = BTreeMap::new();
    let mut choices: Vec<Option<[Vec<End>; 2]>> = Vec::new();
    let mut now: Vec<Option<usize>> = vec![None; former.map_or(0, |former| former.layout.symbols.len())];
    for (index, was) in origin.symbols.iter().enumerate() {
        if let Some(was) = was {
            now[*was] = Some(index);
        }
    }
    // The same end on the symbol as it is now, if that stands where it stood.
    let end_now = |end: End, terminal: &TerminalRef| -> Option<End> {
        let was = &former?.layout.symbols[end.symbol];
        let symbol = now[end.symbol]?;
        let is = &symbols[symbol];
        let stayed = is.pinned && (is.at, is.turn) == (was.at, was.turn);
        let pin = is.view.pins.iter().position(|pin| pin.terminal == terminal.terminal.as_str())?;
        stayed.then_some(End { symbol, pin })
    };
    for (index, wire) in network.wires.iter().enumerate() {
        let kept = origin.wires[index].and_then(|was| {
            let [a, b] = former?.layout.ends[was]?;
            Some([vec![end_now(a, &wire.from)?], vec![end_now(b, &wire.to)?]])
        });
        if kept.is_some() {
            choices.push(kept);
            continue;
        }
        let mut choose = |terminal| -> Option<Vec<End>> {
            let all = shown.get(terminal)?;
            let (standing, free): (Vec<End>, Vec<End>) =
                all.iter().partition(|end| symbols[end.symbol].pinned);
            let turn = next.entry(terminal).or_default();
            if *turn >= free.len() && !standing.is_empty() {
                return Some(standing);
            }
            let end = free[(*turn).min(free.len() - 1)];
            *turn += 1;
            Some(vec![end])
        };
        let from = choose(&wire.from);
        let to = choose(&wire.to);
        choices.push(from.zip(to).filter(|_| wire.from != wire.to).map(|(from, to)| [from, to]));
    }
    let ends = choose_ends(symbols, &choices);
    let n_wires = n_wires(symbols, &ends);
    (ends, n_wires)
}

/// How many wires with these ends meet each pin, by symbol and pin.
pub(super) fn n_wires(symbols: &[Symbol], ends: &[Option<[End; 2]>]) -> Vec<Vec<usize>> {
    let mut n_wires: Vec<Vec<usize>> = symbols.iter().map(|symbol| vec![0; symbol.view.pins.len()]).collect();
    for end in ends.iter().flatten().flatten() {
        n_wires[end.symbol][end.pin] += 1;
    }
    n_wires
}

/// One pair of ends for each wire. Where a terminal is shown several times, the nearest of all pairs
/// come first, and each repetition serves one wire before any serves two.
fn choose_ends(symbols: &[Symbol], choices: &[Option<[Vec<End>; 2]>]) -> Vec<Option<[End; 2]>> {
    let mut ends: Vec<Option<[End; 2]>> = vec![None; choices.len()];
    let mut taken: BTreeSet<End> = BTreeSet::new();
    let mut pairs: Vec<(i32, usize, [End; 2])> = Vec::new();
    for (wire, choice) in choices.iter().enumerate() {
        let Some([from, to]) = choice else { continue };
        if let ([a], [b]) = (from.as_slice(), to.as_slice()) {
            ends[wire] = Some([*a, *b]);
            taken.extend([*a, *b]);
            continue;
        }
        let at = |end: &End| symbols[end.symbol].port(end.pin).at;
        let both = from.iter().flat_map(|a| to.iter().map(move |b| [*a, *b]));
        pairs.extend(both.map(|ends| (at(&ends[0]).distance(at(&ends[1])), wire, ends)));
    }
    arrange::sort(&mut pairs);
    for serves_one in [true, false] {
        for (_, wire, pair) in &pairs {
            let has_choice = |i: usize| choices[*wire].as_ref().is_some_and(|choice| choice[i].len() > 1);
            let is_open = |i: usize| !serves_one || !has_choice(i) || !taken.contains(&pair[i]);
            if ends[*wire].is_none() && is_open(0) && is_open(1) {
                ends[*wire] = Some(*pair);
                taken.extend(pair);
            }
        }
    }
    ends
}
