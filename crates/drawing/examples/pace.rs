//! How long it takes to draw, and to follow an edit, in milliseconds: of many edits the median, and
//! for each the fastest of several runs, which other work on the machine disturbs least.
//!
//! ```text
//! cargo run --release -p drawing --example pace
//! ```

#![expect(
    clippy::disallowed_methods,
    clippy::disallowed_types,
    clippy::disallowed_macros,
    clippy::unwrap_used,
    reason = "a program that measures reads files and the clock, and its circuits are sound"
)]

use std::sync::Arc;
use std::time::Instant;

use drawing::board::Board;
use drawing::draw::draw;
use engine::document::{Network, Placement, Wire};
use engine::ids::WireId;

#[expect(dead_code, reason = "only the circuits are used here, not the questions about scenes")]
#[path = "../tests/drawings/support.rs"]
mod support;

fn main() {
    println!("{:28} {:>8} {:>8} {:>8} {:>8} {:>8}", "", "draw", "pinned", "move", "wire", "label");
    for name in ["apiary-flatbed", "apiary-flatbed-as-bought"] {
        let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../../fixtures/jobs/");
        let bytes = std::fs::read(format!("{path}{name}.json")).unwrap();
        measure(name, engine::file::read(&bytes).unwrap().network);
    }
    measure("sensible 19, 60 parts", Arc::new(support::sensible(19, 60)));
    measure("sensible 7, 150 parts", Arc::new(support::sensible(7, 150)));
}

fn measure(name: &str, network: Arc<Network>) {
    let free = Arc::new(Placement::default());
    let board = Board::new(&network, &free);
    let pins = Arc::new(Placement { poses: board.poses() });
    let mut board = board;
    board.update(&network, &pins);

    let mut moves = Vec::new();
    for chosen in (0..pins.poses.len()).step_by(3) {
        let mut moved = (*pins).clone();
        moved.poses[chosen].x += 3;
        moves.push((Arc::clone(&network), Arc::new(moved)));
    }
    let mut wires = Vec::new();
    for chosen in (0..network.parts.len() - 1).step_by(3) {
        let (a, b) = (&network.parts[chosen], &network.parts[chosen + 1]);
        let terminal = |part: &engine::document::Part| engine::ids::TerminalRef {
            part: part.id.clone(),
            terminal: part.terminals()[0].name.clone(),
        };
        let mut more = (*network).clone();
        more.wires.push(Wire::new(WireId::new("extra").unwrap(), terminal(a), terminal(b)));
        wires.push((Arc::new(more), Arc::clone(&pins)));
    }
    let mut labels = Vec::new();
    for chosen in (0..network.parts.len()).step_by(3) {
        let mut renamed = (*network).clone();
        renamed.parts[chosen].label = "cab".to_owned();
        labels.push((Arc::new(renamed), Arc::clone(&pins)));
    }
    let following = |edits: &[(Arc<Network>, Arc<Placement>)]| {
        let mut times: Vec<f64> = edits
            .iter()
            .map(|(network, placement)| {
                let mut boards: Vec<Board> = (0..RUNS).map(|_| board.clone()).collect();
                fastest(|| boards.pop().unwrap().update(network, placement))
            })
            .collect();
        times.sort_by(f64::total_cmp);
        times[times.len() / 2]
    };
    println!(
        "{name:28} {:8.3} {:8.3} {:8.3} {:8.3} {:8.3}",
        fastest(|| drop(draw(&network, &free))),
        fastest(|| drop(draw(&network, &pins))),
        following(&moves),
        following(&wires),
        following(&labels),
    );
}

/// How often each thing is run.
const RUNS: usize = 7;

/// The shortest duration of a run, in milliseconds.
fn fastest(mut run: impl FnMut()) -> f64 {
    let mut least = f64::INFINITY;
    for _ in 0..RUNS {
        let start = Instant::now();
        run();
        least = least.min(start.elapsed().as_secs_f64() * 1000.0);
    }
    least
}
