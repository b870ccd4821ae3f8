//! Figures in words, with their intervals.

use formats::audit::{Avoidable, Phase, Rate, Times};

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

/// Seconds or minutes, without a fraction; so many that nobody counts them are told by their size, which has room on every
/// screen.
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

/// Where nothing was timed there is no curve; where there is one, it may not come down so far.
fn reached(times: &Times, time: Option<String>) -> String {
    match time {
        Some(time) => time,
        None if times.count == 0 => "–".to_owned(),
        None => "not reached".to_owned(),
    }
}

/// How many reviews stand behind a phase, and why the others do not.
pub fn covered(phase: &Phase) -> String {
    let Phase { times: Times { count, cut_short, .. }, without, cut_before, untold, .. } = phase;
    let reasons = [
        (cut_short, "of them cut short in it"),
        (without, "more had no mark before they were settled"),
        (cut_before, "more were cut short before it"),
        (untold, "more do not say when it began or ended"),
    ];
    let told = reasons.iter().filter(|(many, _)| **many > 0).map(|(many, why)| format!(", {many} {why}"));
    format!("n = {count}{}", told.collect::<String>())
}

/// How many avoidable challenges each position of the crew had, the most first, and how many records do not say it;
/// nothing where none does.
pub fn by_position(avoidable: &Avoidable) -> Option<String> {
    let mut positions: Vec<(&String, &u64)> = avoidable.by_position.iter().collect();
    positions.sort_by_key(|(_, count)| std::cmp::Reverse(**count));
    let told: Vec<String> = positions.iter().map(|(position, count)| format!("{position} {count}")).collect();
    let silent = avoidable.count.saturating_sub(avoidable.by_position.values().sum());
    let silent = if silent == 0 { String::new() } else { format!("; {silent} do not say whose call it was") };
    (!told.is_empty()).then(|| format!("{}{silent}", told.join(", ")))
}

/// "week 3", "weeks 3 to 5".
pub fn weeks([first, last]: [u32; 2]) -> String {
    if first == last { format!("week {first}") } else { format!("weeks {first} to {last}") }
}

/// A p-value.
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
