//! The keys while landmarks or a point are clicked. Only these keys, those of the pictures and those of the cameras
//! work then, so that a quick hand answers no step.

use crate::keys::{Acts, Binding, Cap, ctrl, letter, plain, shift};
use crate::written::Written;

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Act {
    Nudge(i8, i8),
    Set,
    Next,
    Before,
    First,
    Remove,
    Air,
    Keep,
    Leave,
}

pub(crate) const KEYS: &[Binding<Act>] = &[
    Binding { chords: &[plain(Cap::Right)], act: Act::Nudge(1, 0), says: "a tenth of a pixel to the right" },
    Binding { chords: &[plain(Cap::Left)], act: Act::Nudge(-1, 0), says: "a tenth of a pixel to the left" },
    Binding { chords: &[plain(Cap::Down)], act: Act::Nudge(0, 1), says: "a tenth of a pixel down" },
    Binding { chords: &[plain(Cap::Up)], act: Act::Nudge(0, -1), says: "a tenth of a pixel up" },
    Binding { chords: &[shift(Cap::Right)], act: Act::Nudge(10, 0), says: "a pixel to the right" },
    Binding { chords: &[shift(Cap::Left)], act: Act::Nudge(-10, 0), says: "a pixel to the left" },
    Binding { chords: &[shift(Cap::Down)], act: Act::Nudge(0, 10), says: "a pixel down" },
    Binding { chords: &[shift(Cap::Up)], act: Act::Nudge(0, -10), says: "a pixel up" },
    Binding { chords: &[ctrl(Cap::Right)], act: Act::Nudge(100, 0), says: "ten pixels to the right" },
    Binding { chords: &[ctrl(Cap::Left)], act: Act::Nudge(-100, 0), says: "ten pixels to the left" },
    Binding { chords: &[ctrl(Cap::Down)], act: Act::Nudge(0, 100), says: "ten pixels down" },
    Binding { chords: &[ctrl(Cap::Up)], act: Act::Nudge(0, -100), says: "ten pixels up" },
    Binding { chords: &[plain(Cap::Space)], act: Act::Set, says: "click at the cross" },
    Binding { chords: &[plain(Cap::Tab)], act: Act::Next, says: "the next landmark, or line" },
    Binding { chords: &[shift(Cap::Tab)], act: Act::Before, says: "the one before" },
    Binding { chords: &[plain(Cap::Home)], act: Act::First, says: "the first landmark, or line" },
    Binding { chords: &[plain(Cap::Backspace)], act: Act::Remove, says: "take the click away" },
    Binding { chords: &[letter('i')], act: Act::Air, says: "the point is not on the ground, or it is" },
    Binding { chords: &[plain(Cap::Enter)], act: Act::Keep, says: "keep what was clicked" },
    Binding { chords: &[plain(Cap::Escape)], act: Act::Leave, says: "keep nothing, back to the step" },
];

impl Acts for Act {
    fn writes(self) -> &'static [Written] {
        match self {
            Act::Keep => &[Written::Placed],
            Act::Nudge(..)
            | Act::Set
            | Act::Next
            | Act::Before
            | Act::First
            | Act::Remove
            | Act::Air
            | Act::Leave => &[],
        }
    }
}
