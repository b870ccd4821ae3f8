//! A review being held: commands are decided, written, and only then folded and shown.
//!
//! INVARIANT: the review is the fold of what is on the disk. A command that was written before, by its id, is
//! answered with what it wrote then and changes nothing; so a desk that heard no answer asks again.

use crate::Error;
use crate::chain::blob::Blob;
use crate::chain::entry::{Act, Entry, NewEntry};
use crate::chain::hash::Hash;
use crate::chain::label::{Actor, CommandId, ReviewId};
use crate::chain::sign;
use crate::forms;
use crate::forms::Begun;
use crate::store::edition::RuleText;
use crate::store::log::Log;
use crate::store::reader::Reader;
use crate::store::tail::{Attempt, Tail};
use crate::streams::reviews;
use crate::streams::reviews::Unread;
use review::decide::{Command, Desk, decide};
use review::event::{Event, Marked};
use review::fold::{Review, Stamped};
use review::refusal::Refusal;

/// One review. The log that it is written to is the desk's, and handed in with every act.
#[derive(Debug)]
pub struct Session {
    id: ReviewId,
    actor: Actor,
    rules: RuleText,
    review: Review,
    tail: Tail,
}

/// A mark with a still of its picture.
#[derive(Debug, Clone, PartialEq)]
pub struct Pictured {
    /// The mark, whose shot does not name the still yet.
    pub marked: Marked,
    /// The bytes of the still; what they are is not looked at.
    pub still: Vec<u8>,
}

/// What became of a command.
#[derive(Debug, Clone, PartialEq)]
pub enum Done {
    /// It is written: these are its events.
    Events(Vec<Event>),
    /// It does not fit the review, and nothing was written.
    No(Refusal),
}

/// Why a review cannot be held.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum Fault {
    /// A new review needs a new id.
    #[error("there is a review `{0}` in the log already")]
    Exists(ReviewId),
    /// There is nothing to resume.
    #[error("there is no review `{0}` in the log")]
    NoReview(ReviewId),
    /// A part of it is not for this program to read.
    #[error("the review `{id}` cannot be resumed: entry {seq}: {fault}", seq = unread.seq, fault = unread.fault)]
    Unread {
        /// The review.
        id: ReviewId,
        /// What cannot be read.
        unread: Unread,
    },
    /// The log does not have the rules of the review.
    #[error("the log does not hold the rules that the review `{0}` began with")]
    NoRules(ReviewId),
    /// A review is held under one edition from beginning to end.
    #[error("the review is held under the edition {held}, not under {given}")]
    OtherEdition {
        /// The review's.
        held: String,
        /// The book's that was given.
        given: String,
    },
    /// The name of a command is that of one in another review.
    #[error("the command `{0}` was given before, and not in this review")]
    OtherCommand(CommandId),
}

impl Session {
    /// A name for a new review, drawn at random so that reviews of several logs are told apart.
    ///
    /// # Errors
    /// [`Error`] if the system has no randomness.
    pub fn new_id() -> Result<ReviewId, Error> {
        let mut drawn = [0; 8];
        getrandom::fill(&mut drawn).map_err(|e| sign::Fault::NoRandomness(e.to_string()))?;
        let hex: String = drawn.iter().map(|byte| format!("{byte:02x}")).collect();
        Ok(ReviewId::new(format!("r-{hex}"))?)
    }

    /// A new review, held by `actor` under `rules`. Nothing is written before its first event.
    ///
    /// # Errors
    /// [`Error`] if the log has such a review already, or cannot be read.
    pub fn start(log: &Log, id: ReviewId, actor: Actor, rules: RuleText) -> Result<Session, Error> {
        let tail = Tail::of(log.reader())?;
        if reviews::one(log.reader(), &id)?.is_some() {
            return Err(Error::Session(Fault::Exists(id)));
        }
        Ok(Session { id, actor, rules, review: Review::default(), tail })
    }

