//! A proportion with Wilson's score interval.
//!
//! E. B. Wilson, "Probable inference, the law of succession, and statistical inference", Journal of the American
//! Statistical Association 22 (1927) 209–212. Newcombe, Statistics in Medicine 17 (1998) 857–872, method 3, finds
//! it close to its 95 % also for small n and for proportions near 0 and 1, where the textbook interval fails.

/// The 97.5 % point of the standard normal distribution.
pub(crate) const Z95: f64 = 1.959_963_984_540_054;

/// INVARIANT: `count` is at most `of`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(crate) struct Proportion {
    pub count: u64,
    pub of: u64,
}

impl Proportion {
    /// Counts those of `all` that hold.
    pub(crate) fn of(all: impl IntoIterator<Item = bool>) -> Proportion {
        let mut found = Proportion::default();
        for holds in all {
            found.add(holds);
        }
        found
    }

    pub(crate) fn add(&mut self, holds: bool) {
        self.count += u64::from(holds);
        self.of += 1;
    }

    /// The share; none of nothing.
    pub(crate) fn rate(self) -> Option<f64> {
        (self.of > 0).then(|| self.count as f64 / self.of as f64)
    }

    pub(crate) fn wilson95(self) -> Option<[f64; 2]> {
        let rate = self.rate()?;
        let (n, z2) = (self.of as f64, Z95 * Z95);
        let centre = rate + z2 / (2.0 * n);
        let half = Z95 * (rate * (1.0 - rate) / n + z2 / (4.0 * n * n)).sqrt();
        let scale = 1.0 + z2 / n;
        // At the ends the formula gives 0 and 1 but for rounding.
        let low = if self.count == 0 { 0.0 } else { (centre - half) / scale };
        let high = if self.count == self.of { 1.0 } else { (centre + half) / scale };
        Some([low.max(0.0), high.min(1.0)])
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Newcombe 1998, table I, to four places; the last row from statsmodels 0.15, `proportion_confint`.
    #[test]
    fn intervals_are_those_printed_by_newcombe() {
        for (count, of, low, high) in [
            (81, 263, 0.2553, 0.3662),
            (15, 148, 0.0624, 0.1605),
            (0, 20, 0.0, 0.1611),
            (1, 29, 0.0061, 0.1718),
            (20, 20, 0.8389, 1.0),
        ] {
            let [found_low, found_high] = Proportion { count, of }.wilson95().expect("of more than none");
            assert!((found_low - low).abs() < 5e-5 && (found_high - high).abs() < 5e-5, "{count}/{of}");
        }
    }

    #[test]
    fn nothing_of_nothing_has_neither_rate_nor_interval() {
        let none = Proportion::default();
        assert_eq!((none.rate(), none.wilson95()), (None, None));
        assert_eq!(Proportion::of([true, false, true]), Proportion { count: 2, of: 3 });
    }
}
