//! The situation of a game between two plays.

use crate::book::effect::Part;
use crate::book::game_rules::GameRules;
use crate::book::line::Snap;
use field::Field;
use field::exact::Yards;

/// One of the two teams.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Team {
    Home,
    Away,
}

/// An end of the field in the building.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum End {
    East,
    West,
}

/// One value for each team.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct ByTeam<T> {
    pub home: T,
    pub away: T,
}

/// Challenges of a team so far.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Challenges {
    pub used: u8,
    /// Of those used.
    pub won: u8,
}

/// What comes next.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Next {
    Scrimmage {
        /// The down, from 1.
        down: u8,
        /// Yards to the line to gain.
        to_go: Yards,
    },
    Try,
    /// A free kick by the team named as offense.
    FreeKick,
}

/// The situation before a play.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Situation {
    /// The period, from 1; overtime comes after the book's last one.
    pub period: u8,
    pub clock_ms: i64,
    pub clock_running: bool,
    /// `None` where it is not known.
    pub play_clock_s: Option<u16>,
    pub next: Next,
    /// Who has the ball, or kicks.
    pub offense: Team,
    pub attacks: End,
    /// Where the ball is, in yards from the offense's own goal line.
    pub spot: Yards,
    pub score: ByTeam<u16>,
    /// Timeouts left.
    pub timeouts: ByTeam<u8>,
    pub challenges: ByTeam<Challenges>,
}

/// How the game clock starts again.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum ClockStart {
    Snap,
    /// On the referee's ready signal.
    Ready,
}

/// Why a situation cannot be one of this game.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum Impossible {
    #[error("spot {spot} is not on the field: it lies between the goal lines, above 0 and below {length}")]
    Spot { spot: Yards, length: Yards },
    #[error("down {down} is not one of this game: downs go from 1 to {downs}")]
    Down { down: u8, downs: u8 },
    #[error("to_go must be more than 0 and at most the {length} yards of the field, not {to_go}")]
    ToGo { to_go: Yards, length: Yards },
    #[error("period {0} is not one of a game: periods go from 1 to {LAST_PERIOD}")]
    Period(u8),
    #[error("the clock cannot show {} s: a period has {period_s} s", *.clock_ms as f64 / 1000.0)]
    Clock { clock_ms: i64, period_s: u32 },
    #[error("a team cannot have won more challenges than it used")]
    Challenges,
    #[error("{0} points are more than a game can have: at most {MOST_POINTS}")]
    Score(u16),
    #[error("{timeouts} timeouts are more than a team can have left: at most {most}")]
    Timeouts { timeouts: u8, most: u8 },
}

/// The last period that a situation can have; a game goes on until it is decided, but not for ever.
const LAST_PERIOD: u8 = 99;

/// The most points of a team that a situation can have.
const MOST_POINTS: u16 = 999;

impl Impossible {
    /// The field of a situation that is wrong.
    pub fn field(&self) -> &'static str {
        match self {
            Impossible::Spot { .. } => "spot",
            Impossible::Down { .. } => "down",
            Impossible::ToGo { .. } => "to_go",
            Impossible::Period(_) => "period",
            Impossible::Clock { .. } => "clock_s",
            Impossible::Challenges => "challenges",
            Impossible::Score(_) => "score",
            Impossible::Timeouts { .. } => "timeouts",
        }
    }

    /// What may stand there.
    pub fn help(&self) -> &'static str {
        match self {
            Impossible::Spot { .. } => {
                "the spot counts in yards from the goal line of the team with the ball"
            }
            Impossible::Down { .. } => "write a down of this game, or `next` for a try or a free kick",
            Impossible::ToGo { .. } => {
                "write the yards to the line to gain, or to the goal line where that is nearer"
            }
            Impossible::Period(_) => "the first period is 1, and overtime follows the last one of the game",
            Impossible::Clock { .. } => "write the seconds that are left in the period",
            Impossible::Challenges => "write how many were used, and how many of these were won",
            Impossible::Score(_) => "write the points before the play",
            Impossible::Timeouts { .. } => "write the timeouts that are left in this half",
        }
    }
}

