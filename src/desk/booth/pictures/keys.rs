//! The keys of the pictures. They hold in the walk, beside its own.

use crate::desk::keys::{Binding, Cap, ctrl, letter, plain, shift};
use tellframe::footage::playhead::Speed;

/// What a key does.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Act {
    /// So many frames on, or back.
    Step(i16),
    /// So many seconds on, or back.
    Second(i8),
    /// Lets the pictures run, or holds them.
    Run(Speed),
    /// To the next mark, or to the one before.
    Mark {
        /// The next one.
        on: bool,
    },
    /// Between two marks again and again, or not any more.
    Loop,
    /// To the first frame.
    First,
    /// To the last frame.
    Last,
    /// Brighter, or darker.
    Brighter(i16),
    /// All lines, the upper field, the lower field.
    Field,
}

/// Every key of the pictures.
pub(crate) const KEYS: &[Binding<Act>] = &[
    Binding { chords: &[plain(Cap::Right)], act: Act::Step(1), says: "one frame on" },
    Binding { chords: &[plain(Cap::Left)], act: Act::Step(-1), says: "one frame back" },
    Binding { chords: &[shift(Cap::Right)], act: Act::Step(10), says: "ten frames on" },
    Binding { chords: &[shift(Cap::Left)], act: Act::Step(-10), says: "ten frames back" },
    Binding { chords: &[ctrl(Cap::Right)], act: Act::Second(1), says: "a second on" },
    Binding { chords: &[ctrl(Cap::Left)], act: Act::Second(-1), says: "a second back" },
    Binding { chords: &[letter('p')], act: Act::Run(Speed::Full), says: "run at full speed, or hold" },
    Binding { chords: &[letter('h')], act: Act::Run(Speed::Half), says: "run at half speed, or hold" },
    Binding { chords: &[letter('j')], act: Act::Run(Speed::Quarter), says: "run at a quarter, or hold" },
    Binding { chords: &[plain(Cap::Sign(']'))], act: Act::Mark { on: true }, says: "the next mark" },
    Binding { chords: &[plain(Cap::Sign('['))], act: Act::Mark { on: false }, says: "the mark before" },
    Binding { chords: &[letter('k')], act: Act::Loop, says: "loop between marks, or not" },
    Binding { chords: &[plain(Cap::Home)], act: Act::First, says: "the first frame" },
    Binding { chords: &[plain(Cap::End)], act: Act::Last, says: "the last frame" },
    Binding { chords: &[letter('g')], act: Act::Brighter(15), says: "brighter" },
    Binding { chords: &[shift(Cap::Letter('g'))], act: Act::Brighter(-15), says: "darker" },
    Binding { chords: &[letter('v')], act: Act::Field, says: "all lines, or one field" },
];
