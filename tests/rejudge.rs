//! Re-judging: the same facts under another edition.

use crate::program::Data;
use audit::rejudge::changes::changes;
use audit::rejudge::{Facts, Judged, judge, logs};
use rules::book::Book;
use season::{Plants, season};
use serde_json::{Value, json};
use testing::challenge::edition;

/// The record of the formats page: 4th and 1.5 at the 38.5, the alignment line at the 40.
fn record(edition: &Book) -> Value {
    json!({
        "id": "r-1", "edition": edition.edition.to_string(), "tree": "inside-line", "call": "foul",
        "situation": {"period": 2, "clock_s": 281.3, "clock_running": true, "offense": "home", "attacks": "east",
            "down": 4, "to_go": 1.5, "spot": 38.5, "score": {"home": 20, "away": 14},
            "timeouts": {"home": 2, "away": 3},
            "challenges": {"home": {"used": 1, "won": 1}, "away": {"used": 0, "won": 0}}},
        "answers": {"toes": "no", "facing": "no"},
        "proofs": {"toes": {"kind": "position", "line": "alignment line", "x": 39.2, "sigma": 0.04, "attested": false}},
        "outcome": "confirmed", "called_at": "2026-05-09T19:42:11.204Z", "duration_s": 61.0
    })
}

fn judged(new: &Book, old: Option<&Book>, record: &Value) -> Judged {
    let facts: Facts = serde_json::from_value(record.clone()).expect("a record");
    judge(new, old, &facts)
}

/// What a verdict comes to, in one line: `same`, `now: because`, or `cannot tell: because`.
fn text(judged: Judged) -> String {
    match judged {
        Judged::Same { .. } => "same".to_owned(),
        Judged::Flips(flip) => format!("{}: {}", flip.now, flip.because.join("; ")),
        Judged::CannotTell(untold) => format!("cannot tell: {}", untold.because.join("; ")),
    }
}

/// By the rules as they are written in each edition: 39.2 lies short of 40 and past 39; 0.04 yd are 20 errors off.
// PROPERTY: a flip names the change in the book
#[test]
fn a_flip_names_what_changed_in_the_book() {
    let old = edition(&[]);
    for (replaced, wanted) in [
        (vec![], "same"),
        // The line: the rule about 4th and short is gone, so it is 5 yd past scrimmage: 43.5.
        (
            vec![(
                "book.ron",
                "When(all: [Down(4), ToGo(at_most: 2)], at: LineToGain, goes_first: true),",
                "",
            )],
            "same",
        ),
        (
            vec![("book.ron", "at: LineToGain, goes_first: true", "at: Scrimmage, goes_first: true")],
            "reversed: `toes`: yes, was no: 39.2 ± 0.04 yd against alignment line at 38.5 (was alignment line at 40)",
        ),
        // The step: facing nobody is no longer a foul.
        (
            vec![(
                "inside-line.ron",
                "yes: Step(\"in motion\"), no: Find(\"foul\")",
                "yes: Step(\"in motion\"), no: Find(\"none\")",
            )],
            "reversed: `facing`: no leads to `none`, was `foul`",
        ),
    ] {
        assert_eq!(text(judged(&edition(&replaced), Some(&old), &record(&old))), wanted, "{replaced:?}");
    }
}

#[test]
fn a_standard_that_the_measurement_no_longer_meets_leaves_the_call() {
    let (old, new) = (edition(&[]), edition(&[("book.ron", "established: 0.99", "established: 0.999")]));
    // 0.1 yd short with an error of 0.04: P(past) = Φ(−2.5) = 0.00621, below 0.01 and above 0.001.
    let mut record = record(&old);
    record["proofs"]["toes"]["x"] = json!(39.9);
    assert_eq!(text(judged(&old, Some(&old), &record)), "same");
    assert_eq!(
        text(judged(&new, Some(&old), &record)),
        "stands: `toes`: unclear, was no: 39.9 ± 0.04 yd against alignment line at 40, standard 0.999 (was 0.99)"
    );
    // Without the earlier edition the outcome is the same, and the reason says what is known.
    assert_eq!(
        text(judged(&new, None, &record)),
        "stands: `toes`: unclear, was no: 39.9 ± 0.04 yd against alignment line at 40, standard 0.999"
    );
    // A typed mark is a person's word: it is seen, and keeps its answer.
    record["proofs"]["toes"]["attested"] = json!(true);
    assert_eq!(text(judged(&new, Some(&old), &record)), "same");
}

