//! A ledger in words, what changed each number of a situation; and the numbers of downs and periods.

use super::clock::{Period, Why as ClockWhy};
use super::enforce::basic_spot::Why;
use super::ledger::{Cause, Ledger, NUMBERS, Number, Value};
use super::situation::{ClockStart, End, Team};
use crate::book::effect::DeadBy;
use field::exact::Yards;

/// `1st`, `2nd`, `3rd`, `4th`, for the downs and periods of a game.
pub fn ordinal(number: u8) -> String {
    let ending = match number {
        1 => "st",
        2 => "nd",
        3 => "rd",
        _ => "th",
    };
    format!("{number}{ending}")
}

/// One line for each number that changed, with its changes.
pub fn lines(ledger: &Ledger, questions: &[&str]) -> Vec<String> {
    let mut lines = Vec::new();
    for number in NUMBERS {
        let entries = ledger.entries(number);
        let Some(first) = entries.first().filter(|entry| entry.cause != Cause::Kept) else { continue };
        let mut line = format!("{}: {}", self::number(number), value(first.from));
        for entry in &entries {
            let why = cause(entry.cause, &ledger.fouls, questions);
            line.push_str(&format!(" -> {} ({why})", value(entry.to)));
        }
        lines.push(line);
    }
    lines
}

/// A number's name: "score.home".
pub fn number(number: Number) -> &'static str {
    match number {
        Number::Period => "period",
        Number::Clock => "clock_s",
        Number::ClockStart => "clock_starts",
        Number::Next => "next",
        Number::Down => "down",
        Number::ToGo => "to_go",
        Number::Spot => "spot",
        Number::Offense => "offense",
        Number::Attacks => "attacks",
        Number::Score(Team::Home) => "score.home",
        Number::Score(Team::Away) => "score.away",
        Number::Timeouts(Team::Home) => "timeouts.home",
        Number::Timeouts(Team::Away) => "timeouts.away",
        Number::Used(Team::Home) => "challenges.home.used",
        Number::Used(Team::Away) => "challenges.away.used",
        Number::Won(Team::Home) => "challenges.home.won",
        Number::Won(Team::Away) => "challenges.away.won",
    }
}

fn side(team: Team) -> &'static str {
    match team {
        Team::Home => "home",
        Team::Away => "away",
    }
}

/// A value: "12.5", "home", "free kick".
pub fn value(value: Value) -> String {
    match value {
        Value::None => "none".to_owned(),
        Value::Count(count) => count.to_string(),
        Value::Clock(ms) => format!("{:?}", ms as f64 / 1000.0),
        Value::Yards(yards) => yards.to_string(),
        Value::Team(team) => side(team).to_owned(),
        Value::End(End::East) => "east".to_owned(),
        Value::End(End::West) => "west".to_owned(),
        Value::Start(ClockStart::Ready) => "ready".to_owned(),
        Value::Start(ClockStart::Snap) => "snap".to_owned(),
        Value::Scrimmage => "scrimmage".to_owned(),
        Value::Try => "try".to_owned(),
        Value::FreeKick => "free kick".to_owned(),
    }
}

/// A cause in words.
pub fn cause(cause: Cause, fouls: &[String], questions: &[&str]) -> String {
    let foul = |number: usize| fouls.get(number).map_or("a foul", String::as_str);
    match cause {
        Cause::Kept => "kept".to_owned(),
        Cause::Play => "the play".to_owned(),
        Cause::Question(number) => match questions.get(number) {
            Some(tree) => format!("the question `{tree}`"),
            None => "a question of the review".to_owned(),
        },
        Cause::Measured { foul: number, why } => {
            format!("the play is set aside, {} is measured from {}", foul(number), place(why))
        }
        Cause::Penalty { foul: number, by, yards, half } => {
            let half = if half { "half the distance, " } else { "" };
            let unit = if yards == Yards::whole(1) { "yard" } else { "yards" };
            format!("{} by {}, {half}{yards} {unit}", foul(number), side(by))
        }
        Cause::Offset => "the fouls of both teams cancel each other, the down is played again".to_owned(),
        Cause::Touch => "the ball where the kickers touched it".to_owned(),
        Cause::Repeat => "the down is played again after the whistle".to_owned(),
        Cause::ByRule => "the rules decline the fouls, and say what counts".to_owned(),
        Cause::Clock(why) => clock(why).to_owned(),
        Cause::Timeout(team) => format!("a timeout of {}", side(team)),
        Cause::RunOff(seconds) => format!("{seconds} seconds run off"),
        Cause::Period(period) => self::period(period).to_owned(),
        Cause::FellAway => "the period was over before the later foul".to_owned(),
        Cause::Challenge { team, won: true } => format!("the challenge of {} is won", side(team)),
        Cause::Challenge { team, won: false } => format!("the challenge of {} is lost", side(team)),
    }
}

fn place(why: Why) -> &'static str {
    match why {
        Why::Previous => "the previous spot",
        Why::Succeeding => "the succeeding spot",
        Why::Spot => "the spot of the foul",
        Why::EndOfRun => "the end of the run",
        Why::Touchback => "the touchback spot",
        Why::GoalLine => "the goal line",
        Why::EndOfKick => "the end of the kick",
        Why::ThreeAndOne => "the spot of the foul, behind the basic spot",
        Why::EndOfPlay => "the end of the play",
        Why::Beyond => "the previous spot, and goes forward",
    }
}

fn clock(why: ClockWhy) -> &'static str {
    match why {
        ClockWhy::NoClock => "the clock does not run",
        ClockWhy::NothingPlayed => "nothing was played: it starts as it would have",
        ClockWhy::Ended(DeadBy::Down) => "the runner was down",
        ClockWhy::Ended(DeadBy::OutOfBounds) => "the ball was out of bounds",
        ClockWhy::Ended(DeadBy::Incomplete) => "the pass was incomplete",
        ClockWhy::Ended(DeadBy::Score) | ClockWhy::Score => "there was a score",
        ClockWhy::Ended(DeadBy::ChangeOfPossession) => "the ball changed hands",
        ClockWhy::Ended(DeadBy::Foul) => "a foul killed the play",
        ClockWhy::Possession => "the ball changed hands or was kicked",
        ClockWhy::Foul => "a foul was enforced late in the half",
        ClockWhy::RunsOn => "nothing keeps it from running",
        ClockWhy::Tactic => "a foul must not gain time",
        ClockWhy::Leader => "only a foul of the team that is ahead stopped it",
        ClockWhy::NoRunOff => "no time is taken off",
    }
}

fn period(period: Period) -> &'static str {
    match period {
        Period::GoesOn => "the period goes on",
        Period::Extended => "the period has one more play, untimed",
        Period::Over => "the period is over",
        Period::HalfOver => "the half is over",
        Period::GameOver => "the game is over",
    }
}
