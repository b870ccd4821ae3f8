//! Whether a blind second look comes to the same result: over all, by question, and by step, whose wording can be mended.
//!
//! A step splits people when more of its pairs disagree than those of the other steps, by Fisher's exact test with
//! Holm's correction. Steps with fewer than five pairs are not compared: so few prove nothing, and leaving them out does
//! not depend on the answers.

use crate::figures::facts::AllFacts;
use crate::sample::Sample;
use crate::sample::editions::Editions;
use crate::sample::interner::Name;
use crate::stats::cohen;
use crate::stats::fisher::Table;
use crate::stats::fleiss;
use crate::stats::krippendorff::{Alpha, LEVELS, Level, alpha};
use crate::stats::multiple_testing::{LEVEL, holm};
use crate::stats::ratings::Ratings;
use crate::stats::wilson::Proportion;
use foldhash::HashMap;
use formats::audit::{Agreement, Levels, Rate, Split, Wording};
use std::collections::BTreeMap;
use std::hash::Hash;

/// Every coefficient of agreement that the ratings allow; those that are not defined are `None`.
pub fn agreement(ratings: &Ratings) -> Agreement {
    let agree = agreeing(ratings);
    let cohen = ratings.contingency().and_then(|table| cohen::kappa(&table));
    let fleiss = fleiss::kappa(ratings);
    let [nominal, ordinal, interval, ratio] = LEVELS.map(|level| alpha(ratings, level));
    let levels = |of: fn(Alpha) -> f64| Levels {
        nominal: nominal.map(of),
        ordinal: ordinal.map(of),
        interval: interval.map(of),
        ratio: ratio.map(of),
    };
    let ends = |alpha: Option<Alpha>| alpha.and_then(|alpha| alpha.ci95);
    Agreement {
        pairs: agree.of,
        agree: (agree.of > 0).then(|| agree.into()),
        cohen_kappa: cohen.map(|cohen| cohen.kappa),
        cohen_se: cohen.map(|cohen| cohen.se),
        cohen_ci95: cohen.map(|cohen| cohen.ci95),
        fleiss_kappa: fleiss.map(|fleiss| fleiss.kappa),
        fleiss_ci95: fleiss.and_then(|fleiss| fleiss.ci95),
        fleiss_z: fleiss.and_then(|fleiss| fleiss.z),
        fleiss_items: fleiss.map_or(0, |fleiss| fleiss.units),
        krippendorff_alpha: levels(|alpha| alpha.alpha),
        krippendorff_ci95: Levels {
            nominal: ends(nominal),
            ordinal: ends(ordinal),
            interval: ends(interval),
            ratio: ends(ratio),
        },
        krippendorff_items: ratings.pairable().iter().map(|(_, weight)| weight).sum(),
    }
}

fn agreeing(ratings: &Ratings) -> Proportion {
    let mut agree = Proportion::default();
    for (unit, weight) in ratings.pairable() {
        for (at, one) in unit.iter().enumerate() {
            for other in &unit[at + 1..] {
                agree.of += weight;
                agree.count += if one == other { weight } else { 0 };
            }
        }
    }
    agree
}

/// The ratings of plays that were looked at again: the first look, then the others in order; each combination once,
/// with its number of plays.
type Rated<'s> = Vec<(Vec<Option<&'s str>>, u64)>;

/// Outcomes of the first look and of the blind ones, over all.
pub(super) fn of_sample(sample: &Sample) -> Agreement {
    agreement(&Ratings::weighted(outcomes(sample).into_values().flatten()))
}

/// The count of each combination: a million plays have only a few.
fn counted<K: Hash + Eq>(ways: impl Iterator<Item = K>) -> HashMap<K, u64> {
    let mut counted = HashMap::default();
    ways.for_each(|way| *counted.entry(way).or_insert(0) += 1);
    counted
}

/// Outcomes by question.
fn outcomes(sample: &Sample) -> BTreeMap<Name, Rated<'_>> {
    let outcome = |row: &usize| {
        let row = &sample.rows[*row];
        (!row.cut_short).then_some(row.outcome)
    };
    let ways = sample.plays().iter().filter_map(|looks| {
        let tree = sample.rows[*looks.first()?].tree;
        Some((tree, looks.iter().map(outcome).collect::<Vec<Option<Name>>>()))
    });
    let mut by_tree: BTreeMap<Name, Rated<'_>> = BTreeMap::new();
    for ((tree, looks), times) in counted(ways) {
        let looks = looks.into_iter().map(|look| look.map(|outcome| sample.text(outcome))).collect();
        by_tree.entry(tree).or_default().push((looks, times));
    }
    by_tree
}

