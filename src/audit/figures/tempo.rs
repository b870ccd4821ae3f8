//! How long reviews take, where the seconds go, and which reviews stand out.
//!
//! A review is timed once, however many questions it holds; a blind re-review delays no game and is left out.

use crate::figures::facts::AllFacts;
use crate::sample::Sample;
use crate::sample::interner::Name;
use crate::sample::row::{FIRST_MARK, PHASES, Row, SETTLED};
use crate::stats::control_chart::{Signal, chart};
use crate::stats::survival::{Curve, Duration, Durations};
use formats::audit::{AfterSettled, Control, Id, Phase, StepTimes, Tempo, TempoAlone, Times};
use rayon::prelude::*;
use std::collections::BTreeMap;

/// Most steps of the survival curve that are shown.
const STEPS: usize = 2_000;

/// How long the reviews of a sample took, as a whole and by phase and step.
pub fn tempo(sample: &Sample, facts: &AllFacts) -> Tempo {
    let reviews = sample.reviews();
    let ((alone, after_settled), (phases, steps)) = rayon::join(
        || rayon::join(|| in_order(&reviews), || after_settled(&reviews)),
        || rayon::join(|| phases(&reviews), || steps(sample, facts)),
    );
    let TempoAlone { times, survival, control } = alone;
    Tempo { times, survival, control, phases, steps, after_settled }
}

/// How long one review took.
#[derive(Debug, Clone, PartialEq)]
pub struct Timed {
    /// Of its first record.
    pub id: String,
    /// From the call to the announcement, in seconds.
    pub seconds: f64,
    /// Those of `seconds` that passed after nothing could change the ruling any more.
    pub after_settled: f64,
}

/// The reviews that were not cut short, in the order of their calls.
pub fn timed(sample: &Sample) -> Vec<Timed> {
    let mut reviews: Vec<&Row> = sample.reviews().into_iter().filter(|row| !row.cut_short).collect();
    reviews.sort_by_key(|row| row.called_ms);
    let timed = reviews.iter().filter_map(|row| {
        let after_settled = row.after_settled().unwrap_or(0.0);
        Some(Timed { id: row.id().to_owned(), seconds: row.duration_s?, after_settled })
    });
    timed.collect()
}

fn after_settled(reviews: &[&Row]) -> AfterSettled {
    let after = || reviews.iter().filter_map(|row| row.after_settled());
    AfterSettled {
        // The sum of no floats would be -0.
        total_s: after().fold(0.0, |total, seconds| total + seconds),
        times: (&Curve::of(after().map(whole).collect())).into(),
    }
}

/// The tempo of reviews in the order in which they were called for.
fn in_order(reviews: &[&Row]) -> TempoAlone {
    let timed = reviews.iter().zip(0_usize..);
    let mut timed: Vec<(i64, usize, Duration)> =
        timed.filter_map(|(row, place)| Some((row.called_ms, place, row.duration()?))).collect();
    timed.par_sort_unstable_by_key(|(called_ms, place, _)| (*called_ms, *place));
    let durations: Vec<Duration> = timed.iter().map(|(.., duration)| *duration).collect();
    of(&durations, |at| Id::Record(reviews[timed[at].1].id().to_owned()))
}

/// The tempo of durations in their order; `id` names the one at a place.
pub fn of(durations: &[Duration], id: impl Fn(usize) -> Id + Send) -> TempoAlone {
    let (control, curve) =
        rayon::join(|| control(durations, id), || Curve::of(durations.iter().copied().collect()));
    let survival = curve.thinned(STEPS).iter().map(|step| (step.at, step.survival, step.se)).collect();
    TempoAlone { times: (&curve).into(), survival, control }
}

/// The chart of those that were not cut short.
fn control(durations: &[Duration], id: impl Fn(usize) -> Id) -> Control {
    let charted = durations.iter().enumerate().filter(|(_, duration)| !duration.censored);
    let (places, values): (Vec<usize>, Vec<f64>) =
        charted.map(|(at, duration)| (at, duration.seconds)).unzip();
    let chart = chart(&values);
    let name = |at: usize| id(places[at]);
    Control {
        count: values.len() as u64,
        center: chart.center,
        lower: chart.lower,
        upper: chart.upper,
        signals: chart.signals.iter().map(|(at, _)| name(*at)).collect(),
        because: chart.signals.iter().map(|(_, signal)| text(*signal)).collect(),
        range_center: chart.range_center,
        range_upper: chart.range_upper,
        jumps: chart.jumps.iter().map(|at| name(*at)).collect(),
    }
}

fn text(signal: Signal) -> &'static str {
    match signal {
        Signal::BeyondLimit => "beyond a limit",
        Signal::ThreeOfFour => "three of four nearer to a limit than to the center",
        Signal::Run => "eight or more in a row on one side of the center",
    }
}

