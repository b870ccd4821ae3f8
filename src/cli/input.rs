//! Reading a FILE argument: RON or JSON, by its ending.

use super::Unable;
use formats::read::{Form, read};
use serde::de::DeserializeOwned;
use std::path::Path;

/// The value in a file; a fault names file, line and column.
pub(super) fn file<T: DeserializeOwned>(path: &Path) -> Result<T, Unable> {
    parse(&text(path)?, &path.display().to_string(), form(path))
}

/// The value of a text that came from `name`.
pub(super) fn parse<T: DeserializeOwned>(text: &str, name: &str, form: Form) -> Result<T, Unable> {
    read(text, form).map_err(|fault| Unable { message: format!("{name}:{fault}"), help: fault.help })
}

/// The form of a file by its ending; JSON unless it ends in `.ron`.
pub(super) fn form(path: &Path) -> Form {
    if path.extension().is_some_and(|ending| ending == "ron") { Form::Ron } else { Form::Json }
}

/// The values of a text that holds one of them or a list.
pub(super) fn list<T: DeserializeOwned>(text: &str, name: &str, form: Form) -> Result<Vec<T>, Unable> {
    let content = text.lines().map(str::trim_start).find(|line| !line.is_empty() && !line.starts_with("//"));
    if content.is_some_and(|line| line.starts_with('[')) {
        parse(text, name, form)
    } else {
        parse(text, name, form).map(|one| vec![one])
    }
}

/// The text of a file.
pub(super) fn text(path: &Path) -> Result<String, Unable> {
    std::fs::read_to_string(path).map_err(|error| Unable::unreadable(path, &error))
}
