//! How every number of a situation came about: the causes that changed it, in order.
//!
//! The engine writes a step whenever it changes something, with the situation as the step leaves it: the play, the
//! place that a penalty is measured from, the penalty, the choice, the clock, the price. The entries of one number are
//! read from these steps: those that changed it, or one that kept it. Nothing is decided here.

use super::clock::{Period, Why as ClockWhy};
use super::enforce::basic_spot::Why;
use super::situation::{ClockStart, End, Next, Situation, Team};
use field::exact::Yards;

/// What changed a number; `foul` is a foul's number in the ledger.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Cause {
    /// Nothing: it is as it was at the snap.
    Kept,
    /// The play as it ran, or as the review leaves it, fouls left aside.
    Play,
    /// What a question of the review makes of the play, by its number in the review.
    Question(usize),
    /// The play is set aside for the place that a penalty is measured from.
    Measured {
        foul: usize,
        why: Why,
    },
    Penalty {
        foul: usize,
        by: Team,
        yards: Yards,
        /// Half the distance to the goal line was less than what it costs.
        half: bool,
    },
    /// Fouls of both teams cancelled each other.
    Offset,
    /// The receivers take the ball where the kickers touched it.
    Touch,
    /// After a whistle by mistake the down is played again.
    Repeat,
    /// The rules decide what counts, and declined the fouls.
    ByRule,
    Clock(ClockWhy),
    Timeout(Team),
    /// Seconds that run off.
    RunOff(u32),
    /// The period has ended, or has one more play.
    Period(Period),
    /// The run-off has ended the period before a later foul.
    FellAway,
    /// The price of a challenge.
    Challenge {
        team: Team,
        won: bool,
    },
}

/// A step of the engine, with what it leaves.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Step {
    pub cause: Cause,
    pub after: Situation,
    /// How the clock starts, as far as it is known by then.
    pub starts: Option<ClockStart>,
}

/// All steps from the snap to the next situation.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Ledger {
    pub at_snap: Situation,
    pub steps: Vec<Step>,
    /// The penalties' names, by the numbers that causes give.
    pub fouls: Vec<String>,
}

/// A number of a situation.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Number {
    Period,
    Clock,
    ClockStart,
    Next,
    Down,
    ToGo,
    /// Where the ball is, from the goal line of the team that has it.
    Spot,
    Offense,
    Attacks,
    Score(Team),
    /// Timeouts left.
    Timeouts(Team),
    Used(Team),
    /// Challenges won, of those used.
    Won(Team),
}

/// The value of a number.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Value {
    /// No value: no down before a try, no start of a clock that does not run.
    None,
    Count(u16),
    /// Milliseconds of the game clock.
    Clock(i64),
    Yards(Yards),
    Team(Team),
    End(End),
    Start(ClockStart),
    Scrimmage,
    Try,
    FreeKick,
}

/// One change of a number, or the statement that it was kept.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Entry {
    pub cause: Cause,
    pub from: Value,
    pub to: Value,
}

/// Every number, in the order in which a crew reads them.
pub const NUMBERS: [Number; 17] = [
    Number::Period,
    Number::Clock,
    Number::ClockStart,
    Number::Next,
    Number::Down,
    Number::ToGo,
    Number::Spot,
    Number::Offense,
    Number::Attacks,
    Number::Score(Team::Home),
    Number::Score(Team::Away),
    Number::Timeouts(Team::Home),
    Number::Timeouts(Team::Away),
    Number::Used(Team::Home),
    Number::Used(Team::Away),
    Number::Won(Team::Home),
    Number::Won(Team::Away),
];

impl Number {
    /// Its value in a situation whose clock starts like this.
    pub fn of(self, situation: &Situation, starts: Option<ClockStart>) -> Value {
        let scrimmage = match situation.next {
            Next::Scrimmage { down, to_go } => Some((down, to_go)),
            Next::Try | Next::FreeKick => None,
        };
        match self {
            Number::Period => Value::Count(u16::from(situation.period)),
            Number::Clock => Value::Clock(situation.clock_ms),
            Number::ClockStart => starts.map_or(Value::None, Value::Start),
            Number::Next => match situation.next {
                Next::Scrimmage { .. } => Value::Scrimmage,
                Next::Try => Value::Try,
                Next::FreeKick => Value::FreeKick,
            },
            Number::Down => scrimmage.map_or(Value::None, |(down, _)| Value::Count(u16::from(down))),
            Number::ToGo => scrimmage.map_or(Value::None, |(_, to_go)| Value::Yards(to_go)),
            Number::Spot => Value::Yards(situation.spot),
            Number::Offense => Value::Team(situation.offense),
            Number::Attacks => Value::End(situation.attacks),
            Number::Score(team) => Value::Count(*situation.score.of(team)),
            Number::Timeouts(team) => Value::Count(u16::from(*situation.timeouts.of(team))),
            Number::Used(team) => Value::Count(u16::from(situation.challenges.of(team).used)),
            Number::Won(team) => Value::Count(u16::from(situation.challenges.of(team).won)),
        }
    }
}

impl Ledger {
    /// How a number came about: each change of it in order, or one entry with [`Cause::Kept`].
    pub fn entries(&self, number: Number) -> Vec<Entry> {
        let first = number.of(&self.at_snap, None);
        let mut from = first;
        let mut entries = Vec::new();
        for step in &self.steps {
            let to = number.of(&step.after, step.starts);
            if to != from {
                entries.push(Entry { cause: step.cause, from, to });
                from = to;
            }
        }
        if entries.is_empty() {
            entries.push(Entry { cause: Cause::Kept, from: first, to: first });
        }
        entries
    }
}

/// Writes a step down, unless it leaves everything as it was.
pub(super) fn record(steps: &mut Vec<Step>, cause: Cause, after: Situation, starts: Option<ClockStart>) {
    let same = steps.last().is_some_and(|last| last.after == after && last.starts == starts);
    if !same {
        steps.push(Step { cause, after, starts });
    }
}

#[cfg(test)]
mod tests {
    use super::{Cause, Entry, Ledger, Number, Step, Value};
    use crate::game::situation::{ByTeam, End, Next, Situation, Team};
    use field::exact::Yards;

    fn at(spot: i64, down: u8) -> Situation {
        Situation {
            period: 1,
            clock_ms: 600_000,
            clock_running: false,
            play_clock_s: None,
            next: Next::Scrimmage { down, to_go: Yards::whole(10) },
            offense: Team::Home,
            attacks: End::East,
            spot: Yards::whole(spot),
            score: ByTeam::default(),
            timeouts: ByTeam::default(),
            challenges: ByTeam::default(),
        }
    }

    #[test]
    fn a_number_has_the_steps_that_changed_it_and_one_that_nothing_changed_was_kept() {
        let step = |cause, after| Step { cause, after, starts: None };
        let ledger = Ledger {
            at_snap: at(30, 1),
            steps: vec![step(Cause::Play, at(45, 2)), step(Cause::Repeat, at(45, 1))],
            fouls: Vec::new(),
        };
        let yards = |spot| Value::Yards(Yards::whole(spot));
        assert_eq!(
            ledger.entries(Number::Spot),
            [Entry { cause: Cause::Play, from: yards(30), to: yards(45) }]
        );
        let causes: Vec<_> = ledger.entries(Number::Down).iter().map(|entry| entry.cause).collect();
        assert_eq!(causes, [Cause::Play, Cause::Repeat]);
        let kept = Entry { cause: Cause::Kept, from: yards(10), to: yards(10) };
        assert_eq!(ledger.entries(Number::ToGo), [kept]);
    }
}
