//! Precedents: what became of a referee's own ruling afterwards.
//!
//! A signed ruling may be proposed; the supervisor approves, narrows or withdraws it, with a reason and from a week
//! on. An approved one is shown wherever its facts recur. It is never chosen for anybody, and it never turns itself
//! into a rule: a rule is a change in the book.

pub mod decide;
pub mod fold;
pub mod near;
pub mod pattern;
pub mod text;

use self::pattern::Pattern;

/// In which weeks of a season a decision holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Weeks {
    /// From this one on.
    pub from: u32,
    /// Up to this one; none: until something else is decided.
    pub until: Option<u32>,
}

impl Weeks {
    /// Whether it holds in this week.
    pub fn hold(&self, week: u32) -> bool {
        self.from <= week && self.until.is_none_or(|until| week <= until)
    }
}

/// A fact that must be so for a narrowed precedent to recur: one of its own, by name and value.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Condition {
    /// The fact's name in the pattern: a step, or `call`, `started`, `rewards`, `at risk`, `down`, `late`.
    pub fact: String,
    /// What it says.
    pub is: String,
}

/// What is proposed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Proposal {
    /// The referee's own ruling.
    pub ruling: String,
    /// The game that it was made in.
    pub game: String,
    /// What it is about, in a line.
    pub title: String,
    /// The remedy.
    pub remedy: String,
    /// The rule that it leans on.
    pub rule: String,
    /// Its facts.
    pub pattern: Pattern,
}

/// What can be done with a precedent.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Command {
    /// Propose a signed ruling.
    Propose(Box<Proposal>),
    /// Let it be shown wherever its facts recur.
    Approve {
        /// When.
        weeks: Weeks,
        /// The reason given.
        reason: String,
    },
    /// Let it be shown only where these facts are as they were.
    Narrow {
        /// When.
        weeks: Weeks,
        /// The reason given.
        reason: String,
        /// All of these.
        only: Vec<Condition>,
    },
    /// Show it no more.
    Withdraw {
        /// From this week on.
        from: u32,
        /// The reason given.
        reason: String,
    },
}

/// One thing that happened to it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Event {
    /// It was proposed.
    Proposed(Box<Proposal>),
    /// It was approved.
    Approved {
        /// When it holds.
        weeks: Weeks,
        /// The reason given.
        reason: String,
    },
    /// It was narrowed.
    Narrowed {
        /// When it holds.
        weeks: Weeks,
        /// The reason given.
        reason: String,
        /// All of these must be so.
        only: Vec<Condition>,
    },
    /// It was withdrawn.
    Withdrawn {
        /// From this week on.
        from: u32,
        /// The reason given.
        reason: String,
    },
}

/// An event with its stamp and who did it.
pub type Stamped = crate::stamp::Signed<Event>;
