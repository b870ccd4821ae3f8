//! What happens in a review. Each act of an official is an event; the review's state is a fold of them.
//!
//! Events use names, not indices into a book, so that they can be read under another edition.

use super::gate::{Entry, Initiator, Ruled, Stop};
use super::stance::Outcome;
use evidence::mark::{Basis, Mark, Measurement, Shot};
use evidence::place::clicked::{Clicked, Edge};
use evidence::time::scoreboard::Scoreboard;
use evidence::time::timecode::Timecode;
use field::exact::Yards;
use rules::book::replay::Price;
use rules::book::tree::Looks;
use rules::game::enforce::Enforced;
use rules::game::play::{Choice, Flag, PlayEnd};
use rules::game::situation::{ClockStart, Situation};

/// One thing that happened. `Asked` and `Refused` are questions that the gate allowed and refused. `ReadBack` opens
/// the review. `Chosen` is a choice of the offended team. `Placed` puts a point against the line that a step asks
/// about; `Tied` ties two cameras to one clock by a moment that both see. `act` is the number of an act among the
/// review's events, from 0. After `Settled`, nothing left to answer could change outcome or restart. `Amended`
/// overrides the restart that follows from the book. `CutShort` ends without a ruling.
#[derive(Debug, Clone, PartialEq)]
pub enum Event {
    Called(Called),
    Asked(Asked),
    Refused(Refused),
    ReadBack(ReadBack),
    Flagged(Vec<Flag>),
    Chosen { penalty: String, choice: Choice },
    Looked(Look),
    Marked(Marked),
    Placed(Box<Placed>),
    Tied(Box<Tied>),
    Answered(Answered),
    Undone { act: usize },
    Settled,
    Withdrawn,
    Ruled(Box<Snapshot>),
    RestartReadBack,
    Announced,
    Amended { after: Situation, reason: String },
    CutShort { reason: String },
}

/// Who asked for the review, when the stop came, and the game at the time.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Called {
    pub game: String,
    pub week: Option<u32>,
    /// In the crew's words: "Q2 4:41 4&1".
    pub play: String,
    pub initiator: Initiator,
    pub stop: Stop,
    /// At the snap.
    pub situation: Situation,
}

/// One question of a review.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Asked {
    /// The tree's id.
    pub tree: String,
    pub call: String,
    /// The moment of an earlier whistle.
    pub whistle: Option<String>,
    /// What else the crew ruled.
    pub ruled: Vec<Ruled>,
    pub entry: Entry,
}

/// A question that the gate refused.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Refused {
    pub asked: Asked,
    pub rule: String,
    /// In plain words.
    pub because: String,
    pub price: Price,
}

/// The call as it was read back before the first look.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct ReadBack {
    /// Where the crew put the ball, in the offense frame of the snap.
    pub spot: Option<Yards>,
    /// The crew's game clock.
    pub clock_ms: Option<i64>,
    /// How the play ended, where more than its spot matters: possession, points.
    pub end: Option<PlayEnd>,
}

/// One viewing of a step on a camera.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Look {
    /// From 0.
    pub question: usize,
    pub step: String,
    pub camera: String,
    pub kind: Looks,
    /// Required where the step asks for another kind.
    pub reason: Option<String>,
}

/// A marked moment, with its place and game clock.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Marked {
    pub mark: Mark,
    /// In the offense frame of the snap.
    pub x: Option<Yards>,
    pub clock_ms: Option<i64>,
    /// The exact frame of a mark in a clip; `None` for a typed mark.
    pub shot: Option<Shot>,
    /// The readings of a scoreboard that `clock_ms` was computed from.
    pub scoreboard: Option<Box<Scoreboard>>,
}

/// A point placed against a line, with everything that the figures come from.
#[derive(Debug, Clone, PartialEq)]
pub struct Placed {
    /// From 0.
    pub question: usize,
    pub step: String,
    /// "left toe".
    pub point: String,
    /// By its name in the book.
    pub line: String,
    /// Where the line was, in the hall frame.
    pub edge: Edge,
    /// One for each camera.
    pub seen: Vec<SeenFrom>,
    /// Whether the point was past the line.
    pub measurement: Measurement,
}

/// The clicks in a frame of one camera.
#[derive(Debug, Clone, PartialEq)]
pub struct SeenFrom {
    /// As the crew calls it.
    pub camera: String,
    pub timecode: Timecode,
    /// The exact frame, where it could be proven.
    pub shot: Option<Shot>,
    /// In pixels of the frame as a player shows it: upright, however the clip stores it.
    pub clicked: Clicked,
}

/// A moment that two cameras see, which ties their clocks together.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Tied {
    pub one: SameMoment,
    pub other: SameMoment,
}

/// The first frame of a camera that shows the moment of a tie. Times count from the clip's first frame, in units of its
/// time base.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SameMoment {
    /// As the crew calls it.
    pub camera: String,
    pub timecode: Timecode,
    /// One unit of time in seconds, as a fraction: 1/60000.
    pub time_base: (u32, u32),
    /// Start of the last frame that does not show it.
    pub since: i64,
    /// Start of the first frame that does.
    pub at: i64,
    /// The exact frame, where it could be proven.
    pub shot: Option<Shot>,
}

/// An answer to a step.
#[derive(Debug, Clone, PartialEq)]
pub struct Answered {
    /// From 0.
    pub question: usize,
    pub step: String,
    /// Those still possible; all of them for "unclear".
    pub options: Vec<String>,
    pub basis: Basis,
    /// Required where something speaks against the answer.
    pub reason: Option<String>,
}

/// A ruling as it stands in the log.
#[derive(Debug, Clone, PartialEq)]
pub struct Snapshot {
    /// The [`ENGINE`] that computed it.
    pub engine: u32,
    pub edition: String,
    /// In play order.
    pub questions: Vec<Found>,
    pub after: Situation,
    pub clock_starts: Option<ClockStart>,
    pub fouls: Vec<Enforced>,
    /// `None` where no coach challenged.
    pub won: Option<bool>,
    /// Paid by the coach.
    pub price: Price,
    pub words: Texts,
    pub overrides: Vec<Override>,
}

/// The texts of a ruling, each for whoever acts on it.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Texts {
    /// Said to the public: one paragraph for each language of the book.
    pub announcement: String,
    /// For the crew alone: what became of each call and why. Empty in entries of earlier programs, as `log` is.
    pub crew: String,
    /// For the clock operator.
    pub clock: String,
    /// For the chain crew.
    pub chains: String,
    /// For the log: rules, reasons and exact figures.
    pub log: String,
}

/// One question of a ruling.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Found {
    /// The tree's id.
    pub tree: String,
    pub call: String,
    /// Those still possible.
    pub possible: Vec<String>,
    /// The one that the ruling states.
    pub finding: Option<String>,
    pub outcome: Outcome,
    /// The book's word for it.
    pub label: String,
    /// The video has established that the call is right, or that it is wrong.
    pub established: bool,
    /// Nothing left to answer could have changed the outcome.
    pub settled: bool,
    /// It is about what came after a ball that another question found dead.
    pub moot: bool,
}

/// Something done against a rule of proof or time, with a reason.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Override {
    pub what: String,
    pub reason: String,
}

/// The engine of this program: raised whenever the same events could lead to another ruling.
pub const ENGINE: u32 = 6;
