//! Tables that no tellframe wrote: refused for reading and for writing, and named by `verify`, whatever was done to
//! them. What SQLite itself adds is accepted.

use log::Error;
use log::chain::blob::Blob;
use log::chain::entry::NewEntry;
use log::store::log::Log;
use log::store::reader::Reader;
use log::store::verify::{Trust, verify};
use rusqlite::Connection;
use std::fs;
use testing::logs::{Desk, act, append, command, head, key, note, rules};

/// Each with a column of its own.
const TABLES: [(&str, &str); 6] = [
    ("log", "one"),
    ("keys", "entry"),
    ("entries", "command"),
    ("editions", "entry"),
    ("blobs", "entry"),
    ("imported", "entry"),
];

const TRIGGERS: [&str; 3] =
    ["entries_are_never_changed", "entries_are_never_removed", "entries_are_only_appended"];

/// Rewrites the text of a table or trigger in place, as only a database tool can.
fn reworded(name: &str, from: &str, to: &str) -> String {
    format!(
        "PRAGMA writable_schema = ON;
         UPDATE sqlite_schema SET sql = replace(sql, '{from}', '{to}') WHERE name = '{name}';
         PRAGMA writable_schema = RESET;"
    )
}

/// What was done, and the message.
fn changes() -> Vec<(String, String)> {
    let mut changes = Vec::new();
    let mut change = |sql: String, says: String| changes.push((sql, says));
    for (table, column) in TABLES {
        for (moment, what) in [("BEFORE INSERT", "RAISE(IGNORE)"), ("AFTER INSERT", "1")] {
            change(
                format!("CREATE TRIGGER swallow {moment} ON {table} BEGIN SELECT {what}; END"),
                "the trigger `swallow` was added".to_owned(),
            );
        }
        change(format!("CREATE INDEX extra ON {table}({column})"), "the index `extra` was added".to_owned());
        let changed = format!("the table `{table}` was changed");
        change(reworded(table, " STRICT", ""), changed.clone());
        change(reworded(table, ") STRICT", ") /* as it was */ STRICT"), changed.clone());
        change(format!("ALTER TABLE {table} ADD COLUMN also INTEGER"), changed.clone());
        change(format!("ALTER TABLE {table} ADD COLUMN made INTEGER AS (1)"), changed.clone());
        // A view in its place, so that what is written goes nowhere.
        change(
            format!(
                "PRAGMA legacy_alter_table = ON; PRAGMA foreign_keys = OFF;
                 ALTER TABLE {table} RENAME TO aside; CREATE VIEW {table} AS SELECT * FROM aside;"
            ),
            changed,
        );
    }
    for table in ["log", "keys", "entries", "editions", "blobs"] {
        change(reworded(table, "CHECK (", "CHECK (1 OR "), format!("the table `{table}` was changed"));
    }
    change(reworded("keys", " DEFERRABLE INITIALLY DEFERRED", ""), "the table `keys` was changed".to_owned());
    for trigger in TRIGGERS {
        change(format!("DROP TRIGGER {trigger}"), format!("the trigger `{trigger}` is missing"));
        change(reworded(trigger, "an entry", "no entry"), format!("the trigger `{trigger}` was changed"));
    }
    change("DROP TABLE imported".to_owned(), "the table `imported` is missing".to_owned());
    change("CREATE TABLE aside (x)".to_owned(), "the table `aside` was added".to_owned());
    change("CREATE VIEW seen AS SELECT 1".to_owned(), "the view `seen` was added".to_owned());
    change(
        "CREATE TABLE once (x INTEGER PRIMARY KEY AUTOINCREMENT); DROP TABLE once".to_owned(),
        "the table `sqlite_sequence` was added".to_owned(),
    );
    change(
        "PRAGMA writable_schema = ON;
         INSERT INTO sqlite_schema VALUES ('view', 'sqlite_stat1', 'sqlite_stat1', 0,
             'CREATE VIEW sqlite_stat1 AS SELECT 1 AS tbl, 2 AS idx, 3 AS stat');
         PRAGMA writable_schema = RESET;"
            .to_owned(),
        "the view `sqlite_stat1` was added".to_owned(),
    );
    for version in [0, -1, i32::MIN] {
        change(
            format!("PRAGMA user_version = {version}"),
            format!("they claim version {version}, which was never published"),
        );
    }
    changes
}

