//! How every number of a situation came about, in JSON.

use super::figure::Figure;
use rules::game::ledger::{Entry, Ledger, NUMBERS, Number, Value};
use rules::game::text;
use schemars::JsonSchema;
use serde::Serialize;
use std::collections::BTreeMap;

/// One change of a number.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[schemars(rename = "Change")]
pub struct Change {
    /// Why: the play, a penalty with its yards, the clock's rule, a price; or `kept`, where nothing changed it.
    pub cause: String,
    /// What it was.
    pub from: serde_json::Value,
    /// What it became.
    pub to: serde_json::Value,
}

/// How every number came about, by its name.
pub type Changes = BTreeMap<String, Vec<Change>>;

/// Of each number its changes in order; `questions` are the names of the review's questions, if it is one.
pub fn changes(ledger: &Ledger, questions: &[&str]) -> Changes {
    let change = |entry: &Entry| Change {
        cause: text::cause(entry.cause, &ledger.fouls, questions),
        from: value(entry.from),
        to: value(entry.to),
    };
    let of = |number: &Number| {
        (text::number(*number).to_owned(), ledger.entries(*number).iter().map(change).collect())
    };
    NUMBERS.iter().map(of).collect()
}

fn value(value: Value) -> serde_json::Value {
    match value {
        Value::None => serde_json::Value::Null,
        Value::Count(count) => count.into(),
        Value::Clock(ms) => (ms as f64 / 1000.0).into(),
        Value::Yards(yards) => serde_json::to_value(Figure(yards)).unwrap_or(serde_json::Value::Null),
        Value::Team(_)
        | Value::End(_)
        | Value::Start(_)
        | Value::Scrimmage
        | Value::Try
        | Value::FreeKick => text::value(value).into(),
    }
}
