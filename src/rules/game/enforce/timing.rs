//! The clock and the period after a play with its fouls: how it starts, what runs off, whether there is another play.

use super::dead_ball::after_period;
use super::reading::Ran;
use super::{Around, Done, Picks, Ruling, RunOff, enforce};
use crate::book::Book;
use crate::book::effect::DeadBy;
use crate::book::enforcement::Principle;
use crate::game::clock::{self, Period, Starts, Stops};
use crate::game::course::{Foul, Stoppage};
use crate::game::ledger::Cause;
use crate::game::situation::{ClockStart, Next, Situation, Team};

/// What becomes of the period, or of the game.
pub(super) fn period(book: &Book, ran: &Ran, after: &Situation, again: bool) -> Period {
    // With no time left between plays, one more is to come.
    let extended = ran.dead_by.is_none() && ran.at_snap.clock_ms == 0;
    let defense_scored = after.next == Next::Try && after.offense != ran.at_snap.offense;
    let wins = book.enforcement.keeps(Principle::DefenseWinsOvertime) && defense_scored;
    if wins && book.game.is_overtime(after.period) {
        return Period::GameOver;
    }
    if ran.second_series && ran.at_snap.next != Next::FreeKick && ran.at_snap.in_short_series(&book.game) {
        let team = ran.at_snap.offense;
        let (own, other) = (after.score.of(team), after.score.of(team.other()));
        let over = after.offense != team;
        if (over || after.next == Next::Try) && own != other && (over || own > other) {
            return Period::GameOver;
        }
        if over {
            return Period::Over;
        }
    }
    clock::period(book, after, again || extended)
}

/// What of a play, with its fouls enforced, bears on how the clock starts.
#[derive(Debug, Clone, Copy)]
pub(in crate::game) struct Played {
    /// What killed it; `None` where nothing was played.
    pub dead_by: Option<DeadBy>,
    /// It ended with the other team's ball.
    pub theirs: bool,
    /// It had a kick.
    pub kicked: bool,
    pub scored: bool,
    /// A foul was enforced.
    pub enforced: bool,
    /// Fouls of both teams cancelled each other.
    pub replayed: bool,
}

/// How the clock starts after a play and its fouls, a run-off and a timeout left aside.
pub(in crate::game) fn starts(book: &Book, at_snap: &Situation, after: &Situation, played: Played) -> Starts {
    let kicked = played.kicked && book.enforcement.keeps(Principle::SnapAfterKick);
    let other = after.offense != at_snap.offense;
    // What the team that does not snap next did with the ball, or that it had it, is no reason to wait for the snap.
    let dead_by = played.dead_by.map(|dead_by| match dead_by {
        DeadBy::OutOfBounds if played.theirs && !other => DeadBy::Down,
        DeadBy::ChangeOfPossession if (played.theirs || played.replayed) && !other => DeadBy::Down,
        dead_by => dead_by,
    });
    let changed = kicked || other;
    clock::starts(
        book,
        at_snap,
        after,
        Stops { dead_by, changed, scored: played.scored, enforced: played.enforced },
    )
}

