//! Ruled questions answered again, blind: the sheet says nothing of the ruling, and what comes back is checked and kept.

use crate::program::Data;
use log::chain::entry::NewEntry;
use log::forms;
use log::store::verify::Trust;
use log::streams::read;
use review::event::Found;
use review::second_look::{Entered, Event};
use review::stance::Outcome;
use serde_json::{Value, json};
use std::collections::BTreeMap;
use std::fs;
use testing::challenge::Challenge;
use testing::logs::{Desk, act, append, golden_entry, golden_line, in_folder};

/// Bodies as form 1 wrote them on its first day. Never edited: a new form gets a new file.
const FORM_1: &str = include_str!("golden/again-form-1.jsonl");

/// A log with the demo's challenge, ruled by `booth-07`.
struct Booth {
    data: Data,
    log: String,
    sheet: String,
}

impl Booth {
    fn new() -> Booth {
        let data = Data::new();
        Challenge::demo().rule(&mut in_folder(data.folder.path()), "r-1");
        let path = |name: &str| data.file(name).display().to_string();
        let (log, sheet) = (path("log.sqlite"), path("sheet.json"));
        Booth { data, log, sheet }
    }

    fn draw(&self, more: &[&str]) -> (i32, String) {
        let draw = ["log", "again", "draw", &self.log, "--reviews", "5", "--seed", "1"];
        let over = ["--out", &self.sheet, "--force"];
        let ran = self.data.run(&[&draw[..], &over, more].concat());
        (ran.status, ran.out + &ran.err)
    }

    fn enter(&self, by: &str, more: &[&str]) -> (i32, String) {
        let enter = ["log", "again", "enter", &self.log, &self.sheet, "--by", by];
        let ran = self.data.run(&[&enter[..], more].concat());
        (ran.status, ran.out + &ran.err)
    }

    fn drawn(&self) -> Value {
        serde_json::from_str(&fs::read_to_string(&self.sheet).expect("written")).expect("JSON")
    }

    /// Fills in answers by step.
    fn answer(&self, answers: &[(&str, &str)]) {
        let mut sheet = self.drawn();
        for step in sheet["reviews"][0]["steps"].as_array_mut().expect("steps") {
            let given = answers.iter().find(|(name, _)| step["step"] == *name);
            step["answer"] = json!(given.map_or("", |(_, answer)| *answer));
        }
        fs::write(&self.sheet, sheet.to_string()).expect("written");
    }

    fn exported(&self) -> Vec<Value> {
        let out = self.data.run(&["log", "export", &self.log]).out;
        out.lines().map(|line| serde_json::from_str(line).expect("a record")).collect()
    }
}

// PROPERTY: a sheet says nothing of how it was ruled
#[test]
fn a_sheet_says_what_was_asked_and_nothing_of_how_it_was_ruled() {
    let booth = Booth::new();
    assert_eq!(booth.draw(&[]).0, 0);
    let (sheet, text) = (booth.drawn(), fs::read_to_string(&booth.sheet).expect("written"));
    let asked = &sheet["reviews"][0];
    assert_eq!(
        (&asked["tree"], &asked["call"], &asked["number"], &asked["situation"]["down"]),
        (&json!("catch-beyond-wall"), &json!("incomplete"), &json!(1), &json!(4))
    );
    let steps = asked["steps"].as_array().expect("steps");
    assert!(steps.len() > 4 && steps.iter().all(|step| step["answer"] == json!("")), "{text}");
    // Camera and timecode say where to look, sorted; nothing says what was seen there, by whom and how it ended.
    let picture = json!({"camera": "high end", "timecode": "00:41:17;19"});
    assert!(asked["pictures"].as_array().is_some_and(|all| all.contains(&picture)), "{text}");
    for told in ["booth-07", "reversed", "r-1", "W03-MO-HK", "touches down\"", "\"moment\"", "\"x\""] {
        assert!(!text.contains(told), "{told}: {text}");
    }
    let schema = formats::schema::schema("again").expect("a sheet has a schema");
    let schema = jsonschema::validator_for(&serde_json::to_value(schema).expect("JSON")).expect("a schema");
    assert!(schema.is_valid(&sheet));
}

