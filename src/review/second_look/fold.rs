//! What the events of the sheets amount to: what was drawn, and who has answered it.

use super::{Entered, Event, Stamped};
use crate::stamp::Stamp;
use std::collections::BTreeMap;

/// A sheet that was drawn.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Sheet {
    /// The records, in the order of their numbers, which count from 1.
    pub records: Vec<String>,
    /// Every answer, in the order in which they were entered.
    pub entered: Vec<Look>,
}

/// A second look.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Look {
    /// What was answered.
    pub entered: Entered,
    /// The pseudonym of who looked.
    pub by: String,
    /// When it was entered.
    pub at: Stamp,
}

/// All sheets, by id.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Sheets {
    /// Each sheet.
    pub by_id: BTreeMap<String, Sheet>,
}

impl Sheets {
    /// Takes in one more event of this sheet. An answer without its sheet is `verify`'s finding.
    pub fn apply(&mut self, sheet: &str, stamped: Stamped) {
        match self.by_id.get_mut(sheet) {
            Some(sheet) => sheet.apply(stamped),
            None => {
                if let Event::Drawn { records, .. } = stamped.event {
                    self.by_id.insert(sheet.to_owned(), Sheet { records, entered: Vec::new() });
                }
            }
        }
    }

    /// Every second look.
    pub fn looks(&self) -> impl Iterator<Item = &Look> {
        self.by_id.values().flat_map(|sheet| &sheet.entered)
    }
}

impl Sheet {
    /// Takes in one more event.
    pub fn apply(&mut self, Stamped { at, by, event }: Stamped) {
        match event {
            Event::Entered(entered) if self.holds(&entered) => {
                self.entered.push(Look { entered: *entered, by, at });
            }
            // Drawn twice, or an answer to what was not drawn: `verify` says so.
            Event::Drawn { .. } | Event::Entered(_) => {}
        }
    }

    /// The record of this number, from 1.
    pub fn record(&self, number: u32) -> Option<&str> {
        let place = usize::try_from(number).ok()?.checked_sub(1)?;
        self.records.get(place).map(String::as_str)
    }

    /// Whether this number of the sheet is this record.
    pub fn holds(&self, entered: &Entered) -> bool {
        self.record(entered.number) == Some(entered.record.as_str())
    }
}
