//! The supervisor's report: one page of HTML that holds everything it shows.

use crate::audit::editions::Editions;
use crate::audit::sample::Sample;
use crate::wire::audit::Audit;

/// What the page shows besides the figures.
#[derive(Debug, Default)]
pub struct Source {}

impl Source {
    /// From the sample that the figures are of.
    pub fn of(_: &Sample, _: &Editions) -> Source {
        Source {}
    }
}

/// The page.
pub fn page(_: &Audit, _: &Source) -> String {
    String::new()
}
