//! One question of a rule book as text: its calls, steps and findings.

use super::Figure;
use crate::book::effect::{Effect, Part};
use crate::book::spanned::{Entries, Later, Spanned};
use crate::book::tree::{Looks, Proof, When};
use serde::Deserialize;
use std::collections::BTreeMap;

/// One question of fact: a file beside `book.ron`, whose name is its id.
#[derive(Debug, Deserialize, schemars::JsonSchema)]
#[serde(rename = "Tree", deny_unknown_fields)]
pub(in crate::book) struct RawTree<'a> {
    /// The question, in a few words.
    #[serde(borrow)]
    #[schemars(with = "String")]
    pub title: Later<'a>,
    /// Words by which an official finds it.
    #[serde(default)]
    #[schemars(with = "Option<Vec<String>>")]
    pub words: Option<Later<'a>>,
    /// What the crew can have ruled, by a short name.
    #[schemars(with = "BTreeMap<String, RawCall<'static>>")]
    pub calls: Entries<'a>,
    /// Whether it may be reviewed, by which rule.
    #[schemars(with = "RawReview")]
    pub review: Later<'a>,
    /// The review may find a foul that nobody called.
    #[serde(default)]
    #[schemars(with = "Option<bool>")]
    pub creates_foul: Option<Later<'a>>,
    /// It protects a player: the booth may always ask it, and it is never moot.
    #[serde(default)]
    #[schemars(with = "Option<bool>")]
    pub safety: Option<Later<'a>>,
    /// Only the booth may ask it, by this rule.
    #[serde(default)]
    #[schemars(with = "Option<String>")]
    pub booth_only: Option<Later<'a>>,
    /// The booth may create its foul and a challenge may not, by this rule.
    #[serde(default)]
    #[schemars(with = "Option<String>")]
    pub booth_creates: Option<Later<'a>>,
    /// Situations in which it is not reviewed.
    #[serde(default)]
    #[schemars(with = "Option<Vec<RawClosedWhen>>")]
    pub closed_when: Option<Later<'a>>,
    /// The step at which it begins.
    #[schemars(with = "String")]
    pub start: Later<'a>,
    /// Its steps, by a short name: one fact each.
    #[schemars(with = "BTreeMap<String, RawStep<'static>>")]
    pub steps: Entries<'a>,
    /// What it can find, by a short name.
    #[schemars(with = "BTreeMap<String, RawFinding<'static>>")]
    pub findings: Entries<'a>,
}

/// Whether a question may be reviewed.
#[derive(Debug, Clone, Deserialize, schemars::JsonSchema)]
#[serde(rename = "Review", deny_unknown_fields)]
pub(in crate::book) enum RawReview {
    /// It may.
    Allowed {
        /// The rule.
        cite: String,
    },
    /// It may not.
    Refused {
        /// The rule.
        cite: String,
        /// Why, in plain words.
        because: String,
    },
}

/// A situation in which a question is not reviewed.
#[derive(Debug, Clone, Deserialize, schemars::JsonSchema)]
#[serde(rename = "ClosedWhen", deny_unknown_fields)]
pub(in crate::book) struct RawClosedWhen {
    /// The rule.
    pub cite: String,
    /// Why, in plain words.
    pub because: String,
    /// All of these hold at the snap.
    pub all: Vec<When>,
}

/// A call that the crew can have made.
#[derive(Debug, Deserialize, schemars::JsonSchema)]
#[serde(rename = "Call", deny_unknown_fields)]
pub(in crate::book) struct RawCall<'a> {
    /// In the words of an announcement.
    pub says: String,
    /// Nothing was called.
    #[serde(default)]
    pub no_call: bool,
    /// It rules a score, which the booth alone may review where the book says so.
    #[serde(default)]
    pub score: bool,
    /// It rules a turnover, likewise.
    #[serde(default)]
    pub turnover: bool,
    /// The rule by which it is kept only if the pictures prove it.
    #[serde(default)]
    pub must_be_proven: Option<String>,
    /// What the game becomes if the call is left as it is.
    #[serde(borrow)]
    pub result: Vec<Spanned<'a, Effect>>,
}

/// One step: one fact.
#[derive(Debug, Deserialize, schemars::JsonSchema)]
#[serde(rename = "Step", deny_unknown_fields)]
pub(in crate::book) enum RawStep<'a> {
    /// A question that is answered yes or no.
    Ask {
        /// The question, short enough to be read at a glance.
        ask: String,
        /// What makes a good answer, where the question does not say it.
        #[serde(default)]
        note: Option<String>,
        /// The kind of look that answers it.
        looks: Looks,
        /// How long it takes as a rule, in seconds.
        seconds: u32,
        /// What proves an answer.
        #[serde(borrow)]
        proof: Spanned<'a, Proof>,
        /// Answers that no mark can show.
        #[serde(borrow, default)]
        unmarked: Vec<Spanned<'a, String>>,
        /// When the desk knows the answer without a picture; the first that holds counts.
        #[serde(borrow, default)]
        known: Vec<Spanned<'a, RawKnown>>,
        /// Where a yes leads.
        #[serde(borrow)]
        yes: Spanned<'a, RawTarget>,
        /// Where a no leads.
        #[serde(borrow)]
        no: Spanned<'a, RawTarget>,
    },
    /// A question with named answers.
    Choose {
        /// The question, short enough to be read at a glance.
        ask: String,
        /// What makes a good answer, where the question does not say it.
        #[serde(default)]
        note: Option<String>,
        /// The kind of look that answers it.
        looks: Looks,
        /// How long it takes as a rule, in seconds.
        seconds: u32,
        /// What proves an answer.
        #[serde(borrow)]
        proof: Spanned<'a, Proof>,
        /// Answers that no mark can show.
        #[serde(borrow, default)]
        unmarked: Vec<Spanned<'a, String>>,
        /// When the desk knows the answer without a picture; the first that holds counts.
        #[serde(borrow, default)]
        known: Vec<Spanned<'a, RawKnown>>,
        /// The answers, and where each leads.
        #[serde(borrow)]
        #[schemars(with = "BTreeMap<String, RawTarget>")]
        options: Entries<'a>,
    },
}