impl From<&Curve> for Times {
    fn from(curve: &Curve) -> Times {
        Times {
            count: curve.count,
            cut_short: curve.censored,
            median_s: curve.quantile(0.5),
            median_ci95: curve.quantile_ci95(0.5),
            p90_s: curve.quantile(0.9),
        }
    }
}

fn whole(seconds: f64) -> Duration {
    Duration { seconds, censored: false }
}

/// What a phase was to a review.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Spent {
    /// It took this long; censored if the review was cut short in it.
    Of(Duration),
    /// It had none: no frame was marked before it was settled.
    Without,
    CutBefore,
    /// The record does not say when the phase began or ended, or the times are out of order.
    Untold,
}

/// The phases of a review: each begins where the one before it ended, so that together they are its time. A review whose
/// answers rest on what was seen needs no mark to be settled; a mark that its restart asks for afterwards belongs to the
/// time to the ruling. One that was cut short is known to have been in its phase until its end.
fn spent(row: &Row) -> [Spent; PHASES.len()] {
    let mut spent = [Spent::Untold; PHASES.len()];
    let mut began = Some(0.0);
    let mut cut = false;
    for (at, spent) in spent.iter_mut().enumerate() {
        let later = || (at + 1..PHASES.len()).filter_map(|later| row.phase(later));
        let needless = |ended: Option<f64>| {
            at == FIRST_MARK
                && row.phase(SETTLED).is_some_and(|settled| ended.is_none_or(|ended| ended > settled))
        };
        *spent = match (row.phase(at), began) {
            (ended, _) if needless(ended) => Spent::Without,
            (Some(ended), Some(from)) => Spent::Of(whole(ended - from)),
            (None, _) if cut => Spent::CutBefore,
            (None, Some(from)) if row.cut_short && later().next().is_none() => match row.duration_s {
                Some(end) => Spent::Of(Duration { seconds: end - from, censored: true }),
                None => Spent::Untold,
            },
            (Some(_) | None, _) => Spent::Untold,
        };
        match (*spent, row.phase(at)) {
            (Spent::Without, _) => {}
            // Cut short before a mark, it was not settled by then either.
            (Spent::Of(Duration { censored: true, .. }), _) if at == FIRST_MARK => {}
            (Spent::Of(Duration { censored: true, .. }), _) => (began, cut) = (None, true),
            (Spent::Of(_) | Spent::CutBefore | Spent::Untold, ended) => began = ended,
        }
        if matches!(spent, Spent::Of(of) if of.seconds < 0.0) {
            *spent = Spent::Untold;
        }
    }
    spent
}

/// A phase over all reviews: its durations, and the reviews that have none, counted by reason.
#[derive(Debug, Default)]
struct OfAll {
    spent: Durations,
    without: u64,
    cut_before: u64,
    untold: u64,
}

impl OfAll {
    fn take(&mut self, spent: Spent) {
        match spent {
            Spent::Of(duration) => self.spent.push(duration),
            Spent::Without => self.without += 1,
            Spent::CutBefore => self.cut_before += 1,
            Spent::Untold => self.untold += 1,
        }
    }
}

fn phases(reviews: &[&Row]) -> Vec<Phase> {
    let mut all: [OfAll; PHASES.len()] = Default::default();
    for row in reviews {
        all.iter_mut().zip(spent(row)).for_each(|(all, spent)| all.take(spent));
    }
    let phase = |(all, phase): (OfAll, &'static str)| {
        let OfAll { spent, without, cut_before, untold } = all;
        Phase { phase, times: (&Curve::of(spent)).into(), without, cut_before, untold }
    };
    all.into_par_iter().zip(PHASES.into_par_iter()).map(phase).collect()
}

