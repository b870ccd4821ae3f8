//! What a case play should come to, and where a result differs from it.

use super::result::Result;
use crate::by_team::{ByTeam, SomeOf};
use crate::clock_start::Starts;
use crate::closed_set::words;
use crate::figure::Figure;
use crate::situation::{Attacks, Challenges, NextPlay, Side, Situation};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use serde_json::Value;

/// What a case play should come to.
#[derive(Debug, Clone, PartialEq, Default, Deserialize, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Expect {
    /// `allowed` or `refused`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub gate: Option<GateJson>,
    /// The rule that a refusal cites.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rule: Option<String>,
    /// The outcome of each question, by the book's label.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub outcomes: Option<Vec<String>>,
    /// The finding that is stated for each question; `null` where none is.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub findings: Option<Vec<Option<String>>>,
    /// Fields of the situation that it leads to.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub after: Option<Partial>,
    /// How the game clock starts.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub clock_starts: Option<Starts>,
    /// Whether the coach won.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub won: Option<bool>,
    /// Whether each question is moot.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub moot: Option<Vec<bool>>,
    /// What the restart still needs; left out, it must need nothing.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub open: Option<Vec<String>>,
    /// The rules leave it to the referee.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub discretion: Option<bool>,
}

words! {
    /// The gate's answer.
    GateJson {
        /// The review may begin.
        Allowed = "allowed",
        /// It may not.
        Refused = "refused",
    }
}

/// Some fields of a situation, by the names of `Situation`.
#[derive(Debug, Clone, PartialEq, Default, Deserialize, Serialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct Partial {
    #[serde(skip_serializing_if = "Option::is_none")]
    pub period: Option<u8>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub clock_s: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub clock_running: Option<bool>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub play_clock_s: Option<u16>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub next: Option<NextPlay>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub offense: Option<Side>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub attacks: Option<Attacks>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub down: Option<u8>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub to_go: Option<Figure>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub spot: Option<Figure>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub score: Option<SomeOf<u16>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub timeouts: Option<SomeOf<u8>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub challenges: Option<SomeOf<Challenges>>,
}

/// Where a result differs from what is expected, one line a difference; empty if it agrees.
pub fn differences(expect: &Expect, result: &Result) -> Vec<String> {
    let mut lines = Vec::new();
    match (serde_json::to_value(expect), serde_json::to_value(result)) {
        (Ok(expected), Ok(found)) => compare("", &expected, &found, &mut lines),
        (Err(error), _) | (_, Err(error)) => lines.push(error.to_string()),
    }
    if expect.open.is_none() {
        let needs = |open: &String| format!("the restart is open: {open}; give it, or expect it in `open`");
        lines.extend(result.open.iter().map(needs));
    }
    if !lines.is_empty() {
        lines.extend(result.because.iter().map(|because| format!("refused: {because}")));
    }
    lines
}

fn compare(path: &str, expected: &Value, found: &Value, lines: &mut Vec<String>) {
    match (expected, found) {
        (Value::Object(expected), _) => {
            for (name, value) in expected {
                let path = if path.is_empty() { name.clone() } else { format!("{path}.{name}") };
                compare(&path, value, found.get(name).unwrap_or(&Value::Null), lines);
            }
        }
        (Value::Number(one), Value::Number(other)) if one.as_f64() == other.as_f64() => {}
        _ if expected == found => {}
        _ => lines.push(format!("{path}: expected {expected}, found {found}")),
    }
}

impl From<Situation> for Partial {
    fn from(all: Situation) -> Partial {
        Partial {
            period: Some(all.period),
            clock_s: Some(all.clock_s),
            clock_running: Some(all.clock_running),
            play_clock_s: all.play_clock_s,
            next: Some(all.next),
            offense: Some(all.offense),
            attacks: Some(all.attacks),
            down: all.down,
            to_go: all.to_go,
            spot: Some(all.spot),
            score: Some(both(all.score)),
            timeouts: Some(both(all.timeouts)),
            challenges: Some(both(all.challenges)),
        }
    }
}

fn both<T>(teams: ByTeam<T>) -> SomeOf<T> {
    SomeOf { home: Some(teams.home), away: Some(teams.away) }
}
