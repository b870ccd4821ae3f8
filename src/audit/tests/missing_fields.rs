//! A field of a record that is `null` is one that is not there, for every reader of records: the import, the audit and
//! re-judging. Which fields may be missing is what the record's own schema says.

use audit::rejudge::Facts;
use audit::sample::Sample;
use audit::sample::read::json_lines;
use formats::schema::schema;
use log::exchange::jsonl;
use serde_json::{Value, json};

/// formats.md: only these are required on import.
const REQUIRED: [&str; 8] =
    ["id", "edition", "tree", "call", "answers", "outcome", "called_at", "duration_s"];

/// The record of the formats page, with a value in every field.
fn whole() -> Value {
    json!({
        "id": "r-1/1", "review": "r-1", "engine": 1, "edition": "ab", "book": "saltmarsh", "game": "W03-QL-HK",
        "week": 3, "play": "Q2 4:41 4&1", "initiator": "coach-home", "official": "booth-07",
        "situation": {"period": 2, "clock_s": 281.3, "clock_running": true, "play_clock_s": 12, "next": "scrimmage",
            "offense": "home", "attacks": "west", "down": 4, "to_go": 1.5, "spot": 38.5,
            "score": {"home": 20, "away": 14}, "timeouts": {"home": 2, "away": 3},
            "challenges": {"home": {"used": 1, "won": 1}, "away": {"used": 0, "won": 0}}},
        "tree": "inside-line", "call": "foul", "whistle": "catch",
        "fouls": [{"name": "illegal alignment", "by": "defense", "spot": 40, "dead": true, "clock_s": 280.0}],
        "answers": {"toes": "no", "facing": ["no", "yes"]},
        "proofs": {"toes": {"kind": "position", "line": "alignment line", "x": 39.2, "sigma": 0.04, "attested": false,
            "verdict": "refuted", "probability": 0.001}},
        "marks": [{"moment": "snap", "camera": "B", "timecode": "00:41:17;22", "exact": true, "x": 38.5,
            "clock_s": 281.0, "still": "cd"}],
        "possible": ["foul"], "finding": "foul", "established": true, "changed": false, "outcome": "confirmed",
        "after": {"down": 1}, "moot": true, "won": false, "called_at": "2026-05-09T19:42:11.204Z",
        "phases_s": {"opened": 3.0, "settled": 44.0, "ruled": 52.3}, "duration_s": 61.0,
        "by_wall_clock": ["ruled"], "cut_short": true, "overrides": [{"what": "late", "reason": "the feed"}],
        "grade": "missed call", "crew_position": "umpire", "review_grade": "right", "plain": true, "again_of": "r-0/1"
    })
}

/// What the three readers make of a line, to be compared.
fn read(record: &Value) -> Result<[String; 3], String> {
    let line = record.to_string();
    let imported = jsonl::read("a", line.as_bytes()).map_err(|error| format!("import: {error}"))?;
    let imported: Vec<_> = imported.into_iter().map(|line| line.record).collect();
    let mut sample = Sample::default();
    json_lines(&mut sample, "a", line.as_bytes(), |_| {}).map_err(|error| format!("audit: {error}"))?;
    let facts: Facts = serde_json::from_str(&line).map_err(|error| format!("rejudge: {error}"))?;
    Ok([format!("{imported:?}"), format!("{:?}", sample.rows), format!("{facts:?}")])
}

/// Every place of an object inside a value, as a JSON pointer.
fn objects(value: &Value, at: &str, places: &mut Vec<String>) {
    match value {
        Value::Object(fields) => {
            places.push(at.to_owned());
            fields.iter().for_each(|(name, value)| objects(value, &format!("{at}/{name}"), places));
        }
        Value::Array(items) => {
            let items = items.iter().enumerate();
            items.for_each(|(index, item)| objects(item, &format!("{at}/{index}"), places));
        }
        Value::Null | Value::Bool(_) | Value::Number(_) | Value::String(_) => {}
    }
}

