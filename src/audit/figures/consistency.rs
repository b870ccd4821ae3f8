//! Consistency: records with the same facts and different rulings, and records that contradict their own rules.
//!
//! Facts are the same where question, call, whistle and the answers on the path are, and everything that was measured
//! lies within its error: closer than 1.96 times the standard error of the difference. A blind re-review looks at the
//! same play, so its facts are the same whatever was answered.

mod measured;

use self::measured::{Lines, lines, within};
use crate::figures::facts::{AllFacts, Facts, Question, contradict};
use crate::sample::Sample;
use crate::sample::editions::Editions;
use crate::sample::interner::Name;
use crate::sample::row::Row;
use std::collections::{BTreeMap, BTreeSet, HashMap};

/// A question with the answers on its path.
type Answered<'s> = (Question, Vec<(Name, &'s str)>);

/// Why records are inconsistent.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Why {
    /// The same facts got different rulings.
    Facts,
    /// The official decided against the rules of proof or time, with a reason.
    Override,
    /// The outcome is not what its own edition computes; or the same facts got different rulings because an edition
    /// changed.
    Edition,
}

/// Records that contradict each other, or their own rules.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Inconsistent {
    pub question: Question,
    pub why: Why,
    pub kind: Kind,
    /// Places in the sample's rows, rising.
    pub rows: Vec<usize>,
}

/// How an inconsistency was found.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kind {
    SameAnswers,
    /// Measured alike, answered to the contrary.
    SameMeasure,
    /// The same play, reviewed again blind.
    SamePlay,
    /// A reason was given against the rules of proof or time.
    Reason,
    /// The rules that it was made under give something else.
    OwnRules,
    /// Two editions rule the same facts differently: the rules changed.
    RuleChange,
}

/// All inconsistencies: by same answers, same measure, same play, overrides, own rules, changes of rules.
pub fn inconsistent(sample: &Sample, facts: &AllFacts, editions: &Editions) -> Vec<Inconsistent> {
    let look = Look { sample, facts, lines: lines(sample, editions), rulings: ruled(sample, facts) };
    let groups = look.groups();
    // The questions are independent, so they run side by side.
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

/// What is compared of a record. It is read out of order again and again, so it is kept apart from the records.
#[derive(Debug, Clone, Copy)]
struct Ruled {
    outcome: Name,
    finding: Option<Name>,
    /// A place in [`AllFacts::all`].
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
    lines: Lines<'a>,
    rulings: Vec<Ruled>,
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

    /// For each set of facts, its records.
    fn groups(&self) -> Vec<Vec<usize>> {
        let mut groups = vec![Vec::new(); self.facts.all.len()];
        for (row, ruled) in self.rulings.iter().enumerate().filter(|(_, ruled)| ruled.counts) {
            groups[ruled.facts as usize].push(row);
        }
        groups
    }

    /// Each outcome with its count, in the order of names. There are only a handful, so a list is searched.
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

    /// The records whose outcome is not what their edition gives, or, where that is not known, not the usual one.
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

    /// Records are explained if one of them was decided against the rules with a reason.
    fn reason(&self, rows: &[usize]) -> Why {
        let any = rows.iter().any(|row| self.rulings[*row].explained);
        if any { Why::Override } else { Why::Facts }
    }

    /// Blind re-reviews that were ruled differently under the same rules.
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
