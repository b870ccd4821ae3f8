//! Grades of a record after the game: of the crew's call and who made it, of the review, of the challenge and of the
//! picture, with inquiries of clubs and appeals of officials.
//!
//! A later grade supersedes an earlier one, and both are kept. Grades support training, not punishment; no grade
//! changes a ruling.

pub mod decide;
pub mod fold;
pub mod text;

/// An enum whose words are the same in commands, in the log and on a screen.
macro_rules! spelt {
    ($(#[doc = $doc:literal])+ $name:ident { $($(#[doc = $one:literal])* $variant:ident = $word:literal),+ $(,)? }) => {
        $(#[doc = $doc])+
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum $name {
            $($(#[doc = $one])* $variant),+
        }

        impl $name {
            /// Every value, in the order of its declaration.
            pub const ALL: &[$name] = &[$($name::$variant),+];

            /// The value as written in commands, in the log and on a screen.
            pub fn word(self) -> &'static str {
                match self {
                    $($name::$variant => $word),+
                }
            }

            /// The value that is written like this.
            pub fn of(word: &str) -> Option<$name> {
                $name::ALL.iter().copied().find(|one| one.word() == word)
            }
        }
    };
}

spelt! {
    /// The crew's call (league rules, section 6).
    Call {
        /// A flag or ruling that the video supports.
        Correct = "correct call",
        /// A flag or ruling that the video does not support.
        Incorrect = "incorrect call",
        /// Nothing was called, rightly.
        CorrectNoCall = "correct no-call",
        /// Something should have been called.
        Missed = "missed call",
    }
}

spelt! {
    /// The grade of a review.
    Reviewed {
        /// Right, and in time.
        Right = "right",
        Wrong = "wrong",
        /// The booth should have stopped the game.
        ShouldHaveStopped = "should have stopped",
        /// The booth should not have stopped the game.
        ShouldNotHave = "should not have",
        /// Right, and it took too long.
        TooLong = "too long",
    }
}

spelt! {
    /// The grade of a challenge: whether a first look at full speed made it plain, and who could have avoided it.
    Challenged {
        /// Only the review showed it.
        NotPlain = "not plain",
        /// The crew missed what a first look showed.
        ByCrew = "plain, by the crew",
        /// A first look showed that nothing was there.
        ByCoach = "plain, by the coach",
    }
}

spelt! {
    /// The matter that a grade is about.
    Matter {
        Call = "call",
        /// Which position of the crew had the call.
        Position = "position",
        Review = "review",
        Challenge = "challenge",
        Picture = "picture",
    }
}

spelt! {
    /// Who wrote a letter.
    Sender {
        /// With an inquiry.
        Club = "club",
        /// With an appeal.
        Official = "official",
    }
}

/// A grade of one matter.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Grade {
    Call(Call),
    /// The position of the crew that had the call, as the league names it.
    Position(String),
    Review(Reviewed),
    Challenge(Challenged),
    Picture(Picture),
}

/// Whether every camera that was needed showed what it was meant to, or which one did not, with the sight line that
/// it lacked, e.g. `along the alignment line`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Picture {
    Good,
    Poor { camera: String, sight_line: String },
}

impl Grade {
    /// The matter that this grade is about.
    pub fn matter(&self) -> Matter {
        match self {
            Grade::Call(_) => Matter::Call,
            Grade::Position(_) => Matter::Position,
            Grade::Review(_) => Matter::Review,
            Grade::Challenge(_) => Matter::Challenge,
            Grade::Picture(_) => Matter::Picture,
        }
    }

    /// The grade in words.
    pub fn text(&self) -> String {
        match self {
            Grade::Call(call) => call.word().to_owned(),
            Grade::Position(position) => position.clone(),
            Grade::Review(review) => review.word().to_owned(),
            Grade::Challenge(challenge) => challenge.word().to_owned(),
            Grade::Picture(Picture::Good) => "good angle".to_owned(),
            Grade::Picture(Picture::Poor { camera, sight_line }) => {
                format!("poor angle: {camera}, {sight_line}")
            }
        }
    }
}

/// One thing that happened to a record after the game. A reason may be empty. `of` is the matter whose grade is
/// appealed. Letters (inquiries and appeals) count together, from 1.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Event {
    Graded { grade: Grade, reason: String },
    Inquired { club: String, text: String },
    Appealed { of: Matter, text: String },
    Answered { letter: u32, text: String },
}

/// An event with its stamp and who did it.
pub type Stamped = crate::stamp::Signed<Event>;
