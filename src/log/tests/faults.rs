//! Faults of the machine: nothing is lost, and the person is told what to do.
//!
//! A full disk is simulated beside the code, in `src/log/store/log.rs`.

use log::Error;
use log::chain::entry::Reading;
use log::chain::hash;
use log::store::log::Log;
use log::store::reader::Reader;
use log::store::unverified::Unverified;
use log::store::verify::{Trust, Verdict, verify};
use std::fs;
use std::path::{Path, PathBuf};
use testing::logs::{Desk, act, append, command, head, key, note};

#[test]
fn a_second_desk_is_told_which_process_writes_and_may_read() {
    let desk = Desk::with_notes(1);
    let mut log = desk.open();
    let refused = Log::open(&desk.path, key(7)).expect_err("in use");
    assert_eq!(
        refused.to_string(),
        format!("the log {} is in use by another desk (process {})", desk.path.display(), std::process::id())
    );
    assert_eq!(refused.help(), Some("close the other desk; reading (show, verify, export) works meanwhile"));
    assert_eq!(desk.verdict(&Trust::OwnKeys, None), "whole, 2 entries");
    append(&mut log, "c-2", &[note("still the only writer")]);
    drop(log);
    desk.open();
}

#[test]
fn a_program_that_ignores_the_lock_is_still_kept_from_writing_in_between() {
    let desk = Desk::with_notes(1);
    let mut log = desk.open();
    let raw = rusqlite::Connection::open(&desk.path).expect("opened");
    raw.execute_batch("BEGIN IMMEDIATE").expect("held");
    let before = head(&log);
    let refused = log.append(before, &command("c-2"), &[note("x")]).expect_err("held");
    assert_eq!(refused.to_string(), format!("another program holds the log {}", desk.path.display()));
    raw.execute_batch("ROLLBACK").expect("let go");
    log.append(before, &command("c-2"), &[note("x")]).expect("appended");
}

/// Root may write everywhere, so that a folder's rights do not stop it; `/sys` does on Linux.
#[cfg(target_os = "linux")]
#[test]
fn a_folder_that_cannot_be_written_is_named() {
    use std::os::unix::fs::PermissionsExt as _;
    let folder = tempfile::tempdir().expect("a folder");
    fs::set_permissions(folder.path(), fs::Permissions::from_mode(0o555)).expect("set");
    let privileged = fs::File::create(folder.path().join("probe")).is_ok();
    let path = if privileged { Path::new("/sys/kernel").to_owned() } else { folder.path().to_owned() };
    let path = path.join("log.sqlite");
    let refused = Log::create(&path, key(7), act()).expect_err("read-only");
    let name = path.file_name().expect("a name").to_string_lossy().into_owned();
    let says = refused.to_string();
    assert!(says.starts_with("the log /") && says.contains(&name), "{says}");
    assert!(says.ends_with("cannot be written: its folder or file is read-only"), "{says}");
    assert!(refused.help().is_some_and(|help| help.starts_with("give yourself the right to write there")));
}

fn damaged(path: &Path) -> [String; 2] {
    [
        Log::open(path, key(7)).expect_err("damaged").to_string(),
        Reader::open(path).expect_err("damaged").to_string(),
    ]
}

#[test]
fn a_file_that_is_no_database_is_refused_and_left_alone() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().canonicalize().expect("there").join("log.sqlite");
    let text = "these are the minutes of a meeting, and no database\n".repeat(40);
    fs::write(&path, &text).expect("written");
    for says in damaged(&path) {
        assert_eq!(says, format!("the log {} is damaged: file is not a database", path.display()));
    }
    assert_eq!(fs::read_to_string(&path).expect("read"), text);

    fs::write(&path, "").expect("written");
    for says in damaged(&path) {
        assert_eq!(says, format!("the log {} is damaged: the file is empty", path.display()));
    }
}

#[test]
fn a_database_of_something_else_is_refused_and_left_alone() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().canonicalize().expect("there").join("log.sqlite");
    let raw = rusqlite::Connection::open(&path).expect("made");
    raw.execute_batch("CREATE TABLE recipes (name TEXT)").expect("made");
    drop(raw);
    let before = fs::read(&path).expect("read");
    for says in damaged(&path) {
        assert_eq!(says, format!("{} is a database, but not a log of tellframe", path.display()));
    }
    assert_eq!(fs::read(&path).expect("read"), before);
}

