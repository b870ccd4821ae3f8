//! Cohen's kappa: how far two raters agree beyond chance, with its large-sample standard error.
//!
//! J. Cohen, "A coefficient of agreement for nominal scales", Educational and Psychological Measurement 20 (1960)
//! 37–46. The standard error where kappa need not be zero: Fleiss, Cohen and Everitt, "Large sample standard errors
//! of kappa and weighted kappa", Psychological Bulletin 72 (1969) 323–327, equation 13. It is asymptotic: below some
//! thirty pairs it says little.

use crate::stats::wilson::Z95;

#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Cohen {
    pub kappa: f64,
    /// Its asymptotic standard error.
    pub se: f64,
    /// The 95 % interval from it, within what kappa can be.
    pub ci95: [f64; 2],
}

/// Kappa of a square table of counts: row by the first rater, column by the second. None where there are no
/// pairs, or where both put everything into one category, so that chance alone agrees.
pub(crate) fn kappa(table: &[Vec<u64>]) -> Option<Cohen> {
    let n = table.iter().flatten().sum::<u64>() as f64;
    if n == 0.0 {
        return None;
    }
    let share = |row: usize, column: usize| table[row].get(column).copied().unwrap_or(0) as f64 / n;
    let all = 0..table.len();
    let rows: Vec<f64> = all.clone().map(|row| all.clone().map(|column| share(row, column)).sum()).collect();
    let columns: Vec<f64> =
        all.clone().map(|column| all.clone().map(|row| share(row, column)).sum()).collect();
    let observed: f64 = all.clone().map(|at| share(at, at)).sum();
    let expected: f64 = all.clone().map(|at| rows[at] * columns[at]).sum();
    let left = 1.0 - expected;
    if left <= f64::EPSILON {
        return None;
    }
    let kappa = (observed - expected) / left;
    let agreeing: f64 =
        all.clone().map(|at| share(at, at) * (1.0 - (rows[at] + columns[at]) * (1.0 - kappa)).powi(2)).sum();
    let apart: f64 = all
        .clone()
        .flat_map(|row| all.clone().map(move |column| (row, column)))
        .filter(|(row, column)| row != column)
        .map(|(row, column)| share(row, column) * (columns[row] + rows[column]).powi(2))
        .sum();
    let chance = (kappa - expected * (1.0 - kappa)).powi(2);
    let variance = (agreeing + (1.0 - kappa).powi(2) * apart - chance) / (n * left * left);
    let se = variance.max(0.0).sqrt();
    Some(Cohen { kappa, se, ci95: [(kappa - Z95 * se).max(-1.0), (kappa + Z95 * se).min(1.0)] })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// statsmodels 0.15, `cohens_kappa` (`kappa`, `std_kappa`, interval): `scripts/audit-reference.py`.
    #[test]
    fn kappa_error_and_interval_are_those_of_the_reference() {
        let cases: [(&[&[u64]], [f64; 4]); 3] = [
            (
                &[&[88, 14, 18], &[10, 40, 10], &[2, 6, 12]],
                [0.491_525_423_73, 0.051_001_815_58, 0.391_563_702_05, 0.591_487_145_40],
            ),
            (
                &[&[0, 4, 1], &[0, 8, 0], &[0, 1, 5]],
                [0.484_162_895_93, 0.138_013_578_31, 0.213_661_253_07, 0.754_664_538_78],
            ),
            (
                &[&[45, 15], &[25, 15]],
                [0.130_434_782_61, 0.098_661_537_62, -0.062_938_277_79, 0.323_807_843_01],
            ),
        ];
        for (table, [expected, se, low, high]) in cases {
            let table: Vec<Vec<u64>> = table.iter().map(|row| row.to_vec()).collect();
            let found = kappa(&table).expect("both raters use several categories");
            for (found, expected) in
                [(found.kappa, expected), (found.se, se), (found.ci95[0], low), (found.ci95[1], high)]
            {
                assert!((found - expected).abs() < 1e-9, "{table:?}: {found} for {expected}");
            }
        }
    }

    #[test]
    fn without_pairs_or_with_one_category_there_is_no_kappa() {
        assert_eq!(kappa(&[]), None);
        assert_eq!(kappa(&[vec![0, 0], vec![0, 0]]), None);
        assert_eq!(kappa(&[vec![7, 0], vec![0, 0]]), None);
    }

    #[test]
    fn full_agreement_is_one_and_full_disagreement_minus_one() {
        let one = kappa(&[vec![4, 0], vec![0, 4]]).expect("two categories");
        assert_eq!((one.kappa, one.se), (1.0, 0.0));
        assert_eq!(kappa(&[vec![0, 4], vec![4, 0]]).expect("two categories").kappa, -1.0);
    }
}
