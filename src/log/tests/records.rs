//! The records that a log gives: one a question of a review that is over, in the form that outsiders read.

use formats::record::Record;
use formats::schema::schema;
use log::exchange::import::import;
use log::exchange::{jsonl, records};
use log::streams::reviews::{Done, Session};
use log::streams::session::Attempt;
use review::decide::Command;
use review::stamp::Stamp;
use serde_json::{Value, json};
use std::collections::BTreeSet;
use testing::challenge::{Challenge, command_id, stamp};
use testing::logs::{Desk, act};

fn json_of(record: &Record) -> Value {
    serde_json::to_value(record).expect("JSON")
}

/// A desk after the demo's challenge.
fn ruled() -> (Desk, Challenge) {
    let (desk, challenge) = (Desk::with_notes(0), Challenge::demo());
    challenge.rule(&mut desk.open(), "r-1");
    (desk, challenge)
}

/// The expected values are read off the script: `demo/challenge.ron`.
#[test]
fn a_ruled_review_gives_one_record_a_question() {
    let (desk, challenge) = ruled();
    let all = records::all(&desk.reader()).expect("read");
    let [record] = all.as_slice() else { panic!("one question: {all:?}") };
    let written = json_of(record);
    let edition = challenge.book.edition.to_string();
    for (name, value) in [
        ("id", json!("r-1/1")),
        ("review", json!("r-1")),
        ("engine", json!(review::event::ENGINE)),
        ("edition", json!(edition)),
        ("book", json!("saltmarsh")),
        ("game", json!("W03-MO-HK")),
        ("week", json!(3)),
        ("play", json!("Q2 4:41 4&1.5")),
        ("initiator", json!("coach-home")),
        ("official", json!("booth-07")),
        ("tree", json!("catch-beyond-wall")),
        ("call", json!("incomplete")),
        ("whistle", Value::Null),
        ("possible", json!(["complete"])),
        ("finding", json!("complete")),
        ("established", json!(true)),
        ("changed", json!(true)),
        ("outcome", json!(challenge.book.replay.labels.reversed)),
        ("won", json!(true)),
        ("moot", json!(false)),
        ("called_at", json!("2026-05-09T19:42:11.204Z")),
        ("duration_s", json!(71.5)),
        ("by_wall_clock", json!([])),
        ("cut_short", json!(false)),
        ("overrides", json!([])),
    ] {
        assert_eq!(written[name], value, "{name}");
    }
    assert_eq!(
        written["answers"],
        json!({"inside": "yes", "control": "yes", "control first": "yes", "survives": "yes", "crossing": "complete"})
    );
    assert_eq!(
        written["phases_s"],
        json!({"opened": 5.2, "first look": 8.0, "first mark": 17.1, "settled": 56.4, "ruled": 60.3, "announced": 71.5})
    );
    assert_eq!(written["proofs"]["control"], json!({"kind": "seen", "attested": true}));
    let proof = &written["proofs"]["control first"];
    let expected = json!({"kind": "order", "attested": false, "first": "control", "then": "touches down",
                          "verdict": "established"});
    for (field, value) in expected.as_object().expect("an object") {
        assert_eq!(&proof[field], value, "{field}");
    }
    // (329.5 − 288.5) · 1001/60000 + 0.0083; T²/6 and 4 ms.
    let close = |field: &str, value: f64| (proof[field].as_f64().expect("a number") - value).abs() < 1e-9;
    assert!(close("gap_s", 41.0 * 1001.0 / 60_000.0 + 0.0083), "{proof}");
    assert!(close("sigma_s", ((1001.0_f64 / 60_000.0).powi(2) / 6.0 + 0.004_f64.powi(2)).sqrt()), "{proof}");
    assert_eq!(
        written["marks"][2],
        json!({"moment": "touches down", "camera": "low wall", "timecode": "00:41:18;00", "exact": false, "clock_s": 277.0})
    );
    assert_eq!(written["marks"].as_array().map(Vec::len), Some(5), "the mark that was taken back is gone");
    assert_eq!((&written["situation"]["down"], &written["situation"]["to_go"]), (&json!(4), &json!(1.5)));
    assert_eq!((&written["after"]["down"], &written["after"]["spot"]), (&json!(1), &json!(45)));
    assert_eq!(record.at_snap().and_then(|situation| situation.down), Some(4));
}

