//! The stored form of what becomes of a precedent: `precedent.…` entries, each with the precedent's id.
//!
//! Titles and reasons are free text and lie beside the chain; the pattern is in the book's words and stands in it.

use super::form::precedent::EventForm;
use super::{FORM, Fault, as_shown, body_and_kind, bring_back, owned, owned_entry, put_beside};
use crate::Error;
use crate::chain::entry::{Act, Entry, NewEntry};
use crate::store::reader::Reader;
use review::precedent::{Event, Proposal, Stamped};
use serde_json::{Map, Value};

/// What the kinds of a precedent begin with.
pub(crate) const OF_A_PRECEDENT: &str = "precedent.";

/// The field of a body that names the precedent.
const PRECEDENT: &str = "precedent";

/// The entry of an event of this precedent.
///
/// # Errors
/// [`Error`] if the system has no randomness for the salts of free text.
pub fn entry(act: Act, precedent: &str, event: &Event) -> Result<NewEntry, Error> {
    let mut event = event.clone();
    let blobs = put_beside(free_texts(&mut event))?;
    owned_entry(act, (PRECEDENT, precedent), spelt(&event), blobs)
}

/// The precedent and the event of an entry; none where it is not of one. Its texts come from `log`.
///
/// # Errors
/// [`Error`] for an entry of a newer form, or one that is not what its kind says.
pub fn event(log: &Reader, entry: &Entry) -> Result<Option<(String, Stamped)>, Error> {
    let Some((precedent, mut event)) = stored(entry)? else { return Ok(None) };
    bring_back(log, &entry.kind, free_texts(&mut event))?;
    let by = entry.act.actor.to_string();
    Ok(Some((precedent, Stamped { at: entry.act.at.clone(), by, event })))
}

/// The event as stored, with hashes in the place of its texts.
pub(crate) fn stored(entry: &Entry) -> Result<Option<(String, Event)>, Fault> {
    if !entry.kind.as_str().starts_with(OF_A_PRECEDENT) {
        return Ok(None);
    }
    owned(entry, PRECEDENT, EventForm::deserialize).map(Some)
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
        Event::Proposed(proposal) => {
            let Proposal { title, .. } = &mut **proposal;
            vec![title]
        }
        Event::Approved { reason, .. } | Event::Narrowed { reason, .. } | Event::Withdrawn { reason, .. } => {
            vec![reason]
        }
    }
}