impl Team {
    /// The opponents.
    #[must_use]
    pub fn other(self) -> Team {
        match self {
            Team::Home => Team::Away,
            Team::Away => Team::Home,
        }
    }
}

impl End {
    /// The opposite end.
    #[must_use]
    pub fn other(self) -> End {
        match self {
            End::East => End::West,
            End::West => End::East,
        }
    }
}

impl<T> ByTeam<T> {
    /// This team's value.
    pub fn of(&self, team: Team) -> &T {
        match team {
            Team::Home => &self.home,
            Team::Away => &self.away,
        }
    }

    /// This team's value, to change it.
    pub fn of_mut(&mut self, team: Team) -> &mut T {
        match team {
            Team::Home => &mut self.home,
            Team::Away => &mut self.away,
        }
    }
}

impl Situation {
    /// The team that plays this part in the coming play.
    pub fn team(&self, part: Part) -> Team {
        match part {
            Part::Offense => self.offense,
            Part::Defense => self.offense.other(),
        }
    }

    /// The part that this team plays in the coming play.
    pub fn part(&self, team: Team) -> Part {
        if team == self.offense { Part::Offense } else { Part::Defense }
    }

    /// Whether the coming play belongs to a try, or to a series of overtime where the book says where those begin: the
    /// ball in the other team's hands ends it.
    pub fn in_short_series(&self, game: &GameRules) -> bool {
        self.next == Next::Try || game.overtime_spot.is_some() && game.is_overtime(self.period)
    }

    /// What lines depend on. Before a try it counts as goal to go from its spot, before a free kick as a first
    /// down.
    pub fn snap(&self, field: &Field) -> Snap {
        match self.next {
            Next::Scrimmage { down, to_go } => Snap { down, to_go, spot: self.spot },
            Next::Try | Next::FreeKick => Snap { down: 1, to_go: field.length - self.spot, spot: self.spot },
        }
    }

    /// The same place in the frame of the other team, which has the ball from here.
    #[must_use]
    pub(crate) fn turned_over(mut self, field: &Field) -> Situation {
        self.offense = self.offense.other();
        self.attacks = self.attacks.other();
        self.spot = field.length - self.spot;
        self
    }

    /// With a first down where the ball is.
    #[must_use]
    pub(crate) fn first_down(mut self, field: &Field, game: &GameRules) -> Situation {
        let to_go = game.to_gain.min(field.length - self.spot);
        self.next = Next::Scrimmage { down: 1, to_go };
        self
    }

    /// Whether it can be a situation of this game.
    ///
    /// # Errors
    /// The first impossible figure.
    pub fn possible(&self, field: &Field, game: &GameRules) -> Result<(), Impossible> {
        if self.period == 0 || self.period > LAST_PERIOD {
            return Err(Impossible::Period(self.period));
        }
        if self.clock_ms < 0 || self.clock_ms > i64::from(game.period_s) * 1000 {
            return Err(Impossible::Clock { clock_ms: self.clock_ms, period_s: game.period_s });
        }
        let on_goal_line = self.spot == Yards::ZERO && self.next == Next::FreeKick;
        if (self.spot <= Yards::ZERO && !on_goal_line) || self.spot >= field.length {
            return Err(Impossible::Spot { spot: self.spot, length: field.length });
        }
        if let Next::Scrimmage { down, to_go } = self.next {
            if down == 0 || down > game.downs {
                return Err(Impossible::Down { down, downs: game.downs });
            }
            if to_go <= Yards::ZERO || to_go > field.length {
                return Err(Impossible::ToGo { to_go, length: field.length });
            }
        }
        let fair = |challenges: &Challenges| challenges.won <= challenges.used;
        if !fair(&self.challenges.home) || !fair(&self.challenges.away) {
            return Err(Impossible::Challenges);
        }
        let score = self.score.home.max(self.score.away);
        if score > MOST_POINTS {
            return Err(Impossible::Score(score));
        }
        let timeouts = self.timeouts.home.max(self.timeouts.away);
        let most = game.timeouts.max(game.overtime_timeouts.unwrap_or(0));
        if timeouts > most {
            return Err(Impossible::Timeouts { timeouts, most });
        }
        Ok(())
    }
}
