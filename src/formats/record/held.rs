//! The records of a review that is over: one a question.

use super::times::MOST_S;
use super::{CUT_SHORT, MarkJson, ProofJson, Record};
use crate::case::FlagJson;
use crate::case::expect::Partial;
use crate::figure::{Figure, seconds};
use crate::settle::Answer;
use crate::situation::Situation;
use chrono::{DateTime, Utc};
use evidence::mark::{Basis, Measurement, Quantity};
use evidence::verdict::Verdict;
use review::event::{Answered, Asked, Event, Found, Marked, Override};
use review::fold::{Phase, Review};
use review::stamp::{Elapsed, Stamp};
use review::stance::Outcome;
use rules::book::Book;
use rules::book::tree::Step;
use serde_json::{Map, Value, json};
use std::collections::BTreeMap;

/// What a review's events do not say of it.
#[derive(Debug, Clone, Copy)]
pub struct About<'a> {
    pub review: &'a str,
    /// The pseudonym of the official who decided.
    pub official: &'a str,
    /// The book's short name.
    pub book: &'a str,
    /// The edition that it was held under.
    pub edition: &'a str,
    /// The rules themselves, where this program can read that edition: they say what each proof is about.
    pub rules: Option<&'a Book>,
}

/// Why a review has no records.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NoRecord {
    /// It is not over yet.
    Open,
    /// Nothing was let in to be decided, or it was taken back.
    NothingDecided,
    /// It was called at a time that no calendar has.
    NoTime,
}

/// The records of a review, in play order: of one that was announced, or cut short.
///
/// # Errors
/// [`NoRecord`] for a review that has none.
pub fn records(about: About<'_>, review: &Review) -> Result<Vec<Record>, NoRecord> {
    match review.phase {
        Phase::Announced | Phase::CutShort => {}
        Phase::Refused | Phase::Withdrawn => return Err(NoRecord::NothingDecided),
        Phase::New
        | Phase::Called
        | Phase::Admitted
        | Phase::Open
        | Phase::Ruled
        | Phase::ReadyToAnnounce => return Err(NoRecord::Open),
    }
    let called = review.times.called.as_ref().ok_or(NoRecord::NothingDecided)?;
    let called_at = DateTime::<Utc>::from_timestamp_millis(called.utc_ms).ok_or(NoRecord::NoTime)?;
    let times = Times::of(review, called);
    let questions = review.questions.iter().enumerate();
    Ok(questions.map(|(number, asked)| record(about, review, (number, asked), (called_at, &times))).collect())
}

fn record(
    about: About<'_>,
    review: &Review,
    (number, asked): (usize, &Asked),
    (called_at, times): (DateTime<Utc>, &Times),
) -> Record {
    // What was decided and never announced ruled no game: the log keeps it, the record states none.
    let ruling = review.ruling.as_ref().filter(|_| review.phase != Phase::CutShort);
    let found = ruling.and_then(|ruling| ruling.questions.get(number));
    let called = review.called.as_ref();
    let answers = answers(about.rules, review, number, asked);
    Record {
        id: format!("{}/{}", about.review, number + 1),
        review: Some(about.review.to_owned()),
        engine: ruling.map(|ruling| ruling.engine),
        edition: about.edition.to_owned(),
        book: Some(about.book.to_owned()),
        game: called.map(|called| called.game.clone()),
        week: called.and_then(|called| called.week),
        play: called.map(|called| called.play.clone()),
        initiator: called.map(|called| called.initiator.into()),
        official: Some(about.official.to_owned()),
        situation: called.map(|called| Partial::from(Situation::from(&called.situation)).into()),
        tree: asked.tree.clone(),
        call: asked.call.clone(),
        whistle: asked.whistle.clone(),
        fouls: review.flags().iter().map(|flag| FlagJson::from(flag).into()).collect(),
        answers: answers.iter().map(|(step, (answer, _))| (step.clone(), answer.clone())).collect(),
        proofs: answers.into_iter().map(|(step, (_, proof))| (step, proof.into())).collect(),
        marks: review.marks().map(|marked| mark(marked).into()).collect(),
        possible: found.map_or_else(Vec::new, |found| found.possible.clone()),
        finding: found.and_then(|found| found.finding.clone()),
        established: found.map(|found| found.established),
        changed: found.map(changed),
        outcome: found.map_or(CUT_SHORT, |found| &found.label).to_owned(),
        after: ruling.map(|ruling| Partial::from(Situation::from(&ruling.after)).into()),
        moot: found.is_some_and(|found| found.moot),
        won: ruling.and_then(|ruling| ruling.won),
        called_at,
        phases_s: times.phases_s.clone(),
        duration_s: times.duration_s,
        by_wall_clock: times.by_wall_clock.clone(),
        cut_short: review.phase == Phase::CutShort,
        overrides: overrides(review),
        grade: Value::Null,
        crew_position: None,
        review_grade: Value::Null,
        plain: Value::Null,
        again_of: None,
        unknown: Map::new(),
    }
}

fn changed(found: &Found) -> bool {
    found.outcome == Outcome::Reversed && !found.moot
}

fn overrides(review: &Review) -> Vec<Value> {
    let one = |done: Override| json!({"what": done.what, "reason": done.reason});
    review.overrides().into_iter().map(one).collect()
}

