//! A sum of independent uniform errors and one normal error: its exact distribution.
//!
//! An event between two frames is uniform, a clock's offset normal; the time between two events is then a normal
//! plus a few uniforms (JCGM 100, 4.3.7 and 4.3.8, gives their standard uncertainties w/√12). The distribution
//! function has a closed form: with H₀(x) = Φ(x/σ) and Hₙ its n-fold antiderivative from −∞,
//!
//! `P(X ≤ m + x) = Σ ± Hₙ(x ± w₁/2 … ± wₙ/2) / (w₁ … wₙ)`, and n Hₙ(x) = x Hₙ₋₁(x) + σ² Hₙ₋₂(x), H₋₁ = φ(x/σ)/σ,
//!
//! which for σ = 0 ends in Hₙ(x) = max(x, 0)ⁿ/n!. The differences lose digits where a width is small against the
//! rest, so such a width is taken as normal, with its own variance: against a normal of σ ≥ w/0.03 that changes the
//! distribution function by less than w⁴/(2880 σ⁴) · 1.4 < 4e-10 (the fourth cumulant), against a uniform a thousand
//! times wider by less than 1e-7. The sum is symmetric, and each figure is taken in the lower half, where it is
//! small.

use crate::normal;

/// The most uniform errors in one sum: for each of two events its frame, shutter and exposure.
const MOST: usize = 6;

/// A width below this share of the normal's sigma is taken as normal.
const SMALL_AGAINST_NORMAL: f64 = 0.03;

/// A width below this share of the widest is taken as normal.
const SMALL_AGAINST_WIDEST: f64 = 1e-3;

/// A symmetric error about a mean, in the unit of its mean.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spread {
    mean: f64,
    /// The whole widths of the uniform errors; only the first `count` are there.
    widths: [f64; MOST],
    count: usize,
    /// Of the normal error, with the widths that were taken as normal.
    normal: f64,
    /// Of the whole sum.
    sigma: f64,
}

impl Spread {
    /// The sum of uniform errors of these whole widths and a normal one, about `mean`. Widths and `sigma` are
    /// finite and not negative, and at most six widths are not 0.
    pub fn new(mean: f64, widths: &[f64], sigma: f64) -> Spread {
        debug_assert!(widths.iter().filter(|width| **width > 0.0).count() <= MOST);
        let widest = widths.iter().fold(0.0, |widest: f64, width| widest.max(*width));
        let mut spread = Spread { mean, widths: [0.0; MOST], count: 0, normal: 0.0, sigma: 0.0 };
        let mut variance = sigma * sigma;
        for &width in widths.iter().filter(|width| **width > 0.0) {
            let small = width < SMALL_AGAINST_NORMAL * sigma || width < SMALL_AGAINST_WIDEST * widest;
            if small || spread.count == MOST {
                variance += width * width / 12.0;
            } else {
                spread.widths[spread.count] = width;
                spread.count += 1;
            }
        }
        spread.normal = variance.sqrt();
        let uniform: f64 = spread.widths.iter().map(|width| width * width / 12.0).sum();
        Spread { sigma: (variance + uniform).sqrt(), ..spread }
    }

    /// The mean, which is also the median.
    pub fn mean(&self) -> f64 {
        self.mean
    }

    /// The standard deviation.
    pub fn sigma(&self) -> f64 {
        self.sigma
    }

    /// P(X ≤ x).
    pub fn below(&self, x: f64) -> f64 {
        let away = x - self.mean;
        if away < 0.0 { self.lower(away) } else { 1.0 - self.lower(-away) }
    }

    /// P(X > x).
    pub fn above(&self, x: f64) -> f64 {
        let away = x - self.mean;
        if away < 0.0 { 1.0 - self.lower(away) } else { self.lower(-away) }
    }

    /// The central interval that holds the value with this probability, in (0, 1).
    pub(crate) fn central(&self, probability: f64) -> (f64, f64) {
        let tail = (1.0 - probability) / 2.0;
        // Beyond ten sigmas of the normal and all of the uniforms lies less than 1e-23.
        let mut out = -(self.widths.iter().sum::<f64>() / 2.0 + 10.0 * self.normal);
        let mut inside = 0.0;
        for _ in 0..64 {
            let middle = (out + inside) / 2.0;
            if self.lower(middle) < tail {
                out = middle;
            } else {
                inside = middle;
            }
        }
        (self.mean + out, self.mean - out)
    }

