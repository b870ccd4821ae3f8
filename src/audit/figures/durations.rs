//! Durations as a table: `seconds,cut_short`, one review a row.

use crate::Error;
use crate::stats::survival::Duration;
use formats::record::times::MOST_S;
use std::io::Read;

/// The durations of a table.
///
/// # Errors
/// [`Error::Table`] or [`Error::Line`].
pub fn read(from: impl Read) -> Result<Vec<Duration>, Error> {
    let mut table = csv::ReaderBuilder::new().trim(csv::Trim::All).from_reader(from);
    let header = table.headers()?.clone();
    let column = |name: &str| header.iter().position(|column| column == name);
    let wanted = || Error::Line { line: 1, message: "a header is wanted: `seconds,cut_short`".to_owned() };
    let seconds = column("seconds").ok_or_else(wanted)?;
    let cut_short = column("cut_short");
    if header.len() > 1 && cut_short.is_none() {
        return Err(wanted());
    }
    let mut durations = Vec::new();
    for row in table.records() {
        let row = row?;
        let line = row.position().map_or(0, csv::Position::line);
        let cell = |at: usize| row.get(at).unwrap_or("");
        let read = cell(seconds).parse::<f64>().ok().filter(|value| (0.0..=MOST_S).contains(value));
        let seconds = read.ok_or_else(|| Error::Line {
            line,
            message: format!(
                "`{}` is not a duration: seconds such as 61.5, not negative, {MOST_S:e} at most",
                cell(seconds)
            ),
        })?;
        let censored = match cut_short.map_or("", cell) {
            "true" | "True" | "TRUE" | "1" => true,
            "false" | "False" | "FALSE" | "0" | "" => false,
            other => {
                let message = format!("`{other}` does not say whether it was cut short: true or false");
                return Err(Error::Line { line, message });
            }
        };
        durations.push(Duration { seconds, censored });
    }
    Ok(durations)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_table_of_durations_is_read() {
        let read = read("seconds,cut_short\n61.5,false\n 20 ,1\n0,\n".as_bytes()).expect("durations");
        let read: Vec<_> = read.iter().map(|duration| (duration.seconds, duration.censored)).collect();
        assert_eq!(read, [(61.5, false), (20.0, true), (0.0, false)]);
        assert!(super::read("seconds,cut_short\n".as_bytes()).expect("none").is_empty());
    }

    #[test]
    fn what_is_no_duration_is_refused_with_its_line() {
        for (text, part) in [
            ("", "line 1: a header is wanted"),
            ("time,cut_short\n1,0\n", "line 1: a header is wanted"),
            ("seconds,cut_short\n1,0\n-1,0\n", "line 3: `-1` is not a duration"),
            ("seconds,cut_short\nNaN,0\n", "line 2: `NaN` is not a duration"),
            ("seconds,cut_short\n1e300,0\n", "line 2: `1e300` is not a duration"),
            ("seconds,cut_short\ninf,0\n", "line 2: `inf` is not a duration"),
            ("seconds,cut_short\n1,perhaps\n", "line 2: `perhaps` does not say"),
            ("seconds,cut_short\n1\n", "line: 2"),
        ] {
            let fault = read(text.as_bytes()).expect_err(text).to_string();
            assert!(fault.contains(part), "{fault}");
        }
    }
}
