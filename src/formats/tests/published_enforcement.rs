//! Published rulings on penalties, downs, spots, scores and the clock, run through the engine with the college book.
//!
//! The tables beside the translations are copies with the source of every row. A row is run, or it stands in
//! [`NOT_RUN`] with the reason; none is dropped. A translation keeps what is printed; where a row leaves a place open,
//! `chosen` says what was put there. The expected values are the printed ones, intermediate spots among them.

use formats::enforce::Asked;
use formats::enforce::result::Result as Enforced;
use rules::book::Book;
use rules::book::load::load;
use rules::book::shipped;
use serde::Deserialize;
use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};

const TABLES: [&str; 2] = [
    include_str!("../../../tests/published/ncaa-2016-17/enforcement.tsv"),
    include_str!("../../../tests/published/ncaa-2016-17/catch-line-goal.tsv"),
];

const TOPICS: [(&str, &str); 7] = [
    ("scrimmage", include_str!("../../../tests/published/ncaa-2016-17/scrimmage.json")),
    ("dead-ball", include_str!("../../../tests/published/ncaa-2016-17/dead-ball.json")),
    ("tries", include_str!("../../../tests/published/ncaa-2016-17/tries.json")),
    (
        "changes-of-possession",
        include_str!("../../../tests/published/ncaa-2016-17/changes-of-possession.json"),
    ),
    ("kicks", include_str!("../../../tests/published/ncaa-2016-17/kicks.json")),
    ("clock", include_str!("../../../tests/published/ncaa-2016-17/clock.json")),
    ("catch-line-goal", include_str!("../../../tests/published/ncaa-2016-17/catch-line-goal.json")),
];

/// Further approved rulings of the same edition, by their printed numbers, and rulings of the replay case book that the
/// table `replay.tsv` cites; places that are not printed are chosen.
const FURTHER: [(&str, &str); 7] = [
    ("dead earlier", include_str!("../../../tests/published/ncaa-2016-17/further/dead-earlier.json")),
    (
        "periods and clock",
        include_str!("../../../tests/published/ncaa-2016-17/further/periods-and-clock.json"),
    ),
    ("kicks", include_str!("../../../tests/published/ncaa-2016-17/further/kicks.json")),
    ("passes", include_str!("../../../tests/published/ncaa-2016-17/further/passes.json")),
    ("scoring", include_str!("../../../tests/published/ncaa-2016-17/further/scoring.json")),
    ("conduct", include_str!("../../../tests/published/ncaa-2016-17/further/conduct.json")),
    ("enforcement", include_str!("../../../tests/published/ncaa-2016-17/further/enforcement.json")),
];

/// Rulings on what comes after a play: a try, a half that is over, overtime.
const BETWEEN: [(&str, &str); 1] =
    [("between plays", include_str!("../../../tests/published/ncaa-2016-17/further/between-plays.json"))];

const OTHER_CODE: &str = "another code than this book's";
const LATER: &str = "a later edition than this book's";
const FACT: &str = "a question of fact, with no spot, down, score or clock in its answer";

/// Rows that are not run, with the reason.
const NOT_RUN: [(&str, &str); 18] = [
    ("NFLdeck-1a", OTHER_CODE),
    ("NFLdeck-1b", OTHER_CODE),
    ("NFLdeck-3", OTHER_CODE),
    ("NFL-catch", OTHER_CODE),
    ("ANEFO-4", OTHER_CODE),
    ("ANEFO-5", OTHER_CODE),
    ("SB20-1", LATER),
    ("SB21-1", LATER),
    ("6-5-4-Ia-new", LATER),
    ("SDC-catch", FACT),
    ("AR-2-19-2-I", FACT),
    ("AR-3-3-1-III", FACT),
    ("AR-4-1-3-Ic", FACT),
    ("AR-6-4-1-IV", FACT),
    ("AR-7-3-5-I", FACT),
    ("AR-7-3-6-II", FACT),
    ("AR-7-3-6-VIIIa", FACT),
    ("AR-7-3-9-III", FACT),
];

/// One row as `enforce` takes it.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Translated {
    /// As printed; what follows a space tells branches of one row apart.
    id: String,
    #[serde(default)]
    source: Option<String>,
    #[serde(default)]
    chosen: Option<String>,
    asked: Asked,
    expect: BTreeMap<String, Value>,
}

fn college() -> Book {
    let sources = shipped::sources("college").expect("the book is inside the program");
    load("college", &sources).expect("the book is sound")
}

fn rows() -> BTreeMap<&'static str, BTreeMap<&'static str, &'static str>> {
    let mut rows = BTreeMap::new();
    for table in TABLES {
        let mut lines = table.lines();
        let header: Vec<&str> = lines.next().expect("a header").split('\t').collect();
        for line in lines.filter(|line| !line.is_empty()) {
            let row: BTreeMap<_, _> = header.iter().copied().zip(line.split('\t')).collect();
            assert!(rows.insert(row["id"], row).is_none(), "an id stands once");
        }
    }
    rows
}

