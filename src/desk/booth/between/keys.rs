//! The keys between plays.

use super::What;
use crate::keys::{Acts, Binding, Cap, ctrl, letter, plain, shift};
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
    Station,
    Leave,
}

pub(crate) const KEYS: &[Binding<Act>] = &[
    Binding { chords: &[plain(Cap::Space)], act: Act::Looked, says: "looked, no stop" },
    Binding { chords: &[letter('c')], act: Act::Challenge, says: "a challenge, or the booth stops the game" },
    Binding {
        chords: &[letter('p')],
        act: Act::Penalties,
        says: "penalties: what was called, what is chosen",
    },
    Binding { chords: &[letter('d')], act: Act::Play(What::Down), says: "stopped at …" },
    Binding { chords: &[letter('o')], act: Act::Play(What::OutOfBounds), says: "out of bounds at …" },
    Binding { chords: &[letter('i')], act: Act::Play(What::Incomplete), says: "incomplete pass" },
    Binding {
        chords: &[letter('t')],
        act: Act::Play(What::Touchdown),
        says: "touchdown; a try run or passed",
    },
    Binding { chords: &[letter('g')], act: Act::Play(What::Good), says: "kick good" },
    Binding { chords: &[shift(Cap::Letter('g'))], act: Act::Play(What::NoGood), says: "kick no good" },
    Binding { chords: &[letter('k')], act: Act::Play(What::Kicked), says: "kicked, stopped at …" },
    Binding { chords: &[letter('b')], act: Act::Play(What::Touchback), says: "touchback" },
    Binding {
        chords: &[shift(Cap::Letter('k'))],
        act: Act::Play(What::KickKept),
        says: "kickers recover at …",
    },
    Binding { chords: &[letter('v')], act: Act::Play(What::Turnover), says: "turnover, stopped at …" },
    Binding {
        chords: &[shift(Cap::Letter('v'))],
        act: Act::Play(What::Returned),
        says: "turnover and touchdown",
    },
    Binding { chords: &[letter('s')], act: Act::Play(What::Safety), says: "safety" },
    Binding { chords: &[letter('r')], act: Act::Play(What::Again), says: "the down is played again" },
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
    Binding {
        chords: &[plain(Cap::F(4))],
        act: Act::Station,
        says: "at the desk: the official, the cameras, the card put right",
    },
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
            Act::EndGame | Act::Challenge | Act::After | Act::Before | Act::Station | Act::Leave => &[],
        }
    }

    fn holds_in_a_line(self) -> bool {
        self == Act::Leave
    }
}
