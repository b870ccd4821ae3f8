//! The BOOK argument: a folder, or the name of a book inside the program.

use super::{Unable, faults};
use host::books;
use host::books::{Named, NoBook, Unfit};
use rules::book::Book;
use std::io::IsTerminal;

impl From<NoBook> for Unable {
    fn from(none: NoBook) -> Unable {
        Unable { message: none.to_string(), help: none.help() }
    }
}

/// The files behind a BOOK argument.
pub(super) fn read(argument: &str) -> Result<Named, Unable> {
    Ok(books::read(argument)?)
}

/// The checked book behind a BOOK argument; its faults go to stderr.
pub(super) fn load(argument: &str) -> Result<Book, Unable> {
    books::checked(argument).map_err(|unfit| match unfit {
        Unfit::None(none) => none.into(),
        Unfit::Faulty { sources, faults: found } => {
            let colours = std::io::stderr().is_terminal();
            eprint!("{}", faults::text(&found, &sources, argument, colours));
            Unable::new(format!("the book `{argument}` has {}", faults::count(found.len())))
                .help(format!("mend it first: tellframe check {argument}"))
        }
    })
}
