//! The stored form of second looks: `again.…` entries, each with the id of its sheet. There is no free text in them.

use super::{FORM, Fault, body_and_kind, owned, owned_entry};
use crate::Error;
use crate::chain::entry::{Act, Entry, NewEntry};
use crate::forms::form::second_look::EventForm;
use review::second_look::{Event, Stamped};

/// What the kinds begin with.
pub(crate) const OF_A_SECOND_LOOK: &str = "again.";

/// The field of a body that names the sheet.
const SHEET: &str = "sheet";

/// The entry of an event of this sheet.
///
/// # Errors
/// [`Error`] if the entry cannot be made.
pub fn entry(act: Act, sheet: &str, event: &Event) -> Result<NewEntry, Error> {
    let spelt = body_and_kind(EventForm::serialize(event, serde_json::value::Serializer), FORM);
    owned_entry(act, (SHEET, sheet), spelt, Vec::new())
}

/// The sheet and the event of an entry; none where it is not of a second look.
///
/// # Errors
/// [`Fault`] for an entry of a newer form, or one that is not what its kind says.
pub fn event(entry: &Entry) -> Result<Option<(String, Stamped)>, Fault> {
    if !entry.kind.as_str().starts_with(OF_A_SECOND_LOOK) {
        return Ok(None);
    }
    let (sheet, event) = owned(entry, SHEET, EventForm::deserialize)?;
    let by = entry.act.actor.to_string();
    Ok(Some((sheet, Stamped { at: entry.act.at.clone(), by, event })))
}
