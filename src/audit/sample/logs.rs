//! The logs and files of records that an audit is about, read in.

use crate::sample::Sample;
use crate::sample::read;
use log::exchange::{jsonl, records};
use log::store::reader::Reader;
use std::collections::HashMap;
use std::fs::File;
use std::io::{self, Read as _};
use std::path::{Path, PathBuf};

/// What was read.
#[derive(Debug)]
pub struct Taken {
    /// All records, each once.
    pub sample: Sample,
    /// The logs among the files, in the order in which they were named.
    pub logs: Vec<Reader>,
    /// In which of `logs` a record stands; one that came from a file of records stands in none.
    pub home: HashMap<String, usize>,
}

/// Why something could not be read.
#[derive(Debug, thiserror::Error)]
pub enum Unread {
    /// No such file, or it may not be read.
    #[error("cannot read {path}: {source}")]
    File {
        /// Which.
        path: String,
        /// Why.
        source: io::Error,
    },
    /// A table that was exported.
    #[error("{0} is a Parquet table")]
    Parquet(String),
    /// A log that cannot be read.
    #[error(transparent)]
    Log(#[from] log::Error),
    /// A log with a record that cannot be audited.
    #[error("{path}: {says}")]
    Record {
        /// Which log.
        path: String,
        /// What is wrong with it.
        says: String,
    },
    /// Lines that are no records.
    #[error(transparent)]
    Lines(#[from] jsonl::Error),
}

impl Unread {
    /// What to do about it, where there is something.
    pub fn help(&self) -> Option<&str> {
        match self {
            Unread::Parquet(_) => Some("audit the log that it was exported from, or its JSON Lines"),
            Unread::Log(error) => error.help(),
            Unread::File { .. } | Unread::Record { .. } | Unread::Lines(_) => None,
        }
    }
}

/// A log's first bytes, where it is a database.
const DATABASE: &[u8] = b"SQLite format 3\0";
/// A Parquet table's.
const TABLE: &[u8] = b"PAR1";

/// Reads logs and JSON Lines of records; `progress` is told how many records of a file of lines were read.
///
/// # Errors
/// [`Unread`] with the first file that cannot be read.
pub fn read(paths: &[PathBuf], progress: impl Fn(usize) + Sync) -> Result<Taken, Unread> {
    let mut taken = Taken { sample: Sample::default(), logs: Vec::new(), home: HashMap::new() };
    for path in paths {
        let shown = || path.display().to_string();
        if is_log(path)? {
            let log = Reader::open(path)?;
            let held = records::all(&log)?;
            read::records(&mut taken.sample, &held)
                .map_err(|error| Unread::Record { path: shown(), says: error.to_string() })?;
            let at = taken.logs.len();
            for record in held {
                taken.home.entry(record.id).or_insert(at);
            }
            taken.logs.push(log);
        } else {
            read::json_lines(&mut taken.sample, &shown(), open(path)?, &progress)?;
        }
    }
    taken.sample.once();
    Ok(taken)
}

/// The logs among the files, verified.
///
/// # Errors
/// [`Unread`] with the first file that cannot be read.
pub fn logs(paths: &[PathBuf]) -> Result<Vec<Reader>, Unread> {
    let mut logs = Vec::new();
    for path in paths {
        if is_log(path)? {
            logs.push(Reader::open(path)?);
        }
    }
    Ok(logs)
}

/// Opens a file.
pub(crate) fn open(path: &Path) -> Result<File, Unread> {
    File::open(path).map_err(|source| Unread::File { path: path.display().to_string(), source })
}

/// Whether a file is a log; else it is taken for JSON Lines. A table that was exported is refused.
pub(crate) fn is_log(path: &Path) -> Result<bool, Unread> {
    let mut first = Vec::new();
    let read = open(path)?.take(DATABASE.len() as u64).read_to_end(&mut first);
    read.map_err(|source| Unread::File { path: path.display().to_string(), source })?;
    if first.starts_with(TABLE) {
        return Err(Unread::Parquet(path.display().to_string()));
    }
    Ok(first == DATABASE)
}
