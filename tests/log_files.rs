//! The files of a log: their owner's alone, regular files with one name, and nothing that somebody laid in their way is
//! written through or destroyed.
#![cfg(unix)]

use log::chain::sign::Key;
use log::store::location::Location;
use log::store::log::Log;
use log::store::reader::Reader;
use log::store::verify::Trust;
use std::fs;
use std::os::unix::fs::{PermissionsExt as _, symlink};
use std::path::{Path, PathBuf};
use testing::logs::{Desk, act, append, key, note};

fn beside(log: &Path, suffix: &str) -> PathBuf {
    let mut name = log.as_os_str().to_owned();
    name.push(suffix);
    PathBuf::from(name)
}

fn mode(path: &Path) -> u32 {
    fs::symlink_metadata(path).expect("there").permissions().mode() & 0o777
}

fn set(path: &Path, mode: u32) {
    fs::set_permissions(path, fs::Permissions::from_mode(mode)).expect("set");
}

const MINUTES: &str = "the minutes of a meeting\n";

/// Something that can lie in the place of a file that goes with a log: how it is laid there, and what is said of it.
type Laid = (fn(&Path, &Path), &'static str);

const LAID: [Laid; 6] = [
    (|place, aim| symlink(aim, place).expect("laid"), "it is a link"),
    (|place, aim| symlink(beside(aim, ".nowhere"), place).expect("laid"), "it is a link"),
    (|place, _| symlink("/dev/null", place).expect("laid"), "it is a link"),
    (|place, aim| fs::hard_link(aim, place).expect("laid"), "it has a second name (a hard link)"),
    (|place, _| fs::create_dir(place).expect("laid"), "it is not a file"),
    (
        |place, _| {
            let made = std::process::Command::new("mkfifo").arg(place).status().expect("run");
            assert!(made.success());
        },
        "it is not a file",
    ),
];

/// What lies in a folder, but for what opening a log makes there.
fn listed(folder: &Path) -> Vec<(PathBuf, Option<PathBuf>)> {
    let entries = fs::read_dir(folder).expect("listed").map(|entry| entry.expect("listed").path());
    let mut all: Vec<_> = entries.map(|path| (path.clone(), fs::read_link(path).ok())).collect();
    all.retain(|(path, _)| !path.to_string_lossy().ends_with(".lock") || path.is_symlink() || path.is_dir());
    all.sort();
    all
}

// PROPERTY: nothing that lies in the place of a log's file is written through
#[test]
fn nothing_that_lies_in_the_place_of_a_logs_file_is_written_through() {
    for suffix in ["-wal", "-shm", ".lock", "-journal"] {
        for (lay, says) in LAID {
            let desk = Desk::with_notes(2);
            drop(desk.open());
            let aim = desk.folder.path().join("minutes.txt");
            fs::write(&aim, MINUTES).expect("written");
            let place = beside(&desk.path, suffix);
            if place.exists() {
                fs::remove_file(&place).expect("removed");
            }
            lay(&place, &aim);
            let (log, before) = (fs::read(&desk.path).expect("read"), listed(desk.folder.path()));
            let due = format!("cannot use {}: {says}", place.display());
            let refused = Log::open(&desk.path, key(7)).expect_err(&due);
            assert_eq!(refused.to_string(), due);
            assert!(refused.help().is_some());
            // A reader takes no lock.
            if suffix != ".lock" {
                assert_eq!(Reader::open(&desk.path).expect_err(&due).to_string(), due);
            }
            assert_eq!(fs::read_to_string(&aim).expect("there"), MINUTES, "{due}");
            assert!(fs::read(&desk.path).expect("there") == log, "{due}");
            assert_eq!(listed(desk.folder.path()), before, "{due}");
        }
    }
}

// PROPERTY: nothing that lies in the place of a log's file is written through
#[test]
fn a_new_log_writes_through_nothing_that_lies_in_its_way() {
    for suffix in ["", ".new", ".new-wal", ".new-shm", ".new-journal", ".lock", "-wal", "-journal"] {
        for (lay, _) in LAID {
            let folder = tempfile::tempdir().expect("a folder");
            let path = folder.path().canonicalize().expect("there").join("log.sqlite");
            let aim = folder.path().join("minutes.txt");
            fs::write(&aim, MINUTES).expect("written");
            lay(&beside(&path, suffix), &aim);
            let made = Log::create(&path, key(7), act());
            assert_eq!(fs::read_to_string(&aim).expect("there"), MINUTES, "{suffix:?}");
            assert!(!aim.with_extension("txt.nowhere").exists(), "{suffix:?}");
            match made {
                Err(_) => {}
                Ok(mut log) => {
                    assert!(suffix.starts_with(".new"), "{suffix:?} was overlooked");
                    append(&mut log, "c-1", &[note("x")]);
                    assert!(fs::symlink_metadata(&path).expect("there").is_file());
                }
            }
        }
    }
}

/// The write-ahead file of a log that is gone holds acts; SQLite would mix them into the new log.
#[test]
fn a_new_log_takes_over_no_write_ahead_file() {
    let desk = Desk::with_notes(0);
    let mut log = desk.open();
    append(&mut log, "c-1", &[note("x")]);
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().canonicalize().expect("there").join("log.sqlite");
    let ahead = beside(&path, "-wal");
    let acts = fs::read(beside(&desk.path, "-wal")).expect("read");
    fs::write(&ahead, &acts).expect("written");
    let refused = Log::create(&path, key(7), act()).expect_err("acts of another log");
    let due = format!("cannot use {}: it holds acts of a log that is not there", ahead.display());
    assert_eq!(refused.to_string(), due);
    assert!(fs::read(&ahead).expect("there") == acts);
    fs::write(&ahead, "").expect("emptied");
    Log::create(&path, key(7), act()).expect("an empty one is no matter");
}

/// The lock file is emptied and gets the number of the process; whose else it is, it is left alone.
#[test]
fn a_lock_that_holds_something_else_is_left_alone() {
    for text in [MINUTES, "12x", "123456789012345678901234567890"] {
        let desk = Desk::with_notes(1);
        let lock = beside(&desk.path, ".lock");
        fs::write(&lock, text).expect("written");
        let refused = Log::open(&desk.path, key(7)).expect_err(text);
        let due =
            format!("cannot use {}: it holds something else than the number of a process", lock.display());
        assert_eq!(refused.to_string(), due);
        assert_eq!(fs::read_to_string(&lock).expect("there"), text);
    }
    for text in ["", "4711\n", "4711"] {
        let desk = Desk::with_notes(1);
        fs::write(beside(&desk.path, ".lock"), text).expect("written");
        desk.open();
    }
}

#[test]
fn a_log_is_opened_for_writing_under_one_name() {
    let desk = Desk::with_notes(1);
    let second = desk.folder.path().join("second.sqlite");
    fs::hard_link(&desk.path, &second).expect("linked");
    for path in [&desk.path, &second] {
        let path = path.canonicalize().expect("there");
        let refused = Log::open(&path, key(7)).expect_err("two names");
        assert_eq!(
            refused.to_string(),
            format!("cannot use {}: it has a second name (a hard link)", path.display())
        );
    }
    fs::remove_file(second).expect("removed");
    desk.open();
}

#[test]
fn a_key_is_read_from_a_file_and_from_nothing_else() {
    for (lay, says) in LAID {
        let folder = tempfile::tempdir().expect("a folder");
        let (path, aim) = (folder.path().join("key.pem"), folder.path().join("other.pem"));
        Key::create(&aim).expect("written");
        let before = fs::read(&aim).expect("read");
        lay(&path, &aim);
        if !says.starts_with("it has a second name") {
            let refused = Key::read(&path).expect_err(says).to_string();
            assert_eq!(refused, format!("the key {} cannot be used: {says}", path.display()));
        }
        Key::create(&path).expect_err("something is there");
        assert_eq!(fs::read(&aim).expect("there"), before);
        assert!(!beside(&aim, ".nowhere").exists());
    }
}

// PROPERTY: what a desk writes is its owner's alone
#[test]
fn what_a_desk_writes_is_its_owners_alone() {
    let folder = tempfile::tempdir().expect("a folder");
    let place = Location::at(&folder.path().join("deep").join("down"));
    place.make().expect("made");
    let key = Key::create(&place.key()).expect("written");
    let mut log = Log::create(&place.log(), key, act()).expect("made");
    append(&mut log, "c-1", &[note("x")]);
    assert_eq!((mode(place.folder()), mode(&folder.path().join("deep"))), (0o700, 0o700));
    for file in fs::read_dir(place.folder()).expect("listed") {
        let path = file.expect("listed").path();
        assert_eq!(mode(&path), 0o600, "{}", path.display());
    }
}

/// A log of an earlier tellframe, which everybody could read; one that its group shares; a folder that was there.
#[test]
fn an_older_log_is_its_owners_alone_once_it_is_opened_for_writing_and_what_a_group_shares_stays() {
    for (before, after) in [(0o644, 0o600), (0o666, 0o600), (0o604, 0o600), (0o640, 0o640), (0o600, 0o600)] {
        let desk = Desk::with_notes(1);
        let folder = desk.path.parent().expect("a folder");
        set(folder, 0o755);
        set(&desk.path, before);
        set(&beside(&desk.path, ".lock"), before);
        desk.reader();
        assert_eq!(mode(&desk.path), before, "reading changes nothing");
        let mut log = desk.open();
        append(&mut log, "c-2", &[note("x")]);
        assert_eq!(mode(folder), 0o755);
        for suffix in ["", ".lock", "-wal", "-shm"] {
            assert_eq!(mode(&beside(&desk.path, suffix)), after, "{suffix:?} of a log of {before:o}");
        }
        assert_eq!(desk.verdict(&Trust::OwnKeys, None), "whole, 3 entries");
    }
}

#[test]
fn the_trace_follows_no_link_and_its_folder_is_its_owners_alone() {
    let outer = tempfile::tempdir().expect("a folder");
    let place = outer.path().join("within");
    let run = |place: &Path| {
        let program = std::process::Command::new(env!("CARGO_BIN_EXE_tellframe"))
            .arg("--data")
            .arg(place)
            .args(["-v", "log", "show"])
            .output();
        String::from_utf8(program.expect("it was built").stderr).expect("UTF-8")
    };
    run(&place);
    assert_eq!((mode(&place), mode(&place.join("traces"))), (0o700, 0o700));
    let traces: Vec<_> = fs::read_dir(place.join("traces")).expect("listed").collect();
    let trace = traces.into_iter().next().expect("one").expect("listed").path();
    let aim = outer.path().join("minutes.txt");
    fs::write(&aim, MINUTES).expect("written");
    fs::remove_file(&trace).expect("removed");
    symlink(&aim, &trace).expect("laid");
    let told = run(&place);
    assert_eq!(fs::read_to_string(&aim).expect("there"), MINUTES);
    assert!(told.contains("no trace is kept"), "{told}");
}