    /// A review that was begun, as it was left, under the rules that it began with.
    ///
    /// # Errors
    /// [`Error`] if there is none, or it or its rules cannot be read.
    pub fn resume(log: &Log, id: ReviewId, actor: Actor) -> Result<Session, Error> {
        let tail = Tail::of(log.reader())?;
        let Some(held) = reviews::one(log.reader(), &id)? else {
            return Err(Error::Session(Fault::NoReview(id)));
        };
        if let Some(unread) = held.unread {
            return Err(Error::Session(Fault::Unread { id, unread }));
        }
        let rules = match &held.begun {
            Some(begun) => reviews::rules(log.reader(), begun)?,
            None => None,
        };
        let Some(rules) = rules else { return Err(Error::Session(Fault::NoRules(id))) };
        let review = held.review();
        Ok(Session { id, actor, rules, review, tail })
    }

    /// The review as it stands on the disk.
    pub fn review(&self) -> &Review {
        &self.review
    }

    /// Its id.
    pub fn id(&self) -> &ReviewId {
        &self.id
    }

    /// The rules that it is held under.
    pub fn rules(&self) -> &RuleText {
        &self.rules
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
        self.act_with(log, desk, attempt, (command, None))
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
        self.act_with(log, desk, attempt, (Command::Mark(marked), Some(still)))
    }

    fn act_with(
        &mut self,
        log: &mut Log,
        desk: Desk<'_>,
        attempt: &Attempt,
        (command, still): (Command, Option<Blob>),
    ) -> Result<Done, Error> {
        let (held, given) = (self.rules.edition(), desk.book.edition);
        if held != given {
            let (held, given) = (held.to_string(), given.to_string());
            return Err(Error::Session(Fault::OtherEdition { held, given }));
        }
        self.catch_up(log.reader())?;
        let Attempt { command: id, at } = attempt;
        let written = log.written(id)?;
        if !written.is_empty() {
            return self.again(log.reader(), id, &written);
        }
        let events = match decide(desk, &self.review, command, at) {
            Ok(events) => events,
            Err(no) => return Ok(Done::No(no)),
        };
        let act = Act { actor: self.actor.clone(), review: Some(self.id.clone()), at: at.clone() };
        let mut new = self.beginning(log.reader(), &act)?;
        for (number, event) in (self.review.events().len() as u64..).zip(&events) {
            new.push(forms::entry_with(act.clone(), event, still.as_ref())?.numbered(number));
        }
        let appended = log.append(self.tail.head, id, &new)?;
        self.tail.seen(&appended.entries);
        for event in &events {
            self.review.apply(Stamped { at: at.clone(), event: event.clone() });
        }
        Ok(Done::Events(events))
    }

    /// What stands before the first event: the rules, unless the log has them, and that the review begins.
    fn beginning(&self, log: &Reader, act: &Act) -> Result<Vec<NewEntry>, Error> {
        let mut new = Vec::new();
        if !self.review.events().is_empty() {
            return Ok(new);
        }
        new.extend(self.rules.unless_stored(log, act)?);
        let begun = Begun { book: self.rules.book().to_owned(), edition: self.rules.edition().to_string() };
        new.push(forms::begun_entry(act.clone(), &begun)?);
        Ok(new)
    }

    /// A command that came before: its events as written, taken in already.
    fn again(&self, log: &Reader, id: &CommandId, written: &[(u64, Hash)]) -> Result<Done, Error> {
        let mut events = Vec::new();
        for entry in Tail::written(log, written)? {
            events.extend(self.event(log, &entry)?.map(|stamped| stamped.event));
        }
        match events.is_empty() {
            true => Err(Error::Session(Fault::OtherCommand(id.clone()))),
            false => Ok(Done::Events(events)),
        }
    }

    /// The event of an entry, if it is one of this review.
    fn event(&self, log: &Reader, entry: &Entry) -> Result<Option<Stamped>, Error> {
        match entry.act.review.as_ref() == Some(&self.id) {
            true => forms::event(log, entry),
            false => Ok(None),
        }
    }

    /// Takes in what was written since by others, this review's own events among it.
    fn catch_up(&mut self, log: &Reader) -> Result<(), Error> {
        let mut new = Vec::new();
        let mut tail = self.tail;
        tail.catch_up(log, |stored| {
            new.extend(self.event(log, &stored.entry()?)?);
            Ok(())
        })?;
        self.tail = tail;
        new.into_iter().for_each(|stamped| self.review.apply(stamped));
        Ok(())
    }
}
