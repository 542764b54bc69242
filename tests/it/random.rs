//! Pseudorandom numbers, the same in every run: SplitMix64 (G. L. Steele, D. Lea and C. H. Flood, "Fast splittable pseudorandom
//! number generators", OOPSLA 2014). Test modules add methods for the values that they draw.

/// A generator with its state; a seed is a first state.
pub struct Random(pub u64);

impl Random {
    /// The next 64 bits.
    pub fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mixed = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        let mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        mixed ^ (mixed >> 31)
    }

    /// From 0, below the limit.
    pub fn below(&mut self, limit: u64) -> u64 {
        self.next() % limit
    }

    /// At least 0, below 1.
    pub fn share(&mut self) -> f64 {
        (self.next() >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// Uniform from `low` to `high`.
    pub fn uniform(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.share()
    }
}
