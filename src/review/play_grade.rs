//! Grades of the crew's calls on plays that were not reviewed.
//!
//! A play that was reviewed is graded through its record (`grade`). A later grade supersedes an earlier one, and both
//! are kept.

pub mod decide;
pub mod fold;

use super::grade::Call;

/// One thing that happened to the plays of a game after it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Event {
    /// The crew's call on a play was graded.
    Graded {
        /// The play's number in the game, from 0.
        play: usize,
        /// How.
        call: Call,
        /// Why; empty where nothing was written.
        reason: String,
    },
}

/// An event with its stamp and who did it.
pub type Stamped = crate::stamp::Signed<Event>;
