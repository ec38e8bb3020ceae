//! What hangs on the rest of a network by one branch, and what hangs on that, twig upon twig.
//!
//! No current passes a twig but what leaves or enters at a net on it, and all of that goes the one way there is. So only
//! the core, where there is more than one way or a source, takes a solution to tell which way a current goes. Behind the
//! fuses of a vehicle nearly everything is a twig.

use crate::circuit::{CHASSIS, Circuit, NetIndex};

/// A network as core and twigs.
pub(super) struct Twigs {
    /// The branch by which each net hangs on the rest; a net of the core has none.
    held_by: Vec<Option<usize>>,
    /// The branches between nets of the core, rising.
    pub core: Vec<usize>,
}

impl Twigs {
    /// Takes the twigs off a circuit in which only some branches conduct. Some nets are of the core whatever hangs on
    /// them; so is the body.
    pub fn new(
        circuit: &Circuit,
        conducts: impl Fn(usize) -> bool,
        is_core: impl Fn(NetIndex) -> bool,
    ) -> Twigs {
        let n_nets = circuit.nets.len();
        let (mut is_left, mut n_ends) = (vec![false; circuit.branches.len()], vec![0_usize; n_nets]);
        for (index, branch) in circuit.branches.iter().enumerate() {
            if branch.from != branch.to && conducts(index) {
                is_left[index] = true;
                n_ends[branch.from] += 1;
                n_ends[branch.to] += 1;
            }
        }
        let is_twig = |net: NetIndex, n_ends: &[usize]| n_ends[net] == 1 && net != CHASSIS && !is_core(net);
        let mut held_by = vec![None; n_nets];
        let mut ready: Vec<NetIndex> = (0..n_nets).filter(|net| is_twig(*net, &n_ends)).collect();
        while let Some(net) = ready.pop() {
            // Of two nets with nothing but each other the first taken has left the second bare.
            let Some(by) = circuit.at[net].iter().copied().find(|index| is_left[*index]) else { continue };
            let far = circuit.far_end(by, net);
            held_by[net] = Some(by);
            is_left[by] = false;
            n_ends[net] -= 1;
            n_ends[far] -= 1;
            if is_twig(far, &n_ends) {
                ready.push(far);
            }
        }
        Twigs { held_by, core: (0..is_left.len()).filter(|index| is_left[*index]).collect() }
    }

    /// The branches from a net to the core, and the net of the core that they lead to.
    pub fn way(&self, circuit: &Circuit, net: NetIndex) -> (Vec<usize>, NetIndex) {
        let (mut way, mut at) = (Vec::new(), net);
        while let Some(by) = self.held_by[at] {
            way.push(by);
            at = circuit.far_end(by, at);
        }
        (way, at)
    }
}
