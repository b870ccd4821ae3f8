//! What the grades of a game's plays amount to.

use super::{Event, Stamped};
use crate::grade::Call;
use crate::stamp::Stamp;

/// The plays of a game as they were graded.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct PlayGrades {
    /// Every grade, in the order in which they were given.
    pub given: Vec<Given>,
}

/// One grade that was given.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Given {
    /// The play's number in the game, from 0.
    pub play: usize,
    /// How.
    pub call: Call,
    /// Why; empty where nothing was written.
    pub reason: String,
    /// By whom.
    pub by: String,
    /// When it was done.
    pub at: Stamp,
}

impl PlayGrades {
    /// Takes in one more event.
    pub fn apply(&mut self, Stamped { at, by, event }: Stamped) {
        let Event::Graded { play, call, reason } = event;
        self.given.push(Given { play, call, reason, by, at });
    }

    /// The grade of this play that stands: the latest.
    pub fn standing(&self, play: usize) -> Option<&Given> {
        self.given.iter().rev().find(|given| given.play == play)
    }

    /// Every grade, and whether a later one took its place.
    pub fn superseded(&self) -> impl Iterator<Item = (&Given, bool)> {
        let later = |number: usize, play| self.given.iter().skip(number + 1).any(|given| given.play == play);
        self.given.iter().enumerate().map(move |(number, given)| (given, later(number, given.play)))
    }
}