// PROPERTY: a second look counts in agreement alone
#[test]
fn a_second_look_is_kept_beside_the_first_and_counts_in_agreement_alone() {
    let booth = Booth::new();
    assert_eq!(booth.draw(&[]).0, 0);
    booth.answer(&[("inside", "yes"), ("control", "no")]);
    let before = booth.exported();
    let (status, told) = booth.enter("booth 11", &["--dry-run"]);
    assert_eq!((status, told.contains("1 question would be entered")), (0, true), "{told}");
    assert_eq!(booth.exported(), before);
    let (status, told) = booth.enter("booth 11", &[]);
    assert_eq!((status, told.contains("reversed")), (0, false), "the official stays blind: {told}");

    let after = booth.exported();
    let (first, again) = (&before[0], &after[1]);
    assert_eq!(after[0], *first);
    for (field, says) in [
        ("again_of", &first["id"]),
        ("official", &json!("booth 11")),
        ("answers", &json!({"inside": "yes", "control": "no"})),
        ("outcome", &json!("confirmed")),
        ("duration_s", &Value::Null),
        ("marks", &json!([])),
        ("edition", &first["edition"]),
        ("game", &first["game"]),
    ] {
        assert_eq!(&again[field], says, "{field}");
    }
    let audited = booth.data.run(&["audit", &booth.log, "--json"]).json();
    let counts = [&audited["rulings"], &audited["re_reviews"], &audited["agreement"]["pairs"]];
    assert_eq!(counts, [&json!(1), &json!(1), &json!(1)]);
    assert_eq!(audited["tempo"]["count"], json!(1));
    assert_eq!(audited["inconsistent"][0]["records"], json!([first["id"], again["id"]]));
    assert_eq!(booth.data.run(&["log", "verify", &booth.log]).status, 0);

    // A log that reads its own export counts nothing twice.
    let lines = booth.data.file("own.jsonl").display().to_string();
    assert_eq!(booth.data.run(&["log", "export", &booth.log, "--out", &lines]).status, 0);
    assert_eq!(booth.data.run(&["log", "import", &lines]).status, 0);
    assert_eq!(booth.exported().len(), 2);
}

// PROPERTY: an official never re-reviews their own ruling, nor one ruling twice
#[test]
fn nobody_looks_at_his_own_ruling_nor_twice() {
    let booth = Booth::new();
    assert_eq!(booth.draw(&[]).0, 0);
    booth.answer(&[("inside", "yes"), ("control", "no")]);
    let (status, told) = booth.enter("Booth 7", &[]);
    assert_eq!((status, told.contains("number 1 was ruled by booth-07")), (1, true), "{told}");
    assert_eq!(booth.enter("booth 11", &[]).0, 0);
    let (status, told) = booth.enter("booth-11", &[]);
    assert_eq!((status, told.contains("booth 11 has looked at number 1 again before")), (1, true), "{told}");
    assert_eq!(booth.exported().len(), 2);
    for (name, status) in [("booth-07", 1), ("booth 11", 1), ("booth-12", 0)] {
        assert_eq!(booth.draw(&["--for", name]).0, status, "{name}");
    }
    assert_eq!(booth.draw(&["--question", "inside-line"]).0, 1);
}

#[test]
fn every_wrong_field_is_named_with_its_place_and_nothing_is_entered() {
    let booth = Booth::new();
    assert_eq!(booth.draw(&[]).0, 0);
    let drawn = booth.drawn();
    booth.answer(&[("inside", "yess"), ("control", "perhaps")]);
    let (status, told) = booth.enter("booth 11", &[]);
    assert_eq!(status, 2, "{told}");
    for part in [
        "number 1: `inside`: the step `inside` has no answer `yess`",
        "number 1: `control`: the step `control` has no answer",
    ] {
        assert!(told.contains(part) && told.contains("sheet.json"), "{told}");
    }
    // Not answered to an end, or not at all: an answer of the program, and no fault of the file.
    for (answers, part) in [
        (&[("inside", "yes")][..], "the answers to number 1 do not settle it yet"),
        (&[], "no question of the sheet is answered"),
    ] {
        booth.answer(answers);
        let (status, told) = booth.enter("booth 11", &[]);
        assert_eq!((status, told.contains(part)), (1, true), "{told}");
    }
    for (change, part) in [
        (json!({"number": 2}), "it has 1 numbers"),
        (json!({"call": "complete"}), "it is about `incomplete` of `catch-beyond-wall`"),
    ] {
        let mut sheet = drawn.clone();
        sheet["reviews"][0]["steps"][0]["answer"] = json!("yes");
        for (field, value) in change.as_object().expect("fields") {
            sheet["reviews"][0][field] = value.clone();
        }
        fs::write(&booth.sheet, sheet.to_string()).expect("written");
        let (status, told) = booth.enter("booth 11", &[]);
        assert_eq!((status, told.contains(part)), (2, true), "{told}");
    }
    let mut sheet = drawn;
    sheet["sheet"] = json!("sheet-of-another-log");
    fs::write(&booth.sheet, sheet.to_string()).expect("written");
    let (status, told) = booth.enter("booth 11", &[]);
    assert_eq!((status, told.contains("was not drawn from")), (2, true), "{told}");
    fs::write(&booth.sheet, "{\"sheet\": 3").expect("written");
    assert_eq!(booth.enter("booth 11", &[]).0, 2);
    assert_eq!(booth.exported().len(), 1);
}