/// What is known of a step without asking.
#[derive(Debug, Clone, Deserialize, schemars::JsonSchema)]
#[serde(rename = "Known", deny_unknown_fields)]
pub(in crate::book) struct RawKnown {
    /// The answers that are possible then.
    pub answers: Vec<String>,
    /// All of these hold.
    pub when: Vec<RawFact>,
    /// Why, in words that end a sentence: "the line is shortened".
    pub because: String,
}

/// Something that the desk knows without a picture.
#[derive(Debug, Clone, Deserialize, schemars::JsonSchema)]
#[serde(rename = "Fact", deny_unknown_fields)]
pub(in crate::book) enum RawFact {
    /// The number of the down, from 1.
    Down(u8),
    /// The distance to gain lies within these bounds, in yards.
    ToGo {
        /// No more than these yards.
        #[serde(default)]
        at_most: Option<Figure>,
        /// It is more than this.
        #[serde(default)]
        over: Option<Figure>,
    },
    /// The snap is nearer to the goal line that is attacked than this.
    SnapInside {
        /// How far.
        yards: Figure,
    },
    /// It is at least this far away from it.
    SnapOutside {
        /// How far.
        yards: Figure,
    },
    /// It is a play from scrimmage.
    Scrimmage,
    /// The play is the one after a touchdown.
    Try,
    /// The ball is kicked off.
    FreeKick,
    /// Its number, from 1.
    Period(u8),
    /// At most so many seconds are left in a half.
    LastSeconds(u32),
    /// This team had the ball at the end of the play as it was read back.
    HadBall(Part),
    /// This is the call on the field.
    Call(String),
}

/// Where an answer leads.
#[derive(Debug, Clone, Deserialize, schemars::JsonSchema)]
#[serde(rename = "Target")]
pub(in crate::book) enum RawTarget {
    /// To this step.
    Step(String),
    /// To this finding.
    Find(String),
}

/// What a question finds as fact.
#[derive(Debug, Deserialize, schemars::JsonSchema)]
#[serde(rename = "Finding", deny_unknown_fields)]
pub(in crate::book) struct RawFinding<'a> {
    /// In the words of an announcement.
    pub says: String,
    /// The wider finding that holds as well: a touchdown is also a catch.
    #[serde(borrow, default)]
    pub includes: Option<Spanned<'a, String>>,
    /// The moment at which the ball was dead by it.
    #[serde(borrow, default)]
    pub dead_at: Option<Spanned<'a, String>>,
    /// The calls that it proves right.
    #[serde(borrow, default)]
    pub agrees: Vec<Spanned<'a, String>>,
    /// The calls that it proves right only if the flag is on this team.
    #[serde(borrow, default)]
    #[schemars(with = "BTreeMap<String, Part>")]
    pub agrees_if_on: Entries<'a>,
    /// The calls that it proves wrong, and what they become; of a call that it proves right, what is corrected.
    #[serde(borrow, default)]
    #[schemars(with = "BTreeMap<String, Vec<Effect>>")]
    pub effects: Entries<'a>,
    /// What is left of that where a whistle had ended the play.
    #[serde(borrow, default)]
    #[schemars(with = "BTreeMap<String, RawAfterWhistle<'static>>")]
    pub after_whistle: Entries<'a>,
    /// The calls that it proves wrong where the rules forbid the change.
    #[serde(borrow, default)]
    #[schemars(with = "BTreeMap<String, RawBar>")]
    pub barred: Entries<'a>,
}

/// One value of `after_whistle`.
#[derive(Debug, Deserialize, schemars::JsonSchema)]
#[serde(rename = "AfterWhistle", deny_unknown_fields)]
pub(in crate::book) enum RawAfterWhistle<'a> {
    /// This is left.
    Becomes(#[serde(borrow)] Vec<Spanned<'a, Effect>>),
    /// Nothing is left: the call stands.
    Barred {
        /// The rule.
        cite: String,
        /// Why, in plain words.
        because: String,
    },
}

/// One value of `barred`.
#[derive(Debug, Deserialize, schemars::JsonSchema)]
#[serde(rename = "Barred", deny_unknown_fields)]
pub(in crate::book) struct RawBar {
    /// The rule.
    pub cite: String,
    /// Why, in plain words.
    pub because: String,
}