/// What the fouls and the stoppages do to the clock, upon the option that is taken.
pub(super) fn clock_of(book: &Book, ran: &Ran, around: Around<'_, '_>, ruling: &mut Ruling) {
    let option = ruling.option();
    let scrimmage = matches!(ruling.after.next, Next::Scrimmage { .. });
    let accepted =
        |number: &usize| option.done.iter().any(|(other, done)| other == number && *done == Done::Accepted);
    let enforced: Vec<&Foul<'_>> =
        (0..around.fouls.len()).filter(accepted).map(|number| &around.fouls[number]).collect();
    if leaders_foul(book, ran, &enforced, ruling) {
        ruling.clock_starts = Some(ClockStart::Snap);
        ruling.note(Cause::Clock(clock::Why::Leader));
    }
    if let Some(tactic) = enforced.iter().find_map(|foul| foul.tactic)
        && scrimmage
        && ruling.clock_starts.is_some()
    {
        ruling.clock_starts = Some(clock::against(tactic));
        ruling.note(Cause::Clock(clock::Why::Tactic));
    }
    let due = clock::run_off(book, ran, &enforced, around.stoppages, &ruling.after);
    let paid = around.picks.timeout.filter(|team| *ruling.after.timeouts.of(*team) > 0);
    if let Some(team) = paid {
        *ruling.after.timeouts.of_mut(team) -= 1;
        ruling.note(Cause::Timeout(team));
    }
    if let Some((rule, by)) = due {
        let by = ran.at_snap.team(by);
        let chooser = by.other();
        let saved = paid == Some(by);
        let lead = ruling.after.score.of(chooser) > ruling.after.score.of(by);
        let taken = !saved && around.picks.run_off.unwrap_or(lead);
        ruling.clock_starts = Some(if taken { ClockStart::Ready } else { ClockStart::Snap });
        let why = if taken { Cause::RunOff(rule.seconds) } else { Cause::Clock(clock::Why::NoRunOff) };
        if taken {
            ruling.after.clock_ms = (ruling.after.clock_ms - i64::from(rule.seconds) * 1000).max(0);
            ruling.period = period(book, ran, &ruling.after, ran.again);
        }
        ruling.note(why);
        if taken && ruling.after.clock_ms == 0 {
            after_run_off(book, ran, around, by, ruling);
            ruling.note(Cause::FellAway);
        }
        ruling.run_off = Some(RunOff { rule: rule.clone(), chooser, taken, saved });
    } else if let (Some(team), Some(_)) = (paid, ruling.clock_starts) {
        ruling.clock_starts = Some(ClockStart::Snap);
        ruling.note(Cause::Timeout(team));
    }
    if ruling.period != Period::GoesOn {
        ruling.clock_starts = None;
        ruling.note(Cause::Period(ruling.period));
    }
    play_clock(book, ran, around.stoppages, paid.is_some(), ruling);
    ruling.after.clock_running = ruling.clock_starts == Some(ClockStart::Ready);
}

/// Whether only a foul of the team that is ahead stopped the clock late in a half: it must not gain time by it.
fn leaders_foul(book: &Book, ran: &Ran, enforced: &[&Foul<'_>], ruling: &Ruling) -> bool {
    let after = &ruling.after;
    let stops = &book.game.clock_stops;
    let is_first = |next: Next| matches!(next, Next::Scrimmage { down: 1, .. });
    let first = (is_first(after.next) || is_first(ran.result.next)) && stops.first_down;
    let ahead = |foul: &&Foul<'_>| {
        let team = ran.at_snap.team(foul.by);
        ran.at_snap.score.of(team) > ran.at_snap.score.of(team.other())
    };
    book.enforcement.keeps(Principle::SnapAfterLeadersFoul)
        && ruling.clock_starts == Some(ClockStart::Ready)
        && book.game.in_last(stops.last_s, after.period, after.clock_ms)
        && ran.dead_by.is_none_or(|dead_by| dead_by == DeadBy::Down)
        && !(first && ran.dead_by.is_some())
        && !enforced.is_empty()
        && enforced.iter().all(ahead)
}

/// The run-off has ended the period: a foul before the snap that came after the one that stopped the clock came after the
/// period, too.
fn after_run_off(book: &Book, ran: &Ran, around: Around<'_, '_>, by: Team, ruling: &mut Ruling) {
    let stops = |foul: &Foul<'_>| foul.penalty.stops_clock && ran.at_snap.team(foul.by) == by;
    let Some(last) = around.fouls.iter().position(stops).filter(|_| ran.dead_by.is_none()) else { return };
    if last + 1 == around.fouls.len() {
        return;
    }
    let picks = Picks { run_off: Some(false), timeout: None, ..around.picks.clone() };
    let earlier = Around { fouls: &around.fouls[..=last], stoppages: &[], picks: &picks };
    let shorter = enforce(book, ran, earlier);
    ruling.after.spot = shorter.after.spot;
    ruling.after.next = shorter.after.next;
    let over = (&ruling.after, ruling.period);
    let option = &mut ruling.options[ruling.taken];
    for (number, done) in
        option.done.iter_mut().filter(|(number, done)| *number > last && *done == Done::Accepted)
    {
        *done = after_period(book, over, around.fouls[*number].penalty).unwrap_or(Done::FellAway);
        option.later.extend((*done == Done::Carried).then_some(*number));
    }
    option.walked.retain(|walked| walked.foul <= last);
}

/// A stoppage for the defense gives the offense the whole play clock; everything else that stops the game, the short.
fn play_clock(book: &Book, ran: &Ran, stoppages: &[Stoppage], timeout: bool, ruling: &mut Ruling) {
    let Some(short) = book.game.play_clock_after_stop_s else { return };
    if stoppages.is_empty() && !timeout {
        return;
    }
    let defense = stoppages.iter().any(|stoppage| ruling.after.offense != ran.at_snap.team(stoppage.by));
    ruling.after.play_clock_s = Some(if defense && !timeout { book.game.play_clock_s } else { short });
}