// PROPERTY: published rulings on fouls, scores and the clock
#[test]
fn the_engine_agrees_with_every_published_ruling_that_can_be_run() {
    let (book, rows) = (college(), rows());
    let mut run = BTreeSet::new();
    let mut wrong = Vec::new();
    for (topic, text) in TOPICS {
        let translated: Vec<Translated> =
            serde_json::from_str(text).unwrap_or_else(|error| panic!("{topic}: {error}"));
        for one in translated {
            let id = one.id.split(' ').next().expect("an id");
            let row = rows.get(id).unwrap_or_else(|| panic!("no row {id}"));
            assert_eq!(one.source.as_deref(), Some(row["source"]), "{id}");
            assert!(one.chosen.as_ref().is_none_or(|chosen| !chosen.is_empty()), "{id}");
            run.insert(id.to_owned());
            wrong.extend(differences(&book, &one).into_iter().map(|line| format!("{topic} {line}")));
        }
    }
    let not_run: BTreeMap<&str, &str> = NOT_RUN.into_iter().collect();
    for (id, reason) in &not_run {
        assert!(rows.contains_key(id), "{id} is no row");
        assert!(!run.contains(*id), "{id} is run, and listed as not run");
        println!("not run: {id}: {reason}");
    }
    let missing: Vec<&&str> =
        rows.keys().filter(|id| !run.contains(**id) && !not_run.contains_key(**id)).collect();
    println!("{} of {} published rows run, {} not", run.len(), rows.len(), not_run.len());
    assert!(missing.is_empty(), "neither run nor listed: {missing:?}");
    assert!(wrong.is_empty(), "{}\n{} differ", wrong.join("\n"), wrong.len());
}

#[test]
fn the_engine_agrees_with_rulings_on_what_comes_after_a_play() {
    let book = college();
    let mut wrong = Vec::new();
    for (_, text) in BETWEEN {
        let translated: Vec<Translated> = serde_json::from_str(text).expect("rulings");
        wrong.extend(translated.iter().flat_map(|one| differences(&book, one)));
    }
    assert!(wrong.is_empty(), "{}\n{} differ", wrong.join("\n"), wrong.len());
}

// PROPERTY: further published rulings of the edition
#[test]
fn the_engine_agrees_with_further_rulings_of_the_edition() {
    let book = college();
    let mut run = BTreeSet::new();
    let mut wrong = Vec::new();
    for (topic, text) in FURTHER {
        let translated: Vec<Translated> =
            serde_json::from_str(text).unwrap_or_else(|error| panic!("{topic}: {error}"));
        for one in translated {
            assert!(!one.id.is_empty() && run.insert(one.id.clone()), "{}", one.id);
            wrong.extend(differences(&book, &one).into_iter().map(|line| format!("{topic} {line}")));
        }
    }
    println!("{} further rulings run", run.len());
    assert!(wrong.is_empty(), "{}\n{} differ", wrong.join("\n"), wrong.len());
}

/// Where the engine's answer is not the expected one.
fn differences(book: &Book, one: &Translated) -> Vec<String> {
    let read = one.asked.read(book).unwrap_or_else(|error| panic!("{}: {error}", one.id));
    let result = Enforced::of(book, &read, &read.ruling(book));
    let found = serde_json::to_value(&result).expect("a result is plain");
    let mut lines = Vec::new();
    for (name, expected) in &one.expect {
        compare(name, expected, found.get(name).unwrap_or(&Value::Null), &mut lines);
    }
    lines.into_iter().map(|line| format!("{}: {line}", one.id)).collect()
}

/// What is expected must be found; what is not mentioned may be anything. Options are named by their choice.
fn compare(path: &str, expected: &Value, found: &Value, lines: &mut Vec<String>) {
    match (expected, found) {
        (Value::Object(expected), Value::Array(options)) => {
            for (choice, expected) in expected {
                let option = options.iter().find(|option| option["choice"] == choice.as_str());
                let path = format!("{path}[{choice}]");
                match (option, expected) {
                    (None, Value::Null) => {}
                    (Some(_), Value::Null) => lines.push(format!("{path} is a choice")),
                    (Some(option), expected) => compare(&path, expected, option, lines),
                    (None, _) => {
                        let known: Vec<_> = options.iter().map(|option| option["choice"].clone()).collect();
                        lines.push(format!("{path} is no choice among {known:?}"));
                    }
                }
            }
        }
        (Value::Object(expected), _) => {
            for (name, expected) in expected {
                compare(&format!("{path}.{name}"), expected, found.get(name).unwrap_or(&Value::Null), lines);
            }
        }
        (Value::Array(expected), Value::Array(list)) if expected.len() == list.len() => {
            for (number, (expected, found)) in expected.iter().zip(list).enumerate() {
                compare(&format!("{path}[{number}]"), expected, found, lines);
            }
        }
        (Value::Number(one), Value::Number(other)) if one.as_f64() == other.as_f64() => {}
        _ if expected == found => {}
        _ => lines.push(format!("{path}: expected {expected}, found {found}")),
    }
}
