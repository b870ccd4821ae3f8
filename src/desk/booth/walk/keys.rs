//! The keys of the walk.

use crate::keys::{Acts, Binding, Cap, ctrl, letter, plain, shift};
use crate::written::Written;
use rules::book::tree::Looks;

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Act {
    Answer(u8),
    Unclear,
    Take,
    StepBack,
    StepOn,
    Soonest,
    NextQuestion,
    Camera(u8),
    Look,
    LookOtherwise(Looks),
    Mark,
    TypeMark,
    ReadClock,
    TakeClock,
    NextMoment,
    Undo,
    Rule,
    Ask,
    Flags,
    ReadBack,
    Precedent,
    Clips,
    End,
    Confirm,
    Leave,
}

/// Digits are the options in the order of the book.
pub(crate) const KEYS: &[Binding<Act>] = &[
    Binding { chords: &[plain(Cap::Digit(1)), letter('y')], act: Act::Answer(0), says: "first answer: yes" },
    Binding { chords: &[plain(Cap::Digit(2)), letter('n')], act: Act::Answer(1), says: "second answer: no" },
    Binding { chords: &[plain(Cap::Digit(3))], act: Act::Answer(2), says: "third answer" },
    Binding { chords: &[plain(Cap::Digit(4))], act: Act::Answer(3), says: "fourth answer" },
    Binding { chords: &[plain(Cap::Digit(5))], act: Act::Answer(4), says: "fifth answer" },
    Binding { chords: &[plain(Cap::Digit(6))], act: Act::Answer(5), says: "sixth answer" },
    Binding { chords: &[plain(Cap::Digit(0)), letter('u')], act: Act::Unclear, says: "unclear" },
    Binding { chords: &[letter('t')], act: Act::Take, says: "take the answer that the marks offer" },
    Binding { chords: &[plain(Cap::Up)], act: Act::StepBack, says: "the step before" },
    Binding { chords: &[plain(Cap::Down)], act: Act::StepOn, says: "the step after" },
    Binding { chords: &[plain(Cap::Space)], act: Act::Soonest, says: "the step that would settle soonest" },
    Binding { chords: &[plain(Cap::Tab)], act: Act::NextQuestion, says: "the next question of the review" },
    Binding { chords: &[letter('a')], act: Act::Camera(0), says: "camera A in hand" },
    Binding { chords: &[letter('b')], act: Act::Camera(1), says: "camera B in hand" },
    Binding { chords: &[letter('c')], act: Act::Camera(2), says: "camera C in hand" },
    Binding { chords: &[letter('d')], act: Act::Camera(3), says: "camera D in hand" },
    Binding { chords: &[letter('e')], act: Act::Camera(4), says: "camera E in hand" },
    Binding { chords: &[ctrl(Cap::Letter('f'))], act: Act::Camera(5), says: "camera F in hand" },
    Binding { chords: &[letter('l')], act: Act::Look, says: "looked, as the step asks" },
    Binding {
        chords: &[shift(Cap::Letter('f'))],
        act: Act::LookOtherwise(Looks::FullSpeed),
        says: "looked at full speed",
    },
    Binding {
        chords: &[shift(Cap::Letter('s'))],
        act: Act::LookOtherwise(Looks::Slow),
        says: "looked in slow motion",
    },
    Binding {
        chords: &[shift(Cap::Letter('p'))],
        act: Act::LookOtherwise(Looks::FrameByFrame),
        says: "looked frame by frame",
    },
    Binding {
        chords: &[letter('m')],
        act: Act::Mark,
        says: "mark the step's moment, or what the restart needs",
    },
    Binding {
        chords: &[shift(Cap::Letter('m'))],
        act: Act::TypeMark,
        says: "type a mark, with spot and game clock",
    },
    Binding {
        chords: &[ctrl(Cap::Letter('m'))],
        act: Act::NextMoment,
        says: "while marking: the next moment",
    },
    Binding {
        chords: &[letter('r')],
        act: Act::ReadClock,
        says: "read the scoreboard's clock in this frame",
    },
    Binding {
        chords: &[ctrl(Cap::Letter('r'))],
        act: Act::TakeClock,
        says: "while marking: the clock as it was read",
    },
    Binding {
        chords: &[plain(Cap::Backspace), ctrl(Cap::Letter('z'))],
        act: Act::Undo,
        says: "take the newest act back",
    },
    Binding { chords: &[plain(Cap::Enter)], act: Act::Rule, says: "to the ruling" },
    Binding { chords: &[letter('q')], act: Act::Ask, says: "another question" },
    Binding { chords: &[letter('f')], act: Act::Flags, says: "flags, accept and decline" },
    Binding { chords: &[shift(Cap::Letter('b'))], act: Act::ReadBack, says: "read the call back again" },
    Binding {
        chords: &[shift(Cap::Letter('r'))],
        act: Act::Precedent,
        says: "read the precedent whose facts recur",
    },
    Binding { chords: &[letter('o')], act: Act::Clips, says: "open clips: a file or a folder" },
    Binding { chords: &[letter('x')], act: Act::End, says: "withdraw, or end without a ruling" },
    Binding { chords: &[ctrl(Cap::Enter)], act: Act::Confirm, says: "confirm the end of the review" },
    Binding { chords: &[plain(Cap::Escape)], act: Act::Leave, says: "leave what is being typed" },
];

impl Acts for Act {
    fn writes(self) -> &'static [Written] {
        match self {
            Act::Answer(_) | Act::Unclear | Act::Take => &[Written::Answered, Written::Settled],
            Act::Look | Act::LookOtherwise(_) => &[Written::Looked],
            Act::Mark | Act::TypeMark => &[Written::Marked],
            Act::Flags => &[Written::Flagged, Written::Settled],
            Act::Undo => &[Written::Undone],
            Act::End | Act::Confirm => &[Written::Withdrawn, Written::CutShort],
            Act::StepBack
            | Act::StepOn
            | Act::Soonest
            | Act::NextQuestion
            | Act::Camera(_)
            | Act::ReadClock
            | Act::TakeClock
            | Act::NextMoment
            | Act::Rule
            | Act::Ask
            | Act::ReadBack
            | Act::Precedent
            | Act::Clips
            | Act::Leave => &[],
        }
    }

    fn holds_in_a_line(self) -> bool {
        matches!(self, Act::TakeClock | Act::NextMoment | Act::Leave)
    }
}
