//! The survival curve of Kaplan and Meier: how long something takes, where some durations are censored.
//!
//! E. L. Kaplan and P. Meier, "Nonparametric estimation from incomplete observations", Journal of the American
//! Statistical Association 53 (1958) 457–481. The standard error is Greenwood's (1926). A quantile is the first time
//! at which the curve is at or below it; its interval holds the times that the curve's log-log interval does not
//! exclude (Brookmeyer and Crowley, Biometrics 38 (1982) 29–41).

use crate::stats::wilson::Z95;
use rayon::prelude::*;

/// How long something took.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Duration {
    /// In seconds; finite and not negative.
    pub seconds: f64,
    /// It would have gone on, and was cut short here.
    pub censored: bool,
}

/// Durations, 8 bytes each. Doubles that are not negative sort as their bits do, and whole numbers are quickest to sort;
/// the bit of the sign is free for whether one is censored.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub(crate) struct Durations(Vec<u64>);

impl Durations {
    pub(crate) fn push(&mut self, duration: Duration) {
        self.0.push(duration.seconds.to_bits() << 1 | u64::from(duration.censored));
    }

    pub(crate) fn append(&mut self, others: &Durations) {
        self.0.extend_from_slice(&others.0);
    }

    pub(crate) fn is_empty(&self) -> bool {
        self.0.is_empty()
    }
}

impl Extend<Duration> for Durations {
    fn extend<I: IntoIterator<Item = Duration>>(&mut self, durations: I) {
        durations.into_iter().for_each(|duration| self.push(duration));
    }
}

impl FromIterator<Duration> for Durations {
    fn from_iter<I: IntoIterator<Item = Duration>>(durations: I) -> Durations {
        let mut all = Durations::default();
        all.extend(durations);
        all
    }
}

/// One step of the curve, down.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Step {
    /// When, in seconds.
    pub at: f64,
    /// The share that goes on beyond it.
    pub survival: f64,
    /// Greenwood's standard error of the share; none where the share is zero.
    pub se: Option<f64>,
}

#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct Curve {
    pub count: u64,
    /// How many of them are censored.
    pub censored: u64,
    /// Rising in time: where a duration ended.
    pub steps: Vec<Step>,
}

/// Rounding in sums of shares; no two steps of a curve are as near.
const ROUNDING: f64 = 1e-12;

impl Curve {
    pub(crate) fn of(Durations(mut all): Durations) -> Curve {
        all.par_sort_unstable();
        let mut curve = Curve { count: all.len() as u64, ..Curve::default() };
        let (mut survival, mut greenwood) = (1.0, 0.0);
        let mut at_risk = all.len() as f64;
        for same in all.chunk_by(|a, b| a >> 1 == b >> 1) {
            // Of the same time those that ended come first.
            let ended = same.partition_point(|duration| duration & 1 == 0);
            curve.censored += (same.len() - ended) as u64;
            if ended > 0 {
                let (ended, left) = (ended as f64, at_risk - ended as f64);
                survival *= left / at_risk;
                greenwood += ended / (at_risk * left);
                let se = (left > 0.0).then(|| survival * f64::sqrt(greenwood));
                curve.steps.push(Step { at: f64::from_bits(same[0] >> 1), survival, se });
            }
            at_risk -= same.len() as f64;
        }
        curve
    }

    /// The time by which this share has ended; none where the curve does not come down so far.
    pub(crate) fn quantile(&self, ended: f64) -> Option<f64> {
        let left = 1.0 - ended + ROUNDING;
        self.steps.iter().find(|step| step.survival <= left).map(|step| step.at)
    }

    /// The 95 % interval of a quantile; an end that the curve does not reach is open.
    pub(crate) fn quantile_ci95(&self, ended: f64) -> [Option<f64>; 2] {
        let left = 1.0 - ended + ROUNDING;
        let first =
            |bound: fn(&Step) -> f64| self.steps.iter().find(|step| bound(step) <= left).map(|step| step.at);
        [first(|step| step.log_log(1.0)), first(|step| step.log_log(-1.0))]
    }

    /// At most this many steps, evenly chosen, the last one among them.
    pub(crate) fn thinned(&self, most: usize) -> Vec<Step> {
        let all = self.steps.len();
        if all <= most || most == 0 {
            return self.steps.clone();
        }
        (1..=most).filter_map(|place| self.steps.get(place * all / most - 1)).copied().collect()
    }
}

