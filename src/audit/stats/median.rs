//! The median of a sample, with the interval of the sign test: it rests on the order of the values alone.
//!
//! W. J. Conover, "Practical Nonparametric Statistics" (3rd edition, 1999), section 3.2: between the r-th smallest and the
//! r-th largest value the median lies with probability 1 − 2 P(B < r), B binomial with n trials and one half. Up to 60
//! values r is exact; beyond, it is that of the normal approximation. With fewer than six values no interval of that
//! kind holds 95 %.

use crate::stats::wilson::Z95;

/// The median and its 95 % interval; the values are left sorted.
pub(crate) fn median(values: &mut [f64]) -> (Option<f64>, Option<[f64; 2]>) {
    values.sort_by(f64::total_cmp);
    let n = values.len();
    if n == 0 {
        return (None, None);
    }
    let median = (values[n / 2] + values[(n - 1) / 2]) / 2.0;
    let half = Z95 * (n as f64).sqrt() / 2.0;
    let rank = if n <= 60 { exact_rank(n) } else { Some(((n as f64 / 2.0 - half).floor() as usize).max(1)) };
    (Some(median), rank.map(|rank| [values[rank - 1], values[n - rank]]))
}

/// The greatest rank from which to its mirror the median lies with 95 %.
fn exact_rank(n: usize) -> Option<usize> {
    let (mut term, mut below) = (0.5_f64.powi(i32::try_from(n).ok()?), 0.0);
    let mut rank = None;
    for at in 0..n / 2 {
        below += term;
        if below > 0.025 {
            break;
        }
        rank = Some(at + 1);
        term *= (n - at) as f64 / (at + 1) as f64;
    }
    rank
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Ranks from Conover's table A3: for n = 6 the extremes, for n = 20 the 6th and the 15th.
    #[test]
    fn the_interval_of_a_median_is_the_sign_tests() {
        assert_eq!([5, 6, 10, 20].map(exact_rank), [None, Some(1), Some(2), Some(6)]);
        let mut values: Vec<f64> = (1..=20).map(f64::from).collect();
        assert_eq!(median(&mut values), (Some(10.5), Some([6.0, 15.0])));
        assert_eq!(median(&mut []), (None, None));
    }
}