// PROPERTY: what is meaningless is not guessed
#[test]
fn what_is_meaningless_cannot_be_told_and_the_reason_is_given() {
    let old = edition(&[]);
    let renamed = edition(&[("inside-line.ron", "\"facing\"", "\"faces a man\"")]);
    let gone = "`faces a man` is a new question that was not answered";
    let other_point = edition(&[("inside-line.ron", "toes of the foot farther out", "heel")]);
    let without = |field: &str| {
        let mut record = record(&old);
        record.as_object_mut().expect("an object").remove(field);
        record
    };
    let with = |field: &str, value: Value| {
        let mut record = record(&old);
        record[field] = value;
        record
    };
    // Where an earlier step decides, the missing step does not matter.
    let mut decided = record(&old);
    decided["answers"] = json!({"toes": "yes"});
    decided["proofs"] = json!({"toes": {"kind": "position", "attested": true}});
    decided["outcome"] = json!("reversed");
    assert_eq!(text(judged(&renamed, Some(&old), &decided)), "same");
    for (new, record, wanted) in [
        (&renamed, record(&old), format!("cannot tell: {gone}")),
        (&other_point, record(&old), "cannot tell: `toes`: `toes of the foot farther out`, `snap` was measured, and the book asks for `heel`, `snap`".to_owned()),
        (&old, with("tree", json!("inside")), "cannot tell: the book has no question `inside` any more".to_owned()),
        (&old, with("call", json!("fouls")), "cannot tell: `inside-line` has no call `fouls` any more".to_owned()),
        (&old, with("answers", json!({"toes": "no", "facing": "perhaps"})), "cannot tell: `facing` has no answer `perhaps` any more".to_owned()),
        (&old, without("situation"), "cannot tell: `toes`: the record does not hold the situation that the line hangs on".to_owned()),
        (&old, with("cut_short", json!(true)), "cannot tell: it ended without a ruling".to_owned()),
        (&old, with("outcome", json!("upheld")), "cannot tell: `upheld` is not an outcome of either edition".to_owned()),
    ] {
        assert_eq!(text(judged(new, Some(&old), &record)), wanted);
    }
}

/// Nobody knows the text of its edition; what it held possible says that the open step was a doubt.
#[test]
fn a_doubt_is_told_from_a_question_that_nobody_asked() {
    let book = edition(&[]);
    let mut record = record(&book);
    record["answers"] = json!({"toes": "no"});
    record["outcome"] = json!("stands");
    let asked = "cannot tell: `facing` is a new question that was not answered";
    assert_eq!(text(judged(&book, None, &record)), asked);
    record["possible"] = json!(["foul"]);
    assert_eq!(text(judged(&book, None, &record)), asked);
    record["possible"] = json!(["none", "foul"]);
    assert_eq!(text(judged(&book, None, &record)), "same");
}

/// A season judged under its own editions comes out the same, except for what was planted as miscomputed and what the
/// change decides.
// PROPERTY: a season flips by its rule change and by nothing else
#[test]
fn a_season_flips_by_the_rule_change_and_by_nothing_else() {
    let season = season(5, Plants::All);
    let books: Vec<Book> = season.rules.iter().map(|rules| rules.load().expect("sound")).collect();
    let [before, since] = books.as_slice() else { panic!("two editions") };
    let change = season.planted.change.as_ref().expect("a change");
    let mut flipped = Vec::new();
    for record in &season.records {
        let old = if record.edition == change.before { before } else { since };
        let value = serde_json::to_value(record).expect("JSON");
        if let Judged::Flips(flip) = judged(since, Some(old), &value) {
            flipped.push(flip.id);
        }
    }
    let earlier = |id: &&String| {
        season.records.iter().any(|record| record.id == **id && record.edition == change.before)
    };
    let mut wanted: Vec<String> = change.records.iter().filter(earlier).cloned().collect();
    wanted.extend(season.planted.miscomputed.clone());
    wanted.sort();
    flipped.sort();
    assert_eq!(flipped, wanted);
}

