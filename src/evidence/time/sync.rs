//! Tying one camera's clock to another's by ties: moments that both saw, or timecodes that both carry.
//!
//! Each tie says that an instant of the clip and an instant of common time are one, each known to an interval. The
//! fit is weighted least squares of `common − clip = offset + drift × (clip − at)`, the weights from the intervals
//! (JCGM 100, 4.3.7: w²/12), about the instant `at` at which offset and drift have no common error. What is known of
//! drifts beforehand (a quartz keeps within some tens of ppm) goes in as one more equation, so that a single tie is
//! enough and two ties a second apart do not claim a drift that they cannot see. A tie that the others contradict is
//! named and left out; of two that contradict each other nobody can say which is wrong.

use super::order::Clip;
use crate::error::Error;
use crate::normal;

/// A tie: one moment, after `since_s` and not after `at_s` of the clip, and likewise in common time. In seconds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tie {
    pub since_s: f64,
    pub at_s: f64,
    pub common_since_s: f64,
    pub common_at_s: f64,
}

/// A clip's clock as ties give it.
#[derive(Debug, Clone, PartialEq)]
pub struct Sync {
    /// Common time of the clip's instant 0, in seconds.
    pub offset_s: f64,
    /// The standard error of the offset at `offset_at_s`.
    pub offset_sigma_s: f64,
    /// How much faster common time runs than the clip, in millionths.
    pub drift_ppm: f64,
    pub drift_sigma_ppm: f64,
    /// Where offset and drift have no common error, in seconds of the clip.
    pub offset_at_s: f64,
    /// Common time less what the fit says, in seconds, for every tie, also those left out.
    pub residuals_s: Vec<f64>,
    /// Indices of the ties that the others contradict; the fit leaves them out.
    pub outliers: Vec<usize>,
    /// Whether the remaining ties agree with each other.
    pub agrees: bool,
}

/// A residual less probable than this, divided by the number of ties, is not chance.
pub(crate) const CHANCE: f64 = 0.001;

/// Ties beyond this many are ignored: the fit's cost goes with the square where many are outliers.
const MOST: usize = 10_000;

/// One tie as an equation.
#[derive(Clone, Copy)]
struct Equation {
    clip_s: f64,
    ahead_s: f64,
    variance: f64,
}

/// A fitted line: value at `at`, slope, and their variances, which are independent.
struct Line {
    at: f64,
    value: f64,
    slope: f64,
    value_variance: f64,
    slope_variance: f64,
}

/// The clock of a clip from its ties; `drift_sigma_ppm` is what is known of such clocks beforehand.
///
/// # Errors
/// [`Error`] for no tie, a tie without a time, or a `drift_sigma_ppm` out of range.
pub fn sync(ties: &[Tie], drift_sigma_ppm: f64) -> Result<Sync, Error> {
    if ties.is_empty() {
        return Err(Error::NoTie);
    }
    if !(drift_sigma_ppm > 0.0 && drift_sigma_ppm <= 1e5) {
        return Err(Error::NoDriftPrior);
    }
    let equations = ties
        .iter()
        .take(MOST)
        .enumerate()
        .map(|(index, tie)| tie.equation().ok_or(Error::TieWithoutTime(index)));
    let equations = equations.collect::<Result<Vec<Equation>, Error>>()?;
    let prior = (drift_sigma_ppm * 1e-6).powi(2);
    let mut kept: Vec<usize> = (0..equations.len()).collect();
    let mut outliers = Vec::new();
    let mut line = Line::fit(&equations, &kept, prior);
    let mut agrees = true;
    while let Some((worst, chance)) = worst(&equations, &kept, &line) {
        agrees = chance > CHANCE / equations.len() as f64;
        // At least half of the ties must stay: otherwise this one may not be the one that is wrong.
        if agrees || kept.len() < 3 || 2 * (outliers.len() + 1) > equations.len() {
            break;
        }
        kept.retain(|index| *index != worst);
        outliers.push(worst);
        line = Line::fit(&equations, &kept, prior);
    }
    outliers.sort_unstable();
    Ok(Sync {
        offset_s: line.value - line.slope * line.at,
        offset_sigma_s: line.value_variance.sqrt(),
        drift_ppm: line.slope * 1e6,
        drift_sigma_ppm: line.slope_variance.sqrt() * 1e6,
        offset_at_s: line.at,
        residuals_s: equations.iter().map(|equation| line.residual(equation)).collect(),
        outliers,
        agrees,
    })
}

impl Sync {
    /// The clip with this clock.
    pub fn on(&self, clip: Clip) -> Clip {
        Clip {
            offset_s: self.offset_s,
            offset_sigma_s: self.offset_sigma_s,
            drift_ppm: self.drift_ppm,
            drift_sigma_ppm: self.drift_sigma_ppm,
            offset_at_s: self.offset_at_s,
            ..clip
        }
    }
}

impl Tie {
    fn equation(&self) -> Option<Equation> {
        let (own, common) = (self.at_s - self.since_s, self.common_at_s - self.common_since_s);
        let possible = [own, common].iter().all(|width| *width > 0.0 && width.is_finite());
        let clip_s = (self.since_s + self.at_s) / 2.0;
        let ahead_s = (self.common_since_s + self.common_at_s) / 2.0 - clip_s;
        let variance = (own * own + common * common) / 12.0;
        possible.then_some(Equation { clip_s, ahead_s, variance })
    }
}

