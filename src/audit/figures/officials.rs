//! Officials who differ from the others by more than chance: in time, and in what they answer.
//!
//! Both questions are asked of all officials at once and corrected for that: where nobody differs, the chance that anybody
//! at all is named stays below one in twenty for each question. Times are tested by rank sums with Holm's correction, and
//! only for being more than a quarter longer: being quicker is no fault, and people differ a little. Answers are tested by
//! Fisher's exact test with Tarone's correction.

use crate::figures::facts::AllFacts;
use crate::sample::Sample;
use crate::sample::interner::Name;
use crate::stats::fisher::Table;
use crate::stats::median::median;
use crate::stats::multiple_testing::{LEVEL, holm, tarone};
use crate::stats::rank_sum::{self, Value};
use crate::stats::wilson::Proportion;
use foldhash::{HashMap, HashSet};
use formats::audit::{Differs, Officials, Pace};
use rayon::prelude::*;
use std::collections::{BTreeMap, BTreeSet};

/// From this multiple of the others' time on an official is slow: people differ a little, and a quarter more is what a
/// game feels (our choice; no source).
const MARGIN: f64 = 1.25;

/// Seed of the permutations: the same season gives the same figures everywhere.
const SEED: u64 = 1_936;

pub(super) fn officials(sample: &Sample, facts: &AllFacts) -> Officials {
    let (answers, comparisons) = answers(sample, facts);
    Officials { pace: pace(sample), answers, comparisons }
}

/// Each official's time against the others' on the same questions. Reviews cut short are left out.
fn pace(sample: &Sample) -> Vec<Pace> {
    let text = |name: Name| sample.text(name);
    let mut timed = Vec::new();
    for row in sample.reviews() {
        if let (Some(official), Some(seconds), false) = (row.official, row.duration_s, row.cut_short) {
            timed.push((official, row.tree, seconds));
        }
    }
    let by_text = |names: HashSet<Name>| {
        let mut names: Vec<Name> = names.into_iter().collect();
        names.sort_unstable_by_key(|name| text(*name));
        names
    };
    let order = by_text(timed.iter().map(|(official, ..)| *official).collect());
    let trees = by_text(timed.iter().map(|(_, tree, _)| *tree).collect());
    let places = |names: &[Name]| names.iter().copied().zip(0..).collect::<HashMap<Name, u32>>();
    let (place, stratum) = (places(&order), places(&trees));
    let values: Vec<Value> = timed
        .iter()
        .map(|(official, tree, value)| Value {
            stratum: stratum[tree],
            person: place[official],
            value: *value,
        })
        .collect();
    let found = rank_sum::p_values(&values, order.len(), MARGIN, SEED);
    let known: Vec<f64> = found.iter().flatten().copied().collect();
    let mut adjusted = holm(&known).into_iter();
    let mut differences = differences(&values, order.len());
    order
        .iter()
        .zip(found)
        .zip(&mut differences)
        .map(|((official, p), differences)| {
            let p_adjusted = p.and_then(|_| adjusted.next());
            let (longer_s, longer_ci95) = median(differences);
            Pace {
                official: text(*official).to_owned(),
                count: differences.len() as u64,
                longer_s,
                longer_ci95,
                p,
                p_adjusted,
                slow: p_adjusted.is_some_and(|p| p < LEVEL),
            }
        })
        .collect()
}

/// Each person's values less the median of the others' in the same stratum.
fn differences(values: &[Value], persons: usize) -> Vec<Vec<f64>> {
    let mut strata: BTreeMap<u32, Vec<&Value>> = BTreeMap::new();
    values.iter().for_each(|value| strata.entry(value.stratum).or_default().push(value));
    let mut differences = vec![Vec::new(); persons];
    for stratum in strata.values_mut() {
        stratum.sort_by(|a, b| a.value.total_cmp(&b.value));
        let present: BTreeSet<u32> = stratum.iter().map(|value| value.person).collect();
        for person in present {
            let (own, others): (Vec<&Value>, Vec<&Value>) =
                stratum.iter().copied().partition(|value| value.person == person);
            if let Some(middle) = others.get(others.len() / 2) {
                let below = others[(others.len() - 1) / 2];
                let usual = (middle.value + below.value) / 2.0;
                differences[person as usize].extend(own.iter().map(|value| value.value - usual));
            }
        }
    }
    differences
}

/// How often each official gave each answer.
type Counts<'s> = BTreeMap<&'s str, BTreeMap<Name, u64>>;

/// Answers that one official gives more often or more seldom than the others, and how many comparisons were made.
fn answers(sample: &Sample, facts: &AllFacts) -> (Vec<Differs>, u64) {
    // A million records hold a few thousand different facts: each is walked once.
    let mut held: HashMap<(u32, Name), u64> = HashMap::default();
    for (row, facts) in sample.rows.iter().zip(&facts.of_row) {
        if let Some(official) = row.official {
            *held.entry((*facts, official)).or_insert(0) += 1;
        }
    }
    let mut counts: BTreeMap<(Name, Name), Counts<'_>> = BTreeMap::new();
    for ((place, official), times) in held {
        let facts = &facts.all[place as usize];
        for (step, answer) in &facts.path {
            let answers = counts.entry((facts.question.tree, *step)).or_default();
            *answers.entry(answer).or_default().entry(official).or_insert(0) += times;
        }
    }
    let mut compared = Vec::new();
    for ((tree, step), answers) in &counts {
        let mut all: BTreeMap<Name, u64> = BTreeMap::new();
        for (official, count) in answers.values().flatten() {
            *all.entry(*official).or_insert(0) += count;
        }
        let of: u64 = all.values().sum();
        // Of two answers one is enough: the other is its mirror.
        let tested = answers.iter().take(if answers.len() == 2 { 1 } else { answers.len() });
        for (answer, given) in tested {
            let count: u64 = given.values().sum();
            for (official, own_of) in &all {
                let own = given.get(official).copied().unwrap_or(0);
                let first = [own, own_of - own];
                let second = [count - own, (of - own_of) - (count - own)];
                compared.push((Table { first, second }, *official, *tree, *step, *answer));
            }
        }
    }
    let least: Vec<f64> = compared.par_iter().map(|(table, ..)| table.least_two_sided()).collect();
    let factor = tarone(least.clone());
    let text = |name: Name| sample.text(name).to_owned();
    let mut found: Vec<Differs> = compared
        .into_iter()
        .zip(least)
        .filter(|(_, least)| least * factor as f64 <= LEVEL)
        .filter_map(|((table, official, tree, step, answer), _)| {
            let p = table.two_sided();
            let p_adjusted = (p * factor as f64).min(1.0);
            (p_adjusted < LEVEL).then(|| Differs {
                official: text(official),
                tree: text(tree),
                step: text(step),
                answer: answer.to_owned(),
                own: Proportion { count: table.first[0], of: table.first.iter().sum() }.into(),
                others: Proportion { count: table.second[0], of: table.second.iter().sum() }.into(),
                p,
                p_adjusted,
            })
        })
        .collect();
    found.sort_by(|a, b| a.p.total_cmp(&b.p));
    (found, factor)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_difference_is_taken_from_the_others_on_the_same_question() {
        let value = |stratum, person, value| Value { stratum, person, value };
        let values = [value(0, 0, 50.0), value(0, 1, 40.0), value(0, 1, 44.0), value(1, 0, 90.0)];
        assert_eq!(differences(&values, 2), [vec![8.0], vec![-10.0, -6.0]]);
    }
}
