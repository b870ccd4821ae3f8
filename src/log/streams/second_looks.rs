//! The second looks of a log: sheets that were drawn, and what was answered on them.

use super::held;
use crate::Error;
use crate::chain::hash::Hash;
use crate::store::reader::Reader;
use formats::record::Record;
use formats::record::second::{id, second};
use review::second_look::Event;
use review::second_look::fold::{Look, Sheet};
use std::collections::BTreeMap;

pub(crate) type Sheets = BTreeMap<String, Sheet>;

/// All sheets.
///
/// # Errors
/// [`Error`] if the log cannot be read.
pub fn all(log: &Reader) -> Result<Sheets, Error> {
    Ok(held::states::<Event>(log)?.into_iter().collect())
}

fn looks(sheets: &Sheets) -> impl Iterator<Item = &Look> {
    sheets.values().flat_map(|sheet| &sheet.entered)
}

/// The records of the second looks, in the order of sheets and answers; `of` are the records of the log, among them
/// those that were looked at.
pub fn records(sheets: &Sheets, of: &[Record]) -> Vec<Record> {
    if looks(sheets).next().is_none() {
        return Vec::new();
    }
    let by_id: BTreeMap<&str, &Record> = of.iter().map(|record| (record.id.as_str(), record)).collect();
    let one = |look| second(by_id.get(id(look).1)?, look);
    looks(sheets).filter_map(one).collect()
}

/// The ids of the second looks' records.
pub fn ids(sheets: &Sheets) -> impl Iterator<Item = String> {
    looks(sheets).map(|look| id(look).0)
}

/// A name for the next sheet of a log that ends so: no other log has one like it.
pub fn next_name(head: Hash) -> String {
    let head = head.to_string();
    format!("sheet-{}", head.get(..16).unwrap_or(&head))
}
