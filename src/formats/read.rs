//! Reading what a person wrote: RON or JSON alike, with the place of a fault and what may stand there.
//!
//! The text becomes values that know their places (`text.rs`, `node.rs`), those become a type (`value.rs`). A fault of
//! meaning, found later by whoever uses the value, names its part as a path; [`Written::placed`] finds the part's place.

mod node;
mod text;
mod value;

use super::error::{Error, Place, Step};
use node::{Node, Value};
use serde::de::DeserializeOwned;

/// Which of the two forms a text has.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Form {
    Json,
    Ron,
}

/// A value with the text that it was read from.
#[derive(Debug, Clone)]
pub struct Written<T> {
    pub value: T,
    text: String,
    root: Node,
    /// The value is a list, and the text has its only item without the brackets of a list.
    alone: bool,
}

/// What is wrong in a text, with the byte at which it is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Fault {
    at: Option<usize>,
    path: Vec<Step>,
    message: String,
    help: Option<String>,
}

/// Reads what a person wrote.
///
/// # Errors
/// [`Error`] with the place of the first fault.
pub fn read<T: DeserializeOwned>(text: &str, form: Form) -> Result<T, Error> {
    written(text, form).map(|written| written.value)
}

/// Reads what a person wrote, and keeps the places of its parts.
///
/// # Errors
/// [`Error`] with the place of the first fault.
pub fn written<T: DeserializeOwned>(text: &str, form: Form) -> Result<Written<T>, Error> {
    let text = unmarked(text);
    let root = text::parse(text, form).map_err(|fault| fault.error(text))?;
    let value = value::read(&root).map_err(|fault| fault.error(text))?;
    Ok(Written { value, text: text.to_owned(), root, alone: false })
}

/// Reads one value or a list of them.
///
/// # Errors
/// [`Error`] with the place of the first fault; for an empty list, that there is nothing in it.
pub fn written_list<T: DeserializeOwned>(text: &str, form: Form) -> Result<Written<Vec<T>>, Error> {
    let text = unmarked(text);
    let root = text::parse(text, form).map_err(|fault| fault.error(text))?;
    let alone = !matches!(root.value, Value::List(_));
    let value = if alone { value::read(&root).map(|one| vec![one]) } else { value::read(&root) };
    let written =
        Written { value: value.map_err(|fault| fault.error(text))?, text: text.to_owned(), root, alone };
    if written.value.is_empty() {
        return Err(
            written.placed(Error::new("the list is empty").help("write at least one, or leave the file out"))
        );
    }
    Ok(written)
}

/// A text without the byte-order mark that some editors put before it.
pub fn unmarked(text: &str) -> &str {
    text.strip_prefix('\u{feff}').unwrap_or(text)
}

impl<T> Written<T> {
    /// A fault of meaning with the place of the part that it is in.
    #[must_use]
    pub fn placed(&self, mut error: Error) -> Error {
        if self.alone && matches!(error.path.first(), Some(Step::Item(_))) {
            error.path.remove(0);
        }
        let at = self.root.place(&error.path);
        Error { place: Some(place(&self.text, at)), ..error }
    }
}

impl Fault {
    fn error(self, text: &str) -> Error {
        let Fault { at, path, message, help } = self;
        Error { path, place: Some(place(text, at.unwrap_or(0))), message, help }
    }
}

fn place(text: &str, at: usize) -> Place {
    let before = text.get(..at).unwrap_or(text);
    let line_start = before.rfind('\n').map_or(0, |newline| newline + 1);
    Place { line: before.matches('\n').count() + 1, column: before[line_start..].chars().count() + 1 }
}
