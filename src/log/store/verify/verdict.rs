//! What the pass is asked, and what it answers.

use crate::chain::broken::Broken;
use crate::chain::hash::LogId;
use crate::chain::sign::PublicKey;
use crate::chain::tip::Tip;

/// Whose signatures count.
#[derive(Debug, Clone)]
pub enum Trust {
    /// The key of the first entry, and every key that a trusted entry adds.
    OwnKeys,
    /// These and no others, whatever the log says.
    Only(Vec<PublicKey>),
}

/// What the pass found.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Verdict {
    Whole(Verified),
    /// It is not, and this is the first bad entry.
    Broken(Broken),
}

/// A log that is whole.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Verified {
    pub log: LogId,
    /// How many entries, and the hash of the newest.
    pub tip: Tip,
    /// The keys whose signatures counted.
    pub keys: Vec<PublicKey>,
    pub editions: u64,
    pub blobs: u64,
    pub erased: u64,
    pub imported: u64,
    /// How many rulings of the referee's own were signed.
    pub discretions: u64,
    /// How many of them were proposed as precedents.
    pub precedents: u64,
    /// The entries by which the log went on after entries were lost.
    pub losses: Vec<u64>,
    /// How many entries are of a newer form: hashed and signed, but not read.
    pub newer: u64,
    /// What the head says that is kept beside the log.
    pub kept: HeadBeside,
}

/// What the head says that is kept beside a log.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum HeadBeside {
    Nothing,
    /// It counts for nothing, and why.
    Void(String),
    Agrees {
        entries: u64,
    },
}
