//! The keys between plays.

use super::What;
use crate::keys::{Acts, Binding, Cap, Chord, ctrl, letter, plain, shift};
use crate::written::Written;
use rules::game::situation::{End, Team};

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Act {
    Play(What),
    Looked,
    Challenge,
    Penalties,
    Timeout(Team),
    Correct,
    NextPeriod,
    EndGame,
    Start(Team, End),
    Confirm,
    Undo,
    Service,
    Referee,
    After,
    Before,
    Leave,
}

impl What {
    pub(crate) const fn chords(self) -> &'static [Chord] {
        match self {
            What::Down => const { &[letter('d')] },
            What::OutOfBounds => const { &[letter('o')] },
            What::Incomplete => const { &[letter('i')] },
            What::Touchdown => const { &[letter('t')] },
            What::Good => const { &[letter('g')] },
            What::NoGood => const { &[shift(Cap::Letter('g'))] },
            What::Kicked => const { &[letter('k')] },
            What::Touchback => const { &[letter('b')] },
            What::Regained => const { &[letter('w')] },
            What::KickKept => const { &[shift(Cap::Letter('k'))] },
            What::Turnover => const { &[letter('v')] },
            What::Returned => const { &[shift(Cap::Letter('v'))] },
            What::Safety => const { &[letter('s')] },
            What::Again => const { &[letter('r')] },
        }
    }

    /// For the page of keys.
    pub(crate) const fn says(self) -> &'static str {
        match self {
            What::Down => "stopped at …",
            What::OutOfBounds => "out of bounds at …",
            What::Incomplete => "incomplete pass",
            What::Touchdown => "touchdown; a try run or passed",
            What::Good => "kick good",
            What::NoGood => "kick no good",
            What::Kicked => "kicked, stopped at …",
            What::Touchback => "touchback",
            What::Regained => "turnover, won back, stopped at …",
            What::KickKept => "kickers recover at …",
            What::Turnover => "turnover, stopped at …",
            What::Returned => "turnover and touchdown",
            What::Safety => "safety",
            What::Again => "the down is played again",
        }
    }
}

/// A play, by the key that it has on every screen.
const fn play(what: What) -> Binding<Act> {
    Binding { chords: what.chords(), act: Act::Play(what), says: what.says() }
}

pub(crate) const KEYS: &[Binding<Act>] = &[
    Binding { chords: &[plain(Cap::Space)], act: Act::Looked, says: "looked, no stop" },
    Binding { chords: &[letter('c')], act: Act::Challenge, says: "a challenge, or the booth stops the game" },
    Binding {
        chords: &[letter('p')],
        act: Act::Penalties,
        says: "penalties: what was called, what is chosen",
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
    play(What::Turnover),
    play(What::Returned),
    play(What::Regained),
    play(What::Safety),
    play(What::Again),
    Binding { chords: &[letter('h')], act: Act::Timeout(Team::Home), says: "timeout, home" },
    Binding { chords: &[letter('a')], act: Act::Timeout(Team::Away), says: "timeout, visitors" },
    Binding { chords: &[letter('e')], act: Act::Correct, says: "correct the situation" },
    Binding { chords: &[letter('n')], act: Act::NextPeriod, says: "the next period begins" },
    Binding { chords: &[shift(Cap::Letter('n'))], act: Act::EndGame, says: "the end of the game" },
    Binding {
        chords: &[plain(Cap::Digit(1))],
        act: Act::Start(Team::Home, End::East),
        says: "home begins it, going east",
    },
    Binding {
        chords: &[plain(Cap::Digit(2))],
        act: Act::Start(Team::Home, End::West),
        says: "home begins it, going west",
    },
    Binding {
        chords: &[plain(Cap::Digit(3))],
        act: Act::Start(Team::Away, End::East),
        says: "visitors begin it, going east",
    },
    Binding {
        chords: &[plain(Cap::Digit(4))],
        act: Act::Start(Team::Away, End::West),
        says: "visitors begin it, going west",
    },
    Binding {
        chords: &[ctrl(Cap::Enter)],
        act: Act::Confirm,
        says: "confirm: charge the timeout, end the period",
    },
    Binding {
        chords: &[plain(Cap::Backspace), ctrl(Cap::Letter('z'))],
        act: Act::Undo,
        says: "take the newest change back",
    },
    Binding { chords: &[letter('x')], act: Act::Service, says: "replay out of service, or back" },
    Binding {
        chords: &[shift(Cap::Letter('r'))],
        act: Act::Referee,
        says: "what the book leaves to the referee",
    },
    Binding { chords: &[plain(Cap::F(3))], act: Act::After, says: "the log of the game" },
    Binding { chords: &[plain(Cap::F(2))], act: Act::Before, says: "the card of the game" },
    Binding { chords: &[plain(Cap::Escape)], act: Act::Leave, says: "leave what is being typed" },
];

impl Acts for Act {
    fn writes(self) -> &'static [Written] {
        match self {
            Act::Play(_) => &[Written::Played],
            Act::Penalties => &[Written::PlayedWithFouls],
            Act::Looked => &[Written::PlayLooked],
            Act::Timeout(_) => &[Written::Timeout],
            Act::Correct => &[Written::Set, Written::Corrected],
            Act::NextPeriod | Act::Start(..) => &[Written::Period],
            Act::Confirm => &[Written::Timeout, Written::Period],
            Act::Undo => &[Written::DayUndone],
            Act::Service => &[Written::OutOfService, Written::BackInService],
            Act::Referee => &[Written::OwnOpened],
            Act::EndGame | Act::Challenge | Act::After | Act::Before | Act::Leave => &[],
        }
    }

    fn holds_in_a_line(self) -> bool {
        self == Act::Leave
    }
}
