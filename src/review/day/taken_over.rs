//! What the day takes from a ruling about the play just run: what the ruling changed of the play as it was entered. A
//! timeout, a correction or an earlier ruling since then stays.

use super::fold::Day;
use super::{By, Event};
use rules::book::Book;
use rules::game::advance::needs_start;
use rules::game::situation::{End, Situation, Team};

impl Day {
    /// The coming situation once a ruling about this play (from 0) is taken over, by which `ruled` follows it. One about
    /// an earlier play than the last that was run changes only what the teams have left.
    pub fn after_ruling(&self, book: &Book, play: usize, ruled: Situation) -> Situation {
        match self.situation() {
            Some(now) if play + 2 < self.plays.len() => {
                Situation { timeouts: ruled.timeouts, challenges: ruled.challenges, ..now }
            }
            Some(_) if play + 2 == self.plays.len() => taken_over(book, self, ruled),
            Some(_) | None => ruled,
        }
    }

    /// What the game clock shows, where it was put to another time since this play (from 0) was entered.
    pub fn corrected_clock(&self, play: usize) -> Option<i64> {
        let coming = self.plays.last().filter(|_| play + 1 < self.plays.len())?;
        let same = (coming.came.period, coming.came.clock_ms) == (coming.at.period, coming.at.clock_ms);
        (!same || play + 2 < self.plays.len()).then_some(coming.at.clock_ms)
    }
}

/// The coming situation after a ruling about the play before it, which led from what was entered to `ruled`.
fn taken_over(book: &Book, day: &Day, ruled: Situation) -> Situation {
    let Some(coming) = day.plays.last() else { return ruled };
    let (came, now) = (coming.came, coming.at);
    if now.period != came.period {
        // Points or time put the period that was over back; otherwise a half that begins anew begins as it did.
        if (ruled.clock_ms, ruled.score) != (came.clock_ms, came.score) {
            return ruled;
        }
        if needs_start(book, &came) {
            return Situation { timeouts: ruled.timeouts, challenges: ruled.challenges, ..now };
        }
    }
    let ball = |at: Situation| (at.next, at.offense, at.spot);
    let (next, offense, spot) = newer(ball(came), ball(ruled), ball(now));
    let home = newer(attacked_by_home(came), attacked_by_home(ruled), attacked_by_home(now));
    let runs = newer(came.clock_running, ruled.clock_running, now.clock_running);
    Situation {
        period: newer(came.period, ruled.period, now.period),
        clock_ms: newer(came.clock_ms, ruled.clock_ms, now.clock_ms),
        clock_running: runs && !timeout_since(day),
        play_clock_s: newer(came.play_clock_s, ruled.play_clock_s, now.play_clock_s),
        next,
        offense,
        attacks: if offense == Team::Home { home } else { home.other() },
        spot,
        score: newer(came.score, ruled.score, now.score),
        // A review begins with what the teams have now.
        timeouts: ruled.timeouts,
        challenges: ruled.challenges,
    }
}

/// What the ruling made of a value, if it changed it; otherwise what it is now.
fn newer<T: PartialEq>(came: T, ruled: T, now: T) -> T {
    if ruled == came { now } else { ruled }
}

fn attacked_by_home(at: Situation) -> End {
    if at.offense == Team::Home { at.attacks } else { at.attacks.other() }
}

/// Whether a team took a timeout after the newest play.
fn timeout_since(day: &Day) -> bool {
    let changes = day.standing().filter_map(|(_, stamped)| match &stamped.event {
        Event::Moved { by, .. } => Some(by),
        _ => None,
    });
    let since = changes.rev().take_while(|by| !matches!(by, By::Play(_) | By::Fouls(_)));
    since.into_iter().any(|by| matches!(by, By::Timeout(_)))
}
