//! Which entries are of what: built in memory by the pass that verifies the log, and kept up by the same pass as
//! entries are added or read on.

use crate::chain::entry::Entry;
use crate::forms::ALL;
use crate::forms::stored::{Kinds, Owner};
use serde_json::{Map, Value};
use std::collections::HashMap;

/// The numbers of entries by stream and id.
#[derive(Debug, Default)]
pub(crate) struct Index {
    streams: [Owners; ALL.len()],
    /// The entries whose header names a review, of whatever kind.
    named: Owners,
    pub(crate) imported: Vec<u64>,
    /// Number and form of entries of a newer tellframe that may be of a review.
    newer: Vec<(u64, u64)>,
}

#[derive(Debug, Default)]
struct Owners {
    /// By id, in the order in which the ids came up.
    entries: Vec<(String, Vec<u64>)>,
    places: HashMap<String, usize>,
}

impl Owners {
    fn of(&self, id: &str) -> &[u64] {
        let entries = self.places.get(id).and_then(|place| self.entries.get(*place));
        entries.map_or(&[], |(_, entries)| entries)
    }

    fn add(&mut self, id: &str, seq: u64) {
        match self.places.get(id).and_then(|place| self.entries.get_mut(*place)) {
            Some((_, entries)) => entries.push(seq),
            None => {
                self.places.insert(id.to_owned(), self.entries.len());
                self.entries.push((id.to_owned(), vec![seq]));
            }
        }
    }
}

/// The place of the stream that an entry of this kind is of.
fn place(kind: &str) -> Option<usize> {
    ALL.iter().position(|kinds| kinds.has(kind))
}

impl Index {
    /// Takes in an entry of this kind, if its header names what it is of. Where its body does, the field that it does it
    /// in.
    pub(crate) fn by_header(&mut self, seq: u64, kind: &str, review: Option<&str>) -> Option<&'static str> {
        if let Some(review) = review {
            self.named.add(review, seq);
        }
        let place = place(kind)?;
        match (ALL[place].owner, review) {
            (Owner::Review, Some(review)) => {
                self.streams[place].add(review, seq);
                None
            }
            (Owner::Field(field), None) => Some(field),
            (Owner::Review, None) | (Owner::Field(_), Some(_)) => None,
        }
    }

    pub(crate) fn add(&mut self, seq: u64, entry: &Entry) {
        let (kind, review) = (entry.kind.as_str(), entry.act.review.as_ref());
        if let Some(field) = self.by_header(seq, kind, review.map(|review| review.as_str())) {
            self.by_body(seq, kind, entry.body.get(field).and_then(Value::as_str));
        }
    }

    /// Takes in an entry of this kind whose body names this id.
    pub(crate) fn by_body(&mut self, seq: u64, kind: &str, id: Option<&str>) {
        if let (Some(place), Some(id)) = (place(kind), id) {
            self.streams[place].add(id, seq);
        }
    }

    /// Takes in an entry of a newer form: it is of no review if it says so in the place known today.
    pub(crate) fn add_newer(&mut self, seq: u64, form: u64, bytes: &[u8]) {
        // Without a header that can be read it may be of any review.
        let header: Option<Map<String, Value>> = serde_json::from_slice(bytes).ok();
        match header.as_ref().and_then(|header| header.get("review")) {
            Some(Value::Null) => return,
            Some(Value::String(review)) => self.named.add(review, seq),
            Some(_) | None => {}
        }
        self.newer.push((seq, form));
    }

    /// Every id of a stream with its entries, in the order in which the ids came up.
    pub(crate) fn all(&self, of: &Kinds) -> &[(String, Vec<u64>)] {
        &self.of(of).entries
    }

    pub(crate) fn one(&self, of: &Kinds, id: &str) -> &[u64] {
        self.of(of).of(id)
    }

    fn of(&self, of: &Kinds) -> &Owners {
        let place = place(of.prefix).expect("every stream stands in `forms::ALL`");
        &self.streams[place]
    }

    pub(crate) fn naming(&self, review: &str) -> &[u64] {
        self.named.of(review)
    }

    /// The last entry of a newer form that may be of a review.
    pub(crate) fn newest_unknown(&self) -> Option<(u64, u64)> {
        self.newer.last().copied()
    }
}
