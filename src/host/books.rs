//! A book by its name: a folder, or one of the books inside the program.

use rules::book::defect::{Defect, nearest};
use rules::book::text::{Source, Sources};
use rules::book::{Book, load, shipped};
use rules::shown::shown;
use std::fs;
use std::path::{Path, PathBuf};

/// The files of a book and its short name.
pub struct Named {
    pub id: String,
    pub sources: Sources,
}

/// Why a name leads to no book, or to one with defects.
#[derive(Debug, thiserror::Error)]
pub enum Error {
    #[error("there is no folder and no built-in book `{}`", shown(.0))]
    Unknown(String),
    #[error("cannot read {path}: {error}", path = path.display())]
    Unreadable { path: PathBuf, error: std::io::Error },
    /// The book has defects, sorted by file and place.
    #[error("the book is not sound")]
    Defective {
        /// The files that the defects point into.
        sources: Sources,
        defects: Vec<Defect>,
    },
}

impl Error {
    /// What to do about it, where that is known.
    pub fn help(&self) -> Option<String> {
        match self {
            Error::Unknown(name) if Path::new(name).is_file() => {
                let folder = Path::new(name).parent().filter(|folder| !folder.as_os_str().is_empty());
                Some(format!("it is a file: name its folder, {}", folder.unwrap_or(Path::new(".")).display()))
            }
            Error::Unknown(name) => {
                let near = nearest(name, shipped::names().into_iter());
                let names = shipped::names().join(", ");
                let near = if near.starts_with("did") { format!("{near} ") } else { String::new() };
                Some(format!("{near}name a folder that holds a book.ron, or a built-in book: {names}"))
            }
            Error::Unreadable { .. } | Error::Defective { .. } => None,
        }
    }
}

/// Reads the files of the book in the folder `name`, or of the built-in book with this name.
pub fn read(name: &str) -> Result<Named, Error> {
    let path = Path::new(name);
    if path.is_dir() {
        let id =
            path.canonicalize().ok().and_then(|path| Some(path.file_name()?.to_string_lossy().into_owned()));
        let mut files = Vec::new();
        collect(path, "", &mut files)?;
        return Ok(Named { id: id.unwrap_or_else(|| name.to_owned()), sources: Sources::new(files) });
    }
    match shipped::sources(name) {
        Some(sources) => Ok(Named { id: name.to_owned(), sources }),
        None => Err(Error::Unknown(name.to_owned())),
    }
}

/// The checked book in the folder `name`, or the built-in one with this name.
pub fn checked(name: &str) -> Result<Book, Error> {
    let Named { id, sources } = read(name)?;
    load::load(&id, &sources).map_err(|defects| Error::Defective { sources, defects })
}

fn collect(folder: &Path, under: &str, files: &mut Vec<Source>) -> Result<(), Error> {
    let unreadable = |path: &Path, error| Error::Unreadable { path: path.to_owned(), error };
    for entry in fs::read_dir(folder).map_err(|error| unreadable(folder, error))? {
        let path = entry.map_err(|error| unreadable(folder, error))?.path();
        let Some(name) = path.file_name().and_then(|name| name.to_str()) else { continue };
        let inside = format!("{under}{name}");
        if path.is_dir() {
            collect(&path, &format!("{inside}/"), files)?;
        } else if path.extension().is_some_and(|ending| ending == "ron" || ending == "json") {
            let bytes = fs::read(&path).map_err(|error| unreadable(&path, error))?;
            // Bytes that are not UTF-8 become replacement characters, which `check` reports like any other defect.
            files.push(Source { path: inside, text: String::from_utf8_lossy(&bytes).into_owned() });
        }
    }
    Ok(())
}
