//! What happens in a review. An act of an official is an event; the review's state is a fold of them.
//!
//! Events speak in names, not in numbers of a book, so that they can be read under another edition.

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

/// One thing that happened.
#[derive(Debug, Clone, PartialEq)]
pub enum Event {
    /// A review was asked for.
    Called(Called),
    /// A question was put, and the gate let it pass.
    Asked(Asked),
    /// A question was put, and the gate refused it.
    Refused(Refused),
    /// The call was read back: from here on the review is open.
    ReadBack(ReadBack),
    /// The crew's flags of the play.
    Flagged(Vec<Flag>),
    /// The offended team chose.
    Chosen {
        /// The penalty's name.
        penalty: String,
        /// What it chose.
        choice: Choice,
    },
    /// Somebody looked at a step.
    Looked(Look),
    /// A moment was marked.
    Marked(Marked),
    /// A point was placed against the line that a step asks about.
    Placed(Box<Placed>),
    /// Two cameras were tied to one clock by a moment that both see.
    Tied(Box<Tied>),
    /// A step was answered.
    Answered(Answered),
    /// An act was taken back.
    Undone {
        /// Its number among the review's events, from 0.
        act: usize,
    },
    /// Nothing left to answer could change outcome or restart any more.
    Settled,
    /// The coach took the challenge back.
    Withdrawn,
    /// The review was decided.
    Ruled(Box<Snapshot>),
    /// The restart was read back to the crew.
    RestartReadBack,
    /// The ruling was announced.
    Announced,
    /// The official corrected the restart that the book makes of the findings.
    Amended {
        /// As it should be.
        after: Situation,
        /// The official's reason.
        reason: String,
    },
    /// The review ended without a ruling.
    CutShort {
        /// The official's reason.
        reason: String,
    },
}

/// Who asked for what kind of stop, and the game as it was.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Called {
    /// The game's id.
    pub game: String,
    /// The week of the season, where there is one.
    pub week: Option<u32>,
    /// The play, in the crew's words: "Q2 4:41 4&1".
    pub play: String,
    /// Who asked.
    pub initiator: Initiator,
    /// When the stop signal came.
    pub stop: Stop,
    /// The situation at the snap.
    pub situation: Situation,
}

/// One question of a review.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Asked {
    /// The tree's id.
    pub tree: String,
    /// The call on the field.
    pub call: String,
    /// The moment of a whistle that came before.
    pub whistle: Option<String>,
    /// What the crew ruled besides.
    pub ruled: Vec<Ruled>,
    /// How it came into the review.
    pub entry: Entry,
}

/// A question that the gate refused.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Refused {
    /// What was asked.
    pub asked: Asked,
    /// The rule that refuses it.
    pub rule: String,
    /// Why, in plain words.
    pub because: String,
    /// What it costs.
    pub price: Price,
}

/// The call as it was read back before the first look.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct ReadBack {
    /// Where the crew put the ball, in the offense frame of the snap.
    pub spot: Option<Yards>,
    /// What the crew had on the game clock, in milliseconds.
    pub clock_ms: Option<i64>,
    /// How the play ended as it ran, where it counts and that is more than a spot: possession, points.
    pub end: Option<PlayEnd>,
}

/// One viewing.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Look {
    /// Which question, from 0.
    pub question: usize,
    /// At which step.
    pub step: String,
    /// On which camera.
    pub camera: String,
    /// Of which kind.
    pub kind: Looks,
    /// Why it was made although the step asks for another kind.
    pub reason: Option<String>,
}

/// A marked moment, with what it says of place and clock.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Marked {
    /// The mark.
    pub mark: Mark,
    /// Where, in the offense frame of the snap.
    pub x: Option<Yards>,
    /// What the game clock showed, in milliseconds.
    pub clock_ms: Option<i64>,
    /// The very picture, where it was set in a clip; a typed mark has none.
    pub shot: Option<Shot>,
    /// What the game clock was read from, where it rests on readings of a scoreboard.
    pub scoreboard: Option<Box<Scoreboard>>,
}

/// A point placed against a line, with everything that the figures come from.
#[derive(Debug, Clone, PartialEq)]
pub struct Placed {
    /// Which question, from 0.
    pub question: usize,
    /// The step.
    pub step: String,
    /// The point: "left toe".
    pub point: String,
    /// The line, by its name in the book.
    pub line: String,
    /// Where it was in the hall.
    pub edge: Edge,
    /// What was clicked, a camera each.
    pub seen: Vec<SeenFrom>,
    /// What that says of "past the line".
    pub measurement: Measurement,
}

/// The clicks in the picture of one camera.
#[derive(Debug, Clone, PartialEq)]
pub struct SeenFrom {
    /// The camera, as the crew calls it.
    pub camera: String,
    /// The timecode of the picture.
    pub timecode: Timecode,
    /// The very picture, where it could be proven.
    pub shot: Option<Shot>,
    /// What was clicked, in pixels of the picture as a player shows it: upright, however the clip stores it.
    pub clicked: Clicked,
}

/// A moment that two cameras see: their clocks are tied by it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Tied {
    /// The picture of the one camera.
    pub one: SameMoment,
    /// The picture of the other.
    pub other: SameMoment,
}

/// The first picture of a camera that shows the moment of a tie. Times are counted from the clip's first picture, in
/// units of its time base.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SameMoment {
    /// The camera, as the crew calls it.
    pub camera: String,
    /// The timecode of the picture.
    pub timecode: Timecode,
    /// One unit of time in seconds, as a fraction: 1/60000.
    pub time_base: (u32, u32),
    /// When the last picture is shown that does not show it.
    pub since: i64,
    /// When the first is shown that does.
    pub at: i64,
    /// The very picture, where it could be proven.
    pub shot: Option<Shot>,
}

/// An answer to a step.
#[derive(Debug, Clone, PartialEq)]
pub struct Answered {
    /// Which question, from 0.
    pub question: usize,
    /// The step.
    pub step: String,
    /// The options still possible; all of them for "unclear".
    pub options: Vec<String>,
    /// What it rests on.
    pub basis: Basis,
    /// Why it is given although something speaks against it.
    pub reason: Option<String>,
}

/// A ruling as it stands in the log.
#[derive(Debug, Clone, PartialEq)]
pub struct Snapshot {
    /// The number of the engine that computed it.
    pub engine: u32,
    /// The edition that it was made with.
    pub edition: String,
    /// Its questions, in play order.
    pub questions: Vec<Found>,
    /// The situation that it leads to.
    pub after: Situation,
    /// How the game clock starts.
    pub clock_starts: Option<ClockStart>,
    /// The fouls of the play and what became of each.
    pub fouls: Vec<Enforced>,
    /// Whether the coach won.
    pub won: Option<bool>,
    /// What the coach pays.
    pub price: Price,
    /// The words.
    pub words: Texts,
    /// Everything that was done with a reason against a rule of proof or time.
    pub overrides: Vec<Override>,
}

/// The texts of a ruling, each for whoever acts on it.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Texts {
    /// The announcement.
    pub announcement: String,
    /// For the clock operator.
    pub clock: String,
    /// For the chain crew.
    pub chains: String,
}

/// One question of a ruling.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Found {
    /// The tree's id.
    pub tree: String,
    /// The call on the field.
    pub call: String,
    /// The findings still possible.
    pub possible: Vec<String>,
    /// The finding that is stated.
    pub finding: Option<String>,
    /// The outcome.
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
    /// What was done.
    pub what: String,
    /// The official's reason.
    pub reason: String,
}

/// The engine of this program: raised whenever the same events could lead to another ruling.
pub const ENGINE: u32 = 3;