#[test]
fn a_record_is_read_back_from_its_line_and_fits_its_schema() {
    let (desk, _) = ruled();
    let all = records::all(&desk.reader()).expect("read");
    let mut lines = Vec::new();
    jsonl::write(&all, &mut lines).expect("memory");
    let read = jsonl::read("own.jsonl", lines.as_slice()).expect("its own lines");
    assert_eq!(read.iter().map(|line| line.record.clone()).collect::<Vec<_>>(), all);
    let schema = schema("record").expect("a record has a schema");
    let schema = jsonschema::validator_for(&serde_json::to_value(schema).expect("JSON")).expect("a schema");
    let mut written = json_of(&all[0]);
    assert!(
        schema.is_valid(&written),
        "{:?}",
        schema.iter_errors(&written).map(|e| e.to_string()).collect::<Vec<_>>()
    );
    // Fields that others add are kept, and no fault.
    written["situation"]["wind"] = json!("none");
    written["marks"][0]["frame"] = json!(1204);
    written["theirs"] = json!(true);
    assert!(
        schema.is_valid(&written),
        "{:?}",
        schema.iter_errors(&written).map(|e| e.to_string()).collect::<Vec<_>>()
    );
    let kept: Record = serde_json::from_value(written.clone()).expect("a record");
    assert_eq!(json_of(&kept), written);
    written["duration_s"] = Value::Null;
    assert!(schema.is_valid(&written));
    written.as_object_mut().expect("an object").remove("duration_s");
    assert!(!schema.is_valid(&written));
}

/// The example that the format is documented with, its situations shortened.
#[test]
fn the_printed_record_is_read_and_nothing_of_it_is_lost() {
    let printed = json!({
        "id": "x", "review": "y", "engine": 1, "edition": "ab", "book": "saltmarsh", "game": "W03-QL-HK", "week": 3,
        "play": "Q2 4:41 4&1", "initiator": "coach-home", "official": "booth-07", "situation": {"down": 4},
        "tree": "inside-line", "call": "foul", "whistle": null, "answers": {"toes": "no", "facing": "no"},
        "proofs": {"toes": {
            "kind": "position", "line": "alignment line", "x": 39.2, "sigma": 0.04, "attested": false
        }},
        "marks": [{"moment": "snap", "camera": "B", "timecode": "00:41:17;22", "exact": true}],
        "possible": ["foul"], "finding": "foul", "established": true, "changed": false, "outcome": "confirmed",
        "after": {}, "won": false, "called_at": "2026-05-09T19:42:11.204Z",
        "phases_s": {"opened": 3.0, "first look": 6.1, "first mark": 19.8, "settled": 44.0, "ruled": 52.3, "announced": 61.0},
        "duration_s": 61.0, "cut_short": false, "overrides": [], "grade": null, "review_grade": null, "plain": null,
        "again_of": null
    });
    let record: Record = serde_json::from_value(printed.clone()).expect("a record");
    let mut written = json_of(&record);
    let fields = written.as_object_mut().expect("an object");
    fields.retain(|name, _| printed.get(name).is_some());
    assert_eq!(written, printed);
}

/// Times and outcome of a review after the first `after` commands of the script and one more at that stamp.
fn ended(after: usize, command: Command, at: Stamp) -> Vec<Record> {
    let (desk, challenge) = (Desk::with_notes(0), Challenge::demo());
    let mut log = desk.open();
    let mut session = challenge.start(&log, "r-1");
    challenge.play(&mut log, &mut session, &challenge.commands()[..after], 0);
    let attempt = Attempt { command: command_id(&session, after), at };
    let done = session.act(&mut log, challenge.desk(), &attempt, command).expect("written");
    assert!(matches!(done, Done::Events(_)), "{done:?}");
    records::all(&desk.reader()).expect("read")
}

