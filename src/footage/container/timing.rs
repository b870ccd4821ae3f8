//! The rate of a clip, from the times of its pictures; which pictures are missing, and whether the header is wrong.
//!
//! The times are the truth, and they are rounded to the clip's time base: 59.94 in milliseconds comes as 16, 17, 17.
//! A rate holds if every picture stands within one unit of where that rate puts it, counted from the first.

use crate::fault::Fault;
use evidence::time::rate::{Rate, Seconds};

/// Seconds of one unit of time, as an exact fraction.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct TimeBase {
    /// More than 0.
    numerator: u32,
    /// More than 0.
    denominator: u32,
}

impl TimeBase {
    /// `numerator / denominator` seconds a unit; `None` where one of them is 0.
    pub(crate) fn new(numerator: u32, denominator: u32) -> Option<TimeBase> {
        (numerator > 0 && denominator > 0).then_some(TimeBase { numerator, denominator })
    }

    /// Numerator and denominator.
    pub fn parts(self) -> (u32, u32) {
        (self.numerator, self.denominator)
    }

    /// A time in seconds, for showing.
    pub fn seconds(self, time: i64) -> f64 {
        time as f64 * f64::from(self.numerator) / f64::from(self.denominator)
    }

    /// A time in seconds, exactly; `None` where it overflows.
    pub fn exact(self, time: i64) -> Option<Seconds> {
        Seconds::fraction(time.checked_mul(i64::from(self.numerator))?, i64::from(self.denominator))
    }
}

impl std::fmt::Display for TimeBase {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(out, "{}/{}", self.numerator, self.denominator)
    }
}

/// What the times of the pictures say.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Timing {
    /// The one rate that all pictures keep to.
    pub(crate) rate: Option<Rate>,
    pub(crate) faults: Vec<Fault>,
}

/// Reads the times, sorted, against the rates that headers state.
pub(crate) fn read(times: &[i64], base: TimeBase, stated: &[Rate]) -> Timing {
    let mut faults = Vec::new();
    let steps: Vec<i64> =
        times.windows(2).map(|pair| pair.iter().rev().copied().reduce(|b, a| b - a).unwrap_or(0)).collect();
    let same: Vec<usize> =
        steps.iter().enumerate().filter(|(_, step)| **step == 0).map(|(index, _)| index + 1).collect();
    let is_uneven = !same.is_empty();
    if is_uneven {
        faults.push(Fault::SameInstant { frames: same });
    }
    if steps.is_empty() {
        return Timing { rate: stated.first().copied(), faults };
    }
    let rate = candidates(&steps, base, stated).into_iter().find(|rate| keeps_to(times, base, *rate));
    if rate.is_none() && !is_uneven {
        faults.push(uneven(&steps, base));
    }
    // Files of fields may state the rate of fields.
    let is_right = |stated: &Rate| {
        let near = |a: f64, b: f64| (a / b - 1.0).abs() < 5e-4;
        rate.is_none_or(|rate| [1.0, 2.0].iter().any(|fields| near(stated.as_f64(), rate.as_f64() * fields)))
    };
    let dropped = matches!(faults.last(), Some(Fault::Dropped { .. }));
    if let (Some(header), false, true) =
        (stated.first(), stated.iter().any(is_right) || dropped, rate.is_some())
    {
        faults.push(Fault::WrongRate { header: *header, pictures: rate });
    }
    Timing { rate, faults }
}

/// Rates worth trying, in this order: that of the steps if all are alike and the unit is fine; those in common use,
/// stated or near the mean; whatever else headers state, often a mean that fits by chance.
fn candidates(steps: &[i64], base: TimeBase, stated: &[Rate]) -> Vec<Rate> {
    let mut found = Vec::new();
    let per_unit = |step: i64| {
        let over = u32::try_from(step).ok()?.checked_mul(base.numerator)?;
        Rate::new(base.denominator, over).ok()
    };
    let (low, high) = bounds(steps);
    // Below this, many rates round to the same steps.
    const FINE: i64 = 200;
    if low == high && low >= FINE {
        found.extend(per_unit(low));
    }
    let is_common = |rate: &&Rate| Rate::common_near(rate.as_f64()).first() == Some(*rate);
    let (common_stated, rare_stated): (Vec<Rate>, Vec<Rate>) = stated.iter().partition(is_common);
    found.extend(common_stated);
    let total: i64 = steps.iter().sum();
    let mean_s = base.seconds(total) / steps.len() as f64;
    let mut common = Rate::common_near(1.0 / mean_s);
    common.truncate(3);
    found.extend(common);
    found.extend(rare_stated);
    if low == high {
        found.extend(per_unit(low));
    }
    found
}

