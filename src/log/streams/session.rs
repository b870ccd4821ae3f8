//! A stream being held: commands are decided, written, and only then folded and shown.
//!
//! INVARIANT: the state is the fold of what is on the disk. Before it decides, a session reads on, so that what another
//! session of the same desk wrote in between is known, and the entry that it appends after is the log's newest. A
//! command that was written before, by its id, is answered with what it wrote then and changes nothing; so a desk that
//! heard no answer asks again.

use super::held;
use super::held::{Held, Unread};
use super::read;
use crate::Error;
use crate::chain::blob::Blob;
use crate::chain::edition::RuleText;
use crate::chain::entry::{Act, NewEntry};
use crate::chain::hash::Hash;
use crate::chain::label::{Actor, CommandId, ReviewId};
use crate::chain::sign;
use crate::chain::tip::Tip;
use crate::forms;
use crate::forms::stored::{Owner, Stored};
use crate::store::log::Log;
use crate::store::reader::Reader;
use review::refusal::Refusal;
use review::stamp::Stamp;

/// One review, game, ruling and so on. The log that it is written to is the desk's, and handed in with every act.
#[derive(Debug)]
pub struct Session<E: Stored> {
    /// None before the event that names it.
    id: Option<String>,
    actor: Actor,
    /// The rules that it is held under, where the log keeps them for it.
    rules: Option<RuleText>,
    state: E::State,
    count: u64,
    /// Where the log ended when it was last read.
    read: Tip,
}

/// One attempt to do something: done twice, it is one.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Attempt {
    pub command: CommandId,
    pub at: Stamp,
}

/// What became of a command.
#[derive(Debug, Clone, PartialEq)]
pub enum Done<E> {
    Events(Vec<E>),
    No(Refusal),
}