#[test]
fn a_review_that_was_cut_short_says_so_and_states_no_finding() {
    let cut = Command::CutShort { reason: "the feed is gone".to_owned() };
    let all = ended(7, cut, stamp(30_000));
    let [record] = all.as_slice() else { panic!("one question: {all:?}") };
    assert!(record.cut_short);
    assert_eq!((record.outcome.as_str(), &record.finding, record.won), ("cut short", &None, None));
    assert_eq!((record.duration_s, record.answers.len()), (Some(30.0), 1));
    assert_eq!(record.phases_s["ruled"], None);
}

/// It ruled no game: the game went on as it was called.
#[test]
fn a_review_that_was_decided_and_never_announced_states_no_ruling() {
    let before_the_announcement = Challenge::demo().commands().len() - 1;
    let cut = Command::CutShort { reason: "the game was over".to_owned() };
    let all = ended(before_the_announcement, cut, stamp(90_000));
    let [record] = all.as_slice() else { panic!("one question: {all:?}") };
    assert_eq!(
        (record.cut_short, record.outcome.as_str(), record.duration_s),
        (true, "cut short", Some(90.0))
    );
    assert_eq!((&record.finding, record.won, &record.after, record.changed), (&None, None, &None, None));
    assert_eq!((record.phases_s["ruled"], record.phases_s["announced"]), (Some(60.3), None));
}

#[test]
fn durations_are_exact_within_a_boot_marked_across_one_and_never_negative() {
    let cut = || Command::CutShort { reason: "the power was gone".to_owned() };
    let same_boot_clock_set_back = Stamp { utc_ms: 0, ..stamp(30_000) };
    let next_boot = Stamp { boot: "boot-2".to_owned(), boot_ms: 5, ..stamp(90_000) };
    let next_boot_clock_set_back = Stamp { utc_ms: 0, ..next_boot.clone() };
    let marked = vec!["cut short".to_owned()];
    for (at, duration_s, by_wall_clock) in [
        (same_boot_clock_set_back, Some(30.0), vec![]),
        (next_boot, Some(90.0), marked),
        (next_boot_clock_set_back, None, vec![]),
    ] {
        let all = ended(7, cut(), at);
        assert_eq!((all[0].duration_s, &all[0].by_wall_clock), (duration_s, &by_wall_clock));
    }
}

#[test]
fn reviews_that_are_open_or_withdrawn_give_no_record() {
    let challenge = Challenge::demo();
    let desk = Desk::with_notes(0);
    let mut log = desk.open();
    let mut session = challenge.start(&log, "r-1");
    let commands = challenge.commands();
    challenge.play(&mut log, &mut session, &commands[..commands.len() - 1], 0);
    assert_eq!(records::all(&desk.reader()).expect("read"), []);
    assert_eq!(ended(3, Command::Withdraw, stamp(6_000)), []);
}

// PROPERTY: a log that reads its own export counts nothing twice
#[test]
fn a_log_that_reads_its_own_export_counts_nothing_twice_and_another_log_takes_it() {
    let (desk, challenge) = ruled();
    let own = records::all(&desk.reader()).expect("read");
    let mut text = Vec::new();
    jsonl::write(&own, &mut text).expect("memory");
    let lines = jsonl::read("own.jsonl", text.as_slice()).expect("records");
    let mut log = desk.open();
    let ids = records::own_ids(log.reader()).expect("read");
    assert_eq!(ids, BTreeSet::from(["r-1/1".to_owned()]));
    assert_eq!(import(&mut log, &act(), &ids, &lines).expect("imported").added, 0);

    let other = Desk::with_notes(0);
    let mut log = other.open();
    assert_eq!(import(&mut log, &act(), &BTreeSet::new(), &lines).expect("imported").added, 1);
    assert_eq!(records::all(log.reader()).expect("read"), own);
    let refused = Session::resume(
        &log,
        log::chain::label::ReviewId::new("r-1").expect("a label"),
        challenge.official(),
    );
    assert_eq!(
        refused.expect_err("a record is no review").to_string(),
        "there is no review `r-1` in the log"
    );
}
