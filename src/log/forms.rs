//! The stored form of what happens in a review: an event as the body of an entry, and back.
//!
//! A body is a JSON object with its `form`; `form.rs` says what each kind holds. Free text, which is the
//! reasons that officials give, is not in the body: it lies beside the chain as a blob, the body has its hash,
//! and once it is erased it reads as [`ERASED`]. The still of a mark lies there likewise; an event names it only. Everything else in an event is the book's or the game's word.
//!
//! Besides the events there is one kind of entry that belongs to a review, [`Begun`]: under which edition.

pub mod day;
pub mod discretion;
mod form;
pub mod grade;
pub mod precedent;
pub mod second_look;
mod spelling;

use self::form::{EventForm, TAG};
use crate::Error;
use crate::chain::blob::Blob;
use crate::chain::entry::{Act, Entry, NewEntry};
use crate::chain::hash::Hash;
use crate::chain::label::Kind;
use crate::store::reader::Reader;
use evidence::mark::{Basis, Shot};
use review::event::{Answered, Event, Look, Marked, Snapshot};
use review::fold::Stamped;
use serde::{Deserialize, Serialize};
use serde_json::{Map, Value, json};

/// The form of a body. This program writes the oldest that can say what is to be said, so that an older program
/// reads as much as it can.
const FORM: u64 = 1;

/// The form of an answer with what was measured, and of a mark with the very picture that it was set on.
const MEASURED_FORM: u64 = 2;

/// The form of a mark with a still beside the chain.
const STILL_FORM: u64 = 3;

/// The form of a mark whose clock was read off a scoreboard.
const SCOREBOARD_FORM: u64 = 4;

/// The form of a grade that says which position of the crew had the call, and of an appeal against it.
const POSITION_FORM: u64 = 2;

/// The newest form of a kind that this program reads.
fn newest(kind: &Kind) -> u64 {
    match kind.as_str() {
        "review.answered" => MEASURED_FORM,
        "review.marked" => SCOREBOARD_FORM,
        "grade.given" | "grade.appealed" => POSITION_FORM,
        _ => FORM,
    }
}

/// How a text reads that was erased.
pub const ERASED: &str = "(erased)";

/// What the kinds of a review begin with.
const OF_A_REVIEW: &str = "review.";

/// The kind of [`Begun`].
const BEGUN: &str = "review.begun";

/// A review begins: the first entry of each, before its first event.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Begun {
    /// The book's short name.
    pub book: String,
    /// The edition that the review is held under, as 64 hex digits.
    pub edition: String,
}

/// Whether entries of this kind belong to what happens in a review; others may merely name it.
pub fn is_of_a_review(kind: &Kind) -> bool {
    kind.as_str().starts_with(OF_A_REVIEW)
}

/// The kinds of what ends something: a ruling and its announcement, a review, a game, a ruling of the referee's own, what
/// becomes of a precedent, a grade and the letters about it, a second look.
const ENDS: [&str; 18] = [
    "review.ruled",
    "review.announced",
    "review.amended",
    "review.withdrawn",
    "review.cut-short",
    "day.review-ended",
    "day.closed",
    "discretion.signed",
    "discretion.abandoned",
    "precedent.proposed",
    "precedent.approved",
    "precedent.narrowed",
    "precedent.withdrawn",
    "grade.given",
    "grade.inquired",
    "grade.appealed",
    "grade.answered",
    "again.entered",
];

/// Whether an entry of this kind ends something; after it the log is moved into one file (`store.rs`).
pub(crate) fn ends_something(kind: &Kind) -> bool {
    ENDS.contains(&kind.as_str())
}

/// What is wrong with an entry of a review.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum Fault {
    /// Of a newer tellframe.
    #[error("`{kind}` is of form {form}; this tellframe reads form {}", newest(kind))]
    NewerForm {
        /// The kind.
        kind: Kind,
        /// Its form.
        form: u64,
    },
    /// Not what its kind says.
    #[error("the body of `{kind}` cannot be read: {detail}")]
    Unreadable {
        /// The kind.
        kind: Kind,
        /// What is wrong.
        detail: String,
    },
}

/// The entry of an event.
///
/// # Errors
/// [`Error`] if the system has no randomness for the salts of free text.
pub fn entry(act: Act, event: &Event) -> Result<NewEntry, Error> {
    entry_with(act, event, None)
}

