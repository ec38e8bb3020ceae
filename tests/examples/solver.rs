//! Times the linear solver beside a linear-algebra crate, and compares both on twenty decades of resistance.
//!
//! `cargo xtask measure solver`
//!
//! The crate is given its best case: the engine's own order of elimination, so that its factor has the same fill,
//! and only the numerical work is timed on both sides. What comes once for each circuit (the order and the
//! structure of the factor) has its own columns.
//!
//! Then the same networks are solved by scipy and numpy, whose times `tests/reference/linear.py` takes. Warm is the
//! engine's numerical work for a circuit it knows, cold all of it from the list of edges on; both are held against
//! `spsolve`, which orders, factors and solves in one call.

use std::hint::black_box;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::time::{Duration, Instant};

use engine::solve::linear::{Factor, Pattern};
use nalgebra::{DMatrix, DVector};
use nalgebra_sparse::factorization::{CscCholesky, CscSymbolicCholesky};
use nalgebra_sparse::{CooMatrix, CscMatrix};
use serde_json::Value as Json;
use suite::networks::{Network, near_tree, twenty_decades};

fn main() {
    println!(
        "microseconds, least of the rounds; `dense` and `sparse` are LU and Cholesky of nalgebra {NALGEBRA}"
    );
    println!(
        "{:>7} {:>7} {:>10} {:>10} {:>10} {:>8} {:>8} {:>10} {:>12} {:>10}",
        "nodes",
        "edges",
        "engine",
        "sparse",
        "dense",
        "sparse",
        "dense",
        "difference",
        "engine once",
        "sparse once"
    );
    for (n_nodes, n_chords, rounds) in [(20, 1, 20_000), (150, 8, 4_000), (1_000, 50, 400), (10_000, 500, 10)]
    {
        measure(&near_tree(n_nodes, n_chords, 7), rounds);
    }
    println!();
    beside_scipy();
    println!();
    let (network, exact) = twenty_decades();
    let off = |volts: &[f64]| (volts[network.n_nodes - 1] / exact - 1.0).abs();
    println!("fifty nodes, 1 nanoohm and 10 megohm in turn, loaded by 1 gigaohm: relative error at the end");
    println!("  engine  {:.1e}", off(&Engine::new(&network).solve()));
    println!("  dense   {:.1e}", off(&dense(&network)));
    match Sparse::new(&network).factor() {
        Some(factor) => println!("  sparse  {:.1e}", off(&factor.solve())),
        None => println!("  sparse  gives up"),
    }
}

/// The interpreter that `cargo xtask test` prepares for the reference programs.
fn python() -> PathBuf {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("..");
    let target = std::env::var_os("CARGO_TARGET_DIR").map_or_else(|| root.join("target"), PathBuf::from);
    target.join(if cfg!(windows) { "reference/Scripts/python.exe" } else { "reference/bin/python" })
}

fn beside_scipy() {
    let program = concat!(env!("CARGO_MANIFEST_DIR"), "/reference/linear.py");
    // One thread each: the engine has no more.
    let output = Command::new(python()).args([program, "--time"]).env("OPENBLAS_NUM_THREADS", "1").output();
    let output = match output {
        Ok(output) if output.status.success() => output.stdout,
        _ => {
            println!("no comparison with scipy: `cargo xtask test` prepares its environment");
            return;
        }
    };
    let times: Vec<Json> = serde_json::from_slice(&output).expect("the program prints a list");
    println!(
        "microseconds, least of the rounds; scipy and numpy as pinned in `tests/reference/requirements.txt`"
    );
    println!(
        "{:>7} {:>10} {:>10} {:>10} {:>10} {:>10} {:>10} {:>8} {:>8}",
        "nodes", "warm", "cold", "spsolve", "superlu", "its solve", "dense", "warm", "cold"
    );
    for entry in times {
        let n_nodes = entry["nodes"].as_u64().expect("a size is a number") as usize;
        let (n_chords, rounds) = match n_nodes {
            20 => (1, 20_000),
            150 => (8, 4_000),
            1_000 => (50, 400),
            _ => (500, 10),
        };
        let network = near_tree(n_nodes, n_chords, 7);
        let mut engine = Engine::new(&network);
        let warm = micro(least(rounds, || engine.solve()));
        let cold = micro(least(rounds.min(1_000), || Engine::new(&network).solve()));
        let of = |key: &str| entry[key].as_f64();
        let shown = |key: &str| of(key).map_or("-".to_owned(), |time| format!("{time:.1}"));
        let ratio = |own: f64| of("spsolve").map_or(0.0, |time| time / own);
        println!(
            "{n_nodes:>7} {warm:>10.2} {cold:>10.1} {:>10} {:>10} {:>10} {:>10} {:>7.1}x {:>7.1}x",
            shown("spsolve"),
            shown("superlu"),
            shown("solve"),
            shown("dense"),
            ratio(warm),
            ratio(cold),
        );
    }
}

/// The release in `Cargo.toml`.
const NALGEBRA: &str = "0.34";

