//! What the lists and sheets of a tab are made from.

use super::held::{Acts, Held};
use audit::sample::row::Row;
use formats::audit::Audit;

#[derive(Clone, Copy)]
pub(crate) struct See<'a> {
    pub held: &'a Held,
    /// Grades and precedents, with those given since.
    pub acts: &'a Acts,
    /// The figures of the week shown, or of all weeks.
    pub found: &'a Audit,
    /// `None` for all weeks.
    pub week: Option<u32>,
    /// Hide who decided while grading.
    pub blind: bool,
    /// List graded records too.
    pub graded_too: bool,
    /// The record graded last, which is always listed.
    pub done: Option<&'a str>,
}

impl See<'_> {
    /// Whether a record belongs to the week shown.
    pub(super) fn shows(&self, row: &Row) -> bool {
        self.week.is_none_or(|week| row.week == Some(week))
    }

    /// Whether the record with this id belongs to the week shown. True for unknown records.
    pub(super) fn shows_record(&self, id: &str) -> bool {
        self.held.record(id).is_none_or(|row| self.shows(row))
    }
}
