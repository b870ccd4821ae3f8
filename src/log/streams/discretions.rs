//! The referee's own rulings of a log, in order. Nothing here is kept: each question is a pass over the entries.

use crate::Error;
use crate::chain::entry::{Entry, Reading};
use crate::chain::label::Actor;
use crate::forms::discretion as record;
use crate::store::reader::{Reader, Stored};
use crate::streams::reviews::Unread;
use review::discretion::Stamped;
use review::discretion::fold::{Discretion, fold};

/// How an entry of no review ends: `kind` is the last name but one of the canonical spelling, `review` the last.
const OF_NO_REVIEW: &[u8] = br#""review":null}"#;

/// Longer than any kind with what stands around it.
const LAST_BYTES: usize = 80;

/// A referee's own ruling as it lies in the log.
#[derive(Debug, Clone, PartialEq)]
pub struct Held {
    /// Its id.
    pub id: String,
    /// Who acted first in it.
    pub official: Actor,
    /// Its events, with the numbers of their entries.
    pub events: Vec<(u64, Stamped)>,
    /// The first entry of it that this program cannot read. What comes after it is not folded.
    pub unread: Option<Unread>,
}

impl Held {
    /// The state that the events leave.
    pub fn ruling(&self) -> Discretion {
        fold(self.events.iter().map(|(_, stamped)| stamped.clone()))
    }
}

/// All of them, in the order in which they were opened.
///
/// # Errors
/// [`Error`] if the log cannot be read.
pub fn all(log: &Reader) -> Result<Vec<Held>, Error> {
    let mut all: Vec<Held> = Vec::new();
    log.each_from::<Error>(1, |stored| {
        let Some(entry) = of_kind(&stored, record::OF_DISCRETION)? else { return Ok(()) };
        take(log, &mut all, stored.seq, &entry)
    })?;
    Ok(all)
}

/// One of them; none if the log has none of this id.
///
/// # Errors
/// [`Error`] if the log cannot be read.
pub fn one(log: &Reader, id: &str) -> Result<Option<Held>, Error> {
    Ok(all(log)?.into_iter().find(|held| held.id == id))
}

/// The entry, read, if its kind begins so and it is of no review. One of a newer form is left out; `verify` counts
/// those.
pub(crate) fn of_kind(stored: &Stored, kind: &str) -> Result<Option<Entry>, Error> {
    let last = &stored.bytes[stored.bytes.len().saturating_sub(LAST_BYTES)..];
    let sign = format!("\"kind\":\"{kind}");
    let named = || last.windows(sign.len()).any(|bytes| bytes == sign.as_bytes());
    if !last.ends_with(OF_NO_REVIEW) || !named() {
        return Ok(None);
    }
    match stored.read()? {
        Reading::Known(entry) => Ok(entry.kind.as_str().starts_with(kind).then_some(entry)),
        Reading::Newer { .. } => Ok(None),
    }
}

fn take(log: &Reader, all: &mut Vec<Held>, seq: u64, entry: &Entry) -> Result<(), Error> {
    let named = entry.body.get("ruling").and_then(|id| id.as_str());
    let Some(id) = named else { return Ok(()) };
    let place = all.iter().rposition(|held| held.id == id).unwrap_or_else(|| {
        let official = entry.act.actor.clone();
        all.push(Held { id: id.to_owned(), official, events: Vec::new(), unread: None });
        all.len() - 1
    });
    let Some(held) = all.get_mut(place).filter(|held| held.unread.is_none()) else { return Ok(()) };
    match record::event(log, entry) {
        Ok(event) => held.events.extend(event.map(|(_, stamped)| (seq, stamped))),
        Err(Error::Record(fault)) => held.unread = Some(Unread { seq, fault }),
        Err(other) => return Err(other),
    }
    Ok(())
}
