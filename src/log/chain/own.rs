//! The entries that the log itself gives a meaning to: its opening, keys, editions, erasures, imports.
//!
//! Each is made by one function here, which also says what is written beside the chain for it; so an
//! erasure without its entry, or an edition that no entry vouches for, cannot be written.

use crate::chain::blob::Blob;
use crate::chain::edition::RuleText;
use crate::chain::entry::{Act, Beside, Entry, EntryError, NewEntry};
use crate::chain::hash::{Hash, LogId};
use crate::chain::label::Kind;
use crate::chain::sign::PublicKey;
use crate::chain::tip::Tip;
use serde::Deserialize;
use serde::de::DeserializeOwned;
use serde_json::{Value, json};

/// The log's own kinds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Own {
    /// The first entry: the log's id and its first key.
    Opened,
    /// Another desk's key, vouched for by a key known before.
    KeyAdded,
    /// A rule-book edition's text, by hash.
    EditionStored,
    Erased,
    /// A record from another log, verbatim.
    Imported,
    /// Entries that a head counts are lost, and the log goes on without them.
    LossAccepted,
}

impl Own {
    const ALL: [Own; 6] =
        [Own::Opened, Own::KeyAdded, Own::EditionStored, Own::Erased, Own::Imported, Own::LossAccepted];

    /// As spelt in an entry.
    pub fn as_str(self) -> &'static str {
        match self {
            Own::Opened => "log opened",
            Own::KeyAdded => "key added",
            Own::EditionStored => "edition stored",
            Own::Erased => "erased",
            Own::Imported => "imported",
            Own::LossAccepted => "loss accepted",
        }
    }

    /// The own kind that `kind` spells, if it is one.
    pub fn of(kind: &Kind) -> Option<Own> {
        Own::spelt(kind.as_str())
    }

    pub(crate) fn spelt(kind: &str) -> Option<Own> {
        Own::ALL.into_iter().find(|own| own.as_str() == kind)
    }
}

/// An own entry, read.
#[derive(Debug, Clone, PartialEq)]
pub enum Statement {
    Opened {
        log: LogId,
        key: PublicKey,
    },
    /// This key may sign from here on.
    KeyAdded {
        key: PublicKey,
    },
    EditionStored {
        /// The edition's name, as the rule book gives it.
        edition: Hash,
        /// SHA-256 of the stored text.
        text: Hash,
    },
    /// This blob is gone, and rightly so.
    Erased {
        blob: Hash,
    },
    /// The log had so many entries once, and ended otherwise; why it goes on lies beside the chain.
    LossAccepted {
        /// How many entries the head counts.
        entries: u64,
        /// The hash of the newest of them.
        head: Hash,
        /// The name of the text that says why.
        reason: Hash,
    },
    Imported {
        record: Value,
    },
}

