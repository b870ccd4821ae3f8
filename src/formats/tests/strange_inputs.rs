//! Strange inputs, and the exact words with which each is refused or its oddity said.
//!
//! A file of `tests/strange-inputs` begins with `COMMAND FORM BOOK` and a sound input, up to `====`. Each row is a title,
//! what is changed in that input (`-` for what stands there once, `+` for what is written instead; `=` for a whole
//! other input), and behind `>` what is said. `{U+202E}` stands for a sign, `{x*500}` for one repeated.
//! `TELLFRAME_ACCEPT=1` writes what is said; read it.

use formats::case::CasePlay;
use formats::case::expect::differences;
use formats::case::result::Result as CaseResult;
use formats::error::Error;
use formats::read::{Form, Written, written, written_list};
use formats::situation::Situation;
use formats::{enforce, measure, order, settle};
use review::case::play;
use rules::book::load::load;
use rules::book::{Book, shipped};
use serde::de::DeserializeOwned;
use std::collections::BTreeSet;
use std::fmt::Write as _;
use std::fs;
use std::path::{Path, PathBuf};

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../tests/strange-inputs")
}

fn book(name: &str) -> Book {
    let sources = shipped::sources(name).unwrap_or_else(|| panic!("there is a book {name}"));
    load(name, &sources).expect("the book is sound")
}

/// What a command says of an input: its fault, or its notes and that it was taken.
fn said(command: &str, form: Form, book: Option<&Book>, text: &str) -> String {
    match answer(command, form, book, text) {
        Ok(lines) => lines.into_iter().chain(["taken".to_owned()]).collect::<Vec<_>>().join("\n"),
        Err(error) => {
            let help = error.help.as_ref().map_or(String::new(), |help| format!("\nhelp: {help}"));
            format!("error: {error}{help}")
        }
    }
}

fn one<T: DeserializeOwned, R>(
    text: &str,
    form: Form,
    read: impl Fn(&T) -> Result<R, Error>,
) -> Result<(Written<T>, R), Error> {
    let input: Written<T> = written(text, form)?;
    let found = read(&input.value).map_err(|error| input.placed(error))?;
    Ok((input, found))
}

fn notes(notes: Vec<String>) -> Vec<String> {
    notes.into_iter().map(|note| format!("note: {note}")).collect()
}

fn answer(command: &str, form: Form, book: Option<&Book>, text: &str) -> Result<Vec<String>, Error> {
    let book = || book.expect("the command takes a book");
    match command {
        "enforce" => {
            let (_, read) = one(text, form, |asked: &enforce::Asked| asked.read(book()))?;
            Ok(notes(read.notes(&read.ruling(book()))))
        }
        "line" => {
            let read =
                |situation: &Situation| situation.under(book()).map_err(|error| error.out_of("situation"));
            one(text, form, read).map(|(input, _)| notes(input.value.notes(book())))
        }
        "settle" => {
            one(text, form, |asked: &settle::Asked| asked.read(book()).map(|_| ())).map(|_| Vec::new())
        }
        "order" => one(text, form, |asked: &order::Asked| asked.read()?.between()).map(|_| Vec::new()),
        "measure" => one(text, form, measured).map(|_| Vec::new()),
        "case" => {
            let input: Written<Vec<CasePlay>> = written_list(text, form)?;
            let mut lines = Vec::new();
            for (index, case) in input.value.iter().enumerate() {
                let read = case.read(book()).map_err(|error| input.placed(error.item(index)))?;
                let played = play(book(), &read).expect("every name was found");
                let result = CaseResult::of(book(), &read, &played);
                lines.extend(differences(&case.expect, &result));
                lines.extend(result.open.iter().map(|open| format!("open: {open}")));
                lines.extend(notes(case.notes(book())));
            }
            Ok(lines)
        }
        other => panic!("there is no command `{other}`"),
    }
}

fn measured(asked: &measure::Asked) -> Result<(), Error> {
    asked.standard()?;
    asked.lines()?;
    asked.clicks()?;
    asked.calibrated().map(|_| ())
}

/// A text with its `{U+202E}`, `{x*500}` and `{<some text>*20}` written out.
fn written_out(text: &str) -> String {
    let mut all = String::new();
    let mut rest = text;
    while let Some((before, after)) = rest.split_once('{') {
        all.push_str(before);
        if let Some((text, (count, after))) = after
            .strip_prefix('<')
            .and_then(|after| after.split_once(">*"))
            .and_then(|(text, after)| Some((text, after.split_once('}')?)))
        {
            all.push_str(&text.repeat(count.parse().expect("how often it stands there")));
            rest = after;
            continue;
        }
        let token = after.split_once('}').and_then(|(token, after)| Some((sign(token)?, after)));
        match token {
            Some((signs, after)) => {
                all.push_str(&signs);
                rest = after;
            }
            None => {
                all.push('{');
                rest = after;
            }
        }
    }
    all + rest
}