fn measure(network: &Network, rounds: usize) {
    let mut engine = Engine::new(network);
    let engine_time = least(rounds, || engine.solve());
    let by_engine = engine.solve();
    let sparse = Sparse::new(network);
    let mut factor = sparse.factor().expect("the matrix is positive definite");
    let sparse_time = least(rounds, || factor.again(&sparse));
    let by_sparse = factor.solve();
    let largest = by_engine.iter().fold(0.0, |most: f64, volts| most.max(volts.abs()));
    let difference =
        by_engine.iter().zip(&by_sparse).fold(0.0, |most: f64, (a, b)| most.max((a - b).abs() / largest));
    // A dense matrix of ten thousand nodes takes minutes and says nothing new.
    let dense_time = (network.n_nodes <= 1_000).then(|| least(rounds.min(20), || dense(network)));
    let ratio = |time: Duration| time.as_secs_f64() / engine_time.as_secs_f64();
    let once = rounds.min(20);
    println!(
        "{:>7} {:>7} {:>10.2} {:>10.2} {:>10} {:>7.1}x {:>8} {:>10.1e} {:>12.1} {:>10.1}",
        network.n_nodes,
        network.edges.len(),
        micro(engine_time),
        micro(sparse_time),
        dense_time.map_or("-".to_owned(), |time| format!("{:.2}", micro(time))),
        ratio(sparse_time),
        dense_time.map_or("-".to_owned(), |time| format!("{:.1}x", ratio(time))),
        difference,
        micro(least(once, || Pattern::new(network.n_nodes, &network.edges))),
        micro(least(once, || CscSymbolicCholesky::factor(sparse.matrix.pattern().clone()))),
    );
}

fn least<T>(rounds: usize, mut work: impl FnMut() -> T) -> Duration {
    let time = |_| {
        let start = Instant::now();
        black_box(work());
        start.elapsed()
    };
    (0..rounds).map(time).min().unwrap_or_default()
}

fn micro(time: Duration) -> f64 {
    time.as_secs_f64() * 1e6
}

struct Engine<'n> {
    network: &'n Network,
    pattern: Pattern,
    factor: Factor,
    work: Vec<f64>,
}

impl<'n> Engine<'n> {
    fn new(network: &'n Network) -> Engine<'n> {
        let pattern = Pattern::new(network.n_nodes, &network.edges);
        Engine { network, pattern, factor: Factor::default(), work: Vec::new() }
    }

    fn solve(&mut self) -> Vec<f64> {
        self.pattern.factor(&self.network.conductance, &self.network.ground, &mut self.factor);
        let mut volts = self.network.raising.clone();
        self.pattern.solve(&self.factor, &mut volts, &mut self.work);
        volts
    }
}

/// The equations as a sparse matrix, rows in the order in which the engine eliminates.
struct Sparse<'n> {
    network: &'n Network,
    places: Vec<u32>,
    matrix: CscMatrix<f64>,
}

impl<'n> Sparse<'n> {
    fn new(network: &'n Network) -> Sparse<'n> {
        let places = Pattern::new(network.n_nodes, &network.edges).places().to_vec();
        let mut entries = CooMatrix::new(network.n_nodes, network.n_nodes);
        for_entries(network, |row, column, value| {
            entries.push(places[row] as usize, places[column] as usize, value);
        });
        Sparse { network, places, matrix: CscMatrix::from(&entries) }
    }

    fn factor(&self) -> Option<SparseFactor> {
        let mut right = DVector::zeros(self.network.n_nodes);
        for (place, amps) in self.places.iter().zip(&self.network.raising) {
            right[*place as usize] = *amps;
        }
        let symbolic = CscSymbolicCholesky::factor(self.matrix.pattern().clone());
        let cholesky = CscCholesky::factor_numerical(symbolic, self.matrix.values()).ok()?;
        Some(SparseFactor { places: self.places.clone(), right, cholesky })
    }
}

struct SparseFactor {
    places: Vec<u32>,
    right: DVector<f64>,
    cholesky: CscCholesky<f64>,
}

impl SparseFactor {
    fn again(&mut self, sparse: &Sparse<'_>) -> DMatrix<f64> {
        self.cholesky.refactor(sparse.matrix.values()).expect("the matrix is positive definite");
        self.cholesky.solve(&self.right)
    }

    fn solve(&self) -> Vec<f64> {
        let volts = self.cholesky.solve(&self.right);
        self.places.iter().map(|place| volts[*place as usize]).collect()
    }
}

fn dense(network: &Network) -> Vec<f64> {
    let mut matrix = DMatrix::zeros(network.n_nodes, network.n_nodes);
    for_entries(network, |row, column, value| matrix[(row, column)] += value);
    let right = DVector::from_column_slice(&network.raising);
    let volts = matrix.lu().solve(&right).expect("the matrix is positive definite");
    volts.as_slice().to_vec()
}

fn for_entries(network: &Network, mut entry: impl FnMut(usize, usize, f64)) {
    for (node, conductance) in network.ground.iter().enumerate() {
        entry(node, node, *conductance);
    }
    for (&(a, b), &conductance) in network.edges.iter().zip(&network.conductance) {
        if a != b {
            entry(a, a, conductance);
            entry(b, b, conductance);
            entry(a, b, -conductance);
            entry(b, a, -conductance);
        }
    }
}
