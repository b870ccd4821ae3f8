//! What no question covers: the referee's own ruling, and the bounds that a book sets.

use super::effect::Effect;
use serde::Deserialize;

/// The referee's own ruling, as the book allows it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Discretion {
    pub cite: String,
    pub bounds: Vec<Bound>,
    /// The fouls that it may create although nobody called them, by the penalty's name.
    pub may_create: Vec<String>,
    /// `None`: it disqualifies nobody.
    pub disqualification: Option<Disqualification>,
    /// What can be done about a play besides the calls of its question, in the order of the book.
    pub remedies: Vec<Remedy>,
}

/// The disqualification of a player by the referee's own ruling, as the book allows it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Disqualification {
    pub cite: String,
    /// The fouls for which a player may be disqualified, by the penalty's name.
    pub fouls: Vec<String>,
    /// Also where someone was at risk, whatever the foul.
    pub at_risk: bool,
    /// What a player's position can be called: a ruling names a position, never a person.
    pub positions: Vec<String>,
}

/// Something that the referee's own ruling may not do.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Deserialize, schemars::JsonSchema)]
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
