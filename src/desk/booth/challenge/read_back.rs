//! The call as it is read back: a spot and a clock as typed, and how the play ended as it ran.

use crate::booth::situation_line;
use crate::booth::typed::{self, Ground, Unread};
use field::exact::Yards;
use review::announcement::clock_text;
use review::event::ReadBack;
use rules::book::effect::{DeadBy, Part, Points};
use rules::game::play::PlayEnd;
use rules::game::situation::Situation;

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Ended {
    /// As it was entered between plays.
    AsEntered(PlayEnd),
    /// Stopped at a spot; without a spot, no play was run.
    Down,
    OutOfBounds,
    Incomplete,
    /// By the offense; a safety by the defense.
    Scored(Points),
    /// The other team had the ball.
    TurnedOver,
    /// The other team had the ball, and scored.
    Returned,
}

/// Why a typed call cannot be read back.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub(super) enum NotReadBack {
    #[error(transparent)]
    Unread(#[from] Unread),
    #[error("where was the ball dead? type its spot")]
    NoSpot,
}

impl Ended {
    /// The next one that a key offers.
    pub(super) fn next(self, entered: Option<PlayEnd>) -> Ended {
        match self {
            Ended::AsEntered(_) => Ended::Down,
            Ended::Down => Ended::OutOfBounds,
            Ended::OutOfBounds => Ended::Incomplete,
            Ended::Incomplete => Ended::Scored(Points::Touchdown),
            Ended::Scored(Points::Touchdown) => Ended::Scored(Points::FieldGoal),
            Ended::Scored(Points::FieldGoal) => Ended::Scored(Points::Safety),
            Ended::Scored(Points::Safety) => Ended::TurnedOver,
            Ended::TurnedOver => Ended::Returned,
            Ended::Returned => entered.map_or(Ended::Down, Ended::AsEntered),
        }
    }

    /// The end of the play with what was typed of it; `None` where no play was run.
    fn play_end(
        self,
        spot: Option<Yards>,
        clock_ms: Option<i64>,
        snap: &Situation,
    ) -> Result<Option<PlayEnd>, NotReadBack> {
        let (points, turnover, dead_by) = match self {
            Ended::AsEntered(end) => {
                let (spot, clock_ms) = (spot.unwrap_or(end.spot), clock_ms.or(end.clock_ms));
                return Ok(Some(PlayEnd { spot, clock_ms, ..end }));
            }
            // As before a foul that comes before the snap.
            Ended::Down if spot.is_none() => return Ok(None),
            Ended::Down => (None, false, DeadBy::Down),
            Ended::OutOfBounds => (None, false, DeadBy::OutOfBounds),
            Ended::Incomplete => (None, false, DeadBy::Incomplete),
            Ended::Scored(points @ (Points::Touchdown | Points::FieldGoal)) => {
                (Some((points, Part::Offense)), false, DeadBy::Score)
            }
            Ended::Scored(points @ Points::Safety) => (Some((points, Part::Defense)), false, DeadBy::Score),
            Ended::TurnedOver => (None, true, DeadBy::Down),
            Ended::Returned => (Some((Points::Touchdown, Part::Defense)), true, DeadBy::Score),
        };
        let spot = match spot {
            Some(spot) => spot,
            // A score and an incomplete pass need no spot: the book says where the ball goes.
            None if points.is_some() || dead_by == DeadBy::Incomplete => snap.spot,
            None => return Err(NotReadBack::NoSpot),
        };
        Ok(Some(PlayEnd { spot, clock_ms, dead_by, points, turnover, regained: false }))
    }
}

/// Spot and clock as they are typed, those of the snap where there are none; the clock alone after a score, for which
/// the book says where the ball goes.
pub(super) fn line(
    end: Option<PlayEnd>,
    (spot, clock_ms): (Option<Yards>, Option<i64>),
    ground: Ground<'_>,
) -> String {
    let snap = ground.situation;
    if end.is_some_and(|end| end.points.is_some()) {
        return clock_text(clock_ms.unwrap_or(snap.clock_ms));
    }
    let situation =
        Situation { spot: spot.unwrap_or(snap.spot), clock_ms: clock_ms.unwrap_or(snap.clock_ms), ..*snap };
    situation_line::place_and_clock(Ground { situation: &situation, ..ground })
}

/// The call as read back: a spot and a clock in any order, either may be left out.
pub(super) fn read(text: &str, ended: Ended, ground: Ground<'_>) -> Result<ReadBack, NotReadBack> {
    let (spot, clock_ms) = typed::place(text, ground)?;
    let end = ended.play_end(spot, clock_ms, ground.situation)?;
    Ok(ReadBack { spot, clock_ms, end })
}
