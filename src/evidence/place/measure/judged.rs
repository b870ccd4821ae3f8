//! Whether a distance on the ground may carry a verdict: what rules one out besides its probability.
//!
//! The probability holds only if the landmarks are right. So a verdict needs landmarks that agree, more of them than
//! always fit, and the same side from the fit without each one: no verdict rests on one landmark alone
//! (`docs/place-as-evidence.md` says how often that fails).

use super::{Distance, Line, Located, locate};
use crate::place::homography::Calibration;
use crate::place::homography::left_out::LeftOut;
use crate::verdict::Verdict;
use std::fmt;

/// Without any one landmark, the side of a verdict must still be this probable. Of 1,259 such verdicts with at most
/// one bad landmark none was wrong; where only the side had to be the same, 5 of 1,448 were.
const WITHOUT: f64 = 0.9;

/// Why a measurement gives no verdict.
#[derive(Debug, Clone, PartialEq)]
pub enum Withheld {
    Disagree,
    /// This many landmarks always fit.
    AlwaysFit(usize),
    /// A mistake in one of these landmarks, counted from 0, would not show.
    Unchecked(Vec<usize>),
    /// Without this landmark, counted from 0, the others do not support the verdict.
    HangsOn(usize),
    /// The 95 % interval is open.
    Open,
    /// The 95 % interval holds the line.
    HoldsLine,
    /// Neither landmarks nor click have an error.
    NoError,
}

/// The checks of a calibration, made once for all points and lines that are measured by it.
#[derive(Debug, Clone)]
pub struct Checked<'a> {
    calibration: &'a Calibration,
    left_out: Vec<LeftOut>,
    withheld: Option<Withheld>,
}

/// A distance, and what else a verdict on it needs.
#[derive(Debug, Clone, PartialEq)]
pub struct Judged {
    pub distance: Distance,
    /// What rules out any verdict by these landmarks.
    withheld: Option<Withheld>,
    /// The distance by the fit without each landmark, counted from 0; `None` where that sees no place there.
    without: Vec<(usize, Option<Distance>)>,
}

impl<'a> Checked<'a> {
    /// Checks a calibration by leaving out each landmark in turn.
    pub fn new(calibration: &'a Calibration) -> Checked<'a> {
        let left_out = if calibration.is_inconsistent() || calibration.always_fits() {
            Vec::new()
        } else {
            calibration.each_left_out()
        };
        let unchecked: Vec<usize> =
            left_out.iter().filter(|one| one.fit.is_none()).map(|one| one.landmark).collect();
        let withheld = if calibration.is_inconsistent() {
            Some(Withheld::Disagree)
        } else if calibration.always_fits() {
            Some(Withheld::AlwaysFit(calibration.residuals.iter().filter(|one| one.used).count()))
        } else {
            (!unchecked.is_empty()).then_some(Withheld::Unchecked(unchecked))
        };
        Checked { calibration, left_out, withheld }
    }

    /// How far a point that it located is past a line, and what a verdict on that needs.
    pub fn judge(&self, located: &Located, line: &Line) -> Judged {
        let distance = located.distance_to(line, self.calibration);
        let fits = self.left_out.iter().filter(|_| self.withheld.is_none());
        let without = fits.filter_map(|LeftOut { landmark, fit }| {
            let fit = fit.as_deref()?;
            let distance = locate(fit, located.click).ok().map(|located| located.distance_to(line, fit));
            Some((*landmark, distance))
        });
        Judged { distance, without: without.collect(), withheld: self.withheld.clone() }
    }
}

impl Judged {
    /// The verdict on "past the line", and the reason if something besides the probability rules one out.
    pub fn verdict(&self, standard: f64) -> (Verdict, Option<Withheld>) {
        let verdict = self.distance.verdict(standard);
        let withheld = self.withheld.clone().or_else(|| self.distance.withheld(standard));
        let withheld = withheld.or_else(|| self.hangs_on(verdict, standard.min(WITHOUT)));
        let probability = self.distance.past_probability;
        match withheld {
            Some(_) => (Verdict::Inconclusive { probability }, withheld),
            None => (verdict, None),
        }
    }
    /// The first landmark without which the verdict's side is less probable than `least`.
    fn hangs_on(&self, verdict: Verdict, least: f64) -> Option<Withheld> {
        let side = |past: f64| match verdict {
            Verdict::Established { .. } => Some(past),
            Verdict::Refuted { .. } => Some(1.0 - past),
            Verdict::Inconclusive { .. } | Verdict::Contradiction => None,
        };
        side(self.distance.past_probability)?;
        let falls = |(_, without): &&(usize, Option<Distance>)| {
            let probability = without.and_then(|without| side(without.past_probability));
            // Not `<`: a missing probability, or NaN, is not enough.
            !probability.is_some_and(|probability| probability >= least)
        };
        self.without.iter().find(falls).map(|(landmark, _)| Withheld::HangsOn(*landmark))
    }
}

impl Distance {
    /// What about the distance itself rules out a verdict that its probability alone would give.
    pub fn withheld(&self, standard: f64) -> Option<Withheld> {
        let is_said = !matches!(
            Verdict::of(self.past_probability, standard),
            Verdict::Inconclusive { .. } | Verdict::Contradiction
        );
        let [low, high] = self.interval_yd;
        if !is_said {
            None
        } else if !(low.is_finite() && high.is_finite() && self.sigma_yd.is_finite()) {
            Some(Withheld::Open)
        } else if self.sigma_yd <= 0.0 {
            Some(Withheld::NoError)
        } else {
            (low <= 0.0 && high >= 0.0).then_some(Withheld::HoldsLine)
        }
    }

    /// The verdict on "past the line", by the distance alone.
    pub fn verdict(&self, standard: f64) -> Verdict {
        match self.withheld(standard) {
            Some(_) => Verdict::Inconclusive { probability: self.past_probability },
            None => Verdict::of(self.past_probability, standard),
        }
    }
}

impl fmt::Display for Withheld {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Withheld::Disagree => out.write_str("no verdict: the landmarks do not agree; click them again"),
            Withheld::AlwaysFit(count) => write!(
                out,
                "no verdict: {count} landmarks always fit, so a mistake in one would not show; click more"
            ),
            Withheld::Unchecked(landmarks) => {
                let numbers: Vec<String> = landmarks.iter().map(|index| (index + 1).to_string()).collect();
                let (noun, numbers) =
                    (if numbers.len() == 1 { "landmark" } else { "landmarks" }, numbers.join(", "));
                write!(
                    out,
                    "no verdict: a mistake in {noun} {numbers} would not show; click one more, off the line of the others"
                )
            }
            Withheld::HangsOn(landmark) => write!(
                out,
                "no verdict: it depends on landmark {} alone; click it again, or click more",
                landmark + 1
            ),
            Withheld::Open => out.write_str("no verdict: the view is too flat to say how far it is"),
            Withheld::HoldsLine => out.write_str("no verdict: the line is inside the 95 % interval"),
            Withheld::NoError => out.write_str("no verdict: state the error of a click"),
        }
    }
}
