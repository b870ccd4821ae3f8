//! The keys of the penalties.

use crate::booth::between::What;
use crate::keys::{Acts, Binding, Cap, letter, plain};
use crate::written::Written;

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Act {
    /// A row of the list, from 0.
    Take(u8),
    Up,
    Down,
    Go,
    Another,
    Remove,
    Player,
    Play(What),
    Back,
}

/// A play, by the key that it has on every screen.
const fn play(what: What) -> Binding<Act> {
    Binding { chords: what.chords(), act: Act::Play(what), says: what.says() }
}

pub(crate) const KEYS: &[Binding<Act>] = &[
    Binding { chords: &[plain(Cap::Digit(1))], act: Act::Take(0), says: "the first of the list" },
    Binding { chords: &[plain(Cap::Digit(2))], act: Act::Take(1), says: "the second" },
    Binding { chords: &[plain(Cap::Digit(3))], act: Act::Take(2), says: "the third" },
    Binding { chords: &[plain(Cap::Digit(4))], act: Act::Take(3), says: "the fourth" },
    Binding { chords: &[plain(Cap::Digit(5))], act: Act::Take(4), says: "the fifth" },
    Binding { chords: &[plain(Cap::Digit(6))], act: Act::Take(5), says: "the sixth" },
    Binding { chords: &[plain(Cap::Digit(7))], act: Act::Take(6), says: "the seventh" },
    Binding { chords: &[plain(Cap::Digit(8))], act: Act::Take(7), says: "the eighth" },
    Binding { chords: &[plain(Cap::Up)], act: Act::Up, says: "the row above" },
    Binding { chords: &[plain(Cap::Down)], act: Act::Down, says: "the row below" },
    Binding { chords: &[plain(Cap::Enter)], act: Act::Go, says: "take it; at the end, write the play" },
    Binding { chords: &[letter('p')], act: Act::Another, says: "another foul" },
    Binding { chords: &[plain(Cap::Backspace)], act: Act::Remove, says: "the newest foul is taken back" },
    Binding {
        chords: &[letter('x')],
        act: Act::Player,
        says: "who did the newest foul, disqualified or not",
    },
    play(What::Down),
    play(What::OutOfBounds),
    play(What::Incomplete),
    play(What::Touchdown),
    play(What::Good),
    play(What::NoGood),
    play(What::Kicked),
    play(What::Touchback),
    play(What::KickKept),
    play(What::Regained),
    play(What::Turnover),
    play(What::Returned),
    play(What::Safety),
    play(What::Again),
    Binding { chords: &[plain(Cap::Escape)], act: Act::Back, says: "one step back; nothing is lost" },
];

impl Acts for Act {
    fn writes(self) -> &'static [Written] {
        match self {
            Act::Go => &[Written::PlayedWithFouls, Written::Chosen],
            Act::Take(_) => &[Written::Chosen],
            Act::Up | Act::Down | Act::Another | Act::Remove | Act::Player | Act::Play(_) | Act::Back => &[],
        }
    }

    fn holds_in_a_line(self) -> bool {
        matches!(self, Act::Up | Act::Down | Act::Back)
    }
}
