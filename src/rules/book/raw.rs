//! The text form of a rule book, as serde reads it: names are still text, and values know their place.
//!
//! A figure is read from its own text, so `38.5` is exact and `inf` is refused.

use super::effect::Part;
use super::game_rules::ClockStops;
use super::penalty::{BallState, From, With};
use super::replay::{BoothOn, BoothOnly, Labels, Limits, RunOff, Standard};
use super::spanned::{Entries, Later, Spanned};
use field::exact::Yards;
use serde::{Deserialize, Deserializer};

pub(super) mod tree;

/// An exact figure, as written.
#[derive(Debug, Clone, Copy)]
pub(super) struct Figure(pub Yards);

impl<'de> Deserialize<'de> for Figure {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        let text = <&'de ron::value::RawValue>::deserialize(from)?.trim().get_ron();
        let plain = text.strip_prefix('"').and_then(|rest| rest.strip_suffix('"')).unwrap_or(text);
        plain.parse().map(Figure).map_err(serde::de::Error::custom)
    }
}

#[derive(Debug, Deserialize)]
#[serde(rename = "Book", deny_unknown_fields)]
pub(super) struct RawBook<'a> {
    #[serde(borrow)]
    pub language: Later<'a>,
    pub name: Later<'a>,
    pub questions: Later<'a>,
    pub field: Later<'a>,
    pub game: Later<'a>,
    #[serde(default)]
    pub enforcement: Option<Later<'a>>,
    pub lines: Entries<'a>,
    pub replay: Later<'a>,
    #[serde(default)]
    pub not_reviewable: Entries<'a>,
    pub penalties: Entries<'a>,
    pub moments: Entries<'a>,
    #[serde(default)]
    pub discretion: Option<Later<'a>>,
    #[serde(default)]
    pub checklist: Option<Later<'a>>,
    pub wording: Later<'a>,
}

#[derive(Debug, Deserialize)]
#[serde(rename = "Field", deny_unknown_fields)]
pub(super) struct RawField<'a> {
    #[serde(borrow)]
    pub length: Spanned<'a, Figure>,
    #[serde(borrow)]
    pub width: Spanned<'a, Figure>,
    #[serde(borrow)]
    pub end_zone: Spanned<'a, Figure>,
    #[serde(default)]
    pub wall_ft: Option<Figure>,
    pub posts_ft: Figure,
    pub crossbar_ft: Figure,
}

#[derive(Debug, Deserialize)]
#[serde(rename = "Game", deny_unknown_fields)]
pub(super) struct RawGame<'a> {
    #[serde(borrow)]
    pub players: Spanned<'a, u8>,
    #[serde(borrow)]
    pub periods: Spanned<'a, u8>,
    #[serde(borrow)]
    pub period_s: Spanned<'a, u32>,
    #[serde(borrow)]
    pub halves_end: Spanned<'a, Vec<u8>>,
    #[serde(borrow)]
    pub downs: Spanned<'a, u8>,
    #[serde(borrow)]
    pub to_gain: Spanned<'a, Figure>,
    pub timeouts: u8,
    pub points: RawPoints,
    #[serde(borrow)]
    pub try_spot: Spanned<'a, Figure>,
    #[serde(borrow)]
    pub touchback: Spanned<'a, Figure>,
    #[serde(borrow, default)]
    pub touchback_free_kick: Option<Spanned<'a, Figure>>,
    #[serde(borrow)]
    pub free_kick: Spanned<'a, Figure>,
    #[serde(borrow, default)]
    pub free_kick_after_safety: Option<Spanned<'a, Figure>>,
    #[serde(borrow, default)]
    pub free_kick_out: Option<Spanned<'a, Figure>>,
    #[serde(borrow, default)]
    pub free_kick_at_least: Option<Spanned<'a, Figure>>,
    #[serde(borrow, default)]
    pub overtime_spot: Option<Spanned<'a, Figure>>,
    #[serde(default)]
    pub overtime_timeouts: Option<u8>,
    #[serde(borrow, default)]
    pub overtime_next_score: Option<Spanned<'a, bool>>,
    #[serde(default)]
    pub overtime_no_kicked_try_from: Option<u8>,
    #[serde(borrow, default)]
    pub overtime_tries_from: Option<Spanned<'a, u8>>,
    #[serde(default)]
    pub may_end_level: bool,
    #[serde(borrow, default)]
    pub forfeit_score: Option<Spanned<'a, u16>>,
    #[serde(default)]
    pub play_clock_after_stop_s: Option<u16>,
    pub play_clock_s: u16,
    pub clock_stops: ClockStops,
}

