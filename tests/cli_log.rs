//! `tellframe log`: run as a person runs it, with its exit status.

use crate::program::Data;
use field::exact::Yards;
use review::day::Command as Day;
use rules::game::advance::Did;
use rusqlite::Connection;
use serde_json::{Value, json};
use std::fs;
use std::path::Path;
use testing::challenge::Challenge;
use testing::day::{kickoff, play, session};
use testing::logs::{self, in_folder};

const RECORD: &str = r#"{"id":"x-1","edition":"ab","tree":"t","call":"c","answers":{},"outcome":"stands","called_at":"2026-05-09T19:42:11.204Z","duration_s":61.0,"theirs":1}"#;

/// A data folder with the demo's challenge in its log, and a second one that was left open.
fn desk() -> Data {
    let (data, challenge) = (Data::new(), Challenge::demo());
    let mut log = in_folder(data.folder.path());
    challenge.rule(&mut log, "r-1");
    let mut session = challenge.start(&log, "r-2");
    challenge.play(&mut log, &mut session, &challenge.commands()[..7], 0);
    data
}

fn tamper(data: &Data, sql: &str) {
    logs::tamper(&data.file("log.sqlite"), sql);
}

#[test]
fn a_whole_log_verifies_and_a_changed_one_is_named_with_status_one() {
    let data = desk();
    let ran = data.run(&["log", "verify"]);
    assert_eq!((ran.status, ran.out.starts_with("whole: ")), (0, true), "{} {}", ran.out, ran.err);
    let whole = data.run(&["log", "verify", "--json"]).json();
    assert_eq!((&whole["whole"], &whole["editions"], &whole["newer"]), (&json!(true), &json!(1), &json!(0)));
    // The log named by its path is the same log.
    let log = data.file("log.sqlite");
    assert_eq!(data.run(&[Path::new("log"), Path::new("verify"), &log]).out, ran.out);
    tamper(&data, "UPDATE entries SET bytes = CAST('x' AS BLOB) WHERE seq = 5");
    let ran = data.run(&["log", "verify"]);
    assert_eq!(ran.status, 1);
    assert_eq!(ran.out, "broken: entry 5 was changed: its hash is not that of its bytes\n");
    let broken = data.run(&["log", "verify", "--json"]);
    assert_eq!((broken.status, &broken.json()["entry"]), (1, &json!(5)));
}

#[test]
fn a_cut_tail_is_seen_against_an_exported_head() {
    let data = desk();
    let head = data.file("head.json");
    let (text, name) = (head.display().to_string(), "--head");
    assert_eq!(
        data.run(&["log", "export", name, &text, "--out", &data.file("r.jsonl").display().to_string()])
            .status,
        0
    );
    assert_eq!(data.run(&["log", "verify", name, &text]).status, 0);
    assert_eq!(data.run(&["log", "head"]).out, fs::read_to_string(&head).expect("written"));
    let entries = data.run(&["log", "head"]).json()["entries"].as_u64().expect("a number");
    tamper(&data, &format!("DELETE FROM entries WHERE seq = {entries}"));
    fs::remove_file(data.file("log.sqlite.head")).expect("removed");
    assert_eq!(data.run(&["log", "verify"]).status, 0, "without the head it is a whole, shorter log");
    let ran = data.run(&["log", "verify", name, &text]);
    assert_eq!(ran.status, 1);
    assert_eq!(
        ran.out,
        format!(
            "broken: entry {entries} and all after it were cut off: the exported head counts {entries}\n"
        )
    );
}