fn bounds(steps: &[i64]) -> (i64, i64) {
    let low = steps.iter().copied().min().unwrap_or(0);
    (low, steps.iter().copied().max().unwrap_or(0))
}

/// Whether every time lies within less than one unit of where the rate puts it.
fn keeps_to(times: &[i64], base: TimeBase, rate: Rate) -> bool {
    let Some(first) = times.first() else { return false };
    let (over, under) = rate.parts();
    // Frame k stands at k * under/over seconds = k * under*base.denominator / (over*base.numerator) units.
    let (per, unit) =
        (i128::from(under) * i128::from(base.denominator), i128::from(over) * i128::from(base.numerator));
    times.iter().zip(0_i128..).all(|(time, frame)| {
        let off = i128::from(*time - *first) * unit - frame * per;
        off.abs() < unit
    })
}

/// Steps that are not all alike: pictures dropped from an even row, or no row at all.
fn uneven(steps: &[i64], base: TimeBase) -> Fault {
    let mut sorted = steps.to_vec();
    sorted.sort_unstable();
    let usual = sorted.get(sorted.len() / 2).copied().unwrap_or(1).max(1);
    let mut after = Vec::new();
    let mut alike = 0;
    for (index, step) in steps.iter().enumerate() {
        let times = (step + usual / 2) / usual;
        let is_multiple = times >= 1 && (step - times * usual).abs() <= 2.max(usual / 50);
        if is_multiple && times == 1 {
            alike += 1;
        } else if is_multiple {
            after.push((index, u64::try_from(times - 1).unwrap_or(0)));
        }
    }
    let explained = alike + after.len() == steps.len();
    // Nine in ten: a recorder that loses more is described by its rate, not by its gaps.
    if explained && alike * 10 >= steps.len() * 9 {
        return Fault::Dropped { after };
    }
    let (low, high) = bounds(steps);
    Fault::VariableRate { between_ms: (base.seconds(low) * 1e3, base.seconds(high) * 1e3) }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn rate(text: &str) -> Rate {
        text.parse().expect("a rate")
    }

    /// Times of frames at a rate, rounded to the nearest unit.
    fn at(rate_text: &str, count: u32, base: TimeBase) -> Vec<i64> {
        let per_frame = base.seconds(1) * rate(rate_text).as_f64();
        (0..count).map(|frame| (f64::from(frame) / per_frame).round() as i64).collect()
    }

    #[test]
    fn a_rate_is_found_through_the_rounding_of_the_time_base() {
        for (text, under, count) in [
            ("60000/1001", 60_000, 60),
            ("60000/1001", 90_000, 60),
            ("60000/1001", 1000, 600),
            ("30000/1001", 1000, 300),
            ("24000/1001", 12_288, 50),
            ("25", 12_800, 10),
            ("50", 1000, 10),
            ("120", 90_000, 10),
        ] {
            let base = TimeBase::new(1, under).expect("a base");
            let timing = read(&at(text, count, base), base, &[]);
            assert_eq!(timing, Timing { rate: Some(rate(text)), faults: Vec::new() }, "{text} in 1/{under}");
        }
    }

    #[test]
    fn a_header_that_states_another_rate_is_named() {
        let base = TimeBase::new(1, 60_000).expect("a base");
        let times = at("60000/1001", 60, base);
        for (stated, is_wrong) in [("60000/1001", false), ("25", true), ("120000/1001", false), ("60", true)]
        {
            let timing = read(&times, base, &[rate(stated)]);
            assert_eq!(timing.rate, Some(rate("60000/1001")));
            let wrong = Fault::WrongRate { header: rate(stated), pictures: timing.rate };
            assert_eq!(timing.faults, if is_wrong { vec![wrong] } else { Vec::new() }, "{stated}");
        }
    }

    #[test]
    fn gaps_in_an_even_row_are_dropped_frames_and_no_row_is_a_variable_rate() {
        let base = TimeBase::new(1, 1000).expect("a base");
        let mut times = at("25", 40, base);
        times.drain(12..15);
        let gap = Fault::Dropped { after: vec![(11, 3)] };
        assert_eq!(read(&times, base, &[]), Timing { rate: None, faults: vec![gap] });
        let wild = [0, 10, 47, 60, 99];
        let variable = Fault::VariableRate { between_ms: (10.0, 39.0) };
        assert_eq!(read(&wild, base, &[]), Timing { rate: None, faults: vec![variable] });
        let twice = [0, 40, 40, 80];
        assert_eq!(
            read(&twice, base, &[]),
            Timing { rate: None, faults: vec![Fault::SameInstant { frames: vec![2] }] }
        );
        assert_eq!(read(&[5], base, &[rate("50")]).rate, Some(rate("50")));
        assert_eq!(read(&[], base, &[]).rate, None);
    }
}
