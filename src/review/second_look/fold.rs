//! What the events of the sheets amount to: what was drawn, and who has answered it.

use super::{Entered, Event, Stamped};
use crate::stamp::Stamp;

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

impl Sheet {
    /// Takes in one more event.
    pub fn apply(&mut self, Stamped { at, by, event }: Stamped) {
        match event {
            Event::Entered(entered) if self.holds(&entered) => {
                self.entered.push(Look { entered: *entered, by, at });
            }
            Event::Drawn { records, .. } if self.records.is_empty() => self.records = records,
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