#[test]
fn reviews_are_listed_and_one_is_told_with_its_ruling() {
    let data = desk();
    let ran = data.run(&["log", "show"]);
    assert_eq!(
        ran.out,
        "r-1  2026-05-09T19:42:11.204Z  booth-07  W03-MO-HK  Q2 4:41 4&1.5  announced  catch-beyond-wall: reversed\n\
         r-2  2026-05-09T19:42:11.204Z  booth-07  W03-MO-HK  Q2 4:41 4&1.5  open\n"
    );
    let told = data.run(&["log", "show", "r-1"]).out;
    for line in [
        "   0    0.000 s  the home coach challenges: Q2 4:41 4&1.5 in W03-MO-HK, week 3",
        "   7   20.300 s  looked at `control` frame by frame on near side",
        "   8   24.800 s  marked `control` on low wall at 00:41:17;19  (taken back)",
        "  14   37.800 s  answered `control first`: yes (measured: control 692 ms before touches down ± 7.9 ms, \
         established, 1.0000)",
        "challenge:   won",
        "question:    `catch-beyond-wall` reversed: complete, established",
    ] {
        assert!(told.lines().any(|found| found == line), "{line}\n{told}");
    }
    let log = data.file("log.sqlite").display().to_string();
    assert_eq!(data.run(&["log", "show", &log, "r-1"]).out, told);
    let one = data.run(&["log", "show", "r-1", "--json"]).json();
    assert_eq!((&one["phase"], &one["over"]), (&json!("announced"), &json!(true)));
    assert_eq!(one["events"][1]["kind"], "review.asked");
    assert_eq!(data.run(&["log", "show", "--json"]).json().as_array().map(Vec::len), Some(2));
    let ran = data.run(&["log", "show", "r-9"]);
    assert_eq!(
        (ran.status, ran.err.contains("there is no file and no review, game or ruling `r-9`")),
        (2, true),
        "{}",
        ran.err
    );
}

