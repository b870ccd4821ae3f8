//! The JSON Schema of a rule book's files: what each field means, and what may stand there. A RON text
//! `Name(field: …)` is the same as JSON's `{"Name": {"field": …}}`, and a word without brackets a text.

use super::raw::RawBook;
use super::raw::tree::RawTree;
use schemars::{Schema, schema_for};

/// Of `book.ron`, its announcements left aside.
pub fn book() -> Schema {
    schema_for!(RawBook<'static>)
}

/// Of the file of a question.
pub fn tree() -> Schema {
    schema_for!(RawTree<'static>)
}
