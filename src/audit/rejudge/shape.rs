//! Distributions that a measurement can have when only its mean and standard error are known.
//!
//! The time between two marks, one of each moment, is a sum of uniform errors and a normal one (`evidence::time::order`).
//! To exceed a limit with the probability of a standard, such a gap must lie beyond it by a number of standard errors
//! that is between those of a uniform, a triangle (two equal uniforms) and a normal, to one part in a hundred: that was
//! found over 600 random sums and standards of 0.55 to 0.999. With several marks of a moment the distribution is
//! conditioned on all being right: it may lean to a side, but stays log-concave, as a product of log-concave densities
//! integrated (Prékopa 1973). An exponential, leaning either way, is taken as the extreme of those.
//!
//! A place has a normal error where first order holds (`evidence::place::measure`), and its probability is then that of a
//! normal to the last digits. Otherwise the error is lopsided, and only that probability is known of it.

use evidence::normal;
use evidence::verdict::Verdict;
use std::f64::consts::E;

/// What a measurement decides about a fact.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Decided {
    Established,
    Refuted,
    Open,
}

impl From<Verdict> for Decided {
    fn from(verdict: Verdict) -> Decided {
        match verdict {
            Verdict::Established { .. } => Decided::Established,
            Verdict::Refuted { .. } => Decided::Refuted,
            Verdict::Inconclusive { .. } | Verdict::Contradiction => Decided::Open,
        }
    }
}

/// A measured value with its standard error, which is 0 or more, in the same unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Estimate {
    pub value: f64,
    pub sigma: f64,
}

/// What is known of the distribution of an estimate.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Shape {
    Normal,
    /// Normal as far as a probability of 1 can show: not enough near a border.
    NormalFarOff,
    /// A sum of uniform errors and a normal one.
    Sum,
    LogConcave,
    Unknown,
}

/// By how much the standard errors that a shape asks for may differ from those of the extreme shapes, as a share.
const MARGIN: f64 = 0.02;

/// In standard errors: from here on a value is far from a border.
const FAR: f64 = 4.0;

/// A place with an error below this, in yards, is not lopsided. Lopsidedness grows with the error over the distance from
/// the camera: at a twentieth, first order is off by a tenth of the interval's half, its limit
/// (`evidence::place::measure`). No camera stands nearer to the field than 5 yd.
const STRAIGHT_YD: f64 = 0.25;

/// Probabilities are written with four digits or more; ours with all of them.
const ROUNDED: f64 = 5e-5;

impl Shape {
    /// Of the time between two moments.
    pub(super) fn of_time(one_mark_each: bool) -> Shape {
        if one_mark_each { Shape::Sum } else { Shape::LogConcave }
    }

    /// Of a place: whether the probability that was kept of it, past a border, is that of a normal.
    pub(super) fn of_place(place: &Estimate, kept: f64, border: f64) -> Shape {
        let away = place.away(border);
        let (tail, kept) = (normal::below(-away.abs()), if away < 0.0 { kept } else { 1.0 - kept });
        // The upper tail is what is left of 1, so it loses the digits below 1e-16.
        let exact = (kept - tail).abs() <= 1e-6 * tail + if away < 0.0 { 0.0 } else { 1e-15 };
        let rounded = tail > 10.0 * ROUNDED && (kept - tail).abs() <= ROUNDED;
        match (exact || rounded, tail > 1e-12 || away < 0.0 || place.sigma <= STRAIGHT_YD) {
            (true, true) => Shape::Normal,
            (true, false) => Shape::NormalFarOff,
            (false, _) => Shape::Unknown,
        }
    }

    /// Whether the estimate exceeds a border; `None` where that depends on the unknown shape.
    pub(super) fn decide(self, figure: &Estimate, border: f64, standard: f64) -> Option<Decided> {
        let away = figure.away(border);
        let of = |chance: f64| Decided::from(Verdict::of(chance, standard));
        if away.is_infinite() {
            return Some(of(normal::below(away)));
        }
        let sums: [fn(f64) -> f64; 3] = [uniform, triangle, normal::below];
        let skewed: [fn(f64) -> f64; 2] = [skewed_up, skewed_down];
        let shapes = match self {
            Shape::Normal => return Some(of(normal::below(away))),
            Shape::NormalFarOff if away.abs() >= FAR => return Some(of(normal::below(away))),
            Shape::NormalFarOff | Shape::Unknown => return None,
            Shape::Sum => sums.to_vec(),
            Shape::LogConcave => [&sums[..], &skewed].concat(),
        };
        let nearer_and_farther = [away * (1.0 - MARGIN), away * (1.0 + MARGIN)];
        let mut all = shapes.iter().flat_map(|shape| nearer_and_farther.map(|away| of(shape(away))));
        let first = all.next()?;
        all.all(|other| other == first).then_some(first)
    }
}

impl Estimate {
    /// By how many standard errors it lies beyond a border; infinitely many without an error. A value on the border does
    /// not exceed it.
    fn away(&self, border: f64) -> f64 {
        match (self.value - border, self.sigma) {
            (off, sigma) if sigma > 0.0 => off / sigma,
            (off, _) if off > 0.0 => f64::INFINITY,
            (..) => f64::NEG_INFINITY,
        }
    }
}

// Each is P(X > -away) of a distribution with mean 0 and standard deviation 1.

fn uniform(away: f64) -> f64 {
    (0.5 + away / (2.0 * 3.0_f64.sqrt())).clamp(0.0, 1.0)
}

fn triangle(away: f64) -> f64 {
    let tail = (1.0 - away.abs() / 6.0_f64.sqrt()).max(0.0).powi(2) / 2.0;
    if away > 0.0 { 1.0 - tail } else { tail }
}

/// An exponential whose long tail lies above the mean.
fn skewed_up(away: f64) -> f64 {
    (away.exp() / E).min(1.0)
}

/// An exponential whose long tail lies below the mean.
fn skewed_down(away: f64) -> f64 {
    1.0 - skewed_up(-away)
}
