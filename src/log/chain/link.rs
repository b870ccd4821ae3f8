//! Whether an entry stands where it was written: its number, its hash and the hash before it.
//!
//! Let n be the number of good entries so far and P the hash of the newest (`Hash::NONE` before the
//! first). A row is *whole* if its hash is that of its own previous hash and bytes. A good row is whole,
//! has the number n + 1 and names P. Otherwise, in this order:
//!
//! | seen | it is |
//! | --- | --- |
//! | a number below 1 | inserted |
//! | a number beyond n + 1, whole, names P | renumbered: nothing is missing |
//! | a number beyond n + 1, and what it follows stands elsewhere in the log | n + 1 was moved |
//! | a number beyond n + 1, otherwise | n + 1 was removed |
//! | not whole, but its hash is that of P and its bytes | its previous hash was changed |
//! | not whole, otherwise | its bytes or its hash were changed |
//! | whole, and its hash stands in the log twice | a copy: inserted |
//! | whole, follows an entry k < n, and the next row follows n | a detour: inserted |
//! | whole, follows an entry k < n, otherwise | k + 1 was inserted: the log goes on from k without it |
//! | whole, follows an entry further on | moved |
//! | whole, follows no entry of the log | the entry before it was removed and the rest renumbered |
//!
//! A number is not part of the hash, because the chain is the order: renumbering alone forges nothing.

use crate::chain::broken::{Broken, Part, What};
use crate::chain::hash;
use crate::chain::hash::{Hash, LogId};
use crate::chain::sign::{KeyId, Signature};
use crate::chain::tip::Tip;
use rusqlite::types::ValueRef;
use rusqlite::{Connection, OptionalExtension as _, Row};

/// A row of the table of entries, with nothing taken on trust.
#[derive(Debug, Clone)]
pub(crate) struct Link {
    pub(crate) seq: i64,
    pub(crate) hash: Hash,
    pub(crate) previous: Hash,
    pub(crate) bytes: Vec<u8>,
    pub(crate) signature: Signature,
    pub(crate) key: KeyId,
    pub(crate) command: String,
}

impl Link {
    pub(crate) const COLUMNS: &str = "seq, hash, previous, bytes, signature, key, command";

    /// Reads a row. The inner error is a row that `append` could not have written.
    pub(crate) fn read(row: &Row<'_>) -> rusqlite::Result<Result<Link, Broken>> {
        let seq = row.get(0)?;
        let bytes = |column| -> rusqlite::Result<Option<&[u8]>> {
            Ok(match row.get_ref(column)? {
                ValueRef::Blob(bytes) | ValueRef::Text(bytes) => Some(bytes),
                ValueRef::Null | ValueRef::Integer(_) | ValueRef::Real(_) => None,
            })
        };
        let text = |bytes: Option<&[u8]>| bytes.and_then(|bytes| String::from_utf8(bytes.to_vec()).ok());
        let hash = |bytes: Option<&[u8]>| bytes.and_then(|bytes| <[u8; 32]>::try_from(bytes).ok());
        let signature = bytes(4)?.and_then(|bytes| <[u8; 64]>::try_from(bytes).ok());
        let parts =
            (hash(bytes(1)?), hash(bytes(2)?), bytes(3)?, signature, text(bytes(5)?), text(bytes(6)?));
        let (Some(own), Some(previous), Some(bytes), Some(signature), Some(key), Some(command)) = parts
        else {
            let broken = Broken { seq: number(seq), what: What::Changed(Part::Shape) };
            return Ok(Err(broken));
        };
        Ok(Ok(Link {
            seq,
            hash: own.into(),
            previous: previous.into(),
            bytes: bytes.to_vec(),
            signature: signature.into(),
            key: KeyId::stored(key),
            command,
        }))
    }

    pub(crate) fn is_whole(&self, log: &LogId) -> bool {
        self.hash == hash::entry_hash(log, &self.previous, &self.bytes)
    }
}

/// The number of a row as people count; those before the first have none.
pub(crate) fn number(seq: i64) -> u64 {
    u64::try_from(seq).unwrap_or(0)
}

/// The log being walked, as far as places are concerned.
pub(crate) struct Places<'a> {
    pub(crate) connection: &'a Connection,
    pub(crate) log: LogId,
}

impl Places<'_> {
    /// What is wrong with the place of `link` after `tip`, by the table above; nothing if it is good.
    pub(crate) fn fault(
        &self,
        tip: &Tip,
        link: &Link,
        next: Option<&Link>,
    ) -> rusqlite::Result<Option<Broken>> {
        let due = tip.entries + 1;
        let at = |seq, what| Ok(Some(Broken { seq, what }));
        let whole = link.is_whole(&self.log);
        let follows = link.previous == tip.head;
        if link.seq < 1 {
            return at(0, What::Inserted);
        }
        if number(link.seq) > due {
            return match whole && follows {
                true => at(due, What::Changed(Part::Number)),
                false if self.number_of(&link.previous)?.is_some_and(|seq| seq > due) => {
                    at(due, What::Reordered)
                }
                false => at(due, What::Removed),
            };
        }
        match (whole, follows) {
            (true, true) => Ok(None),
            (false, _) => {
                let part = match hash::entry_hash(&self.log, &tip.head, &link.bytes) == link.hash {
                    true => Part::Previous,
                    false => Part::Bytes,
                };
                at(due, What::Changed(part))
            }
            (true, false) if self.copies(&link.hash)? > 1 => at(due, What::Inserted),
            (true, false) => match self.number_of(&link.previous)? {
                Some(earlier) if earlier < tip.entries => {
                    match next.is_some_and(|next| next.previous == tip.head) {
                        true => at(due, What::Inserted),
                        false => at(earlier + 1, What::Inserted),
                    }
                }
                Some(_) => at(due, What::Reordered),
                None => at(due, What::Removed),
            },
        }
    }

    /// The number of the entry with this hash; 0 for the hash before the first.
    fn number_of(&self, hash: &Hash) -> rusqlite::Result<Option<u64>> {
        if *hash == Hash::NONE {
            return Ok(Some(0));
        }
        let text = "SELECT seq FROM entries WHERE hash = ?1 ORDER BY seq LIMIT 1";
        let found = self.connection.query_row(text, [hash.as_bytes()], |row| row.get(0)).optional()?;
        Ok(found.map(number))
    }

    fn copies(&self, hash: &Hash) -> rusqlite::Result<u64> {
        let text = "SELECT count(*) FROM entries WHERE hash = ?1";
        self.connection.query_row(text, [hash.as_bytes()], |row| row.get(0))
    }
}
