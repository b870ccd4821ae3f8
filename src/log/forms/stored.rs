//! What a stream is: which entries are of it, and how its events are stored, read back and folded.

use super::Fault;
use crate::chain::entry::{Act, Entry};
use serde_json::Value;
use std::fmt::Debug;

/// An event that the log keeps. Each type of event is a stream, and an entry is of one stream or of none.
pub trait Stored: Clone + Debug + PartialEq {
    /// Which entries are of the stream.
    const KINDS: Kinds;

    /// An event as the state takes it in.
    type Stamped: Clone + Debug + PartialEq;
    /// What the events of one id amount to.
    type State: Clone + Debug + PartialEq + Default;

    /// The form of the body: the oldest that can hold the event, so that older programs read as much as they can.
    fn form(&self) -> u64 {
        1
    }
    /// The body, with its kind under [`TAG`](crate::forms::TAG).
    fn to_body(&self) -> Result<Value, serde_json::Error>;
    /// The event of such a body of the newest form.
    fn from_body(body: Value) -> Result<Self, serde_json::Error>;
    /// Every text that a person wrote freely: it lies beside the chain, and the body has its hash.
    fn free_texts(&mut self) -> Vec<&mut String>;
    /// The still that lies beside the chain for it, by its hash.
    fn still(&self) -> Option<&str> {
        None
    }
    /// The event with who did it and when.
    fn stamped(self, act: &Act) -> Self::Stamped;
    /// Takes in one more event of this id.
    fn apply(state: &mut Self::State, id: &str, stamped: Self::Stamped);

    /// The id that a first event gives to what it begins.
    fn begins(&self) -> Option<&str> {
        None
    }
    /// The edition under which an event put it.
    fn edition(_state: &Self::State) -> Option<&str> {
        None
    }
}

/// Which entries are of a stream.
#[derive(Debug, Clone, Copy)]
pub struct Kinds {
    /// What it is called to people: `review`.
    pub(crate) noun: &'static str,
    /// What its kinds begin with: `review.`
    pub(crate) prefix: &'static str,
    /// Where an entry has its id.
    pub(crate) owner: Owner,
    /// The kinds that end something: after them the log is moved into one file.
    pub(crate) ends: &'static [&'static str],
    /// The newest form of a kind that this program reads.
    pub(crate) newest: fn(&str) -> u64,
    /// How an entry is treated that this program cannot read.
    pub(crate) unreadable: Unreadable,
    /// Checks that the body of an entry is what its kind says.
    pub(crate) check: fn(&Entry) -> Result<(), Fault>,
}

/// Where an entry names what it is of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Owner {
    /// In its header, which names a review. Such entries are numbered from 0.
    Review,
    /// In this field of its body. Its header names no review.
    Field(&'static str),
}

/// How an entry is treated that this program cannot read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Unreadable {
    /// What comes after it is not folded, and nothing is added: later events may depend on it.
    Stops,
    /// It is skipped: every event stands for itself, and `verify` reports it.
    Skipped,
}

impl Kinds {
    /// Whether an entry of this kind is of the stream.
    pub(crate) fn has(&self, kind: &str) -> bool {
        kind.starts_with(self.prefix)
    }
}

/// Checks the body of an entry as that of an event.
pub(crate) fn check<E: Stored>(entry: &Entry) -> Result<(), Fault> {
    super::stored::<E>(entry).map(drop)
}

/// For kinds that have only the first form.
pub(crate) fn first_form(_kind: &str) -> u64 {
    1
}
