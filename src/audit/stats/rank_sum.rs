//! The stratified rank-sum test: whether one person's values exceed the others' by more than a margin.
//!
//! F. Wilcoxon 1945; within strata: Ph. van Elteren, Bulletin of the International Statistical Institute 37 (1960)
//! 351–361, with mid-ranks for ties. People differ a little in pace, and with enough values any difference shows, so
//! the test asks whether the difference exceeds a margin: the person's values are divided by it first
//! (the shifted null hypothesis of Hodges and Lehmann, Journal of the Royal Statistical Society B 16 (1954) 261–268).
//! Small samples are permuted within strata from a fixed seed (Fisher 1935; the count of Davison and Hinkley 1997,
//! section 4.2, adds the sample itself); large ones take the normal approximation.

use rayon::prelude::*;
use std::collections::BTreeMap;

/// One value of one person within one stratum.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Value {
    /// Values are compared within their stratum alone.
    pub stratum: u32,
    /// Whose it is, from 0.
    pub person: u32,
    pub value: f64,
}

/// Permutations of a small sample: the least p-value is 1 in 10,000.
const PERMUTATIONS: u64 = 9_999;
/// Beyond this many values the normal approximation is as good as permutations.
const SMALL: usize = 5_000;

/// For each person, the probability of ranks at least as high if their values are no more than `margin` times the
/// others'; none for a person who shares no stratum with anybody.
pub(crate) fn p_values(values: &[Value], persons: usize, margin: f64, seed: u64) -> Vec<Option<f64>> {
    let mut strata: BTreeMap<u32, Vec<Value>> = BTreeMap::new();
    values.iter().for_each(|value| strata.entry(value.stratum).or_default().push(*value));
    for stratum in strata.values_mut() {
        stratum.sort_unstable_by(|a, b| a.value.total_cmp(&b.value));
    }
    let strata: Vec<Vec<Value>> = strata.into_values().collect();
    if values.len() > SMALL {
        return approximated(&strata, persons, margin);
    }
    let all = 0..u32::try_from(persons).expect("fewer persons than 2^32");
    all.into_par_iter().map(|person| permuted(&strata, person, margin, seed)).collect()
}

/// The scores of one stratum, and which of them are the person's.
struct Scored {
    own: Vec<bool>,
    scores: Vec<f64>,
}

/// Mid-ranks over one more than their number, with the person's values divided by the margin.
fn scored(stratum: &[Value], person: u32, margin: f64) -> Scored {
    let divided = |value: &Value| value.value / if value.person == person { margin } else { 1.0 };
    let mut values: Vec<(f64, bool)> =
        stratum.iter().map(|value| (divided(value), value.person == person)).collect();
    values.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut scores = Vec::with_capacity(values.len());
    for ties in values.chunk_by(|a, b| a.0 == b.0) {
        let rank = scores.len() as f64 + (ties.len() as f64 + 1.0) / 2.0;
        scores.resize(scores.len() + ties.len(), rank / (values.len() as f64 + 1.0));
    }
    Scored { own: values.into_iter().map(|(_, own)| own).collect(), scores }
}

impl Scored {
    fn total(&self) -> f64 {
        self.own.iter().zip(&self.scores).filter(|(own, _)| **own).map(|(_, score)| score).sum()
    }

    /// Whether the person is compared with anybody here.
    fn compares(&self) -> bool {
        self.own.contains(&true) && self.own.contains(&false) && self.scores.first() != self.scores.last()
    }
}

fn permuted(strata: &[Vec<Value>], person: u32, margin: f64, seed: u64) -> Option<f64> {
    let scored = strata.iter().map(|stratum| scored(stratum, person, margin));
    let mut scored: Vec<Scored> = scored.filter(Scored::compares).collect();
    if scored.is_empty() {
        return None;
    }
    let total = |scored: &[Scored]| scored.iter().map(Scored::total).sum::<f64>();
    let seen = total(&scored) - 1e-9;
    let mut state = seed ^ (u64::from(person) + 1).wrapping_mul(0xd134_2543_de82_ef95);
    let mut reached = 0_u64;
    for _ in 0..PERMUTATIONS {
        scored.iter_mut().for_each(|stratum| shuffle(&mut stratum.own, &mut state));
        reached += u64::from(total(&scored) >= seen);
    }
    Some((reached + 1) as f64 / (PERMUTATIONS + 1) as f64)
}

