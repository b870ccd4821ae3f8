//! Downs, periods, points and the game clock of a league.

use super::effect::DeadBy;
use field::exact::Yards;

/// Downs, periods, points and the game clock.
#[derive(Debug, Clone, PartialEq)]
pub struct GameRules {
    /// Players of one side.
    pub players: u8,
    /// Periods of regulation; later ones are overtime.
    pub periods: u8,
    pub period_s: u32,
    /// Periods after which a half ends.
    pub halves_end: Vec<u8>,
    pub downs: u8,
    pub to_gain: Yards,
    /// Timeouts of a team in a half.
    pub timeouts: u8,
    pub points: PointTable,
    /// Where a try is snapped, as the distance to the goal line.
    pub try_spot: Yards,
    /// Where a touchback puts the ball, from the own goal line.
    pub touchback: Yards,
    /// Where a touchback of a free kick puts it; `None` where that is the same.
    pub touchback_free_kick: Option<Yards>,
    /// Where a free kick is kicked, from the own goal line.
    pub free_kick: Yards,
    /// Where a free kick after a safety is kicked; `None` where that is the same.
    pub free_kick_after_safety: Option<Yards>,
    /// Where the receivers have the ball, from their goal line, after a free kick that nobody touched went out at the
    /// side; `None` where that is where it went out.
    pub free_kick_out: Option<Yards>,
    /// No penalty takes a free kick farther back than this, from the own goal line; `None` without a limit.
    pub free_kick_at_least: Option<Yards>,
    /// Where a series of overtime begins, as the distance to the goal line; `None` where the book does not say.
    pub overtime_spot: Option<Yards>,
    /// Timeouts of a team in a period of overtime; `None` where it keeps those it has.
    pub overtime_timeouts: Option<u8>,
    /// Once each team has had a series of overtime, the next score wins; else every period of overtime gives each team
    /// one series.
    pub overtime_next_score: bool,
    /// From this extra period on, counted from 1, a try is run or passed and never kicked; `None`: it may be kicked.
    pub overtime_no_kicked_try_from: Option<u8>,
    /// From this extra period on, counted from 1, a team's series is a try alone; `None`: in none.
    pub overtime_tries_from: Option<u8>,
    /// A game that is level after its last period may end so; else overtime is played.
    pub may_end_level: bool,
    /// A team that wins by forfeit has these points and the other none, unless it is ahead; `None`: the score stands.
    pub forfeit_score: Option<u16>,
    /// Play clock in seconds after the officials stopped the game; `None` where that is the same.
    pub play_clock_after_stop_s: Option<u16>,
    pub play_clock_s: u16,
    pub whole_seconds: WholeSeconds,
    pub clock_stops: ClockStops,
}

/// How tenths of a second on the game clock become whole seconds where the time is announced.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, serde::Deserialize, schemars::JsonSchema)]
pub enum WholeSeconds {
    #[default]
    Up,
    Down,
}

/// What each score is worth.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct PointTable {
    pub touchdown: u16,
    pub field_goal: u16,
    pub safety: u16,
    pub try_kick: u16,
    /// A try by run or pass.
    pub try_run: u16,
    /// A try that the defense returns to the other goal line; 0 where the try is over then.
    pub try_return: u16,
    pub try_safety: u16,
}

/// In the last seconds of a half the clock stops for these ends of a play; before, it runs on.
#[derive(Debug, Clone, PartialEq, Eq, serde::Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ClockStops {
    /// How many last seconds.
    pub last_s: u32,
    /// The ends of a play that stop it then.
    pub after: Vec<DeadBy>,
    /// After a play with an enforced foul, too; not after a foul that let no play begin.
    #[serde(default)]
    pub enforced_foul: bool,
    /// After these the clock waits for the snap at any time of the game.
    #[serde(default)]
    pub always: Vec<DeadBy>,
    /// A first down stops the clock until the ready signal.
    #[serde(default)]
    pub first_down: bool,
    /// The rule.
    pub cite: String,
}

impl GameRules {
    /// Whether this clock of this period lies in the last `seconds` of a half.
    pub fn in_last(&self, seconds: u32, period: u8, clock_ms: i64) -> bool {
        self.halves_end.contains(&period) && clock_ms <= i64::from(seconds) * 1000
    }

    /// The clock as it is announced, in milliseconds: no tenths.
    pub fn in_whole_seconds(&self, clock_ms: i64) -> i64 {
        let seconds = match self.whole_seconds {
            WholeSeconds::Up => (clock_ms + 999).div_euclid(1000),
            WholeSeconds::Down => clock_ms.div_euclid(1000),
        };
        seconds * 1000
    }

    /// Whether this period is overtime.
    pub fn is_overtime(&self, period: u8) -> bool {
        period > self.periods
    }

    /// Whether a try of this period may be kicked.
    pub fn kicks_try(&self, period: u8) -> bool {
        !self.is_extra(period, self.overtime_no_kicked_try_from) && !self.tries_alone(period)
    }

    /// Whether a series of this period is a try alone.
    pub fn tries_alone(&self, period: u8) -> bool {
        self.is_extra(period, self.overtime_tries_from)
    }

    fn is_extra(&self, period: u8, from: Option<u8>) -> bool {
        from.is_some_and(|from| self.is_overtime(period) && period - self.periods >= from)
    }
}
