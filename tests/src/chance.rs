//! Pseudo-random numbers from a seed, the same on every machine.

/// A stream of numbers (the SplitMix64 generator of Steele, Lea and Flood, 2014).
#[derive(Clone, Debug)]
pub struct Chance(u64);

impl Chance {
    /// The stream that belongs to `seed`.
    pub fn new(seed: u64) -> Chance {
        Chance(seed)
    }

    /// The next 64 bits.
    pub fn bits(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        mixed ^ (mixed >> 31)
    }

    /// A number from 0 up to but not `end`, which is at least 1.
    pub fn below(&mut self, end: usize) -> usize {
        (self.bits() % end as u64) as usize
    }

    /// True once in `times`.
    pub fn once_in(&mut self, times: usize) -> bool {
        self.below(times) == 0
    }

    /// One of `choices`, which has at least one.
    pub fn one_of<T: Clone>(&mut self, choices: &[T]) -> T {
        choices[self.below(choices.len())].clone()
    }

    /// A number from 0 to 1.
    pub fn unit(&mut self) -> f64 {
        (self.bits() >> 11) as f64 / ((1u64 << 53) - 1) as f64
    }

    /// A number from `least` to `most`: often an end of the range, often a round number, and
    /// otherwise one with all its digits.
    pub fn within(&mut self, least: f64, most: f64) -> f64 {
        let inside = (least + self.unit() * (most - least)).clamp(least, most);
        match self.below(6) {
            0 => least,
            1 => most,
            2 => inside.round().clamp(least, most),
            // Small numbers are as likely as large ones on this scale.
            3 => (least + (most - least) * self.unit().powi(12)).clamp(least, most),
            _ => inside,
        }
    }
}
