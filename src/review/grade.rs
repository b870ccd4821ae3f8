//! Grades of a record after the game: of the crew's call and of whose it was, of the review, of the challenge and of
//! the picture, with what a club asks and what an official appeals.
//!
//! A later grade supersedes an earlier one, and both are kept. Grades support training, not punishment; a ruling is
//! never changed by one.

pub mod decide;
pub mod fold;
pub mod text;

/// A closed list of words, spelt the same in commands, in the log and on a screen.
macro_rules! spelt {
    ($(#[doc = $doc:literal])+ $name:ident { $($(#[doc = $one:literal])+ $variant:ident = $word:literal),+ $(,)? }) => {
        $(#[doc = $doc])+
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum $name {
            $($(#[doc = $one])+ $variant),+
        }

        impl $name {
            /// All of them.
            pub const ALL: &[$name] = &[$($name::$variant),+];

            /// Its word.
            pub fn word(self) -> &'static str {
                match self {
                    $($name::$variant => $word),+
                }
            }

            /// The one that this word names.
            pub fn of(word: &str) -> Option<$name> {
                $name::ALL.iter().copied().find(|one| one.word() == word)
            }
        }
    };
}

spelt! {
    /// The crew's call (league rules, section 6).
    Call {
        /// A flag or ruling that the picture bears out.
        Correct = "correct call",
        /// One that it does not.
        Incorrect = "incorrect call",
        /// Rightly nothing was called.
        CorrectNoCall = "correct no-call",
        /// Something was there and was not called.
        Missed = "missed call",
    }
}

spelt! {
    /// The review.
    Reviewed {
        /// Right, and in time.
        Right = "right",
        /// The ruling was wrong.
        Wrong = "wrong",
        /// The booth should have stopped the game.
        ShouldHaveStopped = "should have stopped",
        /// It should not have.
        ShouldNotHave = "should not have",
        /// Right, and it took too long.
        TooLong = "too long",
    }
}

spelt! {
    /// The challenge: is it plain, which a first look at full speed shows, and who could have avoided it.
    Challenged {
        /// It took the review to see it.
        NotPlain = "not plain",
        /// The crew missed what a first look shows.
        ByCrew = "plain, by the crew",
        /// A first look shows that nothing was there.
        ByCoach = "plain, by the coach",
    }
}

spelt! {
    /// What is graded.
    Matter {
        /// The crew's call.
        Call = "call",
        /// Who of the crew had the call.
        Position = "position",
        /// The review.
        Review = "review",
        /// The challenge.
        Challenge = "challenge",
        /// The picture.
        Picture = "picture",
    }
}

spelt! {
    /// Who writes a letter.
    Sender {
        /// A club inquires.
        Club = "club",
        /// An official appeals.
        Official = "official",
    }
}

/// One grade.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Grade {
    /// Of the crew's call.
    Call(Call),
    /// Which position of the crew had the call, as the league names its positions.
    Position(String),
    /// Of the review.
    Review(Reviewed),
    /// Of the challenge.
    Challenge(Challenged),
    /// Of the picture.
    Picture(Picture),
}

/// Whether an angle was good enough.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Picture {
    /// Every camera that was needed showed what it should.
    Good,
    /// One did not.
    Poor {
        /// Which camera.
        camera: String,
        /// The sight line that it lacked, e.g. `along the alignment line`.
        sight_line: String,
    },
}

impl Grade {
    /// What it is of.
    pub fn matter(&self) -> Matter {
        match self {
            Grade::Call(_) => Matter::Call,
            Grade::Position(_) => Matter::Position,
            Grade::Review(_) => Matter::Review,
            Grade::Challenge(_) => Matter::Challenge,
            Grade::Picture(_) => Matter::Picture,
        }
    }

    /// It in words.
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

/// One thing that happened to a record after the game.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Event {
    /// It was graded.
    Graded {
        /// How.
        grade: Grade,
        /// Why; empty where nothing was written.
        reason: String,
    },
    /// A club inquired.
    Inquired {
        /// Which club.
        club: String,
        /// What it asks.
        text: String,
    },
    /// An official appealed a grade.
    Appealed {
        /// The grade of what.
        of: Matter,
        /// What they say.
        text: String,
    },
    /// A letter was answered.
    Answered {
        /// Its number, from 1.
        letter: u32,
        /// The answer.
        text: String,
    },
}

/// An event with its stamp and who did it.
pub type Stamped = crate::stamp::Signed<Event>;
