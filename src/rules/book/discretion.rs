//! What no question covers: the referee's own ruling, and the bounds that a book sets.

use super::effect::Effect;
use serde::Deserialize;

/// The referee's own ruling. A book that says nothing of it does not have it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Discretion {
    /// The rule to cite.
    pub cite: String,
    /// What the ruling may not do.
    pub bounds: Vec<Bound>,
    /// What can be done about a play besides the calls of its question, in the order of the book.
    pub remedies: Vec<Remedy>,
}

/// Something that the referee's own ruling may not do.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Deserialize)]
pub enum Bound {
    /// It may not create a score.
    NoScore,
    /// It may not shorten a foul that protects a player without a written reason.
    SafetyFoulKept,
    /// It must name the rule that it leans on.
    RuleNamed,
}

/// One thing that can be done about a play.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Remedy {
    /// In words.
    pub name: String,
    /// What it makes of the game.
    pub effects: Vec<Effect>,
}

impl Bound {
    /// As written in a book.
    pub fn name(self) -> &'static str {
        match self {
            Bound::NoScore => "NoScore",
            Bound::SafetyFoulKept => "SafetyFoulKept",
            Bound::RuleNamed => "RuleNamed",
        }
    }

    /// In words.
    pub fn text(self) -> &'static str {
        match self {
            Bound::NoScore => "it may not create a score",
            Bound::SafetyFoulKept => "it may not shorten a safety foul without a written reason",
            Bound::RuleNamed => "it names the rule that it leans on",
        }
    }
}

impl Discretion {
    /// Whether the book sets this bound.
    pub fn has(&self, bound: Bound) -> bool {
        self.bounds.contains(&bound)
    }
}
