//! Many comparisons at once: what is left of their p-values.
//!
//! S. Holm, "A simple sequentially rejective multiple test procedure", Scandinavian Journal of Statistics 6 (1979)
//! 65–70: where nobody differs, the chance that anybody at all is named stays at the level, whatever depends on
//! what. Used wherever a person could be named.

/// The level: in at most one season of twenty in which nobody differs is anybody named, by each kind of question.
pub const LEVEL: f64 = 0.05;

/// Holm's adjusted p-values, in the order given.
pub fn holm(values: &[f64]) -> Vec<f64> {
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
}
