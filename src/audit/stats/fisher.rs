//! Fisher's exact test of a two-by-two table: whether two groups differ in how often something holds.
//!
//! R. A. Fisher, "The Design of Experiments" (1935), chapter 2; the two-sided value adds every table with the same
//! margins that is no more probable than the one seen. It holds for the smallest numbers, where it errs on the safe
//! side.

use statrs::function::factorial::{ln_binomial, ln_factorial};
use std::ops::Range;

/// How many of each group hold, and how many do not.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Table {
    pub first: [u64; 2],
    pub second: [u64; 2],
}

/// Rounding sets equally probable tables a little apart: R makes the same allowance.
const TIE: f64 = 1e-7;

/// The exponential of anything below is zero: the least double is 2^-1074, and ln 2^-1075 is -745.13.
const UNDERFLOW: f64 = -746.0;

impl Table {
    /// The probability of a difference at least as great either way.
    pub(crate) fn two_sided(self) -> f64 {
        let margins = Margins::of(self);
        margins.as_rare_as(self.first[0])
    }

    /// The probability that the first group holds at least as often.
    pub(crate) fn greater(self) -> f64 {
        let margins = Margins::of(self);
        margins.sum(self.first[0]..margins.counts.end)
    }

    /// The least two-sided probability that a table with these margins can have.
    pub(crate) fn least_two_sided(self) -> f64 {
        let margins = Margins::of(self);
        let Range { start, end } = margins.counts;
        margins.as_rare_as(start).min(margins.as_rare_as(end - 1))
    }
}

/// What all tables with the same margins share.
struct Margins {
    /// What the first cell can be; never empty.
    counts: Range<u64>,
    /// Where the first cell is most probable.
    mode: u64,
    first: u64,
    second: u64,
    hold: u64,
    ln_first: f64,
    ln_second: f64,
    ln_all: f64,
}

impl Margins {
    fn of(table: Table) -> Margins {
        let (first, second) = (table.first[0] + table.first[1], table.second[0] + table.second[1]);
        let hold = table.first[0] + table.second[0];
        let (least, most) = (hold.saturating_sub(second), hold.min(first));
        Margins {
            counts: least..most + 1,
            // Count k is at least as probable as k - 1 while k (first + second + 2) <= (first + 1) (hold + 1).
            mode: (first + 1) * (hold + 1) / (first + second + 2),
            first,
            second,
            hold,
            ln_first: ln_factorial(first),
            ln_second: ln_factorial(second),
            ln_all: ln_binomial(first + second, hold),
        }
    }

    /// Hypergeometric.
    fn ln_probability(&self, count: u64) -> f64 {
        let of_second = self.hold - count;
        let first = self.ln_first - ln_factorial(count) - ln_factorial(self.first - count);
        let second = self.ln_second - ln_factorial(of_second) - ln_factorial(self.second - of_second);
        first + second - self.ln_all
    }

    /// The probability of all tables that are no more probable than the one with this count. Probabilities rise to the
    /// mode and fall behind it, so these are two tails, without what underflows.
    fn as_rare_as(&self, count: u64) -> f64 {
        let Range { start, end } = self.counts;
        let bound = self.ln_probability(count) + TIE;
        let rare = |count: u64| self.ln_probability(count) <= bound;
        let underflows = |count: u64| self.ln_probability(count) < UNDERFLOW;
        let left = start..first_of(start..self.mode, |count| !rare(count));
        let right = first_of(self.mode..end, rare)..end;
        let left = first_of(left.clone(), |count| !underflows(count))..left.end;
        let right = right.start..first_of(right, underflows);
        self.sum(left.chain(right))
    }

    fn sum(&self, counts: impl Iterator<Item = u64>) -> f64 {
        counts.fold(0.0, |sum, count| sum + self.ln_probability(count).exp()).min(1.0)
    }
}

/// The first count from which on `holds`; the end where none does. INVARIANT: it holds for all counts after one.
fn first_of(counts: Range<u64>, holds: impl Fn(u64) -> bool) -> u64 {
    let Range { mut start, mut end } = counts;
    while start < end {
        let middle = start + (end - start) / 2;
        if holds(middle) {
            end = middle;
        } else {
            start = middle + 1;
        }
    }
    end
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
        assert!((table.least_two_sided() - 2.0 / 70.0).abs() < 1e-9, "{}", table.least_two_sided());
    }

    #[test]
    fn an_empty_group_or_margin_proves_nothing() {
        for (first, second) in [([0, 0], [0, 0]), ([0, 0], [3, 4]), ([0, 5], [0, 6]), ([5, 0], [6, 0])] {
            let table = Table { first, second };
            assert!(
                (table.two_sided() - 1.0).abs() < 1e-9 && (table.greater() - 1.0).abs() < 1e-9,
                "{table:?}"
            );
        }
    }

    /// The sum over every table with these margins, one by one, is the definition.
    #[test]
    fn two_tails_are_all_tables_that_are_as_rare() {
        let shapes = [[1, 1, 1], [4, 4, 4], [7, 15, 12], [40, 300, 31], [300, 40, 31], [300, 2_000, 900]];
        for [first, second, hold] in shapes {
            let margins = Margins::of(Table { first: [0, first], second: [hold, second - hold] });
            for seen in margins.counts.clone() {
                let bound = margins.ln_probability(seen) + TIE;
                let rare = |count: &u64| margins.ln_probability(*count) <= bound;
                let every = margins.sum(margins.counts.clone().filter(rare));
                assert_eq!(margins.as_rare_as(seen), every, "{first} {second} {hold}: {seen}");
            }
        }
    }
}
