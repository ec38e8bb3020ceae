//! With how few readings causes could be told apart at all.

/// The least number of readings by the greatest information that one reading gives: what is unknown at the start, less
/// what may stay unknown, over that.
pub(super) fn by_information(shares: &[f64], most: f64) -> f64 {
    let entropy = |shares: &[f64]| -> f64 {
        let sum: f64 = shares.iter().sum();
        shares.iter().filter(|share| **share > 0.0).map(|share| -share / sum * (share / sum).ln()).sum()
    };
    if most <= 0.0 { 0.0 } else { entropy(&likely(shares)) / most }
}

/// The least number of readings, on average, that tell all likely causes apart (Huffman 1952), where each has as many
/// outcomes as the one that tells most has equally likely ones, rounded up.
pub(super) fn by_questions(shares: &[f64], most: f64) -> f64 {
    let ways = (most.exp().ceil() as usize).max(2);
    let mut left = likely(shares);
    let sum: f64 = left.iter().sum();
    if left.len() < 2 {
        return 0.0;
    }
    while !(left.len() - 1).is_multiple_of(ways - 1) {
        left.push(0.0);
    }
    let mut length = 0.0;
    while left.len() > 1 {
        left.sort_by(|a, b| b.total_cmp(a));
        let merged: f64 = left.split_off(left.len() - ways).iter().sum();
        length += merged;
        left.push(merged);
    }
    length / sum
}

/// The shares without the least ones that together may stay unknown.
fn likely(shares: &[f64]) -> Vec<f64> {
    let mut sorted = shares.to_vec();
    sorted.sort_by(|a, b| b.total_cmp(a));
    let mut left: f64 = sorted.iter().sum::<f64>();
    let all = left;
    let mut kept = Vec::new();
    for share in sorted {
        if left <= 0.05 * all {
            break;
        }
        left -= share;
        kept.push(share);
    }
    kept
}
