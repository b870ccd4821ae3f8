//! How every number of a ruled review's restart came about: the ruling worked out again from its events.

use super::decide::{now, questions};
use super::event::ENGINE;
use super::fold::Review;
use rules::book::Book;
use rules::game::ledger::Ledger;

/// The ledger of a restart, with the names that its steps number.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RestartLedger {
    /// Its steps.
    pub ledger: Ledger,
    /// The names of the questions, by the numbers that the steps give.
    pub questions: Vec<String>,
}

/// The ledger of a ruled review under the rules that it was held under; `None` where nothing was ruled, or where
/// this engine would not rule as it was ruled, or the official put the restart right: then only the ruling speaks.
pub fn of(book: &Book, review: &Review) -> Option<RestartLedger> {
    let by_the_book = review.amended().is_none();
    let ruled = review.ruling.as_ref().filter(|ruled| ruled.engine == ENGINE && by_the_book)?;
    let questions = questions(book, review);
    let ruling = now(book, review, &questions).ok()?;
    let same = ruling.restart.after == ruled.after && ruling.restart.clock_starts == ruled.clock_starts;
    let names = questions.iter().map(|question| question.tree.id.clone()).collect();
    same.then_some(RestartLedger { ledger: ruling.restart.ledger, questions: names })
}
