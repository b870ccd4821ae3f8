//! The games of a log: what was done in each outside its reviews, in order.
//!
//! Nothing here is kept: each question is a pass over the entries. Entries of reviews and imported records are told
//! by their last bytes and passed over unread.

use crate::Error;
use crate::chain::entry::{Entry, Reading};
use crate::chain::label::Actor;
use crate::forms::day;
use crate::store::reader::{Reader, Stored};
use crate::streams::reviews::Unread;
use review::day::Stamped;
use review::day::fold::{Day, Phase, fold};

/// How an entry of a day ends: `kind` is the last name but one of the canonical spelling, `review` the last.
const OF_NO_REVIEW: &[u8] = br#""review":null}"#;
const OF_A_DAY: &[u8] = br#""kind":"day."#;

/// Longer than any kind of a day with what stands around it.
const LAST_BYTES: usize = 80;

/// A game as it lies in the log.
#[derive(Debug, Clone, PartialEq)]
pub struct Held {
    /// Its id.
    pub game: String,
    /// Who acted first in it.
    pub official: Actor,
    /// Its events, with the numbers of their entries.
    pub events: Vec<(u64, Stamped)>,
    /// The first entry of it that this program cannot read. What comes after it is not folded.
    pub unread: Option<Unread>,
}

impl Held {
    /// The state that the events leave.
    pub fn day(&self) -> Day {
        fold(self.events.iter().map(|(_, stamped)| stamped.clone()))
    }
}

/// All games, in the order in which they were opened.
///
/// # Errors
/// [`Error`] if the log cannot be read.
pub fn all(log: &Reader) -> Result<Vec<Held>, Error> {
    let mut all: Vec<Held> = Vec::new();
    log.each_from::<Error>(1, |stored| {
        let Some(entry) = of_a_day(&stored)? else { return Ok(()) };
        let Some(game) = day::game(&entry) else { return Ok(()) };
        // A desk opens few games in a log, and writes to the newest.
        let place = all.iter().rposition(|held| held.game == game).unwrap_or_else(|| {
            let official = entry.act.actor.clone();
            all.push(Held { game: game.to_owned(), official, events: Vec::new(), unread: None });
            all.len() - 1
        });
        match all.get_mut(place) {
            Some(held) => take(log, held, stored.seq, &entry),
            None => Ok(()),
        }
    })?;
    Ok(all)
}

/// One game; none if the log has none of this id.
///
/// # Errors
/// [`Error`] if the log cannot be read.
pub fn one(log: &Reader, game: &str) -> Result<Option<Held>, Error> {
    Ok(all(log)?.into_iter().find(|held| held.game == game))
}

/// The newest game that is not closed, for a desk that was shut or killed in one.
///
/// # Errors
/// [`Error`] if the log cannot be read.
pub fn last_open(log: &Reader) -> Result<Option<Held>, Error> {
    Ok(all(log)?.into_iter().rev().find(|held| held.unread.is_none() && held.day().phase == Phase::Open))
}

/// The entry, read, if it is of a day. One of a newer form is left out; `verify` counts those.
pub(crate) fn of_a_day(stored: &Stored) -> Result<Option<Entry>, Error> {
    let last = &stored.bytes[stored.bytes.len().saturating_sub(LAST_BYTES)..];
    let named = || last.windows(OF_A_DAY.len()).any(|bytes| bytes == OF_A_DAY);
    if !last.ends_with(OF_NO_REVIEW) || !named() {
        return Ok(None);
    }
    match stored.read()? {
        Reading::Known(entry) => Ok(day::is_of_a_day(&entry.kind).then_some(entry)),
        Reading::Newer { .. } => Ok(None),
    }
}

fn take(log: &Reader, held: &mut Held, seq: u64, entry: &Entry) -> Result<(), Error> {
    if held.unread.is_some() {
        return Ok(());
    }
    match day::event(log, entry) {
        Ok(event) => held.events.extend(event.map(|(_, stamped)| (seq, stamped))),
        Err(Error::Record(fault)) => held.unread = Some(Unread { seq, fault }),
        Err(other) => return Err(other),
    }
    Ok(())
}
