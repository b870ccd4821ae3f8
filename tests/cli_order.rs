//! `tellframe order`: the format that outsiders rely on, and what is refused.

use crate::program::{Data, Ran};
use formats::schema::schema;
use serde_json::{Value, json};
use std::fs;

fn order(name: &str, text: &str, as_json: bool) -> Ran {
    let data = Data::new();
    let file = data.file(name);
    fs::write(&file, text).expect("written");
    let mut arguments = vec!["order".into(), file];
    if as_json {
        arguments.push("--json".into());
    }
    data.run(&arguments)
}

/// The printed example of the format.
fn example() -> Value {
    json!({
        "clips": {"end": {"rate": "60000/1001"},
                  "wall": {"rate": "30", "offset_s": 0.412, "offset_sigma_s": 0.004, "drift_ppm": 0,
                           "drift_sigma_ppm": 0, "offset_at_s": 0, "readout_s": 0.0}},
        "first": {"clip": "end", "frame": 1204},
        "then": {"clip": "wall", "frame": 590},
        "gap_at_least_s": 0.0, "standard": 0.99,
    })
}

fn valid(kind: &str, value: &Value) -> bool {
    let schema = serde_json::to_value(schema(kind).expect("a kind")).expect("a schema is JSON");
    jsonschema::validator_for(&schema).expect("a valid schema").is_valid(value)
}

/// Means by hand: (589.5/30 + 0.412) - 1203.5 * 1001/60000; sigma² = (1/30)²/12 + (1001/60000)²/12 + 0.004².
#[test]
fn the_example_of_the_format_gives_the_figures_of_the_hand() {
    let ran = order("order.json", &example().to_string(), true);
    assert_eq!((ran.status, ran.err.as_str()), (0, ""));
    let found = ran.json();
    let close = |value: &Value, expected: f64| {
        let value = value.as_f64().expect("a number");
        assert!((value - expected).abs() < 1e-9, "{value} {expected}");
    };
    close(&found["gap_s"]["mean"], 19.65 + 0.412 - 1203.5 * 1001.0 / 60_000.0);
    let variance = (1.0_f64 / 900.0 + (1001.0_f64 / 60_000.0).powi(2)) / 12.0 + 0.004_f64.powi(2);
    close(&found["gap_s"]["sigma"], variance.sqrt());
    // SciPy, by the way of `scripts/order-reference.py`: below([1/30, 1001/60000], 0.004, mean).
    close(&found["probability"], 0.081_009_878_717);
    assert_eq!(found["verdict"], "inconclusive");
    assert!(valid("order-result", &found) && valid("order", &example()));
}

#[test]
fn ron_lists_variable_rates_and_a_missing_standard_are_read() {
    let ron = r#"(clips: {"end": (rate: "50"), "phone": (offset_sigma_s: 0.002)},
        first: [(clip: "end", frame: 100), (clip: "phone", since_s: 1.97, at_s: 2.004)],
        then: (clip: "phone", since_s: 2.004, at_s: 2.037))"#;
    let ran = order("order.ron", ron, true);
    assert_eq!((ran.status, ran.err.as_str()), (0, ""));
    let found = ran.json();
    assert_eq!(found["verdict"], Value::Null);
    assert!(found["probability"].as_f64().is_some_and(|p| p > 0.99), "{found}");
}

#[test]
fn a_contradiction_is_an_answer_and_has_no_figures() {
    let mut asked = example();
    asked["first"] = json!([{"clip": "end", "frame": 1204}, {"clip": "wall", "frame": 700}]);
    let found = order("order.json", &asked.to_string(), true);
    assert_eq!(found.status, 0);
    assert_eq!(found.json(), json!({"probability": null, "gap_s": null, "verdict": "contradiction"}));
    let told = order("order.json", &asked.to_string(), false);
    assert!(told.out.contains("contradict each other"), "{}", told.out);
}

#[test]
fn what_cannot_be_is_refused_with_its_place() {
    for (path, value, says) in [
        ("/first/frame", json!(0), "`first`: frame 0 cannot be a mark: there is no frame before it"),
        ("/first/clip", json!("ends"), "`first.clip`: there is no clip `ends`"),
        ("/first/frame", json!(null), "`first`: a mark has either `frame`, or both `at_s` and `since_s`"),
        ("/then", json!([]), "`then`: each event needs at least one mark"),
        (
            "/then",
            json!([{"clip": "wall", "since_s": 2, "at_s": 1}]),
            "mark 1 of `then`: `since_s` must be before `at_s`",
        ),
        ("/clips/end/rate", json!("59.94"), "60000/1001 is near it"),
        ("/clips/end/rate", json!(null), "`first`: the clip has no constant rate"),
        (
            "/clips/wall/offset_sigma_s",
            json!(-0.1),
            "`clips.wall`: `offset_sigma_s` must be a finite number, 0 or more",
        ),
        ("/standard", json!(0.5), "`standard`: a standard is more than 0.5 and at most 1"),
        ("/standard", json!(1.5), "`standard`: a standard is more than 0.5 and at most 1"),
    ] {
        let mut asked = example();
        *asked.pointer_mut(path).expect("it is there") = value;
        let ran = order("order.json", &asked.to_string(), true);
        assert_eq!((ran.status, ran.out.as_str()), (2, ""), "{path}");
        assert!(ran.err.contains(says), "{path}: {}", ran.err);
    }
    let mut unknown = example();
    unknown["clips"]["end"]["readout"] = json!(0.1);
    let ran = order("order.json", &unknown.to_string(), true);
    assert!(ran.status == 2 && ran.err.contains("readout_s"), "{}", ran.err);
}
