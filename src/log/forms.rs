//! The stored form of events: an event as the body of an entry, and back.
//!
//! A body is a JSON object with its `form`, and the id of its owner where the header does not name that. Each stream
//! has a file here. Its types are mirrors of those in `review`: the mirror is what is stored, and the two are held
//! together by the compiler alone. When a type in `review` changes, its mirror stays as it is, gets a form number of its
//! own, and is brought up to date on reading.
//!
//! Free text is not in the body: it lies beside the chain as a blob, the body has its hash, and once it is erased it
//! reads as [`ERASED`]. The still of a mark lies there likewise; an event names it only. Everything else in an event is
//! a name or figure of the book or the game.

mod day;
mod discretion;
mod fouls;
mod game;
mod grade;
mod measured;
mod placed;
mod play_grade;
mod precedent;
mod review;
mod second_look;
mod spelling;
pub(crate) mod stored;
mod tied;

use self::stored::{Kinds, Owner, Stored};
use crate::Error;
use crate::chain::blob::Blob;
use crate::chain::edition::RuleText;
use crate::chain::entry::{Act, Entry, NewEntry};
use crate::chain::hash::Hash;
use crate::chain::label::Kind;
use ::review::event::Event;
use serde::{Deserialize, Serialize};
use serde_json::{Map, Value, json};

/// The form of a body that every program reads.
const FORM: u64 = 1;

/// The name under which the kind stands among the fields of a body; no body has such a field.
pub(crate) const TAG: &str = "event";

/// How an erased text reads.
pub const ERASED: &str = "(erased)";

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

impl Begun {
    pub(crate) fn under(rules: &RuleText) -> Begun {
        Begun { book: rules.book().to_owned(), edition: rules.edition().to_string() }
    }
}

/// Whether entries of this kind belong to what happens in a review; others may merely name it.
pub fn is_of_a_review(kind: &Kind) -> bool {
    Event::KINDS.has(kind.as_str())
}

/// The stream that entries of this kind are of.
pub(crate) fn kinds(kind: &Kind) -> Option<&'static Kinds> {
    ALL.iter().find(|kinds| kinds.has(kind.as_str()))
}

/// The newest form of a kind that this program reads.
fn newest(kind: &Kind) -> u64 {
    kinds(kind).map_or(FORM, |kinds| (kinds.newest)(kind.as_str()))
}

/// Whether an entry of this kind ends something; after it the log is moved into one file (`store.rs`).
pub(crate) fn ends_something(kind: &Kind) -> bool {
    kinds(kind).is_some_and(|kinds| kinds.ends.contains(&kind.as_str()))
}

/// Every stream of the log.
pub(crate) const ALL: [Kinds; 7] = [
    ::review::event::Event::KINDS,
    ::review::day::Event::KINDS,
    ::review::discretion::Event::KINDS,
    ::review::precedent::Event::KINDS,
    ::review::grade::Event::KINDS,
    ::review::second_look::Event::KINDS,
    ::review::play_grade::Event::KINDS,
];

/// What is wrong with an entry of a stream.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum Fault {
    #[error("`{kind}` is of form {form}; this tellframe reads form {}", newest(kind))]
    NewerForm { kind: Kind, form: u64 },
    #[error("the body of `{kind}` cannot be read: {detail}")]
    Unreadable { kind: Kind, detail: String },
}

impl Fault {
    pub(crate) fn unreadable(kind: &Kind, detail: impl ToString) -> Fault {
        Fault::Unreadable { kind: kind.clone(), detail: detail.to_string() }
    }
}

/// The entry of an event of the review that `act` names, without a number.
///
/// # Errors
/// [`Error`] if the system has no randomness for the salts of free text.
pub fn entry(act: Act, event: &Event) -> Result<NewEntry, Error> {
    spelt_entry(act, event, None, None)
}

/// The entry of an event of this id, the `number`th of it from 0, with the still that the event's mark names.
///
/// # Errors
/// [`Error`] if the system has no randomness for the salts of free text.
pub fn entry_of<E: Stored>(
    act: Act,
    (id, number): (&str, u64),
    event: &E,
    still: Option<&Blob>,
) -> Result<NewEntry, Error> {
    match E::KINDS.owner {
        Owner::Review => Ok(spelt_entry(act, event, None, still)?.numbered(number)),
        Owner::Field(field) => spelt_entry(Act { review: None, ..act }, event, Some((field, id)), still),
    }
}

