//! A play and its fouls as a person writes them.

use crate::case::PartJson;
use crate::closed_set::words;
use crate::figure::Figure;
use rules::game::course;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

words! {
    /// A series of an overtime period.
    SeriesJson {
        /// The first.
        First = "first",
        /// The second.
        Second = "second",
    }
}

/// A play from the snap or kick to the dead ball.
#[derive(Debug, Clone, PartialEq, Deserialize, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(rename = "Play")]
pub struct PlayJson {
    /// What the ball did, in order. A run or return is one stage, a pass, a kick or a fumble in the air or on the
    /// ground is one, and the run after it is the next. Example, a pass intercepted and returned: `{"act": "pass",
    /// "by": "offense", "from": 25, "to": 60}`, `{"act": "run", "by": "defense", "from": 60, "to": 48}`.
    pub stages: Vec<StageJson>,
    /// How it ended; left out: the runner down, or in the other team's end zone. `dead`: a loose ball at rest or over
    /// an end line; `good`: a kick at goal; `fair catch`: after the stage `kick` alone; `whistle`: an early whistle
    /// while the ball was loose.
    #[serde(default)]
    pub ended: Ended,
    /// What the game clock showed when the ball was dead; left out: as in the situation.
    #[serde(default)]
    pub clock_s: Option<f64>,
    /// The ball was dead at the end of this stage, from 1, though the play ran on: `ended` says how it ended there.
    /// What came after falls away, and a foul in a later stage is one with the ball dead: it is enforced if it protects
    /// a player or may be fouled with the ball dead, else it falls away, too.
    #[serde(default)]
    pub dead_after: Option<usize>,
}

words! {
    /// How a play ended.
    #[derive(Default)]
    Ended = course::Ended {
        /// The runner is down, is stopped, or has reached the other end zone.
        #[default]
        Down = "down",
        /// The ball or the runner is out of bounds.
        OutOfBounds = "out of bounds",
        /// A forward pass fell incomplete.
        Incomplete = "incomplete",
        /// A loose ball is dead where it lies: at rest, downed, over an end line, or by rule.
        Dead = "dead",
        /// A kick at goal is good.
        Good = "good",
        /// A fair catch, where the kick, the last stage, came down.
        FairCatch = "fair catch",
        /// An early whistle while a kick or pass was in the air, or a ball loose.
        Whistle = "whistle",
    }
}

/// One stage of a play.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(rename = "Stage")]
pub struct StageJson {
    /// What the ball did: `run` (a player has it), `pass` (a forward pass), `backward pass`, `fumble`, `kick` (a punt or
    /// a free kick), `kick at goal`.
    pub act: ActJson,
    /// The team with the ball, or that had it last before it was loose.
    pub by: PartJson,
    /// Where the stage began: the snap, the catch or recovery; where the ball was lost, thrown or kicked. Left out: where
    /// the stage before ended; for the first, the spot of the situation.
    #[serde(default)]
    pub from: Option<Figure>,
    /// Where it ended: the runner down or without the ball, the loose ball caught, recovered, out or at rest.
    pub to: Figure,
    /// How far a loose ball got at its farthest, if it came back (a kick that crossed the line and rolled back).
    #[serde(default)]
    pub reached: Option<Figure>,
    /// Of a kick: a player of the other team touched it beyond the line, of their own doing, before anybody had it. A
    /// block at or behind the line, or a player pushed into the ball, has not touched it.
    #[serde(default)]
    pub touched: bool,
    /// Of a kick: where a player of the kicking team touched it before they may.
    #[serde(default)]
    pub touch_spot: Option<Figure>,
    /// Of a run: it began with a catch or recovery near the own goal line, and its momentum took the player behind it.
    #[serde(default)]
    pub momentum: bool,
    /// Of a run after a fumble: the player who fumbled has recovered it.
    #[serde(default)]
    pub own_fumble: bool,
    /// Whose impetus it was, if not the team in `by`: a ball batted or kicked with new force.
    #[serde(default)]
    pub impetus: Option<PartJson>,
}

words! {
    /// What the ball did.
    ActJson = course::Act {
        /// A player has it.
        Run = "run",
        /// A forward pass.
        Pass = "pass",
        /// A backward pass.
        BackwardPass = "backward pass",
        /// A fumble.
        Fumble = "fumble",
        /// A punt or a free kick.
        Kick = "kick",
        /// A kick at goal.
        GoalKick = "kick at goal",
    }
}

/// A foul.
#[derive(Debug, Clone, PartialEq, Deserialize, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(rename = "FoulOfPlay")]
pub struct FoulJson {
    /// The penalty's name in the book.
    pub name: String,
    /// On whom.
    pub by: PartJson,
    /// Where; needed where the penalty is measured from there, and for three-and-one. Left out: not behind the basic
    /// spot.
    #[serde(default)]
    pub spot: Option<Figure>,
    /// During which stage of the play, from 1. Left out: the first. It decides the basic spot: a foul during a return
    /// belongs to the stage of that return, one during a kick to the stage of the kick, one at the snap to the first.
    #[serde(default)]
    pub during: Option<usize>,
    /// The ball was dead: before the snap, after the play, after the score.
    #[serde(default)]
    pub dead: bool,
    /// What the game clock showed at the foul. Less than the `clock_s` of the play: the ball was dead by then.
    #[serde(default)]
    pub clock_s: Option<f64>,
    /// So rough that the player is sent off.
    #[serde(default)]
    pub flagrant: bool,
    /// The ball was dead and not yet ready for play: between two series, so that the new one begins after the penalty.
    #[serde(default)]
    pub before_ready: bool,
    /// The team fouled to save or to use time.
    #[serde(default)]
    pub tactic: Option<TacticJson>,
}

words! {
    /// What a team is up to with the clock.
    TacticJson = course::Tactic {
        /// To save time.
        Save = "save time",
        /// To use it up.
        Use = "use time",
    }
}

/// What stopped the clock besides a foul.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(rename = "Stoppage")]
pub struct StoppageJson {
    /// What.
    pub cause: CauseJson,
    /// Whose player.
    pub by: PartJson,
}

words! {
    /// A cause.
    CauseJson = course::Cause {
        /// A player is hurt.
        Injury = "injury",
        /// A helmet came off.
        Helmet = "helmet",
    }
}
