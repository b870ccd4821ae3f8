//! All figures of a sample, each with its n and its interval.

pub mod agreement;
mod angles;
mod challenges;
pub mod consistency;
pub mod durations;
pub mod facts;
mod officials;
pub mod rates;
pub mod recurrence;
pub mod tempo;

use crate::figures::angles::angles;
use crate::figures::challenges::{avoidable, grades};
use crate::figures::consistency::{Kind, Why};
use crate::figures::facts::AllFacts;
use crate::figures::officials::officials;
use crate::figures::tempo::tempo;
use crate::sample::Sample;
use crate::sample::editions::Editions;
use crate::sample::interner::Name;
use crate::sample::row::Row;
use formats::audit::{Audit, By, CAUTION, Edition, Inconsistent, RuleChange};
use std::collections::BTreeMap;

/// All figures of a sample. Each is a question of its own, so they are worked out side by side.
pub fn figures(sample: &Sample, editions: &Editions) -> Audit {
    let text = |name: Name| sample.text(name);
    let reversed = |row: &Row| {
        let label = editions.book(row.edition).map(|book| book.replay.labels.reversed.as_str());
        text(row.outcome) == label.unwrap_or("reversed")
    };
    // Several figures need these: they are found first, so that no core waits for another.
    rayon::join(|| sample.shared_reviews(), || sample.plays());
    // What needs no facts is worked out beside the facts.
    let (facts, ((outcomes, by), ((avoidable, grades), (agreement, angles)))) = rayon::join(
        || AllFacts::of(sample, editions),
        || {
            let graded = || rayon::join(|| avoidable(sample, reversed), || grades(sample));
            let looked = || rayon::join(|| agreement::of_sample(sample), || angles(sample));
            rayon::join(|| rates::outcomes(sample), || rayon::join(graded, looked))
        },
    );
    let ((found, tempo), (officials, (wording, cannot_tell))) = rayon::join(
        || rayon::join(|| consistency::inconsistent(sample, &facts, editions), || tempo(sample, &facts)),
        || {
            let wording = || (agreement::wording(sample, &facts, editions), cannot_tell(sample, &facts));
            rayon::join(|| officials(sample, &facts), wording)
        },
    );
    let changes = found.iter().filter(|found| found.kind == Kind::RuleChange);
    Audit {
        rulings: sample.rulings().count() as u64,
        re_reviews: sample.rows.iter().filter(|row| row.again_of().is_some()).count() as u64,
        cut_short: sample.rows.iter().filter(|row| row.cut_short).count() as u64,
        repeated: sample.repeated,
        outcomes,
        by,
        tempo,
        agreement,
        wording,
        rule_changes: changes.map(|found| change(sample, &facts, found)).collect(),
        inconsistent: found.iter().map(|found| inconsistent(sample, found)).collect(),
        cannot_tell,
        officials,
        avoidable,
        grades,
        angles,
        caution: CAUTION,
    }
}

fn cannot_tell(sample: &Sample, facts: &AllFacts) -> u64 {
    let unknown = |(at, row): &(usize, &Row)| row.is_ruling() && facts.of_row(*at).computed.is_none();
    sample.rows.iter().enumerate().filter(unknown).count() as u64
}

fn inconsistent(sample: &Sample, found: &consistency::Inconsistent) -> Inconsistent {
    let text = |name: Name| sample.text(name).to_owned();
    let rows = || found.rows.iter().map(|row| &sample.rows[*row]);
    Inconsistent {
        tree: text(found.question.tree),
        call: text(found.question.call),
        why: match found.why {
            Why::Facts => "facts",
            Why::Override => "override",
            Why::Edition => "edition",
        },
        says: match found.kind {
            Kind::SameAnswers => "the same answers, another outcome",
            Kind::SameMeasure => "measured alike within the error, answered to the contrary",
            Kind::SamePlay => "the same play reviewed again blind, another ruling",
            Kind::Reason => "decided against the rules of proof or time, with a reason",
            Kind::OwnRules => "not the outcome that its own edition gives for its answers",
            Kind::RuleChange => "the rules changed in between: the same facts, another outcome",
        },
        records: rows().map(|row| row.id().to_owned()).collect(),
        outcomes: rows().map(|row| text(row.outcome)).collect(),
    }
}

fn change(sample: &Sample, facts: &AllFacts, found: &consistency::Inconsistent) -> RuleChange {
    let text = |name: Name| sample.text(name).to_owned();
    let mut editions: BTreeMap<(Name, Name), Edition> = BTreeMap::new();
    for row in found.rows.iter().map(|row| &sample.rows[*row]) {
        let edition = editions.entry((row.edition, row.outcome)).or_insert_with(|| Edition {
            edition: text(row.edition),
            outcome: text(row.outcome),
            records: 0,
            weeks: None,
        });
        edition.records += 1;
        if let Some(week) = row.week {
            edition.weeks = Some(widened(edition.weeks, week));
        }
    }
    let mut editions: Vec<Edition> = editions.into_values().collect();
    editions.sort_by(|a, b| (a.weeks, &a.edition).cmp(&(b.weeks, &b.edition)));
    let answers = found.rows.first().map_or(BTreeMap::new(), |row| {
        facts.of_row(*row).path.iter().map(|(step, answer)| (text(*step), answer.clone())).collect()
    });
    RuleChange { tree: text(found.question.tree), call: text(found.question.call), answers, editions }
}

/// The first and last week, widened to hold `week`.
pub fn widened(weeks: Option<[u32; 2]>, week: u32) -> [u32; 2] {
    let [first, last] = weeks.unwrap_or([week, week]);
    [first.min(week), last.max(week)]
}

/// The figures with officials under the names that `numbers` gives them ([`rates::numbered`]).
pub fn with_numbers(audit: Audit, numbers: &BTreeMap<String, String>) -> Audit {
    let shown = |name: String| numbers.get(&name).cloned().unwrap_or(name);
    let official = audit.by.official.into_iter().map(|(name, group)| (shown(name), group)).collect();
    let mut officials = audit.officials;
    let paced = officials.pace.iter_mut().map(|pace| &mut pace.official);
    for name in paced.chain(officials.answers.iter_mut().map(|answer| &mut answer.official)) {
        *name = shown(std::mem::take(name));
    }
    Audit { by: By { official, ..audit.by }, officials, ..audit }
}
