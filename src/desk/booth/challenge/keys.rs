//! The keys of a challenge.

use crate::keys::{Acts, Binding, Cap, ctrl, letter, plain};
use crate::written::Written;

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Act {
    Choose(u8),
    Up,
    Down,
    Whistle,
    Score,
    Turnover,
    Play,
    AfterSnap,
    Challenged,
    Ended,
    Go,
    Confirm,
    Back,
}

pub(crate) const KEYS: &[Binding<Act>] = &[
    Binding { chords: &[plain(Cap::Digit(1))], act: Act::Choose(0), says: "the first: who asks, which call" },
    Binding { chords: &[plain(Cap::Digit(2))], act: Act::Choose(1), says: "the second" },
    Binding { chords: &[plain(Cap::Digit(3))], act: Act::Choose(2), says: "the third" },
    Binding { chords: &[plain(Cap::Digit(4))], act: Act::Choose(3), says: "the fourth" },
    Binding { chords: &[plain(Cap::Digit(5))], act: Act::Choose(4), says: "the fifth" },
    Binding { chords: &[plain(Cap::Up)], act: Act::Up, says: "the question above" },
    Binding { chords: &[plain(Cap::Down)], act: Act::Down, says: "the question below" },
    Binding { chords: &[letter('w')], act: Act::Whistle, says: "whistle: none, or at which moment" },
    Binding { chords: &[letter('s')], act: Act::Score, says: "a score was ruled besides" },
    Binding { chords: &[letter('t')], act: Act::Turnover, says: "a turnover was ruled besides" },
    Binding {
        chords: &[letter('p')],
        act: Act::Play,
        says: "about the other play: the last one, the coming one",
    },
    Binding { chords: &[letter('l')], act: Act::AfterSnap, says: "the stop signal came after the snap" },
    Binding { chords: &[letter('o')], act: Act::Challenged, says: "found during the review, or challenged" },
    Binding { chords: &[plain(Cap::Tab)], act: Act::Ended, says: "read-back: how the play ended as it ran" },
    Binding { chords: &[plain(Cap::Enter)], act: Act::Go, says: "on; the call is read back" },
    Binding { chords: &[ctrl(Cap::Enter)], act: Act::Confirm, says: "ask the gate; leave at the price" },
    Binding { chords: &[plain(Cap::Escape)], act: Act::Back, says: "one step back; nothing is lost" },
];

impl Acts for Act {
    fn writes(self) -> &'static [Written] {
        match self {
            Act::Confirm => &[
                Written::ReviewBegan,
                Written::Begun,
                Written::Called,
                Written::Asked,
                Written::Refused,
                Written::ReviewEnded,
            ],
            Act::Go => &[Written::Flagged, Written::Chosen, Written::ReadBack],
            Act::Choose(_)
            | Act::Up
            | Act::Down
            | Act::Whistle
            | Act::Score
            | Act::Turnover
            | Act::Play
            | Act::AfterSnap
            | Act::Challenged
            | Act::Ended
            | Act::Back => &[],
        }
    }

    fn holds_in_a_line(self) -> bool {
        matches!(self, Act::Up | Act::Down | Act::Ended | Act::Back)
    }
}