#[derive(Debug, Deserialize)]
#[serde(rename = "Points", deny_unknown_fields)]
pub(super) struct RawPoints {
    pub touchdown: u16,
    pub field_goal: u16,
    pub safety: u16,
    pub try_kick: u16,
    pub try_run: u16,
    #[serde(default)]
    pub try_return: u16,
    #[serde(default)]
    pub try_safety: Option<u16>,
}

#[derive(Debug, Deserialize)]
#[serde(rename = "Line", deny_unknown_fields)]
pub(super) struct RawLine<'a> {
    pub cite: String,
    #[serde(borrow)]
    pub cases: Vec<Spanned<'a, RawCase>>,
}

#[derive(Debug, Clone, Deserialize)]
#[serde(rename = "Case", deny_unknown_fields)]
pub(super) enum RawCase {
    When {
        all: Vec<RawGuard>,
        at: RawPlace,
        #[serde(default)]
        goes_first: bool,
    },
    Otherwise {
        at: RawPlace,
    },
}

#[derive(Debug, Clone, Deserialize)]
#[serde(rename = "Guard", deny_unknown_fields)]
pub(super) enum RawGuard {
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
}

#[derive(Debug, Clone, Deserialize)]
#[serde(rename = "Place", deny_unknown_fields)]
pub(super) enum RawPlace {
    Scrimmage,
    LineToGain,
    GoalLine,
    BeyondScrimmage {
        yards: Figure,
        #[serde(default)]
        never_past_goal: bool,
    },
    Sides,
    Marked {
        between: Vec<String>,
    },
}

#[derive(Debug, Deserialize)]
#[serde(rename = "Replay", deny_unknown_fields)]
pub(super) struct RawReplay<'a> {
    pub who: RawWho,
    pub coach: RawCoach,
    pub window: String,
    pub creation: String,
    pub whistle: String,
    #[serde(borrow)]
    pub standard: Spanned<'a, Standard>,
    pub time: Limits,
    pub unproven: RawUnproven,
    #[serde(borrow, default)]
    pub run_off: Option<Spanned<'a, RunOff>>,
    pub labels: Labels,
}

#[derive(Debug, Deserialize)]
#[serde(rename = "Who", deny_unknown_fields)]
pub(super) struct RawWho {
    pub cite: String,
    pub booth_only: Vec<BoothOnly>,
    pub booth_on: BoothOn,
}

#[derive(Debug, Deserialize)]
#[serde(rename = "Coach", deny_unknown_fields)]
pub(super) struct RawCoach {
    pub cite: String,
    pub challenges: u8,
    #[serde(default)]
    pub extra_after_won: Option<u8>,
    pub needs_timeout: bool,
    pub lost: Vec<RawPrice>,
    pub won: Vec<RawPrice>,
    pub not_reviewable: Vec<RawPrice>,
    pub withdraw: RawWithdraw,
    #[serde(default)]
    pub timeout_until_snap: bool,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename = "Price")]
pub(super) enum RawPrice {
    Timeout,
    Challenge,
}

#[derive(Debug, Deserialize)]
#[serde(rename = "Withdraw", deny_unknown_fields)]
pub(super) enum RawWithdraw {
    BeforeFirstLook { cite: String },
    Never { cite: String },
}

#[derive(Debug, Deserialize)]
#[serde(rename = "Unproven", deny_unknown_fields)]
pub(super) enum RawUnproven {
    Shared { cite: String },
    Stands { cite: String },
}

