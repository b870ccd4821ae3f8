//! Records as JSON Lines: one record a line, in UTF-8, ended by a line feed.
//!
//! A file is read whole or refused, and a refusal names every bad line and field, so that a person fixes
//! it once.

use formats::error;
use formats::read::{Form, read as read_text};
use formats::record::Record;
use rules::shown::shown;
use serde_json::{Map, Value, json};
use std::fmt;
use std::io::{self, BufRead, Write};

/// One line that was read.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    /// From 1.
    pub number: usize,
    pub record: Record,
    /// The same as it was written, without what was left out.
    pub written: Value,
}

/// What is wrong with a line.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fault {
    /// The file, as the caller names it.
    pub file: String,
    /// From 1.
    pub line: usize,
    /// The field, where it is one field's fault.
    pub field: Option<String>,
    pub message: String,
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}:{}: ", self.file, self.line)?;
        match &self.field {
            Some(field) => write!(f, "field `{field}`: {}", self.message),
            None => f.write_str(&self.message),
        }
    }
}

/// Why a file was not read.
#[derive(Debug, thiserror::Error)]
pub enum Error {
    #[error("cannot read {file}")]
    Read { file: String, source: io::Error },
    #[error("{}", lines(.0))]
    Lines(Vec<Fault>),
}

fn lines(faults: &[Fault]) -> String {
    faults.iter().map(Fault::to_string).collect::<Vec<_>>().join("\n")
}

/// Reads all records of `file`; empty lines are skipped.
pub fn read(file: &str, mut from: impl BufRead) -> Result<Vec<Line>, Error> {
    let (mut read, mut faults) = (Vec::new(), Vec::new());
    let mut bytes = Vec::new();
    for number in 1.. {
        bytes.clear();
        let length = from.read_until(b'\n', &mut bytes);
        if length.map_err(|source| Error::Read { file: file.to_owned(), source })? == 0 {
            break;
        }
        let bytes = if number == 1 { unmarked(&bytes) } else { &bytes };
        if bytes.trim_ascii().is_empty() {
            continue;
        }
        match line(number, bytes) {
            Ok(line) => read.push(line),
            Err(found) => faults.extend(found.into_iter().map(|(field, message)| Fault {
                file: file.to_owned(),
                line: number,
                field,
                message,
            })),
        }
    }
    if faults.is_empty() { Ok(read) } else { Err(Error::Lines(faults)) }
}

/// The start of a file without the byte order mark that some programs put before UTF-8; RFC 8259, section 8.1, lets a
/// reader ignore it.
pub fn unmarked(start: &[u8]) -> &[u8] {
    start.strip_prefix("\u{feff}".as_bytes()).unwrap_or(start)
}

/// Writes `records`, a line each.
pub fn write<'a>(records: impl IntoIterator<Item = &'a Record>, mut to: impl Write) -> io::Result<()> {
    for record in records {
        serde_json::to_writer(&mut to, record)?;
        to.write_all(b"\n")?;
    }
    to.flush()
}

/// A field, if it is one's fault, and what is wrong.
type Finding = (Option<String>, String);

fn line(number: usize, bytes: &[u8]) -> Result<Line, Vec<Finding>> {
    let whole = |message: String| vec![(None, message)];
    let text = std::str::from_utf8(bytes).map_err(|_| whole("not UTF-8".to_owned()))?;
    let written: Value = serde_json::from_str(text).map_err(|e| whole(syntax(text, &e)))?;
    let Value::Object(fields) = &written else {
        return Err(whole("not a record: a line holds one object".to_owned()));
    };
    match serde_json::from_value(written.clone()) {
        Ok(record) => Ok(Line { number, record, written }),
        Err(e) => match bad_fields(fields) {
            found if found.is_empty() => Err(whole(in_words::<Record>(&written, &e))),
            found => Err(found),
        },
    }
}

