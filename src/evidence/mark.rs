//! Marks: one frame of one camera tied to a named moment.

use super::verdict::Verdict;
use crate::time::timecode::Timecode;

/// A mark, as far as a person can state it without the clip itself.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Mark {
    /// Its name, such as "control".
    pub moment: String,
    /// As the crew calls it.
    pub camera: String,
    pub timecode: Timecode,
}

/// The exact picture that a mark was set on. Its hashes find it again and prove that it is the same.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Shot {
    /// Of the clip's file, as 64 hex digits.
    pub clip_sha256: String,
    /// From 0, in the order of showing.
    pub frame: u64,
    /// In units of `time_base`.
    pub pts: i64,
    /// In seconds, as a fraction: 1/60000.
    pub time_base: (u32, u32),
    /// Of the decoded picture's planes, as 64 hex digits.
    pub sha256: String,
    /// Otherwise the decoded picture only resembles the one that the clip holds.
    pub exact: bool,
    /// Name of the still that was kept beside the log, as 64 hex digits.
    pub still: Option<String>,
}

/// What an answer rests on.
#[derive(Debug, Clone, PartialEq)]
pub enum Basis {
    /// On a person's word, with marks.
    Attested,
    Computed(Measurement),
}

/// A measurement, and its verdict on a fact.
#[derive(Debug, Clone, PartialEq)]
pub struct Measurement {
    /// On the fact that the step states.
    pub verdict: Verdict,
    /// None in older logs, which kept only the verdict, and where marks contradict each other.
    pub of: Option<Quantity>,
}

/// What was measured, with its standard error. All figures are finite.
#[derive(Debug, Clone, PartialEq)]
pub enum Quantity {
    /// Whether one moment came before another.
    Order {
        first: String,
        then: String,
        /// Positive if `then` came later.
        gap_s: f64,
        sigma_s: f64,
    },
    /// How much time lies between two moments.
    Gap {
        first: String,
        then: String,
        at_least_s: f64,
        /// Positive if `then` came later.
        gap_s: f64,
        sigma_s: f64,
    },
    /// Where a point was, against a line across the field.
    Position {
        /// Its name in the book.
        line: String,
        /// In yards of the offense frame.
        x: f64,
        /// In yards.
        sigma: f64,
    },
}

impl From<Verdict> for Measurement {
    fn from(verdict: Verdict) -> Measurement {
        Measurement { verdict, of: None }
    }
}

impl Quantity {
    /// Whether every figure is finite and no error is negative.
    pub fn is_possible(&self) -> bool {
        let (figures, sigma) = match self {
            Quantity::Order { gap_s, sigma_s, .. } => ([*gap_s, 0.0], *sigma_s),
            Quantity::Gap { at_least_s, gap_s, sigma_s, .. } => ([*gap_s, *at_least_s], *sigma_s),
            Quantity::Position { x, sigma, .. } => ([*x, 0.0], *sigma),
        };
        figures.iter().all(|figure| figure.is_finite()) && sigma.is_finite() && sigma >= 0.0
    }
}
