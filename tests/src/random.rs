//! Seeded random numbers for corpora: the same seed gives the same corpus on every machine.

/// A generator of evenly spread numbers (the splitmix64 step of Steele, Lea and Flood 2014).
#[derive(Clone, Debug)]
pub struct Random(u64);

impl Random {
    /// A generator whose whole sequence is decided by `seed`.
    pub fn new(seed: u64) -> Random {
        Random(seed)
    }

    /// The next 64 bits.
    pub fn bits(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// A number from `0.0` up to, not including, `1.0`.
    pub fn unit(&mut self) -> f64 {
        (self.bits() >> 11) as f64 / (1u64 << 53) as f64
    }

    /// A number between `low` and `high`.
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.unit()
    }

    /// A whole number from `low` to `high`, both included.
    pub fn whole(&mut self, low: usize, high: usize) -> usize {
        low + (self.bits() % (high - low + 1) as u64) as usize
    }

    /// True once in `n` times on average.
    pub fn once_in(&mut self, n: usize) -> bool {
        self.whole(1, n) == 1
    }

    /// Ten to a power between `low` and `high`, every decade being equally likely.
    pub fn decades(&mut self, low: f64, high: f64) -> f64 {
        10f64.powf(self.between(low, high))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// First outputs for seed 0 of the published generator.
    #[test]
    fn the_sequence_is_the_published_one() {
        let mut random = Random::new(0);
        assert_eq!(random.bits(), 0xE220_A839_7B1D_CDAF);
        assert_eq!(random.bits(), 0x6E78_9E6A_A1B9_65F4);
    }

    #[test]
    fn numbers_keep_their_bounds() {
        let mut random = Random::new(7);
        for _ in 0..1000 {
            assert!((0.0..1.0).contains(&random.unit()));
            assert!((3..=5).contains(&random.whole(3, 5)));
            assert!((1e-6..=1e6).contains(&random.decades(-6.0, 6.0)));
        }
    }
}