impl Step {
    /// An end of the share's interval on the scale of log(−log S), which stays between 0 and 1: the lower end for 1, the
    /// upper end for −1.
    fn log_log(&self, side: f64) -> f64 {
        match self.se {
            Some(se) if self.survival < 1.0 => {
                let spread = Z95 * se / (self.survival * self.survival.ln().abs());
                self.survival.powf((side * spread).exp())
            }
            Some(_) => self.survival,
            None => 0.0,
        }
    }
}

/// The 95 % band about a share of the curve on the plain scale, kept between 0 and 1; without width where there is no
/// standard error.
pub fn band95(share: f64, se: Option<f64>) -> [f64; 2] {
    let half = Z95 * se.unwrap_or(0.0);
    [share - half, share + half].map(|end| end.clamp(0.0, 1.0))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn durations(text: &str) -> Durations {
        text.split_whitespace()
            .map(|cell| Duration {
                seconds: cell.trim_end_matches('+').parse().expect("a number"),
                censored: cell.ends_with('+'),
            })
            .collect()
    }

    /// The 6-MP arm of Freireich and others 1963, as in Kalbfleisch and Prentice, table 1.2: weeks in remission.
    const SIX_MP: &str = "6 6 6 6+ 7 9+ 10 10+ 11+ 13 16 17+ 19+ 20+ 22 23 25+ 32+ 32+ 34+ 35+";

    /// The curve as published; errors and the median's interval from lifelines 0.30
    /// (`scripts/audit-reference.py`).
    // PROPERTY: the survival curve is the published one
    #[test]
    fn the_published_arm_gives_its_curve() {
        let curve = Curve::of(durations(SIX_MP));
        let expected = [
            (6.0, 0.8571, 0.076_360_4),
            (7.0, 0.8067, 0.086_935_3),
            (10.0, 0.7529, 0.096_349_7),
            (13.0, 0.6902, 0.106_814_7),
            (16.0, 0.6275, 0.114_053_9),
            (22.0, 0.5378, 0.128_233_8),
            (23.0, 0.4482, 0.134_591_5),
        ];
        assert_eq!((curve.count, curve.censored, curve.steps.len()), (21, 12, expected.len()));
        for (step, (at, survival, se)) in curve.steps.iter().zip(expected) {
            assert_eq!(step.at, at);
            assert!((step.survival - survival).abs() < 5e-5, "{step:?}");
            assert!((step.se.expect("not zero yet") - se).abs() < 1e-6, "{step:?}");
        }
        assert_eq!((curve.quantile(0.5), curve.quantile(0.9)), (Some(23.0), None));
        assert_eq!(curve.quantile_ci95(0.5), [Some(13.0), None]);
    }

    #[test]
    fn without_censored_durations_it_is_the_share_that_took_longer() {
        let curve = Curve::of(durations("10 20 30 40"));
        assert_eq!(curve.quantile(0.5), Some(20.0));
        assert_eq!(curve.quantile(0.9), Some(40.0));
        let last = curve.steps.last().expect("four steps");
        assert_eq!((last.survival, last.se), (0.0, None));
    }

    #[test]
    fn the_order_of_the_durations_makes_no_difference() {
        let curve = Curve::of(durations(SIX_MP));
        let mut turned = durations(SIX_MP);
        turned.0.reverse();
        assert_eq!(Curve::of(turned), curve);
        let near = durations("0 0.1+ 0.1 0.1000000000000001 1e-300 1e300");
        assert_eq!(
            Curve::of(near).steps.iter().map(|step| step.at).collect::<Vec<_>>(),
            [0.0, 1e-300, 0.1, 0.1000000000000001, 1e300]
        );
    }

    #[test]
    fn no_durations_and_censored_ones_alone_have_no_quantile() {
        for text in ["", "5+ 6+"] {
            let curve = Curve::of(durations(text));
            assert_eq!((curve.quantile(0.5), curve.quantile_ci95(0.5)), (None, [None, None]), "{text}");
            assert!(curve.steps.is_empty());
        }
    }

    #[test]
    fn a_thinned_curve_keeps_its_end() {
        let curve =
            Curve::of((1..=1000).map(|at| Duration { seconds: f64::from(at), censored: false }).collect());
        let thin = curve.thinned(30);
        assert_eq!((thin.len(), thin.last(), curve.thinned(5000).len()), (30, curve.steps.last(), 1000));
    }

    #[test]
    fn a_band_stays_between_none_and_all() {
        assert_eq!(band95(0.5, None), [0.5, 0.5]);
        assert_eq!([band95(0.9, Some(0.1))[1], band95(0.1, Some(0.1))[0]], [1.0, 0.0]);
        let [low, high] = band95(0.5, Some(0.1));
        assert!((low - 0.304).abs() < 1e-4 && (high - 0.696).abs() < 1e-4, "{low} {high}");
    }
}