// PROPERTY: a field that is `null` is one that is missing, for every reader of records
#[test]
fn a_field_that_is_null_is_a_field_that_is_missing_for_every_reader() {
    let schema = serde_json::to_value(schema("record").expect("a kind")).expect("JSON");
    let validator = jsonschema::validator_for(&schema).expect("a valid schema");
    let all = schema["properties"].as_object().expect("fields");
    let record = whole();
    let present = read(&record).expect("a record");
    for name in all.keys().filter(|name| !REQUIRED.contains(&name.as_str())) {
        assert!(record.get(name).is_some(), "the record of this test lacks `{name}`");
        let (mut null, mut missing) = (record.clone(), record.clone());
        null[name] = Value::Null;
        missing.as_object_mut().expect("an object").remove(name);
        assert_eq!(read(&null), read(&missing), "{name}");
        assert_ne!(read(&missing), Ok(present.clone()), "nobody reads `{name}`");
        assert!(validator.is_valid(&null), "the schema refuses `{name}`: null");
    }
}

#[test]
fn so_it_is_inside_of_what_a_record_holds() {
    let record = whole();
    let mut places = Vec::new();
    objects(&record, "", &mut places);
    // A name and a team make a flag; a team's two figures belong together; what an override says is kept as it is.
    let whole_or_none = ["/fouls/0/name", "/fouls/0/by"];
    let pairs = ["/situation/score", "/situation/timeouts", "/situation/challenges", "/overrides"];
    let inside = places.iter().filter(|place| !place.is_empty());
    for place in inside.filter(|place| !pairs.iter().any(|pair| place.starts_with(pair))) {
        let names = record.pointer(place).and_then(Value::as_object).expect("an object").keys();
        for name in names.filter(|name| !whole_or_none.contains(&format!("{place}/{name}").as_str())) {
            let (mut null, mut missing) = (record.clone(), record.clone());
            null.pointer_mut(place).expect("there")[name] = Value::Null;
            let fields = missing.pointer_mut(place).and_then(Value::as_object_mut);
            fields.expect("an object").remove(name);
            let read_null = read(&null).unwrap_or_else(|why| panic!("{place}/{name}: {why}"));
            assert_eq!(Ok(&read_null[1..]), read(&missing).as_ref().map(|all| &all[1..]), "{place}/{name}");
        }
    }
}

#[test]
fn a_crew_position_that_is_no_text_is_refused_by_its_name() {
    for wrong in [json!(3), json!(["umpire"]), json!({"name": "umpire"}), json!(true)] {
        let mut record = whole();
        record["crew_position"] = wrong.clone();
        let line = record.to_string();
        let imported = jsonl::read("a", line.as_bytes()).expect_err("no text").to_string();
        assert!(imported.starts_with("a:1: field `crew_position`: "), "{imported}");
        let audited = json_lines(&mut Sample::default(), "a", line.as_bytes(), |_| {});
        let audited = audited.expect_err("no text").to_string();
        assert!(audited.starts_with("a:1: field `crew_position`: "), "{wrong}: {audited}");
    }
}

// PROPERTY: a time that no review takes is refused by its field
#[test]
fn a_time_that_no_review_takes_is_refused_by_its_field_and_a_long_one_is_read() {
    let change = |field: &str, value: Value| {
        let mut record = whole();
        match field {
            "duration_s" => record[field] = value,
            phase => record["phases_s"][phase] = value,
        }
        record.to_string()
    };
    for (field, seconds) in [("duration_s", 1e300), ("settled", 1e300), ("settled", 1e39), ("ruled", -2e12)] {
        let line = change(field, json!(seconds));
        let named = if field == "duration_s" { field } else { "phases_s" };
        let wanted = format!("a:1: field `{named}`: ");
        let imported = jsonl::read("a", line.as_bytes()).expect_err(field).to_string();
        assert!(imported.starts_with(&wanted) && imported.contains("is no time of a review"), "{imported}");
        let audited = json_lines(&mut Sample::default(), "a", line.as_bytes(), |_| {});
        assert_eq!(audited.expect_err(field).to_string(), imported);
    }
    for field in ["duration_s", "settled"] {
        read(&serde_json::from_str(&change(field, json!(1e12))).expect("JSON")).expect("a long time is one");
    }
}

#[test]
fn what_is_required_may_not_be_null() {
    for name in REQUIRED.iter().filter(|name| **name != "duration_s") {
        let mut record = whole();
        record[name] = Value::Null;
        let line = record.to_string();
        let refused = jsonl::read("a", line.as_bytes()).expect_err(name).to_string();
        assert!(refused.starts_with(&format!("a:1: field `{name}`: ")), "{refused}");
        assert!(json_lines(&mut Sample::default(), "a", line.as_bytes(), |_| {}).is_err(), "audit: {name}");
        if *name != "called_at" {
            assert!(serde_json::from_str::<Facts>(&line).is_err(), "rejudge: {name}");
        }
    }
}
