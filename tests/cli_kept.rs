//! The head beside a log on the command line: what `log verify` says of it, and how one goes on after a loss.

use crate::program::Data;
use serde_json::json;
use std::fs;
use testing::logs::tamper;

/// A log with one imported record, and the same once more with two: what a backup and the log after it are.
fn backed_up() -> (Data, Vec<u8>) {
    let data = Data::new();
    let record = |id: &str| {
        json!({"id": id, "edition": "ab", "tree": "t", "call": "c", "answers": {}, "outcome": "stands",
            "called_at": "2026-05-09T19:42:11.204Z", "duration_s": 61.0})
    };
    let import = |id: &str| {
        let file = data.file(&format!("{id}.jsonl")).display().to_string();
        fs::write(&file, record(id).to_string()).expect("written");
        assert_eq!(data.run(&["log", "import", &file]).status, 0);
    };
    import("x-1");
    let backup = fs::read(data.file("log.sqlite")).expect("read");
    import("x-2");
    (data, backup)
}

#[test]
fn verify_says_what_the_head_beside_the_log_is_worth() {
    let (data, _) = backed_up();
    let last = |data: &Data| data.run(&["log", "verify"]).out.lines().last().map(str::to_owned);
    assert_eq!(last(&data).as_deref(), Some("it agrees with the head kept beside it: 3 entries"));
    assert_eq!(data.run(&["log", "verify", "--json"]).json()["kept_head"], 3);

    let copy = Data::new();
    fs::copy(data.file("log.sqlite"), copy.file("log.sqlite")).expect("copied");
    let nothing = "no head is kept beside it: missing newest entries would go unnoticed";
    assert_eq!(last(&copy).as_deref(), Some(nothing));
    assert_eq!(copy.run(&["log", "export"]).out.lines().count(), 2, "a copy alone is read as ever");
    assert!(!copy.file("log.sqlite.head").exists(), "who reads writes nothing");

    fs::write(copy.file("log.sqlite.head"), "{").expect("written");
    let void = last(&copy).expect("a line");
    assert!(void.starts_with("the head kept beside it is ignored: EOF while parsing"), "{void}");
    let told = copy.run(&["log", "verify", "--json"]).json();
    assert_eq!((&told["whole"], &told["kept_head"]), (&json!(true), &json!(null)));
    assert!(told["kept_head_fault"].is_string(), "{told}");
}

// PROPERTY: work on an older backup resumes only with a signed act that gives the reason
#[test]
fn an_older_backup_is_gone_on_with_by_an_act_that_says_why() {
    let (data, backup) = backed_up();
    fs::write(data.file("log.sqlite"), backup).expect("restored");
    let fault = "entry 3 and all after it were cut off: the head kept beside the log counts 3";
    assert_eq!(data.run(&["log", "verify"]).out, format!("broken: {fault}\n"));
    let refused = data.run(&["log", "export"]);
    assert_eq!((refused.status, refused.out.as_str()), (2, ""));
    assert!(refused.err.contains(fault) && refused.err.contains("log accept-loss"), "{}", refused.err);

    assert_eq!(data.run(&["log", "accept-loss", "--reason", "  "]).status, 2, "the reason is asked for");
    let ran = data.run(&["log", "accept-loss", "--reason", "the disk died", "--as", "supervisor-1"]);
    assert_eq!(
        (ran.status, ran.out.as_str()),
        (0, "entry 3 accepts the loss: the log goes on without the entries up to 3 that its head counted\n"),
        "{}",
        ran.err
    );
    let verified = data.run(&["log", "verify"]);
    assert_eq!(verified.status, 0, "{}", verified.out);
    assert!(
        verified.out.contains("entries were lost before entry 3, which accepts the loss\n"),
        "{}",
        verified.out
    );
    assert_eq!(data.run(&["log", "export"]).out.lines().count(), 1);

    let again = data.run(&["log", "accept-loss", "--reason", "once more"]);
    assert_eq!(again.status, 2);
    assert!(again.err.contains("there is no loss to accept"), "{}", again.err);
    let told = data.run(&["log", "verify", "--json"]).json();
    assert_eq!((&told["losses"], &told["texts"]), (&json!([3]), &json!(1)), "the reason is kept: {told}");
}

/// A log that is forged besides cannot be continued.
#[test]
fn a_loss_is_accepted_of_a_whole_log_only() {
    let (data, backup) = backed_up();
    fs::write(data.file("log.sqlite"), backup).expect("restored");
    tamper(&data.file("log.sqlite"), "UPDATE entries SET signature = zeroblob(64) WHERE seq = 2");
    let refused = data.run(&["log", "accept-loss", "--reason", "the disk died"]);
    assert_eq!(refused.status, 2);
    assert!(refused.err.contains("entry 2 has a bad signature"), "{}", refused.err);
}
