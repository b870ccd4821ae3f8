//! Why the logs of a week cannot be read, or its page cannot be written.

use crate::text::{chain, with_help};
use host::output;
use std::path::PathBuf;

#[derive(Debug, thiserror::Error)]
pub(crate) enum Error {
    #[error(transparent)]
    Unread(#[from] audit::Error),
    #[error(transparent)]
    Log(#[from] log::Error),
    #[error("the reading ended early")]
    EndedEarly,
    #[error("{}: {source}", folder.display())]
    Folder { folder: PathBuf, source: std::io::Error },
    #[error(transparent)]
    NotWritten(#[from] output::Error),
}

impl Error {
    /// The error in one line, with what to do about it if that is known.
    pub(super) fn line(&self) -> String {
        match self {
            Error::Unread(unread) => with_help(unread, unread.help()),
            Error::Log(error) => with_help(chain(error), error.help()),
            Error::EndedEarly | Error::Folder { .. } | Error::NotWritten(_) => self.to_string(),
        }
    }
}
