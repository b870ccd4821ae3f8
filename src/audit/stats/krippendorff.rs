//! Krippendorff's alpha: how far any number of raters agree, with gaps and at any level of measurement.
//!
//! K. Krippendorff, "Computing Krippendorff's Alpha-Reliability" (2011): alpha = 1 − Do / De, with the differences of
//! its section on metrics. Expected disagreement is summed in closed form: over all pairs of values with counts n,
//! Σ n_c n_k (s_c − s_k)² = 2 (n Σ n_c s_c² − (Σ n_c s_c)²), which also serves the ordinal metric, because there the
//! difference of two categories is that of their mid-ranks.

use crate::stats::jackknife;
use crate::stats::ratings::Ratings;

/// Level of measurement.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Level {
    Nominal,
    Ordinal,
    Interval,
    /// From a true zero up.
    Ratio,
}

pub(crate) const LEVELS: [Level; 4] = [Level::Nominal, Level::Ordinal, Level::Interval, Level::Ratio];

#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Alpha {
    pub alpha: f64,
    /// The 95 % interval, by the jackknife over units.
    pub ci95: Option<[f64; 2]>,
    /// How many units are pairable.
    pub units: u64,
}

/// Most different values at the ratio level, whose expected disagreement takes every pair of them.
const MOST_RATIO_VALUES: usize = 2_000;
/// Most replicates of the jackknife: more patterns are left out in this many groups.
const MOST_REPLICATES: usize = 400;

type Units = [(Vec<u32>, u64)];

/// Alpha at a level. None where no unit was rated twice or all values are one; above nominal, none where the
/// categories are no numbers; at the ratio level, none with negative numbers or more than 2,000 different ones.
pub(crate) fn alpha(ratings: &Ratings, level: Level) -> Option<Alpha> {
    let values = match level {
        Level::Nominal => vec![0.0; ratings.categories.len()],
        Level::Ordinal | Level::Interval => ratings.values()?,
        Level::Ratio => ratings
            .values()
            .filter(|values| values.len() <= MOST_RATIO_VALUES && values.iter().all(|value| *value >= 0.0))?,
    };
    let mut units = ratings.pairable();
    let whole = coefficient(&units, level, &values)?;
    let count = units.iter().map(|(_, weight)| weight).sum();
    let error = jackknife::standard_error(&replicates(&mut units, level, &values));
    let ci95 = error.and_then(|error| jackknife::interval95(whole, error, count));
    Some(Alpha { alpha: whole, ci95, units: count })
}

/// Alpha without one unit, for each pattern of units; or without one group of them, where there are many.
fn replicates(units: &mut Units, level: Level, values: &[f64]) -> Vec<(Option<f64>, u64)> {
    if units.len() <= MOST_REPLICATES {
        let each = 0..units.len();
        return each
            .map(|left_out| {
                let weight = units[left_out].1;
                units[left_out].1 -= 1;
                let replicate = coefficient(units, level, values);
                units[left_out].1 = weight;
                (replicate, weight)
            })
            .collect();
    }
    let whole: Vec<(Vec<u32>, u64)> = units.to_vec();
    let groups = 0..MOST_REPLICATES;
    groups
        .map(|group| {
            let rest = whole.iter().enumerate().filter(|(at, _)| at % MOST_REPLICATES != group);
            let rest: Vec<(Vec<u32>, u64)> = rest.map(|(_, unit)| unit.clone()).collect();
            (coefficient(&rest, level, values), 1)
        })
        .collect()
}

fn coefficient(units: &Units, level: Level, values: &[f64]) -> Option<f64> {
    let mut counts = vec![0.0; values.len()];
    for (unit, weight) in units {
        unit.iter().for_each(|category| counts[*category as usize] += *weight as f64);
    }
    let n: f64 = counts.iter().sum();
    let ranks;
    let scores = match level {
        Level::Ordinal => {
            ranks = mid_ranks(&counts);
            &ranks
        }
        Level::Nominal | Level::Interval | Level::Ratio => values,
    };
    let expected = expected(&counts, scores, level, n);
    if n < 2.0 || expected <= 0.0 {
        return None;
    }
    let observed: f64 = units
        .iter()
        .map(|(unit, weight)| {
            let pairs: f64 = unit
                .iter()
                .enumerate()
                .flat_map(|(at, first)| unit[at + 1..].iter().map(move |second| (*first, *second)))
                .map(|(first, second)| difference(level, scores, first as usize, second as usize))
                .sum();
            *weight as f64 * 2.0 * pairs / (unit.len() as f64 - 1.0)
        })
        .sum();
    Some(1.0 - (n - 1.0) * observed / expected)
}

/// The mid-rank of each category: the middle of the ranks that its ratings take up.
fn mid_ranks(counts: &[f64]) -> Vec<f64> {
    let mut below = 0.0;
    counts
        .iter()
        .map(|count| {
            let rank = below + count / 2.0;
            below += count;
            rank
        })
        .collect()
}

/// The squared difference of two categories.
fn difference(level: Level, scores: &[f64], first: usize, second: usize) -> f64 {
    let (one, other) = (scores[first], scores[second]);
    match level {
        Level::Nominal => f64::from(u8::from(first != second)),
        Level::Ordinal | Level::Interval => (one - other).powi(2),
        Level::Ratio if one + other > 0.0 => ((one - other) / (one + other)).powi(2),
        Level::Ratio => 0.0,
    }
}

