//! Random numbers from a seed, the same on every machine. Scenes, seasons and tests share them.

/// A stream of SplitMix64 (Steele, Lea and Flood, *Fast splittable pseudorandom number generators*, 2014, figure 17).
#[derive(Debug, Clone)]
pub struct Dice(u64);

impl Dice {
    /// The same seed always gives the same stream.
    pub fn new(seed: u64) -> Dice {
        Dice(seed)
    }

    /// A stream of its own: drawing more from it does not change this one.
    pub fn split(&mut self) -> Dice {
        Dice(self.bits())
    }

    /// 64 uniform bits.
    pub fn bits(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        mixed(self.0)
    }

    /// Uniform in [0, 1): 53 bits, as many as a double holds.
    pub fn part(&mut self) -> f64 {
        (self.bits() >> 11) as f64 / (1u64 << 53) as f64
    }

    /// Uniform in [low, high).
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.part()
    }

    /// Normal with mean 0 and deviation 1 (Box and Muller, 1958).
    pub fn normal(&mut self) -> f64 {
        let radius = (-2.0 * (1.0 - self.part()).ln()).sqrt();
        radius * (std::f64::consts::TAU * self.part()).cos()
    }

    /// True with this probability.
    pub fn chance(&mut self, probability: f64) -> bool {
        self.part() < probability
    }

    /// A uniform whole number below `count`, which must be at least 1.
    pub fn below(&mut self, count: usize) -> usize {
        ((self.part() * count as f64) as usize).min(count.saturating_sub(1))
    }

    /// Shuffles, with every order equally probable (Fisher and Yates).
    pub fn shuffle<T>(&mut self, items: &mut [T]) {
        for last in (1..items.len()).rev() {
            items.swap(last, self.below(last + 1));
        }
    }
}

/// A hash of whole coordinates, from 0 to 1, without visible order: the grain of surfaces.
pub(crate) fn grain(x: i64, y: i64, salt: u64) -> f32 {
    let bits =
        mixed((x as u64).wrapping_mul(0x9E37_79B9_7F4A_7C15) ^ (y as u64).rotate_left(32) ^ (salt << 17));
    (bits >> 40) as f32 / (1u64 << 24) as f32
}

fn mixed(mut bits: u64) -> u64 {
    bits = (bits ^ (bits >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
    bits = (bits ^ (bits >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
    bits ^ (bits >> 31)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The first numbers for seed 1234567, as published with the algorithm's reference code.
    #[test]
    fn the_numbers_are_those_of_the_published_algorithm() {
        let mut dice = Dice::new(1_234_567);
        let drawn: Vec<u64> = (0..3).map(|_| dice.bits()).collect();
        assert_eq!(drawn, [6_457_827_717_110_365_317, 3_203_168_211_198_807_973, 9_817_491_932_198_370_423]);
    }

    #[test]
    fn normal_numbers_have_mean_0_and_deviation_1() {
        let mut dice = Dice::new(5);
        let drawn: Vec<f64> = (0..20_000).map(|_| dice.normal()).collect();
        let mean = drawn.iter().sum::<f64>() / 20_000.0;
        let variance = drawn.iter().map(|x| x * x).sum::<f64>() / 20_000.0;
        assert!(mean.abs() < 0.03 && (variance - 1.0).abs() < 0.04, "{mean} {variance}");
    }

    #[test]
    fn units_stay_in_range_and_normals_have_mean_zero_and_variance_one() {
        let mut dice = Dice::new(7);
        assert!((0..10_000).map(|_| dice.part()).all(|unit| (0.0..1.0).contains(&unit)));
        let normals: Vec<f64> = (0..10_000).map(|_| dice.normal()).collect();
        let mean = normals.iter().sum::<f64>() / 1e4;
        let variance = normals.iter().map(|value| value * value).sum::<f64>() / 1e4;
        // Four standard errors: 4 / sqrt(n), and 4 · sqrt(2 / n).
        assert!(mean.abs() < 0.04 && (variance - 1.0).abs() < 0.057, "{mean} {variance}");
    }
}
