//! What the log holds under an id: its events with the numbers of their entries, and the state that they leave.

use super::read;
use crate::Error;
use crate::chain::entry::Entry;
use crate::chain::label::Actor;
use crate::forms;
use crate::forms::Begun;
use crate::forms::stored::{Owner, Stored, Unreadable};
use crate::store::reader::Reader;

/// What the log holds under an id.
#[derive(Debug, Clone, PartialEq)]
pub struct Held<E: Stored> {
    pub id: String,
    pub official: Actor,
    /// Under which edition a review was begun; none where the log does not say.
    pub begun: Option<Begun>,
    /// Its events, with the numbers of their entries.
    pub events: Vec<(u64, E::Stamped)>,
    /// The first entry of it that this program cannot read. What comes after it is not folded.
    pub unread: Option<Unread>,
}

/// An entry that cannot be folded.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Unread {
    pub seq: u64,
    pub fault: forms::Fault,
}

impl<E: Stored> Held<E> {
    /// Everything that the log holds of a stream, in the order in which it began.
    ///
    /// # Errors
    /// [`Error`] if the log cannot be read. An entry of a newer form is left out; `verify` counts those.
    pub fn all(log: &Reader) -> Result<Vec<Held<E>>, Error> {
        let owners = log.all_of(&E::KINDS)?;
        owners.into_iter().filter_map(|(id, entries)| read(log, id, &entries).transpose()).collect()
    }

    /// What the log holds of a stream under this id; none if it has nothing.
    ///
    /// # Errors
    /// [`Error`] if the log cannot be read, or an entry of a newer form after its beginning could belong to a review.
    pub fn one(log: &Reader, id: impl AsRef<str>) -> Result<Option<Held<E>>, Error> {
        let id = id.as_ref();
        let entries = log.entries_of(&E::KINDS, id)?;
        if let Some(first) = entries.first() {
            not_newer::<E>(log, *first)?;
        }
        read(log, id.to_owned(), &entries)
    }

    /// The state that the events leave.
    pub fn state(&self) -> E::State {
        let mut state = E::State::default();
        self.events.iter().for_each(|(_, stamped)| E::apply(&mut state, &self.id, stamped.clone()));
        state
    }

    fn take(&mut self, log: &Reader, seq: u64, entry: &Entry) -> Result<(), Error> {
        if self.unread.is_some() {
            return Ok(());
        }
        let taken = match forms::begun(entry) {
            Ok(Some(begun)) => {
                self.begun.get_or_insert(begun);
                return Ok(());
            }
            Ok(None) => in_place(entry, self.events.len()).and_then(|()| read::event_of::<E>(log, entry)),
            Err(fault) => Err(Error::Record(fault)),
        };
        match taken {
            Ok(event) => self.events.extend(event.map(|(_, stamped)| (seq, stamped))),
            Err(Error::Record(fault)) => match E::KINDS.unreadable {
                Unreadable::Stops => self.unread = Some(Unread { seq, fault }),
                Unreadable::Skipped => {}
            },
            Err(other) => return Err(other),
        }
        Ok(())
    }
}

/// An entry with a number stands where it says.
fn in_place(entry: &Entry, before: usize) -> Result<(), Error> {
    match entry.number {
        Some(number) if number != before as u64 => Err(Error::Record(forms::Fault::Unreadable {
            kind: entry.kind.clone(),
            detail: format!("it is number {number} of its review, and {before} came before it"),
        })),
        Some(_) | None => Ok(()),
    }
}

/// The state of every id of a stream, in the order in which they came up.
///
/// # Errors
/// [`Error`] if the log cannot be read.
pub(crate) fn states<E: Stored>(log: &Reader) -> Result<Vec<(String, E::State)>, Error> {
    let state = |held: Held<E>| {
        let state = held.state();
        (held.id, state)
    };
    Ok(Held::<E>::all(log)?.into_iter().map(state).collect())
}

/// Refuses a log that a newer tellframe wrote to after this entry, where that may be of a review.
pub(super) fn not_newer<E: Stored>(log: &Reader, after: u64) -> Result<(), Error> {
    match log.newest_unknown().filter(|(seq, _)| E::KINDS.owner == Owner::Review && *seq > after) {
        Some((seq, form)) => Err(Error::NewerEntry { seq, form }),
        None => Ok(()),
    }
}

fn read<E: Stored>(log: &Reader, id: String, entries: &[u64]) -> Result<Option<Held<E>>, Error> {
    let mut held: Option<Held<E>> = None;
    log.each_of::<Error>(entries, |stored| {
        let entry = stored.entry()?;
        let held = held.get_or_insert_with(|| Held {
            id: id.clone(),
            official: entry.act.actor.clone(),
            begun: None,
            events: Vec::new(),
            unread: None,
        });
        held.take(log, stored.seq, &entry)
    })?;
    Ok(held)
}
