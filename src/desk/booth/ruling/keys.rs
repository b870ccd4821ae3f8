//! The keys of a ruling.

use crate::keys::{Acts, Binding, Cap, ctrl, letter, plain, shift};
use crate::written::Written;

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Act {
    Sign,
    ReadBack,
    Announce,
    On,
    Penalties,
    Amend,
    Referee,
    Mark,
    Back,
}

pub(crate) const KEYS: &[Binding<Act>] = &[
    Binding { chords: &[ctrl(Cap::Enter)], act: Act::Sign, says: "sign the ruling" },
    Binding { chords: &[letter('k')], act: Act::ReadBack, says: "after signing: the restart is read back" },
    Binding { chords: &[shift(Cap::Letter('a'))], act: Act::Announce, says: "after that: it is announced" },
    Binding { chords: &[plain(Cap::Enter)], act: Act::On, says: "once it is announced: on with the game" },
    Binding { chords: &[letter('p')], act: Act::Penalties, says: "accept or decline the fouls that stand" },
    Binding { chords: &[letter('e')], act: Act::Amend, says: "correct the restart, with a reason" },
    Binding { chords: &[letter('r')], act: Act::Referee, says: "what the book leaves to the referee" },
    Binding { chords: &[letter('m')], act: Act::Mark, says: "mark what the restart needs" },
    Binding { chords: &[plain(Cap::Escape)], act: Act::Back, says: "back to the walk; nothing is signed" },
];

impl Acts for Act {
    fn writes(self) -> &'static [Written] {
        match self {
            Act::Sign => &[Written::Ruled],
            Act::ReadBack => &[Written::RestartReadBack],
            Act::Announce => &[Written::Announced],
            Act::On => &[Written::ReviewEnded],
            Act::Penalties => &[Written::Chosen],
            Act::Amend => &[Written::Amended],
            Act::Referee => &[Written::OwnOpened],
            Act::Mark | Act::Back => &[],
        }
    }

    fn holds_in_a_line(self) -> bool {
        self == Act::Back
    }
}
