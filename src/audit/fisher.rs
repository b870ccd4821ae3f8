//! Whether two groups differ in how often, exactly: Fisher's test of a two-by-two table.
//!
//! R. A. Fisher, "The Design of Experiments" (1935), chapter 2; the two-sided value adds every table with the same
//! margins that is no more probable than the one seen. It holds for the smallest numbers, where it errs on the side
//! of saying nothing.

use statrs::function::factorial::ln_binomial;

/// A table: how many of the first group hold and do not, and of the second.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Table {
    /// First group: hold, do not.
    pub first: [u64; 2],
    /// Second group: hold, do not.
    pub second: [u64; 2],
}

/// Tables that are equally probable come out a little apart by rounding: R takes the same allowance.
const TIE: f64 = 1e-7;

impl Table {
    /// The probability of a difference at least as great either way.
    pub fn two_sided(self) -> f64 {
        let seen = self.ln_probability(self.first[0]);
        self.sum(|count| self.ln_probability(count) <= seen + TIE)
    }

    /// The probability that the first group holds at least as often.
    pub fn greater(self) -> f64 {
        self.sum(|count| count >= self.first[0])
    }

    /// The least two-sided probability that a table with these margins can have.
    pub fn least(self) -> f64 {
        let (low, high) = self.range();
        let end = |count: u64| {
            let hold = self.first[0] + self.second[0];
            let (first, second) = (self.first[0] + self.first[1], self.second[0] + self.second[1]);
            Table { first: [count, first - count], second: [hold - count, second + count - hold] }
        };
        end(low).two_sided().min(end(high).two_sided())
    }

    fn sum(self, counts: impl Fn(u64) -> bool) -> f64 {
        let (low, high) = self.range();
        let sum: f64 =
            (low..=high).filter(|count| counts(*count)).map(|count| self.ln_probability(count).exp()).sum();
        sum.min(1.0)
    }

    /// What the first cell can be with these margins.
    fn range(self) -> (u64, u64) {
        let first = self.first[0] + self.first[1];
        let hold = self.first[0] + self.second[0];
        let second = self.second[0] + self.second[1];
        (hold.saturating_sub(second), hold.min(first))
    }

    /// Hypergeometric.
    fn ln_probability(self, count: u64) -> f64 {
        let first = self.first[0] + self.first[1];
        let second = self.second[0] + self.second[1];
        let hold = self.first[0] + self.second[0];
        ln_binomial(first, count) + ln_binomial(second, hold - count) - ln_binomial(first + second, hold)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The tea tasting of Fisher 1935, and others by scipy 1.17, `fisher_exact` (`scripts/audit-reference.py`).
    #[test]
    fn probabilities_are_those_of_the_reference() {
        for (first, second, two_sided, greater) in [
            ([3, 1], [1, 3], 0.485_714_285_7, 0.242_857_142_9),
            ([8, 2], [1, 5], 0.034_965_035_0, 0.024_475_524_5),
            ([0, 7], [12, 3], 0.000_703_630_7, 1.0),
            ([2, 10], [15, 3], 0.000_536_724_1, 0.999_984_519_0),
            ([30, 970], [10, 990], 0.002_008_333_6, 0.001_004_166_8),
        ] {
            let table = Table { first, second };
            assert!((table.two_sided() - two_sided).abs() < 1e-9, "{table:?}: {}", table.two_sided());
            assert!((table.greater() - greater).abs() < 1e-9, "{table:?}: {}", table.greater());
        }
    }

    /// Of the margins of the tea tasting, four right cups of four are the least probable: 2 · 1 / 70.
    #[test]
    fn the_least_probability_is_that_of_an_end() {
        let table = Table { first: [3, 1], second: [1, 3] };
        assert!((table.least() - 2.0 / 70.0).abs() < 1e-9, "{}", table.least());
    }

    #[test]
    fn an_empty_group_or_margin_says_nothing() {
        for (first, second) in [([0, 0], [0, 0]), ([0, 0], [3, 4]), ([0, 5], [0, 6]), ([5, 0], [6, 0])] {
            let table = Table { first, second };
            assert!(
                (table.two_sided() - 1.0).abs() < 1e-9 && (table.greater() - 1.0).abs() < 1e-9,
                "{table:?}"
            );
        }
    }
}
