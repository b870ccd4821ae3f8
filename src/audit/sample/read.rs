//! Reading records by the million into a sample.

use crate::sample::Sample;
use crate::sample::row::{Reader, Row};
use formats::record::Record;
use log::exchange::blocks;
use log::exchange::jsonl::Error;
use std::io::Read;

/// Reads all records of `file` into a sample; `progress` is called now and then with the number so far.
///
/// # Errors
/// [`Error`] if the file cannot be read, or with the lines that are no records.
pub fn json_lines(
    sample: &mut Sample,
    file: &str,
    from: impl Read + Send,
    progress: impl Fn(usize) + Sync,
) -> Result<(), Error> {
    let take = |reader: &mut Reader, rows: &mut Vec<Row>, line: &str| {
        rows.push(reader.row(line)?);
        Ok(())
    };
    let shares = blocks::read(file, from, Vec::with_capacity, take, progress)?;
    sample.add(shares.into_iter().map(|share| (share.carried.interner, share.came)).collect());
    Ok(())
}

/// Adds records that are in memory already.
///
/// # Errors
/// A record cannot be written as JSON: none that was read.
pub fn records(sample: &mut Sample, records: &[Record]) -> Result<(), serde_json::Error> {
    let (mut reader, mut rows) = (Reader::default(), Vec::with_capacity(records.len()));
    for record in records {
        rows.push(reader.row(&serde_json::to_string(record)?)?);
    }
    sample.add(vec![(reader.interner, vec![(1, rows)])]);
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    const GOOD: &str = r#"{"id":"N","edition":"ab","tree":"t","call":"c","answers":{"s":"yes"},"outcome":"stands","called_at":"2026-05-09T19:42:11.204Z","duration_s":61.0}"#;

    fn read(text: &str) -> Result<Sample, String> {
        let mut sample = Sample::default();
        json_lines(&mut sample, "week3.jsonl", text.as_bytes(), |_| {}).map_err(|error| error.to_string())?;
        Ok(sample)
    }

    #[test]
    fn many_blocks_give_every_record_in_order_and_names_by_their_texts() {
        let padding = "x".repeat(2_000);
        let line = |at: usize| {
            let book = format!(r#""book":"b{:03}","id":"{at}""#, at / 7);
            GOOD.replace(r#""id":"N""#, &book).replace("yes", &padding)
        };
        let text: Vec<String> = (0..6_000).map(line).collect();
        let sample = read(&text.join("\n")).expect("records");
        let in_order = sample.rows.iter().enumerate().all(|(at, row)| row.id().parse() == Ok(at));
        assert!(sample.rows.len() == 6_000 && in_order);
        assert!(sample.rows.iter().is_sorted_by_key(|row| row.book));
    }

    #[test]
    fn a_bad_line_is_told_with_its_number_and_field() {
        let bad = GOOD.replace("61.0", "\"a minute\"");
        let fault = read(&format!("{GOOD}\n\n{bad}\n{GOOD}")).expect_err("a bad line");
        assert_eq!(
            fault,
            "week3.jsonl:3: field `duration_s`: a number must stand here, not the text `a minute`"
        );
    }

    #[test]
    fn a_field_that_comes_twice_is_told_with_its_name() {
        for field in ["id", "duration_s", "answers"] {
            let twice = GOOD.replace(r#","outcome""#, &format!(r#","{field}":{},"outcome""#, value(field)));
            let fault = read(&twice).expect_err("a field comes twice");
            assert_eq!(fault, format!("week3.jsonl:1: field `{field}`: it comes twice"));
        }
    }

    fn value(field: &str) -> serde_json::Value {
        let record: serde_json::Value = serde_json::from_str(GOOD).expect("JSON");
        record[field].clone()
    }
}