/// A series of 12 yards instead of 10: no answer and no line of these questions hangs on it, and every new series
/// that is not goal to go begins with it.
#[test]
fn a_restart_that_moves_is_told_where_the_record_gives_its_own_again() {
    let (old, new) = (edition(&[]), edition(&[("book.ron", "to_gain: 10", "to_gain: 12")]));
    let season = season(5, Plants::None);
    let (mut moved, mut first_downs) = (0, 0);
    for record in &season.records {
        let value = serde_json::to_value(record).expect("JSON");
        match judged(&new, Some(&old), &value) {
            Judged::Same { moved: Some(told), .. } => {
                let to_goal = 50.0 - value["after"]["spot"].as_f64().expect("a spot");
                let to_go = (to_goal.min(12.0) * 1000.0).round() / 1000.0;
                assert_eq!(told.differs, [format!("to_go: {to_go}, was 10")], "{}", told.id);
                moved += 1;
            }
            Judged::Same { moved: None, .. } | Judged::CannotTell(_) => {}
            Judged::Flips(flip) => panic!("{flip:?}"),
        }
        first_downs += usize::from(value["after"]["down"] == 1 && value["after"]["to_go"] == 10);
    }
    assert!(moved > 0 && moved <= first_downs, "{moved} of {first_downs}");
}

// PROPERTY: cut short is said by mark or outcome, and means the same everywhere
#[test]
fn a_review_that_was_cut_short_cannot_be_told_whichever_field_says_so() {
    let book = edition(&[]);
    for (mark, outcome) in [(true, "cut short"), (true, "confirmed"), (false, "cut short")] {
        let mut record = record(&book);
        (record["cut_short"], record["outcome"]) = (json!(mark), json!(outcome));
        let told = text(judged(&book, Some(&book), &record));
        assert_eq!(told, "cannot tell: it ended without a ruling", "{mark} {outcome}");
    }
}

// PROPERTY: a file is judged again as the log that it came from
#[test]
fn a_second_look_is_passed_over_in_a_file_as_in_a_log() {
    let (data, book) = (Data::new(), edition(&[]));
    let mut again = record(&book);
    (again["id"], again["again_of"], again["outcome"]) = (json!("r-2"), json!("r-1"), json!("reversed"));
    let file = data.file("records.jsonl");
    std::fs::write(&file, format!("{}\n{again}\n", record(&book))).expect("written");
    let file = file.display().to_string();
    let imported = data.run(&["log", "import", file.as_str()]);
    assert_eq!(imported.status, 0, "{}", imported.err);
    let log = log::store::location::Location::at(data.folder.path()).log().display().to_string();
    let rejudged = |log: &str| data.run(&["rejudge", log, "--book", "saltmarsh", "--json"]).json();
    let found = rejudged(&file);
    assert_eq!((&found["records"], &found["same"]), (&json!(1), &json!(1)));
    assert_eq!(rejudged(&log), found);
}

// PROPERTY: a record that comes again counts once, audited and judged again
#[test]
fn a_record_that_comes_again_in_a_file_counts_once_in_an_audit_and_when_judged_again() {
    let (data, book) = (Data::new(), edition(&[]));
    let first = record(&book);
    let (mut again, mut second, mut taken) = (first.clone(), first.clone(), first.clone());
    again["outcome"] = json!("reversed");
    (second["id"], second["again_of"]) = (json!("r-2"), json!("r-1"));
    (taken["id"], taken["edition"]) = (json!("r-2"), json!("another"));
    let file = data.file("records.jsonl");
    // Further apart than what one core reads at once.
    let far = " ".repeat(3 << 20);
    std::fs::write(&file, format!("{first}\n{second}{far}\n{again}{far}\n{taken}\n")).expect("written");
    let file = file.display().to_string();
    let found = data.run(&["rejudge", &file, "--book", "saltmarsh", "--json"]).json();
    let counts = ["records", "repeated", "same"].map(|name| found[name].clone());
    assert_eq!(counts, [json!(1), json!(2), json!(1)]);
    assert_eq!(
        (found["flips"].as_array().map(Vec::len), found["changes"].as_array().map(Vec::len)),
        (Some(0), Some(1))
    );
    let audited = data.run(&["audit", &file, "--json"]).json();
    assert_eq!((&audited["rulings"], &audited["repeated"]), (&json!(1), &json!(2)));
    for command in [vec!["rejudge", &file, "--book", "saltmarsh"], vec!["audit", &file]] {
        let told = data.run(&command).out;
        assert!(told.contains("2 duplicate records were left out\n"), "{told}");
    }
}

