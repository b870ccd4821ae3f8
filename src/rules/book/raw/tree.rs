//! One question of a rule book as text: its calls, steps and findings.

use super::Figure;
use crate::book::effect::{Effect, Part};
use crate::book::spanned::{Entries, Later, Spanned};
use crate::book::tree::{Looks, Proof, When};
use serde::Deserialize;

#[derive(Debug, Deserialize)]
#[serde(rename = "Tree", deny_unknown_fields)]
pub(in crate::book) struct RawTree<'a> {
    #[serde(borrow)]
    pub title: Later<'a>,
    #[serde(default)]
    pub words: Option<Later<'a>>,
    pub calls: Entries<'a>,
    pub review: Later<'a>,
    #[serde(default)]
    pub creates_foul: Option<Later<'a>>,
    #[serde(default)]
    pub safety: Option<Later<'a>>,
    #[serde(default)]
    pub booth_only: Option<Later<'a>>,
    #[serde(default)]
    pub booth_creates: Option<Later<'a>>,
    #[serde(default)]
    pub closed_when: Option<Later<'a>>,
    pub start: Later<'a>,
    pub steps: Entries<'a>,
    pub findings: Entries<'a>,
}

#[derive(Debug, Clone, Deserialize)]
#[serde(rename = "Review", deny_unknown_fields)]
pub(in crate::book) enum RawReview {
    Allowed { cite: String },
    Refused { cite: String, because: String },
}

/// A situation in which a question is not reviewed.
#[derive(Debug, Clone, Deserialize)]
#[serde(rename = "ClosedWhen", deny_unknown_fields)]
pub(in crate::book) struct RawClosedWhen {
    pub cite: String,
    pub because: String,
    pub all: Vec<When>,
}

#[derive(Debug, Deserialize)]
#[serde(rename = "Call", deny_unknown_fields)]
pub(in crate::book) struct RawCall<'a> {
    pub says: String,
    #[serde(default)]
    pub no_call: bool,
    #[serde(default)]
    pub score: bool,
    #[serde(default)]
    pub turnover: bool,
    #[serde(default)]
    pub must_be_proven: Option<String>,
    #[serde(borrow)]
    pub result: Vec<Spanned<'a, Effect>>,
}

#[derive(Debug, Deserialize)]
#[serde(rename = "Step", deny_unknown_fields)]
pub(in crate::book) enum RawStep<'a> {
    Ask {
        ask: String,
        #[serde(default)]
        note: Option<String>,
        looks: Looks,
        seconds: u32,
        #[serde(borrow)]
        proof: Spanned<'a, Proof>,
        #[serde(borrow, default)]
        unmarked: Vec<Spanned<'a, String>>,
        #[serde(borrow, default)]
        known: Vec<Spanned<'a, RawKnown>>,
        #[serde(borrow)]
        yes: Spanned<'a, RawTarget>,
        #[serde(borrow)]
        no: Spanned<'a, RawTarget>,
    },
    Choose {
        ask: String,
        #[serde(default)]
        note: Option<String>,
        looks: Looks,
        seconds: u32,
        #[serde(borrow)]
        proof: Spanned<'a, Proof>,
        #[serde(borrow, default)]
        unmarked: Vec<Spanned<'a, String>>,
        #[serde(borrow, default)]
        known: Vec<Spanned<'a, RawKnown>>,
        #[serde(borrow)]
        options: Entries<'a>,
    },
}

/// What is known of a step without asking.
#[derive(Debug, Clone, Deserialize)]
#[serde(rename = "Known", deny_unknown_fields)]
pub(in crate::book) struct RawKnown {
    pub answers: Vec<String>,
    pub when: Vec<RawFact>,
    pub because: String,
}

#[derive(Debug, Clone, Deserialize)]
#[serde(rename = "Fact", deny_unknown_fields)]
pub(in crate::book) enum RawFact {
    Down(u8),
    ToGo {
        #[serde(default)]
        at_most: Option<Figure>,
        #[serde(default)]
        over: Option<Figure>,
    },
    SnapInside {
        yards: Figure,
    },
    SnapOutside {
        yards: Figure,
    },
    Scrimmage,
    Try,
    FreeKick,
    Period(u8),
    LastSeconds(u32),
    HadBall(Part),
    Call(String),
}

#[derive(Debug, Clone, Deserialize)]
#[serde(rename = "Target")]
pub(in crate::book) enum RawTarget {
    Step(String),
    Find(String),
}

#[derive(Debug, Deserialize)]
#[serde(rename = "Finding", deny_unknown_fields)]
pub(in crate::book) struct RawFinding<'a> {
    pub says: String,
    #[serde(borrow, default)]
    pub includes: Option<Spanned<'a, String>>,
    #[serde(borrow, default)]
    pub dead_at: Option<Spanned<'a, String>>,
    #[serde(borrow, default)]
    pub agrees: Vec<Spanned<'a, String>>,
    #[serde(borrow, default)]
    pub agrees_if_on: Entries<'a>,
    #[serde(borrow, default)]
    pub effects: Entries<'a>,
    #[serde(borrow, default)]
    pub after_whistle: Entries<'a>,
    #[serde(borrow, default)]
    pub barred: Entries<'a>,
}

/// One value of `after_whistle`.
#[derive(Debug, Deserialize)]
#[serde(rename = "AfterWhistle", deny_unknown_fields)]
pub(in crate::book) enum RawAfterWhistle<'a> {
    Becomes(#[serde(borrow)] Vec<Spanned<'a, Effect>>),
    Barred { cite: String, because: String },
}

/// One value of `barred`.
#[derive(Debug, Deserialize)]
#[serde(rename = "Barred", deny_unknown_fields)]
pub(in crate::book) struct RawBar {
    pub cite: String,
    pub because: String,
}
