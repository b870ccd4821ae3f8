//! `tellframe audit`: its answers, its messages and its exit status.

use crate::program::{Data, Ran};
use serde_json::{Value, json};

fn record(id: &str, fields: &Value) -> String {
    let mut record = json!({
        "id": id, "edition": "an edition that nobody has", "tree": "inside-line", "call": "foul",
        "answers": {"toes": "no"}, "outcome": "confirmed", "called_at": "2026-05-09T19:42:11.204Z", "duration_s": 60.0
    });
    let fields = fields.as_object().expect("an object").clone();
    record.as_object_mut().expect("an object").extend(fields);
    record.to_string()
}

fn audit(data: &Data, lines: &[String], options: &[&str]) -> Ran {
    let file = data.file("records.jsonl");
    std::fs::write(&file, lines.join("\n")).expect("written");
    let mut arguments = vec!["audit".to_owned(), file.display().to_string()];
    arguments.extend(options.iter().map(|option| (*option).to_owned()));
    data.run(&arguments)
}

#[test]
fn a_review_of_two_questions_is_timed_once_in_every_group() {
    let data = Data::new();
    let of_one = json!({"review": "r", "official": "booth-07", "week": 3, "duration_s": 80});
    let lines = [record("a", &of_one), record("b", &of_one), record("c", &json!({"official": "booth-07"}))];
    let found = audit(&data, &lines, &["--json"]).json();
    let group = |by: &str, name: &str| {
        let group = &found["by"][by][name];
        (group["rulings"].as_u64(), group["tempo"]["count"].as_u64())
    };
    assert_eq!(group("official", "booth-07"), (Some(3), Some(2)));
    assert_eq!(group("tree", "inside-line"), (Some(3), Some(2)));
    assert_eq!(group("week", "3"), (Some(2), Some(1)));
    assert_eq!(found["tempo"]["count"], 2);
}

/// The mark or the outcome alone says it, and such a record is no ruling, whatever else it holds.
// PROPERTY: cut short is said by mark or outcome, and means the same everywhere
#[test]
fn a_review_that_was_cut_short_counts_in_time_only_whichever_field_says_so() {
    let data = Data::new();
    let figures = |cut: &Value| {
        let again = json!({"again_of": "b", "duration_s": null, "official": "booth-09"});
        let lines = [record("a", &json!({})), record("b", cut), record("c", &again)];
        audit(&data, &lines, &["--json"]).json()
    };
    let cut = |mark: Value, outcome: &str| json!({"cut_short": mark, "outcome": outcome, "duration_s": 30});
    let found = figures(&cut(json!(true), "cut short"));
    assert_eq!((&found["rulings"], &found["cut_short"]), (&json!(1), &json!(1)));
    assert_eq!((&found["tempo"]["count"], &found["tempo"]["cut_short"]), (&json!(2), &json!(1)));
    // Known to be longer than 30 s, so half are over at 60 s.
    assert_eq!((&found["tempo"]["median_s"], &found["tempo"]["control"]["count"]), (&json!(60.0), &json!(1)));
    assert_eq!((&found["agreement"]["pairs"], inconsistent(&found).len()), (&json!(0), 0));
    for other in [cut(json!(true), "reversed"), cut(json!(false), "cut short"), cut(Value::Null, "cut short")]
    {
        assert_eq!(figures(&other), found, "{other}");
    }
    let ruled = figures(&cut(json!(false), "reversed"));
    assert_eq!((&ruled["rulings"], &ruled["agreement"]["pairs"]), (&json!(2), &json!(1)));
    assert!(!inconsistent(&ruled).is_empty());
}

fn inconsistent(found: &Value) -> Vec<(String, Vec<String>)> {
    let text = |value: &Value| value.as_str().expect("a text").to_owned();
    let all = found["inconsistent"].as_array().expect("a list").iter();
    all.map(|one| (text(&one["why"]), one["records"].as_array().expect("a list").iter().map(text).collect()))
        .collect()
}

