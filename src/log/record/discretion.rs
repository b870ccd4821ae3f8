//! The stored form of a referee's own ruling: `discretion.…` entries, each with the ruling's id.
//!
//! Such an entry belongs to no review; the first one names the review that it came from. What the referee wrote
//! lies beside the chain, as the reasons in a review's entries do.

use super::form::TAG;
use super::form::discretion::EventForm;
use super::{FORM, Fault, body_and_kind, body_of, bring_back, put_beside};
use crate::log::Error;
use crate::log::entry::{Act, Entry, NewEntry};
use crate::log::label::Kind;
use crate::log::reader::Reader;
use crate::review::discretion::{Chosen, Event, Fact, Stamped};
use serde_json::{Map, Value, json};

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
    let (kind, mut body) = spelt(&event);
    body.insert(RULING.to_owned(), ruling.into());
    let new = NewEntry::new(Act { review: None, ..act }, Kind::new(kind)?, Value::Object(body))?;
    Ok(blobs.into_iter().fold(new, NewEntry::with_blob))
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
    let (kind, mut body) = body_of(entry)?;
    let unreadable = |detail: String| Fault::Unreadable { kind: kind.clone(), detail };
    let Some(Value::String(ruling)) = body.remove(RULING) else {
        return Err(unreadable("it does not say its ruling".to_owned()));
    };
    body.insert(TAG.to_owned(), kind.as_str().into());
    let event = EventForm::deserialize(Value::Object(body)).map_err(|fault| unreadable(fault.to_string()))?;
    Ok(Some((ruling, event)))
}

/// An event as JSON with its texts in place, for people and programs that read and do not verify.
pub fn shown(event: &Event) -> Value {
    let (kind, mut body) = spelt(event);
    body.remove("form");
    json!({ "kind": kind, "body": body })
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
