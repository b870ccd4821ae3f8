//! The standard normal distribution, good in both tails.
//!
//! Differences of it are divided by small widths, so the error function must be right to its last digit: that of
//! `libm` is (the C library's; that of `statrs` is off by 3e-11).

use libm::erfc;
use std::f64::consts::{FRAC_1_SQRT_2, PI};

/// P(Z ≤ z).
pub fn below(z: f64) -> f64 {
    0.5 * erfc(-z * FRAC_1_SQRT_2)
}

pub(crate) fn density(z: f64) -> f64 {
    (-0.5 * z * z).exp() / (2.0 * PI).sqrt()
}

/// P(low < Z ≤ high), 0 where `low` is not the lower end. An interval in the upper tail is mirrored to the lower one,
/// where the figures are small and no digits are lost.
pub fn between(low: f64, high: f64) -> f64 {
    let (low, high) = if low > 0.0 { (-high, -low) } else { (low, high) };
    (below(high) - below(low)).max(0.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Expected: `scipy.stats.norm` (SciPy, `scripts/order-reference.py`).
    #[test]
    fn tails_keep_their_digits() {
        for (low, high, expected) in [
            (-1.0, 1.0, 0.682_689_492_137_085_8),
            (5.0, 6.0, 2.856_649_842_341_56e-7),
            (-6.0, -5.0, 2.856_649_842_341_56e-7),
            (1.0, 0.0, 0.0),
        ] {
            let mass = between(low, high);
            assert!((mass - expected).abs() <= 1e-12 * expected, "{low} {high}: {mass}");
        }
        assert!((density(1.0) - 0.241_970_724_519_143_37).abs() < 1e-15);
    }
}
