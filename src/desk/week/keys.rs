//! The keys of the supervisor's week.

use super::Tab;
use crate::keys::{Acts, Binding, Cap, Chord, ctrl, letter, plain, shift};
use crate::written::Written;
use review::grade::{Call, Challenged, Grade, Picture, Reviewed};

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Act {
    /// To another question.
    Tab(Tab),
    /// The line above.
    Up,
    /// The line below.
    Down,
    PageUp,
    PageDown,
    /// The week before; before the first: all weeks.
    WeekBefore,
    WeekAfter,
    /// Hides or shows who decided.
    Blind,
    /// Shows graded records too, or only those that wait.
    GradedToo,
    /// A grade is chosen: what would be signed stands there.
    Grade(Given),
    /// The grade that was chosen is signed.
    Sign,
    /// The grade before the newest one stands again, with a reason.
    TakeBack,
    /// The picture was too poor: the camera and the sight line are typed.
    Poor,
    /// Who of the crew had the call is typed or picked.
    Position,
    /// A letter is answered.
    Letter,
    /// A precedent is approved.
    Approve,
    /// A precedent is narrowed.
    Narrow,
    /// A precedent is withdrawn.
    Withdraw,
    /// The records are judged under the edition that is pointed at.
    Judge,
    /// The folder of a rule book to judge under is typed.
    Folder,
    /// To the editions that can be chosen.
    Choose,
    /// The page of what is shown is written.
    Page,
    /// The logs are read anew.
    Reread,
    /// Puts the line away that is being typed.
    Back,
}

/// A grade that is chosen by one key.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Given {
    Call(Call),
    Review(Reviewed),
    Challenge(Challenged),
    /// The picture was good.
    Good,
}

impl Given {
    /// The key that gives a grade; none of one that is typed.
    pub(super) fn of(grade: &Grade) -> Option<Given> {
        match grade {
            Grade::Call(call) => Some(Given::Call(*call)),
            Grade::Review(review) => Some(Given::Review(*review)),
            Grade::Challenge(challenge) => Some(Given::Challenge(*challenge)),
            Grade::Picture(Picture::Good) => Some(Given::Good),
            Grade::Position(_) | Grade::Picture(Picture::Poor { .. }) => None,
        }
    }

    /// As it is written.
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

/// Every key of the week.
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
    grade(&[letter('n')], Given::Call(Call::CorrectNoCall), "rightly nothing was called"),
    grade(&[letter('m')], Given::Call(Call::Missed), "something was there and not called"),
    Binding { chords: &[letter('k')], act: Act::Position, says: "who of the crew had the call" },
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
    Binding {
        chords: &[letter('p')],
        act: Act::Poor,
        says: "a picture was too poor: which, and what it lacked",
    },
    Binding { chords: &[letter('a')], act: Act::Letter, says: "answer a letter" },
    Binding { chords: &[letter('h')], act: Act::Blind, says: "hide or show who decided" },
    Binding { chords: &[letter('u')], act: Act::GradedToo, says: "graded ones too, or only those that wait" },
    Binding { chords: &[shift(Cap::Letter('a'))], act: Act::Approve, says: "approve the precedent" },
    Binding { chords: &[shift(Cap::Letter('n'))], act: Act::Narrow, says: "narrow the precedent" },
    Binding { chords: &[shift(Cap::Letter('w'))], act: Act::Withdraw, says: "withdraw the precedent" },
    Binding {
        chords: &[plain(Cap::Enter), letter('j')],
        act: Act::Judge,
        says: "judge the records under this edition",
    },
    Binding { chords: &[letter('b')], act: Act::Folder, says: "judge under a book in a folder" },
    Binding { chords: &[letter('e')], act: Act::Choose, says: "choose another edition" },
    Binding { chords: &[plain(Cap::F(9))], act: Act::Page, says: "write the page of what is shown" },
    Binding { chords: &[plain(Cap::F(5))], act: Act::Reread, says: "read the logs again" },
    Binding { chords: &[plain(Cap::Escape)], act: Act::Back, says: "put the line away" },
];

impl Acts for Act {
    fn writes(self) -> &'static [Written] {
        match self {
            Act::Grade(_) | Act::Poor | Act::Position | Act::Sign | Act::TakeBack => &[Written::Graded],
            Act::Letter => &[Written::LetterAnswered],
            Act::Approve => &[Written::Approved],
            Act::Narrow => &[Written::Narrowed],
            Act::Withdraw => &[Written::PrecedentWithdrawn],
            Act::Tab(_)
            | Act::Up
            | Act::Down
            | Act::PageUp
            | Act::PageDown
            | Act::WeekBefore
            | Act::WeekAfter
            | Act::Blind
            | Act::GradedToo
            | Act::Judge
            | Act::Folder
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