/// Why something cannot be held. `what` is a review, a game, a ruling and so on.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum SessionError {
    #[error("there is a {what} `{id}` in the log already")]
    Exists { what: &'static str, id: String },
    #[error("there is no {what} `{id}` in the log")]
    Missing { what: &'static str, id: String },
    /// A part of it is not for this program to read.
    #[error("the {what} `{id}` cannot be resumed: entry {seq}: {fault}", seq = unread.seq, fault = unread.fault)]
    Unread { what: &'static str, id: String, unread: Unread },
    #[error("the log does not hold the rules that the {what} `{id}` {}", began(what))]
    NoRules { what: &'static str, id: String },
    /// It is held under one edition from beginning to end.
    #[error("the {what} is held under the edition {held}, not under {given}")]
    OtherEdition { what: &'static str, held: String, given: String },
    /// The name of a command is that of one elsewhere.
    #[error("the command `{command}` was given before, and not in this {what}")]
    OtherCommand { what: &'static str, command: CommandId },
}

const REVIEW: &str = "review";

fn began(what: &str) -> &'static str {
    if what == REVIEW { "began with" } else { "was opened under" }
}

impl SessionError {
    pub(crate) fn help(&self) -> &'static str {
        match self {
            SessionError::Exists { what: REVIEW, .. } => {
                "give the new review another id, or resume the old one"
            }
            SessionError::Exists { .. } => "resume it, or give the new game another id",
            SessionError::Missing { what: REVIEW, .. } => "`tellframe log show` lists the reviews",
            SessionError::Missing { .. } => "open the game with its card",
            SessionError::Unread { .. } => "use the newer tellframe that wrote it",
            SessionError::NoRules { .. } => "`tellframe log verify` says what is missing",
            SessionError::OtherEdition { what: REVIEW, .. } => {
                "end the review under its own edition; the new one holds from the next review on"
            }
            SessionError::OtherEdition { what: "game", .. } => {
                "a game is held under one edition; load the book that it was opened under"
            }
            SessionError::OtherEdition { .. } => {
                "a ruling is held under one edition; load the book that it was opened under"
            }
            SessionError::OtherCommand { .. } => "give every attempt a name of its own",
        }
    }
}

/// An id drawn at random, so that those of several logs are told apart.
pub(super) fn drawn_id(prefix: &str) -> Result<String, Error> {
    let mut drawn = [0; 8];
    getrandom::fill(&mut drawn).map_err(|e| sign::KeyError::NoRandomness(e.to_string()))?;
    let hex: String = drawn.iter().map(|byte| format!("{byte:02x}")).collect();
    Ok(format!("{prefix}-{hex}"))
}

/// What was left, and the edition that its first entry names.
type Left<E> = (Session<E>, Option<String>);

impl<E: Stored> Session<E> {
    const WHAT: &'static str = E::KINDS.noun;

    /// Something new, held by `actor`. Nothing is written before its first event.
    pub(super) fn unbegun(
        log: &Log,
        id: Option<String>,
        actor: Actor,
        rules: Option<RuleText>,
    ) -> Result<Session<E>, Error> {
        let read = log.reader().tip()?;
        match &id {
            Some(id) if Held::<E>::one(log.reader(), id)?.is_some() => {
                Err(SessionError::Exists { what: Self::WHAT, id: id.clone() }.into())
            }
            Some(_) | None => Ok(Session { id, actor, rules, state: E::State::default(), count: 0, read }),
        }
    }

    /// What the log holds under this id, as it was left, or something new where it holds nothing.
    ///
    /// # Errors
    /// [`Error`] if the log cannot be read, or what it holds under the id cannot.
    pub fn named(log: &Log, id: String, actor: Actor) -> Result<Session<E>, Error> {
        match Session::left_of(log, &id, actor.clone())? {
            Some((session, _)) => Ok(session),
            None => Session::unbegun(log, Some(id), actor, None),
        }
    }

    /// What was begun, as it was left, under the rules that it was begun under.
    ///
    /// # Errors
    /// [`Error`] if there is none, or it or its rules cannot be read.
    pub fn resume(log: &Log, id: impl AsRef<str>, actor: Actor) -> Result<Session<E>, Error> {
        let (what, id) = (Self::WHAT, id.as_ref().to_owned());
        let Some((mut session, begun)) = Session::left_of(log, &id, actor)? else {
            return Err(SessionError::Missing { what, id }.into());
        };
        let edition = begun.as_deref().or_else(|| E::edition(&session.state));
        session.rules = match edition {
            Some(edition) => read::rules(log.reader(), edition)?,
            None => None,
        };
        match session.rules {
            Some(_) => Ok(session),
            None => Err(SessionError::NoRules { what, id }.into()),
        }
    }

    fn left_of(log: &Log, id: &str, actor: Actor) -> Result<Option<Left<E>>, Error> {
        let read = log.reader().tip()?;
        let Some(held) = Held::<E>::one(log.reader(), id)? else { return Ok(None) };
        let state = held.state();
        if let Some(unread) = held.unread {
            return Err(SessionError::Unread { what: Self::WHAT, id: held.id, unread }.into());
        }
        let count = held.events.len() as u64;
        let session = Session { id: Some(held.id), actor, rules: None, state, count, read };
        Ok(Some((session, held.begun.map(|begun| begun.edition))))
    }

    /// Its id; empty before the event that names it.
    pub fn id(&self) -> &str {
        self.id.as_deref().unwrap_or("")
    }

    /// The state as it stands on the disk.
    pub fn state(&self) -> &E::State {
        &self.state
    }

    /// What comes from now on is done by this actor.
    pub fn handed_to(&mut self, actor: Actor) {
        self.actor = actor;
    }

    /// The rules that it is held under, where the log keeps them for it.
    pub fn rules(&self) -> Option<&RuleText> {
        self.rules.as_ref()
    }

    /// Refuses a book of another edition than the one that this is held under.
    pub(super) fn under(&self, given: impl ToString) -> Result<(), Error> {
        let own = self.rules.as_ref().map(|rules| rules.edition().to_string());
        let given = given.to_string();
        match own.or_else(|| E::edition(&self.state).map(str::to_owned)).filter(|held| *held != given) {
            Some(held) => Err(SessionError::OtherEdition { what: Self::WHAT, held, given }.into()),
            None => Ok(()),
        }
    }

    /// Decides on the state, writes what that comes to, and takes it in. `still` lies beside the chain for the event
    /// that names it.
    ///
    /// # Errors
    /// [`Error`] if nothing could be written; the state is as before.
    pub(super) fn act_on(
        &mut self,
        log: &mut Log,
        attempt: &Attempt,
        still: Option<Blob>,
        decide: impl FnOnce(&E::State) -> Result<Vec<E>, Refusal>,
    ) -> Result<Done<E>, Error> {
        self.catch_up(log.reader())?;
        let Attempt { command, at } = attempt;
        let written = log.written(command)?;
        if !written.is_empty() {
            return self.again(log.reader(), command, &written);
        }
        let events = match decide(&self.state) {
            Ok(events) => events,
            Err(no) => return Ok(Done::No(no)),
        };
        let id = match &self.id {
            Some(id) => id.clone(),
            None => given_by(log.reader(), &events)?,
        };
        let act = act::<E>(&self.actor, at, &id)?;
        let mut new = self.beginning(log.reader(), &act)?;
        for (number, event) in (self.count..).zip(&events) {
            new.push(forms::entry_of(act.clone(), (&id, number), event, still.as_ref())?);
        }
        let appended = log.append(self.read.head, command, &new)?;
        if let Some((entries, head)) = appended.entries.last() {
            self.read = Tip { entries: *entries, head: *head };
        }
        self.id = Some(id);
        for event in &events {
            self.take(event.clone().stamped(&act));
        }
        Ok(Done::Events(events))
    }

    /// What stands before the first event: the rules, unless the log has them, and that a review begins.
    fn beginning(&self, log: &Reader, act: &Act) -> Result<Vec<NewEntry>, Error> {
        let mut new = Vec::new();
        if let Some(rules) = self.rules.as_ref().filter(|_| self.count == 0) {
            if log.edition(&rules.hash())?.is_none() {
                let of_the_log = Act { review: None, ..act.clone() };
                new.push(NewEntry::edition_stored(of_the_log, rules)?);
            }
            if E::KINDS.owner == Owner::Review {
                new.push(forms::begun_entry(act.clone(), &forms::Begun::under(rules))?);
            }
        }
        Ok(new)
    }

    /// A command that came before: its events as written, taken in already.
    fn again(
        &mut self,
        log: &Reader,
        command: &CommandId,
        written: &[(u64, Hash)],
    ) -> Result<Done<E>, Error> {
        let mut events = Vec::new();
        for (seq, _) in written {
            let Some((id, event)) = read::read_of::<E>(log, &log.entry(*seq)?)? else { continue };
            // The desk was killed before it heard that its game is open: it goes on with that game.
            if self.id.is_none()
                && event.begins().is_some()
                && let Some(held) = Held::<E>::one(log, &id)?
            {
                (self.state, self.count) = (held.state(), held.events.len() as u64);
                self.id = Some(held.id);
            }
            events.extend((self.id.as_deref() == Some(&*id)).then_some(event));
        }
        match events.is_empty() {
            true => Err(SessionError::OtherCommand { what: Self::WHAT, command: command.clone() }.into()),
            false => Ok(Done::Events(events)),
        }
    }

    /// Takes in what was written since by others, its own events among it.
    fn catch_up(&mut self, log: &Reader) -> Result<(), Error> {
        let tip = log.tip()?;
        if tip == self.read {
            return Ok(());
        }
        held::not_newer::<E>(log, self.read.entries)?;
        let entries = match &self.id {
            Some(id) => log.entries_of(&E::KINDS, id)?,
            None => Vec::new(),
        };
        let known = entries.partition_point(|seq| *seq <= self.read.entries);
        let mut new = Vec::new();
        log.each_of::<Error>(entries.get(known..).unwrap_or(&[]), |stored| {
            new.extend(read::event_of::<E>(log, &stored.entry()?)?.map(|(_, stamped)| stamped));
            Ok(())
        })?;
        self.read = tip;
        new.into_iter().for_each(|stamped| self.take(stamped));
        Ok(())
    }

    fn take(&mut self, stamped: E::Stamped) {
        E::apply(&mut self.state, self.id.as_deref().unwrap_or(""), stamped);
        self.count += 1;
    }
}

/// The id that the first event gives, which must be new. Nothing is let through before that event.
fn given_by<E: Stored>(log: &Reader, events: &[E]) -> Result<String, Error> {
    let Some(id) = events.iter().find_map(E::begins) else { return Ok(String::new()) };
    match log.entries_of(&E::KINDS, id)?.is_empty() {
        true => Ok(id.to_owned()),
        false => Err(SessionError::Exists { what: E::KINDS.noun, id: id.to_owned() }.into()),
    }
}

/// Who acts, and when, in what has this id.
fn act<E: Stored>(actor: &Actor, at: &Stamp, id: &str) -> Result<Act, Error> {
    let review = match E::KINDS.owner {
        Owner::Review => Some(ReviewId::new(id)?),
        Owner::Field(_) => None,
    };
    Ok(Act { actor: actor.clone(), review, at: at.clone() })
}

/// Writes events of this id after the entry `head`, all or none. An attempt that was written before changes nothing.
///
/// # Errors
/// [`Error`] if nothing could be written, as where somebody else wrote since.
pub fn write<E: Stored>(
    log: &mut Log,
    (actor, attempt): (&Actor, &Attempt),
    head: Hash,
    id: &str,
    events: &[E],
) -> Result<(), Error> {
    let act = act::<E>(actor, &attempt.at, id)?;
    let entries =
        (0..).zip(events).map(|(number, event)| forms::entry_of(act.clone(), (id, number), event, None));
    log.append(head, &attempt.command, &entries.collect::<Result<Vec<_>, _>>()?)?;
    Ok(())
}
