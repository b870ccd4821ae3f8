//! What the grades of a game's plays amount to.

use super::{Event, Stamped};
use crate::grade::Call;
use crate::stamp::Stamp;

/// The plays of a game as they were graded.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct PlayGrades {
    /// In the order given.
    pub given: Vec<Given>,
}

/// One grade that was given.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Given {
    /// From 0.
    pub play: usize,
    pub call: Call,
    /// May be empty.
    pub reason: String,
    /// A pseudonym.
    pub by: String,
    pub at: Stamp,
}

impl PlayGrades {
    /// Takes in one more event. Earlier grades of the play are kept.
    pub fn apply(&mut self, Stamped { at, by, event }: Stamped) {
        let Event::Graded { play, call, reason } = event;
        self.given.push(Given { play, call, reason, by, at });
    }

    /// The latest grade of this play, which is the one that stands.
    pub fn standing(&self, play: usize) -> Option<&Given> {
        self.given.iter().rev().find(|given| given.play == play)
    }

    /// Every grade, and whether a later one superseded it.
    pub fn superseded(&self) -> impl Iterator<Item = (&Given, bool)> {
        let later = |number: usize, play| self.given.iter().skip(number + 1).any(|given| given.play == play);
        self.given.iter().enumerate().map(move |(number, given)| (given, later(number, given.play)))
    }
}
