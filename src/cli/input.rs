//! Reading a FILE argument: RON or JSON, by its ending.

use super::Unable;
use formats::error::Error;
use formats::read::{Form, Written, unmarked, written, written_list};
use serde::de::DeserializeOwned;
use std::path::Path;

/// A value and where it came from, so that a fault of meaning has its place, too.
pub(super) struct Input<T> {
    name: String,
    written: Written<T>,
}

impl<T> Input<T> {
    /// What was written.
    pub(super) fn value(&self) -> &T {
        &self.written.value
    }

    /// What was written, its places forgotten.
    pub(super) fn into_value(self) -> T {
        self.written.value
    }

    /// A fault in it, with file, line and column.
    pub(super) fn fault(&self, error: Error) -> Unable {
        fault(&self.name, self.written.placed(error))
    }
}

fn fault(name: &str, error: Error) -> Unable {
    Unable { message: format!("{name}:{error}"), help: error.help }
}

/// The value in a file; a fault names file, line and column.
pub(super) fn file<T: DeserializeOwned>(path: &Path) -> Result<Input<T>, Unable> {
    parse(&text(path)?, &path.display().to_string(), form(path))
}

/// The value of a text that came from `name`.
pub(super) fn parse<T: DeserializeOwned>(text: &str, name: &str, form: Form) -> Result<Input<T>, Unable> {
    let written = written(text, form).map_err(|error| fault(name, error))?;
    Ok(Input { name: name.to_owned(), written })
}

/// The form of a file by its ending; JSON unless it ends in `.ron`.
pub(super) fn form(path: &Path) -> Form {
    if path.extension().is_some_and(|ending| ending == "ron") { Form::Ron } else { Form::Json }
}

/// The values of a text that holds one of them or a list.
pub(super) fn list<T: DeserializeOwned>(text: &str, name: &str, form: Form) -> Result<Input<Vec<T>>, Unable> {
    let written = written_list(text, form).map_err(|error| fault(name, error))?;
    Ok(Input { name: name.to_owned(), written })
}

/// The text of a file, without the byte-order mark that some editors put before it.
pub(super) fn text(path: &Path) -> Result<String, Unable> {
    let bytes = std::fs::read(path).map_err(|error| Unable::unreadable(path, &error))?;
    let text = String::from_utf8(bytes).map_err(|error| {
        let before = &error.as_bytes()[..error.utf8_error().valid_up_to()];
        let line = before.iter().filter(|byte| **byte == b'\n').count() + 1;
        Unable::in_file(path, format!("line {line} is not text")).help("save the file as UTF-8")
    })?;
    Ok(unmarked(&text).to_owned())
}
