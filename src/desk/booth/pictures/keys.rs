//! The keys of the pictures. They work in the walk beside its own keys.

use crate::keys::{Acts, Binding, Cap, Chord, ctrl, letter, plain, shift};
use crate::written::Written;
use footage::playhead::Speed;
use rules::book::tree::Looks;

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Act {
    Step(i16),
    Second(i8),
    Run(Speed),
    Mark {
        /// The next one.
        on: bool,
    },
    Loop,
    First,
    Last,
    Brighter(i16),
    Contrast(i16),
    Zoom(i8),
    Pan(i8, i8),
    AsItIs,
    Calibrate,
    Measure,
    Tie,
    Field,
    Newer,
}

const fn both(cap: Cap) -> Chord {
    Chord { cap, ctrl: true, shift: true }
}

pub(crate) const KEYS: &[Binding<Act>] = &[
    Binding { chords: &[plain(Cap::Right), plain(Cap::Sign('.'))], act: Act::Step(1), says: "one frame on" },
    Binding {
        chords: &[plain(Cap::Left), plain(Cap::Sign(','))],
        act: Act::Step(-1),
        says: "one frame back",
    },
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
    Binding { chords: &[letter('w')], act: Act::Contrast(20), says: "more contrast" },
    Binding { chords: &[shift(Cap::Letter('w'))], act: Act::Contrast(-20), says: "less contrast" },
    Binding {
        chords: &[plain(Cap::Sign('+')), plain(Cap::Sign('='))],
        act: Act::Zoom(1),
        says: "nearer, around the pointer; or the wheel",
    },
    Binding { chords: &[plain(Cap::Sign('-'))], act: Act::Zoom(-1), says: "farther; or the wheel" },
    Binding { chords: &[both(Cap::Right)], act: Act::Pan(1, 0), says: "the part to the right; or drag" },
    Binding { chords: &[both(Cap::Left)], act: Act::Pan(-1, 0), says: "the part to the left" },
    Binding { chords: &[both(Cap::Down)], act: Act::Pan(0, 1), says: "the part below" },
    Binding { chords: &[both(Cap::Up)], act: Act::Pan(0, -1), says: "the part above" },
    Binding { chords: &[letter('z')], act: Act::AsItIs, says: "the whole picture, in its own light" },
    Binding { chords: &[letter('i')], act: Act::Calibrate, says: "calibrate: click landmarks of the field" },
    Binding {
        chords: &[letter('s')],
        act: Act::Measure,
        says: "measure on which side of the rule's line a point is",
    },
    Binding { chords: &[shift(Cap::Letter('t'))], act: Act::Tie, says: "tie two cameras at the same moment" },
    Binding { chords: &[letter('v')], act: Act::Field, says: "all lines, or one field" },
    Binding {
        chords: &[shift(Cap::Letter('o'))],
        act: Act::Newer,
        says: "open the newer clips that are finished",
    },
];

impl Act {
    /// The kind of look that it is, for pictures that run or rest.
    pub(super) fn looks(self, runs: bool) -> Option<Looks> {
        match self {
            Act::Step(_) => Some(Looks::FrameByFrame),
            Act::Run(_) if runs => None,
            Act::Run(Speed::Full) => Some(Looks::FullSpeed),
            Act::Run(Speed::Half | Speed::Quarter) => Some(Looks::Slow),
            Act::Second(_)
            | Act::Mark { .. }
            | Act::Loop
            | Act::First
            | Act::Last
            | Act::Brighter(_)
            | Act::Contrast(_)
            | Act::Zoom(_)
            | Act::Pan(..)
            | Act::AsItIs
            | Act::Calibrate
            | Act::Measure
            | Act::Tie
            | Act::Field
            | Act::Newer => None,
        }
    }
}

impl Acts for Act {
    fn writes(self) -> &'static [Written] {
        match self {
            // Running and stepping is a look at the open step.
            Act::Step(_) | Act::Second(_) | Act::Run(_) => &[Written::Looked],
            Act::Tie => &[Written::Tied],
            Act::Mark { .. }
            | Act::Loop
            | Act::First
            | Act::Last
            | Act::Brighter(_)
            | Act::Contrast(_)
            | Act::Zoom(_)
            | Act::Pan(..)
            | Act::AsItIs
            | Act::Calibrate
            | Act::Measure
            | Act::Field
            | Act::Newer => &[],
        }
    }
}
