//! The BOOK argument: a folder, or the name of a book inside the program.

use super::{Unable, defects};
use host::books::{self, Error, Named};
use rules::book::Book;
use std::io::IsTerminal;

impl From<Error> for Unable {
    fn from(error: Error) -> Unable {
        Unable { message: error.to_string(), help: error.help() }
    }
}

/// The files behind a BOOK argument.
pub(super) fn read(argument: &str) -> Result<Named, Unable> {
    Ok(books::read(argument)?)
}

/// The checked book behind a BOOK argument; its defects go to stderr.
pub(super) fn load(argument: &str) -> Result<Book, Unable> {
    books::checked(argument).map_err(|error| match error {
        Error::Defective { sources, defects: found } => {
            let colours = std::io::stderr().is_terminal();
            eprint!("{}", defects::text(&found, &sources, argument, colours));
            Unable::new(format!("the book `{argument}` has {}", defects::count(found.len())))
                .help(format!("mend it first: tellframe check {argument}"))
        }
        Error::Unknown(_) | Error::Unreadable { .. } => error.into(),
    })
}
