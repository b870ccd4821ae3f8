//! The write-ahead file: a turned bit never loses an act in silence, and after what ends something it is empty.
//!
//! Not seen by the file alone: damage of its very last frame, which looks like an act that was cut off while it was
//! written. The test says which positions these are, and that nothing but the newest act is at stake there.

use log::Error;
use log::chain::blob::Blob;
use log::store::log::Log;
use log::store::reader::Reader;
use log::store::verify::{Trust, Verdict, verify};
use std::fs;
use std::path::{Path, PathBuf};
use tempfile::TempDir;
use testing::challenge::Challenge;
use testing::logs::{Desk, append, key, note};

const HEADER: usize = 32;
const FRAME: usize = 24 + 4096;

fn wal(log: &Path) -> PathBuf {
    let mut name = log.as_os_str().to_owned();
    name.push("-wal");
    PathBuf::from(name)
}

/// What is on the disk when the machine stops now.
fn stopped(log: &Path) -> [Vec<u8>; 2] {
    [fs::read(log).expect("read"), fs::read(wal(log)).expect("the desk runs")]
}

/// A folder in which a desk was killed.
fn killed([database, ahead]: &[Vec<u8>; 2]) -> (TempDir, PathBuf) {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().canonicalize().expect("there").join("log.sqlite");
    fs::write(&path, database).expect("written");
    fs::write(wal(&path), ahead).expect("written");
    (folder, path)
}

/// A reader was verified when it was opened.
fn entries(log: &Reader) -> u64 {
    log.tip().expect("read").entries
}

fn damaged(error: &Error) {
    let says = error.to_string();
    assert!(says.starts_with("the write-ahead file of the log "), "{says}");
    assert!(says.ends_with("acts that were acknowledged may be lost"), "{says}");
    assert!(error.help().is_some_and(|help| help.contains("-wal")));
}

// PROPERTY: a turned bit of the write-ahead file is an error or all acts are there
#[test]
fn a_turned_bit_is_an_error_or_all_acts_are_there() {
    let desk = Desk::with_notes(0);
    let mut log = desk.open();
    for number in 1..=4 {
        append(&mut log, &format!("c-{number}"), &[note(&format!("note {number}"))]);
    }
    let [database, sound] = stopped(&desk.path);
    let all = 5;
    let last = sound.len() - FRAME;
    // Every byte of the headers; of the pages one in a few, which has no divisor in common with their length.
    let in_header = |at: &usize| *at < HEADER || (at - HEADER) % FRAME < 24;
    let places = (0..sound.len()).filter(|at| in_header(at) || at % 89 == 0);
    for (turn, at) in places.enumerate() {
        let mut bytes = sound.clone();
        bytes[at] ^= 1 << (turn % 8);
        let (_folder, path) = killed(&[database.clone(), bytes.clone()]);
        let read = Reader::open(&path);
        let written = Log::open(&path, key(7));
        match (read, written) {
            (Ok(read), Ok(_)) if at >= last => {
                assert!(entries(&read) >= all - 1, "byte {at}: more than one act is lost")
            }
            (Ok(read), Ok(_)) => assert_eq!(entries(&read), all, "byte {at}: an act is lost in silence"),
            (Err(read), Err(written)) => {
                damaged(&read);
                damaged(&written);
                assert!(stopped(&path) == [database.clone(), bytes], "byte {at}: the files were changed");
            }
            (read, written) => panic!("byte {at}: {:?} and {:?}", read.err(), written.err()),
        }
    }
}

/// The file is damaged under a reader that has the log open already.
#[test]
fn verify_says_that_the_write_ahead_file_is_damaged() {
    let desk = Desk::with_notes(0);
    let mut log = desk.open();
    for number in 1..=4 {
        append(&mut log, &format!("c-{number}"), &[note("a note")]);
    }
    let reader = desk.unverified();
    let [_, mut bytes] = stopped(&desk.path);
    bytes[HEADER + 100] ^= 4;
    fs::write(wal(&desk.path), bytes).expect("written");
    damaged(&verify(&reader, &Trust::OwnKeys, None).expect_err("damaged"));
}

/// A long act is cut off in the middle, a short one follows: what is left of the long one lies behind it, with the same
/// salts. That is no damage, however the desk stops.
// PROPERTY: what is left of an act that was cut off is no damage
#[test]
fn what_is_left_of_an_act_that_was_cut_off_is_no_damage() {
    let desk = Desk::with_notes(0);
    let mut log = desk.open();
    append(&mut log, "c-1", &[note("short")]);
    let whole = stopped(&desk.path)[1].len();
    append(&mut log, "c-2", &[note("long").with_blob(Blob::salted([1; 32], vec![7; 60_000]))]);
    let [database, ahead] = stopped(&desk.path);
    drop(log);
    let frames = (ahead.len() - whole) / FRAME;
    assert!(frames > 10, "{frames} frames");
    for cut in 1..frames {
        let (folder, path) = killed(&[database.clone(), ahead[..whole + cut * FRAME].to_vec()]);
        let crashed = Desk { folder, path };
        let mut log = crashed.open();
        assert_eq!(log.reader().tip().expect("read").entries, 2, "the long act was never acknowledged");
        append(&mut log, "c-3", &[note("after it")]);
        let (_folder, path) = killed(&stopped(&crashed.path));
        assert_eq!(entries(&Reader::open(&path).expect("sound")), 3, "cut after {cut} frames");
        Log::open(&path, key(7)).expect("sound");
    }
}

// PROPERTY: after what ends something the write-ahead file is empty, and no reader fails it
#[test]
fn after_an_act_that_ends_something_all_acts_are_in_the_log_itself() {
    let (desk, challenge) = (Desk::with_notes(0), Challenge::demo());
    let mut log = desk.open();
    let mut session = challenge.start(&log, "r-1");
    let commands = challenge.commands();
    let mut settled = Vec::new();
    for number in 0..commands.len() {
        let events = challenge.play(&mut log, &mut session, &commands[..=number], number);
        let kinds = events.iter().map(|event| log::forms::shown(event)["kind"].clone());
        let ends = kinds.into_iter().filter_map(|kind| kind.as_str().map(str::to_owned));
        let ends: Vec<_> =
            ends.filter(|kind| ["review.ruled", "review.announced"].contains(&kind.as_str())).collect();
        let empty = fs::metadata(wal(&desk.path)).expect("there").len() == 0;
        assert_eq!(empty, !ends.is_empty(), "after command {number}, {ends:?}");
        settled.extend(ends);
    }
    assert_eq!(settled, ["review.ruled", "review.announced"]);
}

/// Somebody reads in the middle of the log while it is ruled: the ruling is acknowledged without waiting for them.
// PROPERTY: after what ends something the write-ahead file is empty, and no reader fails it
#[test]
fn a_reader_in_the_way_fails_no_ruling() {
    let (desk, challenge) = (Desk::with_notes(3), Challenge::demo());
    let mut log = desk.open();
    let mut session = challenge.start(&log, "r-1");
    let commands = challenge.commands();
    let reader = desk.reader();
    let mut ruled = false;
    let walked = reader.each_from::<Error>(1, |_| {
        if !ruled {
            challenge.play(&mut log, &mut session, &commands, 0);
            ruled = true;
        }
        Ok(())
    });
    walked.expect("read");
    assert!(session.review().ruling.is_some());
    assert!(fs::metadata(wal(&desk.path)).expect("there").len() > 0, "the reader was in the way");
    drop(reader);
    drop(log);
    let Ok(Verdict::Whole(_)) = verify(&desk.unverified(), &Trust::OwnKeys, None) else { panic!("whole") };
}
