//! Same facts, different ruling: which records do not fit beside each other, or beside their own rules.
//!
//! Facts are the same where question, call, whistle and the answers on the path are, and everything that was measured
//! lies within its error: closer than 1.96 times the standard error of the difference. A blind re-review looks at the
//! same play, so its facts are the same whatever was answered.

use crate::audit::editions::Editions;
use crate::audit::facts::{AllFacts, Facts, Question, contradict};
use crate::audit::names::Name;
use crate::audit::proportion::Z95;
use crate::audit::row::{Measured, Row};
use crate::audit::sample::Sample;
use crate::book::Book;
use crate::book::field::Field;
use crate::book::line::{Figure, Line, Snap};
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
    let look = Look { sample, facts, lines: lines(sample, editions), rulings: ruled(sample, facts) };
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
    for (row, ruled) in look.rulings.iter().enumerate() {
        if ruled.explained && !explained.contains(&row) {
            found.push(look.inconsistent(Why::Override, Kind::Reason, vec![row]));
        } else if !ruled.explained && ruled.counts && look.fits(row) == Some(false) {
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
    ruled: Ruled,
}

/// What is compared of a record. It is asked for again and again out of order, so it lies close together, apart from the
/// records.
#[derive(Debug, Clone, Copy)]
struct Ruled {
    outcome: Name,
    finding: Option<Name>,
    /// Its facts, as a place among all.
    facts: u32,
    /// There is a ruling to compare.
    counts: bool,
    /// A reason was given against the rules of proof or time.
    explained: bool,
}

fn ruled(sample: &Sample, facts: &AllFacts) -> Vec<Ruled> {
    let one = |(row, facts): (&Row, &u32)| Ruled {
        outcome: row.outcome,
        finding: row.finding,
        facts: *facts,
        counts: !row.moot && !row.cut_short,
        explained: !row.overrides.is_empty(),
    };
    sample.rows.iter().zip(&facts.of_row).map(one).collect()
}

struct Look<'a> {
    sample: &'a Sample,
    facts: &'a AllFacts,
    /// By edition and name, the lines of the books.
    lines: foldhash::HashMap<(Name, Name), (&'a Line, &'a Field)>,
    rulings: Vec<Ruled>,
}

/// The lines that the sample's names speak of.
fn lines<'a>(
    sample: &Sample,
    editions: &'a Editions,
) -> foldhash::HashMap<(Name, Name), (&'a Line, &'a Field)> {
    let of_book = |(edition, book): (Name, &'a Book)| {
        let named = move |line: &'a Line| {
            Some(((edition, sample.terms.names.known(&line.name)?), (line, &book.field)))
        };
        book.lines.iter().filter_map(named)
    };
    editions.all().flat_map(of_book).collect()
}

impl Look<'_> {
    fn facts_of(&self, ruled: Ruled) -> &Facts {
        &self.facts.all[ruled.facts as usize]
    }

    /// Whether the outcome is what its own edition gives.
    fn fits(&self, row: usize) -> Option<bool> {
        self.facts.of_row(row).gives(self.sample.text(self.rulings[row].outcome))
    }

    fn inconsistent(&self, why: Why, kind: Kind, rows: Vec<usize>) -> Inconsistent {
        Inconsistent { question: self.facts.of_row(rows[0]).question, why, kind, rows }
    }

    /// Records by facts.
    fn groups(&self) -> Vec<Vec<usize>> {
        let mut groups = vec![Vec::new(); self.facts.all.len()];
        for (row, ruled) in self.rulings.iter().enumerate().filter(|(_, ruled)| ruled.counts) {
            groups[ruled.facts as usize].push(row);
        }
        groups
    }

    /// Each outcome with how often it came, in the order of names: there are a handful, so they are looked through.
    fn outcomes(&self, rows: &[usize]) -> Vec<(Name, usize)> {
        let mut outcomes: Vec<(Name, usize)> = Vec::new();
        for outcome in rows.iter().map(|row| self.rulings[*row].outcome) {
            match outcomes.iter_mut().find(|(known, _)| *known == outcome) {
                Some((_, count)) => *count += 1,
                None => outcomes.push((outcome, 1)),
            }
        }
        outcomes.sort_unstable();
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
                let explained = !odd.is_empty() && odd.iter().all(|row| self.rulings[*row].explained);
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
            None => Some(self.rulings[**row].outcome) != usual,
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

    /// What was measured at a step.
    fn placed(&self, row: usize, step: Name) -> Option<(f64, f64)> {
        let record = &self.sample.rows[row];
        let measured = record.measured.iter().find(|measured| measured.step == step)?;
        Some(self.beyond_line(record, measured))
    }

    /// A measurement from the line that it is about, where the book says where that was, and its error.
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
    fn same_measure(&self) -> Vec<Inconsistent> {
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

    /// The same across rules: a gap is one under any rules, a place only after the same snap.
    fn measured_rule_changes(&self) -> Vec<Inconsistent> {
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

    /// Measured alike and answered to the contrary: the records that such pairs hold together.
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

    /// The steps at which two records contradict each other.
    fn contradictions(&self, one: Ruled, other: Ruled) -> impl Iterator<Item = Name> {
        let [first, second] = [one, other].map(|ruled| self.facts_of(ruled));
        let contrary =
            |at: Name, answer: &str| second.answer(at).is_some_and(|other| contradict(answer, other));
        first.path.iter().filter(move |(at, answer)| contrary(*at, answer)).map(|(at, _)| *at)
    }

    /// Whether two records contradict each other at this step alone, and are ruled differently.
    fn contrary(&self, one: Ruled, other: Ruled, step: Name) -> bool {
        self.ruled_differently(one, other) && self.contradictions(one, other).eq([step])
    }

    /// Another outcome; or the same one by another finding, where they contradict each other: a call may be reversed
    /// to this or to that.
    fn ruled_differently(&self, one: Ruled, other: Ruled) -> bool {
        let findings = one.finding.zip(other.finding).is_some_and(|(first, second)| first != second);
        one.outcome != other.outcome || findings && self.contradictions(one, other).next().is_some()
    }

    /// A pair of which one has given a reason against the rules is explained by it.
    fn reason(&self, rows: &[usize]) -> Why {
        let any = rows.iter().any(|row| self.rulings[*row].explained);
        if any { Why::Override } else { Why::Facts }
    }

    /// Blind re-reviews that came out otherwise, under the same rules.
    fn same_play(&self) -> Vec<Inconsistent> {
        let again = self.sample.again().iter().copied();
        again
            .filter(|(original, again)| {
                let [first, second] = [*original, *again].map(|row| self.rulings[row]);
                first.counts
                    && second.counts
                    && self.ruled_differently(first, second)
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
            let rows = rows.iter().copied().filter(|row| self.rulings[*row].outcome == usual).collect();
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
