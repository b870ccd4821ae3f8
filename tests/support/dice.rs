//! Random numbers from a seed, for oracles that draw rather than compute: the stream of `scene::dice`, with every number
//! inside its interval, so that no oracle draws an end.

pub struct Dice(scene::dice::Dice);

impl Dice {
    /// The stream of a seed.
    pub fn new(seed: u64) -> Dice {
        Dice(scene::dice::Dice::new(seed))
    }

    /// Uniform in (0, 1).
    pub fn unit(&mut self) -> f64 {
        ((self.0.bits() >> 11) as f64 + 0.5) / (1_u64 << 53) as f64
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

    /// One of `count`, from 0.
    pub fn below(&mut self, count: usize) -> usize {
        (self.0.bits() % count as u64) as usize
    }
}
