//! What was measured: alike within the error, and answered to the contrary.

use super::{Inconsistent, Kind, Look, Ruled, Why};
use crate::figures::facts::Question;
use crate::sample::Sample;
use crate::sample::editions::Editions;
use crate::sample::interner::Name;
use crate::sample::row::{Measured, Row};
use crate::stats::wilson::Z95;
use field::Field;
use rayon::prelude::*;
use rules::book::Book;
use rules::book::line::{Figure, Line, Snap};
use std::collections::{BTreeMap, BTreeSet, HashMap};

/// How many of the next measurements each is compared with: contradictions among equals are next to each other.
const NEIGHBOURS: usize = 8;

/// Measurements are compared within one of these: question, step, and the rules or the snap.
type Among = (Question, Name, Option<Name>, Option<Snap>);

#[derive(Debug, Clone, Copy)]
struct Placed {
    value: f64,
    sigma: f64,
    row: usize,
    ruled: Ruled,
}

/// The lines of books, by edition and name.
pub(super) type Lines<'a> = foldhash::HashMap<(Name, Name), (&'a Line, &'a Field)>;

/// The lines that the sample's names speak of.
pub(super) fn lines<'a>(sample: &Sample, editions: &'a Editions) -> Lines<'a> {
    let of_book = |(edition, book): (Name, &'a Book)| {
        let named = move |line: &'a Line| Some(((edition, sample.name(&line.name)?), (line, &book.field)));
        book.lines.iter().filter_map(named)
    };
    editions.all().flat_map(of_book).collect()
}

impl Look<'_> {
    /// What was measured at a step, with its error.
    pub(super) fn placed(&self, row: usize, step: Name) -> Option<(f64, f64)> {
        let record = &self.sample.rows[row];
        let measured = record.measured.iter().find(|measured| measured.step == step)?;
        Some(self.beyond_line(record, measured))
    }

    /// A measurement's distance from its line, where the book says where that was, and its error.
    fn beyond_line(&self, record: &Row, measured: &Measured) -> (f64, f64) {
        (measured.value - self.line(record, measured), measured.sigma)
    }

    fn line(&self, record: &Row, measured: &Measured) -> f64 {
        let (Some(name), Some(snap)) = (measured.line, record.snap.as_deref()) else { return 0.0 };
        let placed = self.lines.get(&(record.edition, name)).and_then(|(line, field)| {
            match line.figure(*snap, field)? {
                Figure::Across(at) => Some(at.as_f64()),
                Figure::Along(..) | Figure::Between(_) => None,
            }
        });
        placed.unwrap_or(snap.spot.as_f64())
    }

    /// Records that measured alike and answered to the contrary, with different outcomes, under the same rules.
    pub(super) fn same_measure(&self) -> Vec<Inconsistent> {
        let placed = |record: &Row, measured: &Measured, ruled: Ruled| {
            let facts = self.facts_of(ruled);
            Some((
                (facts.question, measured.step, Some(facts.rules), None),
                self.beyond_line(record, measured),
            ))
        };
        let together = self.contrary_pairs(placed).into_iter();
        together.map(|rows| self.inconsistent(self.reason(&rows), Kind::SameMeasure, rows)).collect()
    }

    /// The same across rules: a gap can be compared under any rules, a place only after the same snap.
    pub(super) fn measured_rule_changes(&self) -> Vec<Inconsistent> {
        let changed = self.changed();
        let placed = |record: &Row, measured: &Measured, ruled: Ruled| {
            changed[ruled.facts as usize].then_some(())?;
            let snap = measured.line.map(|_| record.snap.as_deref().copied());
            let question = self.facts_of(ruled).question;
            let among = (question, measured.step, None, snap.flatten());
            let comparable = snap != Some(None) && !ruled.explained;
            comparable.then_some((among, (measured.value, measured.sigma)))
        };
        let rules = |row: usize| self.facts.of_row(row).rules;
        self.contrary_pairs(placed)
            .into_iter()
            .filter(|rows| rows.iter().any(|row| rules(*row) != rules(rows[0])))
            .map(|rows| self.inconsistent(Why::Edition, Kind::RuleChange, rows))
            .collect()
    }

    /// For each of all facts, whether its question was asked under several rules: few questions change.
    fn changed(&self) -> Vec<bool> {
        let mut rules: BTreeMap<Question, BTreeSet<Name>> = BTreeMap::new();
        for facts in &self.facts.all {
            rules.entry(facts.question).or_default().insert(facts.rules);
        }
        self.facts.all.iter().map(|facts| rules[&facts.question].len() > 1).collect()
    }

    /// Sets of records, joined by pairs that measured alike and answered to the contrary.
    fn contrary_pairs(
        &self,
        placed: impl Fn(&Row, &Measured, Ruled) -> Option<(Among, (f64, f64))>,
    ) -> Vec<Vec<usize>> {
        let mut all: foldhash::HashMap<Among, Vec<Placed>> = foldhash::HashMap::default();
        let records = self.sample.rows.iter().zip(&self.rulings).enumerate();
        for (row, (record, ruled)) in records.filter(|(_, (_, ruled))| ruled.counts) {
            let facts = self.facts_of(*ruled);
            for measured in record.measured.iter().filter(|measured| facts.answer(measured.step).is_some()) {
                if let Some((among, (value, sigma))) = placed(record, measured, *ruled) {
                    all.entry(among).or_default().push(Placed { value, sigma, row, ruled: *ruled });
                }
            }
        }
        let mut all: Vec<(Among, Vec<Placed>)> = all.into_iter().collect();
        all.sort_unstable_by_key(|(among, _)| *among);
        let pairs = all.into_par_iter().map(|((_, step, ..), mut alike)| {
            alike.sort_unstable_by(|a, b| a.value.total_cmp(&b.value).then(a.row.cmp(&b.row)));
            let mut pairs = Vec::new();
            for (at, one) in alike.iter().enumerate() {
                let near = alike[at + 1..].iter().take(NEIGHBOURS);
                let near = near.filter(|other| within((one.value, one.sigma), (other.value, other.sigma)));
                let contrary = near.filter(|other| self.contrary(one.ruled, other.ruled, step));
                pairs.extend(contrary.map(|other| (one.row, other.row)));
            }
            pairs
        });
        joined(&pairs.collect::<Vec<_>>().concat())
    }
}

