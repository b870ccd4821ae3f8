//! How long reviews take, where some were cut short: the survival curve of Kaplan and Meier.
//!
//! E. L. Kaplan and P. Meier, "Nonparametric estimation from incomplete observations", Journal of the American
//! Statistical Association 53 (1958) 457–481. The standard error is Greenwood's (1926). A quantile is the first time
//! at which the curve is at or below it; its interval holds the times that the curve's log-log interval does not
//! exclude (Brookmeyer and Crowley, Biometrics 38 (1982) 29–41).

use crate::stats::wilson::Z95;
use rayon::prelude::*;

/// One duration.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Duration {
    /// In seconds; finite and not negative.
    pub seconds: f64,
    /// It would have gone on: the review was cut short here.
    pub cut_short: bool,
}

/// Durations in little room. What is not negative is in order where its bits are, and whole numbers are quickest to
/// sort; the sign's bit is free for who was cut short.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Durations(Vec<u64>);

impl Durations {
    /// One more.
    pub fn push(&mut self, duration: Duration) {
        self.0.push(duration.seconds.to_bits() << 1 | u64::from(duration.cut_short));
    }

    /// All of others as well.
    pub fn append(&mut self, others: &Durations) {
        self.0.extend_from_slice(&others.0);
    }

    /// Whether there is none.
    pub fn is_empty(&self) -> bool {
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

/// One step of the curve.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Drop {
    /// When, in seconds.
    pub at: f64,
    /// The share that goes on beyond it.
    pub survival: f64,
    /// Greenwood's standard error of the share; nothing where it has come down to zero.
    pub se: Option<f64>,
}

/// A survival curve.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Curve {
    /// How many durations it rests on.
    pub count: u64,
    /// How many of them were cut short.
    pub cut_short: u64,
    /// Its steps, rising in time: the times at which a review ended.
    pub drops: Vec<Drop>,
}

/// Sums of shares differ from the decimal that they mean by rounding; no two steps of a curve are this near.
const ROUNDING: f64 = 1e-12;

impl Curve {
    /// The curve of these durations.
    pub fn of(Durations(mut all): Durations) -> Curve {
        all.par_sort_unstable();
        let mut curve = Curve { count: all.len() as u64, ..Curve::default() };
        let (mut survival, mut greenwood) = (1.0, 0.0);
        let mut at_risk = all.len() as f64;
        for same in all.chunk_by(|a, b| a >> 1 == b >> 1) {
            // Of the same time those that ended come first.
            let ended = same.partition_point(|duration| duration & 1 == 0);
            curve.cut_short += (same.len() - ended) as u64;
            if ended > 0 {
                let (ended, left) = (ended as f64, at_risk - ended as f64);
                survival *= left / at_risk;
                greenwood += ended / (at_risk * left);
                let se = (left > 0.0).then(|| survival * f64::sqrt(greenwood));
                curve.drops.push(Drop { at: f64::from_bits(same[0] >> 1), survival, se });
            }
            at_risk -= same.len() as f64;
        }
        curve
    }

    /// The time by which this share has ended; nothing where the curve does not come down so far.
    pub fn quantile(&self, ended: f64) -> Option<f64> {
        let left = 1.0 - ended + ROUNDING;
        self.drops.iter().find(|drop| drop.survival <= left).map(|drop| drop.at)
    }

    /// The 95 % interval of a quantile; an end that the curve does not reach is open.
    pub fn quantile_ci95(&self, ended: f64) -> [Option<f64>; 2] {
        let left = 1.0 - ended + ROUNDING;
        let first =
            |bound: fn(&Drop) -> f64| self.drops.iter().find(|drop| bound(drop) <= left).map(|drop| drop.at);
        [first(|drop| drop.log_log(1.0)), first(|drop| drop.log_log(-1.0))]
    }

    /// The curve with at most so many steps, evenly chosen, the last one among them.
    pub fn thinned(&self, most: usize) -> Vec<Drop> {
        let all = self.drops.len();
        if all <= most || most == 0 {
            return self.drops.clone();
        }
        (1..=most).filter_map(|place| self.drops.get(place * all / most - 1)).copied().collect()
    }
}

impl Drop {
    /// An end of the interval of the share on the scale of log(−log S), which stays between 0 and 1: the lower one
    /// for 1, the upper one for −1.
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

#[cfg(test)]
mod tests {
    use super::*;

    fn durations(text: &str) -> Durations {
        text.split_whitespace()
            .map(|cell| Duration {
                seconds: cell.trim_end_matches('+').parse().expect("a number"),
                cut_short: cell.ends_with('+'),
            })
            .collect()
    }

    /// The 6-MP arm of Freireich and others 1963, as in Kalbfleisch and Prentice, table 1.2: weeks in remission.
    const SIX_MP: &str = "6 6 6 6+ 7 9+ 10 10+ 11+ 13 16 17+ 19+ 20+ 22 23 25+ 32+ 32+ 34+ 35+";

    /// The curve as published; errors and the median's interval from lifelines 0.30
    /// (`scripts/audit-reference.py`).
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
        assert_eq!((curve.count, curve.cut_short, curve.drops.len()), (21, 12, expected.len()));
        for (drop, (at, survival, se)) in curve.drops.iter().zip(expected) {
            assert_eq!(drop.at, at);
            assert!((drop.survival - survival).abs() < 5e-5, "{drop:?}");
            assert!((drop.se.expect("not zero yet") - se).abs() < 1e-6, "{drop:?}");
        }
        assert_eq!((curve.quantile(0.5), curve.quantile(0.9)), (Some(23.0), None));
        assert_eq!(curve.quantile_ci95(0.5), [Some(13.0), None]);
    }

    #[test]
    fn without_cut_short_reviews_it_is_the_share_that_took_longer() {
        let curve = Curve::of(durations("10 20 30 40"));
        assert_eq!(curve.quantile(0.5), Some(20.0));
        assert_eq!(curve.quantile(0.9), Some(40.0));
        let last = curve.drops.last().expect("four steps");
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
            Curve::of(near).drops.iter().map(|drop| drop.at).collect::<Vec<_>>(),
            [0.0, 1e-300, 0.1, 0.1000000000000001, 1e300]
        );
    }

    #[test]
    fn nothing_and_nothing_but_cut_short_have_no_quantile() {
        for text in ["", "5+ 6+"] {
            let curve = Curve::of(durations(text));
            assert_eq!((curve.quantile(0.5), curve.quantile_ci95(0.5)), (None, [None, None]), "{text}");
            assert!(curve.drops.is_empty());
        }
    }

    #[test]
    fn a_thinned_curve_keeps_its_end() {
        let curve =
            Curve::of((1..=1000).map(|at| Duration { seconds: f64::from(at), cut_short: false }).collect());
        let thin = curve.thinned(30);
        assert_eq!((thin.len(), thin.last(), curve.thinned(5000).len()), (30, curve.drops.last(), 1000));
    }
}