/// The same, with the still that the event's mark names.
pub(crate) fn entry_with(act: Act, event: &Event, still: Option<&Blob>) -> Result<NewEntry, Error> {
    let named = match event {
        Event::Marked(Marked { shot: Some(shot), .. }) => shot.still.as_deref(),
        _ => None,
    };
    let still = still.filter(|still| named == Some(still.hash().to_string().as_str())).cloned();
    let mut event = event.clone();
    let blobs = put_beside(free_texts(&mut event))?;
    let (kind, body) = spelt(&event);
    let new = NewEntry::new(act, Kind::new(kind)?, Value::Object(body))?;
    Ok(blobs.into_iter().chain(still).fold(new, NewEntry::with_blob))
}

/// Makes a blob of every text, and puts its hash in the text's place.
fn put_beside(texts: Vec<&mut String>) -> Result<Vec<Blob>, Error> {
    let mut blobs = Vec::new();
    for text in texts {
        let blob = Blob::new(std::mem::take(text).into_bytes())?;
        *text = blob.hash().to_string();
        blobs.push(blob);
    }
    Ok(blobs)
}

/// Puts the text back where its hash stands.
fn bring_back(log: &Reader, kind: &Kind, texts: Vec<&mut String>) -> Result<(), Error> {
    let unreadable = |detail: String| Fault::Unreadable { kind: kind.clone(), detail };
    for text in texts {
        let hash: Hash = text.parse().map_err(|_| unreadable(format!("`{text}` is not a text's hash")))?;
        *text = match log.blob(&hash)? {
            Some(blob) => String::from_utf8(blob.bytes().to_vec())
                .map_err(|_| unreadable(format!("the text {hash} is not UTF-8")))?,
            None => ERASED.to_owned(),
        };
    }
    Ok(())
}

/// The entry of something that belongs to no review: its body names in this field what it is of.
fn owned_entry(
    act: Act,
    (field, owner): (&str, &str),
    (kind, mut body): (String, Map<String, Value>),
    blobs: Vec<Blob>,
) -> Result<NewEntry, Error> {
    body.insert(field.to_owned(), owner.into());
    let new = NewEntry::new(Act { review: None, ..act }, Kind::new(kind)?, Value::Object(body))?;
    Ok(blobs.into_iter().fold(new, NewEntry::with_blob))
}

/// What such an entry is of, and its event as stored, with hashes in the place of its texts.
fn owned<E>(
    entry: &Entry,
    field: &str,
    read: impl FnOnce(Value) -> Result<E, serde_json::Error>,
) -> Result<(String, E), Fault> {
    let (kind, mut body) = body_of(entry)?;
    let unreadable = |detail: String| Fault::Unreadable { kind: kind.clone(), detail };
    let Some(Value::String(owner)) = body.remove(field) else {
        return Err(unreadable(format!("it does not say its {field}")));
    };
    body.insert(TAG.to_owned(), kind.as_str().into());
    let event = read(Value::Object(body)).map_err(|fault| unreadable(fault.to_string()))?;
    Ok((owner, event))
}

/// A kind and its body, for people and programs that read and do not verify.
fn as_shown((kind, mut body): (String, Map<String, Value>)) -> Value {
    body.remove("form");
    json!({ "kind": kind, "body": body })
}

/// The entry that a review begins with.
///
/// # Errors
/// [`Error`] if the entry cannot be made.
pub fn begun_entry(act: Act, begun: &Begun) -> Result<NewEntry, Error> {
    let mut body = object(serde_json::to_value(begun));
    body.insert("form".to_owned(), FORM.into());
    Ok(NewEntry::new(act, Kind::new(BEGUN)?, Value::Object(body))?)
}

/// The event of an entry; none where the entry is not an event of a review. Its texts come from `log`.
///
/// # Errors
/// [`Error`] for an entry of a newer form, or one that is not what its kind says.
pub fn event(log: &Reader, entry: &Entry) -> Result<Option<Stamped>, Error> {
    let Some(mut event) = stored_event(entry)? else { return Ok(None) };
    bring_back(log, &entry.kind, free_texts(&mut event))?;
    Ok(Some(Stamped { at: entry.act.at.clone(), event }))
}

/// What a review begins with, if the entry says that.
///
/// # Errors
/// [`Fault`] for an entry of a newer form, or one that is not what its kind says.
pub fn begun(entry: &Entry) -> Result<Option<Begun>, Fault> {
    if entry.kind.as_str() != BEGUN {
        return Ok(None);
    }
    let (kind, body) = body_of(entry)?;
    let read = Begun::deserialize(Value::Object(body));
    read.map(Some).map_err(|e| Fault::Unreadable { kind, detail: e.to_string() })
}

/// An event as JSON with its texts in place, for people and programs that read and do not verify.
pub fn shown(event: &Event) -> Value {
    as_shown(spelt(event))
}