/// Whether two measurements differ by no more than their error.
pub(super) fn within(one: (f64, f64), other: (f64, f64)) -> bool {
    (one.0 - other.0).abs() <= Z95 * one.1.hypot(other.1)
}

/// Joins pairs that share a record into sets, each rising.
fn joined(pairs: &[(usize, usize)]) -> Vec<Vec<usize>> {
    let mut set_of: HashMap<usize, usize> = HashMap::new();
    let mut sets: Vec<Vec<usize>> = Vec::new();
    for (one, other) in pairs {
        let [first, second] = [*one, *other].map(|row| {
            *set_of.entry(row).or_insert_with(|| {
                sets.push(vec![row]);
                sets.len() - 1
            })
        });
        if first != second {
            let moved = std::mem::take(&mut sets[second]);
            moved.iter().for_each(|row| {
                set_of.insert(*row, first);
            });
            sets[first].extend(moved);
        }
    }
    let sets = sets.into_iter().filter(|set| !set.is_empty());
    sets.map(|mut set| {
        set.sort_unstable();
        set
    })
    .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pairs_that_share_a_record_are_one_set() {
        assert_eq!(joined(&[(1, 2), (5, 4), (2, 3), (4, 1)]), [vec![1, 2, 3, 4, 5]]);
        assert_eq!(joined(&[(1, 2), (4, 5)]), [vec![1, 2], vec![4, 5]]);
        assert!(joined(&[]).is_empty());
    }

    /// 1.96 · √(0.04² + 0.03²) = 0.098.
    #[test]
    fn measurements_are_alike_within_the_error_of_their_difference() {
        assert!(within((1.0, 0.04), (1.097, 0.03)) && !within((1.0, 0.04), (1.099, 0.03)));
        assert!(within((1.0, 0.0), (1.0, 0.0)));
    }
}