/// How often a person's divided values exceed the others', against what chance gives: each value is looked up in the
/// sorted stratum and among the person's own. Ties make the true variance smaller, so this errs on the safe side.
fn approximated(strata: &[Vec<Value>], persons: usize, margin: f64) -> Vec<Option<f64>> {
    let mut sums = vec![(0.0, 0.0); persons];
    for stratum in strata {
        let n = stratum.len() as f64;
        let mut own: BTreeMap<u32, Vec<f64>> = BTreeMap::new();
        stratum.iter().for_each(|value| own.entry(value.person).or_default().push(value.value));
        for (person, own) in own {
            let m = own.len() as f64;
            let wins: f64 = own
                .par_iter()
                .map(|value| {
                    let divided = value / margin;
                    let among = |below: usize, at_most: usize| (below + at_most) as f64 / 2.0;
                    let all = among(
                        stratum.partition_point(|other| other.value < divided),
                        stratum.partition_point(|other| other.value <= divided),
                    );
                    let own = among(
                        own.partition_point(|other| *other < divided),
                        own.partition_point(|other| *other <= divided),
                    );
                    all - own
                })
                .sum();
            let (difference, variance) = &mut sums[person as usize];
            *difference += (wins - m * (n - m) / 2.0) / (n + 1.0);
            *variance += m * (n - m) / (12.0 * (n + 1.0));
        }
    }
    let p = |(difference, variance): (f64, f64)| {
        use statrs::function::erf::erfc;
        (variance > 0.0).then(|| 0.5 * erfc(difference / (2.0 * variance).sqrt()))
    };
    sums.into_iter().map(p).collect()
}

/// Fisher and Yates' shuffle, drawn by SplitMix64 (Steele, Lea and Flood, OOPSLA 2014).
fn shuffle(items: &mut [bool], state: &mut u64) {
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

    /// All 462 permutations by scipy 1.17, `permutation_test`: 0.0454545 (`scripts/audit-reference.py`); four standard
    /// errors of 9,999 draws are 0.0083.
    #[test]
    fn the_probability_is_that_of_all_permutations() {
        let values = one_stratum(&ONE, &OTHER);
        let found = p_values(&values, 2, 1.0, 1);
        assert!((found[0].expect("two people") - 0.045_454_5).abs() < 0.0083, "{found:?}");
        assert!(found[1].expect("two people") > 0.9, "{found:?}");
        assert_eq!(found, p_values(&values, 2, 1.0, 1));
    }

    /// U = 24.5 by scipy's `mannwhitneyu`; mean 15, variance 30 · 12 / 12 without ties: z = 9.5 / √30, p = 0.0414.
    #[test]
    fn the_approximation_is_the_normal_one() {
        let mut stratum = one_stratum(&ONE, &OTHER);
        stratum.sort_by(|a, b| a.value.total_cmp(&b.value));
        let found = approximated(&[stratum], 2, 1.0)[0].expect("two people");
        assert!((found - 0.041_42).abs() < 1e-4, "{found}");
    }

    #[test]
    fn longer_by_less_than_the_margin_is_not_p_values() {
        let others: Vec<f64> = (0..60).map(|at| 40.0 + f64::from(at % 20)).collect();
        let p = |factor: f64| {
            let own: Vec<f64> = others.iter().map(|value| value * factor).collect();
            p_values(&one_stratum(&own, &others), 2, 1.25, 1)[0].expect("two people")
        };
        assert!(p(1.15) > 0.5 && p(1.5) < 0.01, "{} {}", p(1.15), p(1.5));
        let many: Vec<f64> = (0..6_000).map(|at| 40.0 + f64::from(at % 20)).collect();
        let own: Vec<f64> = many.iter().map(|value| value * 1.2).collect();
        assert!(p_values(&one_stratum(&own, &many), 2, 1.25, 1)[0].expect("two people") > 0.5);
    }

    #[test]
    fn a_person_alone_in_every_stratum_is_not_compared() {
        assert!(p_values(&[], 0, 1.0, 1).is_empty());
        let alone =
            [Value { stratum: 0, person: 0, value: 1.0 }, Value { stratum: 1, person: 1, value: 9.0 }];
        assert_eq!(p_values(&alone, 2, 1.0, 1), [None, None]);
        assert_eq!(p_values(&one_stratum(&[5.0; 3], &[5.0; 3]), 2, 1.0, 1), [None, None]);
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
        assert!(p_values(&values, 2, 1.0, 1)[1].expect("strata are shared") > 0.05);
    }
}
