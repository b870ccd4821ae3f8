//! One record, as far as the audit needs it.
//!
//! A million of them lie in memory, so what comes again and again is a name or a list of the sample's interner.

mod cursor;
mod own;
mod phases;
mod reader;
mod slim;

use self::own::Own;
pub(crate) use self::phases::Phases;
pub(crate) use self::reader::Reader;
use crate::sample::interner::{List, Moved, Name};
use crate::stats::survival::Duration;
use formats::case::Who;
#[cfg(doc)]
use formats::record::CUT_SHORT;
use rules::book::line::Snap;

/// The phases of a review, in order: seconds from the call.
pub(crate) const PHASES: [&str; 6] = ["opened", "first look", "first mark", "settled", "ruled", "announced"];
/// Places in [`PHASES`].
pub(crate) const FIRST_MARK: usize = 2;
pub(crate) const SETTLED: usize = 3;
pub(crate) const RULED: usize = 4;

/// One question of one review.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    own: Own,
    pub edition: Name,
    pub(crate) book: Option<Name>,
    pub game: Option<Name>,
    pub official: Option<Name>,
    pub tree: Name,
    pub call: Name,
    /// The moment of a whistle that came before.
    pub(crate) whistle: Option<Name>,
    /// The outcome, by the book's label; [`CUT_SHORT`] wherever `cut_short` is.
    pub outcome: Name,
    pub finding: Option<Name>,
    pub(crate) flags: List,
    pub week: Option<u32>,
    pub initiator: Option<Who>,
    pub(crate) answers: List,
    pub measured: Box<[Measured]>,
    /// What lines depend on, where something was measured and the record holds it.
    pub(crate) snap: Option<Box<Snap>>,
    /// Those that frames were marked on.
    pub(crate) cameras: List,
    /// Whether the picture established a finding.
    pub(crate) established: Option<bool>,
    pub won: Option<bool>,
    /// About what came after a dead ball.
    pub moot: bool,
    /// The review ended before it was decided.
    pub cut_short: bool,
    /// When it was called for: milliseconds since 1970-01-01 UTC.
    pub(crate) called_ms: i64,
    /// From the call to the announcement, in seconds; not negative.
    pub duration_s: Option<f64>,
    /// When each of [`PHASES`] was reached, in seconds from the call.
    pub(crate) phases: Phases,
    /// What was done against the rules of proof or time, and why.
    pub overrides: Box<[Box<str>]>,
    pub grades: Grades,
}

/// The supervisor's grades of a record.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Grades {
    pub call: Option<Name>,
    /// Which position of the crew had the call.
    pub position: Option<Name>,
    pub review: Option<Name>,
    /// A first look at full speed shows it.
    pub plain: Option<bool>,
}

/// A measured step.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Measured {
    pub step: Name,
    /// The line that a place is measured against; none for a gap in time.
    pub line: Option<Name>,
    /// Where, in yards of the offense frame; or the gap, in seconds.
    pub value: f64,
    /// The standard uncertainty, in the same unit.
    pub sigma: f64,
}

/// Joins the options of an answer that is not clear.
pub const OR: char = '|';

impl Row {
    /// The record's id.
    pub fn id(&self) -> &str {
        self.own.id()
    }

    /// The review that it belongs to.
    pub fn review(&self) -> Option<&str> {
        self.own.review()
    }

    /// The record that this one re-reviews blind.
    pub fn again_of(&self) -> Option<&str> {
        self.own.again_of()
    }

    pub(crate) fn id_hash(&self) -> u64 {
        self.own.id_hash()
    }

    pub(crate) fn review_hash(&self) -> Option<u64> {
        self.own.review_hash()
    }

    pub(crate) fn again_of_hash(&self) -> Option<u64> {
        self.own.again_of_hash()
    }

    /// The play, in the officials' short form.
    pub fn play(&self) -> Option<&str> {
        self.own.play()
    }

    /// Replaces its names and lists by those that they became in another interner.
    pub(crate) fn translate(&mut self, moved: &Moved) {
        let here = |name: &mut Name| moved.name(name);
        [&mut self.edition, &mut self.tree, &mut self.call, &mut self.outcome].into_iter().for_each(here);
        let optional = [&mut self.book, &mut self.game, &mut self.official, &mut self.whistle];
        let graded = [&mut self.grades.call, &mut self.grades.position, &mut self.grades.review];
        optional.into_iter().chain(graded).chain([&mut self.finding]).flatten().for_each(here);
        for measured in &mut self.measured {
            here(&mut measured.step);
            measured.line.as_mut().into_iter().for_each(here);
        }
        self.answers = moved.answers(self.answers);
        self.flags = moved.flags(self.flags);
        self.cameras = moved.cameras(self.cameras);
    }

    /// Whether it is a ruling of a game: decided, and not a second look at somebody else's.
    pub fn is_ruling(&self) -> bool {
        self.own.again_of().is_none() && !self.cut_short
    }

    /// How long its review took; censored if it was cut short.
    pub(crate) fn duration(&self) -> Option<Duration> {
        Some(Duration { seconds: self.duration_s?, censored: self.cut_short })
    }

    /// When one of [`PHASES`] was reached, if it was.
    pub(crate) fn phase(&self, phase: usize) -> Option<f64> {
        self.phases.reached(phase)
    }

    /// How long it went on after nothing could change it any more, in seconds.
    pub fn after_settled(&self) -> Option<f64> {
        Some(self.phase(RULED)? - self.phase(SETTLED)?).filter(|seconds| *seconds >= 0.0)
    }
}
