//! The formats that outsiders rely on: the printed examples are read, and keep to their own schemas.

use formats::schema::schema;
use serde_json::{Value, json};

fn valid(kind: &str, value: &Value) -> Result<(), String> {
    let schema = serde_json::to_value(schema(kind).expect("a kind")).expect("a schema is JSON");
    let validator = jsonschema::validator_for(&schema).expect("a valid schema");
    let errors: Vec<String> = validator.iter_errors(value).map(|error| error.to_string()).collect();
    if errors.is_empty() { Ok(()) } else { Err(errors.join("; ")) }
}

fn situation() -> Value {
    json!({
        "period": 2, "clock_s": 281.3, "clock_running": true, "play_clock_s": 12,
        "next": "scrimmage", "offense": "home", "attacks": "east",
        "down": 4, "to_go": 1.5, "spot": 38.5,
        "score": {"home": 20, "away": 14},
        "timeouts": {"home": 2, "away": 3},
        "challenges": {"home": {"used": 1, "won": 1}, "away": {"used": 0, "won": 0}},
    })
}

// PROPERTY: formats keep to their printed schemas
#[test]
fn a_situation_keeps_to_its_schema_and_a_wrong_one_does_not() {
    assert_eq!(valid("situation", &situation()), Ok(()));
    for (field, wrong) in [
        ("period", json!("two")),
        ("offense", json!("Kites")),
        ("spot", json!([38.5])),
        ("score", json!({"home": 20})),
        ("next", json!("kickoff")),
    ] {
        let mut situation = situation();
        situation[field] = wrong;
        assert!(valid("situation", &situation).is_err(), "{field}");
    }
    let mut unknown = situation();
    unknown["downs"] = json!(4);
    assert!(valid("situation", &unknown).is_err(), "an unknown field");
}

#[test]
fn a_situation_is_written_as_it_was_read() {
    use formats::situation::Situation;
    for (to_go, spot) in [(json!(1.5), json!(38.5)), (json!("5/3"), json!("85/3")), (json!(10), json!(0.1))] {
        let mut written = situation();
        written["to_go"] = to_go;
        written["spot"] = spot;
        let read: Situation = serde_json::from_value(written.clone()).expect("a situation");
        let again = Situation::from(&read.read().expect("complete"));
        let back = serde_json::to_value(again).expect("JSON");
        assert_eq!(back["to_go"].to_string().parse::<f64>().ok(), written["to_go"].to_string().parse().ok());
        assert_eq!(back["spot"], written["spot"]);
        assert_eq!(valid("situation", &back), Ok(()));
    }
}

#[test]
fn answers_are_one_option_several_or_unclear() {
    let asked = json!({
        "tree": "catch-beyond-wall", "call": "incomplete", "whistle": null,
        "answers": {"control": "yes", "survives": "unclear", "crossing": ["complete", "touchdown"]},
    });
    assert_eq!(valid("settle", &asked), Ok(()));
    assert!(valid("settle", &json!({"tree": "x", "call": "y", "answers": {"control": 1}})).is_err());
}

/// Every field of a schema with what is said of it, by name.
fn fields(schema: &Value, found: &mut Vec<(String, bool)>) {
    match schema {
        Value::Object(all) => {
            for (name, property) in all.get("properties").and_then(Value::as_object).into_iter().flatten() {
                let word = all.get("description").is_some() && all.get("title").is_none();
                let said = property.get("description").is_some() || word;
                found.push((name.clone(), said));
            }
            all.values().for_each(|inner| fields(inner, found));
        }
        Value::Array(all) => all.iter().for_each(|inner| fields(inner, found)),
        Value::Null | Value::Bool(_) | Value::Number(_) | Value::String(_) => {}
    }
}

// PROPERTY: every field of a rule book is described, in its schema and on its page
#[test]
fn every_field_of_a_book_and_of_a_question_is_described_in_the_schema_and_on_the_page() {
    const PAGE: &str = include_str!("../../../docs/rule-books.md");
    let words: std::collections::BTreeSet<&str> =
        PAGE.split(|sign: char| !sign.is_alphanumeric() && sign != '_').collect();
    for kind in ["book", "tree"] {
        let schema = serde_json::to_value(schema(kind).expect("a kind")).expect("a schema is JSON");
        jsonschema::validator_for(&schema).expect("a valid schema");
        let mut found = Vec::new();
        fields(&schema, &mut found);
        assert!(found.len() > 40, "{kind} has {} fields", found.len());
        let silent: Vec<&String> = found.iter().filter(|(_, said)| !said).map(|(name, _)| name).collect();
        assert!(silent.is_empty(), "{kind}: {silent:?}");
        let missing: Vec<&String> =
            found.iter().map(|(name, _)| name).filter(|name| !words.contains(name.as_str())).collect();
        assert!(missing.is_empty(), "{kind}: {missing:?} are not on the page");
    }
}