    /// P(X ≤ mean + away) for `away` ≤ 0; 0 if there is no error at all.
    fn lower(&self, away: f64) -> f64 {
        if self.sigma == 0.0 {
            return 0.0;
        }
        let widths = &self.widths[..self.count];
        let mut sum = 0.0;
        for signs in 0_u32..1 << self.count {
            let minus = |index: usize| signs >> index & 1 == 1;
            let ends =
                widths.iter().enumerate().map(|(index, width)| if minus(index) { -width } else { *width });
            let term = self.antiderivative(away + ends.sum::<f64>() / 2.0);
            sum += if signs.count_ones() % 2 == 0 { term } else { -term };
        }
        (sum / widths.iter().product::<f64>()).clamp(0.0, 0.5)
    }

    /// Hₙ(x), n being the number of uniform errors.
    fn antiderivative(&self, x: f64) -> f64 {
        let sigma = self.normal;
        let (mut before, mut now) = match sigma > 0.0 {
            true => (normal::density(x / sigma) / sigma, normal::below(x / sigma)),
            false if x > 0.0 => (0.0, 1.0),
            false => return 0.0,
        };
        for n in 1..=self.count {
            let next = (x * now + sigma * sigma * before) / n as f64;
            (before, now) = (now, next);
        }
        now
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Expected: `scripts/order-reference.py` (SciPy: the characteristic function inverted).
    #[test]
    fn the_distribution_is_that_of_scipy() {
        for (widths, sigma, x, expected) in REFERENCE {
            let below = Spread::new(0.0, widths, *sigma).below(*x);
            assert!((below - expected).abs() < 2e-9, "{widths:?} {sigma} {x}: {below} {expected}");
        }
    }

    const REFERENCE: &[(&[f64], f64, f64, f64)] = &[
        (&[1.0, 1.0], 0.1, -0.7, 0.049_998_982_824_6),
        (&[1.0, 0.5], 0.25, 0.3, 0.758_296_653_551_6),
        (&[1.0, 2.0], 3.0, -4.0, 0.096_221_212_146_6),
        (&[0.02, 1.0], 1.0, 0.5, 0.684_370_574_026_9),
        (&[1.0, 0.5, 0.3], 0.2, -0.9, 0.006_866_963_913_6),
        (&[1.0, 1.0, 0.6, 0.6, 0.2, 0.2], 0.3, -1.1, 0.025_597_303_176_8),
        (&[1.0, 1.0, 0.05, 0.05, 0.04, 0.04], 1.0, 0.8, 0.770_187_757_915_2),
    ];

    #[test]
    fn two_frames_make_a_triangle() {
        let triangle = Spread::new(1.0, &[2.0, 2.0], 0.0);
        // Half of the square of what is left of the base: 1/8 of (1 - |x|/2)^2 * 4.
        for (x, below) in [(-1.0, 0.0), (0.0, 0.125), (1.0, 0.5), (2.0, 0.875), (3.0, 1.0)] {
            assert!((triangle.below(x) - below).abs() < 1e-15, "{x}");
            assert!((triangle.above(x) - (1.0 - below)).abs() < 1e-15, "{x}");
        }
        assert!((triangle.sigma() - (2.0 * 4.0 / 12.0_f64).sqrt()).abs() < 1e-15);
        let (low, high) = triangle.central(0.95);
        let end = 2.0 - 2.0 * 0.05_f64.sqrt();
        assert!((low - (1.0 - end)).abs() < 1e-12 && (high - (1.0 + end)).abs() < 1e-12, "{low} {high}");
    }

    #[test]
    fn a_normal_alone_and_a_point_are_spreads_too() {
        let (low, high) = Spread::new(0.0, &[], 2.0).central(0.95);
        assert!((low + 2.0 * 1.959_963_984_540_054).abs() < 1e-9 && (high + low).abs() < 1e-15);
        let point = Spread::new(3.0, &[0.0], 0.0);
        assert_eq!(
            (point.below(2.9), point.below(3.0), point.above(3.0), point.above(2.9)),
            (0.0, 1.0, 0.0, 1.0)
        );
        assert_eq!(point.central(0.95), (3.0, 3.0));
    }

    /// The two forms agree where a width passes from the one to the other.
    #[test]
    fn a_width_taken_as_normal_changes_nothing_that_is_seen() {
        for (share, sigma) in [(SMALL_AGAINST_NORMAL, 1.0), (SMALL_AGAINST_WIDEST, 0.0)] {
            for x in [-1.7, -1.2, -0.5, -0.1] {
                let (before, after) = (share * 0.999_999, share * 1.000_001);
                let below = |width| Spread::new(0.0, &[1.0, 1.0, width], sigma).below(x);
                let small = |width| {
                    if sigma > 0.0 { Spread::new(0.0, &[width], sigma).below(x) } else { below(width) }
                };
                assert!((small(before) - small(after)).abs() < 1e-6, "{share} {x}");
            }
        }
    }
}
