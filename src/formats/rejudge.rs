//! What a log comes to under another edition.

use schemars::JsonSchema;
use serde::Serialize;

/// A log judged again.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, JsonSchema)]
pub struct Rejudged {
    /// How many records: each is the same, flips, or cannot be told.
    pub records: u64,
    /// How many more came again under an id that was there before, and were left out.
    pub repeated: u64,
    /// How many have the same outcome.
    pub same: u64,
    /// Those whose outcome is another one.
    pub flips: Vec<Flip>,
    /// Those that the facts of the record do not decide under the new edition.
    pub cannot_tell: Vec<Untold>,
    /// Those of the same outcome that lead to another next situation, where the record allows to tell.
    pub restarts: Vec<Moved>,
    /// Those of the same outcome whose answers say otherwise than the situation does.
    pub contrary: Vec<Untold>,
    /// What changed in the book, against each edition of the log whose text is known.
    pub changes: Vec<Changed>,
}

/// A record with another outcome.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Flip {
    /// The record.
    pub id: String,
    /// Its outcome.
    pub was: String,
    /// The outcome under the new edition, by that one's label.
    pub now: String,
    /// Why, by what changed in the book.
    pub because: Vec<String>,
}

/// A record that cannot be told.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Untold {
    /// The record.
    pub id: String,
    /// Why not.
    pub because: Vec<String>,
}

/// A record with another restart.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Moved {
    /// The record.
    pub id: String,
    /// What is another one now: `spot: 40, was 38.5`.
    pub differs: Vec<String>,
}

/// What changed in the book.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Changed {
    /// The edition of the log.
    pub since: String,
    /// How many records were ruled under it.
    pub records: u64,
    /// The changes in words; nothing where the editions are the same, `null` where its text is not known.
    pub changes: Option<Vec<String>>,
}
