//! How often each outcome came, over all rulings and by question, official, week and initiator.

use crate::sample::Sample;
use crate::sample::interner::Name;
use crate::sample::row::Row;
use crate::stats::survival::{Curve, Durations};
use crate::stats::wilson::Proportion;
use foldhash::{HashMap, HashSet};
use formats::audit::{By, Group, Rate};
use std::collections::{BTreeMap, BTreeSet};

impl From<Proportion> for Rate {
    fn from(proportion: Proportion) -> Rate {
        let Proportion { count, of } = proportion;
        Rate { count, of, rate: proportion.rate(), wilson95: proportion.wilson95() }
    }
}

#[derive(Debug, Default)]
struct Counted {
    rulings: u64,
    outcomes: BTreeMap<Name, u64>,
    durations: Durations,
    /// Reviews of several questions that were timed already: each is timed once.
    timed: HashSet<usize>,
}

impl Counted {
    fn group(self, labels: &[(Name, &str)]) -> Group {
        let outcomes = labels
            .iter()
            .map(|(label, text)| {
                let count = self.outcomes.get(label).copied().unwrap_or(0);
                ((*text).to_owned(), Proportion { count, of: self.rulings }.into())
            })
            .collect();
        Group { rulings: self.rulings, outcomes, tempo: (&Curve::of(self.durations)).into() }
    }
}

/// The outcomes of all rulings, and of every group. Every group lists every outcome that came at all.
pub fn outcomes(sample: &Sample) -> (BTreeMap<String, Rate>, By) {
    let mut all = Counted::default();
    for row in sample.rulings() {
        all.rulings += 1;
        *all.outcomes.entry(row.outcome).or_insert(0) += 1;
    }
    let mut labels: Vec<(Name, &str)> =
        all.outcomes.keys().map(|label| (*label, sample.text(*label))).collect();
    labels.sort_by_key(|(_, text)| *text);
    let text = |name: Name| sample.text(name).to_owned();
    let groups = Grouping { sample, labels: &labels, shared: sample.shared_reviews() };
    let ((tree, official), (week, initiator)) = rayon::join(
        || rayon::join(|| groups.by(|row| Some(row.tree), text), || groups.by(|row| row.official, text)),
        || {
            let initiator = |row: &Row| row.initiator.map(|who| who.word());
            rayon::join(|| groups.by(|row| row.week, |week| week), || groups.by(initiator, str::to_owned))
        },
    );
    let by = By { tree, official, week, initiator };
    (all.group(&labels).outcomes, by)
}

struct Grouping<'s> {
    sample: &'s Sample,
    labels: &'s [(Name, &'s str)],
    /// For each row the review that it shares with others.
    shared: &'s [Option<usize>],
}

impl Grouping<'_> {
    fn by<K: std::hash::Hash + Eq, T: Ord>(
        &self,
        key: impl Fn(&Row) -> Option<K>,
        name: impl Fn(K) -> T,
    ) -> BTreeMap<T, Group> {
        let mut groups: HashMap<K, Counted> = HashMap::default();
        let rows = self.sample.rows.iter().zip(self.shared);
        for (row, shared) in rows.filter(|(row, _)| row.again_of().is_none()) {
            let Some(key) = key(row) else { continue };
            let counted = groups.entry(key).or_default();
            if shared.is_none_or(|review| counted.timed.insert(review)) {
                counted.durations.extend(row.duration());
            }
            if row.is_ruling() {
                counted.rulings += 1;
                *counted.outcomes.entry(row.outcome).or_insert(0) += 1;
            }
        }
        groups.into_iter().map(|(key, counted)| (name(key), counted.group(self.labels))).collect()
    }
}

/// For each official the number that stands for the name: its place in the order of names, from 1.
pub fn numbered(sample: &Sample) -> BTreeMap<String, String> {
    let officials: BTreeSet<&str> =
        sample.rows.iter().filter_map(|row| row.official).map(|name| sample.text(name)).collect();
    officials.into_iter().enumerate().map(|(at, name)| (name.to_owned(), (at + 1).to_string())).collect()
}
