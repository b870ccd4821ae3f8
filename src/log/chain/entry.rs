//! An entry as it is stored: who did what, when, in which review, as one canonical JSON object.
//!
//! ```json
//! {"form": 1, "kind": "…", "actor": "booth-07", "review": "…" or null, "command": "…",
//!  "at": {"utc": "2026-05-09T19:42:11.204Z", "boot_ms": 81234, "boot": "…"}, "blobs": ["…"], "body": {…}}
//! ```
//!
//! `kind` and `body` mean nothing here, save the log's own kinds (`own.rs`). `command` and `blobs` are
//! part of the hashed text so that the columns and the texts beside the chain can be checked against it.
//!
//! Form 2 also has `number`: the entry's place among the events of its review, counted from 0. Whoever is handed
//! the entries of one review sees from it that none was left out, given twice or moved.

use crate::chain::blob::Blob;
use crate::chain::canonical;
use crate::chain::hash::Hash;
use crate::chain::label;
use crate::chain::label::{Actor, CommandId, Kind, ReviewId};
use crate::chain::own::Own;
use crate::chain::sign::PublicKey;
use chrono::{DateTime, SecondsFormat, Utc};
use review::stamp::Stamp;
use serde::Deserialize;
use serde_json::Value;

/// The newest form of an entry that this program reads, that of one with its number within the review. It passes on
/// newer ones.
pub const FORM: u64 = 2;

const UNNUMBERED_FORM: u64 = 1;

/// Who acted, in which review, and when.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Act {
    /// The pseudonym.
    pub actor: Actor,
    pub review: Option<ReviewId>,
    pub at: Stamp,
}

/// An entry that is about to be written.
#[derive(Debug, Clone)]
pub struct NewEntry {
    pub(crate) kind: Kind,
    pub(crate) act: Act,
    pub(crate) number: Option<u64>,
    pub(crate) body: Value,
    pub(crate) beside: Vec<Beside>,
}

/// What is written next to the chain in the same transaction.
#[derive(Debug, Clone)]
pub(crate) enum Beside {
    Blob(Blob),
    Erase(Hash),
    Edition { edition: Hash, text: String },
    Key(PublicKey),
    Record(String),
}

impl NewEntry {
    /// An entry whose kind and body are the caller's. The log's own kinds are refused: they are
    /// made by the functions of `own.rs`, which also write what belongs to them.
    pub fn new(act: Act, kind: Kind, body: Value) -> Result<NewEntry, EntryError> {
        match Own::of(&kind) {
            Some(_) => Err(EntryError::OwnKind { kind }),
            None => Ok(NewEntry { kind, act, number: None, body, beside: Vec::new() }),
        }
    }

    /// With its place among the events of its review, from 0.
    pub fn numbered(mut self, number: u64) -> NewEntry {
        self.number = Some(number);
        self
    }

    /// With a text or still beside the chain; the body should name it by `blob.hash()`.
    pub fn with_blob(mut self, blob: Blob) -> NewEntry {
        self.beside.push(Beside::Blob(blob));
        self
    }

    /// The canonical bytes of the entry as `command` writes it.
    pub(crate) fn bytes(&self, command: &CommandId) -> Result<Vec<u8>, EntryError> {
        let blob = |beside: &Beside| match beside {
            Beside::Blob(blob) => Some(blob.hash()),
            Beside::Erase(_) | Beside::Edition { .. } | Beside::Key(_) | Beside::Record(_) => None,
        };
        let blobs: Vec<_> = self.beside.iter().filter_map(blob).collect();
        let NewEntry { kind, act, number, body, .. } = self;
        Parts { kind, act, number: *number, command, blobs: &blobs, body }.spelt()
    }
}

/// An entry of the known form.
#[derive(Debug, Clone, PartialEq)]
pub struct Entry {
    pub kind: Kind,
    pub act: Act,
    pub command: CommandId,
    pub blobs: Vec<Hash>,
    /// Its place among the events of its review, from 0; entries of form 1 have none.
    pub number: Option<u64>,
    /// What `kind` says it is.
    pub body: Value,
}