#[test]
fn records_go_out_of_one_log_and_into_another_once() {
    let (data, other) = (desk(), Data::new());
    let out = data.file("records.jsonl").display().to_string();
    assert_eq!(data.run(&["log", "export", "--out", &out]).status, 0);
    let lines = fs::read_to_string(&out).expect("written");
    assert_eq!(data.run(&["log", "export"]).out, lines);
    assert_eq!(lines.lines().count(), 1);
    fs::write(&out, format!("{lines}{RECORD}\n")).expect("written");
    // The other desk has no log yet: it is made, with its key.
    let ran = other.run(&["log", "import", &out, "--as", "supervisor-1"]);
    assert_eq!((ran.status, ran.out.as_str()), (0, "2 records added, 0 known already\n"), "{}", ran.err);
    assert_eq!(other.run(&["log", "import", &out]).out, "0 records added, 2 known already\n");
    assert_eq!(data.run(&["log", "import", &out]).out, "1 records added, 1 known already\n");
    let log = other.file("log.sqlite").display().to_string();
    assert_eq!(data.run(&["log", "import", &log, &out, "--json"]).json()["skipped"], 2);
    let again = other.run(&["log", "export"]).out;
    assert_eq!(again.lines().next(), lines.lines().next());
    assert!(again.contains(r#""theirs":1"#), "{again}");
    for desk in [&data, &other] {
        assert_eq!(desk.run(&["log", "verify"]).status, 0);
    }
}

#[test]
fn a_parquet_table_needs_a_file_and_gets_one() {
    let data = desk();
    let refused = data.run(&["log", "export", "--format", "parquet"]);
    assert_eq!((refused.status, refused.err.contains("a Parquet table needs a file")), (2, true));
    let out = data.file("records.parquet");
    assert_eq!(data.run(&["log", "export", "--out", &out.display().to_string()]).status, 0);
    let bytes = fs::read(&out).expect("written");
    assert!(bytes.starts_with(b"PAR1") && bytes.ends_with(b"PAR1"));
}

#[test]
fn what_is_no_record_is_named_line_by_line_and_nothing_is_imported() {
    let data = desk();
    let bad = data.file("bad.jsonl");
    fs::write(&bad, format!("{RECORD}\n{{\"id\":3}}\nnot JSON\n")).expect("written");
    let ran = data.run(&["log", "import", &bad.display().to_string()]);
    assert_eq!(ran.status, 2);
    assert!(
        ran.err
            .contains("bad.jsonl:2: field `id`: a text in double quotes must stand here, not the number 3"),
        "{}",
        ran.err
    );
    assert!(ran.err.contains("bad.jsonl:3: not JSON at column"), "{}", ran.err);
    assert_eq!(data.run(&["log", "verify", "--json"]).json()["imported"], 0);
}

/// Whatever a file holds, every command answers with a status and a message.
#[test]
fn no_file_makes_a_command_panic() {
    let data = desk();
    let whole = fs::read(data.file("log.sqlite")).expect("read");
    let mut damaged = whole.clone();
    damaged.iter_mut().skip(4096).step_by(97).for_each(|byte| *byte ^= 0x5a);
    let files: [(&str, Vec<u8>); 6] = [
        ("empty.sqlite", Vec::new()),
        ("text.sqlite", b"not a database, but long enough to be looked at as one".repeat(40)),
        ("half.sqlite", whole[..whole.len() / 2].to_vec()),
        ("damaged.sqlite", damaged),
        ("record.jsonl", RECORD.as_bytes().to_vec()),
        ("binary.jsonl", (0..=255).collect()),
    ];
    for (name, bytes) in files {
        let folder = Data::new();
        let path = folder.file(name);
        fs::write(&path, bytes).expect("written");
        let path = path.display().to_string();
        for command in ["verify", "show", "export", "import", "head"] {
            let ran = folder.run(&["log", command, &path]);
            assert!(!ran.err.contains("panicked"), "{command} {name}: {}", ran.err);
            let said = !ran.err.is_empty() || !ran.out.is_empty();
            assert!(ran.status == 0 || said, "{command} {name}: {}", ran.status);
            let good = command == "import" && name == "record.jsonl";
            assert_eq!(ran.status == 0, good, "{command} {name}: {} {}", ran.out, ran.err);
        }
        let head = folder.run(&["log", "verify", "--head", &path]);
        assert_eq!(head.status, 2, "{name}: {}", head.err);
    }
}

#[test]
fn a_folder_without_a_log_is_said_to_have_none() {
    let data = Data::new();
    for command in ["verify", "show", "export", "head"] {
        let ran = data.run(&["log", command]);
        assert_eq!(ran.status, 2, "{command}");
        assert!(ran.err.starts_with("error: there is no log at "), "{}", ran.err);
    }
}

#[test]
fn the_trace_is_a_file_in_the_data_folder_and_a_folder_that_takes_none_stops_nothing() {
    let data = Data::new();
    let ran = data.run(&["schema", "record"]);
    assert_eq!((ran.status, ran.err.as_str()), (0, ""));
    let traces: Vec<_> = fs::read_dir(data.file("traces")).expect("made").collect();
    assert_eq!(traces.len(), 1);
    let text = fs::read_to_string(traces[0].as_ref().expect("listed").path()).expect("read");
    assert!(text.contains("tellframe"), "{text}");
    // A file stands where the folder should be, so that not even root can write there.
    let data = Data::new();
    fs::write(data.file("traces"), b"").expect("written");
    let ran = data.run(&["schema", "record"]);
    assert_eq!((ran.status, ran.err.as_str()), (0, ""));
    let ran = data.run(&["-v", "schema", "record"]);
    assert_eq!(ran.status, 0);
    assert_eq!(ran.err.matches("no trace is kept: ").count(), 1, "{}", ran.err);
}

// PROPERTY: exports and audits have the grades that stand, and no letter is in the chain
#[test]
fn grades_letters_and_answers_are_kept_and_an_export_has_the_grades_that_stand() {
    let data = desk();
    let (log, key) = (data.file("log.sqlite").display().to_string(), "r-1/1");
    let run = |words: &[&str]| data.run(words);
    let grade = |more: &[&str]| run(&[&["log", "grade", key, &log, "--json"], more].concat());
    assert_eq!(grade(&["--call", "correct call"]).status, 0);
    let refused = grade(&["--call", "missed call"]);
    assert_eq!((refused.status, refused.err.contains("needs a reason")), (1, true), "{}", refused.err);
    let ran = grade(&["--call", "missed call", "--reason", "the high end shows the toes"]);
    let graded = ran.json();
    assert_eq!((&graded["grade"], &graded["grades"][0]["superseded"]), (&json!("missed call"), &json!(true)));
    assert_eq!(grade(&["--challenge", "plain, by the crew"]).json()["plain"], json!(true));
    assert_eq!(grade(&["--review", "too long"]).status, 0);
    let poor = ["--poor", "far corner", "--sight-line", "along the line", "--reason", "too flat"];
    assert_eq!(grade(&poor).json()["grades"][4]["camera"], json!("far corner"));
    assert_eq!(grade(&["--position", "umpire"]).json()["crew_position"], json!("umpire"));
    assert_eq!(grade(&["--position", "back judge"]).status, 1);
    assert_eq!(grade(&["--position", "back judge", "--reason", "the umpire was away"]).status, 0);
    assert_eq!(grade(&["--call", "fine"]).status, 2);
    assert_eq!(run(&["log", "grade", "nobody", &log, "--good"]).status, 2);

    let appeal =
        ["log", "appeal", key, &log, "--as", "crew-3", "--grade", "call", "--text", "his heel was on it"];
    assert_eq!(run(&appeal).status, 0);
    let inquiry = ["log", "inquire", key, &log, "--club", "Harbour Kites", "--text", "why no foul?"];
    assert_eq!(run(&inquiry).status, 0);
    assert_eq!(run(&["log", "grades", &log, "--open", "--json"]).json().as_array().map(Vec::len), Some(1));
    for (letter, status) in [("1", 0), ("1", 1), ("2", 0), ("3", 1)] {
        let answer = ["log", "answer", key, &log, "--letter", letter, "--text", "the grade stands"];
        assert_eq!(run(&answer).status, status, "{letter}");
    }
    assert_eq!(run(&["log", "grades", &log, "--open", "--json"]).out, "[]\n");

    let exported = run(&["log", "export", &log]).json();
    for (name, says) in [
        ("grade", json!("missed call")),
        ("crew_position", json!("back judge")),
        ("review_grade", json!("too long")),
        ("plain", json!(true)),
    ] {
        assert_eq!(exported[name], says, "{name}");
    }
    let audited = run(&["audit", &log, "--json"]).json();
    assert_eq!(audited["grades"]["calls"]["missed call"]["count"], json!(1));
    assert_eq!(run(&["log", "verify", &log]).status, 0);
    // Free text lies beside the chain, not in it.
    let raw = Connection::open(data.file("log.sqlite")).expect("opened");
    let inside: i64 = raw
        .query_row("SELECT count(*) FROM entries WHERE instr(bytes, CAST('heel was' AS BLOB))", [], |row| {
            row.get(0)
        })
        .expect("counted");
    assert_eq!(inside, 0);
}

/// `tests/golden/kept-log/` is a log of an earlier version, with what that version printed of it.
#[test]
fn a_log_of_an_earlier_version_is_shown_as_it_was() {
    let data = Data::new();
    let kept = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/golden/kept-log");
    let log = data.file("log.sqlite").display().to_string();
    for file in ["log.sqlite", "log.sqlite.head"] {
        fs::copy(kept.join(file), data.file(file)).expect("copied");
    }
    let shown = fs::read_to_string(kept.join("show.json")).expect("it is there");
    let shown: serde_json::Map<String, Value> = serde_json::from_str(&shown).expect("JSON");
    assert_eq!(shown.len(), 10);
    for (command, expected) in shown {
        let words = command.split(' ').map(|word| if word == "LOG" { log.as_str() } else { word });
        let ran = data.run(&words.chain(["--json"]).collect::<Vec<_>>());
        assert_eq!(ran.json(), expected, "{command}");
    }
}

/// The game has a kick, a run that was reviewed, and the coming play.
#[test]
fn a_play_that_was_not_reviewed_is_graded_and_shown_with_its_game() {
    let (data, challenge) = (Data::new(), Challenge::demo());
    let mut log = in_folder(data.folder.path());
    let commands = [
        Day::Set(kickoff(&challenge)),
        play(Did::Kicked { to: Yards::whole(35) }, 893),
        play(Did::Down { at: Yards::whole(21) }, 860),
        Day::Review { review: "r-1".to_owned(), play: 1 },
    ];
    session(&mut log, &challenge, &commands);
    drop(log);
    let grade = |play: &str, more: &[&str]| {
        let grade = ["log", "grade", "W03-HK-MO", "--play", play, "--call", "missed call"];
        data.run(&[&grade[..], more].concat())
    };
    let line = "grade:       play 0: missed call, by supervisor";
    let ran = grade("0", &[]);
    assert_eq!((ran.status, ran.out), (0, format!("W03-HK-MO\n{line}\n")), "{}", ran.err);
    for (play, because) in [
        ("0", "play 0 is graded already, and a new grade needs a reason"),
        ("1", "play 1 was reviewed"),
        ("2", "play 2 was not run"),
        ("9", "there is no play 9: the game has 3, counted from 0"),
    ] {
        let ran = grade(play, &[]);
        assert_eq!((ran.status, ran.err.contains(because)), (1, true), "{}", ran.err);
    }
    let ran = grade("0", &["--reason", "the foot was out", "--json"]).json();
    assert_eq!(ran["grades"][1]["reason"], "the foot was out");
    let shown = data.run(&["log", "show", "W03-HK-MO"]).out;
    assert!(shown.contains(&format!("{line} (superseded)\n{line}: the foot was out\n")), "{shown}");
    let shown = data.run(&["log", "show", "W03-HK-MO", "--json"]).json();
    assert_eq!(shown["grades"].as_array().map(Vec::len), Some(2));
}
