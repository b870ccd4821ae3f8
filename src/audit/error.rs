//! Why an audit could not be made, a table not read, or a ruling not certified.

use log::chain::canonical;
use log::chain::label::ReviewId;
use log::exchange::jsonl;
use std::io;

/// Why an audit could not do what it was asked.
#[derive(Debug, thiserror::Error)]
pub enum Error {
    #[error("cannot read {path}: {source}")]
    File { path: String, source: io::Error },
    #[error("{0} is a Parquet table")]
    Parquet(String),
    #[error(transparent)]
    Log(#[from] log::Error),
    #[error("{path}: {message}")]
    Record { path: String, message: String },
    #[error(transparent)]
    Lines(#[from] jsonl::Error),
    #[error("not a table of comma-separated values: {0}")]
    Table(#[from] csv::Error),
    #[error("line {line}: {message}")]
    Line {
        /// From 1; the header is line 1.
        line: u64,
        message: String,
    },
    #[error("number {number}: {message}")]
    Sheet { number: u32, message: String },
    #[error("there is no review `{0}` in the log")]
    NoReview(ReviewId),
    #[error("the review `{0}` has no ruling")]
    NotRuled(ReviewId),
    #[error("the review `{0}` cannot be certified: its rules or a part of it cannot be read")]
    Unread(ReviewId),
    #[error("the certificate cannot be written: {0}")]
    Spelling(#[from] canonical::CanonicalError),
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
