//! The delete-one jackknife: the standard error of a coefficient over units, without random numbers.
//!
//! Quenouille, Biometrika 43 (1956) 353–360; Tukey, Annals of Mathematical Statistics 29 (1958) 614. For kappa and
//! other ratios of sums: Davies and Fleiss, "Measuring agreement for multinomial data", Biometrics 38 (1982)
//! 1047–1051. The interval is that of Student's t with one degree of freedom less than there are units. Where all
//! units agree it has no width: then the sample cannot tell, and the figure is not exact.

use statrs::distribution::{ContinuousCDF, StudentsT};

/// The standard error of a figure from the figures that leave one unit out, each standing for `weight` units. A
/// replicate that is not defined leaves the error undefined: then the figure depends on a single unit.
pub(super) fn standard_error(left_out: &[(Option<f64>, u64)]) -> Option<f64> {
    let n = left_out.iter().map(|(_, weight)| weight).sum::<u64>() as f64;
    if n < 2.0 {
        return None;
    }
    let mut values = Vec::with_capacity(left_out.len());
    for (value, weight) in left_out {
        values.push(((*value)?, *weight as f64));
    }
    let mean = values.iter().map(|(value, weight)| value * weight).sum::<f64>() / n;
    let squares = values.iter().map(|(value, weight)| weight * (value - mean).powi(2)).sum::<f64>();
    Some(((n - 1.0) / n * squares).sqrt())
}

/// The 95 % interval around a coefficient of `units` units, within −1 and 1, where agreement lies.
pub(super) fn interval95(figure: f64, error: f64, units: u64) -> Option<[f64; 2]> {
    let t = StudentsT::new(0.0, 1.0, units.checked_sub(1)? as f64).ok()?;
    let half = t.inverse_cdf(0.975) * error;
    Some([(figure - half).max(-1.0), (figure + half).min(1.0)])
}

#[cfg(test)]
mod tests {
    use super::*;

    /// For a mean the jackknife gives the textbook's standard error: Efron and Tibshirani 1993, section 11.2.
    #[test]
    fn of_a_mean_it_is_the_standard_error_of_the_mean() {
        let data = [3.0, 5.0, 5.0, 9.0];
        let total: f64 = data.iter().sum();
        let left_out = |value: f64| Some((total - value) / 3.0);
        let found = standard_error(&[(left_out(3.0), 1), (left_out(5.0), 2), (left_out(9.0), 1)]);
        // Variance (2.5² + 2·0.5² + 3.5²) / 3 over 4.
        let expected = (19.0_f64 / 3.0 / 4.0).sqrt();
        assert!((found.expect("four units") - expected).abs() < 1e-12);
    }

    #[test]
    fn one_unit_or_an_undefined_replicate_gives_nothing() {
        assert_eq!(standard_error(&[]), None);
        assert_eq!(standard_error(&[(Some(0.5), 1)]), None);
        assert_eq!(standard_error(&[(Some(0.5), 3), (None, 1)]), None);
        assert_eq!(interval95(0.5, 0.1, 1), None);
    }
}
