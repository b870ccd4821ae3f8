//! What is wrong with an input.

use rules::book::Book;
use rules::book::defect::nearest;

/// What is wrong with an input: where, what, and what to write instead.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{at}{}{message}", if .at.is_empty() { "" } else { ": " })]
pub struct Error {
    /// The place in the input: `then[1]`, or line and column; empty for all of it.
    pub at: String,
    pub message: String,
    pub help: Option<String>,
}

impl Error {
    pub(crate) fn new(message: impl ToString) -> Error {
        Error { at: String::new(), message: message.to_string(), help: None }
    }

    /// The same in a part of a larger input.
    #[must_use]
    pub fn within(self, part: &str) -> Error {
        let at = if self.at.is_empty() { part.to_owned() } else { format!("{part}: {}", self.at) };
        Error { at, ..self }
    }

    pub(crate) fn no_penalty(book: &Book, name: &str) -> Error {
        let hint = nearest(name, book.penalties.keys().map(String::as_str));
        Error::new(format!("the book has no penalty `{name}`: {hint}"))
    }
}

impl From<evidence::error::Error> for Error {
    fn from(error: evidence::error::Error) -> Error {
        Error::new(error)
    }
}
