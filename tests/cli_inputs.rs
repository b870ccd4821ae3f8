//! Strange inputs through the program itself: places, words, exit status. What is refused in which words is in
//! `tests/strange-inputs`.

use crate::program::Data;
use std::fs;
use std::path::PathBuf;

const CASE: &str = r#"{"id": "one", "situation": {"period": 1, "clock_s": 600, "clock_running": true, "offense": "home",
 "down": 4, "to_go": 3, "spot": 20, "score": {"home": 0, "away": 0}, "timeouts": {"home": 3, "away": 3},
 "challenges": {"home": {"used": 0, "won": 0}, "away": {"used": 0, "won": 0}}}, "initiator": "coach-away",
 "questions": [{"tree": "catch-beyond-wall", "call": "incomplete", "answers": {"inside": "no"}}],
 "marks": {"as ruled": {"x": 20, "clock_s": 594}}, "expect": {"gate": "allowed"}}"#;

fn file(data: &Data, text: &str) -> PathBuf {
    let path = data.file("case.json");
    fs::write(&path, text).expect("written");
    path
}

#[test]
fn a_fault_of_meaning_names_file_line_column_and_what_may_stand_there() {
    let data = Data::new();
    let path = file(&data, &CASE.replace("\"inside\"", "\"insite\""));
    let ran = data.run(&["case".as_ref(), "saltmarsh".as_ref(), path.as_os_str()]);
    let place = format!("error: {}:4:80: `answers.insite` of question 1: ", path.display());
    assert!(ran.err.starts_with(&place), "{}", ran.err);
    assert!(ran.err.ends_with("help: did you mean `inside`?\n"), "{}", ran.err);
    assert_eq!((ran.status, ran.out.as_str()), (2, ""));
}

#[test]
fn no_case_to_run_is_bad_usage_and_not_agreement() {
    let data = Data::new();
    for text in ["[]", " [ ] "] {
        let ran = data.run(&["case".as_ref(), "saltmarsh".as_ref(), file(&data, text).as_os_str()]);
        assert_eq!((ran.status, ran.out.as_str()), (2, ""), "{text}");
        assert!(ran.err.contains("the list is empty"), "{}", ran.err);
    }
    let empty = data.file("cases");
    fs::create_dir(&empty).expect("made");
    let ran = data.run(&["case".as_ref(), "saltmarsh".as_ref(), empty.as_os_str()]);
    assert!(ran.status == 2 && ran.err.contains("there is no case play to run"), "{}", ran.err);
}

#[test]
fn an_open_restart_is_said_to_be_open_and_a_byte_order_mark_is_read_over() {
    let data = Data::new();
    let open = CASE.replace(r#""marks": {"as ruled": {"x": 20, "clock_s": 594}}, "#, "");
    let open = open.replace(r#"{"gate": "allowed"}"#, r#"{"open": ["the mark `as ruled` needs the clock"]}"#);
    let ran = data.run(&[
        "case".as_ref(),
        "saltmarsh".as_ref(),
        file(&data, &format!("\u{feff}{open}")).as_os_str(),
    ]);
    assert_eq!(ran.status, 0, "{} {}", ran.out, ran.err);
    assert!(ran.out.starts_with("open    one\n"), "{}", ran.out);
    assert!(ran.out.ends_with("1 cases, 0 differ, 1 open\n"), "{}", ran.out);
}

#[test]
fn hidden_signs_of_an_input_are_shown_and_never_printed() {
    let data = Data::new();
    let path = file(&data, &CASE.replace("\"one\"", "\"o\u{202e}ne\\u001b[2J\""));
    let ran = data.run(&["case".as_ref(), "saltmarsh".as_ref(), path.as_os_str()]);
    assert!(ran.out.starts_with("agrees  o\\u{202e}ne\\u{1b}[2J\n"), "{}", ran.out);
    let path = file(&data, &CASE.replace("coach-away", "coach\u{202e}-\u{7}"));
    let ran = data.run(&["case".as_ref(), "saltmarsh".as_ref(), path.as_os_str()]);
    assert!(ran.err.contains("`coach\\u{202e}-\\u{7}`"), "{}", ran.err);
    assert!(!ran.err.chars().any(|sign| sign.is_control() && sign != '\n'), "{}", ran.err);
}

#[test]
fn a_book_that_is_not_there_is_answered_with_those_that_are() {
    let data = Data::new();
    let ran = data.run(&["check", "saltmarch"]);
    assert!(ran.err.contains("did you mean `saltmarsh`?"), "{}", ran.err);
    assert!(ran.err.contains("college, saltmarsh"), "{}", ran.err);
    let book = data.file("book.ron");
    fs::write(&book, "Book()").expect("written");
    let ran = data.run(&["check".as_ref(), book.as_os_str()]);
    assert!(ran.err.contains("it is a file: name its folder"), "{}", ran.err);
}

#[test]
fn what_is_odd_is_said_beside_the_result() {
    let data = Data::new();
    let situation = r#"{"period": 1, "clock_s": 600, "clock_running": true, "offense": "home", "down": 1, "to_go": 10,
 "spot": 97, "score": {"home": 0, "away": 0}, "timeouts": {"home": 3, "away": 3},
 "challenges": {"home": {"used": 0, "won": 0}, "away": {"used": 0, "won": 0}}}"#;
    let play = format!(
        r#"{{"situation": {situation}, "play": {{"stages": [{{"act": "run", "by": "offense", "to": 98}}]}}}}"#
    );
    let path = file(&data, &play);
    let ran = data.run(&["enforce".as_ref(), "college".as_ref(), path.as_os_str(), "--json".as_ref()]);
    assert_eq!(ran.status, 0, "{}", ran.err);
    let note = "`to_go` is 10, and the goal line is 3 yards away: it is goal to go";
    assert_eq!(ran.json()["notes"], serde_json::json!([note]));
    assert_eq!(ran.err, format!("note: {note}\n"));
}