// PROPERTY: tables that no tellframe wrote are refused, named and left alone
#[test]
fn tables_that_no_tellframe_wrote_are_refused_and_named_and_left_alone() {
    for (sql, says) in changes() {
        let desk = Desk::with_notes(2);
        let opened_before = desk.unverified();
        let raw = Connection::open(&desk.path).expect("opened");
        raw.execute_batch(&sql).expect(&sql);
        drop(raw);
        let due = format!("the log {} has tables that no tellframe wrote: {says}", desk.path.display());
        let told = |what: &str, said: Result<(), Error>| match said {
            Ok(()) => panic!("{what} took it: {sql}"),
            Err(error) => {
                assert_eq!(error.to_string(), due, "{what}: {sql}");
                assert!(error.help().is_some_and(|help| help.starts_with("do not write to it")));
            }
        };
        told("verify", verify(&opened_before, &Trust::OwnKeys, None).map(|_| ()));
        drop(opened_before);
        let before = fs::read(&desk.path).expect("read");
        told("the reader", Reader::open(&desk.path).map(|_| ()));
        told("the desk", Log::open(&desk.path, key(7)).map(|_| ()));
        assert!(fs::read(&desk.path).expect("read") == before, "the file was changed: {sql}");
    }
}

/// `ANALYZE` keeps statistics for the planner of queries; `VACUUM` and `REINDEX` write the same tables anew.
#[test]
fn what_sqlite_adds_by_itself_is_let_pass() {
    let desk = Desk::with_notes(3);
    let raw = Connection::open(&desk.path).expect("opened");
    raw.execute_batch("ANALYZE; VACUUM; REINDEX; PRAGMA optimize;").expect("tended");
    drop(raw);
    assert_eq!(desk.verdict(&Trust::OwnKeys, None), "whole, 4 entries");
    append(&mut desk.open(), "c-4", &[note("on it goes")]);
    assert_eq!(desk.verdict(&Trust::OwnKeys, None), "whole, 5 entries");
}

/// The tables are changed while the desk has the log open.
#[test]
fn an_act_into_tables_that_were_changed_meanwhile_is_not_acknowledged() {
    let desk = Desk::with_notes(1);
    let mut log = desk.open();
    let raw = Connection::open(&desk.path).expect("opened");
    raw.execute_batch("CREATE TRIGGER swallow AFTER INSERT ON blobs BEGIN DELETE FROM blobs; END")
        .expect("made");
    let before = head(&log);
    let text = note("with a text").with_blob(Blob::salted([1; 32], b"a text".to_vec()));
    let refused = log.append(before, &command("c-2"), std::slice::from_ref(&text)).expect_err("a trigger");
    assert!(refused.to_string().ends_with("the trigger `swallow` was added"), "{refused}");
    assert_eq!(log.reader().tip().expect("read").entries, 2);
    // What changes the tables and leaves them as they were is accepted.
    raw.execute_batch("DROP TRIGGER swallow").expect("dropped");
    log.append(before, &command("c-2"), &[text]).expect("appended");
    assert_eq!(desk.verdict(&Trust::OwnKeys, None), "whole, 3 entries");
}

/// A row that is there already gets another error than a row that a changed table swallowed.
#[test]
fn rows_that_are_there_already_are_not_swallowed_ones() {
    let desk = Desk::with_notes(0);
    let mut log = desk.open();
    let blob = Blob::salted([1; 32], b"a text".to_vec());
    let twice = [note("a").with_blob(blob.clone()), note("b").with_blob(blob)];
    append(&mut log, "c-1", &twice);
    let edition = NewEntry::edition_stored(act(), &rules()).expect("a label");
    append(&mut log, "c-2", std::slice::from_ref(&edition));
    let before = head(&log);
    let refused = log.append(before, &command("c-3"), &[edition]).expect_err("stored already");
    assert!(matches!(refused, Error::Beside(_)), "{refused:?}");
    assert_eq!(desk.verdict(&Trust::OwnKeys, None), "whole, 4 entries");
}
