//! The second looks of a log: sheets that were drawn, and what was answered on them. A pass over the entries gives them.

use crate::Error;
use crate::chain::entry::Act;
use crate::chain::hash::Hash;
use crate::chain::label::Actor;
use crate::forms::second_look as record;
use crate::store::log::Log;
use crate::store::reader::Reader;
use crate::store::tail::Attempt;
use crate::streams::discretions::of_kind;
use formats::record::Record;
use formats::record::second::{id, second};
use review::second_look::Event;
use review::second_look::fold::Sheets;
use std::collections::BTreeMap;

/// All sheets.
///
/// # Errors
/// [`Error`] if the log cannot be read.
pub fn all(log: &Reader) -> Result<Sheets, Error> {
    let mut all = Sheets::default();
    log.each_from::<Error>(1, |stored| {
        let Some(entry) = of_kind(&stored, record::OF_A_SECOND_LOOK)? else { return Ok(()) };
        // What this program cannot read is `verify`'s finding.
        if let Ok(Some((sheet, stamped))) = record::event(&entry) {
            all.apply(&sheet, stamped);
        }
        Ok(())
    })?;
    Ok(all)
}

/// The records of the second looks, in the order of sheets and answers; `of` are the records of the log, among them
/// those that were looked at.
pub fn records(sheets: &Sheets, of: &[Record]) -> Vec<Record> {
    if sheets.looks().next().is_none() {
        return Vec::new();
    }
    let by_id: BTreeMap<&str, &Record> = of.iter().map(|record| (record.id.as_str(), record)).collect();
    let one = |look| second(by_id.get(id(look).1)?, look);
    sheets.looks().filter_map(one).collect()
}

/// The ids of the second looks' records.
pub fn ids(sheets: &Sheets) -> impl Iterator<Item = String> {
    sheets.looks().map(|look| id(look).0)
}

/// A name for the next sheet of a log that ends so: no other log has one like it.
pub fn next_name(head: Hash) -> String {
    let head = head.to_string();
    format!("sheet-{}", head.get(..16).unwrap_or(&head))
}

/// Writes events of a sheet after the entry `head`, all or none. An attempt that was written before changes nothing.
///
/// # Errors
/// [`Error`] if nothing could be written, as where somebody else wrote since.
pub fn write(
    log: &mut Log,
    (actor, Attempt { command, at }): (&Actor, &Attempt),
    head: Hash,
    sheet: &str,
    events: &[Event],
) -> Result<(), Error> {
    let act = Act { actor: actor.clone(), review: None, at: at.clone() };
    let entries: Result<Vec<_>, Error> =
        events.iter().map(|event| record::entry(act.clone(), sheet, event)).collect();
    log.append(head, command, &entries?)?;
    Ok(())
}
