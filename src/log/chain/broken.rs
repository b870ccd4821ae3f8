//! What is wrong with a log, said of its first bad entry.

use crate::chain::hash::{Hash, LogId};
use crate::chain::sign::KeyId;
use std::fmt;

/// The first bad entry and what is wrong with it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Broken {
    /// The entry's number; 0 for one before the first.
    pub seq: u64,
    pub what: What,
}

impl Broken {
    /// Whether it is nothing but that the head beside the log says otherwise.
    pub(crate) fn contradicts_kept_head(&self) -> bool {
        matches!(self.what, What::CutOff { by: Witness::Kept, .. } | What::Rewritten { by: Witness::Kept })
    }
}

/// How a log can be broken at an entry. `verify.rs` says how one is told from the other.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum What {
    /// A part of it is not what was written.
    Changed(Part),
    /// It is not there, and later ones are.
    Removed,
    /// Another entry of the log stands in its place.
    Reordered,
    /// It was put between two that follow each other.
    Inserted,
    /// It and all after it are gone.
    CutOff {
        entries: u64,
        by: Witness,
    },
    /// It is whole, and another than it was.
    Rewritten {
        by: Witness,
    },
    OtherLog {
        claimed: LogId,
    },
    /// It is signed by a key that is not trusted.
    OtherKey {
        key: KeyId,
    },
    /// Its signature is not that of the key it names.
    BadSignature {
        key: KeyId,
    },
    /// Its bytes are signed, but not the canonical spelling.
    NotCanonical,
    /// Its bytes are signed, but not an entry.
    NotAnEntry(String),
    /// What lies beside the chain is not what it says.
    Beside(Beside),
}

/// By what it is known where a log ended once.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Witness {
    /// A head that was exported.
    Exported,
    /// The head that is kept beside the log.
    Kept,
    /// This program itself, which verified it before.
    Read,
}

/// Which part of an entry was changed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Part {
    /// Bytes and hash do not fit.
    Bytes,
    /// Bytes and hash fit, and yet the next entry follows another hash.
    BytesAndHash,
    /// It does not name the entry before it.
    Previous,
    Number,
    /// It names another key than the one that signed.
    Key,
    /// The column says another command than the bytes.
    Command,
    /// A column has a type or length that is never written.
    Shape,
}

/// What can be wrong beside the chain.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Beside {
    EditionMissing(Hash),
    EditionChanged(Hash),
    /// The stored text is whole, and not that of the edition.
    EditionOther(Hash),
    /// A text or still is not there and was not erased.
    BlobMissing(Hash),
    BlobChanged(Hash),
    /// A text or still is there although it was erased.
    NotErased(Hash),
    /// A table that follows from the entries does not.
    Table(&'static str),
}

impl Broken {
    pub(crate) fn help(&self) -> &'static str {
        match self.contradicts_kept_head() {
            true => {
                "put the newest copy of the log back; if what is missing is lost for good, `tellframe log accept-loss` \
                goes on without it and keeps the reason in the log"
            }
            false => {
                "nothing is shown, signed or written; `tellframe log verify` says the same; keep a copy, then restore \
                the last backup"
            }
        }
    }
}

impl fmt::Display for Broken {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let seq = self.seq;
        match &self.what {
            What::Changed(part) => write!(f, "entry {seq} was changed: {part}"),
            What::Removed => write!(f, "entry {seq} was removed"),
            What::Reordered => write!(f, "entry {seq} was moved: another entry stands in its place"),
            What::Inserted => {
                write!(f, "entry {seq} was inserted: another entry follows entry {}", seq.saturating_sub(1))
            }
            What::CutOff { entries, by } => {
                write!(f, "entry {seq} and all after it were cut off: ")?;
                match by {
                    Witness::Exported => write!(f, "the exported head counts {entries}"),
                    Witness::Kept => write!(f, "the head kept beside the log counts {entries}"),
                    Witness::Read => write!(f, "{entries} entries were read before"),
                }
            }
            What::Rewritten { by } => {
                let other = match by {
                    Witness::Exported => "the one of the exported head",
                    Witness::Kept => "the one of the head kept beside the log",
                    Witness::Read => "the one that was read before",
                };
                write!(f, "entry {seq} was rewritten: it is not {other}")
            }
            What::OtherLog { claimed } => write!(f, "entry {seq} does not belong to the log {claimed}"),
            What::OtherKey { key } => {
                write!(f, "entry {seq} is signed by another key: {key} is not one of the log's")
            }
            What::BadSignature { key } => {
                write!(f, "entry {seq} has a bad signature: it is not that of the key {key}")
            }
            What::NotCanonical => write!(f, "entry {seq} is not in its canonical spelling"),
            What::NotAnEntry(fault) => write!(f, "entry {seq} cannot be read: {fault}"),
            What::Beside(beside) => write!(f, "entry {seq} is not borne out: {beside}"),
        }
    }
}

impl fmt::Display for Part {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Part::Bytes => "its hash is not that of its bytes",
            Part::BytesAndHash => "the next entry does not follow its hash",
            Part::Previous => "it does not name the entry before it",
            Part::Number => "it stands under another number",
            Part::Key => "it names another key than the one that signed it",
            Part::Command => "its command is not the one in its bytes",
            Part::Shape => "a part of it has a length that is never written",
        })
    }
}

impl fmt::Display for Beside {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Beside::EditionMissing(edition) => write!(f, "the edition {edition} is missing"),
            Beside::EditionChanged(edition) => write!(f, "the edition {edition} was changed"),
            Beside::EditionOther(edition) => {
                write!(f, "the text of the edition {edition} is that of another one")
            }
            Beside::BlobMissing(blob) => write!(f, "the text or still {blob} is missing and was not erased"),
            Beside::BlobChanged(blob) => write!(f, "the text or still {blob} was changed"),
            Beside::NotErased(blob) => write!(f, "the text or still {blob} was erased and is there"),
            Beside::Table(name) => write!(f, "the table `{name}` does not agree with it"),
        }
    }
}