fn sign(token: &str) -> Option<String> {
    if let Some(hex) = token.strip_prefix("U+") {
        return char::from_u32(u32::from_str_radix(hex, 16).ok()?).map(String::from);
    }
    let (text, count) = token.split_once('*').filter(|(text, _)| text.chars().count() < 4)?;
    Some(text.repeat(count.parse().ok()?))
}

/// The input of a row, and its lines without what is said.
fn input(base: &str, row: &str, file: &str) -> (String, String) {
    let (mut text, mut was, mut whole) = (base.to_owned(), None, Vec::new());
    let mut lines = String::new();
    for line in row.lines().filter(|line| !line.starts_with('>')) {
        writeln!(lines, "{line}").expect("a string takes every text");
        match line.split_at(line.len().min(1)) {
            ("-", old) => was = Some(old.trim_start()),
            ("+", new) => {
                let old = was.take().unwrap_or_else(|| panic!("{file}: nothing goes before `{new}`"));
                assert_eq!(text.matches(old).count(), 1, "{file}: `{old}` stands there once");
                text = text.replace(old, new.trim_start());
            }
            ("=", new) => whole.push(new.strip_prefix(' ').unwrap_or(new)),
            _ => {}
        }
    }
    let text = if whole.is_empty() { text } else { whole.join("\n") };
    (written_out(&text), lines)
}

// PROPERTY: what cannot be meant is refused, with its place and what may stand there
#[test]
fn every_strange_input_is_refused_or_its_oddity_is_said() {
    let accept = std::env::var_os("TELLFRAME_ACCEPT").is_some();
    let (mut wrong, mut count, mut titles) = (String::new(), 0, BTreeSet::new());
    for entry in fs::read_dir(folder()).expect("the folder of strange inputs") {
        let path = entry.expect("a file").path();
        let file = path.display().to_string();
        let table = fs::read_to_string(&path).expect("a table");
        let (head, rows) = table.split_once("\n====\n").expect("a sound input before the rows");
        let (first, base) = head.split_once('\n').expect("a command before the input");
        let mut words = first.split_whitespace();
        let command = words.next().expect("a command");
        let form = if words.next() == Some("ron") { Form::Ron } else { Form::Json };
        let book = words.next().map(book);
        let sound = said(command, form, book.as_ref(), base);
        assert_eq!(sound, "taken", "{file}: the input before the rows is sound");
        let mut accepted = format!("{head}\n====\n");
        for row in rows.split("\n\n").map(str::trim).filter(|row| !row.is_empty()) {
            count += 1;
            let (text, lines) = input(base, row, &file);
            assert!(titles.insert((file.clone(), lines.clone())), "{file}: a row stands once: {lines}");
            let said = said(command, form, book.as_ref(), &text);
            let expected: Vec<&str> = row
                .lines()
                .filter_map(|line| line.strip_prefix('>').map(|line| line.strip_prefix(' ').unwrap_or(line)))
                .collect();
            if said != expected.join("\n") || said == "taken" {
                writeln!(wrong, "{file}\n{lines}{said}\n").expect("a string");
            }
            let quoted: Vec<String> = said.lines().map(|line| format!("> {line}")).collect();
            write!(accepted, "{lines}{}\n\n", quoted.join("\n")).expect("a string");
        }
        if accept {
            fs::write(&path, accepted.trim_end().to_owned() + "\n").expect("written");
        }
    }
    assert!(wrong.is_empty(), "{wrong}");
    assert!(count >= 200, "{count} strange inputs");
}

#[test]
fn nothing_that_is_said_speaks_of_the_programs_inside() {
    const INSIDE: [&str; 16] = [
        "u8",
        "u16",
        "u32",
        "u64",
        "i64",
        "f64",
        "usize",
        "struct",
        "enum",
        "EOF",
        "invalid type",
        "Option",
        "serde",
        "variant",
        "expected one of",
        "Vec",
    ];
    for entry in fs::read_dir(folder()).expect("the folder of strange inputs") {
        let table = fs::read_to_string(entry.expect("a file").path()).expect("a table");
        for line in table.lines().filter(|line| line.starts_with('>')) {
            let inside =
                INSIDE.iter().find(|word| line.split(|c: char| !c.is_alphanumeric()).any(|w| w == **word));
            assert!(inside.is_none(), "{line}");
            assert!(!line.chars().any(char::is_control), "{line}");
            assert!(line.chars().count() < 600, "{line}");
        }
    }
}
