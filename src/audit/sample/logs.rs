//! The logs and files of records that an audit is about, read in.

use crate::Error;
use crate::sample::Sample;
use crate::sample::read;
use log::exchange::records;
use log::store::reader::Reader;
use std::collections::HashMap;
use std::fs::File;
use std::io::Read as _;
use std::path::{Path, PathBuf};

/// The records of logs and files, with the logs.
#[derive(Debug)]
pub struct Taken {
    pub sample: Sample,
    /// The logs among the files, in the order in which they were named.
    pub logs: Vec<Reader>,
    /// Which of `logs` holds a record; one from a file of records is in none.
    pub home: HashMap<String, usize>,
}

/// First bytes of a log.
const DATABASE: &[u8] = b"SQLite format 3\0";
/// First bytes of a Parquet table.
const TABLE: &[u8] = b"PAR1";

/// Reads logs and JSON Lines of records; `progress` is called with the number of records read of a file of lines.
///
/// # Errors
/// [`Error`] with the first file that cannot be read.
pub fn read(paths: &[PathBuf], progress: impl Fn(usize) + Sync) -> Result<Taken, Error> {
    let mut taken = Taken { sample: Sample::default(), logs: Vec::new(), home: HashMap::new() };
    for path in paths {
        let shown = || path.display().to_string();
        if is_log(path)? {
            let log = Reader::open(path)?;
            let held = records::all(&log)?;
            read::records(&mut taken.sample, &held)
                .map_err(|error| Error::Record { path: shown(), message: error.to_string() })?;
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
/// [`Error`] with the first file that cannot be read.
pub fn logs(paths: &[PathBuf]) -> Result<Vec<Reader>, Error> {
    let mut logs = Vec::new();
    for path in paths {
        if is_log(path)? {
            logs.push(Reader::open(path)?);
        }
    }
    Ok(logs)
}

pub(crate) fn open(path: &Path) -> Result<File, Error> {
    File::open(path).map_err(|source| Error::File { path: path.display().to_string(), source })
}

/// Whether a file is a log; any other is read as JSON Lines, but for a Parquet table, which is refused.
pub(crate) fn is_log(path: &Path) -> Result<bool, Error> {
    let mut first = Vec::new();
    let read = open(path)?.take(DATABASE.len() as u64).read_to_end(&mut first);
    read.map_err(|source| Error::File { path: path.display().to_string(), source })?;
    if first.starts_with(TABLE) {
        return Err(Error::Parquet(path.display().to_string()));
    }
    Ok(first == DATABASE)
}
