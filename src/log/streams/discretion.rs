//! A referee's own ruling being held: commands are decided, written, and only then folded and shown.
//!
//! The same rules as for a review (`session.rs`), over the same log.

use crate::Error;
use crate::chain::entry::Act;
use crate::chain::label::{Actor, CommandId};
use crate::chain::sign;
use crate::forms::discretion as record;
use crate::store::log::Log;
use crate::store::tail::{Attempt, Tail};
use crate::streams::discretions;
use crate::streams::reviews::Unread;
use review::discretion::decide::decide;
use review::discretion::fold::Discretion;
use review::discretion::{Command, Event, Stamped};
use review::refusal::Refusal;
use rules::book::Book;

/// One ruling. The log that it is written to is the desk's, and handed in with every act.
#[derive(Debug)]
pub struct DiscretionSession {
    id: String,
    actor: Actor,
    ruling: Discretion,
    tail: Tail,
}

/// What became of a command.
#[derive(Debug, Clone, PartialEq)]
pub enum Done {
    /// It is written: these are its events.
    Events(Vec<Event>),
    /// It does not fit the ruling, and nothing was written.
    No(Refusal),
}

/// Why a ruling cannot be held.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum Fault {
    /// A part of it is not for this program to read.
    #[error("the ruling `{id}` cannot be resumed: entry {seq}: {fault}", seq = unread.seq, fault = unread.fault)]
    Unread {
        /// The ruling.
        id: String,
        /// What cannot be read.
        unread: Unread,
    },
    /// A ruling is held under one edition from beginning to end.
    #[error("the ruling is held under the edition {held}, not under {given}")]
    OtherEdition {
        /// The ruling's.
        held: String,
        /// The book's that was given.
        given: String,
    },
    /// The name of a command is that of one elsewhere.
    #[error("the command `{0}` was given before, and not in this ruling")]
    OtherCommand(CommandId),
}

impl DiscretionSession {
    /// A new ruling by `actor`. Nothing is written before it is opened.
    ///
    /// # Errors
    /// [`Error`] if the log cannot be read, or the system has no randomness for the id.
    pub fn start(log: &Log, actor: Actor) -> Result<DiscretionSession, Error> {
        let mut drawn = [0; 8];
        getrandom::fill(&mut drawn).map_err(|e| sign::Fault::NoRandomness(e.to_string()))?;
        let hex: String = drawn.iter().map(|byte| format!("{byte:02x}")).collect();
        DiscretionSession::named(log, format!("d-{hex}"), actor)
    }

    /// The ruling of this id: as it was left, or a new one where the log has none.
    ///
    /// # Errors
    /// [`Error`] if the log cannot be read, or the ruling in it cannot.
    pub fn named(log: &Log, id: String, actor: Actor) -> Result<DiscretionSession, Error> {
        let tail = Tail::of(log.reader())?;
        let ruling = match discretions::one(log.reader(), &id)? {
            None => Discretion::default(),
            Some(held) => match &held.unread {
                Some(unread) => return Err(Fault::Unread { id, unread: unread.clone() }.into()),
                None => held.ruling(),
            },
        };
        Ok(DiscretionSession { id, actor, ruling, tail })
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
        let left = discretions::all(log.reader())?.into_iter().rev().find(|held| {
            let ruling = held.ruling();
            let Some(opened) = &ruling.opened else { return false };
            let signed = ruling.signed.is_some() && review.is_some() && opened.review.as_deref() == review;
            held.unread.is_none() && opened.game == game && (!ruling.is_over() || signed)
        });
        left.map(|held| DiscretionSession::named(log, held.id, actor)).transpose()
    }

    /// Its id.
    pub fn id(&self) -> &str {
        &self.id
    }

    /// The ruling as it stands on the disk.
    pub fn ruling(&self) -> &Discretion {
        &self.ruling
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
        let held = self.ruling.opened.as_ref().map(|opened| opened.edition.clone());
        let given = book.edition.to_string();
        if let Some(held) = held.filter(|held| *held != given) {
            return Err(Fault::OtherEdition { held, given }.into());
        }
        self.catch_up(log)?;
        let Attempt { command: id, at } = attempt;
        let written = log.written(id)?;
        if !written.is_empty() {
            let mut events = Vec::new();
            for entry in Tail::written(log.reader(), &written)? {
                let event = record::event(log.reader(), &entry)?.filter(|(ruling, _)| *ruling == self.id);
                events.extend(event.map(|(_, stamped)| stamped.event));
            }
            return match events.is_empty() {
                true => Err(Fault::OtherCommand(id.clone()).into()),
                false => Ok(Done::Events(events)),
            };
        }
        let events = match decide(book, &self.ruling, command) {
            Ok(events) => events,
            Err(no) => return Ok(Done::No(no)),
        };
        let act = Act { actor: self.actor.clone(), review: None, at: at.clone() };
        let new = events.iter().map(|event| record::entry(act.clone(), &self.id, event));
        let new = new.collect::<Result<Vec<_>, Error>>()?;
        let appended = log.append(self.tail.head, id, &new)?;
        self.tail.seen(&appended.entries);
        for event in &events {
            self.ruling.apply(Stamped { at: at.clone(), event: event.clone() });
        }
        Ok(Done::Events(events))
    }

    /// Takes in what was written since by others, this ruling's own events among it.
    fn catch_up(&mut self, log: &Log) -> Result<(), Error> {
        let mut new = Vec::new();
        let mut tail = self.tail;
        let id = &self.id;
        tail.catch_up(log.reader(), |stored| {
            if let Some(entry) = discretions::of_kind(stored, record::OF_DISCRETION)? {
                let event = record::event(log.reader(), &entry)?.filter(|(ruling, _)| ruling == id);
                new.extend(event.map(|(_, stamped)| stamped));
            }
            Ok(())
        })?;
        self.tail = tail;
        new.into_iter().for_each(|stamped| self.ruling.apply(stamped));
        Ok(())
    }
}
