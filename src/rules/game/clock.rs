//! The game clock: how it starts after a play, the seconds that run off, the end of a period.

use super::course::{Foul, Stoppage, Tactic};
use super::enforce::reading::Ran;
use super::situation::{ClockStart, Next, Situation};
use crate::book::Book;
use crate::book::effect::{DeadBy, Part};
use crate::book::enforcement::ClockRunOff;

/// What becomes of the period when its clock shows zero.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Period {
    /// There is time left, or the period has no clock.
    GoesOn,
    /// One more play, untimed.
    Extended,
    Over,
    HalfOver,
    GameOver,
}

/// Why the clock starts as it does.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Why {
    /// Before a try, a free kick, in overtime or at 0:00 it does not run.
    NoClock,
    /// Nothing was played: it starts as it would have.
    NothingPlayed,
    Ended(DeadBy),
    /// The ball has changed hands, or was kicked.
    Possession,
    Score,
    /// A foul was enforced late in a half.
    Foul,
    RunsOn,
    /// A foul that was to save or use time must not gain by it.
    Tactic,
    /// Only a foul of the team that is ahead stopped it.
    Leader,
    /// A run-off was due and not taken.
    NoRunOff,
}

/// How the clock starts, and why.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Starts {
    /// On what signal; `None` if it does not start.
    pub how: Option<ClockStart>,
    pub why: Why,
}

/// What of a play and its fouls bears on the clock.
#[derive(Debug, Clone, Copy)]
pub struct Stops {
    /// What killed the play; `None` where none was run.
    pub dead_by: Option<DeadBy>,
    /// The ball has changed hands, or there was a kick.
    pub changed: bool,
    pub scored: bool,
    /// A foul was enforced that did not keep the play from beginning.
    pub enforced: bool,
}

/// How the clock starts after a play that led to this situation.
pub fn starts(book: &Book, at_snap: &Situation, after: &Situation, stops: Stops) -> Starts {
    let untimed = after.clock_ms == 0 || book.game.is_overtime(after.period);
    if untimed || matches!(after.next, Next::Try | Next::FreeKick) {
        return Starts { how: None, why: Why::NoClock };
    }
    let Some(dead_by) = stops.dead_by else {
        let how = if at_snap.clock_running { ClockStart::Ready } else { ClockStart::Snap };
        return Starts { how: Some(how), why: Why::NothingPlayed };
    };
    let rule = &book.game.clock_stops;
    let one_of = |ends: &[DeadBy]| {
        let ended = ends.contains(&dead_by).then_some(Why::Ended(dead_by));
        let changed =
            (stops.changed && ends.contains(&DeadBy::ChangeOfPossession)).then_some(Why::Possession);
        let scored = (stops.scored && ends.contains(&DeadBy::Score)).then_some(Why::Score);
        ended.or(changed).or(scored)
    };
    let foul = (stops.enforced && rule.enforced_foul && dead_by != DeadBy::Foul).then_some(Why::Foul);
    let late = book.game.in_last(rule.last_s, after.period, after.clock_ms);
    let stopped = one_of(&rule.after).or(foul).filter(|_| late).or(one_of(&rule.always));
    match stopped {
        Some(why) => Starts { how: Some(ClockStart::Snap), why },
        None => Starts { how: Some(ClockStart::Ready), why: Why::RunsOn },
    }
}

/// How the clock starts in a situation that is held already; `None` where it does not run.
pub fn goes_on(book: &Book, at: &Situation) -> Option<ClockStart> {
    let untimed = at.clock_ms == 0 || book.game.is_overtime(at.period);
    match (at.clock_running, at.next) {
        (true, _) => Some(ClockStart::Ready),
        (false, Next::Try | Next::FreeKick) => None,
        (false, Next::Scrimmage { .. }) => (!untimed).then_some(ClockStart::Snap),
    }
}

/// How the clock starts after a foul with this tactic: so that it does not gain by it.
pub fn against(tactic: Tactic) -> ClockStart {
    match tactic {
        Tactic::Save => ClockStart::Ready,
        Tactic::Use => ClockStart::Snap,
    }
}

/// The rule, and the team that made a running clock stop: the other team may have time taken off.
pub fn run_off<'b>(
    book: &'b Book,
    ran: &Ran,
    fouls: &[&Foul<'_>],
    stoppages: &[Stoppage],
    result: &Situation,
) -> Option<(&'b ClockRunOff, Part)> {
    let rule = book.enforcement.run_off.as_ref()?;
    let at_snap = &ran.at_snap;
    if result.clock_ms == 0 || !book.game.in_last(rule.last_s, result.period, result.clock_ms) {
        return None;
    }
    if matches!(at_snap.next, Next::Try | Next::FreeKick) {
        return None;
    }
    let stops = |foul: &&&Foul<'_>| {
        foul.penalty.stops_clock
            && match ran.dead_by {
                None => at_snap.clock_running,
                Some(DeadBy::Incomplete | DeadBy::OutOfBounds) => !foul.dead,
                Some(DeadBy::Down | DeadBy::Score | DeadBy::ChangeOfPossession | DeadBy::Foul) => false,
            }
    };
    let foul = fouls.iter().find(stops);
    if let Some(foul) = foul {
        return Some((rule, foul.by));
    }
    // If anything else stopped the clock, such as a first down, there is no run-off.
    let first = matches!(result.next, Next::Scrimmage { down: 1, .. });
    let stopped = ran.changed
        || ran.ending.points.is_some()
        || first && book.game.clock_stops.first_down && ran.dead_by.is_some()
        || ran.dead_by.is_some_and(|dead_by| dead_by != DeadBy::Down)
        || ran.dead_by.is_none() && !at_snap.clock_running;
    if stopped || !fouls.is_empty() {
        return None;
    }
    // With stoppages of both teams, neither has the choice.
    let first = stoppages.first()?.by;
    stoppages.iter().all(|stoppage| stoppage.by == first).then_some((rule, first))
}

/// What becomes of the period. `again`: a foul or a whistle adds another play.
pub fn period(book: &Book, after: &Situation, again: bool) -> Period {
    if after.clock_ms > 0 || book.game.is_overtime(after.period) {
        return Period::GoesOn;
    }
    if again || after.next == Next::Try {
        return Period::Extended;
    }
    if after.period >= book.game.periods {
        return if after.score.home == after.score.away { Period::Over } else { Period::GameOver };
    }
    if book.game.halves_end.contains(&after.period) { Period::HalfOver } else { Period::Over }
}