fn spelt_entry<E: Stored>(
    act: Act,
    event: &E,
    owner: Option<(&str, &str)>,
    still: Option<&Blob>,
) -> Result<NewEntry, Error> {
    let still = still.filter(|still| event.still() == Some(still.hash().to_string().as_str()));
    let mut event = event.clone();
    let mut blobs = Vec::new();
    for text in event.free_texts() {
        let blob = Blob::new(std::mem::take(text).into_bytes())?;
        *text = blob.hash().to_string();
        blobs.push(blob);
    }
    let (kind, mut body) = spelt(&event);
    body.extend(owner.map(|(field, id)| (field.to_owned(), id.into())));
    let new = NewEntry::new(act, Kind::new(kind)?, Value::Object(body))?;
    Ok(blobs.into_iter().chain(still.cloned()).fold(new, NewEntry::with_blob))
}

/// The id and the event of an entry as stored: with hashes in the place of its texts.
pub(crate) fn stored<E: Stored>(entry: &Entry) -> Result<Option<(String, E)>, Fault> {
    if !E::KINDS.has(entry.kind.as_str()) || entry.kind.as_str() == BEGUN {
        return Ok(None);
    }
    let (kind, mut body) = body_of(entry)?;
    let id = match E::KINDS.owner {
        Owner::Review => entry.act.review.as_ref().map_or("", |review| review.as_str()).to_owned(),
        Owner::Field(field) => match body.remove(field) {
            Some(Value::String(id)) => id,
            _ => return Err(Fault::unreadable(&kind, format!("it does not say its {field}"))),
        },
    };
    body.insert(TAG.to_owned(), kind.as_str().into());
    let event = E::from_body(Value::Object(body)).map_err(|e| Fault::unreadable(&kind, e))?;
    Ok(Some((id, event)))
}

pub(crate) fn named(kind: &Kind, text: &str) -> Result<Hash, Fault> {
    text.parse().map_err(|_| Fault::unreadable(kind, format!("`{text}` is not a text's hash")))
}

/// The names of the texts that people wrote freely in an entry of a review, in their order.
///
/// # Errors
/// [`Fault`] for an entry of a newer form, or one that is not what its kind says.
pub fn text_names(entry: &Entry) -> Result<Vec<Hash>, Fault> {
    let Some((_, mut event)) = stored::<Event>(entry)? else { return Ok(Vec::new()) };
    event.free_texts().into_iter().map(|text| named(&entry.kind, text)).collect()
}

/// An event as JSON with its texts in place, for people and programs that read and do not verify.
pub fn shown<E: Stored>(event: &E) -> Value {
    let (kind, mut body) = spelt(event);
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
    read.map(Some).map_err(|e| Fault::unreadable(&kind, e))
}

/// Kind and fields of a body of a known form, brought up to the newest.
fn body_of(entry: &Entry) -> Result<(Kind, Map<String, Value>), Fault> {
    let kind = entry.kind.clone();
    let Value::Object(mut body) = entry.body.clone() else {
        return Err(Fault::unreadable(&kind, "it is not an object"));
    };
    match body.remove("form").and_then(|form| form.as_u64()) {
        Some(FORM) => Ok((kind, upcast(body))),
        Some(form) if form > newest(&kind) => Err(Fault::NewerForm { kind, form }),
        Some(form) if form > FORM => Ok((kind, body)),
        Some(_) | None => Err(Fault::unreadable(&kind, "it does not say its form")),
    }
}

/// A body of form 1 as form 2 has it: a computed answer was its verdict alone.
fn upcast(mut body: Map<String, Value>) -> Map<String, Value> {
    if let Some(computed) = body.get_mut("basis").and_then(|basis| basis.get_mut("computed")) {
        *computed = json!({ "verdict": computed.take(), "of": null });
    }
    body
}

/// Kind and body of an event, its texts as they are to be stored; the body does not hold its id yet.
fn spelt<E: Stored>(event: &E) -> (String, Map<String, Value>) {
    let mut body = object(event.to_body());
    let Some(Value::String(kind)) = body.remove(TAG) else {
        unreachable!("the form is tagged with its kind")
    };
    body.insert("form".to_owned(), event.form().into());
    (kind, body)
}

fn object(value: Result<Value, serde_json::Error>) -> Map<String, Value> {
    match value {
        Ok(Value::Object(object)) => object,
        // INVARIANT: names are text, figures are finite, and every body is a struct.
        other => unreachable!("a body is an object: {other:?}"),
    }
}