#[test]
fn a_sheet_of_ron_comes_back_as_it_was_written() {
    let mut booth = Booth::new();
    booth.sheet = booth.data.file("sheet.ron").display().to_string();
    assert_eq!(booth.draw(&[]).0, 0);
    let text = fs::read_to_string(&booth.sheet).expect("written");
    let filled = text.replacen("answer: \"\"", "answer: \"no\"", 1);
    fs::write(&booth.sheet, &filled).expect("written");
    let (status, told) = booth.enter("booth 11", &[]);
    assert!(status < 2, "{told} {filled}");
}

fn events() -> [Event; 2] {
    let own = |text: &str| text.to_owned();
    let options = |all: &[&str]| all.iter().map(|one| own(one)).collect::<Vec<_>>();
    let found = Found {
        tree: own("catch-beyond-wall"),
        call: own("incomplete"),
        possible: options(&["complete", "touchdown"]),
        finding: None,
        outcome: Outcome::Reversed,
        label: own("reversed"),
        established: true,
        settled: true,
        moot: false,
    };
    let answers = [("control", options(&["yes"])), ("crossing", options(&["complete", "touchdown"]))];
    [
        Event::Drawn {
            seed: u64::MAX,
            question: None,
            official: Some(own("booth-11")),
            records: options(&["r-2/1", "r-1/1"]),
        },
        Event::Entered(Box::new(Entered {
            number: 2,
            record: own("r-1/1"),
            answers: BTreeMap::from(answers.map(|(step, options)| (own(step), options))),
            engine: 3,
            found,
        })),
    ]
}

#[test]
fn events_are_written_as_on_their_first_day_and_read_back() {
    let desk = Desk::with_notes(0);
    let new =
        events().map(|event| forms::entry_of(act(), ("sheet-1", 0), &event, None).expect("can be stored"));
    let first = append(&mut desk.open(), "c", &new).entries[0].0;
    let mut lines = String::new();
    for entry in desk.reader().entries(first).expect("read") {
        lines += &golden_line(&entry.entry().expect("of the known form"));
    }
    assert_eq!(lines, FORM_1);
    for (line, event) in FORM_1.lines().zip(events()) {
        let entry = golden_entry(line);
        let (sheet, read) =
            read::event_of::<Event>(&desk.reader(), &entry).expect("readable").expect("a second look");
        assert_eq!((sheet.as_str(), read.event), ("sheet-1", event));
    }
}

#[test]
fn an_answer_to_what_was_not_drawn_is_named_by_verify() {
    let desk = Desk::with_notes(1);
    let [drawn, entered] = events();
    let new = |sheet: &str, event: &Event| -> NewEntry {
        forms::entry_of(act(), (sheet, 0), event, None).expect("made")
    };
    append(&mut desk.open(), "whole", &[new("sheet-1", &drawn), new("sheet-1", &entered)]);
    assert!(desk.verdict(&Trust::OwnKeys, None).starts_with("whole"));
    append(&mut desk.open(), "odd", &[new("sheet-2", &entered)]);
    let verdict = desk.verdict(&Trust::OwnKeys, None);
    assert!(verdict.contains("entry 5") && verdict.contains("number 2 of the sheet `sheet-2`"), "{verdict}");
}