/// Every page but the first is overwritten in turn. Either the log cannot be opened, or `verify` says
/// that it is damaged or broken; it is never called whole.
#[test]
fn no_damaged_page_goes_unseen() {
    const PAGE: usize = 4096;
    let desk = Desk::with_notes(60);
    drop(desk.open()); // Closing moves all entries from the write-ahead file into the database.
    let sound = fs::read(&desk.path).expect("read");
    let pages = sound.len() / PAGE;
    assert!(pages > 10, "{pages} pages");
    for page in 1..pages {
        let mut bytes = sound.clone();
        bytes[page * PAGE..(page + 1) * PAGE].fill(0xa5);
        fs::write(&desk.path, &bytes).expect("written");
        match Unverified::open(&desk.path).and_then(|log| verify(&log, &Trust::OwnKeys, None)) {
            Ok(Verdict::Whole(_)) => panic!("page {page} is damaged and nobody noticed"),
            Ok(Verdict::Broken(_)) => {}
            Err(error) => {
                assert!(matches!(error, Error::Damaged { .. }), "page {page}: {error:?}");
                assert!(error.help().is_some_and(|help| help.contains("go back to the last backup")));
            }
        }
    }
}

#[test]
fn tables_of_a_newer_tellframe_are_left_alone() {
    let desk = Desk::with_notes(1);
    desk.tamper("PRAGMA user_version = 99");
    let refused = Log::open(&desk.path, key(7)).expect_err("newer");
    assert_eq!(
        refused.to_string(),
        format!("the log {} has tables of version 99; this tellframe knows up to 1", desk.path.display())
    );
    assert_eq!(refused.help(), Some("use the newer tellframe; this one changes nothing in the log"));
    assert!(matches!(Reader::open(&desk.path), Err(Error::NewerTables { .. })));
}

/// Appends what a newer tellframe would: another form, rightly hashed and signed.
fn append_newer_form(desk: &Desk) {
    let (id, tip) = (desk.reader().id(), desk.reader().tip().expect("read"));
    let bytes = br#"{"command":"c-9","form":3,"seen by":"two officials"}"#;
    let hash = hash::entry_hash(&id, &tip.head, bytes);
    let hex = |bytes: &[u8]| bytes.iter().map(|byte| format!("{byte:02x}")).collect::<String>();
    desk.tamper(&format!(
        "INSERT INTO entries VALUES ({}, x'{hash}', x'{}', x'{}', x'{}', '{}', 'c-9')",
        tip.entries + 1,
        tip.head,
        hex(bytes),
        key(7).sign(hash.as_bytes()),
        key(7).id(),
    ));
}

#[test]
fn an_entry_of_a_newer_form_verifies_and_is_passed_on_unread() {
    let desk = Desk::with_notes(1);
    append_newer_form(&desk);
    let verdict = verify(&desk.unverified(), &Trust::OwnKeys, None).expect("read");
    let Verdict::Whole(verified) = verdict else { panic!("{verdict:?}") };
    assert_eq!((verified.tip.entries, verified.newer), (3, 1));
    let newest = desk.reader().entries(3).expect("read").remove(0);
    assert_eq!(newest.read().expect("read"), Reading::Newer { form: 3 });
    let refused = newest.entry().expect_err("not to be folded").to_string();
    assert_eq!(refused, "entry 3 is of form 3; this tellframe reads up to form 2");
}

/// The machine stops while the desk runs: what is on the disk is the database and a write-ahead file of
/// any length. Whatever the length, the log opens with the first entries, all whole, and takes more.
#[test]
fn a_write_ahead_file_cut_at_any_length_leaves_a_whole_log() {
    let desk = Desk::with_notes(0);
    let mut log = desk.open();
    for number in 1..=4 {
        append(&mut log, &format!("c-{number}"), &[note(&format!("note {number}"))]);
    }
    let (database, wal) = (fs::read(&desk.path), fs::read(with_suffix(&desk.path, "-wal")));
    let (database, wal) = (database.expect("read"), wal.expect("the desk runs"));
    let mut lengths: Vec<u64> = Vec::new();
    for length in (0..=wal.len()).step_by(509).chain([wal.len()]) {
        let crashed = tempfile::tempdir().expect("a folder");
        let path = crashed.path().canonicalize().expect("there").join("log.sqlite");
        fs::write(&path, &database).expect("written");
        fs::write(with_suffix(&path, "-wal"), &wal[..length]).expect("written");
        let crashed = Desk { folder: crashed, path };
        let mut log = crashed.open();
        let entries = log.reader().tip().expect("read").entries;
        assert_eq!(crashed.verdict(&Trust::OwnKeys, None), format!("whole, {entries} entries"));
        append(&mut log, "after the crash", &[note("on it goes")]);
        lengths.push(entries);
    }
    assert!(lengths.is_sorted(), "{lengths:?}");
    assert_eq!((lengths.first(), lengths.last()), (Some(&1), Some(&5)));
}

fn with_suffix(path: &Path, suffix: &str) -> PathBuf {
    let mut name = path.as_os_str().to_owned();
    name.push(suffix);
    PathBuf::from(name)
}
