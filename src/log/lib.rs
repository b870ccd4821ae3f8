//! The log: what happened in every review and game, kept so that nothing can be changed without being seen.
//!
//! Answers: what was written, by whom, in which order, and is it all still there? It appends, reads, verifies, exports
//! and imports. It never updates or deletes an entry, never reads a clock, and decides nothing: commands are decided in
//! `review`.
//!
//! In reading order: [`chain`] spells, hashes and signs an entry; [`store`] keeps entries in a database file, with one
//! desk writing at a time; [`verify`] proves them, in one pass that every reader begins with; [`streams`] says what the
//! entries are of, and holds one review, game or ruling at a time; [`forms`] has the stored form of each kind of event;
//! [`exchange`] takes records in and out.

use std::io;
use std::path::{Path, PathBuf};

use crate::chain::hash::Hash;
use crate::chain::sign::KeyId;

pub mod chain;
pub mod exchange;
pub mod files;
pub mod forms;
pub mod store;
pub mod streams;
use crate::chain::broken;
use crate::chain::entry;
use crate::chain::label;
use crate::chain::sign;
use crate::store::head;
use crate::store::identity;
use crate::store::tables;
use crate::store::wal;
use crate::streams::session;

/// Why the log did not do what it was asked. Whatever the reason, what it held before it still holds.
#[derive(Debug, thiserror::Error)]
pub enum Error {
    #[error("there is no log at {path}", path = .0.display())]
    Missing(PathBuf),
    /// There is one already, where a new one was asked for.
    #[error("there is a log at {path} already", path = .0.display())]
    Exists(PathBuf),
    #[error("the log {path} is in use by another desk ({process})", path = path.display(),
        process = process.map_or("its process is not known".to_owned(), |id| format!("process {id}")))]
    InUse { path: PathBuf, process: Option<u32> },
    #[error("another program holds the log {path}", path = .0.display())]
    Busy(PathBuf),
    #[error("the log {path} cannot be written: its folder or file is read-only", path = .0.display())]
    ReadOnly(PathBuf),
    #[error("the disk is full: nothing was added to the log {path}", path = .0.display())]
    Full(PathBuf),
    #[error("the log {path} is damaged: {detail}", path = path.display())]
    Damaged { path: PathBuf, detail: String },
    #[error("the log {path} is broken: {broken}", path = path.display())]
    Broken { path: PathBuf, broken: broken::Broken },
    /// There is no log where a head of one lies.
    #[error("there was a log at {path} with {entries} entries, and it is gone: only its head is there",
        path = path.display())]
    Gone { path: PathBuf, entries: u64 },
    #[error("no head beside the log {path} contradicts it: there is no loss to accept", path = .0.display())]
    NoLoss(PathBuf),
    /// A loss was accepted, and the old head could not be replaced.
    #[error("the head beside the log {path} could not be replaced: {detail}", path = path.display())]
    HeadUnwritten { path: PathBuf, detail: String },
    #[error("{path} is a database, but not a log of tellframe", path = .0.display())]
    NotALog(PathBuf),
    #[error("the log {path} has tables of version {found}; this tellframe knows up to {known}", path = path.display())]
    NewerTables { path: PathBuf, found: i64, known: i64 },
    /// Tables, triggers or views that no tellframe made: acts could go nowhere.
    #[error("the log {path} has tables that no tellframe wrote: {fault}", path = path.display())]
    Tables { path: PathBuf, fault: tables::TablesError },
    /// Acts are in a file that cannot be read to its end, and SQLite would drop them without a word.
    #[error("the write-ahead file of the log {path} is damaged: {fault}; acts that were acknowledged may be lost",
        path = path.display())]
    WriteAhead { path: PathBuf, fault: wal::WalError },
    /// What lies in the place of a file of the log is not one of its own.
    #[error("cannot use {path}: {what}", path = path.display())]
    Foreign { path: PathBuf, what: files::Foreign },
    /// The log that is open is not the one that lies there any more.
    #[error("the log {path} {how}: the act is not acknowledged", path = path.display())]
    Displaced { path: PathBuf, how: identity::Displaced },
    /// The database answered that all is well, and a row did not come to be.
    #[error("the log {path} did not take the act: the table `{table}` is as before", path = path.display())]
    NotTaken { path: PathBuf, table: &'static str },
    /// An entry of a newer tellframe, where its meaning was asked for.
    #[error("entry {seq} is of form {form}; this tellframe reads up to form {known}", known = entry::FORM)]
    NewerEntry { seq: u64, form: u64 },
    /// Somebody appended since the caller last looked.
    #[error("another desk wrote in between: the log's head is {found}, not {expected}")]
    HeadMoved { expected: Hash, found: Hash },
    /// The log does not know the key that should sign.
    #[error("the log {path} does not know the key {key}", path = path.display())]
    KeyUnknown { path: PathBuf, key: KeyId },
    /// Beside the chain there is already one, or none, of this name.
    #[error("{0}")]
    Beside(BesideFault),
    /// A command without an entry.
    #[error("there is nothing to append")]
    Nothing,
    #[error(transparent)]
    Label(#[from] label::LabelError),
    #[error(transparent)]
    Entry(#[from] entry::EntryError),
    #[error(transparent)]
    Record(#[from] forms::Fault),
    #[error(transparent)]
    Session(#[from] session::SessionError),
    #[error(transparent)]
    Head(#[from] head::HeadError),
    #[error(transparent)]
    Key(#[from] sign::KeyError),
    #[error("cannot use {path}", path = path.display())]
    File { path: PathBuf, source: io::Error },
    #[error("the database of the log {path} failed", path = path.display())]
    Database { path: PathBuf, source: rusqlite::Error },
    #[error("the system names no data folder for this user")]
    NoHome,
}

/// What lies beside the chain is not as an entry needs it.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum BesideFault {
    #[error("there is no text or still {0} to erase")]
    NoBlob(Hash),
    #[error("the edition {0} is stored already")]
    EditionStored(Hash),
    #[error("the key {0} is known already")]
    KeyKnown(KeyId),
    #[error("the record `{0}` is imported already")]
    RecordImported(String),
}

impl Error {
    /// What the person can do about it, where there is something.
    pub fn help(&self) -> Option<&'static str> {
        match self {
            Error::Missing(_) => Some("check the path; the desk makes a log when it opens without one"),
            Error::Exists(_) => Some("open it, or choose another path"),
            Error::InUse { .. } => {
                Some("close the other desk; reading (show, verify, export) works meanwhile")
            }
            Error::Busy(_) => Some("close the program that has the file open, then try again"),
            Error::ReadOnly(_) => Some(
                "give yourself the right to write there, or copy all files of the log \
                (also -wal and -shm) to a folder of your own",
            ),
            Error::Full(_) => Some("make room on the disk, then do it again; all earlier entries are kept"),
            Error::Damaged { .. } => Some(
                "do not write to it; keep a copy, and go back to the last backup; \
                `tellframe log verify` names the first bad entry where it can be read",
            ),
            Error::Tables { .. } => Some(
                "do not write to it: acts could be lost without a word; keep a copy of all its files, \
                and go back to the last backup",
            ),
            Error::WriteAhead { .. } => Some(
                "open it with no other program: it would drop what it cannot read; keep a copy of all its files \
                (also -wal), and go back to the last backup; docs/log-files.md says how to keep what can be read",
            ),
            Error::Foreign { what, .. } => Some(what.help()),
            Error::Displaced { how, .. } => Some(how.help()),
            Error::NotTaken { .. } => {
                Some("nothing was added; `tellframe log verify` says what is wrong with the log")
            }
            Error::Broken { broken, .. } => Some(broken.help()),
            Error::Gone { .. } => Some(
                "put the log back from a copy; to begin a new one, move the file that ends in `.head` elsewhere",
            ),
            Error::HeadUnwritten { .. } => {
                Some("see to it that the folder can be written, then accept the loss once more")
            }
            Error::NotALog(_) => Some("check the path"),
            Error::NewerTables { .. }
            | Error::NewerEntry { .. }
            | Error::Record(forms::Fault::NewerForm { .. }) => {
                Some("use the newer tellframe; this one changes nothing in the log")
            }
            Error::HeadMoved { .. } => Some("read what was added, then decide again"),
            Error::KeyUnknown { .. } => Some("add the key from a desk whose key the log knows"),
            Error::NoHome => Some("name the folder yourself"),
            Error::Session(fault) => Some(fault.help()),
            Error::Beside(_)
            | Error::NoLoss(_)
            | Error::Nothing
            | Error::Label(_)
            | Error::Entry(_)
            | Error::Record(forms::Fault::Unreadable { .. })
            | Error::Head(_)
            | Error::Key(_)
            | Error::File { .. }
            | Error::Database { .. } => None,
        }
    }

    /// What a database's refusal means for the log at `path`.
    pub(crate) fn of_database(path: &Path, source: rusqlite::Error) -> Error {
        use rusqlite::ErrorCode;
        let damaged = |detail: String| Error::Damaged { path: path.to_owned(), detail };
        match &source {
            rusqlite::Error::InvalidColumnType(..) | rusqlite::Error::FromSqlConversionFailure(..) => {
                damaged(source.to_string())
            }
            _ => match source.sqlite_error_code() {
                Some(ErrorCode::NotADatabase | ErrorCode::DatabaseCorrupt) => damaged(source.to_string()),
                Some(ErrorCode::ReadOnly | ErrorCode::PermissionDenied) => Error::ReadOnly(path.to_owned()),
                Some(ErrorCode::DiskFull) => Error::Full(path.to_owned()),
                Some(ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked) => Error::Busy(path.to_owned()),
                _ => Error::Database { path: path.to_owned(), source },
            },
        }
    }

    /// What the system's refusal of a file means for the log at `path`.
    pub(crate) fn of_file(path: &Path, source: io::Error) -> Error {
        match source.kind() {
            io::ErrorKind::NotFound => Error::Missing(path.to_owned()),
            io::ErrorKind::PermissionDenied | io::ErrorKind::ReadOnlyFilesystem => {
                Error::ReadOnly(path.to_owned())
            }
            io::ErrorKind::StorageFull | io::ErrorKind::QuotaExceeded => Error::Full(path.to_owned()),
            _ => Error::File { path: path.to_owned(), source },
        }
    }
}
