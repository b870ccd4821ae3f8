//! A record of the log: one line a question, as it is exported, imported, audited and re-judged.
//!
//! Programs exchange it, so unknown fields are kept. On import only `id`, `edition`, `tree`, `call`,
//! `answers`, `outcome`, `called_at` and `duration_s` must be there.

use chrono::{DateTime, SecondsFormat, Utc};
use schemars::JsonSchema;
use serde::{Deserialize, Deserializer, Serialize, Serializer};
use serde_json::{Map, Value};
use std::collections::BTreeMap;

/// One question of one review, with everything that was known and decided.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Record {
    /// The record's own name; two records of one id are one record.
    pub id: String,
    /// The review; lines of one review share it.
    #[serde(default)]
    pub review: Option<String>,
    /// Which engine computed it.
    #[serde(default)]
    pub engine: Option<u32>,
    /// The edition of the rule book, as SHA-256.
    pub edition: String,
    /// The rule book's name.
    #[serde(default)]
    pub book: Option<String>,
    /// The game.
    #[serde(default)]
    pub game: Option<String>,
    /// The week of the season.
    #[serde(default)]
    pub week: Option<u32>,
    /// The play, in the officials' short form.
    #[serde(default)]
    pub play: Option<String>,
    /// Who asked for the review.
    #[serde(default)]
    pub initiator: Option<Initiator>,
    /// The pseudonym of the official who decided.
    #[serde(default)]
    pub official: Option<String>,
    /// The situation before the play.
    #[serde(default)]
    pub situation: Value,
    /// The tree.
    pub tree: String,
    /// The call on the field.
    pub call: String,
    /// The whistle of the call: none, or a moment.
    #[serde(default)]
    pub whistle: Value,
    /// Step by step: one option, or several where it is not clear.
    pub answers: BTreeMap<String, Answer>,
    /// Step by step: what the answer rests on.
    #[serde(default)]
    pub proofs: BTreeMap<String, Value>,
    /// The frames that were marked.
    #[serde(default)]
    pub marks: Vec<Value>,
    /// The findings that were still possible.
    #[serde(default)]
    pub possible: Vec<String>,
    /// The finding, if there is one.
    #[serde(default)]
    pub finding: Option<String>,
    /// Whether the video established a finding.
    #[serde(default)]
    pub established: Option<bool>,
    /// Whether the ruling changed anything.
    #[serde(default)]
    pub changed: Option<bool>,
    /// The outcome.
    pub outcome: Outcome,
    /// The situation after the ruling.
    #[serde(default)]
    pub after: Value,
    /// Whether the challenge was won.
    #[serde(default)]
    pub won: Option<bool>,
    /// When the review was called for.
    #[serde(with = "instant")]
    #[schemars(with = "String")]
    pub called_at: DateTime<Utc>,
    /// When each phase began, in seconds from `called_at`.
    #[serde(default)]
    pub phases_s: BTreeMap<String, Option<f64>>,
    /// From the call to the announcement, in seconds.
    pub duration_s: f64,
    /// Whether the review ended before it was decided.
    #[serde(default)]
    pub cut_short: bool,
    /// Answers given against the proof, with their reasons.
    #[serde(default)]
    pub overrides: Vec<Value>,
    /// The supervisor's grade of the call.
    #[serde(default)]
    pub grade: Value,
    /// The supervisor's grade of the review.
    #[serde(default)]
    pub review_grade: Value,
    /// Whether the error was plain, by the supervisor.
    #[serde(default)]
    pub plain: Value,
    /// The record that this one re-reviews without knowing its ruling.
    #[serde(default)]
    pub again_of: Option<String>,
    /// Fields that this program does not know.
    #[serde(flatten)]
    pub unknown: Map<String, Value>,
}

/// One option, or the several that are still possible.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(untagged, expecting = "an option or a list of options")]
pub enum Answer {
    /// One option, or "unclear".
    One(String),
    /// Several options.
    Several(Vec<String>),
}

/// What the ruling did to the call on the field.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Outcome {
    /// The video proves the call.
    Confirmed,
    /// The video does not prove otherwise.
    Stands,
    /// The video proves another finding.
    Reversed,
}

/// Who asked for a review.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Initiator {
    /// The home coach's challenge.
    CoachHome,
    /// The away coach's challenge.
    CoachAway,
    /// The replay booth.
    Booth,
    /// The referee.
    Referee,
}

impl Outcome {
    /// As written.
    pub fn as_str(self) -> &'static str {
        match self {
            Outcome::Confirmed => "confirmed",
            Outcome::Stands => "stands",
            Outcome::Reversed => "reversed",
        }
    }
}

impl Initiator {
    /// As written.
    pub fn as_str(self) -> &'static str {
        match self {
            Initiator::CoachHome => "coach-home",
            Initiator::CoachAway => "coach-away",
            Initiator::Booth => "booth",
            Initiator::Referee => "referee",
        }
    }
}

/// RFC 3339; written in UTC with three decimals, read with any offset.
mod instant {
    use super::*;

    pub(super) fn serialize<S: Serializer>(at: &DateTime<Utc>, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(&at.to_rfc3339_opts(SecondsFormat::Millis, true))
    }

    pub(super) fn deserialize<'de, D: Deserializer<'de>>(deserializer: D) -> Result<DateTime<Utc>, D::Error> {
        let text = String::deserialize(deserializer)?;
        DateTime::parse_from_rfc3339(&text).map(|at| at.to_utc()).map_err(|_| {
            serde::de::Error::custom(format!("`{text}` is not an instant, e.g. 2026-05-09T19:42:11.204Z"))
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    #[test]
    fn unknown_fields_and_both_shapes_of_an_answer_are_kept() {
        let given = json!({
            "id": "r-1", "edition": "ab", "tree": "inside-line", "call": "foul", "outcome": "stands",
            "answers": {"toes": "no", "facing": ["no", "yes"]}, "called_at": "2026-05-09T21:42:11.204+02:00",
            "duration_s": 61.0, "initiator": "coach-home", "weather": {"wind": "none"}
        });
        let record: Record = serde_json::from_value(given).expect("a record");
        assert_eq!(record.unknown["weather"], json!({"wind": "none"}));
        let written = serde_json::to_value(&record).expect("JSON");
        assert_eq!(written["called_at"], "2026-05-09T19:42:11.204Z");
        assert_eq!(written["answers"], json!({"toes": "no", "facing": ["no", "yes"]}));
        assert_eq!(
            (&written["weather"], &written["initiator"]),
            (&json!({"wind": "none"}), &json!("coach-home"))
        );
        assert_eq!(written["finding"], Value::Null);
    }

    #[test]
    fn the_names_of_closed_sets_are_those_of_the_json() {
        for outcome in [Outcome::Confirmed, Outcome::Stands, Outcome::Reversed] {
            assert_eq!(serde_json::to_value(outcome).expect("JSON"), outcome.as_str());
        }
        let all = [Initiator::CoachHome, Initiator::CoachAway, Initiator::Booth, Initiator::Referee];
        for initiator in all {
            assert_eq!(serde_json::to_value(initiator).expect("JSON"), initiator.as_str());
        }
    }
}
