//! The reviews of a log: what was done in each, in order.

use super::read;
use super::{held, session};
use crate::Error;
use crate::chain::blob::Blob;
use crate::chain::edition::RuleText;
use crate::chain::entry::{Act, NewEntry};
use crate::chain::hash::Hash;
use crate::chain::label::{Actor, ReviewId};
use crate::forms::Begun;
use crate::forms::stored::Stored;
use crate::store::log::Log;
use crate::store::reader::Reader;
use crate::streams::session::Attempt;
use review::decide::{Command, Desk, decide};
use review::event::{Event, Marked};
use review::fold::Review;

/// A review as it lies in the log.
pub type Held = held::Held<Event>;
/// A review being held.
pub type Session = session::Session<Event>;
/// What became of a command.
pub type Done = session::Done<Event>;

/// A mark with a still of its picture.
#[derive(Debug, Clone, PartialEq)]
pub struct Pictured {
    /// The mark, whose shot does not name the still yet.
    pub marked: Marked,
    /// The bytes of the still; what they are is not looked at.
    pub still: Vec<u8>,
}

impl Held {
    /// The state that the events leave.
    pub fn review(&self) -> Review {
        self.state()
    }
}

/// The reviews that are not over, for a desk that was closed or killed in one.
///
/// # Errors
/// [`Error`] if the log cannot be read.
pub fn unfinished(log: &Reader) -> Result<Vec<Held>, Error> {
    Ok(Held::all(log)?.into_iter().filter(|held| held.unread.is_none() && !held.review().is_over()).collect())
}

/// The rules that a review is held under, as stored; none where the log does not have them.
///
/// # Errors
/// [`Error`] if the log cannot be read.
pub fn rules(log: &Reader, begun: &Begun) -> Result<Option<RuleText>, Error> {
    read::rules(log, &begun.edition)
}

/// The entries that erase a text of a review, every copy of it. A ruling repeats the reasons of its overrides, each
/// under a salt of its own; whoever erases one erases them all.
///
/// # Errors
/// [`Error`] if the log cannot be read.
pub fn erasure(log: &Reader, act: &Act, text: &str) -> Result<Vec<NewEntry>, Error> {
    let Some(id) = &act.review else { return Ok(Vec::new()) };
    let mut copies: Vec<Hash> = Vec::new();
    log.each_of::<Error>(&log.entries_of(&Event::KINDS, id.as_str())?, |stored| {
        for hash in stored.entry()?.blobs {
            if log.blob(&hash)?.is_some_and(|blob| blob.bytes() == text.as_bytes()) {
                copies.push(hash);
            }
        }
        Ok(())
    })?;
    copies.into_iter().map(|hash| Ok(NewEntry::erased(act.clone(), hash)?)).collect()
}

impl Session {
    /// A name for a new review, drawn at random so that reviews of several logs are told apart.
    ///
    /// # Errors
    /// [`Error`] if the system has no randomness.
    pub fn new_id() -> Result<ReviewId, Error> {
        Ok(ReviewId::new(session::drawn_id("r")?)?)
    }

    /// A new review, held by `actor` under `rules`. Nothing is written before its first event.
    ///
    /// # Errors
    /// [`Error`] if the log has such a review already, or cannot be read.
    pub fn start(log: &Log, id: ReviewId, actor: Actor, rules: RuleText) -> Result<Session, Error> {
        Session::unbegun(log, Some(id.to_string()), actor, Some(rules))
    }

    /// The review as it stands on the disk.
    pub fn review(&self) -> &Review {
        self.state()
    }

    /// Decides a command, writes what it comes to, and takes that in.
    ///
    /// # Errors
    /// [`Error`] if nothing could be written; the review is as before.
    pub fn act(
        &mut self,
        log: &mut Log,
        desk: Desk<'_>,
        attempt: &Attempt,
        command: Command,
    ) -> Result<Done, Error> {
        self.under(desk.book.edition)?;
        self.act_on(log, attempt, None, |review| decide(desk, review, command, &attempt.at))
    }

    /// Marks, and keeps the still beside the chain: its salted hash stands in the mark. A mark without a shot has
    /// nothing that a still could be of, and is written without.
    ///
    /// # Errors
    /// [`Error`] if nothing could be written; the review is as before.
    pub fn mark(
        &mut self,
        log: &mut Log,
        desk: Desk<'_>,
        attempt: &Attempt,
        pictured: Pictured,
    ) -> Result<Done, Error> {
        let Pictured { mut marked, still } = pictured;
        let Some(shot) = &mut marked.shot else { return self.act(log, desk, attempt, Command::Mark(marked)) };
        let still = Blob::new(still)?;
        shot.still = Some(still.hash().to_string());
        self.under(desk.book.edition)?;
        self.act_on(log, attempt, Some(still), |review| {
            decide(desk, review, Command::Mark(marked), &attempt.at)
        })
    }
}
