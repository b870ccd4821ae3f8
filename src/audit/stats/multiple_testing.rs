//! Multiple testing: p-values of many comparisons, corrected so that the family-wise error stays at the level.
//!
//! S. Holm, "A simple sequentially rejective multiple test procedure", Scandinavian Journal of Statistics 6 (1979)
//! 65–70: where nobody differs, the chance that anybody at all is named stays at the level, however the comparisons
//! depend on each other. R. E. Tarone, "A modified Bonferroni method for discrete data", Biometrics 46 (1990) 515–522:
//! comparisons of a discrete test whose margins could never reach the level are left out first, which costs no error.

/// The level: where nobody differs, each kind of question names anybody at all in at most one season of twenty.
pub(crate) const LEVEL: f64 = 0.05;

/// Holm's adjusted p-values, in the order given.
pub(crate) fn holm(values: &[f64]) -> Vec<f64> {
    let mut order: Vec<usize> = (0..values.len()).collect();
    order.sort_by(|a, b| values[*a].total_cmp(&values[*b]));
    let mut adjusted = vec![1.0; values.len()];
    let mut least: f64 = 0.0;
    for (place, at) in order.into_iter().enumerate() {
        least = least.max(values[at] * (values.len() - place) as f64).min(1.0);
        adjusted[at] = least;
    }
    adjusted
}

/// Tarone's number of comparisons, by which p-values are multiplied: the least k such that no more than k of the least
/// attainable p-values reach the level divided by k.
pub(crate) fn tarone(mut least: Vec<f64>) -> u64 {
    least.sort_by(f64::total_cmp);
    let reach = |k: usize| least.partition_point(|p| *p <= LEVEL / k as f64);
    (1..=least.len().max(1)).find(|k| reach(*k) <= *k).unwrap_or(least.len()) as u64
}

#[cfg(test)]
mod tests {
    use super::*;

    /// statsmodels 0.15, `multipletests(…, method="holm")`: `scripts/audit-reference.py`.
    #[test]
    fn adjusted_values_are_those_of_the_reference() {
        let found = holm(&[0.01, 0.04, 0.03, 0.005, 0.55, 0.2]);
        for (found, expected) in found.iter().zip([0.05, 0.12, 0.12, 0.03, 0.55, 0.4]) {
            assert!((found - expected).abs() < 1e-12, "{found} for {expected}");
        }
        assert!(holm(&[]).is_empty());
    }

    #[test]
    fn comparisons_that_could_never_reach_the_level_do_not_count() {
        assert_eq!(tarone(vec![0.4; 100]), 1);
        assert_eq!(tarone(vec![0.001; 10]), 10);
        assert_eq!(tarone([vec![0.001; 10], vec![0.4; 100]].concat()), 10);
        assert_eq!(tarone(Vec::new()), 1);
    }
}