/// serde does not always say which field is wrong. So every field is tried alone in a record that is otherwise good: the
/// types are stated once, in `formats::record`.
fn bad_fields(fields: &Map<String, Value>) -> Vec<Finding> {
    let good = json!({
        "id": "", "edition": "", "tree": "", "call": "", "answers": {}, "outcome": "stands",
        "called_at": "2026-05-09T19:42:11.204Z", "duration_s": 0
    });
    let Value::Object(good) = good else { return Vec::new() };
    let missing = good.keys().filter(|name| !fields.contains_key(*name));
    let missing = missing.map(|name| (Some(name.clone()), "is missing".to_owned()));
    let wrong = fields.iter().filter_map(|(name, value)| {
        let mut probe = good.clone();
        probe.insert(name.clone(), value.clone());
        let probe = Value::Object(probe);
        let fault = serde_json::from_value::<Record>(probe.clone()).err()?;
        Some((Some(shown(name).into_owned()), in_words::<Record>(&probe, &fault)))
    });
    missing.chain(wrong).collect()
}

/// What is wrong with a value that is not one of this type, as every reader here says it.
fn in_words<T: serde::de::DeserializeOwned>(value: &Value, fault: &serde_json::Error) -> String {
    match read_text::<T>(&value.to_string(), Form::Json) {
        Err(error) => said(&error),
        Ok(_) => fault.to_string(),
    }
}

fn said(error: &error::Error) -> String {
    match &error.help {
        Some(help) => format!("{}; {help}", error.message),
        None => error.message.clone(),
    }
}

/// A text is always one line here: only the column helps.
fn syntax(text: &str, fault: &serde_json::Error) -> String {
    match read_text::<Value>(text.trim_end(), Form::Json) {
        Err(error::Error { place: Some(place), message, .. }) => {
            format!("not JSON at column {}: {message}", place.column)
        }
        Err(_) | Ok(_) => format!("not JSON at column {}", fault.column()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const GOOD: &str = r#"{"id":"r-1","edition":"ab","tree":"t","call":"c","answers":{},"outcome":"stands","called_at":"2026-05-09T19:42:11.204Z","duration_s":61.0}"#;

    fn faults(text: &str) -> Vec<String> {
        match read("week3.jsonl", text.as_bytes()) {
            Err(Error::Lines(faults)) => faults.iter().map(Fault::to_string).collect(),
            other => panic!("{other:?}"),
        }
    }

    #[test]
    fn what_is_written_is_read_back() {
        let read_first = read("a", format!("{GOOD}\n\n{GOOD}").as_bytes()).expect("two records");
        assert_eq!(read_first.iter().map(|line| line.number).collect::<Vec<_>>(), [1, 3]);
        let records: Vec<_> = read_first.into_iter().map(|line| line.record).collect();
        let mut bytes = Vec::new();
        write(&records, &mut bytes).expect("memory");
        let again = read("b", bytes.as_slice()).expect("two records");
        assert_eq!(again.into_iter().map(|line| line.record).collect::<Vec<_>>(), records);
    }

    #[test]
    fn a_byte_order_mark_stands_before_the_first_line_only() {
        let marked = format!("\u{feff}{GOOD}\r\n{GOOD}");
        assert_eq!(read("a", marked.as_bytes()).expect("two records").len(), 2);
        let second = faults(&format!("{GOOD}\n\u{feff}{GOOD}"));
        assert_eq!(second, ["week3.jsonl:2: not JSON at column 1"]);
    }

    #[test]
    fn only_eight_fields_must_be_there() {
        assert_eq!(
            faults("{}"),
            ["answers", "call", "called_at", "duration_s", "edition", "id", "outcome", "tree"]
                .map(|name| format!("week3.jsonl:1: field `{name}`: is missing"))
        );
    }

    #[test]
    fn every_bad_field_of_every_bad_line_is_named() {
        let bad = GOOD
            .replace("61.0", "\"a minute\"")
            .replace("\"stands\"", "3")
            .replace("\"answers\":{}", "\"answers\":{\"toes\":3}")
            .replace("2026-05-09T19", "yesterday at 19");
        assert_eq!(
            faults(&format!("{GOOD}\n{bad}\n[1]\n{{\"id\": \n")),
            [
                "week3.jsonl:2: field `answers`: an answer, or a list of answers, must stand here, not the number 3",
                "week3.jsonl:2: field `called_at`: `yesterday at 19:42:11.204Z` is not an instant, \
                 e.g. 2026-05-09T19:42:11.204Z",
                "week3.jsonl:2: field `duration_s`: a number must stand here, not the text `a minute`",
                "week3.jsonl:2: field `outcome`: a text in double quotes must stand here, not the number 3",
                "week3.jsonl:3: not a record: a line holds one object",
                "week3.jsonl:4: not JSON at column 7: the text ends here, and a value is missing",
            ]
        );
    }
}
