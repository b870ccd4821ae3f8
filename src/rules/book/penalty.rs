//! What each foul costs.

use super::effect::Part;
use field::exact::Yards;

/// The price of one foul.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Penalty {
    pub name: String,
    /// In the words of an announcement.
    pub says: String,
    pub cite: String,
    /// Who can commit it; `None` for either team.
    pub by: Option<Part>,
    pub distance: Distance,
    /// How far for the offense, where that differs.
    pub offense_yards: Option<Yards>,
    pub ball: BallState,
    pub from: From,
    /// A first down comes with it when the defense commits it.
    pub first_down: bool,
    pub loss_of_down: bool,
    pub on_score: OnScore,
    /// It is personal or unsportsmanlike: such fouls of both teams while the ball is dead may cancel each other.
    pub conduct: bool,
    /// By the offense behind the line it goes from the previous spot, wherever else it would.
    pub previous_behind_line: bool,
    /// By the defense during a forward pass that is caught beyond the line, it goes from the end of the play.
    pub adds_to_pass: bool,
    /// The receivers get the ball where it is enforced.
    pub receivers_ball: bool,
    /// The receivers may add it to where they get the ball, where the book keeps that principle.
    pub tack_on: bool,
    /// It is enforced after a try or a series of overtime that ended with the ball in the other team's hands.
    pub outlasts_series: bool,
    /// The receivers may instead take the ball this far ahead of the previous spot.
    pub or_beyond: Option<Yards>,
    /// It stops a running clock by itself, so that time may run off: before the snap, or by an incomplete pass or a
    /// ball out of bounds.
    pub stops_clock: bool,
    /// It is the team's, not a player's: no number is announced with it.
    pub team_foul: bool,
    /// A player who has this many fouls of it in a game is disqualified.
    pub disqualifies_at: Option<u8>,
    /// It protects a player: it stays when the play before it falls away, and no default waives it.
    pub safety: bool,
    /// It can only be committed on a play of this kind; `None` on any.
    pub with: Option<With>,
}

/// A kind of play without which a foul cannot be.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Deserialize, schemars::JsonSchema)]
pub enum With {
    /// A kick of any kind is kicked.
    Kick,
    /// A free kick is kicked, or is about to be.
    FreeKick,
    /// A forward pass is thrown.
    Pass,
}

impl Penalty {
    /// How far it goes for the team that fouled.
    pub fn distance_by(&self, by: Part) -> Distance {
        match (by, self.offense_yards) {
            (Part::Offense, Some(yards)) => Distance::Yards(yards),
            (Part::Offense | Part::Defense, _) => self.distance,
        }
    }

    /// Whether a live foul has to have a spot: it is measured from there, or from there if the team with the ball
    /// fouled behind the basic spot. On a return the defense has the ball.
    pub fn needs_spot(&self, by: Part, on_return: bool) -> bool {
        let has_ball = by == if on_return { Part::Defense } else { Part::Offense };
        let from_spot = match self.from {
            From::Spot => true,
            From::ThreeAndOne => has_ball,
            From::EndOfPlay => has_ball && on_return,
            From::Previous | From::Succeeding => false,
        };
        from_spot || matches!(self.distance_by(by), Distance::ToSpot { .. })
    }
}

/// How far a penalty goes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Distance {
    /// This many yards, or half the distance to the goal line if that is less.
    Yards(Yards),
    /// To the spot of the foul, up to a limit; in the end zone the ball goes to a fixed distance from it.
    ToSpot {
        at_most: Yards,
        /// Distance to the goal line for a foul in the end zone.
        in_end_zone: Yards,
        /// `at_most` also holds for a foul in the end zone.
        capped: bool,
        /// A foul between the mark and the goal line counts as one in the end zone.
        inside_mark: bool,
    },
}

/// Whether the ball is live or dead when a foul of this name happens.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Deserialize, schemars::JsonSchema)]
#[serde(rename = "Ball")]
pub enum BallState {
    Live,
    Dead,
    /// Live, or dead after the whistle.
    Either,
}

/// Where a penalty is measured from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Deserialize, schemars::JsonSchema)]
pub enum From {
    /// Where the ball was snapped.
    Previous,
    /// Where the next snap would be.
    Succeeding,
    Spot,
    /// The three-and-one principle: the basic spot, unless the offense fouls behind it.
    ThreeAndOne,
    /// The end of the play if the offense kept the ball, else the previous spot.
    EndOfPlay,
}

/// What becomes of a defensive foul on a scoring play.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum OnScore {
    Dropped,
    /// It goes to the try or the free kick.
    Carried,
}
