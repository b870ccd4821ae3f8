//! A game's day being held: commands are decided, written, and only then folded and shown.
//!
//! The same rules as for a review (`session.rs`), over the same log: the day is the fold of what is on the disk,
//! and a command that was written before is answered with what it wrote then.

use crate::Error;
use crate::chain::entry::{Act, Entry};
use crate::chain::hash::Hash;
use crate::chain::label::{Actor, CommandId};
use crate::forms;
use crate::store::edition::RuleText;
use crate::store::log::Log;
use crate::store::reader::Reader;
use crate::store::tail::{Attempt, Tail};
use crate::streams::days;
use crate::streams::reviews;
use crate::streams::reviews::Unread;
use review::day::decide::decide;
use review::day::fold::Day;
use review::day::{Command, Event, Stamped};
use review::refusal::Refusal;
use rules::book::Book;

/// One game's day. The log that it is written to is the desk's, and handed in with every act.
#[derive(Debug)]
pub struct DaySession {
    /// None before the game is opened.
    game: Option<String>,
    actor: Actor,
    rules: RuleText,
    day: Day,
    tail: Tail,
}

/// What became of a command.
#[derive(Debug, Clone, PartialEq)]
pub enum Done {
    /// It is written: these are its events.
    Events(Vec<Event>),
    /// It does not fit the day, and nothing was written.
    No(Refusal),
}

/// Why a day cannot be held.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum Fault {
    /// A new game needs a new id.
    #[error("there is a game `{0}` in the log already")]
    Exists(String),
    /// There is nothing to resume.
    #[error("there is no game `{0}` in the log")]
    NoGame(String),
    /// A part of it is not for this program to read.
    #[error("the game `{game}` cannot be resumed: entry {seq}: {fault}", seq = unread.seq, fault = unread.fault)]
    Unread {
        /// The game.
        game: String,
        /// What cannot be read.
        unread: Unread,
    },
    /// The log does not have the rules of the game.
    #[error("the log does not hold the rules that the game `{0}` was opened under")]
    NoRules(String),
    /// A game is held under one edition from beginning to end.
    #[error("the game is held under the edition {held}, not under {given}")]
    OtherEdition {
        /// The game's.
        held: String,
        /// The book's that was given.
        given: String,
    },
    /// The name of a command is that of one elsewhere.
    #[error("the command `{0}` was given before, and not in this game")]
    OtherCommand(CommandId),
}

impl DaySession {
    /// A new game, held by `actor` under `rules`. Nothing is written before it is opened with its card.
    ///
    /// # Errors
    /// [`Error`] if the log cannot be read.
    pub fn start(log: &Log, actor: Actor, rules: RuleText) -> Result<DaySession, Error> {
        Ok(DaySession { game: None, actor, rules, day: Day::default(), tail: Tail::of(log.reader())? })
    }

    /// A game that was opened, as it was left, under the rules that it was opened under. [`days::last_open`] names
    /// the one that a desk was killed in.
    ///
    /// # Errors
    /// [`Error`] if there is none, or it or its rules cannot be read.
    pub fn resume(log: &Log, game: &str, actor: Actor) -> Result<DaySession, Error> {
        let tail = Tail::of(log.reader())?;
        let Some(held) = days::one(log.reader(), game)? else {
            return Err(Fault::NoGame(game.to_owned()).into());
        };
        let day = held.day();
        if let Some(unread) = held.unread {
            return Err(Fault::Unread { game: held.game, unread }.into());
        }
        let rules = match &day.opened {
            Some(opened) => reviews::stored_rules(log.reader(), &opened.edition)?,
            None => None,
        };
        let Some(rules) = rules else { return Err(Fault::NoRules(held.game).into()) };
        Ok(DaySession { game: Some(held.game), actor, rules, day, tail })
    }

    /// The day as it stands on the disk.
    pub fn day(&self) -> &Day {
        &self.day
    }

