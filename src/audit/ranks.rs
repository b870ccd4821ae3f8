//! Whether one person takes longer than the others on the same questions: rank sums within strata.
//!
//! F. Wilcoxon 1945; within strata: Ph. van Elteren, Bulletin of the International Statistical Institute 37 (1960)
//! 351–361, with mid-ranks for ties. Small samples are permuted within strata from a fixed seed (Fisher 1935; the count
//! of Davison and Hinkley 1997, section 4.2, adds the sample itself); large ones take the normal approximation.

use rayon::prelude::*;

/// One value of one person within one stratum.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Value {
    /// What is compared only with its like.
    pub stratum: u32,
    /// Whose it is, from 0.
    pub person: u32,
    /// How much.
    pub value: f64,
}

/// Permutations of a small sample: the least p-value is 1 in 20,000.
const PERMUTATIONS: u64 = 19_999;
/// Beyond so many values the normal approximation is as good as the permutations.
const SMALL: usize = 5_000;
/// Permutations of one seed, so that they can be shared out and still be the same everywhere.
const BATCH: u64 = 500;

/// For each person, the probability of ranks at least as high if nobody differs. One who shares no stratum with
/// anybody has none.
pub fn longer(values: &[Value], persons: usize, seed: u64) -> Vec<Option<f64>> {
    let strata = strata(values);
    let sums = Sums::of(&strata, persons);
    if values.len() > SMALL {
        return sums.iter().map(Sums::normal).collect();
    }
    let batches = PERMUTATIONS.div_ceil(BATCH);
    let reached = (0..batches)
        .into_par_iter()
        .map(|batch| {
            let mut strata = strata.clone();
            let mut reached = vec![0_u64; persons];
            let mut state = seed ^ (batch + 1).wrapping_mul(0xd134_2543_de82_ef95);
            let runs = BATCH.min(PERMUTATIONS - batch * BATCH);
            for _ in 0..runs {
                strata.iter_mut().for_each(|stratum| shuffle(&mut stratum.persons, &mut state));
                for (count, (now, seen)) in reached.iter_mut().zip(totals(&strata, persons).iter().zip(&sums))
                {
                    *count += u64::from(*now >= seen.total - 1e-9);
                }
            }
            reached
        })
        .reduce(|| vec![0; persons], |a, b| a.iter().zip(&b).map(|(a, b)| a + b).collect());
    let share = |count: u64| (count + 1) as f64 / (PERMUTATIONS + 1) as f64;
    sums.iter().zip(reached).map(|(sums, count)| (sums.variance > 0.0).then(|| share(count))).collect()
}

/// The values of one stratum: whose, and their mid-ranks over one more than their number.
#[derive(Debug, Clone)]
struct Stratum {
    persons: Vec<u32>,
    scores: Vec<f64>,
}

fn strata(values: &[Value]) -> Vec<Stratum> {
    let mut sorted = values.to_vec();
    sorted.sort_by(|a, b| {
        (a.stratum.cmp(&b.stratum)).then(a.value.total_cmp(&b.value)).then(a.person.cmp(&b.person))
    });
    sorted
        .chunk_by(|a, b| a.stratum == b.stratum)
        .map(|stratum| {
            let (mut scores, size) = (Vec::with_capacity(stratum.len()), stratum.len() as f64);
            for ties in stratum.chunk_by(|a, b| a.value == b.value) {
                let rank = scores.len() as f64 + (ties.len() as f64 + 1.0) / 2.0;
                scores.resize(scores.len() + ties.len(), rank / (size + 1.0));
            }
            Stratum { persons: stratum.iter().map(|value| value.person).collect(), scores }
        })
        .collect()
}

/// A person's sum of scores, with its mean and variance if nobody differs.
#[derive(Debug, Clone, Copy, Default)]
struct Sums {
    total: f64,
    mean: f64,
    variance: f64,
}