/// Agreement by question and by step.
pub(super) fn wording(sample: &Sample, facts: &AllFacts, editions: &Editions) -> Wording {
    let by_tree = outcomes(sample);
    let ways =
        sample.plays().iter().map(|looks| looks.iter().map(|row| facts.of_row[*row]).collect::<Vec<u32>>());
    let mut by_step: BTreeMap<(Name, Name), Rated<'_>> = BTreeMap::new();
    for (looks, times) in counted(ways) {
        let mut looks = looks.into_iter().map(|at| &facts.all[at as usize]);
        let Some(first) = looks.next() else { continue };
        for (step, answer) in &first.path {
            let others = looks.clone().filter_map(|look| look.answer(*step)).map(Some);
            let ratings: Vec<Option<&str>> = [Some(answer.as_str())].into_iter().chain(others).collect();
            if ratings.len() > 1 {
                by_step.entry((first.question.tree, *step)).or_default().push((ratings, times));
            }
        }
    }
    let text = |name: Name| sample.text(name).to_owned();
    let trees = by_tree.into_iter().map(|(tree, units)| split(text(tree), None, Ratings::weighted(units)));
    let steps = by_step
        .into_iter()
        .map(|((tree, step), units)| split(text(tree), Some(text(step)), Ratings::weighted(units)));
    let asks = |split: Split| {
        let tree = editions.tree(&split.tree);
        let step = tree.and_then(|tree| tree.steps.get(tree.step(split.step.as_deref()?)?));
        Split { asks: step.map(|step| step.ask.clone()), ..split }
    };
    Wording { trees: compared(trees.collect()), steps: compared(steps.map(asks).collect()) }
}

fn split(tree: String, step: Option<String>, ratings: Ratings) -> Split {
    let alpha = alpha(&ratings, Level::Nominal);
    Split {
        tree,
        step,
        asks: None,
        agree: Rate::from(agreeing(&ratings)),
        alpha: alpha.map(|alpha| alpha.alpha),
        alpha_ci95: alpha.and_then(|alpha| alpha.ci95),
        p: None,
        p_adjusted: None,
        splits: false,
    }
}

/// A step with fewer pairs is not compared.
const LEAST_PAIRS: u64 = 5;

/// Compares each with all the others together; those that split people most come first.
fn compared(mut all: Vec<Split>) -> Vec<Split> {
    let of: u64 = all.iter().map(|split| split.agree.of).sum();
    let agree: u64 = all.iter().map(|split| split.agree.count).sum();
    let enough = |split: &Split| split.agree.of >= LEAST_PAIRS;
    let values: Vec<f64> = all
        .iter()
        .filter(|split| enough(split))
        .map(|split| {
            let (own, own_of) = (split.agree.count, split.agree.of);
            let others = [(of - own_of) - (agree - own), agree - own];
            Table { first: [own_of - own, own], second: others }.greater()
        })
        .collect();
    for ((split, p), adjusted) in all.iter_mut().filter(|split| enough(split)).zip(&values).zip(holm(&values))
    {
        split.p = Some(*p);
        split.p_adjusted = Some(adjusted);
        split.splits = adjusted < LEVEL;
    }
    let first = |split: &Split| (!split.splits, split.p.unwrap_or(1.0));
    all.sort_by(|a, b| {
        let (a_first, b_first) = (first(a), first(b));
        (a_first.0.cmp(&b_first.0))
            .then(a_first.1.total_cmp(&b_first.1))
            .then((&a.tree, &a.step).cmp(&(&b.tree, &b.step)))
    });
    all
}

#[cfg(test)]
mod tests {
    use super::*;

    fn pairs(agree: u64, of: u64) -> Split {
        let unit = |at: u64| vec![Some("yes"), Some(if at < agree { "yes" } else { "no" })];
        split("t".to_owned(), Some(format!("{agree} of {of}")), Ratings::of((0..of).map(unit)))
    }

    /// One-sided, 5 of 8 against 4 of 200: scipy 1.17, `fisher_exact([[5, 3], [4, 196]], "greater")`, 1.7e-6.
    #[test]
    fn a_step_splits_people_only_beyond_chance_among_all_steps() {
        let found = compared(vec![pairs(3, 8), pairs(98, 100), pairs(98, 100), pairs(0, 1)]);
        let splits: Vec<_> = found.iter().map(|split| (split.step.as_deref(), split.splits)).collect();
        assert_eq!(splits[0], (Some("3 of 8"), true));
        assert!(splits[1..].iter().all(|(_, splits)| !splits), "{found:?}");
    }

    #[test]
    fn two_raters_have_all_figures_and_nobody_has_none() {
        let unit = |one, other| vec![Some(one), Some(other)];
        let some = agreement(&Ratings::of([unit("1", "1"), unit("2", "3"), unit("2", "2")]));
        assert_eq!((some.pairs, some.agree.map(|rate| rate.count)), (3, Some(2)));
        assert!(some.cohen_kappa.is_some() && some.krippendorff_alpha.ratio.is_some());
        assert_eq!(agreement(&Ratings::default()), Agreement::default());
    }
}
