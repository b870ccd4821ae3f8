//! A record of the log: one line a question, as it is exported, imported, audited and re-judged.
//!
//! Programs exchange it, so unknown fields are kept. On import only `id`, `edition`, `tree`, `call`,
//! `answers`, `outcome`, `called_at` and `duration_s` must be there; whatever else is `null` is missing.

pub mod held;
pub mod second;
pub mod times;

use super::case::expect::Partial;
use super::case::{FlagJson, Who};
use super::figure::Figure;
use super::missing;
use super::settle::Answer;
use super::situation::Situation;
use chrono::{DateTime, SecondsFormat, Utc};
use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
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
    pub initiator: Option<Who>,
    /// The pseudonym of the official who decided.
    #[serde(default)]
    pub official: Option<String>,
    /// The situation before the play.
    #[serde(default)]
    pub situation: Option<Kept<Partial>>,
    /// The tree.
    pub tree: String,
    /// The call on the field.
    pub call: String,
    /// The moment of a whistle that came before.
    #[serde(default)]
    pub whistle: Option<String>,
    /// The crew's flags of the play: of some calls they say on which team.
    #[serde(default, deserialize_with = "missing::or_default", skip_serializing_if = "Vec::is_empty")]
    #[schemars(with = "Option<Vec<Kept<FlagJson>>>")]
    pub fouls: Vec<Kept<FlagJson>>,
    /// Step by step: one option, or several where it is not clear.
    #[serde(deserialize_with = "missing::present")]
    #[schemars(with = "BTreeMap<String, Option<Answer>>")]
    pub answers: BTreeMap<String, Answer>,
    /// Step by step: what the answer rests on.
    #[serde(default, deserialize_with = "missing::present_or_none")]
    #[schemars(with = "Option<BTreeMap<String, Option<Kept<ProofJson>>>>")]
    pub proofs: BTreeMap<String, Kept<ProofJson>>,
    /// The frames that were marked.
    #[serde(default, deserialize_with = "missing::or_default")]
    #[schemars(with = "Option<Vec<Kept<MarkJson>>>")]
    pub marks: Vec<Kept<MarkJson>>,
    /// The findings that were still possible.
    #[serde(default, deserialize_with = "missing::or_default")]
    #[schemars(with = "Option<Vec<String>>")]
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
    /// The outcome, by the book's label; [`CUT_SHORT`] where there was no ruling.
    pub outcome: String,
    /// The situation after the ruling.
    #[serde(default)]
    pub after: Option<Kept<Partial>>,
    /// Whether it is about what came after a ball that another question of the review found dead.
    #[serde(default, deserialize_with = "missing::or_default")]
    #[schemars(with = "Option<bool>")]
    pub moot: bool,
    /// Whether the challenge was won.
    #[serde(default)]
    pub won: Option<bool>,
    /// When the review was called for.
    #[serde(with = "instant")]
    #[schemars(with = "String")]
    pub called_at: DateTime<Utc>,
    /// When each phase began, in seconds from `called_at`; `null` where it never did, or would come out negative
    /// or beyond [`times::MOST_S`].
    #[serde(default, deserialize_with = "times::phases")]
    #[schemars(with = "Option<BTreeMap<String, Option<f64>>>")]
    pub phases_s: BTreeMap<String, Option<f64>>,
    /// From the call to the announcement, or to where it was cut short, in seconds; `null` where it would come
    /// out negative.
    #[serde(deserialize_with = "times::there")]
    #[schemars(schema_with = "number_or_null")]
    pub duration_s: Option<f64>,
    /// The phases that were timed by the wall clock, because the machine was started anew in between.
    #[serde(default, deserialize_with = "missing::or_default")]
    #[schemars(with = "Option<Vec<String>>")]
    pub by_wall_clock: Vec<String>,
    /// Whether the review ended before it was decided.
    #[serde(default, deserialize_with = "missing::or_default")]
    #[schemars(with = "Option<bool>")]
    pub cut_short: bool,
    /// What was done against the rules of proof or time, with the reasons.
    #[serde(default, deserialize_with = "missing::or_default")]
    #[schemars(with = "Option<Vec<Value>>")]
    pub overrides: Vec<Value>,
    /// The supervisor's grade of the call.
    #[serde(default)]
    pub grade: Value,
    /// Which position of the crew had the call, by the supervisor.
    #[serde(default)]
    pub crew_position: Option<String>,
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

