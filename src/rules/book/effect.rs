//! What a finding does to the game: one closed vocabulary.
//!
//! The words stand here because books are written in them; what each word does to a situation is
//! `game::apply`. An effect list describes what the play *becomes*, from the situation at its snap.

use serde::Deserialize;

/// One of the two teams of a play, as the play began.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Deserialize, schemars::JsonSchema)]
pub enum Part {
    /// The team that had the ball at the snap.
    Offense,
    Defense,
}

impl Part {
    /// The opponents.
    #[must_use]
    pub fn other(self) -> Part {
        match self {
            Part::Offense => Part::Defense,
            Part::Defense => Part::Offense,
        }
    }
}

/// Who fouled.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Deserialize, schemars::JsonSchema)]
pub enum Fouler {
    Offense,
    Defense,
    /// The team that the crew's flag of this name is on.
    Called,
}

/// Which team, where a return may have turned the play around.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Deserialize, schemars::JsonSchema)]
pub enum Whose {
    Offense,
    Defense,
    /// The team that had the ball at the end of the play as it was ruled: on a return, the other one.
    AsRuled,
}

/// How points are made.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Deserialize, schemars::JsonSchema)]
pub enum Points {
    /// A touchdown; during a try, the try by run or pass.
    Touchdown,
    /// A field goal; during a try, the try by kick.
    FieldGoal,
    Safety,
}

/// What killed the play. It decides whether the game clock stops.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Deserialize, schemars::JsonSchema)]
pub enum DeadBy {
    /// The runner is down inbounds, or their progress is stopped.
    Down,
    OutOfBounds,
    Incomplete,
    Score,
    ChangeOfPossession,
    Foul,
}

/// One consequence of a finding.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub enum Effect {
    /// The ball goes back to where it was snapped.
    PreviousSpot,
    /// The ball is put where the mark of this moment is.
    SpotAt(String),
    /// The ball is put at the mark of this moment, or at the previous spot if that is farther from the
    /// opponents' goal line than the mark is.
    SpotAtOrBehind(String),
    /// The ball is dead at the mark of this moment. Behind a goal line that is a touchdown, a safety or a
    /// touchback, by whose ball it is and whose impetus put it there.
    DeadAt(String),
    /// The same, for a finding that says that the ball was short: a mark behind the goal line that the team with the
    /// ball attacks contradicts it.
    DeadShortAt(String),
    /// The team that had the ball at the end of the play as it was ruled has it: on a return, the other one.
    HadAsRuled,
    /// The other team has the ball, where it is.
    TurnOver,
    /// The other team had gained the ball before, and its runner was stopped where it is.
    RunBack,
    /// This team recovered a ball that the other named team, or the same, had lost. Where it changed hands, a series
    /// begins.
    Recovered {
        /// Who recovered it.
        by: Part,
        /// Who had lost it.
        from: Whose,
        /// The moment at which it was lost.
        lost: String,
        /// By the player who had lost it himself: on the last down or a try, where the book has it so, only he may gain by it.
        #[serde(default)]
        himself: bool,
    },
    /// Nobody recovered a ball that this team had lost: it went out of bounds where it is.
    LostOut {
        /// Who had lost it.
        by: Whose,
        /// The moment at which it was lost.
        lost: String,
    },
    /// The team that has the ball gets it at the touchback spot.
    Touchback,
    /// The kick failed: the other team at the previous spot, at least at the touchback spot.
    KickFails,
    /// The down counts: the next one, a first down, or the other team's ball.
    NextDown,
    /// The same down again, over the distance that is left.
    RepeatDown,
    FirstDown,
    /// Points, and what follows them.
    Score {
        /// How they are made.
        points: Points,
        /// For whom.
        by: Whose,
    },
    /// The game clock shows what it showed at the mark of this moment.
    ClockAt(String),
    /// What killed the play, which decides whether the clock stops.
    DeadBy(DeadBy),
    /// The play counts as it ran: its own end, clock and score.
    PlayCounts,
    /// A foul of this name; the offended team chooses where the book lets it.
    Foul {
        /// The penalty's name in the book.
        name: String,
        /// On whom.
        by: Fouler,
        /// The moment whose mark is the spot of the foul, where the penalty needs it.
        #[serde(default)]
        spot: Option<String>,
        /// It happened after the ball was dead.
        #[serde(default)]
        dead: bool,
    },
    /// The rules leave it to the referee.
    Discretion,
}

impl Effect {
    /// The moment whose mark the effect needs.
    pub fn moment(&self) -> Option<&str> {
        match self {
            Effect::SpotAt(moment)
            | Effect::SpotAtOrBehind(moment)
            | Effect::DeadAt(moment)
            | Effect::DeadShortAt(moment)
            | Effect::Recovered { lost: moment, .. }
            | Effect::LostOut { lost: moment, .. }
            | Effect::ClockAt(moment) => Some(moment),
            Effect::Foul { spot, .. } => spot.as_deref(),
            Effect::PreviousSpot
            | Effect::HadAsRuled
            | Effect::TurnOver
            | Effect::RunBack
            | Effect::Touchback
            | Effect::KickFails
            | Effect::NextDown
            | Effect::RepeatDown
            | Effect::FirstDown
            | Effect::Score { .. }
            | Effect::DeadBy(_)
            | Effect::PlayCounts
            | Effect::Discretion => None,
        }
    }

    /// The foul that the effect is: its penalty's name, on whom, and whether it came after the ball was dead.
    pub fn foul(&self) -> Option<(&str, Fouler, bool)> {
        match self {
            Effect::Foul { name, by, dead, .. } => Some((name, *by, *dead)),
            Effect::PreviousSpot
            | Effect::SpotAt(_)
            | Effect::SpotAtOrBehind(_)
            | Effect::DeadAt(_)
            | Effect::DeadShortAt(_)
            | Effect::HadAsRuled
            | Effect::TurnOver
            | Effect::RunBack
            | Effect::Recovered { .. }
            | Effect::LostOut { .. }
            | Effect::Touchback
            | Effect::KickFails
            | Effect::NextDown
            | Effect::RepeatDown
            | Effect::FirstDown
            | Effect::Score { .. }
            | Effect::ClockAt(_)
            | Effect::DeadBy(_)
            | Effect::PlayCounts
            | Effect::Discretion => None,
        }
    }
}
