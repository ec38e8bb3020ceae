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
    /// A number between `low` and `high`, all equally likely.
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.unit()
    }

    /// A whole number from `low` to `high`, both included.
    pub fn whole(&mut self, low: usize, high: usize) -> usize {
        low + self.below(high - low + 1)
    }

    /// Ten to a power between `low` and `high`, every decade equally likely.
    pub fn decades(&mut self, low: f64, high: f64) -> f64 {
        10f64.powf(self.between(low, high))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// First outputs for seed 0 of the published generator.
    #[test]
    fn the_stream_is_the_published_one() {
        let mut chance = Chance::new(0);
        assert_eq!(chance.bits(), 0xE220_A839_7B1D_CDAF);
        assert_eq!(chance.bits(), 0x6E78_9E6A_A1B9_65F4);
    }

    #[test]
    fn numbers_keep_their_bounds() {
        let mut chance = Chance::new(7);
        for _ in 0..1000 {
            assert!((0.0..=1.0).contains(&chance.unit()));
            assert!((3..=5).contains(&chance.whole(3, 5)));
            assert!((0.99e-6..=1.01e6).contains(&chance.decades(-6.0, 6.0)));
        }
    }
}
