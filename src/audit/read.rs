//! Reading records by the million: JSON Lines in blocks, every block on its own core.
//!
//! No more than a few blocks are in memory at a time, whatever the length of the file. A line that is no record is
//! told in the words of `log::jsonl`, with its number.

use crate::audit::names::Names;
use crate::audit::row::Row;
use crate::audit::sample::Sample;
use crate::log::jsonl::{self, Error, Fault};
use crate::wire::record::Record;
use rayon::prelude::*;
use std::io::{BufRead, Read};

/// How much is read before the next core gets something to do.
const BLOCK: usize = 4 << 20;
/// A record longer than this is none: it would have to be kept whole.
const LONGEST_LINE: usize = 64 << 20;
/// So many faults are told; the rest is counted.
const TOLD: usize = 100;

/// Lines of a file.
struct Block {
    /// The number of the first one, from 1.
    first: usize,
    bytes: Vec<u8>,
}

/// What came of a block.
struct Came {
    names: Names,
    rows: Vec<Row>,
    faults: Vec<Fault>,
}

/// Reads all records of `file` into a sample; after every round `progress` is told how many there are.
///
/// # Errors
/// [`Error`] if the file cannot be read, or with the lines that are no records.
pub fn json_lines(
    sample: &mut Sample,
    file: &str,
    mut from: impl BufRead,
    mut progress: impl FnMut(usize),
) -> Result<(), Error> {
    let (mut left, mut line, mut faults) = (Vec::new(), 1, Vec::new());
    let at_once = rayon::current_num_threads().max(1) * 2;
    loop {
        let mut blocks = Vec::with_capacity(at_once);
        while blocks.len() < at_once {
            match block(&mut from, &mut left)
                .map_err(|source| Error::Read { file: file.to_owned(), source })?
            {
                Some(bytes) => {
                    let lines = bytes.iter().filter(|byte| **byte == b'\n').count();
                    blocks.push(Block { first: line, bytes });
                    line += lines;
                }
                None => break,
            }
        }
        if blocks.is_empty() {
            break;
        }
        let came: Vec<Came> = blocks.into_par_iter().map(|block| came(file, &block)).collect();
        for came in came {
            sample.take(&came.names, came.rows);
            faults.extend(came.faults);
        }
        progress(sample.rows.len());
    }
    if faults.is_empty() { Ok(()) } else { Err(Error::Lines(shortened(file, faults))) }
}

/// Takes over records that were read otherwise.
///
/// # Errors
/// What serde says of a record that cannot be written as JSON, which no record that was read is.
pub fn records(sample: &mut Sample, records: &[Record]) -> Result<(), serde_json::Error> {
    let (mut names, mut rows) = (Names::default(), Vec::with_capacity(records.len()));
    for record in records {
        rows.push(Row::read(&serde_json::to_vec(record)?, &mut names)?);
    }
    sample.take(&names, rows);
    Ok(())
}

/// The next whole lines, about a block long; what comes after the last line end stays in `left`.
fn block(from: &mut impl BufRead, left: &mut Vec<u8>) -> std::io::Result<Option<Vec<u8>>> {
    let mut bytes = std::mem::take(left);
    loop {
        let read = from.by_ref().take(BLOCK as u64).read_to_end(&mut bytes)?;
        if read == 0 {
            return Ok((!bytes.is_empty()).then_some(bytes));
        }
        if let Some(end) = bytes.iter().rposition(|byte| *byte == b'\n') {
            *left = bytes.split_off(end + 1);
            return Ok(Some(bytes));
        }
        if bytes.len() > LONGEST_LINE {
            return Err(std::io::Error::other("a line is longer than any record"));
        }
    }
}

fn came(file: &str, block: &Block) -> Came {
    let mut came = Came { names: Names::default(), rows: Vec::new(), faults: Vec::new() };
    let bytes = if block.first == 1 { jsonl::unmarked(&block.bytes) } else { &block.bytes };
    for (place, line) in bytes.split(|byte| *byte == b'\n').enumerate() {
        if line.trim_ascii().is_empty() {
            continue;
        }
        match Row::read(line, &mut came.names) {
            Ok(row) => came.rows.push(row),
            Err(error) if came.faults.len() <= TOLD => {
                came.faults.extend(faults(file, block.first + place, line, &error));
            }
            Err(_) => {}
        }
    }
    came
}

/// What is wrong with a line, as a person is told who reads the same file with another command.
fn faults(file: &str, line: usize, bytes: &[u8], error: &serde_json::Error) -> Vec<Fault> {
    let found = match jsonl::read(file, bytes) {
        Err(Error::Lines(faults)) => faults,
        Ok(_) | Err(Error::Read { .. }) => {
            vec![Fault { file: file.to_owned(), line, field: None, message: error.to_string() }]
        }
    };
    found.into_iter().map(|fault| Fault { line, ..fault }).collect()
}

fn shortened(file: &str, mut faults: Vec<Fault>) -> Vec<Fault> {
    if faults.len() > TOLD {
        faults.truncate(TOLD);
        let line = faults.last().map_or(1, |fault| fault.line);
        let message = "and there is more like it further on".to_owned();
        faults.push(Fault { file: file.to_owned(), line, field: None, message });
    }
    faults
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
    fn many_blocks_give_every_record_in_order() {
        let padding = "x".repeat(2_000);
        let line = |at: usize| GOOD.replace('N', &format!("{at}")).replace("yes", &padding);
        let text: Vec<String> = (0..6_000).map(line).collect();
        let sample = read(&(text.join("\n\n") + "\n")).expect("records");
        let in_order = sample.rows.iter().enumerate().all(|(at, row)| row.id.parse() == Ok(at));
        assert!(sample.rows.len() == 6_000 && in_order);
    }

    #[test]
    fn a_bad_line_is_told_with_its_number_and_field() {
        let bad = GOOD.replace("61.0", "\"a minute\"");
        let fault = read(&format!("{GOOD}\n\n{bad}\n{GOOD}")).expect_err("a bad line");
        assert_eq!(
            fault,
            "week3.jsonl:3: field `duration_s`: invalid type: string \"a minute\", expected f64"
        );
        let many = read(&"[]\n".repeat(5_000)).expect_err("no records");
        assert_eq!(many.lines().count(), TOLD + 1);
    }

    #[test]
    fn a_byte_order_mark_and_returns_are_no_part_of_a_record() {
        let sample = read(&format!("\u{feff}{GOOD}\r\n\r\n{}\r\n", GOOD.replace('N', "M"))).expect("records");
        assert_eq!(sample.rows.len(), 2);
    }

    #[test]
    fn an_empty_file_has_no_records() {
        assert!(read("\n\n").expect("nothing wrong").rows.is_empty());
    }
}
