//! The state of a sheet: which records were drawn, and who has answered them.

use super::{Entered, Event, Stamped};
use crate::stamp::Stamp;

/// A drawn sheet with its second looks.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Sheet {
    /// Ids, in the order of their numbers, which count from 1.
    pub records: Vec<String>,
    /// In the order entered.
    pub entered: Vec<Look>,
}

/// A second look, with who entered it and when.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Look {
    pub entered: Entered,
    /// A pseudonym.
    pub by: String,
    pub at: Stamp,
}

impl Sheet {
    /// Takes in one more event. A second draw, and an answer to what was not drawn, are ignored.
    pub fn apply(&mut self, Stamped { at, by, event }: Stamped) {
        match event {
            Event::Entered(entered) if self.holds(&entered) => {
                self.entered.push(Look { entered: *entered, by, at });
            }
            Event::Drawn { records, .. } if self.records.is_empty() => self.records = records,
            // `verify` reports these.
            Event::Drawn { .. } | Event::Entered(_) => {}
        }
    }

    /// The record with this number, from 1.
    pub fn record(&self, number: u32) -> Option<&str> {
        let place = usize::try_from(number).ok()?.checked_sub(1)?;
        self.records.get(place).map(String::as_str)
    }

    /// Whether the sheet has this record at this number.
    pub fn holds(&self, entered: &Entered) -> bool {
        self.record(entered.number) == Some(entered.record.as_str())
    }
}
