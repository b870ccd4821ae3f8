//! What each foul costs, as text.

use super::Figure;
use crate::book::effect::Part;
use crate::book::penalty::{BallState, From, With};
use serde::Deserialize;

/// What one foul costs.
#[derive(Debug, Deserialize, schemars::JsonSchema)]
#[serde(rename = "Penalty", deny_unknown_fields)]
pub(in crate::book) struct RawPenalty {
    /// The rule.
    pub cite: String,
    /// The foul in the words of an announcement.
    pub says: String,
    /// Who can commit it.
    pub by: RawBy,
    /// How far it goes.
    pub distance: RawDistance,
    /// Whether the ball is live or dead when it happens.
    pub ball: BallState,
    /// Where it is measured from.
    pub from: From,
    /// A first down comes with it when the defense commits it.
    #[serde(default)]
    pub first_down: bool,
    /// The down counts when the offense commits it.
    #[serde(default)]
    pub loss_of_down: bool,
    /// It goes to the try or the free kick where the offended team scored.
    #[serde(default)]
    pub carried_on_score: bool,
    /// How far for the offense, where that differs.
    #[serde(default)]
    pub offense_yards: Option<Figure>,
    /// It is personal or unsportsmanlike.
    #[serde(default)]
    pub conduct: bool,
    /// By the offense behind the line it goes from the previous spot.
    #[serde(default)]
    pub previous_behind_line: bool,
    /// By the defense on a pass that is caught beyond the line it goes from the end of the play.
    #[serde(default)]
    pub adds_to_pass: bool,
    /// On a kick: the receivers get the ball where it is enforced.
    #[serde(default)]
    pub receivers_ball: bool,
    /// On a kick: the receivers may not add it to where they get the ball.
    #[serde(default)]
    pub no_tack_on: bool,
    /// It is enforced after a try or a series of overtime that ended with the ball in the other team's hands.
    #[serde(default)]
    pub outlasts_series: bool,
    /// The receivers may instead take the ball so far beyond the previous spot, in yards.
    #[serde(default)]
    pub or_beyond: Option<Figure>,
    /// It stops a running clock by itself, so that time may run off.
    #[serde(default)]
    pub stops_clock: bool,
    /// It is the team's, not a player's: no number is announced with it.
    #[serde(default)]
    pub team_foul: bool,
    /// A player with so many fouls of it in a game is disqualified.
    #[serde(default)]
    pub disqualifies_at: Option<u8>,
    /// It protects a player, and no default waives it.
    #[serde(default)]
    pub safety: bool,
    /// It can only be committed on a play of this kind; left out: on any.
    #[serde(default)]
    pub with: Option<With>,
}

/// Who can commit a foul.
#[derive(Debug, Deserialize, schemars::JsonSchema)]
#[serde(rename = "By")]
pub(in crate::book) enum RawBy {
    /// The team with the ball at the snap, or that kicks.
    Offense,
    /// The other one.
    Defense,
    /// Both.
    Either,
}

impl RawBy {
    pub(in crate::book) fn part(&self) -> Option<Part> {
        match self {
            RawBy::Offense => Some(Part::Offense),
            RawBy::Defense => Some(Part::Defense),
            RawBy::Either => None,
        }
    }
}

/// How far a penalty goes.
#[derive(Debug, Deserialize, schemars::JsonSchema)]
#[serde(rename = "Distance", deny_unknown_fields)]
pub(in crate::book) enum RawDistance {
    /// So many yards, never more than half the distance to the goal line.
    Yards(Figure),
    /// To the spot of the foul.
    ToSpot {
        /// At most so far, in yards.
        at_most: Figure,
        /// For a foul in the end zone: to so many yards from the goal line.
        in_end_zone: Figure,
        /// `at_most` holds for a foul in the end zone, too.
        #[serde(default)]
        capped: bool,
        /// A foul between that mark and the goal line counts as one in the end zone.
        #[serde(default)]
        inside_mark: bool,
    },
}
