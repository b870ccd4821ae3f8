//! Why an audit could not be made, a table not read, or a ruling not certified.

use log::chain::canonical;
use log::chain::label::ReviewId;
use log::exchange::jsonl;
use std::io;

/// Why an audit could not do what it was asked.
#[derive(Debug, thiserror::Error)]
pub enum Error {
    /// A file that the system does not let us read.
    #[error("cannot read {path}: {source}")]
    File {
        /// The file.
        path: String,
        /// What the system says.
        source: io::Error,
    },
    /// A file that is an exported Parquet table: neither a log nor lines.
    #[error("{0} is a Parquet table")]
    Parquet(String),
    /// A log that cannot be read.
    #[error(transparent)]
    Log(#[from] log::Error),
    /// A log with a record that cannot be audited.
    #[error("{path}: {message}")]
    Record {
        /// The log.
        path: String,
        /// What is wrong with the record.
        message: String,
    },
    /// Lines that are no records.
    #[error(transparent)]
    Lines(#[from] jsonl::Error),
    /// A file of ratings or durations that is no table.
    #[error("not a table of comma-separated values: {0}")]
    Table(#[from] csv::Error),
    /// A line of such a table that does not fit.
    #[error("line {line}: {message}")]
    Line {
        /// From 1, the header.
        line: u64,
        /// What is wrong, and what belongs there.
        message: String,
    },
    /// An answered sheet that does not fit its draw.
    #[error("number {number}: {message}")]
    Sheet {
        /// The question's number on the sheet.
        number: u32,
        /// What does not fit.
        message: String,
    },
    /// There is no such review to certify.
    #[error("there is no review `{0}` in the log")]
    NoReview(ReviewId),
    /// The review has no ruling to certify.
    #[error("the review `{0}` has no ruling")]
    NotRuled(ReviewId),
    /// The review cannot be replayed here, so it cannot be certified.
    #[error("the review `{0}` cannot be certified: its rules or a part of it cannot be read")]
    Unread(ReviewId),
    /// The certificate has no canonical JSON.
    #[error("the certificate cannot be written: {0}")]
    Spelling(#[from] canonical::Fault),
}

impl Error {
    /// What to do about it, where there is something.
    pub fn help(&self) -> Option<&str> {
        match self {
            Error::Parquet(_) => Some("audit the log that it was exported from, or its JSON Lines"),
            Error::Log(error) => error.help(),
            Error::NoReview(_) => Some(
                "`tellframe log show` lists the reviews; an imported record is certified from the log that it was ruled in",
            ),
            Error::NotRuled(_) => Some("only a ruling is certified"),
            Error::Unread(_) => Some("`tellframe log verify` says what is wrong with the log"),
            Error::File { .. }
            | Error::Record { .. }
            | Error::Lines(_)
            | Error::Table(_)
            | Error::Line { .. }
            | Error::Sheet { .. }
            | Error::Spelling(_) => None,
        }
    }
}
