//! Times and probabilities as a person reads them.

/// A time in the unit that suits it: `12 ms`, `0.4 ms`, `1.25 s`.
pub fn in_time(seconds: f64) -> String {
    let millis = seconds * 1e3;
    let text = match millis.abs() {
        size if size >= 999.5 => format!("{seconds:.2} s"),
        size if size >= 9.95 => format!("{millis:.0} ms"),
        _ => format!("{millis:.1} ms"),
    };
    // A rounded nothing has no sign.
    if text.trim_start_matches(['-', '0', '.']).starts_with(' ') { text.replace('-', "") } else { text }
}

/// A probability in percent, with so many places that it is never rounded to certainty: `97.9 %`, `99.998 %`; beyond
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
    let text = format!("{:.places$}", probability * 100.0);
    format!("{} %", text.trim_end_matches('0').trim_end_matches('.'))
}

/// Which of two named moments came first, and by how much: `control 12 ms before the foot`.
pub fn gap(first: &str, then: &str, gap_s: f64) -> String {
    match gap_s {
        gap if gap.abs() < 5e-5 => format!("{first} together with {then}"),
        gap if gap > 0.0 => format!("{first} {} before {then}", in_time(gap)),
        gap => format!("{first} {} after {then}", in_time(-gap)),
    }
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
        assert_eq!(gap("control", "the foot", 0.0), "control together with the foot");
    }

    #[test]
    fn a_probability_is_never_rounded_to_certainty() {
        for (probability, told) in [
            (0.979, "97.9 %"),
            (0.99, "99 %"),
            (0.998, "99.8 %"),
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