/// Shares by hand; Wilson's interval of 1 of 3 by statsmodels 0.15: 0.0615, 0.7923.
#[test]
fn outcomes_times_and_groups_are_counted() {
    let data = Data::new();
    let lines = [
        record(
            "a",
            &json!({"outcome": "reversed", "official": "booth-07", "week": 3, "initiator": "coach-home"}),
        ),
        record(
            "b",
            &json!({"official": "booth-07", "week": 3, "answers": {"toes": "yes"}, "duration_s": 30}),
        ),
        record(
            "c",
            &json!({"official": "booth-02", "week": 4, "tree": "too-many", "call": "none", "duration_s": 90}),
        ),
        record("d", &json!({"outcome": "cut short", "cut_short": true, "duration_s": 75})),
        record("e", &json!({"again_of": "c", "tree": "too-many", "call": "none", "duration_s": 1})),
        record("a", &json!({})),
    ];
    let ran = audit(&data, &lines, &["--json"]);
    assert_eq!(ran.status, 0, "{}", ran.err);
    let found = ran.json();
    let counts =
        ["rulings", "re_reviews", "cut_short", "repeated", "cannot_tell"].map(|name| found[name].clone());
    assert_eq!(counts, [3, 1, 1, 1, 3].map(Value::from));
    let reversed = &found["outcomes"]["reversed"];
    assert_eq!((&reversed["count"], &reversed["of"]), (&json!(1), &json!(3)));
    let ends = [0, 1].map(|end| reversed["wilson95"][end].as_f64().expect("a number"));
    assert!((ends[0] - 0.0615).abs() < 1e-4 && (ends[1] - 0.7923).abs() < 1e-4, "{ends:?}");
    assert_eq!(found["by"]["official"]["booth-07"]["outcomes"]["reversed"]["rate"], 0.5);
    assert_eq!(found["by"]["week"]["4"]["rulings"], 1);
    assert_eq!(found["by"]["initiator"]["coach-home"]["rulings"], 1);
    assert_eq!(found["by"]["tree"]["too-many"]["rulings"], 1);
    // 30, 60, 75 cut short, 90: 3/4, 1/2, and after the censored one 0.
    let tempo = &found["tempo"];
    assert_eq!(
        (&tempo["count"], &tempo["median_s"], &tempo["p90_s"]),
        (&json!(4), &json!(60.0), &json!(90.0))
    );
    assert_eq!((&tempo["survival"][0][1], &tempo["survival"][2][2]), (&json!(0.75), &Value::Null));
    assert_eq!(found["agreement"]["pairs"], 1);
    assert_eq!(found["agreement"]["cohen_kappa"], Value::Null);
}

#[test]
fn what_does_not_fit_is_named_with_its_reason() {
    let data = Data::new();
    let placed =
        |x: f64| json!({"toes": {"kind": "position", "line": "alignment line", "x": x, "sigma": 0.04}});
    let lines = [
        // The same facts.
        record("same-1", &json!({"answers": {"facing": "no"}})),
        record("same-2", &json!({"answers": {"facing": "no"}, "outcome": "reversed"})),
        // The same answers, and measured too far apart to be the same facts.
        record("far-1", &json!({"tree": "t", "proofs": placed(39.2)})),
        record("far-2", &json!({"tree": "t", "proofs": placed(37.0), "outcome": "reversed"})),
        // Measured alike, answered to the contrary.
        record("alike-1", &json!({"tree": "u", "proofs": placed(39.20)})),
        record(
            "alike-2",
            &json!({"tree": "u", "proofs": placed(39.25), "answers": {"toes": "yes"}, "outcome": "reversed"}),
        ),
        // The same play again.
        record("play-1", &json!({"tree": "v"})),
        record(
            "play-2",
            &json!({"tree": "v", "again_of": "play-1", "answers": {"toes": "yes"}, "outcome": "reversed"}),
        ),
        // A reason against the rules.
        record(
            "reason",
            &json!({"tree": "w", "overrides": [{"what": "answered", "reason": "the foot is hidden"}]}),
        ),
        // Two editions.
        record("old", &json!({"tree": "x", "edition": "old"})),
        record("new", &json!({"tree": "x", "edition": "new", "outcome": "reversed"})),
    ];
    let found = inconsistent(&audit(&data, &lines, &["--json"]).json());
    let expected = [
        ("facts", vec!["same-1", "same-2"]),
        ("facts", vec!["alike-1", "alike-2"]),
        ("facts", vec!["play-1", "play-2"]),
        ("override", vec!["reason"]),
        ("edition", vec!["old", "new"]),
    ];
    let owned = |(why, records): (&str, Vec<&str>)| {
        (why.to_owned(), records.into_iter().map(str::to_owned).collect::<Vec<_>>())
    };
    assert_eq!(found, expected.map(owned));
}

#[test]
fn a_ruling_that_its_own_edition_does_not_give_is_named() {
    let data = Data::new();
    let checked = data.run(&["check", "saltmarsh", "--json"]).json();
    let edition = checked.to_string();
    let edition = edition.split('"').find(|part| part.len() == 64).expect("it says the edition").to_owned();
    let lines = [
        record("right", &json!({"edition": edition, "answers": {"toes": "yes"}, "outcome": "reversed"})),
        record(
            "wrong",
            &json!({"edition": edition, "answers": {"toes": "no", "facing": "no"}, "outcome": "reversed"}),
        ),
    ];
    let found = audit(&data, &lines, &["--json"]).json();
    assert_eq!(inconsistent(&found), [("edition".to_owned(), vec!["wrong".to_owned()])]);
    assert_eq!(found["cannot_tell"], 0);
}

