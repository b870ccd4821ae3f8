//! The stored form of a referee's own ruling: `discretion.…` entries, each with the ruling's id.
//!
//! Such an entry belongs to no review; the first one names the review that it came from. What the referee wrote
//! lies beside the chain, as the reasons in a review's entries do.

use super::form::discretion::EventForm;
use super::{FORM, Fault, as_shown, body_and_kind, bring_back, owned, owned_entry, put_beside};
use crate::Error;
use crate::chain::entry::{Act, Entry, NewEntry};
use crate::store::reader::Reader;
use review::discretion::{Chosen, Event, Fact, Stamped};
use serde_json::{Map, Value};

/// What the kinds of a referee's own ruling begin with.
pub(crate) const OF_DISCRETION: &str = "discretion.";

/// The field of a body that names the ruling.
const RULING: &str = "ruling";

/// The entry of an event of this ruling.
///
/// # Errors
/// [`Error`] if the system has no randomness for the salts of free text.
pub fn entry(act: Act, ruling: &str, event: &Event) -> Result<NewEntry, Error> {
    let mut event = event.clone();
    let blobs = put_beside(free_texts(&mut event))?;
    owned_entry(act, (RULING, ruling), spelt(&event), blobs)
}

/// The ruling and the event of an entry; none where it is not of one. Its texts come from `log`.
///
/// # Errors
/// [`Error`] for an entry of a newer form, or one that is not what its kind says.
pub fn event(log: &Reader, entry: &Entry) -> Result<Option<(String, Stamped)>, Error> {
    let Some((ruling, mut event)) = stored(entry)? else { return Ok(None) };
    bring_back(log, &entry.kind, free_texts(&mut event))?;
    Ok(Some((ruling, Stamped { at: entry.act.at.clone(), event })))
}

/// The event as stored, with hashes in the place of its texts.
pub(crate) fn stored(entry: &Entry) -> Result<Option<(String, Event)>, Fault> {
    if !entry.kind.as_str().starts_with(OF_DISCRETION) {
        return Ok(None);
    }
    owned(entry, RULING, EventForm::deserialize).map(Some)
}

/// An event as JSON with its texts in place, for people and programs that read and do not verify.
pub fn shown(event: &Event) -> Value {
    as_shown(spelt(event))
}

fn spelt(event: &Event) -> (String, Map<String, Value>) {
    body_and_kind(EventForm::serialize(event, serde_json::value::Serializer), FORM)
}

/// Every text of an event that a person wrote freely.
fn free_texts(event: &mut Event) -> Vec<&mut String> {
    match event {
        Event::Risk { someone: text } => text.iter_mut().collect(),
        Event::Chosen(chosen) => {
            let Chosen { reason, .. } = &mut **chosen;
            reason.iter_mut().collect()
        }
        Event::Stated(Fact { says: text, .. })
        | Event::Unreached { because: text }
        | Event::Worded { words: text }
        | Event::Abandoned { reason: text } => vec![text],
        Event::Opened(_)
        | Event::Profit(_)
        | Event::Read { .. }
        | Event::Leaned { .. }
        | Event::ReadBack
        | Event::Signed(_) => Vec::new(),
    }
}
