//! Why something was not done, in the words of a screen.

use crate::text::{chain, with_help};
use host::{books, output};
use log::Error;
use review::refusal::Refusal;
use std::fmt;

/// Why something was not done.
#[derive(Debug)]
pub(crate) enum Undone {
    /// Refused by the rules of a review, a day or a ruling.
    No(Refusal),
    Fault(Fault),
}

/// Why something could not be written or read.
#[derive(Debug, thiserror::Error)]
pub(crate) enum Fault {
    #[error(transparent)]
    Log(#[from] Error),
    #[error(transparent)]
    Book(#[from] books::Error),
    #[error("the book `{book}` has {count} faults: tellframe check {book} shows them")]
    FaultyBook { book: String, count: usize },
    #[error("the game's rules have {0} faults here")]
    FaultyRules(usize),
    #[error("the game has no rules")]
    NoRules,
    #[error("the game has no card")]
    NoCard,
    #[error("the game has no situation")]
    NoSituation,
    #[error("no review is held")]
    NoReviewHeld,
    #[error("no ruling of the referee's own is held")]
    NoRulingHeld,
    #[error("the ruling is not signed yet")]
    Unsigned,
    #[error("there is no game {0} in the log")]
    NoGame(String),
    #[error("there is no review {0} in the log")]
    NoReview(String),
    #[error(transparent)]
    NotWritten(#[from] output::Error),
    #[error(transparent)]
    Records(#[from] std::io::Error),
    #[error("the script: {0}")]
    Script(#[from] formats::error::Error),
}

impl Fault {
    /// What to do about it, where that is known.
    fn help(&self) -> Option<&'static str> {
        if let Fault::Log(error) = self { error.help() } else { None }
    }

    /// The error, its causes and what to do about it, in one line.
    pub(super) fn line(&self) -> String {
        with_help(chain(self), self.help())
    }
}

impl Undone {
    /// The text of a window that shows nothing else; what to do is on its own line.
    pub(super) fn page(&self) -> String {
        match self {
            Undone::No(_) => self.to_string(),
            Undone::Fault(fault) => {
                chain(fault) + &fault.help().map_or(String::new(), |help| format!("\n{help}"))
            }
        }
    }

    /// Why, and what to do: `retry` for an error.
    pub(super) fn parts(self, retry: &str) -> (String, String) {
        match self {
            Undone::No(no) => (no.because, no.instead),
            Undone::Fault(fault) => (fault.line(), retry.to_owned()),
        }
    }
}

impl fmt::Display for Undone {
    fn fmt(&self, to: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Undone::No(no) => write!(to, "{}; {}", no.because, no.instead),
            Undone::Fault(fault) => write!(to, "{}", fault.line()),
        }
    }
}

impl From<Fault> for Undone {
    fn from(fault: Fault) -> Undone {
        Undone::Fault(fault)
    }
}

impl From<Error> for Undone {
    fn from(error: Error) -> Undone {
        Undone::Fault(error.into())
    }
}