// PROPERTY: logs and files judged together count each record once
#[test]
fn logs_and_files_are_judged_together_and_each_record_counts_once() {
    let (data, book) = (Data::new(), edition(&[]));
    let (first, mut second) = (record(&book), record(&book));
    second["id"] = json!("r-2");
    let [one, both] = ["one.jsonl", "both.jsonl"].map(|name| data.file(name));
    std::fs::write(&one, format!("{first}\n")).expect("written");
    std::fs::write(&both, format!("{first}\n{second}\n")).expect("written");
    let imported = data.run(&["log", "import", &one.display().to_string()]);
    assert_eq!(imported.status, 0, "{}", imported.err);
    let log = log::store::location::Location::at(data.folder.path()).log();
    let count = std::sync::Mutex::new(Vec::new());
    let found = logs::rejudge(&[log, both], &book, &[], |read| count.lock().expect("whole").push(read));
    let found = found.expect("both can be read");
    assert_eq!((found.records, found.repeated, found.same), (2, 1, 2));
    // Of the log: the file is too short for its progress to be reported.
    assert_eq!(count.into_inner().expect("whole"), [1]);
}

#[test]
fn what_changed_is_said_in_words() {
    let old = edition(&[]);
    let new = edition(&[
        ("book.ron", "established: 0.99", "established: 0.95"),
        ("book.ron", "BeyondScrimmage(yards: 5, never_past_goal: true)", "BeyondScrimmage(yards: 5)"),
        (
            "inside-line.ron",
            "no: Find(\"foul\"),\n        ),\n        \"in motion\"",
            "no: Find(\"none\"),\n        ),\n        \"in motion\"",
        ),
    ]);
    assert_eq!(changes(&old, &old), Vec::<String>::new());
    assert_eq!(
        changes(&old, &new),
        [
            "standard of proof: 0.95, was 0.99",
            "line `contact limit`: 5 yd past scrimmage; was: 5 yd past scrimmage, never past the goal line",
            "inside-line: step `facing`: no leads to the finding `none`, was the finding `foul`",
        ]
    );
}

#[test]
fn the_command_counts_every_record_and_refuses_what_is_none() {
    let (data, book) = (Data::new(), edition(&[]));
    let file = data.file("log.jsonl");
    let mut short = record(&book);
    (short["id"], short["cut_short"]) = (json!("r-2"), json!(true));
    std::fs::write(&file, format!("{}\n\n{short}\n", record(&book))).expect("written");
    let path = file.display().to_string();
    let arguments = ["rejudge", path.as_str(), "--book", "saltmarsh"];
    let ran = data.run(&[&arguments[..], &["--json"]].concat());
    assert_eq!(ran.status, 0, "{}", ran.err);
    let found = ran.json();
    assert_eq!((&found["records"], &found["same"], &found["flips"]), (&json!(2), &json!(1), &json!([])));
    assert_eq!(found["cannot_tell"], json!([{"id": "r-2", "because": ["it ended without a ruling"]}]));
    assert!(data.run(&arguments).out.contains("2 records: 1 the same, 0 flip, 1 cannot be judged"));
    std::fs::write(&file, format!("{}\n{{\"id\": 3}}\n", record(&book))).expect("written");
    let ran = data.run(&arguments);
    assert_eq!((ran.status, ran.out.as_str()), (2, ""));
    assert!(ran.err.contains("log.jsonl:2: field `id`"), "{}", ran.err);
    for wrong in
        [["rejudge", "nowhere.jsonl", "--book", "saltmarsh"], ["rejudge", path.as_str(), "--book", "nowhere"]]
    {
        assert_eq!(data.run(&wrong).status, 2, "{wrong:?}");
    }
}
