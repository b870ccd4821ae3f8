//! The books that are built into the program, so that it works from any folder.

use super::text::{Source, Sources};
use include_dir::{Dir, include_dir};

static BOOKS: Dir<'static> = include_dir!("$CARGO_MANIFEST_DIR/../../decision-trees");

/// The short names of the books inside the program.
pub fn names() -> Vec<&'static str> {
    BOOKS.dirs().filter_map(|dir| dir.path().to_str()).collect()
}

/// The files of the book with this short name, case plays among them.
pub fn sources(name: &str) -> Option<Sources> {
    let dir = BOOKS.dirs().find(|dir| dir.path().to_str() == Some(name))?;
    let mut files = Vec::new();
    collect(dir, name, &mut files);
    Some(Sources::new(files))
}

fn collect(dir: &Dir<'static>, name: &str, files: &mut Vec<Source>) {
    for file in dir.files() {
        let path = file.path().strip_prefix(name).ok().and_then(|path| path.to_str());
        if let Some((path, text)) = path.zip(file.contents_utf8()) {
            files.push(Source { path: path.replace('\\', "/"), text: text.to_owned() });
        }
    }
    for inner in dir.dirs() {
        collect(inner, name, files);
    }
}
