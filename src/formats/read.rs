//! Reading what a person wrote: RON or JSON, with the place of a fault and the nearest known name.

use super::error::Error;
use rules::book::defect::nearest;
use serde::de::DeserializeOwned;

/// Which of the two forms a text has.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Form {
    Json,
    Ron,
}

/// Reads what a person wrote.
///
/// # Errors
/// [`Error`] with the place of the first fault.
pub fn read<T: DeserializeOwned>(text: &str, form: Form) -> Result<T, Error> {
    match form {
        Form::Json => serde_json::from_str(text).map_err(|error| {
            let message = error.to_string();
            let plain = message.rsplit_once(" at line ").map_or(message.as_str(), |(plain, _)| plain);
            unreadable(error.line(), error.column(), plain)
        }),
        Form::Ron => ron::Options::default()
            .with_default_extension(ron::extensions::Extensions::IMPLICIT_SOME)
            .from_str(text)
            .map_err(|error| {
                unreadable(error.span.start.line, error.span.start.col, &error.code.to_string())
            }),
    }
}

fn unreadable(line: usize, column: usize, message: &str) -> Error {
    Error { at: format!("{line}:{column}"), message: message.to_owned(), help: hint(message) }
}

/// Both libraries print "unknown field `x`, expected one of `a`, `b`" in one form or another: the first quoted
/// word is the wrong one, the others are known.
fn hint(message: &str) -> Option<String> {
    let lower = message.to_lowercase();
    if !(lower.contains("unknown field") || lower.contains("unexpected field") || lower.contains("variant")) {
        return None;
    }
    let mut quoted = message.split('`').skip(1).step_by(2);
    let wrong = quoted.next()?;
    let known: Vec<&str> = quoted.collect();
    (!known.is_empty()).then(|| nearest(wrong, known.into_iter()))
}
