//! The JSON Schema of each format.

use super::{case, line, record, settle, situation};
use schemars::{Schema, schema_for};

/// The formats that have a schema, by the name that `schema` takes.
pub const KINDS: [&str; 7] = ["situation", "lines", "asked", "settled", "case", "case-result", "record"];

/// The schema of a format; `None` for a name that is not among [`KINDS`].
pub fn schema(kind: &str) -> Option<Schema> {
    Some(match kind {
        "situation" => schema_for!(situation::Situation),
        "lines" => schema_for!(line::Lines),
        "asked" => schema_for!(settle::Asked),
        "settled" => schema_for!(settle::Found),
        "case" => schema_for!(case::CasePlay),
        "case-result" => schema_for!(case::result::Result),
        "record" => schema_for!(record::Record),
        _ => return None,
    })
}
