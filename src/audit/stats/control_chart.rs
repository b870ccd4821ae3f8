//! The control chart of individuals and moving ranges: which values stand out in time.
//!
//! W. A. Shewhart's chart for single values, as in Wheeler, "Understanding Variation" (2nd edition, 2000): limits at
//! the mean ± 3 · mean moving range / d2, with d2 = 1.128 for ranges of two (control-chart constants, n = 2); the
//! upper limit of a range is D4 = 3.267 times their mean. Three kinds of signal, Wheeler's: beyond a limit; three of
//! four in a row nearer to one limit than to the centre; eight in a row on one side of the centre. A signal is a
//! question about a review, not an accusation.

/// 3 / d2 for ranges of two.
const LIMIT: f64 = 3.0 / 1.128;
/// D4 for ranges of two.
const RANGE_LIMIT: f64 = 3.267;
/// This many in a row on one side of the centre are a signal.
const RUN: usize = 8;

/// What makes a point stand out.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Signal {
    BeyondLimit,
    /// The last of three of four that are nearer to one limit than to the centre.
    ThreeOfFour,
    /// The last of eight or more on one side of the centre.
    Run,
}

/// A chart of values in their order in time.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct Chart {
    pub center: Option<f64>,
    /// The lower limit, as computed: below zero it is no limit for a time.
    pub lower: Option<f64>,
    pub upper: Option<f64>,
    pub range_center: Option<f64>,
    pub range_upper: Option<f64>,
    /// The points that stand out, by place, each with the first kind of signal that it gives.
    pub signals: Vec<(usize, Signal)>,
    /// The points whose moving range is beyond its limit.
    pub jumps: Vec<usize>,
}

/// The chart of values in their order. Limits need two values.
pub(crate) fn chart(values: &[f64]) -> Chart {
    if values.is_empty() {
        return Chart::default();
    }
    let center = mean(values);
    if values.len() < 2 {
        return Chart { center: Some(center), ..Chart::default() };
    }
    let range = |pair: &[f64]| (pair[1] - pair[0]).abs();
    let mean_range = values.windows(2).map(range).sum::<f64>() / (values.len() - 1) as f64;
    let away = LIMIT * mean_range;
    let range_upper = RANGE_LIMIT * mean_range;
    let over = values.windows(2).enumerate().filter(|(_, pair)| range(pair) > range_upper);
    Chart {
        center: Some(center),
        lower: Some(center - away),
        upper: Some(center + away),
        range_center: Some(mean_range),
        range_upper: Some(range_upper),
        jumps: over.map(|(at, _)| at + 1).collect(),
        signals: signals(values, center, away),
    }
}

/// The mean, also of values whose sum overflows.
fn mean(values: &[f64]) -> f64 {
    let n = values.len() as f64;
    let mean = values.iter().sum::<f64>() / n;
    if mean.is_finite() { mean } else { values.iter().map(|value| value / n).sum() }
}

fn signals(values: &[f64], center: f64, away: f64) -> Vec<(usize, Signal)> {
    let mut signals = Vec::new();
    let (mut run, mut side_before) = (0, 0.0);
    for (at, value) in values.iter().enumerate() {
        let off = value - center;
        let side = if off == 0.0 { 0.0 } else { off.signum() };
        run = if side != 0.0 && side == side_before { run + 1 } else { usize::from(side != 0.0) };
        side_before = side;
        let near_limit = |other: &&f64| (*other - center) * side > away / 2.0;
        let four = &values[at.saturating_sub(3)..=at];
        if off.abs() > away {
            signals.push((at, Signal::BeyondLimit));
        } else if near_limit(&value) && four.len() == 4 && four.iter().filter(near_limit).count() >= 3 {
            signals.push((at, Signal::ThreeOfFour));
        } else if run >= RUN {
            signals.push((at, Signal::Run));
        }
    }
    signals
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: mean 11, moving ranges 2 3 2 3 (mean 2.5), limits 11 ± 2.5 · 3 / 1.128.
    #[test]
    fn limits_are_the_mean_and_so_many_mean_ranges() {
        let chart = chart(&[10.0, 12.0, 9.0, 11.0, 13.0 + 1.0]);
        let close = |found: Option<f64>, expected: f64| (found.expect("defined") - expected).abs() < 1e-3;
        assert!(close(chart.center, 11.2) && close(chart.range_center, 2.5), "{chart:?}");
        assert!(close(chart.upper, 11.2 + 6.649) && close(chart.lower, 11.2 - 6.649), "{chart:?}");
        assert!(close(chart.range_upper, 8.1675) && chart.signals.is_empty(), "{chart:?}");
    }

    #[test]
    fn each_kind_of_signal_is_seen_and_named() {
        let mut spike = vec![10.0, 11.0, 10.0, 9.0, 10.0, 11.0, 10.0, 9.0, 10.0, 11.0, 10.0, 9.0];
        spike[6] = 40.0;
        let found = chart(&spike);
        assert!(found.signals.contains(&(6, Signal::BeyondLimit)), "{found:?}");
        assert_eq!(found.jumps, [6, 7]);
        let shifted: Vec<f64> =
            (0..20).map(|at| f64::from(at % 3) + if at < 10 { 0.0 } else { 4.0 }).collect();
        let found = chart(&shifted).signals;
        assert!(found.contains(&(7, Signal::Run)) && !found.iter().any(|(at, _)| *at == 6), "{found:?}");
        let mut three: Vec<f64> = (0..30).map(|at| if at % 2 == 0 { 9.0 } else { 11.0 }).collect();
        (three[20], three[22]) = (14.0, 14.0);
        three[21] = 14.0;
        assert!(chart(&three).signals.contains(&(22, Signal::ThreeOfFour)), "{:?}", chart(&three));
    }

    #[test]
    fn no_value_one_value_and_equal_values_have_no_signal() {
        assert_eq!(chart(&[]), Chart::default());
        let one = chart(&[5.0]);
        assert_eq!((one.center, one.upper, one.signals), (Some(5.0), None, vec![]));
        let equal = chart(&[5.0; 12]);
        assert_eq!((equal.lower, equal.upper, equal.signals), (Some(5.0), Some(5.0), vec![]));
        let huge = chart(&[1e308; 2]);
        assert_eq!((huge.center, huge.upper, huge.signals), (Some(1e308), Some(1e308), vec![]));
    }
}
