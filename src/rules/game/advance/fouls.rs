//! A play in a few words with the fouls that were called around it: what each team may choose, and what follows.
//!
//! The fouls go through the engine of [`enforce`](crate::game::enforce); this module asks its choices one after the
//! other, as the referee does: the live fouls first, then each dead-ball foul in its order, then where a penalty after
//! a touchdown is enforced, then the run-off. A play in a few words does not tell a pass from a run: a foul while the
//! ball was live belongs to the first stage of its course, one on the return to the last.

mod called;
mod sequence;
pub mod text;

pub use called::{SpotNeed, moments, spot_need};

use super::Advance;
use crate::book::Book;
use crate::book::effect::Part;
use crate::game::clock::Period;
use crate::game::enforce;
use crate::game::enforce::options::Kind;
use crate::game::enforce::walk_off::Walked;
use crate::game::enforce::{Carry, Done};
use crate::game::play::Choice;
use crate::game::situation::{ClockStart, Situation, Team};
use field::exact::Yards;

/// When a foul happened.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum When {
    /// Before the snap or kick; no play was run.
    Before,
    /// While the ball was live, before it changed hands.
    Live,
    /// While the team that had gained the ball ran with it.
    Return,
    /// After the ball was dead.
    After,
}

/// A player who fouled; never a person's name.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Player {
    /// One of the book's positions, where it names any.
    pub position: String,
    pub number: Option<u32>,
}

impl std::fmt::Display for Player {
    /// `linebacker 54`.
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self.number {
            Some(number) => write!(f, "{} {number}", self.position),
            None => f.write_str(&self.position),
        }
    }
}

/// A foul that the crew called.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Called {
    /// The penalty's name in the book.
    pub penalty: String,
    /// By the team that snapped or kicked off, or by the other one.
    pub by: Part,
    /// Where, in the offense frame of the snap.
    pub spot: Option<Yards>,
    pub when: When,
    /// Whom the referee disqualified for it.
    pub sent_off: Option<Player>,
    /// Who committed it and stays, where that was given.
    pub player: Option<Player>,
}

/// What a team has chosen.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Decision {
    /// About the fouls while the ball was live.
    Live(Kind),
    /// About one foul, by its number from 0, that was called with the ball dead or is carried over from a score.
    Foul { foul: usize, choice: Choice },
    /// Where penalties after a touchdown are enforced.
    Carried(Carry),
    /// Whether time runs off.
    RunOff(bool),
}

/// A play with its fouls, in the order in which they happened, and what was decided so far, in the order of asking.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fouled {
    pub play: Advance,
    pub fouls: Vec<Called>,
    pub decided: Vec<Decision>,
}

/// What a play with its fouls leads to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Led {
    pub after: Situation,
    /// `None` if the game clock does not start.
    pub clock_starts: Option<ClockStart>,
    pub period: Period,
    /// What becomes of each foul, by its number.
    pub done: Vec<(usize, Done)>,
    /// Places in the offense frame of the snap.
    pub walked: Vec<Walked>,
    /// Where the free kick after the try is kicked, if a penalty moves it.
    pub free_kick: Option<Yards>,
    /// Where the other team's next series of overtime begins, if a penalty moves it.
    pub next_series: Option<Yards>,
    /// Fouls, by number, whose penalty is for a kick or a series that begins after the try or the half.
    pub later: Vec<usize>,
}

/// One of the choices that a team has, with what follows if everything later is decided by the plain rule.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Offer {
    pub decision: Decision,
    pub led: Led,
}

/// A choice that a team has to make.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Question {
    pub chooser: Team,
    /// Two at least, in the order of the rules.
    pub offers: Vec<Offer>,
    /// The number of the one that is better for the team by the plain rule.
    pub better: usize,
}

/// How far the decisions have come.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Stage {
    Asks(Question),
    /// Nothing is left to decide.
    Led(Led),
}

/// Why a play cannot have been run with these fouls.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum Error {
    #[error(transparent)]
    Unfit(#[from] super::Error),
    #[error("there is no penalty `{0}` in the book")]
    Unknown(String),
    #[error("no foul was called")]
    NoFoul,
    #[error("{0} fouls are too many: a play has at most {MOST}")]
    TooMany(usize),
    #[error("`{0}` is never a foul of that team")]
    Side(String),
    #[error("`{0}` is a foul while the ball is live, and here it was dead")]
    OnlyLive(String),
    #[error("`{0}` is a foul with the ball dead: before the snap, or after the play")]
    OnlyDead(String),
    #[error("`{0}` was before the snap, so no play was run")]
    Before(String),
    #[error("no play was run, so `{0}` was before the snap")]
    NoPlay(String),
    #[error("nobody returned the ball in this play, so `{0}` was not on a return")]
    NoReturn(String),
    #[error("`{0}` needs the spot of the foul")]
    NoSpot(String),
    #[error("nobody is disqualified for `{0}` by this book")]
    SentOff(String),
    #[error("`{position}` is not one of the positions: {known}")]
    Position { position: String, known: String },
    #[error("that choice is not offered here")]
    NotOffered,
}

/// The most fouls of one play.
const MOST: usize = 8;

impl Called {
    /// Who committed it, as far as that was given.
    pub fn player(&self) -> Option<&Player> {
        self.sent_off.as_ref().or(self.player.as_ref())
    }

    fn is_dead(&self) -> bool {
        match self.when {
            When::Before | When::After => true,
            When::Live | When::Return => false,
        }
    }
}

impl Fouled {
    /// The words of the book for the foul with this number; its name where the book has none.
    pub fn says(&self, book: &Book, foul: usize) -> String {
        self.named(foul, |name| book.penalties.get(name).map_or(name, |penalty| penalty.says.as_str()))
    }

    /// The name of the foul with this number; where another has that name, with whom it is on and when it was.
    pub fn name(&self, foul: usize) -> String {
        self.named(foul, |name| name)
    }

    fn named<'a>(&'a self, foul: usize, says: impl Fn(&'a str) -> &'a str) -> String {
        let Some(called) = self.fouls.get(foul) else { return "the foul".to_owned() };
        let says = says(&called.penalty);
        let twin = |other: &Called| {
            other.penalty == called.penalty && (other.by, other.when) != (called.by, called.when)
        };
        match self.fouls.iter().any(twin) {
            true => format!("{says} on the {}, {},", text::side(called.by), text::when(called.when)),
            false => says.to_owned(),
        }
    }

    /// The next choice that has to be made, or what the play led to.
    ///
    /// # Errors
    /// [`Error`] for a play or a foul that cannot have been, and for a decision that was not offered.
    pub fn stage(&self, book: &Book, at_snap: &Situation) -> Result<Stage, Error> {
        sequence::stage(book, at_snap, self)
    }

    /// The kick, or the series of overtime, that begins after the try or the half, with the penalties of this play that
    /// were carried there; `None` for a play that cannot have been.
    pub fn carried(&self, book: &Book, at_snap: &Situation, begun: Situation) -> Option<Situation> {
        let led = self.led(book, at_snap).ok()?;
        let penalties = led.later.iter().filter_map(|number| {
            let called = self.fouls.get(*number)?;
            Some((at_snap.team(called.by), book.penalties.get(&called.penalty)?))
        });
        Some(enforce::carried(book, begun, penalties))
    }

    /// What the play led to, every choice that is still open taken by the plain rule.
    ///
    /// # Errors
    /// As [`stage`](Self::stage).
    pub fn led(&self, book: &Book, at_snap: &Situation) -> Result<Led, Error> {
        sequence::led(book, at_snap, self)
    }
}
