//! The course of a play as the crew reports it: who had the ball from where to where, and the fouls along the way.
//!
//! Places are in the offense frame of the snap from beginning to end, whoever has the ball: 0 is the goal line of
//! the team that snapped or kicked off, the other one is the field's length, end zones lie outside. The offense is
//! always that team.

use crate::book::effect::Part;
use crate::book::penalty::Penalty;
use field::exact::Yards;

/// What the ball did in one stage of a play.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Act {
    /// A player has it.
    Run,
    /// A forward pass is in the air.
    Pass,
    BackwardPass,
    Fumble,
    /// A punt or a free kick is loose.
    Kick,
    GoalKick,
}

/// One stage of a play.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Stage {
    pub act: Act,
    /// Who has the ball, or had it last where it is loose.
    pub by: Part,
    pub from: Yards,
    /// Where it ended: the runner down or the ball lost, the loose ball caught, recovered or dead.
    pub to: Yards,
    /// How far a loose ball got toward the goal line of the other team, if farther than it ended.
    pub reached: Option<Yards>,
    /// A player of the team that did not kick touched the kick before anybody possessed it.
    pub touched: bool,
    /// Where the kickers touched the kick before the others could.
    pub touch_spot: Option<Yards>,
    /// The runner's own momentum from a catch, interception or recovery took them into their end zone.
    pub momentum: bool,
    /// The player who fumbled recovered the ball.
    pub own_fumble: bool,
    /// Who gave the ball its impetus, if not the team that `by` names.
    pub impetus: Option<Part>,
}

impl Stage {
    /// A stage without any of the special facts.
    pub fn plain(act: Act, by: Part, from: Yards, to: Yards) -> Stage {
        Stage {
            act,
            by,
            from,
            to,
            reached: None,
            touched: false,
            touch_spot: None,
            momentum: false,
            own_fumble: false,
            impetus: None,
        }
    }
}

/// How a play ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Ended {
    /// The one who has the ball is down, or stopped, or has scored.
    Down,
    OutOfBounds,
    Incomplete,
    /// A loose ball is dead where it lies: at rest, downed, or by rule.
    Dead,
    /// A kick at goal is good.
    Good,
    FairCatch,
    /// An early whistle killed a loose ball or a kick: the down is played again.
    Whistle,
}

/// A cause that stopped the clock without a foul.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Cause {
    Injury,
    /// A helmet came off.
    Helmet,
}

/// Something other than a foul that stopped the clock.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Stoppage {
    pub cause: Cause,
    /// Whose player.
    pub by: Part,
}

/// A play from the snap or kick to the dead ball.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Course {
    pub stages: Vec<Stage>,
    pub ended: Ended,
}

/// What a team wants of the clock with its foul.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Tactic {
    Save,
    Use,
}

/// A foul during or around a play.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Foul<'b> {
    pub penalty: &'b Penalty,
    pub by: Part,
    /// Where, in the offense frame of the snap.
    pub spot: Option<Yards>,
    /// During which stage of the play, from 0.
    pub during: usize,
    pub dead: bool,
    pub tactic: Option<Tactic>,
    /// So rough that the player is ejected.
    pub flagrant: bool,
    /// The ball was dead and not yet ready for the next play.
    pub before_ready: bool,
}

impl Foul<'_> {
    /// Whether it is enforced after a try or series of overtime that the other team's gain of the ball ended.
    pub(crate) fn outlasts_series(&self) -> bool {
        self.penalty.outlasts_series || self.flagrant
    }
}

impl Part {
    /// The place farther along this team's way, in the offense frame.
    pub fn farther(self, one: Yards, other: Yards) -> Yards {
        match self {
            Part::Offense => one.max(other),
            Part::Defense => one.min(other),
        }
    }

    /// Whether the first place lies short of the second on this team's way, in the offense frame.
    pub fn behind(self, place: Yards, other: Yards) -> bool {
        match self {
            Part::Offense => place < other,
            Part::Defense => place > other,
        }
    }
}

impl Act {
    /// Whether it is a kick of any kind, at goal or not.
    pub fn is_kick(self) -> bool {
        match self {
            Act::Kick | Act::GoalKick => true,
            Act::Run | Act::Pass | Act::BackwardPass | Act::Fumble => false,
        }
    }
}
