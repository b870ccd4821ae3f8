//! Who may have what reviewed, when, at what price, and how long it may take.

/// The replay rules of a league.
#[derive(Debug, Clone, PartialEq)]
pub struct Replay {
    pub coach: Coach,
    /// When only the booth may start a review; each with its rule.
    pub booth_only: Vec<(BoothOnly, String)>,
    /// The rule by which everything else is a coach's, and the booth may act on player safety.
    pub who_cite: String,
    pub booth_on: BoothOn,
    /// The rule that a review starts before the next snap.
    pub window_cite: String,
    /// The rule that a foul is created only where a question allows it.
    pub creation_cite: String,
    pub whistle_cite: String,
    pub standard: Standard,
    pub limits: Limits,
    pub unproven: Unproven,
    pub unproven_cite: String,
    /// Time that runs off when a ruling is changed late in a half; `None` where none does.
    pub run_off: Option<RunOff>,
    pub labels: Labels,
}

/// What a coach may do, and at what price.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Coach {
    pub cite: String,
    /// Challenges of a game.
    pub challenges: u8,
    /// How many must be won for an extra one; `None` where there is none.
    pub extra_after_won: Option<u8>,
    /// A timeout must be in hand.
    pub needs_timeout: bool,
    pub lost: Price,
    pub won: Price,
    /// Price of challenging something that cannot be reviewed.
    pub not_reviewable: Price,
    pub withdraw: Withdraw,
    pub withdraw_cite: String,
    /// After a timeout charged for a challenge the clock waits for the snap.
    pub timeout_until_snap: bool,
}

/// What a coach pays.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Price {
    pub timeout: bool,
    pub challenge: bool,
}

/// Until when a challenge may be taken back.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Withdraw {
    BeforeFirstLook,
    Never,
}

/// What the booth may start a review about where a coach may, too.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Deserialize, schemars::JsonSchema)]
pub enum BoothOn {
    /// Questions of player safety.
    Safety,
    Everything,
}

/// Late in a half, a changed ruling must not give a team a stopped clock that the right ruling would not have
/// given it.
#[derive(Debug, Clone, PartialEq, Eq, serde::Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct RunOff {
    /// The rule.
    pub cite: String,
    /// Applies in the last `last_s` seconds of a half.
    pub last_s: u32,
    /// How many seconds come off, unless a team takes a timeout.
    pub seconds: u32,
}

/// When only the booth may start a review.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub enum BoothOnly {
    /// In the last n seconds of a half.
    LastSeconds(u32),
    Overtime,
    RuledScore,
    /// A turnover, not on downs, was ruled.
    RuledTurnover,
}

/// How sure the picture must be.
#[derive(Debug, Clone, PartialEq, serde::Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Standard {
    /// The rule.
    pub cite: String,
    /// In the words of the rule.
    pub says: String,
    /// A probability at least this high establishes a fact, in (0.5, 1].
    pub established: f64,
}

/// How long a review may take, in seconds.
#[derive(Debug, Clone, PartialEq, Eq, serde::Deserialize, schemars::JsonSchema)]
#[serde(rename = "Time", deny_unknown_fields)]
pub struct Limits {
    /// The rule.
    pub cite: String,
    /// From the first look to the ruling; `None` where the league has no such limit.
    #[serde(default)]
    pub to_ruling_s: Option<u32>,
    /// From the challenge to the announcement.
    #[serde(default)]
    pub to_announcement_s: Option<u32>,
    /// How long a review should take where nothing ends it: a guide, not a limit.
    #[serde(default)]
    pub guide_s: Option<u32>,
}

/// What to do when the call is wrong and the replacement is not proven.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Unproven {
    /// Take what the possible findings share; if they share nothing, the call stands.
    Shared,
    Stands,
}

/// The words for the outcomes.
#[derive(Debug, Clone, PartialEq, Eq, serde::Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Labels {
    /// The picture proves the call right.
    pub confirmed: String,
    /// The picture proves nothing, or the rules bar the change.
    pub stands: String,
    /// The picture proves the call wrong, and it is changed.
    pub reversed: String,
}

/// Something that can never be reviewed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Closed {
    pub cite: String,
    pub because: String,
    /// What a coach pays who challenges it; `None` for what anything not reviewable costs.
    pub price: Option<Price>,
}
