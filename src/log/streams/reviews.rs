//! The reviews of a log: what was done in each, in order.
//!
//! Nothing here is kept: each question is a pass over the entries. Entries outside reviews, such as imported
//! records, are told by their last bytes and passed over unread.

use crate::Error;
use crate::chain::entry::{Act, Entry, NewEntry, Reading};
use crate::chain::hash::Hash;
use crate::chain::label::{Actor, ReviewId};
use crate::forms;
use crate::forms::Begun;
use crate::store::edition::RuleText;
use crate::store::reader::Reader;
use review::fold::{Review, Stamped, fold};
use std::collections::BTreeMap;

/// How an entry of no review ends: `review` is the last name of the canonical spelling.
const OF_NO_REVIEW: &[u8] = br#""review":null}"#;

/// A review as it lies in the log.
#[derive(Debug, Clone, PartialEq)]
pub struct Held {
    /// Its id.
    pub id: ReviewId,
    /// Who acted first in it.
    pub official: Actor,
    /// Under which edition; none where the log does not say.
    pub begun: Option<Begun>,
    /// Its events, with the numbers of their entries.
    pub events: Vec<(u64, Stamped)>,
    /// The first entry of it that this program cannot read. What comes after it is not folded.
    pub unread: Option<Unread>,
}

/// An entry that cannot be folded.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Unread {
    /// Its number.
    pub seq: u64,
    /// Why.
    pub fault: forms::Fault,
}

impl Held {
    /// A review whose first entry this is, with nothing taken in yet.
    fn new(id: ReviewId, first: &Entry) -> Held {
        let official = first.act.actor.clone();
        Held { id, official, begun: None, events: Vec::new(), unread: None }
    }

    /// The state that the events leave.
    pub fn review(&self) -> Review {
        fold(self.events.iter().map(|(_, stamped)| stamped.clone()))
    }
}

/// All reviews, in the order in which they began.
///
/// # Errors
/// [`Error`] if the log cannot be read. An entry of a newer form is left out; `verify` counts those.
pub fn all(log: &Reader) -> Result<Vec<Held>, Error> {
    let mut all: Vec<Held> = Vec::new();
    let mut places: BTreeMap<ReviewId, usize> = BTreeMap::new();
    each_entry(log, |seq, entry, id| {
        let place = *places.entry(id.clone()).or_insert_with(|| {
            all.push(Held::new(id, &entry));
            all.len() - 1
        });
        match all.get_mut(place) {
            Some(held) => take(log, held, seq, &entry),
            None => Ok(()),
        }
    })?;
    Ok(all)
}

/// One review; none if the log has none of this id.
///
/// # Errors
/// [`Error`] if the log cannot be read, or an entry of a newer form after its beginning could belong to it.
pub fn one(log: &Reader, id: &ReviewId) -> Result<Option<Held>, Error> {
    let mut found: Option<Held> = None;
    let mut first = u64::MAX;
    let newer = each_entry(log, |seq, entry, of| {
        if of != *id {
            return Ok(());
        }
        first = first.min(seq);
        let held = found.get_or_insert_with(|| Held::new(of, &entry));
        take(log, held, seq, &entry)
    })?;
    match newer.last() {
        Some((seq, form)) if *seq > first => Err(Error::NewerEntry { seq: *seq, form: *form }),
        Some(_) | None => Ok(found),
    }
}

/// The reviews that are not over, for a desk that was closed or killed in one.
///
/// # Errors
/// [`Error`] if the log cannot be read.
pub fn unfinished(log: &Reader) -> Result<Vec<Held>, Error> {
    Ok(all(log)?.into_iter().filter(|held| held.unread.is_none() && !held.review().is_over()).collect())
}

/// The rules that a review is held under, as stored; none where the log does not have them.
///
/// # Errors
/// [`Error`] if the log cannot be read.
pub fn rules(log: &Reader, begun: &Begun) -> Result<Option<RuleText>, Error> {
    stored_rules(log, &begun.edition)
}

/// The rules of an edition, as stored; none where the log does not have them.
pub(crate) fn stored_rules(log: &Reader, edition: &str) -> Result<Option<RuleText>, Error> {
    let Ok(edition) = edition.parse::<Hash>() else { return Ok(None) };
    match log.edition(&edition)? {
        // A text that is none is `verify`'s finding.
        Some(text) => Ok(RuleText::read(&text).ok()),
        None => Ok(None),
    }
}

/// The blobs of a review that hold this very text. A ruling repeats the reasons of its overrides, each under
/// a salt of its own; whoever erases one erases them all.
///
/// # Errors
/// [`Error`] if the log cannot be read.
pub fn copies(log: &Reader, id: &ReviewId, text: &str) -> Result<Vec<Hash>, Error> {
    let mut copies = Vec::new();
    each_entry(log, |_, entry, of| {
        for hash in entry.blobs.iter().filter(|_| of == *id) {
            if log.blob(hash)?.is_some_and(|blob| blob.bytes() == text.as_bytes()) {
                copies.push(*hash);
            }
        }
        Ok(())
    })?;
    Ok(copies)
}

/// The entries that erase a text of a review, every copy of it.
///
/// # Errors
/// [`Error`] if the log cannot be read.
pub fn erasure(log: &Reader, act: &Act, text: &str) -> Result<Vec<NewEntry>, Error> {
    let Some(id) = &act.review else { return Ok(Vec::new()) };
    let erased = |hash| NewEntry::erased(act.clone(), hash).map_err(Error::from);
    copies(log, id, text)?.into_iter().map(erased).collect()
}

/// Takes one entry into its review.
fn take(log: &Reader, held: &mut Held, seq: u64, entry: &Entry) -> Result<(), Error> {
    if held.unread.is_some() {
        return Ok(());
    }
    let taken = match forms::begun(entry) {
        Ok(Some(begun)) => {
            held.begun.get_or_insert(begun);
            return Ok(());
        }
        Ok(None) => in_place(held, entry).and_then(|()| forms::event(log, entry)),
        Err(fault) => Err(Error::Record(fault)),
    };
    match taken {
        Ok(event) => held.events.extend(event.map(|event| (seq, event))),
        Err(Error::Record(fault)) => held.unread = Some(Unread { seq, fault }),
        Err(other) => return Err(other),
    }
    Ok(())
}

/// An entry with a number stands where it says.
fn in_place(held: &Held, entry: &Entry) -> Result<(), Error> {
    let before = held.events.len() as u64;
    match entry.number {
        Some(number) if number != before => Err(Error::Record(forms::Fault::Unreadable {
            kind: entry.kind.clone(),
            detail: format!("it is number {number} of its review, and {before} came before it"),
        })),
        Some(_) | None => Ok(()),
    }
}

/// Every entry of what happens in a review, read. Returns number and form of those of a newer form.
fn each_entry(
    log: &Reader,
    mut each: impl FnMut(u64, Entry, ReviewId) -> Result<(), Error>,
) -> Result<Vec<(u64, u64)>, Error> {
    let mut newer = Vec::new();
    log.each_from::<Error>(1, |stored| {
        if stored.bytes.ends_with(OF_NO_REVIEW) {
            return Ok(());
        }
        match stored.read()? {
            Reading::Known(mut entry) => match entry.act.review.take() {
                Some(id) if forms::is_of_a_review(&entry.kind) => each(stored.seq, entry, id),
                Some(_) | None => Ok(()),
            },
            Reading::Newer { form } => {
                newer.push((stored.seq, form));
                Ok(())
            }
        }
    })?;
    Ok(newer)
}
