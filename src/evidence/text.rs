//! Times and probabilities as a person reads them.

use super::verdict::Verdict;
use crate::time::order::Clip;
use crate::time::ties::Fitted;

/// A time in the unit that suits it: `12 ms`, `0.4 ms`, `1.25 s`.
pub fn in_time(seconds: f64) -> String {
    let millis = seconds * 1e3;
    let text = match millis.abs() {
        size if size >= 999.5 => format!("{seconds:.2} s"),
        size if size >= 9.95 => format!("{millis:.0} ms"),
        _ => format!("{millis:.1} ms"),
    };
    // Zero has no sign.
    if text.trim_start_matches(['-', '0', '.']).starts_with(' ') { text.replace('-', "") } else { text }
}

/// A probability in percent, with enough places that it is never rounded to certainty: `97.9 %`, `99.998 %`; beyond
/// that `more than 99.9999 %`.
pub fn percent(probability: f64) -> String {
    let doubt = probability.min(1.0 - probability);
    if doubt <= 0.0 && (probability == 0.0 || probability == 1.0) {
        return format!("{:.0} %", probability * 100.0);
    }
    if doubt < 1e-6 {
        return if probability > 0.5 { "more than 99.9999 %" } else { "less than 0.0001 %" }.to_owned();
    }
    // One place, and one more for each power of ten by which the doubt is below one percent.
    let places = if doubt < 0.01 { (-doubt.log10()).ceil() as usize - 1 } else { 1 };
    // Near certainty it is rounded toward doubt, so that a figure short of a standard does not read as the standard.
    // The 1e-6 absorbs the rounding of decimals.
    let scale = 10_f64.powi(places as i32);
    let percent = match probability * 100.0 {
        high if doubt < 0.02 && probability > 0.5 => (high * scale + 1e-6).floor() / scale,
        low if doubt < 0.02 => (low * scale - 1e-6).ceil() / scale,
        between => between,
    };
    let text = format!("{percent:.places$}");
    format!("{} %", text.trim_end_matches('0').trim_end_matches('.'))
}

/// Which of two named moments came first, and by how much: `control 12 ms before the foot`.
pub fn gap(first: &str, then: &str, gap_s: f64) -> String {
    match gap_s {
        gap if gap.abs() < 5e-5 => format!("{first} at the same time as {then}"),
        gap if gap > 0.0 => format!("{first} {} before {then}", in_time(gap)),
        gap => format!("{first} {} after {then}", in_time(-gap)),
    }
}

/// The order of two moments in one line: `control 12 ms before the foot, 97.9 %: not enough (the standard is 99 %)`.
/// The probability is that of `first` coming before `then` by more than `at_least_s`.
pub fn order(
    (first, then): (&str, &str),
    gap_s: f64,
    at_least_s: f64,
    verdict: Verdict,
    standard: f64,
) -> String {
    let Some(probability) = verdict.probability() else {
        return format!(
            "the marks of {first} and {then} contradict each other: no instant satisfies all of them"
        );
    };
    let told = match verdict {
        Verdict::Established { .. } => "established",
        Verdict::Refuted { .. } => "refuted",
        Verdict::Inconclusive { .. } => "not enough",
        Verdict::Contradiction => "a contradiction",
    };
    let fact = match (at_least_s, gap_s > 0.0) {
        (0.0, true) => percent(probability),
        (0.0, false) => format!("before it with {}", percent(probability)),
        (at_least, _) => format!("more than {} before with {}", in_time(at_least), percent(probability)),
    };
    format!("{}, {fact}: {told} (the standard is {})", gap(first, then, gap_s), percent(standard))
}

/// A clock that ties give, with standard errors:
/// `near side – high end: +0.412 s ± 8 ms from 2 ties, drift 3 ± 20 ppm`. The offset is how much later the second
/// camera's time is on the first one's clock, in the middle of the ties.
pub fn clock((root, name): (&str, &str), fitted: &Fitted) -> String {
    let sync = &fitted.sync;
    let clip = sync.on(Clip::default());
    // Adding 0.0 takes the sign from zero.
    let later_s = ((clip.common(sync.offset_at_s) - sync.offset_at_s) * 1e3).round() / 1e3 + 0.0;
    let drift_ppm = sync.drift_ppm.round() + 0.0;
    let count = fitted.ties.len().saturating_sub(sync.outliers.len());
    let ties = if count == 1 { "tie" } else { "ties" };
    format!(
        "{root} – {name}: {later_s:+.3} s ± {} from {count} {ties}, drift {drift_ppm:.0} ± {:.0} ppm",
        in_time(sync.offset_sigma_s),
        sync.drift_sigma_ppm
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn times_are_told_in_the_unit_that_suits_them() {
        for (seconds, told) in [
            (0.0124, "12 ms"),
            (0.000_42, "0.4 ms"),
            (-0.25, "-250 ms"),
            (1.254, "1.25 s"),
            (-0.000_01, "0.0 ms"),
            (0.9999, "1.00 s"),
        ] {
            assert_eq!(in_time(seconds), told);
        }
        assert_eq!(gap("control", "the foot", 0.012), "control 12 ms before the foot");
        assert_eq!(gap("control", "the foot", -0.5), "control 500 ms after the foot");
        assert_eq!(gap("control", "the foot", 0.0), "control at the same time as the foot");
    }

    #[test]
    fn an_order_is_told_in_one_line() {
        for (gap_s, at_least_s, probability, told) in [
            (0.012, 0.0, 0.979, "control 12 ms before the foot, 97.9 %: not enough (the standard is 99 %)"),
            (0.031, 0.0, 0.998, "control 31 ms before the foot, 99.8 %: established (the standard is 99 %)"),
            (
                -0.02,
                0.0,
                0.004,
                "control 20 ms after the foot, before it with 0.4 %: refuted (the standard is 99 %)",
            ),
            (
                0.48,
                0.5,
                0.1,
                "control 480 ms before the foot, more than 500 ms before with 10 %: not enough (the standard is 99 %)",
            ),
        ] {
            let verdict = Verdict::of(probability, 0.99);
            assert_eq!(order(("control", "the foot"), gap_s, at_least_s, verdict, 0.99), told);
        }
    }

    #[test]
    fn a_probability_is_never_rounded_to_certainty() {
        for (probability, told) in [
            (0.979, "97.9 %"),
            (0.99, "99 %"),
            (0.998, "99.8 %"),
            (0.989_96, "98.9 %"),
            (0.010_04, "1.1 %"),
            (0.01, "1 %"),
            (0.99998, "99.998 %"),
            (0.5, "50 %"),
            (0.9, "90 %"),
            (0.0004, "0.04 %"),
            (1.0 - 1e-9, "more than 99.9999 %"),
            (1e-9, "less than 0.0001 %"),
            (1.0, "100 %"),
            (0.0, "0 %"),
        ] {
            assert_eq!(percent(probability), told, "{probability}");
        }
    }
}
