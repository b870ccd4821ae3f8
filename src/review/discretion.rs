//! What no question covers: the referee's own ruling, as events of its own.
//!
//! [`decide`](decide::decide) makes events of commands, [`fold`](fold::fold) makes a [`Discretion`](fold::Discretion)
//! of events, [`offers`](options::offers) says what each remedy would make of the game. Safety comes first: until
//! it is said that nobody is at risk, nothing else is decided. The desk chooses nothing: the league's published
//! rules prevail, the referee decides, and what they decide is a precedent for nobody before the supervisor says so.

pub mod decide;
pub mod fold;
pub mod options;
pub mod origin;
pub mod text;

use evidence::mark::Mark;
use field::exact::Yards;
use rules::game::enforce::Enforced;
use rules::game::play::{Flag, PlayEnd};
use rules::game::situation::{ClockStart, Situation};

/// What the referee's ruling is about, filled in from the review or the day that it came from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Opened {
    /// The game's id.
    pub game: String,
    /// The week of the season, where there is one.
    pub week: Option<u32>,
    /// The play, in the crew's words: "Q2 4:41 4&1".
    pub play: String,
    /// The review that left it to the referee; none where they rule between plays.
    pub review: Option<String>,
    /// The question of that review; none where no question was asked.
    pub matter: Option<Matter>,
    /// The book's short name.
    pub book: String,
    /// The edition, as 64 hex digits.
    pub edition: String,
    /// The game at the snap and the play as it ran.
    pub ground: Ground,
    /// What the review found, step by step.
    pub facts: Vec<Fact>,
}

/// A question that ended in "left to the referee".
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Matter {
    /// The tree's id.
    pub question: String,
    /// The call on the field.
    pub call: String,
    /// The findings that are possible.
    pub findings: Vec<String>,
}

/// The game at the snap, and the play.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Ground {
    /// The situation at the snap.
    pub situation: Situation,
    /// How the play ended as it ran.
    pub end: Option<PlayEnd>,
    /// The crew's flags.
    pub flags: Vec<Flag>,
    /// The marked moments.
    pub moments: Vec<MomentAt>,
}

/// A marked moment.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MomentAt {
    /// Its name.
    pub name: String,
    /// Where, in the offense frame of the snap.
    pub x: Option<Yards>,
    /// What the game clock showed, in milliseconds.
    pub clock_ms: Option<i64>,
}

/// A fact, with the mark that shows it where there is one.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fact {
    /// What it is about: a step of the review, or a name that the referee gives it.
    pub name: String,
    /// What it says: the answer, or their words.
    pub says: String,
    /// The frame that shows it.
    pub mark: Option<Mark>,
}

/// Which side started it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Started {
    /// The team that had the ball at the snap.
    Offense,
    /// The other team.
    Defense,
    /// Neither, or it is not known.
    Neither,
}

/// Who would profit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Profit {
    /// Who started it.
    pub started: Started,
    /// A foul would reward that side.
    pub rewards: bool,
}

/// What the referee can do.
#[derive(Debug, Clone, PartialEq)]
pub enum Command {
    /// Open it.
    Open(Box<Opened>),
    /// Say who is at risk; nobody: the rest may be decided.
    Risk {
        /// Who.
        someone: Option<String>,
    },
    /// State a fact; a name that was given before is put right.
    State(Fact),
    /// Say why the book does not reach it.
    Unreached {
        /// The reason given.
        because: String,
    },
    /// Say who would profit.
    Profit(Profit),
    /// Read a precedent.
    Read {
        /// Its id.
        precedent: String,
    },
    /// Choose a remedy.
    Choose {
        /// One of the offers, by name.
        remedy: String,
        /// Why, where a bound asks for it.
        reason: Option<String>,
    },
    /// Name the rule that the ruling leans on.
    Lean {
        /// As printed.
        rule: String,
    },
    /// Say the words of the announcement.
    Word {
        /// The words.
        words: String,
    },
    /// Read it back to the crew.
    ReadBack,
    /// Sign it.
    Sign,
    /// End without a ruling.
    Abandon {
        /// The reason given.
        reason: String,
    },
}

/// One thing that happened.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Event {
    /// It was opened.
    Opened(Box<Opened>),
    /// Somebody, or nobody, was at risk.
    Risk {
        /// Who.
        someone: Option<String>,
    },
    /// A fact was stated.
    Stated(Fact),
    /// Why the book does not reach it.
    Unreached {
        /// The reason given.
        because: String,
    },
    /// Who would profit.
    Profit(Profit),
    /// A precedent was read.
    Read {
        /// Its id.
        precedent: String,
    },
    /// A remedy was chosen.
    Chosen(Box<Chosen>),
    /// The rule that it leans on.
    Leaned {
        /// As printed.
        rule: String,
    },
    /// The words of the announcement.
    Worded {
        /// The words.
        words: String,
    },
    /// It was read back to the crew.
    ReadBack,
    /// It was signed.
    Signed(Box<Signed>),
    /// It ended without a ruling.
    Abandoned {
        /// The reason given.
        reason: String,
    },
}

/// A remedy, with what the engine made of it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Chosen {
    /// By name.
    pub remedy: String,
    /// The game after it.
    pub after: Situation,
    /// How the game clock starts.
    pub clock_starts: Option<ClockStart>,
    /// The fouls and what became of each.
    pub fouls: Vec<Enforced>,
    /// Why, where a bound asks for it.
    pub reason: Option<String>,
}

/// The ruling as it stands in the log.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Signed {
    /// The number of the engine that computed the game after it.
    pub engine: u32,
    /// The edition that it was made with, as 64 hex digits.
    pub edition: String,
    /// The remedy, by name.
    pub remedy: String,
    /// The game after it.
    pub after: Situation,
    /// How the game clock starts.
    pub clock_starts: Option<ClockStart>,
    /// The rule that it leans on.
    pub rule: String,
}

/// An event with its stamp.
pub type Stamped = crate::stamp::Stamped<Event>;
