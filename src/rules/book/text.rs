//! The text of a rule book: its files, and places in them.

use std::fmt;

/// The file of a book that names all others.
pub(crate) const BOOK_FILE: &str = "book.ron";

/// One file of a book: its path inside the book's folder, with `/`, and its text.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Source {
    pub path: String,
    pub text: String,
}

/// The files of one book, sorted by path.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Sources {
    files: Vec<Source>,
}

/// A stretch of one file, in bytes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Span {
    /// Which file of the [`Sources`].
    pub file: usize,
    pub start: usize,
    /// One past the last byte.
    pub end: usize,
}

/// A line and a column, both from 1; the column counts characters.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Position {
    pub line: usize,
    pub column: usize,
}

impl Sources {
    /// The files in the order of their paths, so that every report is in one order.
    pub fn new(mut files: Vec<Source>) -> Sources {
        files.sort_by(|a, b| a.path.cmp(&b.path));
        Sources { files }
    }

    /// The files, sorted by path.
    pub fn files(&self) -> &[Source] {
        &self.files
    }

    /// The number of the file with this path.
    pub fn find(&self, path: &str) -> Option<usize> {
        self.files.iter().position(|file| file.path == path)
    }

    /// The span widened to whole characters that stand in the file.
    pub(super) fn whole(&self, span: Span) -> Span {
        let text = self.files.get(span.file).map_or("", |file| file.text.as_str());
        let edge = |at: &usize| text.is_char_boundary(*at);
        let start = (0..=span.start.min(text.len())).rev().find(edge).unwrap_or(0);
        let end = (span.end.max(start)..text.len()).find(edge).unwrap_or(text.len());
        Span { file: span.file, start, end }
    }

    /// Where a span begins.
    pub fn position(&self, span: Span) -> Position {
        let before = self.files.get(span.file).and_then(|file| file.text.get(..span.start)).unwrap_or("");
        let line_start = before.rfind('\n').map_or(0, |newline| newline + 1);
        Position {
            line: before.matches('\n').count() + 1,
            column: before.get(line_start..).map_or(0, |line| line.chars().count()) + 1,
        }
    }
}

impl fmt::Display for Position {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(out, "{}:{}", self.line, self.column)
    }
}

/// The byte at a 1-based line and column; the end of the text if it lies behind it.
pub(super) fn offset_of(text: &str, line: usize, column: usize) -> usize {
    let mut start = 0;
    for _ in 1..line {
        match text.get(start..).and_then(|rest| rest.find('\n')) {
            Some(newline) => start += newline + 1,
            None => return text.len(),
        }
    }
    let rest = text.get(start..).unwrap_or("");
    start + rest.char_indices().nth(column.saturating_sub(1)).map_or(rest.len(), |(at, _)| at)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn positions_count_lines_and_characters_and_come_back_as_bytes() {
        let text = "first\nzweité line\n\nlast".to_owned();
        let sources = Sources::new(vec![Source { path: "book.ron".to_owned(), text: text.clone() }]);
        for (needle, line, column) in [("first", 1, 1), ("line", 2, 8), ("last", 4, 1)] {
            let start = text.find(needle).expect("the needle is in the text");
            let position = sources.position(Span { file: 0, start, end: start + 1 });
            assert_eq!((position.line, position.column), (line, column), "{needle}");
            assert_eq!(offset_of(&text, line, column), start, "{needle}");
        }
        assert_eq!(offset_of(&text, 99, 1), text.len());
    }
}
