//! Grades of the crew's calls on plays that were not reviewed.
//!
//! A play that was reviewed is graded through its record (`grade`). A later grade supersedes an earlier one, and both
//! are kept.

pub mod decide;
pub mod fold;

use super::grade::Call;

/// One thing that happened to a game's plays after the game. Plays count from 0; a reason may be empty.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Event {
    Graded { play: usize, call: Call, reason: String },
}

/// An event with its stamp and who did it.
pub type Stamped = crate::stamp::Signed<Event>;
