//! The keys of the referee's own ruling.

use crate::keys::{Acts, Binding, Cap, ctrl, letter, plain};
use crate::written::Written;
use review::discretion::Started;

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Act {
    No,
    Yes,
    Risk,
    Started(Started),
    Fact,
    Because,
    RemedyUp,
    RemedyDown,
    On,
    Disqualify,
    PrecedentOn,
    PrecedentBack,
    Read,
    Rule,
    Words,
    ReadBack,
    Sign,
    Title,
    End,
    Back,
}

pub(crate) const KEYS: &[Binding<Act>] = &[
    Binding { chords: &[letter('n')], act: Act::No, says: "no: nobody is at risk; no reward" },
    Binding { chords: &[letter('y')], act: Act::Yes, says: "yes: someone is at risk; a reward" },
    Binding { chords: &[letter('r')], act: Act::Risk, says: "someone is at risk now" },
    Binding { chords: &[letter('f')], act: Act::Fact, says: "state a fact" },
    Binding { chords: &[letter('b')], act: Act::Because, says: "why the book does not cover it" },
    Binding {
        chords: &[plain(Cap::Digit(1))],
        act: Act::Started(Started::Offense),
        says: "the offense started it",
    },
    Binding {
        chords: &[plain(Cap::Digit(2))],
        act: Act::Started(Started::Defense),
        says: "the defense started it",
    },
    Binding {
        chords: &[plain(Cap::Digit(3))],
        act: Act::Started(Started::Neither),
        says: "neither side started it",
    },
    Binding {
        chords: &[plain(Cap::Tab), plain(Cap::PageDown)],
        act: Act::PrecedentOn,
        says: "the next precedent",
    },
    Binding { chords: &[plain(Cap::PageUp)], act: Act::PrecedentBack, says: "the precedent before" },
    Binding { chords: &[plain(Cap::Space)], act: Act::Read, says: "read the precedent" },
    Binding { chords: &[plain(Cap::Up)], act: Act::RemedyUp, says: "the remedy above" },
    Binding { chords: &[plain(Cap::Down)], act: Act::RemedyDown, says: "the remedy below" },
    Binding {
        chords: &[plain(Cap::Enter)],
        act: Act::On,
        says: "choose the remedy; after signing: on with the game",
    },
    Binding { chords: &[letter('d')], act: Act::Disqualify, says: "disqualify a player, or nobody" },
    Binding { chords: &[letter('l')], act: Act::Rule, says: "the rule it is based on" },
    Binding { chords: &[letter('w')], act: Act::Words, says: "the words of the announcement" },
    Binding { chords: &[letter('k')], act: Act::ReadBack, says: "read back to the crew" },
    Binding { chords: &[ctrl(Cap::Enter)], act: Act::Sign, says: "sign it" },
    Binding { chords: &[letter('p')], act: Act::Title, says: "after signing: propose it as a precedent" },
    Binding { chords: &[letter('x')], act: Act::End, says: "end without a ruling" },
    Binding {
        chords: &[plain(Cap::Escape)],
        act: Act::Back,
        says: "leave the line; back, it stays as it is",
    },
];

impl Acts for Act {
    fn writes(self) -> &'static [Written] {
        match self {
            Act::No | Act::Yes => &[Written::Risk, Written::Profit],
            Act::Risk => &[Written::Risk],
            Act::Started(_) => &[Written::Profit],
            Act::Fact => &[Written::Stated],
            Act::Because => &[Written::Unreached],
            // A signed ruling becomes the restart of the review, or the situation of the game.
            Act::On => &[Written::RemedyChosen, Written::Corrected, Written::Amended],
            Act::Disqualify => &[Written::Disqualified],
            Act::Read => &[Written::Read],
            Act::Rule => &[Written::Leaned],
            Act::Words => &[Written::Worded],
            Act::ReadBack => &[Written::OwnReadBack],
            Act::Sign => &[Written::OwnSigned],
            Act::Title => &[Written::Proposed],
            Act::End => &[Written::Abandoned],
            Act::RemedyUp | Act::RemedyDown | Act::PrecedentOn | Act::PrecedentBack | Act::Back => &[],
        }
    }

    fn holds_in_a_line(self) -> bool {
        self == Act::Back
    }
}
