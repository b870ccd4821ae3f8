//! Who may ask for a review, and at what price, as text.

use crate::book::replay::{BoothOn, BoothOnly, Labels, Limits, RunOff, Standard};
use crate::book::spanned::Spanned;
use serde::Deserialize;

/// Who may ask for a review, when, at what price, and how sure it must be.
#[derive(Debug, Deserialize, schemars::JsonSchema)]
#[serde(rename = "Replay", deny_unknown_fields)]
pub(in crate::book) struct RawReplay<'a> {
    /// Who may ask.
    pub who: RawWho,
    /// A coach's challenges.
    pub coach: RawCoach,
    /// The rule by which a review is asked for before the next snap.
    pub window: String,
    /// The rule by which a review creates no foul that nobody called.
    pub creation: String,
    /// The rule by which a whistle ends a play, whatever the picture shows later.
    pub whistle: String,
    /// How sure the picture must be.
    #[serde(borrow)]
    pub standard: Spanned<'a, Standard>,
    /// How long a review may take.
    pub time: Limits,
    /// What is ruled where several findings are still possible.
    pub unproven: RawUnproven,
    /// Time that runs off when a ruling is changed late in a half; left out: none.
    #[serde(borrow, default)]
    pub run_off: Option<Spanned<'a, RunOff>>,
    /// What the three outcomes are called.
    pub labels: Labels,
}

/// Who may ask for a review.
#[derive(Debug, Deserialize, schemars::JsonSchema)]
#[serde(rename = "Who", deny_unknown_fields)]
pub(in crate::book) struct RawWho {
    /// The rule.
    pub cite: String,
    /// When only the booth may ask.
    pub booth_only: Vec<BoothOnly>,
    /// What the booth may ask about where coaches may challenge.
    pub booth_on: BoothOn,
}

/// A coach's challenges.
#[derive(Debug, Deserialize, schemars::JsonSchema)]
#[serde(rename = "Coach", deny_unknown_fields)]
pub(in crate::book) struct RawCoach {
    /// The rule.
    pub cite: String,
    /// How many a team has in a game.
    pub challenges: u8,
    /// One more after so many that were won; left out: none.
    #[serde(default)]
    pub extra_after_won: Option<u8>,
    /// A team without a timeout left cannot challenge.
    pub needs_timeout: bool,
    /// What a challenge costs that is lost.
    pub lost: Vec<RawPrice>,
    /// What one costs that is won.
    pub won: Vec<RawPrice>,
    /// What one costs that the gate refuses.
    pub not_reviewable: Vec<RawPrice>,
    /// When a challenge may be taken back.
    pub withdraw: RawWithdraw,
    /// A timeout that is charged for a challenge holds the clock until the snap.
    #[serde(default)]
    pub timeout_until_snap: bool,
}

/// What a team pays.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, schemars::JsonSchema)]
#[serde(rename = "Price")]
pub(in crate::book) enum RawPrice {
    /// One of those that are left in the half.
    Timeout,
    /// One of its challenges.
    Challenge,
}

/// When a challenge may be taken back.
#[derive(Debug, Deserialize, schemars::JsonSchema)]
#[serde(rename = "Withdraw", deny_unknown_fields)]
pub(in crate::book) enum RawWithdraw {
    /// Until somebody has looked at a picture.
    BeforeFirstLook {
        /// The rule.
        cite: String,
    },
    /// Not at all.
    Never {
        /// The rule.
        cite: String,
    },
}

/// What is ruled where several findings are still possible.
#[derive(Debug, Deserialize, schemars::JsonSchema)]
#[serde(rename = "Unproven", deny_unknown_fields)]
pub(in crate::book) enum RawUnproven {
    /// What all of them have in common is ruled: if every possible finding changes the call alike, it is reversed.
    Shared {
        /// The rule.
        cite: String,
    },
    /// The call stands unless one finding is proven.
    Stands {
        /// The rule.
        cite: String,
    },
}

/// Something that is never reviewed.
#[derive(Debug, Deserialize, schemars::JsonSchema)]
#[serde(rename = "Closed", deny_unknown_fields)]
pub(in crate::book) struct RawClosed {
    /// The rule.
    pub cite: String,
    /// Why, in plain words.
    pub because: String,
    /// What a challenge of it costs, where that differs: `[]` for nothing.
    #[serde(default)]
    pub price: Option<Vec<RawPrice>>,
}
