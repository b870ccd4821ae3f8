//! How long reviews take, where the seconds go, and which reviews stand out.
//!
//! A review is timed once, however many questions it holds; a blind re-review delays no game and is left out.

use crate::audit::control::{Sign, chart};
use crate::audit::facts::AllFacts;
use crate::audit::names::Name;
use crate::audit::rates::duration;
use crate::audit::row::{PHASES, Row, SETTLED};
use crate::audit::sample::Sample;
use crate::audit::survival::{Curve, Duration};
use crate::wire::audit::{AfterSettled, Control, Id, Phase, StepTimes, Tempo, TempoAlone, Times};
use rayon::prelude::*;
use std::collections::BTreeMap;

/// Most steps of the curve that are told.
const STEPS: usize = 2_000;

/// The tempo of a sample.
pub fn tempo(sample: &Sample, facts: &AllFacts) -> Tempo {
    let mut reviews = sample.reviews();
    reviews.sort_by_key(|row| row.called_ms);
    let TempoAlone { times, survival, control } = {
        let timed: Vec<(Duration, &Row)> =
            reviews.iter().filter_map(|row| Some((duration(row)?, *row))).collect();
        let durations: Vec<Duration> = timed.iter().map(|(duration, _)| *duration).collect();
        of(durations, |at| Id::Record(timed[at].1.id.to_string()))
    };
    let after: Vec<f64> = reviews.iter().filter_map(|row| row.after_settled()).collect();
    Tempo {
        times,
        survival,
        control,
        phases: phases(&reviews),
        steps: steps(sample, facts),
        after_settled: AfterSettled {
            // The sum of no floats would be -0.
            total_s: after.iter().fold(0.0, |total, seconds| total + seconds),
            times: self::times(&Curve::of(after.into_iter().map(whole).collect())),
        },
    }
}

/// The tempo of durations in their order; `id` names the one at a place.
pub fn of(durations: Vec<Duration>, id: impl Fn(usize) -> Id) -> TempoAlone {
    let charted: Vec<(usize, f64)> = durations
        .iter()
        .enumerate()
        .filter(|(_, duration)| !duration.cut_short)
        .map(|(at, duration)| (at, duration.seconds))
        .collect();
    let values: Vec<f64> = charted.iter().map(|(_, seconds)| *seconds).collect();
    let chart = chart(&values);
    let name = |at: usize| id(charted[at].0);
    let control = Control {
        count: values.len() as u64,
        center: chart.center,
        lower: chart.lower,
        upper: chart.upper,
        signals: chart.signals.iter().map(|(at, _)| name(*at)).collect(),
        because: chart.signals.iter().map(|(_, sign)| said(*sign)).collect(),
        range_center: chart.range_center,
        range_upper: chart.range_upper,
        jumps: chart.jumps.iter().map(|at| name(*at)).collect(),
    };
    let curve = Curve::of(durations);
    let survival = curve.thinned(STEPS).iter().map(|drop| (drop.at, drop.survival, drop.se)).collect();
    TempoAlone { times: times(&curve), survival, control }
}

fn said(sign: Sign) -> &'static str {
    match sign {
        Sign::Beyond => "beyond a limit",
        Sign::ThreeOfFour => "three of four nearer to a limit than to the center",
        Sign::Run => "eight or more in a row on one side of the center",
    }
}

/// What is told of a curve.
pub fn times(curve: &Curve) -> Times {
    Times {
        count: curve.count,
        cut_short: curve.cut_short,
        median_s: curve.quantile(0.5),
        median_ci95: curve.quantile_ci95(0.5),
        p90_s: curve.quantile(0.9),
    }
}

fn whole(seconds: f64) -> Duration {
    Duration { seconds, cut_short: false }
}

/// From each phase to the next. A review that was cut short in a phase is known to have been in it until its end.
fn phases(reviews: &[&Row]) -> Vec<Phase> {
    PHASES
        .par_iter()
        .enumerate()
        .map(|(at, phase)| {
            let spent = reviews.iter().filter_map(|row| {
                let began = if at == 0 { Some(0.0) } else { row.phase(at - 1) }?;
                match row.phase(at) {
                    Some(ended) => Some(whole(ended - began)),
                    None if row.cut_short => {
                        Some(Duration { seconds: row.duration_s? - began, cut_short: true })
                    }
                    None => None,
                }
            });
            let spent = spent.filter(|spent| spent.seconds >= 0.0).collect();
            Phase { phase, times: times(&Curve::of(spent)) }
        })
        .collect()
}

/// The time to settle of the reviews that rest on a step, the longest median first.
fn steps(sample: &Sample, facts: &AllFacts) -> Vec<StepTimes> {
    let mut by_facts: Vec<Vec<Duration>> = vec![Vec::new(); facts.all.len()];
    for (row, place) in sample.rows.iter().zip(&facts.of_row).filter(|(row, _)| row.is_ruling()) {
        by_facts[*place as usize].extend(row.phase(SETTLED).map(whole));
    }
    let mut by_step: BTreeMap<(Name, Name), Vec<Duration>> = BTreeMap::new();
    for (facts, settled) in facts.all.iter().zip(&by_facts).filter(|(_, settled)| !settled.is_empty()) {
        for (step, _) in &facts.path {
            by_step.entry((facts.question.tree, *step)).or_default().extend(settled);
        }
    }
    let text = |name: Name| sample.names.text(name).to_owned();
    let told = |((tree, step), settled): ((Name, Name), Vec<Duration>)| StepTimes {
        tree: text(tree),
        step: text(step),
        times: times(&Curve::of(settled)),
    };
    let mut steps: Vec<StepTimes> = by_step.into_par_iter().map(told).collect();
    let median = |step: &StepTimes| step.times.median_s.unwrap_or(0.0);
    steps.sort_by(|a, b| median(b).total_cmp(&median(a)).then((&a.tree, &a.step).cmp(&(&b.tree, &b.step))));
    steps
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_review_cut_short_is_in_the_curve_and_not_on_the_chart() {
        let durations =
            [60.0, 62.0, 10.0, 58.0].map(|seconds| Duration { seconds, cut_short: seconds == 10.0 });
        let found = of(durations.to_vec(), |at| Id::Row(at as u64 + 1));
        assert_eq!((found.times.count, found.times.cut_short, found.control.count), (4, 1, 3));
        assert_eq!(found.control.center, Some(60.0));
        assert_eq!(found.times.median_s, Some(60.0));
    }

    #[test]
    fn no_durations_have_no_figures() {
        let found = of(Vec::new(), |_| Id::Row(0));
        assert_eq!((found.times, found.survival.len()), (Times::default(), 0));
        assert_eq!(found.control, Control::default());
    }
}
