//! The record of a second look: what was answered, beside what is known of the first.

use super::Record;
use crate::settle::Answer;
use chrono::{DateTime, Utc};
use review::second_look::fold::Look;
use review::stance::Outcome;
use serde_json::Value;
use std::collections::BTreeMap;

/// The id of a second look's record, and that of the record that was looked at. Nobody looks twice, so the id is unique.
pub fn id(look: &Look) -> (String, &str) {
    let record = look.entered.record.as_str();
    (format!("{record} again by {}", look.by), record)
}

/// The record of a second look at `first`; `None` where it was entered at a time that no calendar has.
///
/// It is no ruling of a game: it has no restart, wins nothing and is not timed.
pub fn second(first: &Record, look: &Look) -> Option<Record> {
    let found = &look.entered.found;
    let answers: BTreeMap<String, Answer> =
        look.entered.answers.iter().map(|(step, options)| (step.clone(), answer(options))).collect();
    Some(Record {
        id: id(look).0,
        review: None,
        engine: Some(look.entered.engine),
        official: Some(look.by.clone()),
        answers,
        proofs: BTreeMap::new(),
        marks: Vec::new(),
        possible: found.possible.clone(),
        finding: found.finding.clone(),
        established: Some(found.established),
        changed: Some(found.outcome == Outcome::Reversed),
        outcome: found.label.clone(),
        after: None,
        moot: false,
        won: None,
        called_at: DateTime::<Utc>::from_timestamp_millis(look.at.utc_ms)?,
        phases_s: BTreeMap::new(),
        duration_s: None,
        by_wall_clock: Vec::new(),
        cut_short: false,
        overrides: Vec::new(),
        grade: Value::Null,
        crew_position: None,
        review_grade: Value::Null,
        plain: Value::Null,
        again_of: Some(first.id.clone()),
        unknown: serde_json::Map::new(),
        ..first.clone()
    })
}

/// `unclear` is one word however many options the step has, as in every record.
fn answer(options: &[String]) -> Answer {
    match options {
        [only] => Answer::One(only.clone()),
        several => Answer::Some(several.to_vec()),
    }
}
