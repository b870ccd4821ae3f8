//! Time after a ruling: what runs off when a ruling is changed late in a half, and the timeout that saves it.
//!
//! A review stops the clock. Where the right ruling would have let it run, the seconds that the crew would have
//! needed run off; a team that takes a timeout keeps them.

use super::account;
use super::apply::Restart;
use super::ledger::{Cause, record};
use super::situation::{ClockStart, Team};
use crate::book::Book;
use crate::book::replay::Price;

/// The restart with its run-off, if one is due, and with the timeout that a team takes at once.
pub fn after_ruling(book: &Book, restart: &mut Restart, changed: bool, timeout: Option<Team>) {
    let rule = book.replay.run_off.as_ref();
    let due = rule.filter(|rule| {
        let late = book.game.in_last(rule.last_s, restart.after.period, restart.after.clock_ms);
        changed && late && !restart.clock_stopped
    });
    let can_pay = timeout.filter(|team| *restart.after.timeouts.of(*team) > 0);
    if let Some(team) = can_pay {
        let price = Price { timeout: true, challenge: false };
        restart.after = account::pay(restart.after, team, price);
        restart.wait_for_snap(Cause::Timeout(team));
    } else if let Some(rule) = due {
        let left = restart.after.clock_ms - i64::from(rule.seconds) * 1000;
        restart.after.clock_ms = left.max(0);
        restart.run_off_s = Some(rule.seconds);
        restart.note(Cause::RunOff(rule.seconds));
    }
}

impl Restart {
    /// The clock waits for the snap, if it would have started before.
    pub fn wait_for_snap(&mut self, cause: Cause) {
        if self.clock_starts == Some(ClockStart::Ready) {
            self.clock_starts = Some(ClockStart::Snap);
            self.after.clock_running = false;
        }
        self.note(cause);
    }

    /// Writes down what has just changed the next situation or the clock.
    pub fn note(&mut self, cause: Cause) {
        record(&mut self.ledger.steps, cause, self.after, self.clock_starts);
    }
}
