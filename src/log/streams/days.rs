//! The games of a log: what was done in each outside its reviews, in order.

use super::{held, session};
use crate::Error;
use crate::chain::edition::RuleText;
use crate::chain::label::Actor;
use crate::store::log::Log;
use crate::store::reader::Reader;
use crate::streams::session::Attempt;
use review::day::decide::decide;
use review::day::fold::{Day, Phase};
use review::day::{Command, Event};
use rules::book::Book;

/// A game as it lies in the log.
pub type Held = held::Held<Event>;
/// A game's day being held.
pub type DaySession = session::Session<Event>;
/// What became of a command.
pub type Done = session::Done<Event>;

impl Held {
    /// The state that the events leave.
    pub fn day(&self) -> Day {
        self.state()
    }
}

/// The newest game that is not closed, for a desk that was shut or killed in one.
///
/// # Errors
/// [`Error`] if the log cannot be read.
pub fn last_open(log: &Reader) -> Result<Option<Held>, Error> {
    Ok(Held::all(log)?
        .into_iter()
        .rev()
        .find(|held| held.unread.is_none() && held.day().phase == Phase::Open))
}

impl DaySession {
    /// A new game, held by `actor` under `rules`. Nothing is written before it is opened with its card, which names it.
    ///
    /// # Errors
    /// [`Error`] if the log cannot be read.
    pub fn start(log: &Log, actor: Actor, rules: RuleText) -> Result<DaySession, Error> {
        DaySession::unbegun(log, None, actor, Some(rules))
    }

    /// The day as it stands on the disk.
    pub fn day(&self) -> &Day {
        self.state()
    }

    /// Decides a command, writes what it comes to, and takes that in.
    ///
    /// # Errors
    /// [`Error`] if nothing could be written; the day is as before.
    pub fn act(
        &mut self,
        log: &mut Log,
        book: &Book,
        attempt: &Attempt,
        command: Command,
    ) -> Result<Done, Error> {
        self.under(book.edition)?;
        self.act_on(log, attempt, None, |day| decide(book, day, command))
    }
}