#[derive(Debug, Deserialize)]
#[serde(rename = "Closed", deny_unknown_fields)]
pub(super) struct RawClosed {
    pub cite: String,
    pub because: String,
    #[serde(default)]
    pub price: Option<Vec<RawPrice>>,
}

#[derive(Debug, Deserialize)]
#[serde(rename = "Penalty", deny_unknown_fields)]
pub(super) struct RawPenalty {
    pub cite: String,
    pub says: String,
    pub by: RawBy,
    pub distance: RawDistance,
    pub ball: BallState,
    pub from: From,
    #[serde(default)]
    pub first_down: bool,
    #[serde(default)]
    pub loss_of_down: bool,
    #[serde(default)]
    pub carried_on_score: bool,
    #[serde(default)]
    pub offense_yards: Option<Figure>,
    #[serde(default)]
    pub conduct: bool,
    #[serde(default)]
    pub previous_behind_line: bool,
    #[serde(default)]
    pub adds_to_pass: bool,
    #[serde(default)]
    pub receivers_ball: bool,
    #[serde(default)]
    pub no_tack_on: bool,
    #[serde(default)]
    pub outlasts_series: bool,
    #[serde(default)]
    pub or_beyond: Option<Figure>,
    #[serde(default)]
    pub stops_clock: bool,
    #[serde(default)]
    pub disqualifies_at: Option<u8>,
    #[serde(default)]
    pub safety: bool,
    #[serde(default)]
    pub with: Option<With>,
}

#[derive(Debug, Deserialize)]
#[serde(rename = "By")]
pub(super) enum RawBy {
    Offense,
    Defense,
    Either,
}

impl RawBy {
    pub(super) fn part(&self) -> Option<Part> {
        match self {
            RawBy::Offense => Some(Part::Offense),
            RawBy::Defense => Some(Part::Defense),
            RawBy::Either => None,
        }
    }
}

#[derive(Debug, Deserialize)]
#[serde(rename = "Distance", deny_unknown_fields)]
pub(super) enum RawDistance {
    Yards(Figure),
    ToSpot {
        at_most: Figure,
        in_end_zone: Figure,
        #[serde(default)]
        capped: bool,
        #[serde(default)]
        inside_mark: bool,
    },
}

#[derive(Debug, Deserialize)]
#[serde(rename = "Wording", deny_unknown_fields)]
pub(super) struct RawWording<'a> {
    #[serde(borrow)]
    pub confirmed: Spanned<'a, String>,
    pub stands: Spanned<'a, String>,
    pub reversed: Spanned<'a, String>,
    pub foul: Spanned<'a, String>,
    pub next_down: Spanned<'a, String>,
    pub next_try: Spanned<'a, String>,
    pub next_free_kick: Spanned<'a, String>,
    pub charged: Spanned<'a, String>,
    pub not_charged: Spanned<'a, String>,
    pub clock: Spanned<'a, String>,
    pub clock_as_is: Spanned<'a, String>,
    pub chains: Spanned<'a, String>,
    pub chains_off: Spanned<'a, String>,
    pub on_snap: Spanned<'a, String>,
    pub on_ready: Spanned<'a, String>,
    pub untimed: Spanned<'a, String>,
    pub not_proven: Spanned<'a, String>,
    pub not_shared: Spanned<'a, String>,
    pub declined: Spanned<'a, String>,
    pub offset: Spanned<'a, String>,
    pub new_time: Spanned<'a, String>,
    pub left_to_referee: Spanned<'a, String>,
    #[serde(borrow, default)]
    pub run_off: Option<Spanned<'a, String>>,
    #[serde(borrow, default)]
    pub disqualified: Option<Spanned<'a, String>>,
    #[serde(borrow, default)]
    pub out_of_service: Option<Spanned<'a, String>>,
    #[serde(borrow, default)]
    pub back_in_service: Option<Spanned<'a, String>>,
    #[serde(borrow, default)]
    pub forfeited: Option<Spanned<'a, String>>,
    #[serde(borrow, default)]
    pub suspended: Option<Spanned<'a, String>>,
    #[serde(borrow, default)]
    pub called_early: Option<Spanned<'a, String>>,
}
