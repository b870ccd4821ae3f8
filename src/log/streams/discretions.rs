//! The referee's own rulings of a log, in order.

use super::{held, session};
use crate::Error;
use crate::chain::label::Actor;
use crate::store::log::Log;
use crate::streams::session::Attempt;
use review::discretion::decide::decide;
use review::discretion::fold::Discretion;
use review::discretion::{Command, Event};
use rules::book::Book;

/// A referee's own ruling as it lies in the log.
pub type Held = held::Held<Event>;
/// A referee's own ruling being held.
pub type DiscretionSession = session::Session<Event>;
/// What became of a command.
pub type Done = session::Done<Event>;

impl Held {
    /// The state that the events leave.
    pub fn ruling(&self) -> Discretion {
        self.state()
    }
}

impl DiscretionSession {
    /// A new ruling by `actor`. Nothing is written before it is opened.
    ///
    /// # Errors
    /// [`Error`] if the log cannot be read, or the system has no randomness for the id.
    pub fn start(log: &Log, actor: Actor) -> Result<DiscretionSession, Error> {
        DiscretionSession::named(log, session::drawn_id("d")?, actor)
    }

    /// The newest ruling of this game that is not over, or that was signed about this review; none where there is
    /// none.
    ///
    /// # Errors
    /// [`Error`] if the log cannot be read.
    pub fn left(
        log: &Log,
        game: &str,
        review: Option<&str>,
        actor: Actor,
    ) -> Result<Option<DiscretionSession>, Error> {
        let left = Held::all(log.reader())?.into_iter().rev().find(|held| {
            let ruling = held.ruling();
            let Some(opened) = &ruling.opened else { return false };
            let signed = ruling.signed.is_some() && review.is_some() && opened.review.as_deref() == review;
            held.unread.is_none() && opened.game == game && (!ruling.is_over() || signed)
        });
        left.map(|held| DiscretionSession::named(log, held.id, actor)).transpose()
    }

    /// The ruling as it stands on the disk.
    pub fn ruling(&self) -> &Discretion {
        self.state()
    }

    /// Decides a command, writes what it comes to, and takes that in.
    ///
    /// # Errors
    /// [`Error`] if nothing could be written; the ruling is as before.
    pub fn act(
        &mut self,
        log: &mut Log,
        book: &Book,
        attempt: &Attempt,
        command: Command,
    ) -> Result<Done, Error> {
        self.under(book.edition)?;
        self.act_on(log, attempt, None, |ruling| decide(book, ruling, command))
    }
}