/// The time to settle of the reviews that rest on a step, the longest median first.
fn steps(sample: &Sample, facts: &AllFacts) -> Vec<StepTimes> {
    let mut by_facts: Vec<Durations> = vec![Durations::default(); facts.all.len()];
    for (row, place) in sample.rows.iter().zip(&facts.of_row).filter(|(row, _)| row.is_ruling()) {
        let settled = row.phase(SETTLED).filter(|seconds| *seconds >= 0.0);
        by_facts[*place as usize].extend(settled.map(whole));
    }
    let mut by_step: BTreeMap<(Name, Name), Durations> = BTreeMap::new();
    for (facts, settled) in facts.all.iter().zip(&by_facts).filter(|(_, settled)| !settled.is_empty()) {
        for (step, _) in &facts.path {
            by_step.entry((facts.question.tree, *step)).or_default().append(settled);
        }
    }
    let text = |name: Name| sample.text(name).to_owned();
    let times = |((tree, step), settled): ((Name, Name), Durations)| StepTimes {
        tree: text(tree),
        step: text(step),
        times: (&Curve::of(settled)).into(),
    };
    let mut steps: Vec<StepTimes> = by_step.into_par_iter().map(times).collect();
    let median = |step: &StepTimes| step.times.median_s.unwrap_or(0.0);
    steps.sort_by(|a, b| median(b).total_cmp(&median(a)).then((&a.tree, &a.step).cmp(&(&b.tree, &b.step))));
    steps
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sample::row::Reader;

    #[test]
    fn a_review_cut_short_is_in_the_curve_and_not_on_the_chart() {
        let durations =
            [60.0, 62.0, 10.0, 58.0].map(|seconds| Duration { seconds, censored: seconds == 10.0 });
        let found = of(&durations, |at| Id::Row(at as u64 + 1));
        assert_eq!((found.times.count, found.times.cut_short, found.control.count), (4, 1, 3));
        assert_eq!(found.control.center, Some(60.0));
        assert_eq!(found.times.median_s, Some(60.0));
    }

    /// A review with these times, in the order of the phases; with an end, it was cut short there.
    fn review(times: &str, cut_short_at: Option<f64>) -> Row {
        let phases: serde_json::Map<String, serde_json::Value> = PHASES
            .iter()
            .zip(times.split_whitespace())
            .map(|(phase, time)| {
                ((*phase).to_owned(), serde_json::from_str(time).unwrap_or(serde_json::Value::Null))
            })
            .collect();
        let record = serde_json::json!({"id": "r", "edition": "e", "tree": "t", "call": "c", "answers": {},
            "outcome": "stands", "called_at": "2026-05-09T19:42:11Z", "duration_s": cut_short_at,
            "cut_short": cut_short_at.is_some(), "phases_s": phases});
        Reader::default().row(&record.to_string()).expect("a record")
    }

    // PROPERTY: every review is in a phase or counted beside it
    #[test]
    fn the_phases_of_a_review_are_its_time_and_what_is_missing_says_why() {
        let phases = |times: &str, cut_short_at| {
            let one = |spent: Spent| match spent {
                Spent::Of(Duration { seconds, censored: false }) => format!("{seconds}"),
                Spent::Of(Duration { seconds, censored: true }) => format!("{seconds}+"),
                Spent::Without => "without".to_owned(),
                Spent::CutBefore => "cut".to_owned(),
                Spent::Untold => "?".to_owned(),
            };
            spent(&review(times, cut_short_at)).map(one).join(" ")
        };
        for (times, cut_short_at, expected) in [
            ("2 3 5 9 14 20", None, "2 1 2 4 5 6"),
            // Settled without a mark; marked afterwards, for the restart.
            ("2 3 - 9 14 20", None, "2 1 without 6 5 6"),
            ("2 3 11 9 14 20", None, "2 1 without 6 5 6"),
            // Cut short before a mark it was not settled either; after one; when it was settled.
            ("2 3 - - - -", Some(8.0), "2 1 5+ 5+ cut cut"),
            ("2 3 5 - - -", Some(8.0), "2 1 2 3+ cut cut"),
            ("2 3 5 9 - -", Some(12.0), "2 1 2 4 3+ cut"),
            ("- - - - - -", Some(8.0), "8+ cut cut cut cut cut"),
            // Other programs leave phases out, or give them out of order.
            ("- 3 5 9 14 20", None, "? ? 2 4 5 6"),
            ("2 1 5 9 - 20", None, "2 ? 4 4 ? ?"),
            ("- - - - - -", None, "? ? ? ? ? ?"),
        ] {
            assert_eq!(phases(times, cut_short_at), expected, "{times}");
        }
    }

    #[test]
    fn every_review_is_in_a_phase_or_counted_beside_it() {
        let rows =
            [review("2 3 5 9 14 20", None), review("2 3 - 9 14 20", None), review("2 3 - - - -", Some(8.0))];
        let phases = phases(&rows.iter().collect::<Vec<_>>());
        let counts: Vec<[u64; 5]> = phases
            .iter()
            .map(|phase| {
                [phase.times.count, phase.times.cut_short, phase.without, phase.cut_before, phase.untold]
            })
            .collect();
        assert_eq!(counts[SETTLED], [3, 1, 0, 0, 0]);
        assert_eq!((counts[FIRST_MARK], counts[SETTLED + 1]), ([2, 1, 1, 0, 0], [2, 0, 0, 1, 0]));
    }

    #[test]
    fn no_durations_have_no_figures() {
        let found = of(&[], |_| Id::Row(0));
        assert_eq!((found.times, found.survival.len()), (Times::default(), 0));
        assert_eq!(found.control, Control::default());
    }
}
