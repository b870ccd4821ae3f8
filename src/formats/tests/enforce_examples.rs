//! The examples of `docs/enforce.md`, run: what the page shows is what comes out, and both keep to their schemas.

use formats::enforce::Asked;
use formats::enforce::result::Result as Enforced;
use formats::read::{Form, read};
use formats::schema::schema;
use rules::book::load::load;
use rules::book::shipped;
use serde_json::Value;

const PAGE: &str = include_str!("../../../docs/enforce.md");

/// The texts of the blocks that are marked so.
fn blocks(mark: &str) -> Vec<&'static str> {
    let open = format!("```json {mark}\n");
    PAGE.split(open.as_str()).skip(1).filter_map(|rest| rest.split("```").next()).collect()
}

/// Every field shown is found; what is not shown may be anything.
fn shown(shows: &Value, found: &Value) -> bool {
    match (shows, found) {
        (Value::Object(shows), Value::Object(found)) => {
            shows.iter().all(|(name, value)| found.get(name).is_some_and(|found| shown(value, found)))
        }
        (Value::Array(shows), Value::Array(found)) => {
            shows.len() == found.len() && shows.iter().zip(found).all(|(one, other)| shown(one, other))
        }
        (Value::Number(one), Value::Number(other)) => one.as_f64() == other.as_f64(),
        _ => shows == found,
    }
}

#[test]
fn the_ten_examples_of_the_page_on_enforcing_are_true() {
    let sources = shipped::sources("college").expect("the book is inside the program");
    let book = load("college", &sources).expect("the book is sound");
    let validator = |kind: &str| {
        let schema = serde_json::to_value(schema(kind).expect("a kind")).expect("a schema is JSON");
        jsonschema::validator_for(&schema).expect("a schema")
    };
    let (input, output) = (validator("enforce"), validator("enforce-result"));
    let (asked, results) = (blocks("enforce"), blocks("result"));
    assert_eq!((asked.len(), results.len()), (10, 10));
    for (text, result) in asked.into_iter().zip(results) {
        let given: Value = serde_json::from_str(text).expect("the input is JSON");
        assert!(input.is_valid(&given), "{text}");
        let asked: Asked = read(text, Form::Json).expect("the input can be read");
        let read = asked.read(&book).expect("its names are the book's");
        let found = Enforced::of(&book, &read, &read.ruling(&book));
        let found = serde_json::to_value(found).expect("a result is plain");
        assert!(output.is_valid(&found), "{found}");
        let shows: Value = serde_json::from_str(result).expect("the result is JSON");
        assert!(shown(&shows, &found), "shown: {shows}\nfound: {found}");
    }
}

#[test]
fn the_page_names_every_penalty_of_the_college_book() {
    let sources = shipped::sources("college").expect("the book is inside the program");
    let book = load("college", &sources).expect("the book is sound");
    let words = PAGE.split_whitespace().collect::<Vec<_>>().join(" ");
    let missing: Vec<&String> =
        book.penalties.keys().filter(|name| !words.contains(&format!("`{name}`"))).collect();
    assert!(missing.is_empty(), "{missing:?}");
}

#[test]
fn what_cannot_be_enforced_is_refused_with_the_reason() {
    let sources = shipped::sources("college").expect("the book is inside the program");
    let book = load("college", &sources).expect("the book is sound");
    let sound = blocks("enforce")[0];
    for (from, to, says) in [
        ("\"offside\"", "\"ofside\"", "there is no"),
        ("\"to\": 43", "\"to\": 143", "not on the field"),
        ("\"clock_s\": 594", "\"clock_s\": 700", "before the snap"),
        ("\"clock_s\": 594", "\"ended\": \"incomplete\"", "cannot end `incomplete` after a stage `run`"),
        ("\"clock_s\": 594", "\"dead_after\": 2", "dead after stage 2: the play has 1"),
        ("]}\n", "], \"choices\": {\"holding\": \"accept\"}}\n", "no foul `holding` in this play"),
        ("]}\n", "], \"choices\": {\"touch\": \"take\"}}\n", "no stage of the play has a `touch_spot`"),
        ("[{\"act\": \"run\", \"by\": \"offense\", \"to\": 43}]", "[]", "at least one stage"),
        ("{\"name\": \"offside\"", "{\"during\": 3, \"name\": \"offside\"", "no stage 3"),
        ("{\"name\": \"offside\"", "{\"name\": \"false start\"", "never a foul of the defense"),
        ("]}\n", "], \"choices\": {\"offside\": \"refuse\"}}\n", "`refuse` cannot be chosen here"),
    ] {
        let text = sound.replace(from, to);
        assert_ne!(text, sound, "{from}");
        let asked: Asked = read(&text, Form::Json).expect("it can be read");
        let error = asked.read(&book).expect_err(&text).to_string();
        let says = if says == "there is no" { "the book has no penalty `ofside`" } else { says };
        assert!(error.contains(says), "{error}");
    }
}

/// League rule 1: over a side wall untouched, the receivers have it at midfield.
#[test]
fn a_free_kick_over_a_side_wall_goes_to_midfield_unless_somebody_touched_it() {
    let sources = shipped::sources("saltmarsh").expect("the book is inside the program");
    let book = load("saltmarsh", &sources).expect("the book is sound");
    for (touched, spot) in [(false, 25.0), (true, 10.0)] {
        let text = format!(
            "{{\"situation\": {{\"period\": 1, \"clock_s\": 600, \"clock_running\": false, \"next\": \"free kick\", \
             \"offense\": \"home\", \"spot\": 0, \"score\": {{\"home\": 0, \"away\": 0}}, \
             \"timeouts\": {{\"home\": 3, \"away\": 3}}, \
             \"challenges\": {{\"home\": {{\"used\": 0, \"won\": 0}}, \"away\": {{\"used\": 0, \"won\": 0}}}}}}, \
             \"play\": {{\"stages\": [{{\"act\": \"kick\", \"by\": \"offense\", \"to\": 40, \"touched\": {touched}}}], \
             \"ended\": \"out of bounds\"}}}}"
        );
        let asked: Asked = read(&text, Form::Json).expect("it can be read");
        let read = asked.read(&book).expect("it is sound");
        let found = Enforced::of(&book, &read, &read.ruling(&book));
        let found = serde_json::to_value(found.after).expect("a result is plain");
        assert_eq!(found["spot"].as_f64(), Some(spot), "touched {touched}");
        assert_eq!(found["offense"], "away");
    }
}
