//! The keys of the supervisor's week.

use super::{Tab, What};
use crate::keys::{Acts, Binding, Cap, Chord, ctrl, letter, plain, shift};
use crate::written::Written;
use review::grade::{Call, Challenged, Grade, Picture, Reviewed};

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Act {
    Tab(Tab),
    Up,
    Down,
    PageUp,
    PageDown,
    /// Before the first week: all weeks.
    WeekBefore,
    WeekAfter,
    /// Hides or shows who decided.
    Blind,
    /// Lists graded records too, or not any more.
    GradedToo,
    /// Chooses a grade, and shows what would be signed.
    Grade(Given),
    /// Signs the grade that was chosen.
    Sign,
    /// Chooses the grade before the newest one again, with a reason.
    TakeBack,
    /// Opens a line to type in.
    Type(What),
    /// Judges the records under the selected edition.
    Judge,
    /// Goes back to the editions to choose from.
    Choose,
    /// Writes the page of the week shown.
    Page,
    /// Reads the logs again.
    Reread,
    /// Closes the line that is being typed.
    Back,
}

/// A grade that one key chooses.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Given {
    Call(Call),
    Review(Reviewed),
    Challenge(Challenged),
    /// Of the picture.
    Good,
}

impl Given {
    /// `None` for a grade that is typed.
    pub(super) fn of(grade: &Grade) -> Option<Given> {
        match grade {
            Grade::Call(call) => Some(Given::Call(*call)),
            Grade::Review(review) => Some(Given::Review(*review)),
            Grade::Challenge(challenge) => Some(Given::Challenge(*challenge)),
            Grade::Picture(Picture::Good) => Some(Given::Good),
            Grade::Position(_) | Grade::Picture(Picture::Poor { .. }) => None,
        }
    }

    pub(super) fn grade(self) -> Grade {
        match self {
            Given::Call(call) => Grade::Call(call),
            Given::Review(review) => Grade::Review(review),
            Given::Challenge(challenge) => Grade::Challenge(challenge),
            Given::Good => Grade::Picture(Picture::Good),
        }
    }
}

const fn tab(chords: &'static [Chord], tab: Tab, says: &'static str) -> Binding<Act> {
    Binding { chords, act: Act::Tab(tab), says }
}

const fn grade(chords: &'static [Chord], given: Given, says: &'static str) -> Binding<Act> {
    Binding { chords, act: Act::Grade(given), says }
}

const fn typed(chords: &'static [Chord], what: What, says: &'static str) -> Binding<Act> {
    Binding { chords, act: Act::Type(what), says }
}