/// The answers that stand for a question, each with what it rests on.
fn answers(
    rules: Option<&Book>,
    review: &Review,
    number: usize,
    asked: &Asked,
) -> BTreeMap<String, (Answer, ProofJson)> {
    let tree = rules.and_then(|book| book.tree(&asked.tree));
    let of_this = review.answers().into_iter().filter(|((question, _), _)| *question == number);
    of_this
        .map(|((_, name), answered)| {
            let step = tree.and_then(|tree| tree.steps.get(tree.step(name)?));
            let measured = review.measured(number, name);
            (name.to_owned(), (answer(step, answered), proof(step, &answered.basis, measured)))
        })
        .collect()
}

fn answer(step: Option<&Step>, answered: &Answered) -> Answer {
    match answered.options.as_slice() {
        options if step.is_some_and(|step| step.options.len() == options.len()) => {
            Answer::One("unclear".to_owned())
        }
        [only] => Answer::One(only.clone()),
        several => Answer::Some(several.to_vec()),
    }
}

/// The probability of a verdict; `None` where something else spoke against one, so that no standard can turn it into a
/// verdict.
fn telling(verdict: Verdict, of: Option<&Quantity>) -> Option<f64> {
    match verdict {
        Verdict::Inconclusive { .. } if of.is_none() => None,
        Verdict::Established { .. }
        | Verdict::Refuted { .. }
        | Verdict::Inconclusive { .. }
        | Verdict::Contradiction => verdict.probability(),
    }
}

/// What an answer rests on. An answer that a person gave against a measurement is the person's; what was measured
/// stands beside it.
fn proof(step: Option<&Step>, basis: &Basis, measured: Option<&Measurement>) -> ProofJson {
    let attested = *basis == Basis::Attested;
    let of = measured.and_then(|measured| measured.of.as_ref());
    let verdict = measured.map(|measured| measured.verdict);
    let proof = ProofJson {
        kind: step.map(|step| step.proof.kind()).or_else(|| of.map(kind)).map(str::to_owned),
        attested: Some(attested),
        verdict: verdict.map(|verdict| verdict.word().to_owned()),
        probability: verdict
            .and_then(|verdict| telling(verdict, of))
            .filter(|probability| probability.is_finite()),
        ..ProofJson::default()
    };
    match of {
        None => proof,
        Some(Quantity::Order { first, then, gap_s, sigma_s }) => ProofJson {
            first: Some(first.clone()),
            then: Some(then.clone()),
            gap_s: Some(*gap_s),
            sigma_s: Some(*sigma_s),
            ..proof
        },
        Some(Quantity::Gap { first, then, at_least_s, gap_s, sigma_s }) => ProofJson {
            first: Some(first.clone()),
            then: Some(then.clone()),
            at_least_s: Some(*at_least_s),
            gap_s: Some(*gap_s),
            sigma_s: Some(*sigma_s),
            ..proof
        },
        Some(Quantity::Position { line, x, sigma }) => {
            ProofJson { line: Some(line.clone()), x: Some(*x), sigma: Some(*sigma), ..proof }
        }
    }
}

fn kind(of: &Quantity) -> &'static str {
    match of {
        Quantity::Order { .. } => "order",
        Quantity::Gap { .. } => "gap",
        Quantity::Position { .. } => "position",
    }
}

/// A typed mark names the picture as a person read it, so it is not exact; one set in a clip is as exact as its picture.
fn mark(marked: &Marked) -> MarkJson {
    MarkJson {
        moment: Some(marked.mark.moment.clone()),
        camera: Some(marked.mark.camera.clone()),
        timecode: Some(marked.mark.timecode.to_string()),
        exact: Some(marked.shot.as_ref().is_some_and(|shot| shot.exact)),
        x: marked.x.map(Figure),
        clock_s: marked.clock_ms.map(seconds),
        still: marked.shot.as_ref().and_then(|shot| shot.still.clone()),
    }
}

/// The times of a review, from the challenge.
struct Times {
    phases_s: BTreeMap<String, Option<f64>>,
    duration_s: Option<f64>,
    by_wall_clock: Vec<String>,
}

impl Times {
    fn of(review: &Review, called: &Stamp) -> Times {
        let mut by_wall_clock = Vec::new();
        let mut since = |name: &str, at: Option<&Stamp>| match at?.since(called)? {
            Elapsed::Exact(ms) => in_seconds(ms),
            Elapsed::ByWallClock(ms) => {
                by_wall_clock.push(name.to_owned());
                in_seconds(ms)
            }
        };
        let reached = review.times.named().into_iter().filter(|(name, _)| *name != "called");
        let phases_s = reached.map(|(name, at)| (name.to_owned(), since(name, at))).collect();
        let cut =
            review.events().iter().rev().find(|stamped| matches!(stamped.event, Event::CutShort { .. }));
        let duration_s = match cut {
            Some(cut) => since("cut short", Some(&cut.at)),
            None => review
                .times
                .announced
                .as_ref()
                .and_then(|at| at.since(called))
                .and_then(|e| in_seconds(e.ms())),
        };
        Times { phases_s, duration_s, by_wall_clock }
    }
}

/// A review takes minutes: far below 2^53 ms, where a float would begin to round. `None` beyond [`MOST_S`]: the
/// wall clock of an entry was out of any calendar.
fn in_seconds(ms: u64) -> Option<f64> {
    Some(ms as f64 / 1000.0).filter(|seconds| *seconds <= MOST_S)
}