    /// The rules that the game is held under.
    pub fn rules(&self) -> &RuleText {
        &self.rules
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
        let (held, given) = (self.rules.edition(), book.edition);
        if held != given {
            return Err(Fault::OtherEdition { held: held.to_string(), given: given.to_string() }.into());
        }
        self.catch_up(log.reader())?;
        let Attempt { command: id, at } = attempt;
        let written = log.written(id)?;
        if !written.is_empty() {
            return self.again(log.reader(), id, &written);
        }
        let events = match decide(book, &self.day, command) {
            Ok(events) => events,
            Err(no) => return Ok(Done::No(no)),
        };
        let act = Act { actor: self.actor.clone(), review: None, at: at.clone() };
        let mut new = Vec::new();
        if let Some(game) = opened(&events) {
            if days::one(log.reader(), game)?.is_some() {
                return Err(Fault::Exists(game.to_owned()).into());
            }
            new.extend(self.rules.unless_stored(log.reader(), &act)?);
        }
        // INVARIANT: `decide` lets nothing through before the game is opened.
        let game = opened(&events).or(self.game.as_deref()).unwrap_or("").to_owned();
        for event in &events {
            new.push(forms::day::entry(act.clone(), &game, event)?);
        }
        let appended = log.append(self.tail.head, id, &new)?;
        self.tail.seen(&appended.entries);
        self.game = Some(game);
        for event in &events {
            self.day.apply(Stamped { at: at.clone(), event: event.clone() });
        }
        Ok(Done::Events(events))
    }

    /// A command that came before: its events as written, taken in already.
    fn again(&mut self, log: &Reader, id: &CommandId, written: &[(u64, Hash)]) -> Result<Done, Error> {
        let entries = Tail::written(log, written)?;
        if self.game.is_none() {
            self.found_open(log, &entries)?;
        }
        let mut events = Vec::new();
        for entry in &entries {
            events.extend(self.event(log, entry)?.map(|stamped| stamped.event));
        }
        match events.is_empty() {
            true => Err(Fault::OtherCommand(id.clone()).into()),
            false => Ok(Done::Events(events)),
        }
    }

    /// The desk was killed before it heard that its game is open: goes on with that game.
    fn found_open(&mut self, log: &Reader, entries: &[Entry]) -> Result<(), Error> {
        for entry in entries {
            if let Some((game, Stamped { event: Event::Opened(_), .. })) = forms::day::event(log, entry)?
                && let Some(held) = days::one(log, &game)?
            {
                (self.game, self.day) = (Some(game), held.day());
            }
        }
        Ok(())
    }

    /// The event of an entry, if it is one of this day.
    fn event(&self, log: &Reader, entry: &Entry) -> Result<Option<Stamped>, Error> {
        if self.game.is_none() || forms::day::game(entry) != self.game.as_deref() {
            return Ok(None);
        }
        Ok(forms::day::event(log, entry)?.map(|(_, stamped)| stamped))
    }

    /// Takes in what was written since by others, this day's own events among it.
    fn catch_up(&mut self, log: &Reader) -> Result<(), Error> {
        let mut new = Vec::new();
        let mut tail = self.tail;
        tail.catch_up(log, |stored| {
            if let Some(entry) = days::of_a_day(stored)? {
                new.extend(self.event(log, &entry)?);
            }
            Ok(())
        })?;
        self.tail = tail;
        new.into_iter().for_each(|stamped| self.day.apply(stamped));
        Ok(())
    }
}

/// The game that these events open.
fn opened(events: &[Event]) -> Option<&str> {
    events.iter().find_map(|event| match event {
        Event::Opened(opened) => Some(opened.card.game.as_str()),
        Event::Checked { .. }
        | Event::Moved { .. }
        | Event::Undone { .. }
        | Event::Looked { .. }
        | Event::ReviewBegan { .. }
        | Event::ReviewEnded { .. }
        | Event::OutOfService { .. }
        | Event::BackInService { .. }
        | Event::Closed
        | Event::Reopened { .. } => None,
    })
}
