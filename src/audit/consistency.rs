//! Same facts, different ruling: which records do not fit beside each other, or beside their own rules.
//!
//! Facts are the same where question, call, whistle and the answers on the path are, and everything that was measured
//! lies within its error: closer than 1.96 times the standard error of the difference. A blind re-review looks at the
//! same play, so its facts are the same whatever was answered.

use crate::audit::editions::Editions;
use crate::audit::facts::{AllFacts, Question, contradict};
use crate::audit::names::Name;
use crate::audit::proportion::Z95;
use crate::audit::row::{Measured, Row};
use crate::audit::sample::Sample;
use crate::book::line::{Figure, Snap};
use rayon::prelude::*;
use std::collections::{BTreeMap, BTreeSet, HashMap};

/// A question with the answers on its path.
type Answered<'s> = (Question, Vec<(Name, &'s str)>);

/// Why records do not fit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Why {
    /// The same facts got different rulings.
    Facts,
    /// Somebody set himself above the rules of proof or time, with a reason.
    Override,
    /// The outcome is not what its own edition computes; or the same facts got different rulings because an edition
    /// changed.
    Edition,
}

/// Records that do not fit.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Inconsistent {
    /// What was asked.
    pub question: Question,
    /// Why they are named.
    pub why: Why,
    /// What kind of finding it is, for people.
    pub kind: Kind,
    /// Which records, as places among the sample's rows, rising.
    pub rows: Vec<usize>,
}

/// How an inconsistency was found.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kind {
    /// Same answers, different outcomes.
    SameAnswers,
    /// Measured alike, answered to the contrary.
    SameMeasure,
    /// The same play, reviewed again blind.
    SamePlay,
    /// A reason was given against the rules of proof or time.
    Reason,
    /// The rules that it was made under give something else.
    OwnRules,
    /// Two editions rule the same facts differently: a change of the rules, and nobody's fault.
    RuleChange,
}

/// Neighbours that a measured answer is compared with: contradictions among equals are next to each other.
const NEIGHBOURS: usize = 8;

/// All inconsistencies: by same answers, same measure, same play, overrides, own rules, changes of rules.
pub fn inconsistent(sample: &Sample, facts: &AllFacts, editions: &Editions) -> Vec<Inconsistent> {
    let look = Look { sample, facts, editions };
    let groups = look.groups();
    // Each is a question of its own, so they are asked side by side.
    let ((mut found, same_measure), (same_play, (rule_changes, measured_changes))) = rayon::join(
        || rayon::join(|| look.same_answers(&groups), || look.same_measure()),
        || {
            let changes = || rayon::join(|| look.rule_changes(&groups), || look.measured_rule_changes());
            rayon::join(|| look.same_play(), changes)
        },
    );
    let places = found.iter().enumerate();
    let named: HashMap<usize, usize> =
        places.flat_map(|(place, found)| found.rows.iter().map(move |row| (*row, place))).collect();
    let mut pairs: BTreeSet<Vec<usize>> = BTreeSet::new();
    for pair in same_measure.into_iter().chain(same_play) {
        let beside: BTreeSet<Option<&usize>> = pair.rows.iter().map(|row| named.get(row)).collect();
        let known = beside.len() == 1 && !beside.contains(&None);
        if !known && pairs.insert(pair.rows.clone()) {
            found.push(pair);
        }
    }
    let explained: BTreeSet<usize> = found
        .iter()
        .filter(|found| found.why == Why::Override)
        .flat_map(|found| found.rows.iter().copied())
        .collect();
    for (row, record) in sample.rows.iter().enumerate() {
        if !record.overrides.is_empty() && !explained.contains(&row) {
            found.push(look.inconsistent(Why::Override, Kind::Reason, vec![row]));
        } else if record.overrides.is_empty() && look.counts(row) && look.fits(row) == Some(false) {
            found.push(look.inconsistent(Why::Edition, Kind::OwnRules, vec![row]));
        }
    }
    found.extend(rule_changes);
    found.extend(measured_changes);
    found
}

/// What a measurement may be compared within: question, step, and the rules or the snap.
type Among = (Question, Name, Option<Name>, Option<Snap>);

/// One measurement.
#[derive(Debug, Clone, Copy)]
struct Placed {
    value: f64,
    sigma: f64,
    row: usize,
}

struct Look<'a> {
    sample: &'a Sample,
    facts: &'a AllFacts,
    editions: &'a Editions,
}

