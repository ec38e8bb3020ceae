//! Sets of numbers below a fixed one.

/// Some of a fixed number of things, one bit each.
#[derive(Clone)]
pub(super) struct Set(Vec<u64>);

impl Set {
    /// None of `n` things.
    pub fn none(n: usize) -> Set {
        Set(vec![0; n.div_ceil(64)])
    }

    pub fn add(&mut self, index: usize) {
        self.0[index / 64] |= 1 << (index % 64);
    }

    pub fn has(&self, index: usize) -> bool {
        self.0[index / 64] & (1 << (index % 64)) != 0
    }

    pub fn n(&self) -> usize {
        self.0.iter().map(|bits| bits.count_ones() as usize).sum()
    }

    pub fn is_empty(&self) -> bool {
        self.0.iter().all(|bits| *bits == 0)
    }

    pub fn n_shared(&self, other: &Set) -> usize {
        self.0.iter().zip(&other.0).map(|(a, b)| (a & b).count_ones() as usize).sum()
    }

    /// Whether all of it is in another one.
    pub fn is_within(&self, other: &Set) -> bool {
        self.0.iter().zip(&other.0).all(|(a, b)| a & !b == 0)
    }

    pub fn add_all(&mut self, other: &Set) {
        self.0.iter_mut().zip(&other.0).for_each(|(own, bits)| *own |= bits);
    }

    pub fn remove_all(&mut self, other: &Set) {
        self.0.iter_mut().zip(&other.0).for_each(|(own, bits)| *own &= !bits);
    }

    pub fn iter(&self) -> impl Iterator<Item = usize> + '_ {
        (0..64 * self.0.len()).filter(|index| self.has(*index))
    }
}
