//! What no question covers: the referee's own ruling, as events of its own.
//!
//! [`decide`](decide::decide) makes events of commands, [`fold`](fold::fold) makes a [`Discretion`](fold::Discretion)
//! of events, [`offers`](options::offers) computes the restart of each remedy. Safety comes first: until the referee
//! states that nobody is at risk, nothing else is decided. The desk chooses nothing: the league's published rules
//! prevail, the referee decides, and the decision is no precedent until the supervisor approves it.

pub mod decide;
pub mod disqualify;
pub mod fold;
pub mod options;
pub mod origin;
pub mod text;

use evidence::mark::Mark;
use field::exact::Yards;
use rules::game::enforce::Enforced;
use rules::game::play::{Flag, PlayEnd};
use rules::game::situation::{ClockStart, Situation, Team};

/// What the referee's ruling is about, filled in from the review or the day that it came from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Opened {
    pub game: String,
    pub week: Option<u32>,
    /// In the crew's words: "Q2 4:41 4&1".
    pub play: String,
    /// The review that left it to the referee; `None` for a ruling between plays.
    pub review: Option<String>,
    /// `None` where no question was asked.
    pub matter: Option<Matter>,
    /// The book's short name.
    pub book: String,
    /// 64 hex digits.
    pub edition: String,
    pub ground: Ground,
    /// What the review found, step by step.
    pub facts: Vec<Fact>,
}

/// A question that ended in "left to the referee".
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Matter {
    /// The tree's id.
    pub question: String,
    pub call: String,
    /// Those still possible.
    pub findings: Vec<String>,
}

/// The game at the snap, and the play.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Ground {
    /// At the snap.
    pub situation: Situation,
    pub end: Option<PlayEnd>,
    pub flags: Vec<Flag>,
    pub moments: Vec<MomentAt>,
    /// `None` for a ruling from a review.
    pub since: Option<Since>,
}

/// How the game stood when a ruling was opened between plays.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Since {
    /// The number of the play in the day, from 0.
    pub play: usize,
    /// The number of the play that was coming then.
    pub coming: usize,
    /// The situation before the coming play: where a ruling leads that lets the play stand.
    pub now: Situation,
}

impl Since {
    /// Whether another play was snapped since: then nothing that happened in this one is enforced any more.
    pub fn snapped(&self) -> bool {
        self.play + 1 < self.coming
    }
}

/// A marked moment with its place and clock.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MomentAt {
    pub name: String,
    /// In the offense frame of the snap.
    pub x: Option<Yards>,
    pub clock_ms: Option<i64>,
}

/// A fact, with the mark that shows it where there is one.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fact {
    /// A step of the review, or a name that the referee gives it.
    pub name: String,
    /// The answer to the step, or the referee's words.
    pub says: String,
    /// The frame that shows it.
    pub mark: Option<Mark>,
}

/// The side that started it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Started {
    /// The team that had the ball at the snap.
    Offense,
    Defense,
    /// Or not known.
    Neither,
}

/// Who started it, and whether a foul would reward them.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Profit {
    pub started: Started,
    /// A foul would reward the side that started it.
    pub rewards: bool,
}

/// A player who is disqualified. A person is never named.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Disqualified {
    pub team: Team,
    /// One of the book's positions.
    pub position: String,
    /// On the jersey, if it is known.
    pub number: Option<u8>,
    pub cause: Cause,
}

/// What a player is disqualified for.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum Cause {
    /// A penalty of the book, by its name.
    Foul(String),
    /// Someone was at risk.
    Risk,
}

/// What the referee can do. `Risk` says who is at risk, or `None`: only then may the rest be decided. `State`
/// replaces an earlier fact of the same name. `Unreached` says why the book does not cover it. `Choose` takes an
/// offer by its name, with a reason where a bound asks for one. `Disqualify` names all disqualified players, in place of
/// those named before; with none it takes them back. `Lean` names the rule that the ruling rests on, as
/// printed. `Word` writes the announcement. `Abandon` ends without a ruling.
#[derive(Debug, Clone, PartialEq)]
pub enum Command {
    Open(Box<Opened>),
    Risk { someone: Option<String> },
    State(Fact),
    Unreached { because: String },
    Profit(Profit),
    Read { precedent: String },
    Choose { remedy: String, reason: Option<String> },
    Disqualify { players: Vec<Disqualified> },
    Lean { rule: String },
    Word { words: String },
    ReadBack,
    Sign,
    Abandon { reason: String },
}

/// One thing that happened; see [`Command`].
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Event {
    Opened(Box<Opened>),
    Risk { someone: Option<String> },
    Stated(Fact),
    Unreached { because: String },
    Profit(Profit),
    Read { precedent: String },
    Chosen(Box<Chosen>),
    Disqualified { players: Vec<Disqualified> },
    Leaned { rule: String },
    Worded { words: String },
    ReadBack,
    Signed(Box<Signed>),
    Abandoned { reason: String },
}

/// A remedy, with the restart that the engine computed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Chosen {
    /// The offer's name.
    pub remedy: String,
    pub after: Situation,
    pub clock_starts: Option<ClockStart>,
    pub fouls: Vec<Enforced>,
    /// Where a bound asks for one.
    pub reason: Option<String>,
}

/// The ruling as it stands in the log.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Signed {
    /// The engine that computed `after`.
    pub engine: u32,
    /// 64 hex digits.
    pub edition: String,
    /// The offer's name.
    pub remedy: String,
    pub after: Situation,
    pub clock_starts: Option<ClockStart>,
    /// The rule that the ruling rests on.
    pub rule: String,
    pub disqualified: Vec<Disqualified>,
}

/// An event with its stamp.
pub type Stamped = crate::stamp::Stamped<Event>;
