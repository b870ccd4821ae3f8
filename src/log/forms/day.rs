//! The stored form of what happens in a game outside its reviews: `day.…` entries, each with the game's id.
//!
//! Such an entry belongs to no review. Its body is that of `form/day.rs` with `form` and `game`; the reasons that
//! people give lie beside the chain, as in a review's entries.

use super::form::day::EventForm;
use super::{FORM, as_shown, body_and_kind, bring_back, owned, owned_entry, put_beside};
use crate::Error;
use crate::chain::entry::{Act, Entry, NewEntry};
use crate::chain::label::Kind;
use crate::store::reader::Reader;
use review::day::{By, Event, Stamped};
use serde_json::{Map, Value};

/// What the kinds of a day begin with.
const OF_A_DAY: &str = "day.";

/// The field of a body that names the game.
const GAME: &str = "game";

/// Whether entries of this kind are of a day.
pub(crate) fn is_of_a_day(kind: &Kind) -> bool {
    kind.as_str().starts_with(OF_A_DAY)
}

/// The entry of an event of this game's day.
///
/// # Errors
/// [`Error`] if the system has no randomness for the salts of free text.
pub fn entry(act: Act, game: &str, event: &Event) -> Result<NewEntry, Error> {
    let mut event = event.clone();
    let blobs = put_beside(free_texts(&mut event))?;
    owned_entry(act, (GAME, game), spelt(&event), blobs)
}

/// The game and the event of an entry; none where it is not of a day. Its texts come from `log`.
///
/// # Errors
/// [`Error`] for an entry of a newer form, or one that is not what its kind says.
pub fn event(log: &Reader, entry: &Entry) -> Result<Option<(String, Stamped)>, Error> {
    if !is_of_a_day(&entry.kind) {
        return Ok(None);
    }
    let (game, mut event) = owned(entry, GAME, EventForm::deserialize)?;
    bring_back(log, &entry.kind, free_texts(&mut event))?;
    Ok(Some((game, Stamped { at: entry.act.at.clone(), event })))
}

/// The game that an entry of a day names, whether or not the rest can be read.
pub(crate) fn game(entry: &Entry) -> Option<&str> {
    entry.body.get(GAME).and_then(Value::as_str)
}

/// An event as JSON with its texts in place, for people and programs that read and do not verify.
pub fn shown(event: &Event) -> Value {
    as_shown(spelt(event))
}

/// Kind and body of an event whose texts are as they should stand there; the game is not in it yet.
fn spelt(event: &Event) -> (String, Map<String, Value>) {
    let (kind, body) = body_and_kind(EventForm::serialize(event, serde_json::value::Serializer), FORM);
    debug_assert_eq!(body.get("form"), Some(&Value::from(FORM)));
    (kind, body)
}

/// Every text of an event that a person wrote freely.
fn free_texts(event: &mut Event) -> Vec<&mut String> {
    match event {
        Event::Moved { by: By::Correction { reason }, .. } => reason.iter_mut().collect(),
        Event::OutOfService { reason, .. } | Event::Reopened { reason } => vec![reason],
        Event::Opened(_)
        | Event::Checked { .. }
        | Event::Moved { by: By::Set | By::Play(_) | By::Timeout(_) | By::Period, .. }
        | Event::Undone { .. }
        | Event::Looked { .. }
        | Event::ReviewBegan { .. }
        | Event::ReviewEnded { .. }
        | Event::BackInService { .. }
        | Event::Closed => Vec::new(),
    }
}
