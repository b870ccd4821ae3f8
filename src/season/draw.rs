//! Chance from a seed: the same season today and tomorrow, on every machine.

use std::f64::consts::TAU;

/// A stream of draws: SplitMix64 (Steele, Lea and Flood, OOPSLA 2014, figure 17).
#[derive(Debug, Clone)]
pub(super) struct Draw {
    state: u64,
}

impl Draw {
    pub(super) fn new(seed: u64) -> Draw {
        Draw { state: seed }
    }

    /// A stream of its own for a part, so that a draw more in one part changes no other.
    pub(super) fn part(&mut self) -> Draw {
        Draw { state: self.bits() }
    }

    fn bits(&mut self) -> u64 {
        self.state = self.state.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut mixed = self.state;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        mixed ^ (mixed >> 31)
    }

    /// Uniform in [0, 1): 53 bits, as many as a double holds.
    pub(super) fn unit(&mut self) -> f64 {
        (self.bits() >> 11) as f64 / (1_u64 << 53) as f64
    }

    pub(super) fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.unit()
    }

    /// Standard normal (Box and Muller 1958).
    pub(super) fn normal(&mut self) -> f64 {
        let (radius, angle) = (1.0 - self.unit(), self.unit());
        (-2.0 * radius.ln()).sqrt() * (TAU * angle).cos()
    }

    /// Whether something of this probability happens.
    pub(super) fn chance(&mut self, probability: f64) -> bool {
        self.unit() < probability
    }

    /// A whole number below `count`, which is at least 1.
    pub(super) fn below(&mut self, count: usize) -> usize {
        ((self.unit() * count as f64) as usize).min(count.saturating_sub(1))
    }

    /// In another order, every order alike (Fisher and Yates).
    pub(super) fn shuffle<T>(&mut self, items: &mut [T]) {
        for last in (1..items.len()).rev() {
            items.swap(last, self.below(last + 1));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The first outputs for the seed 1234567, as the reference implementation prints them.
    #[test]
    fn the_bits_are_those_of_the_reference_implementation() {
        let mut draw = Draw::new(1_234_567);
        let bits: Vec<u64> = (0..3).map(|_| draw.bits()).collect();
        assert_eq!(bits, [6_457_827_717_110_365_317, 3_203_168_211_198_807_973, 9_817_491_932_198_370_423]);
    }

    #[test]
    fn units_stay_in_range_and_normals_have_mean_zero_and_variance_one() {
        let mut draw = Draw::new(7);
        assert!((0..10_000).map(|_| draw.unit()).all(|unit| (0.0..1.0).contains(&unit)));
        let normals: Vec<f64> = (0..10_000).map(|_| draw.normal()).collect();
        let mean = normals.iter().sum::<f64>() / 1e4;
        let variance = normals.iter().map(|value| value * value).sum::<f64>() / 1e4;
        // Four standard errors: 4 / sqrt(n), and 4 · sqrt(2 / n).
        assert!(mean.abs() < 0.04 && (variance - 1.0).abs() < 0.057, "{mean} {variance}");
    }
}
