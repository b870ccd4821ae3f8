//! A record that answers what its situation tells, and answers it otherwise, is noticed when it is judged again.

use audit::rejudge::{Facts, Judged, judge};
use rules::book::{load, shipped};
use serde_json::{Value, json};

/// A record about nobody on the alignment line, on fourth and 1 with these answers.
fn record(answers: &Value) -> Facts {
    let record = json!({
        "id": "r-1/1", "edition": "ab", "tree": "nobody-on-line", "call": "foul",
        "situation": {"period": 2, "clock_s": 281.0, "clock_running": true, "next": "scrimmage",
            "offense": "home", "attacks": "west", "down": 4, "to_go": 1, "spot": 30,
            "score": {"home": 0, "away": 0}, "timeouts": {"home": 3, "away": 3},
            "challenges": {"home": {"used": 0, "won": 0}, "away": {"used": 0, "won": 0}}},
        "answers": answers, "possible": ["foul"], "finding": "foul", "outcome": "confirmed",
        "called_at": "2026-05-09T19:42:11.204Z", "duration_s": 61.0
    });
    serde_json::from_value(record).expect("a record")
}

const SAYS: &str = "`shortened` is answered no, and it is yes. 4th and 1: the line is shortened";

// PROPERTY: a record that contradicts its own situation is noticed when it is judged again
#[test]
fn a_record_that_contradicts_its_own_situation_is_noticed_when_it_is_judged_again() {
    let sources = shipped::sources("saltmarsh").expect("it is in the program");
    let book = load::load("saltmarsh", &sources).expect("it is sound");
    let judged = |answers: Value| judge(&book, None, &record(&answers));
    match judged(json!({"shortened": "no", "toes on the full line": "no"})) {
        Judged::Flips(flip) => assert_eq!(flip.because.first().map(String::as_str), Some(SAYS)),
        other => panic!("the line that was asked about is not the line of the play: {other:?}"),
    }
    let both = json!({"toes on the full line": "no", "toes on the short line": "no"});
    let contrary = |answers: Value| match judged(answers) {
        Judged::Same { contrary, .. } => contrary.map(|record| record.because),
        other => panic!("it is the same foul on either line: {other:?}"),
    };
    assert_eq!(contrary(both.clone()), None, "what is told need not be answered");
    let with = |answer: &str| {
        let mut all = both.clone();
        all["shortened"] = json!(answer);
        all
    };
    assert_eq!(contrary(with("yes")), None);
    assert_eq!(contrary(with("no")), Some(vec![SAYS.to_owned()]));
}