impl Sums {
    fn of(strata: &[Stratum], persons: usize) -> Vec<Sums> {
        let mut sums = vec![Sums::default(); persons];
        for stratum in strata {
            let n = stratum.scores.len() as f64;
            let mean = stratum.scores.iter().sum::<f64>() / n;
            let squares = stratum.scores.iter().map(|score| (score - mean).powi(2)).sum::<f64>();
            let mut counts = vec![0.0; persons];
            for (person, score) in stratum.persons.iter().zip(&stratum.scores) {
                counts[*person as usize] += 1.0;
                sums[*person as usize].total += score;
            }
            for (sums, own) in sums.iter_mut().zip(counts) {
                sums.mean += own * mean;
                if n > 1.0 {
                    sums.variance += own * (n - own) * squares / (n * (n - 1.0));
                }
            }
        }
        sums
    }

    fn normal(&self) -> Option<f64> {
        use statrs::function::erf::erfc;
        let z = (self.total - self.mean) / self.variance.sqrt();
        (self.variance > 0.0).then(|| 0.5 * erfc(z / std::f64::consts::SQRT_2))
    }
}

fn totals(strata: &[Stratum], persons: usize) -> Vec<f64> {
    let mut totals = vec![0.0; persons];
    for stratum in strata {
        for (person, score) in stratum.persons.iter().zip(&stratum.scores) {
            totals[*person as usize] += score;
        }
    }
    totals
}

/// Fisher and Yates' shuffle, drawn by SplitMix64 (Steele, Lea and Flood, OOPSLA 2014).
fn shuffle(items: &mut [u32], state: &mut u64) {
    for last in (1..items.len()).rev() {
        *state = state.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut mixed = *state;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        mixed ^= mixed >> 31;
        // The high bits times the range: the bias is below one in 2^40 for any stratum that is permuted.
        items.swap(last, ((u128::from(mixed) * (last as u128 + 1)) >> 64) as usize);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn one_stratum(first: &[f64], second: &[f64]) -> Vec<Value> {
        let of = |person: u32| move |value: &f64| Value { stratum: 0, person, value: *value };
        first.iter().map(of(0)).chain(second.iter().map(of(1))).collect()
    }

    const ONE: [f64; 5] = [12.0, 15.5, 18.0, 22.0, 30.0];
    const OTHER: [f64; 6] = [10.0, 11.0, 12.0, 14.0, 16.0, 17.0];

    /// All 462 permutations by scipy 1.17, `permutation_test`: 0.0454545; four standard errors of 19,999 draws are
    /// 0.006. The approximation: `mannwhitneyu` without correction, 0.0410693. (`scripts/audit-reference.py`)
    #[test]
    fn the_probability_is_that_of_all_permutations() {
        let values = one_stratum(&ONE, &OTHER);
        let found = longer(&values, 2, 1);
        assert!((found[0].expect("two people") - 0.045_454_5).abs() < 0.006, "{found:?}");
        assert!(found[1].expect("two people") > 0.9, "{found:?}");
        assert_eq!(found, longer(&values, 2, 1));
        let normal = Sums::of(&strata(&values), 2)[0].normal().expect("two people");
        assert!((normal - 0.041_069_280_6).abs() < 1e-9, "{normal}");
    }

    #[test]
    fn a_person_alone_in_every_stratum_is_not_compared() {
        assert!(longer(&[], 0, 1).is_empty());
        let alone =
            [Value { stratum: 0, person: 0, value: 1.0 }, Value { stratum: 1, person: 1, value: 9.0 }];
        assert_eq!(longer(&alone, 2, 1), [None, None]);
        assert_eq!(longer(&one_stratum(&[5.0; 3], &[5.0; 3]), 2, 1), [None, None]);
    }

    /// Slow questions must not make a person slow who is asked them more often.
    #[test]
    fn a_person_with_the_longer_questions_is_not_the_slower_person() {
        let values: Vec<Value> = (0..60)
            .map(|at| {
                let (stratum, person) = (at % 2, u32::from(at % 2 == 1 && at % 10 != 1 || at % 10 == 0));
                Value { stratum, person, value: f64::from(stratum * 100 + (at * 7) % 13) }
            })
            .collect();
        assert!(longer(&values, 2, 1)[1].expect("strata are shared") > 0.05);
    }
}
