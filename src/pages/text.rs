//! Figures with their intervals, and records, in words: for a page, a screen and a terminal.

use audit::figures::facts::AllFacts;
use audit::sample::Sample;
use audit::sample::interner::Name;
use audit::sample::row::{Measured, OR};
use formats::audit::{Avoidable, Phase, Rate, Times};
use std::collections::BTreeMap;

/// A record in words.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RecordText {
    /// Week, game and play.
    pub place: String,
    pub official: Option<String>,
    pub finding: Option<String>,
    /// The steps that it rests on with their answers, and what was measured.
    pub facts: Vec<(String, String)>,
    /// What was done against the rules of proof or time, and why.
    pub reasons: Vec<String>,
}

/// The record at this place of the sample; officials by the names that `shown` gives them.
pub fn record(sample: &Sample, facts: &AllFacts, at: usize, shown: &BTreeMap<String, String>) -> RecordText {
    let row = &sample.rows[at];
    let text = |name: Name| sample.text(name).to_owned();
    let week = row.week.map(|week| format!("week {week}"));
    let parts = [week, row.game.map(text), row.play().map(str::to_owned)];
    let official = row.official.map(text).map(|name| shown.get(&name).cloned().unwrap_or(name));
    let fact = |(step, answer): &(Name, String)| {
        let measured = row.measured.iter().find(|measured| measured.step == *step);
        let measured = measured.map_or(String::new(), |measured| {
            let Measured { value, sigma, line, .. } = measured;
            match line {
                Some(line) => format!(", measured at {value:.2} ± {sigma:.2} yd, {}", text(*line)),
                None => format!(", measured {value:.3} ± {sigma:.3} s"),
            }
        });
        (text(*step), format!("{}{measured}", answer.replace(OR, " or ")))
    };
    RecordText {
        place: parts.into_iter().flatten().collect::<Vec<_>>().join(" · "),
        official,
        finding: row.finding.map(text),
        facts: facts.of_row(at).path.iter().map(fact).collect(),
        reasons: row.overrides.iter().map(|reason| reason.to_string()).collect(),
    }
}

/// A share in per cent with its interval, n beside it.
pub fn share(rate: &Rate) -> String {
    match (rate.rate, rate.wilson95) {
        (Some(share), Some([low, high])) => {
            format!("{:.0} % ({:.0}–{:.0})", 100.0 * share, 100.0 * low, 100.0 * high)
        }
        (_, None) | (None, _) => "–".to_owned(),
    }
}

/// "14 of 19".
pub fn counted(rate: &Rate) -> String {
    format!("{} of {}", rate.count, rate.of)
}

/// A number with its interval.
pub fn with_interval(value: Option<f64>, ci95: Option<[f64; 2]>, decimals: usize) -> String {
    match (value, ci95) {
        (Some(value), Some([low, high])) => {
            format!("{value:.decimals$} ({low:.decimals$} to {high:.decimals$})")
        }
        (Some(value), None) => format!("{value:.decimals$} (no interval)"),
        (None, _) => "not defined".to_owned(),
    }
}

/// Seconds or minutes, without a fraction; from a million on as a power of ten, which fits every screen.
pub fn rounded(time: f64) -> String {
    if time.abs() < 1e6 { format!("{time:.0}") } else { format!("{time:.1e}") }
}

/// The time within which nine of ten are over.
pub fn nine_of_ten(times: &Times) -> String {
    reached(times, times.p90_s.map(|time| format!("{} s", rounded(time))))
}

/// A median with its interval.
pub fn median(times: &Times) -> String {
    let [low, high] = times.median_ci95.map(|end| end.map_or("…".to_owned(), rounded));
    reached(times, times.median_s.map(|median| format!("{} s ({low}–{high})", rounded(median))))
}

/// A time of the curve: without reviews there is no curve, and where there is one, it may not come down so far.
fn reached(times: &Times, time: Option<String>) -> String {
    match time {
        Some(time) => time,
        None if times.count == 0 => "–".to_owned(),
        None => "not reached".to_owned(),
    }
}

/// How many reviews a phase covers, and why it does not cover the others.
pub fn covered(phase: &Phase) -> String {
    let Phase { times: Times { count, cut_short, .. }, without, cut_before, untold, .. } = phase;
    let reasons = [
        (cut_short, "of them cut short in it"),
        (without, "more had no mark before they were settled"),
        (cut_before, "more were cut short before it"),
        (untold, "more do not say when it began or ended"),
    ];
    let reasons = reasons.iter().filter(|(many, _)| **many > 0).map(|(many, why)| format!(", {many} {why}"));
    format!("n = {count}{}", reasons.collect::<String>())
}

/// Avoidable challenges by position of the crew, the most first, and how many records do not name one; none where no
/// record does.
pub fn by_position(avoidable: &Avoidable) -> Option<String> {
    let mut positions: Vec<(&String, &u64)> = avoidable.by_position.iter().collect();
    positions.sort_by_key(|(_, count)| std::cmp::Reverse(**count));
    let counts: Vec<String> =
        positions.iter().map(|(position, count)| format!("{position} {count}")).collect();
    let silent = avoidable.count.saturating_sub(avoidable.by_position.values().sum());
    let silent = if silent == 0 { String::new() } else { format!("; {silent} do not say whose call it was") };
    (!counts.is_empty()).then(|| format!("{}{silent}", counts.join(", ")))
}

/// "week 3", "weeks 3 to 5".
pub fn weeks([first, last]: [u32; 2]) -> String {
    if first == last { format!("week {first}") } else { format!("weeks {first} to {last}") }
}

/// A p-value to three places; a dash where there is none.
pub fn probability(p: Option<f64>) -> String {
    match p {
        Some(p) if p < 0.0005 => "below 0.0005".to_owned(),
        Some(p) => format!("{p:.3}"),
        None => "–".to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use audit::figures::widened;

    #[test]
    fn weeks_are_widened_by_each_and_named_from_the_first_to_the_last() {
        let one = widened(None, 4);
        let more = [7, 3, 5].into_iter().fold(one, |weeks, week| widened(Some(weeks), week));
        assert_eq!([weeks(one), weeks(more)], ["week 4", "weeks 3 to 7"]);
    }
}