/// What an entry's bytes turn out to be.
#[derive(Debug, Clone, PartialEq)]
pub enum Reading {
    Known(Entry),
    /// An entry of a newer tellframe: it is verified and shown, and not folded.
    Newer {
        form: u64,
    },
}

/// The stored object of either form, as serde reads it. `form` is looked at before.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Stored {
    #[serde(rename = "form")]
    _form: u64,
    kind: String,
    actor: String,
    review: Option<String>,
    command: String,
    at: StoredStamp,
    blobs: Vec<String>,
    number: Option<u64>,
    body: Value,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct StoredStamp {
    utc: String,
    boot_ms: u64,
    boot: String,
}

#[derive(Deserialize)]
struct FormOnly {
    form: u64,
}

impl Entry {
    /// The canonical bytes; they are what is hashed and stored.
    pub fn bytes(&self) -> Result<Vec<u8>, EntryError> {
        let Entry { kind, act, number, command, blobs, body } = self;
        Parts { kind, act, number: *number, command, blobs, body }.spelt()
    }

    /// Reads the stored bytes.
    pub fn read(bytes: &[u8]) -> Result<Reading, EntryError> {
        let FormOnly { form } = parse(bytes)?;
        if form > FORM {
            return Ok(Reading::Newer { form });
        }
        let stored: Stored = parse(bytes)?;
        if (form == FORM) != stored.number.is_some() {
            return Err(EntryError::Read(format!("form {FORM} and a number go together")));
        }
        let act = Act {
            actor: Actor::new(stored.actor)?,
            review: stored.review.map(ReviewId::new).transpose()?,
            at: Stamp { utc_ms: utc_ms(&stored.at.utc)?, boot_ms: stored.at.boot_ms, boot: stored.at.boot },
        };
        let blob = |text: String| {
            text.parse().map_err(|_| EntryError::Read(format!("`{text}` is not a blob's hash")))
        };
        Ok(Reading::Known(Entry {
            kind: Kind::new(stored.kind)?,
            act,
            command: CommandId::new(stored.command)?,
            number: stored.number,
            blobs: stored.blobs.into_iter().map(blob).collect::<Result<_, _>>()?,
            body: stored.body,
        }))
    }
}

struct Parts<'a> {
    kind: &'a Kind,
    act: &'a Act,
    number: Option<u64>,
    command: &'a CommandId,
    blobs: &'a [Hash],
    body: &'a Value,
}