#[test]
fn grades_and_avoidable_challenges_are_counted() {
    let data = Data::new();
    let plain = |fields: Value| {
        let mut all = json!({"plain": true, "week": 2, "initiator": "coach-away", "grade": "missed call"});
        all.as_object_mut().expect("an object").extend(fields.as_object().expect("an object").clone());
        all
    };
    let lines = [
        record(
            "crew",
            &plain(
                json!({"crew_position": "umpire", "outcome": "reversed", "won": true, "answers": {"toes": "yes"}}),
            ),
        ),
        record("coach", &plain(json!({"won": false}))),
        record("hard", &json!({"plain": false, "grade": "correct call", "review_grade": "too long"})),
        record("open", &json!({})),
    ];
    let found = audit(&data, &lines, &["--json"]).json();
    let avoidable = &found["avoidable"];
    assert_eq!((&avoidable["count"], &avoidable["ids"]), (&json!(2), &json!(["crew", "coach"])));
    assert_eq!((&avoidable["by_crew"], &avoidable["by_coach"]), (&json!(["crew"]), &json!(["coach"])));
    assert_eq!((&avoidable["timeouts_paid"], &avoidable["rate"]["of"]), (&json!(1), &json!(3)));
    assert_eq!(avoidable["by_position"], json!({"umpire": 1}));
    let told = audit(&data, &lines, &[]).out;
    assert!(told.contains("  by crew position: umpire 1; 1 do not say whose call it was\n"), "{told}");
    assert_eq!(found["grades"]["calls"]["missed call"]["count"], 2);
    assert_eq!(found["grades"]["reviews"]["too long"]["of"], 1);
}

#[test]
fn officials_are_shown_as_numbers_where_that_is_wished() {
    let data = Data::new();
    let lines =
        [record("a", &json!({"official": "booth-07"})), record("b", &json!({"official": "booth-02"}))];
    let page = data.file("week.html");
    let page_name = page.display().to_string();
    let ran = audit(&data, &lines, &["--json", "--numbers", "--out", &page_name]);
    assert_eq!(ran.status, 0, "{}", ran.err);
    let page = std::fs::read_to_string(page).expect("the report is there");
    assert!(!ran.out.contains("booth-0") && !page.contains("booth-0"));
    assert!(ran.json()["by"]["official"]["2"].is_object());
    assert!(page.starts_with("<!DOCTYPE html>") && page.contains("grades support training, not punishment"));
}

#[test]
fn tables_of_ratings_and_durations_give_their_figures_alone() {
    let data = Data::new();
    let (ratings, durations) = (data.file("ratings.csv"), data.file("durations.csv"));
    std::fs::write(&ratings, "item,a,b\n1,yes,yes\n2,no,yes\n3,no,no\n4,,no\n").expect("written");
    std::fs::write(&durations, "seconds,cut_short\n10,false\n20,true\n30,false\n").expect("written");
    let run = |option: &str, file: &std::path::Path| {
        data.run(&["audit".as_ref(), option.as_ref(), file.as_os_str(), "--json".as_ref()]).json()
    };
    let found = run("--ratings", &ratings);
    // Observed 2/3, expected (2/3 · 1/3 + 1/3 · 2/3) = 4/9: (2/3 − 4/9) / (5/9) = 0.4.
    assert!((found["cohen_kappa"].as_f64().expect("a number") - 0.4).abs() < 1e-12, "{found}");
    assert_eq!((&found["pairs"], &found["agreement"]["pairs"]), (&json!(3), &json!(3)));
    assert_eq!(found["krippendorff_alpha"]["interval"], Value::Null);
    let found = run("--durations", &durations);
    assert_eq!((&found["median_s"], &found["tempo"]["control"]["center"]), (&json!(30.0), &json!(20.0)));
    assert_eq!(found["survival"], json!([[10.0, 2.0 / 3.0, found["survival"][0][2]], [30.0, 0.0, null]]));
}

#[test]
fn without_records_every_figure_is_null_and_bad_input_is_refused() {
    let data = Data::new();
    let ran = audit(&data, &[], &["--json"]);
    let found = ran.json();
    assert_eq!((ran.status, &found["rulings"], &found["tempo"]["median_s"]), (0, &json!(0), &Value::Null));
    assert_eq!(found["agreement"]["krippendorff_alpha"]["nominal"], Value::Null);
    assert_eq!(found["tempo"]["control"]["upper"], Value::Null);
    // No time at all is 0 s, and not the -0 that a sum of no floats is.
    assert_eq!(found["tempo"]["after_settled"]["total_s"].to_string(), "0.0");
    assert!(audit(&data, &[], &[]).out.contains("time from call to announcement: no review was timed\n"));
    let bad = data.file("bad.csv");
    std::fs::write(&bad, "seconds,cut_short\n-1,false\n").expect("written");
    let missing = data.file("nothing.jsonl");
    let cases: [(Vec<&std::ffi::OsStr>, &str); 4] = [
        (vec!["audit".as_ref()], "required"),
        (vec!["audit".as_ref(), missing.as_os_str()], "cannot read"),
        (vec!["audit".as_ref(), bad.as_os_str()], "bad.csv:1: not JSON"),
        (vec!["audit".as_ref(), "--durations".as_ref(), bad.as_os_str()], "line 2: `-1` is not a duration"),
    ];
    for (arguments, part) in cases {
        let ran = data.run(&arguments);
        assert!(
            ran.status == 2 && ran.err.contains(part) && ran.out.is_empty(),
            "{arguments:?}: {}",
            ran.err
        );
    }
}