impl Look<'_> {
    fn row(&self, row: usize) -> &Row {
        &self.sample.rows[row]
    }

    /// Whether there is a ruling to compare.
    fn counts(&self, row: usize) -> bool {
        let record = self.row(row);
        !record.moot && !record.cut_short
    }

    /// Whether the outcome is what its own edition gives.
    fn fits(&self, row: usize) -> Option<bool> {
        self.facts.of_row(row).gives(self.sample.names.text(self.row(row).outcome))
    }

    fn inconsistent(&self, why: Why, kind: Kind, rows: Vec<usize>) -> Inconsistent {
        Inconsistent { question: self.facts.of_row(rows[0]).question, why, kind, rows }
    }

    /// Records by facts.
    fn groups(&self) -> Vec<Vec<usize>> {
        let mut groups = vec![Vec::new(); self.facts.all.len()];
        for (row, facts) in self.facts.of_row.iter().enumerate() {
            if self.counts(row) {
                groups[*facts as usize].push(row);
            }
        }
        groups
    }

    fn outcomes(&self, rows: &[usize]) -> BTreeMap<Name, usize> {
        let mut outcomes = BTreeMap::new();
        for row in rows {
            *outcomes.entry(self.row(*row).outcome).or_insert(0) += 1;
        }
        outcomes
    }

    fn same_answers(&self, groups: &[Vec<usize>]) -> Vec<Inconsistent> {
        let mut found = Vec::new();
        for (facts, group) in self.facts.all.iter().zip(groups) {
            if self.outcomes(group).len() < 2 || !facts.comparable() {
                continue;
            }
            for mut rows in self.alike(group.clone()) {
                if self.outcomes(&rows).len() < 2 {
                    continue;
                }
                rows.sort_unstable();
                let odd = self.odd(&rows);
                let explained = !odd.is_empty() && odd.iter().all(|row| !self.row(*row).overrides.is_empty());
                let why = if explained { Why::Override } else { Why::Facts };
                found.push(self.inconsistent(why, Kind::SameAnswers, rows));
            }
        }
        found
    }

    /// Those that do not fit: against the edition, where it is known, else against most of the others.
    fn odd(&self, rows: &[usize]) -> Vec<usize> {
        let usual =
            self.outcomes(rows).into_iter().max_by_key(|(_, count)| *count).map(|(outcome, _)| outcome);
        let odd = |row: &&usize| match self.fits(**row) {
            Some(fits) => !fits,
            None => Some(self.row(**row).outcome) != usual,
        };
        rows.iter().filter(odd).copied().collect()
    }

    /// Divides records with the same answers where a measured step lies further apart than its error.
    fn alike(&self, rows: Vec<usize>) -> Vec<Vec<usize>> {
        let steps: Vec<Name> = self.facts.of_row(rows[0]).path.iter().map(|(step, _)| *step).collect();
        let mut parts = vec![rows];
        for step in steps {
            parts = parts.into_iter().flat_map(|part| self.divided(part, step)).collect();
        }
        parts
    }

    fn divided(&self, rows: Vec<usize>, step: Name) -> Vec<Vec<usize>> {
        let with = |row: usize| (row, self.placed(row, step));
        let (placed, open): (Vec<_>, Vec<_>) = rows.into_iter().map(with).partition(|(_, at)| at.is_some());
        let mut placed: Vec<(usize, f64, f64)> =
            placed.into_iter().filter_map(|(row, at)| at.map(|(value, sigma)| (row, value, sigma))).collect();
        placed.sort_by(|a, b| a.1.total_cmp(&b.1));
        let near = |a: &(usize, f64, f64), b: &(usize, f64, f64)| within((a.1, a.2), (b.1, b.2));
        let parts = placed.chunk_by(near).map(|part| part.iter().map(|(row, ..)| *row).collect());
        let mut parts: Vec<Vec<usize>> = parts.collect();
        let open: Vec<usize> = open.into_iter().map(|(row, _)| row).collect();
        if !open.is_empty() {
            parts.push(open);
        }
        parts
    }

    /// What was measured at a step, from the line that it is about where the book says where that was, and its error.
    fn placed(&self, row: usize, step: Name) -> Option<(f64, f64)> {
        let record = self.row(row);
        let measured = record.measured.iter().find(|measured| measured.step == step)?;
        Some((measured.value - self.line(record, measured), measured.sigma))
    }

    fn line(&self, record: &Row, measured: &Measured) -> f64 {
        let (Some(name), Some(snap)) = (measured.line, record.snap.as_deref()) else { return 0.0 };
        let placed = self.editions.book(record.edition).and_then(|book| {
            let line = book.lines.iter().find(|line| line.name == self.sample.names.text(name))?;
            match line.figure(*snap, &book.field)? {
                Figure::Across(at) => Some(at.as_f64()),
                Figure::Along(..) | Figure::Between(_) => None,
            }
        });
        placed.unwrap_or(snap.spot.as_f64())
    }

    /// Records that measured alike and answered to the contrary, with different outcomes, under the same rules.
    fn same_measure(&self) -> Vec<Inconsistent> {
        let key = |row: usize, step: Name| {
            let (value, sigma) = self.placed(row, step)?;
            let facts = self.facts.of_row(row);
            Some(((facts.question, step, Some(facts.rules), None), Placed { value, sigma, row }))
        };
        let together = self.contrary_pairs(key).into_iter();
        together.map(|rows| self.inconsistent(self.reason(&rows), Kind::SameMeasure, rows)).collect()
    }

    /// The same across rules: a gap is one under any rules, a place only after the same snap.
    fn measured_rule_changes(&self) -> Vec<Inconsistent> {
        let key = |row: usize, step: Name| {
            let record = self.row(row);
            let measured = record.measured.iter().find(|measured| measured.step == step)?;
            let snap = measured.line.map(|_| record.snap.as_deref().copied());
            let key = (self.facts.of_row(row).question, step, None, snap.flatten());
            let comparable = snap != Some(None) && record.overrides.is_empty();
            comparable.then_some((key, Placed { value: measured.value, sigma: measured.sigma, row }))
        };
        let rules = |row: usize| self.facts.of_row(row).rules;
        self.contrary_pairs(key)
            .into_iter()
            .filter(|rows| rows.iter().any(|row| rules(*row) != rules(rows[0])))
            .map(|rows| self.inconsistent(Why::Edition, Kind::RuleChange, rows))
            .collect()
    }

    /// Measured alike and answered to the contrary: the records that such pairs hold together.
    fn contrary_pairs(&self, placed: impl Fn(usize, Name) -> Option<(Among, Placed)>) -> Vec<Vec<usize>> {
        let mut all: foldhash::HashMap<Among, Vec<Placed>> = foldhash::HashMap::default();
        for (row, record) in self.sample.rows.iter().enumerate().filter(|(row, _)| self.counts(*row)) {
            let on_path = record
                .measured
                .iter()
                .filter(|measured| self.facts.of_row(row).answer(measured.step).is_some());
            for (among, placed) in on_path.filter_map(|measured| placed(row, measured.step)) {
                all.entry(among).or_default().push(placed);
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
                let contrary = near.filter(|other| self.contrary(one.row, other.row, step));
                pairs.extend(contrary.map(|other| (one.row, other.row)));
            }
            pairs
        });
        joined(&pairs.collect::<Vec<_>>().concat())
    }

    /// The steps at which two records contradict each other.
    fn contradictions(&self, one: usize, other: usize) -> Vec<Name> {
        let (first, second) = (self.facts.of_row(one), self.facts.of_row(other));
        let steps = first
            .path
            .iter()
            .filter(|(at, answer)| second.answer(*at).is_some_and(|other| contradict(answer, other)));
        steps.map(|(at, _)| *at).collect()
    }

    /// Whether two records contradict each other at this step alone, and are ruled differently.
    fn contrary(&self, one: usize, other: usize, step: Name) -> bool {
        self.ruled_differently(one, other) && self.contradictions(one, other) == [step]
    }

    /// Another outcome; or the same one by another finding, where they contradict each other: a call may be reversed
    /// to this or to that.
    fn ruled_differently(&self, one: usize, other: usize) -> bool {
        let (first, second) = (self.row(one), self.row(other));
        let findings = first.finding.zip(second.finding).is_some_and(|(first, second)| first != second);
        first.outcome != second.outcome || findings && !self.contradictions(one, other).is_empty()
    }

    /// A pair of which one has given a reason against the rules is explained by it.
    fn reason(&self, rows: &[usize]) -> Why {
        let any = rows.iter().any(|row| !self.row(*row).overrides.is_empty());
        if any { Why::Override } else { Why::Facts }
    }

    /// Blind re-reviews that came out otherwise, under the same rules.
    fn same_play(&self) -> Vec<Inconsistent> {
        let again = self.sample.again().iter().copied();
        again
            .filter(|(original, again)| {
                self.counts(*original)
                    && self.counts(*again)
                    && self.ruled_differently(*original, *again)
                    && self.facts.of_row(*original).rules == self.facts.of_row(*again).rules
            })
            .map(|(original, again)| {
                let mut rows = vec![original, again];
                rows.sort_unstable();
                self.inconsistent(self.reason(&rows), Kind::SamePlay, rows)
            })
            .collect()
    }

    /// The same answers under other rules, with another usual outcome.
    fn rule_changes(&self, groups: &[Vec<usize>]) -> Vec<Inconsistent> {
        let mut by_answers: BTreeMap<Answered<'_>, Vec<(Name, Vec<usize>)>> = BTreeMap::new();
        let all = self.facts.all.iter().zip(groups);
        for (facts, rows) in all.filter(|(facts, _)| facts.comparable()) {
            let Some((usual, _)) = self.outcomes(rows).into_iter().max_by_key(|(_, count)| *count) else {
                continue;
            };
            let rows = rows.iter().copied().filter(|row| self.row(*row).outcome == usual).collect();
            let mut path: Vec<(Name, &str)> =
                facts.path.iter().map(|(step, answer)| (*step, answer.as_str())).collect();
            path.sort_unstable();
            by_answers.entry((facts.question, path)).or_default().push((usual, rows));
        }
        let mut found = Vec::new();
        for ((question, _), editions) in by_answers {
            let usual: BTreeSet<Name> = editions.iter().map(|(usual, _)| *usual).collect();
            if usual.len() > 1 {
                let mut rows: Vec<usize> = editions.into_iter().flat_map(|(_, rows)| rows).collect();
                rows.sort_unstable();
                found.push(Inconsistent { question, why: Why::Edition, kind: Kind::RuleChange, rows });
            }
        }
        found
    }
}

/// Whether two measurements differ by no more than their error.
fn within(one: (f64, f64), other: (f64, f64)) -> bool {
    (one.0 - other.0).abs() <= Z95 * one.1.hypot(other.1)
}

/// The sets of records that pairs hold together, each rising.
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
