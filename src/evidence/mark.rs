//! Marks: one frame of one camera tied to a named moment.

use super::verdict::Verdict;
use crate::time::timecode::Timecode;

/// A mark, as far as a person can state it without the clip itself.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Mark {
    /// The moment: "control".
    pub moment: String,
    /// The camera, as the crew calls it.
    pub camera: String,
    /// What stands in the picture.
    pub timecode: Timecode,
}

/// The very picture that a mark was set on: by this it is found again, and proven to be the same.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Shot {
    /// SHA-256 of the clip's file, as 64 hex digits.
    pub clip_sha256: String,
    /// The frame, from 0, in the order of showing.
    pub frame: u64,
    /// When it is shown, in units of the clip's time base.
    pub pts: i64,
    /// That unit in seconds, as a fraction: 1/60000.
    pub time_base: (u32, u32),
    /// SHA-256 of the decoded picture's planes, as 64 hex digits.
    pub sha256: String,
    /// It was decoded exactly; else it is only like the picture that the clip holds.
    pub exact: bool,
    /// The still that was kept of it, by its name beside the log, as 64 hex digits.
    pub still: Option<String>,
}

/// What an answer rests on.
#[derive(Debug, Clone, PartialEq)]
pub enum Basis {
    /// A person says so, with marks.
    Attested,
    /// A measurement says so.
    Computed(Measurement),
}

/// A measurement, with what it says of a fact.
#[derive(Debug, Clone, PartialEq)]
pub struct Measurement {
    /// Of the fact that the step states.
    pub verdict: Verdict,
    /// What was measured; none in a log of a time when only the verdict was kept, and where marks contradict.
    pub of: Option<Quantity>,
}

/// What was measured, with its standard error. All figures are finite.
#[derive(Debug, Clone, PartialEq)]
pub enum Quantity {
    /// Whether one moment came before another.
    Order {
        /// The one.
        first: String,
        /// The other.
        then: String,
        /// From the one to the other, in seconds.
        gap_s: f64,
        /// Its standard error.
        sigma_s: f64,
    },
    /// How much time lies between two moments.
    Gap {
        /// The one.
        first: String,
        /// The other.
        then: String,
        /// How much it must be at least, in seconds.
        at_least_s: f64,
        /// From the one to the other, in seconds.
        gap_s: f64,
        /// Its standard error.
        sigma_s: f64,
    },
    /// Where a point was, against a line across the field.
    Position {
        /// The line, by its name in the book.
        line: String,
        /// Of the point, in yards of the offense frame.
        x: f64,
        /// Its standard error, in yards.
        sigma: f64,
    },
}

impl From<Verdict> for Measurement {
    fn from(verdict: Verdict) -> Measurement {
        Measurement { verdict, of: None }
    }
}

impl Quantity {
    /// Whether every figure is one, and no error is negative.
    pub fn is_possible(&self) -> bool {
        let (figures, sigma) = match self {
            Quantity::Order { gap_s, sigma_s, .. } => ([*gap_s, 0.0], *sigma_s),
            Quantity::Gap { at_least_s, gap_s, sigma_s, .. } => ([*gap_s, *at_least_s], *sigma_s),
            Quantity::Position { x, sigma, .. } => ([*x, 0.0], *sigma),
        };
        figures.iter().all(|figure| figure.is_finite()) && sigma.is_finite() && sigma >= 0.0
    }
}
