//! The stored form of what becomes of a record after the game: `grade.…` entries, each with the record's id.
//!
//! Reasons, letters and answers are free text and lie beside the chain.

use super::form::grade::EventForm;
use super::{FORM, Fault, POSITION_FORM, body_and_kind, bring_back, owned, owned_entry, put_beside};
use crate::Error;
use crate::chain::entry::{Act, Entry, NewEntry};
use crate::store::reader::Reader;
use review::grade::{Event, Grade, Matter, Stamped};

/// What the kinds begin with.
pub(crate) const OF_A_GRADE: &str = "grade.";

/// The field of a body that names the record.
const RECORD: &str = "record";

/// The entry of an event of this record.
///
/// # Errors
/// [`Error`] if the system has no randomness for the salts of free text.
pub fn entry(act: Act, record: &str, event: &Event) -> Result<NewEntry, Error> {
    let mut event = event.clone();
    let blobs = put_beside(free_texts(&mut event))?;
    let form = match &event {
        Event::Graded { grade: Grade::Position(_), .. } | Event::Appealed { of: Matter::Position, .. } => {
            POSITION_FORM
        }
        Event::Graded { .. } | Event::Inquired { .. } | Event::Appealed { .. } | Event::Answered { .. } => {
            FORM
        }
    };
    let spelt = body_and_kind(EventForm::serialize(&event, serde_json::value::Serializer), form);
    owned_entry(act, (RECORD, record), spelt, blobs)
}

/// The record's id and the event of an entry; none where it is not of a grade. Its texts come from `log`.
///
/// # Errors
/// [`Error`] for an entry of a newer form, or one that is not what its kind says.
pub fn event(log: &Reader, entry: &Entry) -> Result<Option<(String, Stamped)>, Error> {
    let Some((record, mut event)) = stored(entry)? else { return Ok(None) };
    bring_back(log, &entry.kind, free_texts(&mut event))?;
    let by = entry.act.actor.to_string();
    Ok(Some((record, Stamped { at: entry.act.at.clone(), by, event })))
}

/// The event as stored, with hashes in the place of its texts.
pub(crate) fn stored(entry: &Entry) -> Result<Option<(String, Event)>, Fault> {
    if !entry.kind.as_str().starts_with(OF_A_GRADE) {
        return Ok(None);
    }
    owned(entry, RECORD, EventForm::deserialize).map(Some)
}

/// Every text of an event that a person wrote freely. A reason that was not given is none.
fn free_texts(event: &mut Event) -> Vec<&mut String> {
    match event {
        Event::Graded { reason, .. } if reason.is_empty() => Vec::new(),
        Event::Graded { reason: text, .. }
        | Event::Inquired { text, .. }
        | Event::Appealed { text, .. }
        | Event::Answered { text, .. } => vec![text],
    }
}
