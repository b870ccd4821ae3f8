//! What is wrong with an input: where, what, and what may stand there.

use rules::book::Book;
use rules::book::defect::nearest;
use rules::shown::shown;
use std::fmt;

/// What is wrong with an input: where, what, and what to write instead.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Error {
    /// From the whole input to the part that is wrong.
    pub path: Vec<Step>,
    /// Where that part is written; `None` where the text is not at hand.
    pub place: Option<Place>,
    pub message: String,
    pub help: Option<String>,
}

/// One step into an input.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Step {
    /// The value of the field with this name.
    Field(String),
    /// A field's name itself, which is wrong.
    Name(String),
    /// One of a list, from 0.
    Item(usize),
}

/// A place in a text: line and column, both from 1; the column counts characters.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Place {
    pub line: usize,
    pub column: usize,
}

impl Error {
    /// A fault of the whole input.
    pub fn new(message: impl ToString) -> Error {
        Error { path: Vec::new(), place: None, message: message.to_string(), help: None }
    }

    /// With what may stand there.
    #[must_use]
    pub(crate) fn help(self, help: impl Into<String>) -> Error {
        Error { help: Some(help.into()), ..self }
    }

    /// The same in the field of a larger input.
    #[must_use]
    pub fn within(self, field: &str) -> Error {
        self.under(Step::Field(field.to_owned()))
    }

    /// The same in one of a list, from 0.
    #[must_use]
    pub fn item(self, index: usize) -> Error {
        self.under(Step::Item(index))
    }

    /// The same about the name of a field.
    #[must_use]
    pub(crate) fn at_name(self, name: &str) -> Error {
        self.under(Step::Name(name.to_owned()))
    }

    /// The same where the field is the whole input.
    #[must_use]
    pub fn out_of(mut self, field: &str) -> Error {
        if self.path.first() == Some(&Step::Field(field.to_owned())) {
            self.path.remove(0);
        }
        self
    }

    fn under(mut self, step: Step) -> Error {
        self.path.insert(0, step);
        self
    }

    pub(crate) fn no_penalty(book: &Book, name: &str) -> Error {
        Error::new(format!("the book has no penalty `{}`", shown(name)))
            .help(nearest(name, book.penalties.keys().map(String::as_str)))
    }
}

/// What one of a list is called, by the name of the list.
fn one_of(list: Option<&str>) -> &str {
    match list {
        None => "case",
        Some("questions") => "question",
        Some("stages") => "stage",
        Some("fouls") => "foul",
        Some("stoppages") => "stoppage",
        Some("landmarks") => "landmark",
        Some("points") => "point",
        Some("lines") => "line",
        Some("acts") => "act",
        Some("steps") => "step",
        Some("first" | "then") => "mark",
        Some(_) => "value",
    }
}

/// A path as a person says it, from the inside out: `answers.control` of question 2 of case 3.
fn in_words(path: &[Step]) -> String {
    let mut said: Vec<String> = Vec::new();
    let mut fields: Vec<&str> = Vec::new();
    for step in path {
        match step {
            Step::Field(name) | Step::Name(name) => fields.push(name),
            Step::Item(index) => {
                let list = fields.pop();
                let one = one_of(list);
                let number = index + 1;
                said.push(match list {
                    Some(list @ ("first" | "then")) => format!("{one} {number} of `{list}`"),
                    Some(list) if one == "value" => format!("{one} {number} of `{}`", shown(list)),
                    Some(_) | None => format!("{one} {number}"),
                });
                fields.clear();
            }
        }
    }
    if !fields.is_empty() {
        let fields: Vec<_> = fields.into_iter().map(shown).collect();
        said.push(format!("`{}`", fields.join(".")));
    }
    said.reverse();
    said.join(" of ")
}

impl fmt::Display for Error {
    /// `3:12: the clock of stage 2: what is wrong`, as far as place and part are known.
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        if let Some(place) = self.place {
            write!(out, "{place}: ")?;
        }
        if !self.path.is_empty() {
            write!(out, "{}: ", in_words(&self.path))?;
        }
        out.write_str(&self.message)
    }
}

impl std::error::Error for Error {}

impl fmt::Display for Place {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(out, "{}:{}", self.line, self.column)
    }
}

impl From<evidence::error::Error> for Error {
    fn from(error: evidence::error::Error) -> Error {
        Error::new(error)
    }
}