pub(crate) const KEYS: &[Binding<Act>] = &[
    tab(&[plain(Cap::Digit(1))], Tab::Pairs, "same facts, two rulings"),
    tab(&[plain(Cap::Digit(2))], Tab::Time, "where the seconds went"),
    tab(&[plain(Cap::Digit(3))], Tab::Wording, "which wording splits people"),
    tab(&[plain(Cap::Digit(4))], Tab::Grades, "grades"),
    tab(&[plain(Cap::Digit(5))], Tab::Angles, "which camera decided"),
    tab(&[plain(Cap::Digit(6))], Tab::Precedents, "precedents"),
    tab(&[plain(Cap::Digit(7))], Tab::Edition, "what another edition would change"),
    Binding { chords: &[plain(Cap::Up)], act: Act::Up, says: "the line above" },
    Binding { chords: &[plain(Cap::Down)], act: Act::Down, says: "the line below" },
    Binding { chords: &[plain(Cap::PageUp)], act: Act::PageUp, says: "ten lines up" },
    Binding { chords: &[plain(Cap::PageDown)], act: Act::PageDown, says: "ten lines down" },
    Binding { chords: &[plain(Cap::Left)], act: Act::WeekBefore, says: "the week before; at last all weeks" },
    Binding { chords: &[plain(Cap::Right)], act: Act::WeekAfter, says: "the week after" },
    grade(&[letter('c')], Given::Call(Call::Correct), "the call was correct"),
    grade(&[letter('i')], Given::Call(Call::Incorrect), "the call was incorrect"),
    grade(&[letter('n')], Given::Call(Call::CorrectNoCall), "correct no-call"),
    grade(&[letter('m')], Given::Call(Call::Missed), "something was there and not called"),
    typed(&[letter('k')], What::Position, "whose call it was"),
    grade(&[letter('r')], Given::Review(Reviewed::Right), "the review was right"),
    grade(&[letter('w')], Given::Review(Reviewed::Wrong), "the review was wrong"),
    grade(&[letter('l')], Given::Review(Reviewed::TooLong), "right, and it took too long"),
    grade(
        &[letter('s')],
        Given::Review(Reviewed::ShouldHaveStopped),
        "the booth should have stopped the game",
    ),
    grade(&[shift(Cap::Letter('s'))], Given::Review(Reviewed::ShouldNotHave), "the booth should not have"),
    grade(&[letter('v')], Given::Challenge(Challenged::NotPlain), "it took the review to see it"),
    grade(&[letter('y')], Given::Challenge(Challenged::ByCrew), "plain at full speed: the crew missed it"),
    grade(&[letter('o')], Given::Challenge(Challenged::ByCoach), "plain at full speed: nothing was there"),
    grade(&[letter('g')], Given::Good, "the pictures were good"),
    Binding { chords: &[ctrl(Cap::Enter)], act: Act::Sign, says: "sign the grade that is chosen" },
    Binding {
        chords: &[plain(Cap::Backspace), ctrl(Cap::Letter('z'))],
        act: Act::TakeBack,
        says: "the grade before the newest one again, with a reason",
    },
    typed(&[letter('p')], What::Poor, "a picture was too poor: which, and what it lacked"),
    typed(&[letter('a')], What::Letter, "answer a letter"),
    Binding { chords: &[letter('h')], act: Act::Blind, says: "hide or show who decided" },
    Binding { chords: &[letter('u')], act: Act::GradedToo, says: "all records, or only ungraded ones" },
    typed(&[shift(Cap::Letter('a'))], What::Approve, "approve the precedent"),
    typed(&[shift(Cap::Letter('n'))], What::Narrow, "narrow the precedent"),
    typed(&[shift(Cap::Letter('w'))], What::Withdraw, "withdraw the precedent"),
    Binding {
        chords: &[plain(Cap::Enter), letter('j')],
        act: Act::Judge,
        says: "judge the records under this edition",
    },
    typed(&[letter('b')], What::Folder, "judge under a book in a folder"),
    Binding { chords: &[letter('e')], act: Act::Choose, says: "choose another edition" },
    Binding { chords: &[plain(Cap::F(9))], act: Act::Page, says: "write the page of what is shown" },
    Binding { chords: &[plain(Cap::F(5))], act: Act::Reread, says: "read the logs again" },
    Binding { chords: &[plain(Cap::Escape)], act: Act::Back, says: "close the line" },
];

impl Acts for Act {
    fn writes(self) -> &'static [Written] {
        match self {
            Act::Grade(_)
            | Act::Sign
            | Act::TakeBack
            | Act::Type(What::Regrade(_) | What::Poor | What::Position) => &[Written::Graded],
            Act::Type(What::Letter) => &[Written::LetterAnswered],
            Act::Type(What::Approve) => &[Written::Approved],
            Act::Type(What::Narrow) => &[Written::Narrowed],
            Act::Type(What::Withdraw) => &[Written::PrecedentWithdrawn],
            Act::Tab(_)
            | Act::Up
            | Act::Down
            | Act::PageUp
            | Act::PageDown
            | Act::WeekBefore
            | Act::WeekAfter
            | Act::Blind
            | Act::GradedToo
            | Act::Type(What::Folder)
            | Act::Judge
            | Act::Choose
            | Act::Page
            | Act::Reread
            | Act::Back => &[],
        }
    }

    fn holds_in_a_line(self) -> bool {
        self == Act::Back
    }
}
