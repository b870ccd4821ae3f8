//! The log is moved, deleted, replaced or linked while a desk has it open: no act is acknowledged, and the error says
//! what happened. Put back, the log takes acts again.
#![cfg(unix)]

use log::store::log::Log;
use log::store::verify::Trust;
use std::fs;
use std::os::unix::fs::symlink;
use std::path::{Path, PathBuf};
use testing::logs::{Desk, append, command, head, key, note};

fn beside(log: &Path, suffix: &str) -> PathBuf {
    let mut name = log.as_os_str().to_owned();
    name.push(suffix);
    PathBuf::from(name)
}

/// What is done to the log at a path, and what is said of it.
type Case = (&'static str, fn(&Path), fn(&Path) -> String);

const CASES: [Case; 17] = [
    (
        "moved",
        |log| rename(log, "aside.sqlite"),
        |log| format!("was moved to {}", sibling(log, "aside.sqlite").display()),
    ),
    ("deleted", remove, |_| "was deleted".to_owned()),
    (
        "its folder moved as a whole",
        |log| fs::rename(folder(log), folder(log).with_extension("away")).expect("moved"),
        |log| format!("was moved to {}", folder(log).with_extension("away").join("log.sqlite").display()),
    ),
    (
        "its folder moved, and a copy in its place",
        |log| {
            let away = folder(log).with_extension("away");
            fs::rename(folder(log), &away).expect("moved");
            fs::create_dir(folder(log)).expect("made");
            for file in fs::read_dir(away).expect("listed") {
                let from = file.expect("listed").path();
                fs::copy(&from, folder(log).join(from.file_name().expect("a name"))).expect("copied");
            }
        },
        |log| format!("was moved to {}", folder(log).with_extension("away").join("log.sqlite").display()),
    ),
    (
        "moved, and a copy in its place",
        |log| {
            fs::copy(log, sibling(log, "copy")).expect("copied");
            rename(log, "aside.sqlite");
            fs::rename(sibling(log, "copy"), log).expect("moved");
        },
        |log| format!("was moved to {}", sibling(log, "aside.sqlite").display()),
    ),
    (
        "a copy renamed over it",
        |log| {
            fs::copy(log, sibling(log, "copy")).expect("copied");
            fs::rename(sibling(log, "copy"), log).expect("moved");
        },
        |_| "was replaced by another file".to_owned(),
    ),
    (
        "a link in its place",
        |log| {
            fs::copy(log, sibling(log, "copy")).expect("copied");
            remove(log);
            symlink(sibling(log, "copy"), log).expect("linked");
        },
        |_| "was replaced by another file".to_owned(),
    ),
    (
        "another log written over it",
        |log| {
            let other = Desk::with_notes(3);
            fs::write(log, fs::read(&other.path).expect("read")).expect("written");
        },
        |_| "was written over: another log lies there".to_owned(),
    ),
    ("its write-ahead file deleted", |log| remove(&beside(log, "-wal")), |log| lost(log, "-wal")),
    ("its write-ahead file replaced", |log| replace(&beside(log, "-wal")), |log| lost(log, "-wal")),
    ("its shared memory deleted", |log| remove(&beside(log, "-shm")), |log| lost(log, "-shm")),
    ("its shared memory replaced", |log| replace(&beside(log, "-shm")), |log| lost(log, "-shm")),
    ("its lock deleted", |log| remove(&beside(log, ".lock")), |_| LOCK.to_owned()),
    ("its lock replaced", |log| replace(&beside(log, ".lock")), |_| LOCK.to_owned()),
    (
        "its lock taken by another desk",
        |log| {
            remove(&beside(log, ".lock"));
            let second = Log::open(log, key(7)).expect("nobody holds the new lock");
            drop(second);
        },
        |_| LOCK.to_owned(),
    ),
    (
        "a second name",
        |log| fs::hard_link(log, sibling(log, "second.sqlite")).expect("linked"),
        |_| "was given a second name (a hard link), which acts reach late or never".to_owned(),
    ),
    (
        "a second name elsewhere",
        |log| fs::hard_link(log, folder(log).with_extension("sqlite")).expect("linked"),
        |_| "was given a second name (a hard link), which acts reach late or never".to_owned(),
    ),
];

const LOCK: &str = "lost its lock: the file was moved, deleted or replaced, and another desk may write";

fn folder(log: &Path) -> &Path {
    log.parent().expect("it lies in a folder")
}

fn sibling(log: &Path, name: &str) -> PathBuf {
    folder(log).join(name)
}

fn rename(file: &Path, name: &str) {
    fs::rename(file, sibling(file, name)).expect("moved");
}

fn remove(file: &Path) {
    fs::remove_file(file).expect("removed");
}

/// The same bytes in another file.
fn replace(file: &Path) {
    let bytes = fs::read(file).expect("read");
    let copy = beside(file, ".copy");
    fs::write(&copy, bytes).expect("written");
    fs::rename(copy, file).expect("moved");
}

fn lost(log: &Path, suffix: &str) -> String {
    format!("lost the file {} beside it: it was moved, deleted or replaced", beside(log, suffix).display())
}

/// A log in a folder within a folder, so that its own can be moved.
fn within(outer: &Path) -> PathBuf {
    let inner = outer.join("logs");
    fs::create_dir(&inner).expect("made");
    let made = Desk::with_notes(2);
    drop(made.open()); // Closing moves all entries into the log's own file.
    let path = inner.canonicalize().expect("there").join("log.sqlite");
    fs::copy(&made.path, &path).expect("copied");
    path
}

// PROPERTY: a log that was moved, replaced or deleted acknowledges nothing
#[test]
fn no_act_is_acknowledged_by_a_log_that_is_not_there_any_more() {
    for (what, done, says) in CASES {
        let outer = tempfile::tempdir().expect("a folder");
        let path = within(outer.path());
        let mut log = Log::open(&path, key(7)).expect("opened");
        let before = append(&mut log, "c-3", &[note("before")]).entries.last().expect("one").1;
        done(&path);
        let refused = log.append(before, &command("c-4"), &[note("after")]).expect_err(what);
        let due = format!("the log {} {}: the act is not acknowledged", path.display(), says(&path));
        assert_eq!(refused.to_string(), due, "{what}");
        assert!(refused.help().is_some(), "{what}");
        // An earlier act is not acknowledged again either.
        log.append(before, &command("c-3"), &[note("before")]).expect_err(what);
        log.written(&command("c-3")).expect_err(what);
    }
}

#[test]
fn a_log_that_is_put_back_takes_acts_again() {
    let desk = Desk::with_notes(1);
    let mut log = desk.open();
    let before = head(&log);
    rename(&desk.path, "aside.sqlite");
    log.append(before, &command("c-2"), &[note("x")]).expect_err("it is not there");
    fs::rename(sibling(&desk.path, "aside.sqlite"), &desk.path).expect("moved back");
    log.append(before, &command("c-2"), &[note("x")]).expect("appended");
    drop(log);
    assert_eq!(desk.verdict(&Trust::OwnKeys, None), "whole, 3 entries");
}

/// The desk opened a link, which leads to another log later.
#[test]
fn a_link_that_leads_to_another_log_later_is_told() {
    for through_its_folder in [false, true] {
        let (one, other, links) =
            (Desk::with_notes(1), Desk::with_notes(1), tempfile::tempdir().expect("a folder"));
        let link = links.path().join("link");
        let (aim, given): (fn(&Desk) -> PathBuf, PathBuf) = match through_its_folder {
            false => (|desk| desk.path.clone(), link.clone()),
            true => (|desk| folder(&desk.path).to_owned(), link.join("log.sqlite")),
        };
        symlink(aim(&one), &link).expect("linked");
        let mut log = Log::open(&given, key(7)).expect("opened");
        append(&mut log, "c-2", &[note("x")]);
        remove(&link);
        symlink(aim(&other), &link).expect("linked");
        let before = head(&log);
        let refused = log.append(before, &command("c-3"), &[note("y")]).expect_err("another log");
        let due = format!(
            "the log {} is not what {} leads to any more: the act is not acknowledged",
            one.path.display(),
            given.display()
        );
        assert_eq!(refused.to_string(), due);
    }
}

/// A database tool that moves entries from the write-ahead file, or merely reads, is no reason to stop.
#[test]
fn a_program_that_only_tends_the_log_is_let_pass() {
    let desk = Desk::with_notes(1);
    let mut log = desk.open();
    append(&mut log, "c-2", &[note("x")]);
    let raw = rusqlite::Connection::open(&desk.path).expect("opened");
    raw.query_row("PRAGMA wal_checkpoint(TRUNCATE)", (), |_| Ok(())).expect("moved");
    drop(raw);
    append(&mut log, "c-3", &[note("y")]);
    desk.reader();
    append(&mut log, "c-4", &[note("z")]);
    drop(log);
    assert_eq!(desk.verdict(&Trust::OwnKeys, None), "whole, 5 entries");
}
