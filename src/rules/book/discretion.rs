//! What no question covers: the referee's own ruling, and the bounds that a book sets.

use super::effect::Effect;
use serde::Deserialize;

/// The referee's own ruling, as the book allows it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Discretion {
    pub cite: String,
    pub bounds: Vec<Bound>,
    /// What can be done about a play besides the calls of its question, in the order of the book.
    pub remedies: Vec<Remedy>,
}

/// Something that the referee's own ruling may not do.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Deserialize)]
pub enum Bound {
    NoScore,
    SafetyFoulKept,
    RuleNamed,
}

/// One thing that can be done about a play.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Remedy {
    pub name: String,
    pub effects: Vec<Effect>,
}

impl Bound {
    /// The bound as it is written in a book.
    pub fn name(self) -> &'static str {
        match self {
            Bound::NoScore => "NoScore",
            Bound::SafetyFoulKept => "SafetyFoulKept",
            Bound::RuleNamed => "RuleNamed",
        }
    }

    /// The bound as a clause.
    pub fn text(self) -> &'static str {
        match self {
            Bound::NoScore => "it may not create a score",
            Bound::SafetyFoulKept => "it may not shorten a safety foul without a written reason",
            Bound::RuleNamed => "it names the rule that it is based on",
        }
    }
}

impl Discretion {
    /// Whether the book sets this bound.
    pub fn has(&self, bound: Bound) -> bool {
        self.bounds.contains(&bound)
    }
}
