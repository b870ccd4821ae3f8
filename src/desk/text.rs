//! Errors as text, with their causes and what to do about them.

use std::error::Error;
use std::fmt::Display;

/// An error followed by all its sources.
pub(crate) fn chain(error: &dyn Error) -> String {
    let mut text = error.to_string();
    let mut source = error.source();
    while let Some(inner) = source {
        text = format!("{text}: {inner}");
        source = inner.source();
    }
    text
}

/// An error, followed by its help if there is any.
pub(crate) fn with_help(wrong: impl Display, help: Option<impl Display>) -> String {
    help.map_or_else(|| wrong.to_string(), |help| format!("{wrong}; {help}"))
}
