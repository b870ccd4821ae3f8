//! Precedents: what becomes of a referee's own ruling afterwards.
//!
//! A signed ruling may be proposed; the supervisor approves, narrows or withdraws it, with a reason and from a given
//! week. An approved one is shown wherever its facts recur. It is never applied automatically and never becomes a rule:
//! a rule is a change in the book.

pub mod decide;
pub mod fold;
pub mod near;
pub mod pattern;
pub mod text;

use self::pattern::Pattern;

/// The weeks of a season in which a decision holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Weeks {
    pub from: u32,
    /// Inclusive. `None`: until the next decision.
    pub until: Option<u32>,
}

impl Weeks {
    /// Whether the decision holds in this week.
    pub fn hold(&self, week: u32) -> bool {
        self.from <= week && self.until.is_none_or(|until| week <= until)
    }
}

/// A fact of a narrowed precedent, by name and value, which a case must share.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Condition {
    /// A step, or `call`, `started`, `rewards`, `at risk`, `down`, `late`.
    pub fact: String,
    /// Its value in the precedent.
    pub is: String,
}

/// A signed ruling that is proposed as a precedent.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Proposal {
    /// The id of the referee's own ruling.
    pub ruling: String,
    pub game: String,
    /// In one line.
    pub title: String,
    pub remedy: String,
    /// The rule that the ruling rests on.
    pub rule: String,
    pub pattern: Pattern,
}

/// What can be done with a precedent.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Command {
    /// Propose it as a precedent.
    Propose(Box<Proposal>),
    /// Show it wherever its facts recur.
    Approve { weeks: Weeks, reason: String },
    /// Show it only where these facts recur too.
    Narrow { weeks: Weeks, reason: String, only: Vec<Condition> },
    /// Stop showing it, from this week on.
    Withdraw { from: u32, reason: String },
}

/// One thing that happened to a precedent.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Event {
    Proposed(Box<Proposal>),
    Approved { weeks: Weeks, reason: String },
    Narrowed { weeks: Weeks, reason: String, only: Vec<Condition> },
    Withdrawn { from: u32, reason: String },
}

/// An event with its stamp and who did it.
pub type Stamped = crate::stamp::Signed<Event>;
