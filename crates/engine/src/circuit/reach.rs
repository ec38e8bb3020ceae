//! What is connected with what: walks over branches, without any solution.

use crate::circuit::{Circuit, NetIndex};

/// The nets reachable from `start` over the branches for which `through` holds, in the order met,
/// each with the branch it was reached by (`None` for the start).
///
/// Breadth first, so each net is met over the fewest branches. Takes time in proportion to the
/// branches of the circuit.
pub fn walk(
    circuit: &Circuit,
    start: &[NetIndex],
    mut through: impl FnMut(usize, NetIndex) -> bool,
) -> Vec<(NetIndex, Option<usize>)> {
    let mut met = vec![false; circuit.nets.len()];
    let mut order: Vec<(NetIndex, Option<usize>)> = Vec::new();
    for net in start {
        if !met[*net] {
            met[*net] = true;
            order.push((*net, None));
        }
    }
    let mut next = 0;
    while next < order.len() {
        let net = order[next].0;
        next += 1;
        for &index in &circuit.at[net] {
            let far = circuit.far_end(index, net);
            if !met[far] && through(index, net) {
                met[far] = true;
                order.push((far, Some(index)));
            }
        }
    }
    order
}
