//! Importing records of other logs: one entry a record, verbatim; records that are there already are skipped.

use crate::Error;
use crate::chain::entry::{Act, NewEntry};
use crate::chain::hash::Hash;
use crate::chain::label::CommandId;
use crate::exchange::jsonl::Line;
use crate::store::log::Log;
use std::collections::BTreeSet;

/// What an import did.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Imported {
    /// How many records are new in the log.
    pub added: u64,
    /// How many were there already, or came twice.
    pub skipped: u64,
    /// The log's newest hash.
    pub head: Hash,
}

/// Adds `lines` to `log`, all or none. `own` are the ids of records that the log's own rulings give, so
/// that a log that reads its own export does not count a ruling twice.
pub fn import(log: &mut Log, act: &Act, own: &BTreeSet<String>, lines: &[Line]) -> Result<Imported, Error> {
    let head = log.reader().tip()?.head;
    let (mut new, mut taken) = (Vec::new(), BTreeSet::new());
    for line in lines {
        let id = line.record.id.as_str();
        if own.contains(id) || !taken.insert(id) || log.reader().has_record(id)? {
            continue;
        }
        // A record belongs to no review of this log.
        let act = Act { review: None, ..act.clone() };
        new.push(NewEntry::imported(act, id, line.written.clone())?);
    }
    let (added, skipped) = (new.len() as u64, (lines.len() - new.len()) as u64);
    if new.is_empty() {
        return Ok(Imported { added, skipped, head });
    }
    // The head is part of the name: after it moved, this is another import.
    let command = CommandId::new(format!("import after {head}"))?;
    let appended = log.append(head, &command, &new)?;
    let head = appended.entries.last().map_or(head, |(_, hash)| *hash);
    Ok(Imported { added, skipped, head })
}