impl Parts<'_> {
    /// The canonical bytes of an entry.
    ///
    /// The outer names are spelt here in their sorted order, because that is three times as fast as
    /// sorting them for each event; a property test holds them to `canonical`.
    fn spelt(&self) -> Result<Vec<u8>, EntryError> {
        let Act { actor, review, at } = self.act;
        let body = canonical::bytes(self.body).map_err(EntryError::NotIJson)?;
        let mut spelt = Vec::with_capacity(body.len() + 256);
        let text = |spelt: &mut Vec<u8>, name: &str, text: &str| {
            spelt.extend_from_slice(name.as_bytes());
            canonical::text(spelt, text);
        };
        text(&mut spelt, r#"{"actor":"#, actor.as_str());
        text(&mut spelt, r#","at":{"boot":"#, &at.boot);
        spelt.extend_from_slice(br#","boot_ms":"#);
        canonical::whole(&mut spelt, at.boot_ms).map_err(EntryError::NotIJson)?;
        text(&mut spelt, r#","utc":"#, &utc_text(at.utc_ms)?);
        spelt.extend_from_slice(br#"},"blobs":["#);
        for (position, blob) in self.blobs.iter().enumerate() {
            text(&mut spelt, if position == 0 { "" } else { "," }, &blob.to_string());
        }
        spelt.extend_from_slice(br#"],"body":"#);
        spelt.extend_from_slice(&body);
        text(&mut spelt, r#","command":"#, self.command.as_str());
        spelt.extend_from_slice(br#","form":"#);
        let form = if self.number.is_some() { FORM } else { UNNUMBERED_FORM };
        canonical::whole(&mut spelt, form).map_err(EntryError::NotIJson)?;
        text(&mut spelt, r#","kind":"#, self.kind.as_str());
        if let Some(number) = self.number {
            spelt.extend_from_slice(br#","number":"#);
            canonical::whole(&mut spelt, number).map_err(EntryError::NotIJson)?;
        }
        match review {
            Some(review) => text(&mut spelt, r#","review":"#, review.as_str()),
            None => spelt.extend_from_slice(br#","review":null"#),
        }
        spelt.push(b'}');
        Ok(spelt)
    }
}

fn parse<'a, T: Deserialize<'a>>(bytes: &'a [u8]) -> Result<T, EntryError> {
    serde_json::from_slice(bytes).map_err(|e| EntryError::Read(e.to_string()))
}

/// RFC 3339 in UTC with exactly three decimals, so that one instant has one spelling.
fn utc_text(utc_ms: i64) -> Result<String, EntryError> {
    let four_digit_years = -62_167_219_200_000..253_402_300_800_000; // 0000-01-01 to 9999-12-31
    DateTime::<Utc>::from_timestamp_millis(utc_ms)
        .filter(|_| four_digit_years.contains(&utc_ms))
        .map(|instant| instant.to_rfc3339_opts(SecondsFormat::Millis, true))
        .ok_or(EntryError::Instant { given: utc_ms.to_string() })
}

fn utc_ms(text: &str) -> Result<i64, EntryError> {
    let wrong = || EntryError::Instant { given: text.to_owned() };
    let instant = DateTime::parse_from_rfc3339(text).map_err(|_| wrong())?.timestamp_millis();
    match utc_text(instant)? == text {
        true => Ok(instant),
        false => Err(wrong()),
    }
}

/// What is wrong with an entry.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum EntryError {
    /// A label is empty, too long, or more than a line.
    #[error(transparent)]
    Label(#[from] label::LabelError),
    #[error("entries of the kind `{kind}` are written by the log itself")]
    OwnKind { kind: Kind },
    #[error("the entry cannot be written: {0}")]
    NotIJson(canonical::CanonicalError),
    /// A time outside the years 0 to 9999, or spelt otherwise than the log does.
    #[error("`{given}` is not an instant as the log writes it, e.g. 2026-05-09T19:42:11.204Z")]
    Instant { given: String },
    /// The bytes are not an entry of the form that they claim.
    #[error("not an entry: {0}")]
    Read(String),
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use serde_json::json;

    fn act(utc_ms: i64) -> Act {
        Act {
            actor: Actor::new("booth-07").expect("a label"),
            review: None,
            at: Stamp { utc_ms, boot_ms: 81_234, boot: "b-1".to_owned() },
        }
    }

    fn entry(utc_ms: i64) -> Entry {
        let kind = Kind::new("mark set").expect("a label");
        let command = CommandId::new("c-1").expect("a label");
        let body = json!({"moment": "snap"});
        Entry { kind, act: act(utc_ms), command, blobs: vec![], number: None, body }
    }

    #[test]
    fn an_entry_has_the_documented_spelling_and_is_read_back() {
        let entry = entry(1_778_355_731_204);
        let bytes = entry.bytes().expect("can be spelt");
        assert_eq!(
            String::from_utf8_lossy(&bytes),
            concat!(
                r#"{"actor":"booth-07","at":{"boot":"b-1","boot_ms":81234,"utc":"2026-05-09T19:42:11.204Z"},"#,
                r#""blobs":[],"body":{"moment":"snap"},"command":"c-1","form":1,"kind":"mark set","review":null}"#
            )
        );
        assert_eq!(Entry::read(&bytes), Ok(Reading::Known(entry.clone())));
        let numbered = Entry { number: Some(7), ..entry };
        let bytes = numbered.bytes().expect("can be spelt");
        let end = r#""form":2,"kind":"mark set","number":7,"review":null}"#;
        assert!(String::from_utf8_lossy(&bytes).ends_with(end));
        assert_eq!(Entry::read(&bytes), Ok(Reading::Known(numbered)));
    }

    #[test]
    fn form_2_and_a_number_go_together() {
        let bytes = entry(0).bytes().expect("can be spelt");
        let text = String::from_utf8_lossy(&bytes);
        let others = [
            text.replace(r#""form":1"#, r#""form":2"#),
            text.replace(r#""review""#, r#""number":0,"review""#),
            text.replace(r#""form":1"#, r#""form":2"#).replace(r#""review""#, r#""number":null,"review""#),
        ];
        for other in others {
            let fault = Entry::read(other.as_bytes()).expect_err(&other).to_string();
            assert_eq!(fault, "not an entry: form 2 and a number go together");
        }
    }

    proptest! {
        #[test]
        fn the_outer_names_are_spelt_as_rfc_8785_would(
            (kind, command, boot, text) in ("\\PC{1,20}", "\\PC{1,20}", ".{0,12}", ".{0,20}"),
            review in prop::option::of("\\PC{1,20}"),
            (utc_ms, boot_ms) in (0..253_402_300_800_000_i64, 0..(1_u64 << 53)),
            blobs in prop::collection::vec(any::<[u8; 32]>(), 0..3),
            number in prop::option::of(0..(1_u64 << 53)),
        ) {
            let mut act = act(utc_ms);
            act.review = review.map(|text| ReviewId::new(text).expect("a label"));
            act.at = Stamp { utc_ms, boot_ms, boot };
            let (kind, command) = (Kind::new(kind).expect("a label"), CommandId::new(command).expect("a label"));
            let blobs = blobs.into_iter().map(Hash::from).collect();
            let entry = Entry { kind, act, command, blobs, number, body: json!({ "z": text, "a": 0.5 }) };
            let bytes = entry.bytes().expect("can be spelt");
            prop_assert_eq!(canonical::is_canonical(&bytes), Ok(true));
            prop_assert_eq!(Entry::read(&bytes), Ok(Reading::Known(entry)));
        }
    }

    #[test]
    fn whole_seconds_keep_their_three_decimals() {
        assert_eq!(utc_text(0), Ok("1970-01-01T00:00:00.000Z".to_owned()));
        assert_eq!(utc_ms("1970-01-01T00:00:00.000Z"), Ok(0));
        for other in ["1970-01-01T00:00:00Z", "1970-01-01T01:00:00.000+01:00", "yesterday"] {
            assert!(utc_ms(other).is_err(), "{other}");
        }
        assert!(entry(i64::MAX).bytes().is_err());
        assert!(entry(253_402_300_800_000).bytes().is_err());
    }

    #[test]
    fn a_newer_form_is_named_and_not_read() {
        assert_eq!(Entry::read(br#"{"form":3,"who":"knows"}"#), Ok(Reading::Newer { form: 3 }));
    }

    #[test]
    fn what_is_no_entry_says_why() {
        let faults = [
            ("{", "not an entry: EOF while parsing an object at line 1 column 1"),
            (r#"{"kind":"x"}"#, "not an entry: missing field `form` at line 1 column 12"),
            (r#"{"form":1,"who":"x"}"#, "not an entry: unknown field `who`, expected one of"),
        ];
        for (bytes, says) in faults {
            let fault = Entry::read(bytes.as_bytes()).expect_err(bytes).to_string();
            assert!(fault.starts_with(says), "{fault}");
        }
    }

    #[test]
    fn the_logs_own_kinds_are_not_for_others() {
        let kind = Kind::new("erased").expect("a label");
        let fault = NewEntry::new(act(0), kind, json!({})).expect_err("the log's own").to_string();
        assert_eq!(fault, "entries of the kind `erased` are written by the log itself");
    }
}