/// The names of the texts that people wrote freely in an entry of a review, in their order.
///
/// # Errors
/// [`Fault`] for an entry of a newer form, or one that is not what its kind says.
pub fn text_names(entry: &Entry) -> Result<Vec<Hash>, Fault> {
    let Some(mut event) = stored_event(entry)? else { return Ok(Vec::new()) };
    let name = |text: &mut String| {
        text.parse().map_err(|_| Fault::Unreadable {
            kind: entry.kind.clone(),
            detail: format!("`{text}` is not a text's hash"),
        })
    };
    free_texts(&mut event).into_iter().map(name).collect()
}

/// The event as stored: with hashes in the place of its texts.
fn stored_event(entry: &Entry) -> Result<Option<Event>, Fault> {
    if !is_of_a_review(&entry.kind) || entry.kind.as_str() == BEGUN {
        return Ok(None);
    }
    let (kind, mut body) = body_of(entry)?;
    body.insert(TAG.to_owned(), kind.as_str().into());
    let read = EventForm::deserialize(Value::Object(body));
    read.map(Some).map_err(|e| Fault::Unreadable { kind, detail: e.to_string() })
}

/// Kind and fields of a body of the known form.
fn body_of(entry: &Entry) -> Result<(Kind, Map<String, Value>), Fault> {
    let kind = entry.kind.clone();
    let unreadable = |detail: &str| Fault::Unreadable { kind: kind.clone(), detail: detail.to_owned() };
    let Value::Object(mut body) = entry.body.clone() else { return Err(unreadable("it is not an object")) };
    match body.remove("form").and_then(|form| form.as_u64()) {
        Some(FORM) => Ok((kind, upcast(body))),
        Some(form @ (MEASURED_FORM | STILL_FORM | SCOREBOARD_FORM)) if form <= newest(&kind) => {
            Ok((kind, body))
        }
        Some(form) if form > newest(&kind) => Err(Fault::NewerForm { kind, form }),
        Some(_) | None => Err(unreadable("it does not say its form")),
    }
}

/// A body of form 1 as form 2 has it: a computed answer was its verdict alone.
fn upcast(mut body: Map<String, Value>) -> Map<String, Value> {
    if let Some(computed) = body.get_mut("basis").and_then(|basis| basis.get_mut("computed")) {
        *computed = json!({ "verdict": computed.take(), "of": null });
    }
    body
}

/// Kind and body of an event whose texts are as they should stand there.
fn spelt(event: &Event) -> (String, Map<String, Value>) {
    let form = match event {
        Event::Marked(Marked { scoreboard: Some(_), .. }) => SCOREBOARD_FORM,
        Event::Marked(Marked { shot: Some(Shot { still: Some(_), .. }), .. }) => STILL_FORM,
        Event::Answered(Answered { basis: Basis::Computed(_), .. })
        | Event::Marked(Marked { shot: Some(_), .. }) => MEASURED_FORM,
        _ => FORM,
    };
    body_and_kind(EventForm::serialize(event, serde_json::value::Serializer), form)
}

fn body_and_kind(tagged: Result<Value, serde_json::Error>, form: u64) -> (String, Map<String, Value>) {
    let mut body = object(tagged);
    let Some(Value::String(kind)) = body.remove(TAG) else {
        unreachable!("the form is tagged with its kind")
    };
    body.insert("form".to_owned(), form.into());
    (kind, body)
}

fn object(value: Result<Value, serde_json::Error>) -> Map<String, Value> {
    match value {
        Ok(Value::Object(object)) => object,
        // INVARIANT: names are text, figures are finite, and every body is a struct.
        other => unreachable!("a body is an object: {other:?}"),
    }
}

/// Every text of an event that a person wrote freely.
fn free_texts(event: &mut Event) -> Vec<&mut String> {
    match event {
        Event::Looked(Look { reason, .. }) | Event::Answered(Answered { reason, .. }) => {
            reason.iter_mut().collect()
        }
        Event::CutShort { reason } | Event::Amended { reason, .. } => vec![reason],
        Event::Ruled(snapshot) => {
            let Snapshot { overrides, .. } = &mut **snapshot;
            overrides.iter_mut().map(|done| &mut done.reason).collect()
        }
        Event::Called(_)
        | Event::Asked(_)
        | Event::Refused(_)
        | Event::ReadBack(_)
        | Event::Flagged(_)
        | Event::Chosen { .. }
        | Event::Marked(_)
        | Event::Placed(_)
        | Event::Tied(_)
        | Event::Undone { .. }
        | Event::Settled
        | Event::Withdrawn
        | Event::RestartReadBack
        | Event::Announced => Vec::new(),
    }
}
