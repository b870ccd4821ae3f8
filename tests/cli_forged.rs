//! Every command that takes a log refuses one that does not verify: it says which entry and what, ends with status 2,
//! and writes nothing.

use crate::program::{Data, Ran};
use log::chain::blob::Blob;
use std::collections::BTreeSet;
use std::fs;
use testing::challenge::Challenge;
use testing::logs::{append, in_folder, note, tamper};

/// A data folder with a ruled review and a text in its log, a sheet that was drawn from it, and records to import.
fn whole() -> Data {
    let data = Data::new();
    let mut log = in_folder(data.folder.path());
    Challenge::demo().rule(&mut log, "r-1");
    append(&mut log, "text", &[note("see the text").with_blob(Blob::salted([1; 32], b"kept".to_vec()))]);
    drop(log);
    let path = data.file("log.sqlite").display().to_string();
    let sheet = data.file("sheet.ron").display().to_string();
    let drawn = data.run(&["log", "again", "draw", &path, "--reviews", "1", "--seed", "7", "--out", &sheet]);
    assert_eq!(drawn.status, 0, "{}", drawn.err);
    let records = data.file("records.jsonl").display().to_string();
    assert_eq!(data.run(&["log", "export", "--out", &records]).status, 0);
    data
}

/// Ways to forge it, and the message about the first bad entry.
const FORGERIES: [(&str, &str); 7] = [
    (
        "UPDATE entries SET bytes = CAST(replace(CAST(bytes AS TEXT), 'reversed', 'confirmed') AS BLOB)
         WHERE instr(bytes, CAST('review.ruled' AS BLOB))",
        "was changed: its hash is not that of its bytes",
    ),
    ("DELETE FROM entries WHERE seq = 9", "entry 9 was removed"),
    (
        "UPDATE entries SET seq = 99 WHERE seq = 8; UPDATE entries SET seq = 8 WHERE seq = 9;
         UPDATE entries SET seq = 9 WHERE seq = 99",
        "entry 8 was moved: another entry stands in its place",
    ),
    ("UPDATE entries SET signature = zeroblob(64) WHERE seq = 5", "entry 5 has a bad signature"),
    (
        "UPDATE entries SET key = 'ffffffffffffffff' WHERE seq = 5",
        "entry 5 was changed: it names another key",
    ),
    ("UPDATE blobs SET bytes = CAST('kepd' AS BLOB)", "was changed"),
    ("UPDATE editions SET text = 'another book'", "is not borne out: the edition"),
];

/// What is run, in a folder with a log: the words after `tellframe --data FOLDER`; `{…}` stands for a file there.
const COMMANDS: &[&str] = &[
    "log show",
    "log show r-1",
    "log show r-1 --json --why",
    "log show r-1 --html {out}",
    "log export",
    "log export --out {out}",
    "log export --out {out}.parquet --head {out}",
    "log import {records} --log {log}",
    "log head",
    "log head --out {out}",
    "log accept-loss --reason so",
    "log certify r-1",
    "log certify r-1 --out {out}",
    "log grade r-1/1 --review right",
    "log inquire r-1/1 --club Kites --text why",
    "log appeal r-1/1 --grade review --text late",
    "log answer r-1/1 --letter 1 --text so",
    "log grades",
    "log again draw {log} --reviews 1 --seed 7 --out {out}",
    "log again enter {log} {sheet} --by booth-11",
    "precedent near docs/examples/exchange.ron",
    "precedent list",
    "precedent show p-1",
    "precedent approve p-1 --from 7 --reason so",
    "precedent narrow p-1 --from 7 --reason so --only down=4",
    "precedent withdraw p-1 --from 7 --reason so",
    "audit {log}",
    "audit {log} --out {out}",
    "rejudge {log} --book saltmarsh",
];

/// Commands of `log` that a broken log does not stop: one says what is wrong with it.
const SAYS_WHAT_IS_WRONG: [&str; 1] = ["verify"];

fn run(data: &Data, command: &str) -> Ran {
    let file = |name: &str| data.file(name).display().to_string();
    let words = command.split(' ').map(|word| {
        word.replace("{log}", &file("log.sqlite"))
            .replace("{out}", &file("out"))
            .replace("{records}", &file("records.jsonl"))
            .replace("{sheet}", &file("sheet.ron"))
    });
    data.run(&words.collect::<Vec<_>>())
}

/// A copy of the folder, its log forged.
fn forged(whole: &Data, sql: &str) -> Data {
    let data = Data::new();
    for file in fs::read_dir(whole.folder.path()).expect("listed") {
        let path = file.expect("listed").path();
        if path.is_file() {
            fs::copy(&path, data.file(&path.file_name().expect("a name").to_string_lossy())).expect("copied");
        }
    }
    tamper(&data.file("log.sqlite"), sql);
    data
}

// PROPERTY: every command that takes a log refuses a forged one and writes nothing
#[test]
fn every_command_refuses_a_forged_log_and_writes_nothing() {
    let whole = whole();
    for (sql, says) in FORGERIES {
        let data = forged(&whole, sql);
        let before = fs::read(data.file("log.sqlite")).expect("read");
        let broken = data.run(&["log", "verify"]);
        assert_eq!((broken.status, broken.out.contains(says)), (1, true), "{sql}: {}", broken.out);
        let fault = broken.out.trim_end().strip_prefix("broken: ").expect("it says what is wrong");
        for command in COMMANDS {
            let ran = run(&data, command);
            assert_eq!((ran.status, ran.out.as_str()), (2, ""), "{command} after {sql}: {}", ran.err);
            assert!(ran.err.contains(&format!("is broken: {fault}")), "{command} after {sql}: {}", ran.err);
            assert!(ran.err.contains("help: "), "{command} after {sql}: {}", ran.err);
            assert!(!data.file("out").exists() && !data.file("out.parquet").exists(), "{command} wrote");
        }
        assert_eq!(fs::read(data.file("log.sqlite")).expect("read"), before, "{sql}");
    }
}

/// The names of the commands that a page of help lists.
fn listed(data: &Data, of: &str) -> BTreeSet<String> {
    let help = data.run(&[of, "--help"]).out;
    let lines = help.lines().skip_while(|line| *line != "Commands:").skip(1);
    let named = lines.take_while(|line| !line.is_empty()).filter(|line| !line.starts_with("   "));
    named.filter_map(|line| line.split_whitespace().next()).map(str::to_owned).collect()
}

#[test]
fn no_command_that_takes_a_log_is_left_out_of_this_table() {
    let data = Data::new();
    for of in ["log", "precedent"] {
        let mut named: BTreeSet<String> = COMMANDS
            .iter()
            .filter_map(|command| command.strip_prefix(of)?.split_whitespace().next())
            .map(str::to_owned)
            .collect();
        named.insert("help".to_owned());
        if of == "log" {
            named.extend(SAYS_WHAT_IS_WRONG.map(str::to_owned));
        }
        assert_eq!(listed(&data, of), named, "{of}");
    }
}