impl Line {
    fn fit(equations: &[Equation], kept: &[usize], prior: f64) -> Line {
        let of = || kept.iter().map(|index| equations[*index]);
        let weight: f64 = of().map(|equation| 1.0 / equation.variance).sum();
        let at = of().map(|equation| equation.clip_s / equation.variance).sum::<f64>() / weight;
        let value = of().map(|equation| equation.ahead_s / equation.variance).sum::<f64>() / weight;
        let square: f64 = of().map(|equation| (equation.clip_s - at).powi(2) / equation.variance).sum();
        let product: f64 = of()
            .map(|equation| (equation.clip_s - at) * (equation.ahead_s - value) / equation.variance)
            .sum();
        let slope_variance = 1.0 / (square + 1.0 / prior);
        Line { at, value, slope: product * slope_variance, value_variance: 1.0 / weight, slope_variance }
    }

    fn residual(&self, equation: &Equation) -> f64 {
        equation.ahead_s - self.value - self.slope * (equation.clip_s - self.at)
    }
}

/// The kept tie that is farthest from the fit, and the chance of that. None for a single tie.
fn worst(equations: &[Equation], kept: &[usize], line: &Line) -> Option<(usize, f64)> {
    if kept.len() < 2 {
        return None;
    }
    let far = kept.iter().map(|index| {
        let equation = &equations[*index];
        let away = equation.clip_s - line.at;
        // The variance of a residual is that of the tie less that of the fit there, the prior being data as well.
        let fit = line.value_variance + away * away * line.slope_variance;
        let variance = (equation.variance - fit).max(equation.variance * 1e-9);
        (*index, line.residual(equation).abs() / variance.sqrt())
    });
    let (index, sigmas) = far.max_by(|a, b| a.1.total_cmp(&b.1))?;
    Some((index, 2.0 * normal::below(-sigmas)))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn tie(clip_s: f64, common_s: f64) -> Tie {
        let half = 1.0 / 120.0;
        Tie {
            since_s: clip_s - half,
            at_s: clip_s + half,
            common_since_s: common_s - half,
            common_at_s: common_s + half,
        }
    }

    #[test]
    fn one_tie_gives_the_offset_and_leaves_the_drift_as_it_was() {
        let sync = sync(&[tie(10.0, 12.5)], 50.0).expect("a tie");
        assert!((sync.offset_s - 2.5).abs() < 1e-9 && sync.drift_ppm.abs() < 1e-9);
        // JCGM 100, 4.3.7: T/sqrt(12) for each of the two cameras at 60 pictures a second.
        assert!((sync.offset_sigma_s - (1.0 / 60.0) / 6_f64.sqrt()).abs() < 1e-12);
        assert!(
            (sync.drift_sigma_ppm - 50.0).abs() < 1e-9
                && (sync.offset_at_s - 10.0).abs() < 1e-9
                && sync.agrees
        );
    }

    /// Expected: weighted least squares with a row for the prior, by hand: five ties 100 s apart, drift 30 ppm.
    #[test]
    fn ties_far_apart_give_the_drift() {
        let ties: Vec<Tie> =
            (0..5).map(|n| f64::from(n) * 100.0).map(|at| tie(at, at * 1.000_03 - 4.0)).collect();
        let sync = sync(&ties, 1e5).expect("ties");
        assert!((sync.drift_ppm - 30.0).abs() < 1e-5 && (sync.offset_s + 4.0).abs() < 1e-8, "{sync:?}");
        let sigma = (1.0 / 60.0) / 6_f64.sqrt();
        assert!((sync.offset_sigma_s - sigma / 5_f64.sqrt()).abs() < 1e-12);
        // Sum of squared distances from the middle: 2 (100² + 200²).
        assert!(
            (sync.drift_sigma_ppm - sigma / 100_000_f64.sqrt() * 1e6).abs() < 1e-5,
            "{}",
            sync.drift_sigma_ppm
        );
        assert!(sync.residuals_s.iter().all(|residual| residual.abs() < 1e-8));
    }

    #[test]
    fn a_wrong_tie_is_named_and_of_two_neither() {
        let mut ties: Vec<Tie> = (0..6).map(|n| f64::from(n) * 10.0).map(|at| tie(at, at + 1.0)).collect();
        ties[4] = tie(40.0, 41.2);
        let sync1 = sync(&ties, 50.0).expect("ties");
        assert_eq!((sync1.outliers.as_slice(), sync1.agrees), (&[4][..], true));
        assert!((sync1.offset_s - 1.0).abs() < 1e-9 && (sync1.residuals_s[4] - 0.2).abs() < 1e-3);
        let two = sync(&[tie(0.0, 1.0), tie(10.0, 11.2)], 50.0).expect("ties");
        assert_eq!((two.outliers.len(), two.agrees), (0, false));
    }

    #[test]
    fn ties_that_say_nothing_are_refused() {
        assert_eq!(sync(&[], 50.0), Err(Error::NoTie));
        let backwards = Tie { since_s: 1.0, ..tie(0.0, 0.0) };
        assert_eq!(sync(&[tie(0.0, 0.0), backwards], 50.0), Err(Error::TieWithoutTime(1)));
        for prior in [0.0, -1.0, f64::NAN, f64::INFINITY] {
            assert_eq!(sync(&[tie(0.0, 0.0)], prior), Err(Error::NoDriftPrior));
        }
    }
}
