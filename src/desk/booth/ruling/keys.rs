//! The keys of a ruling.

use crate::desk::keys::{Binding, Cap, ctrl, letter, plain};

/// What a key does.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Act {
    /// Signs the ruling: two keys at once, so that no finger does it by itself.
    Sign,
    /// The restart is read back; it is announced; on to the game.
    On,
    /// The next foul.
    NextFoul,
    /// The offended team takes the penalty.
    Accept,
    /// The offended team takes the play.
    Decline,
    /// The restart is put right against the book, with a reason.
    Amend,
    /// To the referee's own ruling, where the book leaves it to him.
    Referee,
    /// Back to the walk, nothing signed.
    Back,
}

/// Every key of a ruling.
pub(crate) const KEYS: &[Binding<Act>] = &[
    Binding { chords: &[ctrl(Cap::Enter)], act: Act::Sign, says: "sign the ruling" },
    Binding { chords: &[plain(Cap::Enter)], act: Act::On, says: "after signing: read back, announced, on" },
    Binding { chords: &[plain(Cap::Tab)], act: Act::NextFoul, says: "the next foul" },
    Binding { chords: &[letter('a')], act: Act::Accept, says: "the offended team accepts" },
    Binding { chords: &[letter('d')], act: Act::Decline, says: "the offended team declines" },
    Binding { chords: &[letter('e')], act: Act::Amend, says: "put the restart right, with a reason" },
    Binding { chords: &[letter('r')], act: Act::Referee, says: "what the book leaves to the referee" },
    Binding { chords: &[plain(Cap::Escape)], act: Act::Back, says: "back to the walk; nothing is signed" },
];