fn expected(counts: &[f64], scores: &[f64], level: Level, n: f64) -> f64 {
    let sum = |of: &dyn Fn(usize) -> f64| (0..counts.len()).map(of).sum::<f64>();
    match level {
        Level::Nominal => n * n - sum(&|at| counts[at] * counts[at]),
        Level::Ordinal | Level::Interval => {
            // Around the mean, so that large values do not cancel.
            let mean = sum(&|at| counts[at] * scores[at]) / n.max(1.0);
            2.0 * n * sum(&|at| counts[at] * (scores[at] - mean).powi(2))
        }
        Level::Ratio => {
            let of = |first: usize| {
                counts[first]
                    * sum(&|second| counts[second] * difference(Level::Ratio, scores, first, second))
            };
            sum(&of)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The canonical example of "Computing Krippendorff's Alpha-Reliability": four observers, twelve units, gaps.
    const EXAMPLE: [&str; 4] = [
        "1 2 3 3 2 1 4 1 2 . . .",
        "1 2 3 3 2 2 4 1 2 5 . 3",
        ". 3 3 3 2 3 4 2 2 5 1 .",
        "1 2 3 3 2 4 4 1 2 5 1 .",
    ];

    fn example() -> Ratings {
        let rows: Vec<Vec<&str>> = EXAMPLE.iter().map(|row| row.split(' ').collect()).collect();
        Ratings::of(
            (0..12).map(|unit| rows.iter().map(|row| Some(row[unit]).filter(|cell| *cell != ".")).collect()),
        )
    }

    /// Alpha as printed; half the interval from the krippendorff package 0.9 with units left out one by one
    /// (`scripts/audit-reference.py`); 2.228139 is the 97.5 % point of t with 10 degrees of freedom.
    // PROPERTY: agreement figures are the published ones
    #[test]
    fn the_canonical_example_gives_its_alpha_at_every_level() {
        for (level, expected, error) in [
            (Level::Nominal, 0.743_421, 0.146_326_652_2),
            (Level::Ordinal, 0.815_388, 0.148_031_342_2),
            (Level::Interval, 0.849_107, 0.140_839_831_4),
            (Level::Ratio, 0.797_403, 0.143_270_596_9),
        ] {
            let found = alpha(&example(), level).expect("values differ");
            assert!((found.alpha - expected).abs() < 1e-6, "{level:?}: {found:?}");
            let low = found.ci95.expect("eleven units")[0];
            assert!((found.alpha - low - 2.228_138_852 * error).abs() < 1e-7, "{level:?}: {found:?}");
            assert_eq!(found.units, 11);
        }
    }

    #[test]
    fn words_have_only_the_nominal_level_and_negative_numbers_no_ratio() {
        let of = |units: &[[Option<&'static str>; 2]]| Ratings::of(units.iter().map(|unit| unit.to_vec()));
        let words = of(&[[Some("yes"), Some("no")], [Some("no"), Some("no")], [Some("yes"), Some("yes")]]);
        let known = LEVELS.map(|level| alpha(&words, level).is_some());
        assert_eq!(known, [true, false, false, false]);
        let negative = of(&[[Some("-1"), Some("2")], [Some("2"), Some("2")]]);
        assert_eq!(LEVELS.map(|level| alpha(&negative, level).is_some()), [true, true, true, false]);
    }

    #[test]
    fn without_a_pair_or_with_one_value_there_is_no_alpha() {
        let of = |units: &[[Option<&'static str>; 2]]| Ratings::of(units.iter().map(|unit| unit.to_vec()));
        for ratings in [of(&[]), of(&[[Some("1"), None]; 3]), of(&[[Some("1"), Some("1")]; 3])] {
            assert_eq!(LEVELS.map(|level| alpha(&ratings, level)), [None; 4]);
        }
        let single = alpha(&of(&[[Some("1"), Some("2")]]), Level::Nominal).expect("two values");
        assert_eq!((single.alpha, single.ci95), (0.0, None));
    }

    /// Against the definition, pair by pair, over many patterns: more than the jackknife takes one by one.
    #[test]
    fn many_different_values_are_still_the_definition() {
        let texts: Vec<String> = (0..900_u64).map(|at| (at * at % 1_009).to_string()).collect();
        let ratings =
            Ratings::of(texts.chunks(2).map(|pair| pair.iter().map(|cell| Some(cell.as_str())).collect()));
        let values: Vec<f64> = texts.iter().map(|text| text.parse().expect("a number")).collect();
        let observed: f64 =
            values.chunks(2).map(|pair| 2.0 * (pair[0] - pair[1]).powi(2)).sum::<f64>() / 900.0;
        let all = values.iter().flat_map(|one| values.iter().map(move |other| (one - other).powi(2)));
        let expected: f64 = all.sum::<f64>() / (900.0 * 899.0);
        let found = alpha(&ratings, Level::Interval).expect("values differ");
        assert!((found.alpha - (1.0 - observed / expected)).abs() < 1e-9, "{found:?}");
        assert!(found.ci95.is_some());
    }
}
