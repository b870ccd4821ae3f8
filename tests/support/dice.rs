//! Random numbers from a seed, for oracles that draw rather than compute.

/// SplitMix64 (Steele, Lea, Flood 2014): small, and good enough to draw from.
pub struct Dice(pub u64);

impl Dice {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// Uniform in (0, 1).
    pub fn unit(&mut self) -> f64 {
        ((self.next() >> 11) as f64 + 0.5) / (1_u64 << 53) as f64
    }

    /// Uniform in (low, high).
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.unit()
    }

    /// Normal about 0 (Box and Muller 1958).
    pub fn normal(&mut self, sigma: f64) -> f64 {
        let (radius, angle) = ((-2.0 * self.unit().ln()).sqrt(), std::f64::consts::TAU * self.unit());
        sigma * radius * angle.cos()
    }

    /// One of so many, from 0.
    pub fn below(&mut self, count: usize) -> usize {
        (self.next() % count as u64) as usize
    }
}
