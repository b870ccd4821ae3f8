//! How every number of a ruled review's restart came about, by computing the ruling again from its events.

use super::decide::{now, questions};
use super::fold::Review;
use rules::book::Book;
use rules::game::ledger::Ledger;

/// The ledger of a restart, with the names of its questions.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RestartLedger {
    pub ledger: Ledger,
    /// Names, by the numbers that the ledger uses.
    pub questions: Vec<String>,
}

/// The ledger of a ruled review under its own rules; `None` where nothing was ruled, where the official corrected the
/// restart, or where this engine would rule otherwise: then only the ruling counts.
pub fn of(book: &Book, review: &Review) -> Option<RestartLedger> {
    let by_the_book = review.amended().is_none();
    let ruled = review.ruling.as_ref().filter(|_| by_the_book)?;
    let questions = questions(book, review);
    let ruling = now(book, review, &questions).ok()?;
    let same = ruling.restart.after == ruled.after && ruling.restart.clock_starts == ruled.clock_starts;
    let names = questions.iter().map(|question| question.tree.id.clone()).collect();
    same.then_some(RestartLedger { ledger: ruling.restart.ledger, questions: names })
}