impl Statement {
    /// What an entry states about the log itself; nothing for all other kinds.
    pub fn of(entry: &Entry) -> Result<Option<Statement>, EntryError> {
        let Some(own) = Own::of(&entry.kind) else { return Ok(None) };
        let statement = match own {
            Own::Opened => {
                let Opened { log, key } = body(entry)?;
                Statement::Opened { log: text(&log)?, key: text(&key)? }
            }
            Own::KeyAdded => {
                let KeyAdded { key } = body(entry)?;
                Statement::KeyAdded { key: text(&key)? }
            }
            Own::EditionStored => {
                let EditionStored { edition, text: stored } = body(entry)?;
                Statement::EditionStored { edition: text(&edition)?, text: text(&stored)? }
            }
            Own::Erased => {
                let Erased { blob } = body(entry)?;
                Statement::Erased { blob: text(&blob)? }
            }
            Own::LossAccepted => {
                let LossAccepted { entries, head, reason } = body(entry)?;
                Statement::LossAccepted { entries, head: text(&head)?, reason: text(&reason)? }
            }
            Own::Imported => {
                let Imported { record } = body(entry)?;
                Statement::Imported { record }
            }
        };
        Ok(Some(statement))
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Opened {
    log: String,
    key: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct KeyAdded {
    key: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct EditionStored {
    edition: String,
    text: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Erased {
    blob: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct LossAccepted {
    entries: u64,
    head: String,
    /// The hash of a text beside the chain.
    reason: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Imported {
    record: Value,
}

fn body<T: DeserializeOwned>(entry: &Entry) -> Result<T, EntryError> {
    T::deserialize(&entry.body).map_err(|e| EntryError::Read(format!("the body of `{}`: {e}", entry.kind)))
}

fn text<T: std::str::FromStr<Err: std::fmt::Display>>(text: &str) -> Result<T, EntryError> {
    text.parse().map_err(|e: T::Err| EntryError::Read(e.to_string()))
}

impl NewEntry {
    fn own(act: Act, own: Own, body: Value, beside: Vec<Beside>) -> Result<NewEntry, EntryError> {
        Ok(NewEntry { kind: Kind::new(own.as_str())?, act, number: None, body, beside })
    }

    pub(crate) fn opened(act: Act, log: LogId, key: PublicKey) -> Result<NewEntry, EntryError> {
        let body = json!({"log": log.to_string(), "key": key.to_string()});
        NewEntry::own(act, Own::Opened, body, vec![Beside::Key(key)])
    }

    /// Lets another desk's key sign from here on.
    pub fn key_added(act: Act, key: PublicKey) -> Result<NewEntry, EntryError> {
        NewEntry::own(act, Own::KeyAdded, json!({"key": key.to_string()}), vec![Beside::Key(key)])
    }

    /// Stores the text of an edition; the entry holds the text's own hash, so that every letter is checked,
    /// also those that make no edition.
    pub fn edition_stored(act: Act, rules: &RuleText) -> Result<NewEntry, EntryError> {
        let (edition, text) = (rules.hash(), rules.text());
        let stored = Hash::of(text.as_bytes());
        let body = json!({"edition": edition.to_string(), "text": stored.to_string()});
        NewEntry::own(act, Own::EditionStored, body, vec![Beside::Edition { edition, text }])
    }

    /// Erases a blob.
    pub fn erased(act: Act, blob: Hash) -> Result<NewEntry, EntryError> {
        NewEntry::own(act, Own::Erased, json!({"blob": blob.to_string()}), vec![Beside::Erase(blob)])
    }

    /// Goes on without the entries that a head counts, for this reason.
    pub(crate) fn loss_accepted(act: Act, lost: Tip, reason: Blob) -> Result<NewEntry, EntryError> {
        let body = json!({
            "entries": lost.entries, "head": lost.head.to_string(), "reason": reason.hash().to_string(),
        });
        NewEntry::own(act, Own::LossAccepted, body, vec![Beside::Blob(reason)])
    }

    /// Takes over a record of another log under its id.
    pub(crate) fn imported(act: Act, id: &str, record: Value) -> Result<NewEntry, EntryError> {
        NewEntry::own(act, Own::Imported, json!({ "record": record }), vec![Beside::Record(id.to_owned())])
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::chain::entry::Reading;
    use crate::chain::label::{Actor, CommandId};
    use crate::chain::sign::Key;
    use review::stamp::Stamp;
    use rules::book::text::Sources;

    fn act() -> Act {
        let at = Stamp { utc_ms: 0, boot_ms: 0, boot: String::new() };
        Act { actor: Actor::new("booth-07").expect("a label"), review: None, at }
    }

    fn entry(new: &NewEntry) -> Entry {
        let bytes = new.bytes(&CommandId::new("c").expect("a label")).expect("can be spelt");
        match Entry::read(&bytes) {
            Ok(Reading::Known(entry)) => entry,
            other => panic!("{other:?}"),
        }
    }

    fn read_back(new: NewEntry) -> Option<Statement> {
        Statement::of(&entry(&new)).expect("well formed")
    }

    #[test]
    fn every_own_entry_is_read_back_as_what_it_states() {
        let rules = RuleText::of("x", &Sources::default());
        let (log, key, hash) = (LogId::from([1; 16]), Key::from_seed(&[2; 32]).public(), Hash::of(b"x"));
        let reason = Blob::salted([1; 32], b"the disk died".to_vec());
        let made = [
            (NewEntry::opened(act(), log, key), Statement::Opened { log, key }),
            (NewEntry::key_added(act(), key), Statement::KeyAdded { key }),
            (
                NewEntry::edition_stored(act(), &rules),
                Statement::EditionStored { edition: rules.hash(), text: Hash::of(rules.text().as_bytes()) },
            ),
            (NewEntry::erased(act(), hash), Statement::Erased { blob: hash }),
            (
                NewEntry::loss_accepted(act(), Tip { entries: 9, head: hash }, reason.clone()),
                Statement::LossAccepted { entries: 9, head: hash, reason: reason.hash() },
            ),
            (
                NewEntry::imported(act(), "r-1", json!({"id": "r-1"})),
                Statement::Imported { record: json!({"id": "r-1"}) },
            ),
        ];
        for (new, statement) in made {
            assert_eq!(read_back(new.expect("a label")), Some(statement));
        }
    }

    #[test]
    fn a_malformed_body_says_which_kind() {
        let mut new = NewEntry::erased(act(), Hash::NONE).expect("a label");
        new.body = json!({"blob": "nothing"});
        let fault = Statement::of(&entry(&new)).expect_err("not a hash").to_string();
        assert_eq!(fault, "not an entry: `nothing` is not 64 lower-case hex digits");
    }
}