/// The outcome of a question whose review ended without a ruling.
pub const CUT_SHORT: &str = "cut short";

/// Whether a review was cut short, which its mark or its outcome alone may say. A decision that was never announced
/// ruled no game.
pub fn cut_short(mark: bool, outcome: &str) -> bool {
    mark || outcome == CUT_SHORT
}

/// A value that programs exchange: fields that this program does not know are kept beside it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[schemars(rename = "Kept{T}")]
pub struct Kept<T> {
    /// What is known.
    #[serde(flatten)]
    pub known: T,
    /// What is not.
    #[serde(flatten)]
    pub unknown: Map<String, Value>,
}

/// What an answer rests on.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
#[schemars(rename = "Proof")]
pub struct ProofJson {
    /// What the step asks for: seen, order, gap, position, count, never, judgement.
    #[serde(default)]
    pub kind: Option<String>,
    /// A person says so; otherwise a measurement does.
    #[serde(default)]
    pub attested: Option<bool>,
    /// Of a position: the line of the book that it is measured against.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub line: Option<String>,
    /// Of a position: where the point was, in yards of the offense frame.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub x: Option<f64>,
    /// Of a position: its standard error, in yards.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sigma: Option<f64>,
    /// Of an order or a gap: the moment that it is counted from.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub first: Option<String>,
    /// Of an order or a gap: the other moment.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub then: Option<String>,
    /// Of a gap: how long it must be at least, in seconds.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub at_least_s: Option<f64>,
    /// Of an order or a gap: the time from the one moment to the other, in seconds.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub gap_s: Option<f64>,
    /// Of an order or a gap: its standard error, in seconds.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sigma_s: Option<f64>,
    /// The measurement's verdict: established, refuted, inconclusive, contradiction.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub verdict: Option<String>,
    /// The probability that the verdict rests on.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub probability: Option<f64>,
}

/// A marked frame.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[schemars(rename = "MarkedFrame")]
pub struct MarkJson {
    /// The moment.
    #[serde(default)]
    pub moment: Option<String>,
    /// The camera.
    #[serde(default)]
    pub camera: Option<String>,
    /// What stands in the picture.
    #[serde(default)]
    pub timecode: Option<String>,
    /// Whether it is the very frame; otherwise it was typed from the picture.
    #[serde(default)]
    pub exact: Option<bool>,
    /// Where, in the offense frame.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub x: Option<Figure>,
    /// What the game clock showed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub clock_s: Option<f64>,
    /// The still of it, by the name that it has in the log it was marked in; the picture itself stays there.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub still: Option<String>,
}

impl Record {
    /// Whether its review ended without a ruling.
    pub fn was_cut_short(&self) -> bool {
        cut_short(self.cut_short, &self.outcome)
    }

    /// The situation before the play, if the record holds all of it.
    pub fn at_snap(&self) -> Option<Situation> {
        let written = serde_json::to_value(&self.situation.as_ref()?.known).ok()?;
        serde_json::from_value(written).ok()
    }
}

impl<T> From<T> for Kept<T> {
    fn from(known: T) -> Kept<T> {
        Kept { known, unknown: Map::new() }
    }
}

fn number_or_null(_: &mut SchemaGenerator) -> Schema {
    json_schema!({"type": ["number", "null"]})
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
            "duration_s": 61.0, "initiator": "coach-home", "weather": {"wind": "none"},
            "marks": [{"moment": "snap", "frame": 12}], "proofs": {"toes": {"kind": "position", "x": 39.2}}
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
        assert_eq!(
            (&written["marks"][0]["frame"], &written["proofs"]["toes"]["x"]),
            (&json!(12), &json!(39.2))
        );
    }
}
