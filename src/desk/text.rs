//! Errors in words, with what they come from and what to do about them.

use std::error::Error;
use std::fmt::Display;

/// An error with everything that it comes from.
pub(crate) fn chain(error: &dyn Error) -> String {
    let mut text = error.to_string();
    let mut source = error.source();
    while let Some(inner) = source {
        text = format!("{text}: {inner}");
        source = inner.source();
    }
    text
}

/// What went wrong, and what to do about it where that is known.
pub(crate) fn with_help(wrong: impl Display, help: Option<impl Display>) -> String {
    help.map_or_else(|| wrong.to_string(), |help| format!("{wrong}; {help}"))
}
