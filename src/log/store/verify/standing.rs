//! Do the referee's own rulings and their precedents, and sheets and second looks, hang together? Part of the pass of
//! `verify`.
//!
//! What is shown of them is a fold of their entries, so nothing beside the chain can differ; but an entry could be
//! none of its kind, a precedent could stand on a ruling that nobody signed, or be decided before it was proposed, or
//! a second look answer what was not drawn.

use crate::chain::entry::Entry;
use crate::forms;
use crate::forms::stored::{Stored, Unreadable};
use crate::forms::{Fault, stored};
use review::discretion::Event as Ruling;
use review::precedent::Event as Precedent;
use review::second_look::fold::Sheet;
use review::second_look::{Event as Again, Stamped};
use std::collections::{BTreeMap, BTreeSet};

/// Whether an entry of this kind must fit to earlier ones, or later ones to it.
pub(super) fn minds(kind: &str) -> bool {
    [Ruling::KINDS, Again::KINDS, Precedent::KINDS].iter().any(|kinds| kinds.has(kind))
}

/// What is known after the entries so far.
#[derive(Debug, Default)]
pub(super) struct Standing {
    opened: BTreeSet<String>,
    signed: BTreeSet<String>,
    proposed: BTreeSet<String>,
    sheets: BTreeMap<String, Sheet>,
}

impl Standing {
    /// Takes in one more entry; says what is wrong with it.
    pub(super) fn take(&mut self, entry: &Entry) -> Result<(), String> {
        if let Some((id, event)) = read::<Ruling>(entry)? {
            return self.ruling(id, &event);
        }
        if let Some((id, event)) = read::<Precedent>(entry)? {
            return self.precedent(id, &event);
        }
        if let Some((sheet, event)) = read::<Again>(entry)? {
            return self.second_look(&sheet, event.stamped(&entry.act));
        }
        match forms::kinds(&entry.kind).filter(|kinds| kinds.unreadable == Unreadable::Skipped) {
            Some(kinds) => known((kinds.check)(entry)).map(drop),
            None => Ok(()),
        }
    }

    fn second_look(&mut self, sheet: &str, stamped: Stamped) -> Result<(), String> {
        let known = self.sheets.get(sheet);
        match &stamped.event {
            Again::Drawn { .. } if known.is_some() => {
                return Err(format!("it draws the sheet `{sheet}` a second time"));
            }
            Again::Entered(entered) if !known.is_some_and(|sheet| sheet.holds(entered)) => {
                let number = entered.number;
                return Err(format!(
                    "it answers number {number} of the sheet `{sheet}`, which was not drawn so"
                ));
            }
            Again::Drawn { .. } | Again::Entered(_) => {}
        }
        self.sheets.entry(sheet.to_owned()).or_default().apply(stamped);
        Ok(())
    }

    fn ruling(&mut self, id: String, event: &Ruling) -> Result<(), String> {
        match event {
            Ruling::Opened(_) => {
                if !self.opened.insert(id.clone()) {
                    return Err(format!("it opens the ruling `{id}` a second time"));
                }
            }
            Ruling::Signed(_) => {
                if !self.signed.insert(id.clone()) {
                    return Err(format!("it signs the ruling `{id}` a second time"));
                }
            }
            Ruling::Risk { .. }
            | Ruling::Stated(_)
            | Ruling::Unreached { .. }
            | Ruling::Profit(_)
            | Ruling::Read { .. }
            | Ruling::Chosen(_)
            | Ruling::Disqualified { .. }
            | Ruling::Leaned { .. }
            | Ruling::Worded { .. }
            | Ruling::ReadBack
            | Ruling::Abandoned { .. } => {}
        }
        match self.opened.contains(&id) {
            true => Ok(()),
            false => Err(format!("the ruling `{id}` was not opened before it")),
        }
    }

    fn precedent(&mut self, id: String, event: &Precedent) -> Result<(), String> {
        match event {
            Precedent::Proposed(proposal) => {
                if !self.signed.contains(&proposal.ruling) {
                    return Err(format!(
                        "it proposes the ruling `{}`, which nobody signed before",
                        proposal.ruling
                    ));
                }
                match self.proposed.insert(id.clone()) {
                    true => Ok(()),
                    false => Err(format!("it proposes the precedent `{id}` a second time")),
                }
            }
            Precedent::Approved { .. } | Precedent::Narrowed { .. } | Precedent::Withdrawn { .. } => {
                match self.proposed.contains(&id) {
                    true => Ok(()),
                    false => Err(format!("the precedent `{id}` was not proposed before it")),
                }
            }
        }
    }

    /// How many rulings were signed, and how many precedents proposed.
    pub(super) fn counts(&self) -> (u64, u64) {
        (self.signed.len() as u64, self.proposed.len() as u64)
    }
}

/// The event of an entry, if it is one of this stream.
fn read<E: Stored>(entry: &Entry) -> Result<Option<(String, E)>, String> {
    Ok(known(stored(entry))?.flatten())
}

/// What was read. An entry of a newer form is hashed and signed, and for a newer tellframe to read.
fn known<T>(read: Result<T, Fault>) -> Result<Option<T>, String> {
    match read {
        Ok(read) => Ok(Some(read)),
        Err(Fault::NewerForm { .. }) => Ok(None),
        Err(fault) => Err(fault.to_string()),
    }
}
