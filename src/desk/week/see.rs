//! What the lists and sheets of a tab are made from.

use super::held::{Acts, Held};
use audit::sample::row::Row;
use formats::audit::Audit;

/// What a board is made from.
#[derive(Clone, Copy)]
pub(crate) struct See<'a> {
    /// What was read.
    pub held: &'a Held,
    /// What has become of it.
    pub acts: &'a Acts,
    /// The figures that are shown.
    pub found: &'a Audit,
    /// The week; none: all.
    pub week: Option<u32>,
    /// Who decided is hidden while grading.
    pub blind: bool,
    /// Graded records are listed too.
    pub graded_too: bool,
    /// The record that was graded last, listed in any case.
    pub done: Option<&'a str>,
}

impl See<'_> {
    /// Whether a record is of the week that is shown.
    pub(super) fn shows(&self, row: &Row) -> bool {
        self.week.is_none_or(|week| row.week == Some(week))
    }

    /// Whether a record of this id is of the week that is shown.
    pub(super) fn shows_record(&self, id: &str) -> bool {
        self.held.record(id).is_none_or(|row| self.shows(row))
    }
}
