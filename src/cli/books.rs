//! The BOOK argument: a folder, or the name of a book inside the program.

use super::{Unable, faults};
use std::fs;
use std::io::IsTerminal;
use std::path::Path;
use tellframe::book::text::{Source, Sources};
use tellframe::book::{Book, load, shipped};

/// The files of a book and its short name.
pub(super) struct Named {
    pub id: String,
    pub sources: Sources,
}

/// The files behind a BOOK argument.
pub(super) fn read(argument: &str) -> Result<Named, Unable> {
    let path = Path::new(argument);
    if path.is_dir() {
        let id =
            path.canonicalize().ok().and_then(|path| Some(path.file_name()?.to_string_lossy().into_owned()));
        let mut files = Vec::new();
        collect(path, "", &mut files)?;
        return Ok(Named { id: id.unwrap_or_else(|| argument.to_owned()), sources: Sources::new(files) });
    }
    match shipped::sources(argument) {
        Some(sources) => Ok(Named { id: argument.to_owned(), sources }),
        None => Err(Unable::new(format!("there is no folder and no built-in book `{argument}`")).help(
            format!("name a folder that holds a book.ron, or one of: {}", shipped::names().join(", ")),
        )),
    }
}

/// The checked book behind a BOOK argument; its faults go to stderr.
pub(super) fn load(argument: &str) -> Result<Book, Unable> {
    let named = read(argument)?;
    load::load(&named.id, &named.sources).map_err(|found| {
        let colours = std::io::stderr().is_terminal();
        eprint!("{}", faults::text(&found, &named.sources, argument, colours));
        Unable::new(format!("the book `{argument}` has {}", faults::count(found.len())))
            .help(format!("mend it first: tellframe check {argument}"))
    })
}

fn collect(folder: &Path, under: &str, files: &mut Vec<Source>) -> Result<(), Unable> {
    let unreadable =
        |path: &Path, error: std::io::Error| Unable::new(format!("cannot read {}: {error}", path.display()));
    for entry in fs::read_dir(folder).map_err(|error| unreadable(folder, error))? {
        let path = entry.map_err(|error| unreadable(folder, error))?.path();
        let Some(name) = path.file_name().and_then(|name| name.to_str()) else { continue };
        let inside = format!("{under}{name}");
        if path.is_dir() {
            collect(&path, &format!("{inside}/"), files)?;
        } else if path.extension().is_some_and(|ending| ending == "ron" || ending == "json") {
            let bytes = fs::read(&path).map_err(|error| unreadable(&path, error))?;
            // Bytes that are no text become signs that `check` refuses in their place, beside all other faults.
            files.push(Source { path: inside, text: String::from_utf8_lossy(&bytes).into_owned() });
        }
    }
    Ok(())
}
