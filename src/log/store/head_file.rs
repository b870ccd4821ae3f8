//! The head that a desk keeps beside its log: where the log ended when it was last written to.
//!
//! The chain shows every change but one: a log whose newest entries are gone is a whole, shorter log. This file shows
//! that too, as long as nobody takes it away as well; who must not be able to is handed an exported head (`head.rs`).
//! Besides, what it vouches for need not be checked by signatures whenever the log is opened (`verify/vouched.rs`).
//!
//! It is written after each act, when the entries are on the disk: the log is always at least as new as its head. So it is
//! forced to the disk only where something ends; a power cut leaves an older head, or a damaged one, which counts for
//! nothing. A head that contradicts the log is believed: the log is not opened, and only an act that is kept in the log
//! (`Log::accept_loss`) puts the head right.

use crate::Error;
use crate::chain::hash::LogId;
use crate::chain::sign::{Key, PublicKey, Signature};
use crate::chain::tip::Tip;
use crate::files;
use crate::files::beside;
use crate::store::seals::Place;
use serde::{Deserialize, Serialize};
use std::fs::{self, File};
use std::io::{self, Read as _, Write as _};
use std::path::Path;

const DOMAIN: &[u8] = b"tellframe kept head 1\n";

const SUFFIX: &str = ".head";

/// A head file has some 700 bytes.
const MOST_BYTES: u64 = 4096;

/// A kept head whose signature is that of the key it names.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Kept {
    log: LogId,
    place: Place,
    key: PublicKey,
    signature: Signature,
}

/// What lies beside a log.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Found {
    /// Nothing: the log is of an older tellframe, or was copied alone.
    Nothing,
    /// Something that counts for nothing, and why.
    Void(String),
    /// A head. Whose key signed it, the log must say.
    Head(Box<Kept>),
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Written {
    log: String,
    entries: u64,
    head: String,
    seals: String,
    signature: String,
    key: String,
    public: String,
}

impl Kept {
    pub(crate) fn signed(log: LogId, place: Place, key: &Key) -> Kept {
        Kept { log, place, key: key.public(), signature: key.sign(&message(&log, &place)) }
    }

    /// Id of the log that ended here.
    pub fn log(&self) -> LogId {
        self.log
    }

    /// Where the log ended.
    pub fn tip(&self) -> Tip {
        self.place.tip
    }

    /// Who signed it.
    pub fn key(&self) -> PublicKey {
        self.key
    }

    pub(crate) fn place(&self) -> Place {
        self.place
    }

    fn to_json(&self) -> String {
        let written = Written {
            log: self.log.to_string(),
            entries: self.place.tip.entries,
            head: self.place.tip.head.to_string(),
            seals: self.place.seals.to_string(),
            signature: self.signature.to_string(),
            key: self.key.id().to_string(),
            public: self.key.to_string(),
        };
        serde_json::to_string_pretty(&written).expect("texts and a number are JSON") + "\n"
    }

    fn parse(text: &str) -> Result<Kept, String> {
        let written: Written = serde_json::from_str(text).map_err(|e| e.to_string())?;
        let tip = Tip { entries: written.entries, head: field("head", &written.head)? };
        let place = Place { tip, seals: field("seals", &written.seals)? };
        let (log, key): (LogId, PublicKey) = (field("log", &written.log)?, field("public", &written.public)?);
        let signature = field("signature", &written.signature)?;
        match key.id().as_str() == written.key && key.signed(&message(&log, &place), &signature) {
            true => Ok(Kept { log, place, key, signature }),
            false => Err(format!("its signature is not that of the key {}", written.key)),
        }
    }

    /// Puts it beside the log in the place of an earlier one: written under another name first, so that there is
    /// either the old one or the new one, and never through a link.
    pub(crate) fn write(&self, log: &Path) -> io::Result<()> {
        let head = beside(log, SUFFIX);
        let part = beside(&head, ".new");
        match fs::remove_file(&part) {
            Err(error) if error.kind() != io::ErrorKind::NotFound => return Err(error),
            Ok(()) | Err(_) => {}
        }
        files::make(&part)?.write_all(self.to_json().as_bytes())?;
        fs::rename(&part, &head)
    }
}

impl Found {
    /// What lies beside the log at `path`, which has no links in it.
    pub(crate) fn beside(path: &Path) -> Found {
        match read(&beside(path, SUFFIX)) {
            Ok(text) => Kept::parse(&text).map_or_else(Found::Void, |kept| Found::Head(Box::new(kept))),
            Err(error) if error.kind() == io::ErrorKind::NotFound => Found::Nothing,
            Err(error) => Found::Void(error.to_string()),
        }
    }

    pub(crate) fn head(&self) -> Option<&Kept> {
        match self {
            Found::Head(kept) => Some(kept.as_ref()),
            Found::Nothing | Found::Void(_) => None,
        }
    }

    /// The same, where a head of another log counts for nothing.
    pub(crate) fn of(self, log: LogId) -> Found {
        match self {
            Found::Head(kept) if kept.log != log => Found::Void(format!("it is of the log {}", kept.log)),
            found => found,
        }
    }
}

pub(crate) fn sync(log: &Path) -> io::Result<()> {
    File::open(beside(log, SUFFIX))?.sync_all()?;
    // A rename is on the disk when its folder is (POSIX); other systems have no such call for a folder.
    match log.parent() {
        Some(folder) if cfg!(unix) => File::open(folder)?.sync_all(),
        Some(_) | None => Ok(()),
    }
}

/// A regular file of a size that a head can have.
fn read(path: &Path) -> io::Result<String> {
    let file = files::open_unlinked(path)?;
    if !file.metadata()?.is_file() {
        return Err(io::Error::other("it is not a regular file"));
    }
    let mut text = String::new();
    file.take(MOST_BYTES).read_to_string(&mut text)?;
    Ok(text)
}

/// Every part has a fixed length.
fn message(log: &LogId, place: &Place) -> Vec<u8> {
    let Place { tip, seals } = place;
    [DOMAIN, log.as_bytes(), &tip.entries.to_be_bytes(), tip.head.as_bytes(), seals.as_bytes()].concat()
}

fn field<T: std::str::FromStr<Err: std::fmt::Display>>(name: &str, text: &str) -> Result<T, String> {
    text.parse().map_err(|e: T::Err| format!("field `{name}`: {e}"))
}

/// Keeps the head of one log that is open for writing.
#[derive(Debug, Default)]
pub(crate) struct Keeper {
    fault: Option<String>,
    /// Written since it was last forced to the disk.
    loose: bool,
}

impl Keeper {
    /// Writes a new head. The act is on the disk already: whatever becomes of its head, it is kept.
    pub(crate) fn keep(&mut self, log: &Path, head: Result<Kept, Error>) {
        let written = match head {
            Ok(kept) => kept.write(log).map_err(|error| error.to_string()),
            Err(error) => Err(error.to_string()),
        };
        self.loose |= written.is_ok();
        self.fault = written.err();
        if let Some(fault) = &self.fault {
            tracing::warn!("the head beside the log {} could not be written: {fault}", log.display());
        }
    }

    /// Forces the head to the disk, if there is anything new in it.
    pub(crate) fn sync(&mut self, log: &Path) {
        if !std::mem::take(&mut self.loose) {
            return;
        }
        if let Err(error) = sync(log) {
            tracing::warn!("the head beside the log {} may not be on the disk: {error}", log.display());
        }
    }

    /// Why the head beside the log is not the newest.
    pub(crate) fn fault(&self) -> Option<&str> {
        self.fault.as_deref()
    }
}
