//! Small pictures leave room on the disk: for the log, for other desks, and after a desk that was killed.

use footage::deck::{Deck, Event, Settings};
use footage::show::proxy_folder::{AskRoom, Room};
use std::fs;
use std::os::unix::fs::symlink;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::mpsc::{Receiver, channel};
use std::time::Duration;
use testing::clips;

fn settings(folder: &Path, proxy_bytes: u64) -> Settings {
    Settings { cache_bytes: 1 << 20, proxies: folder.to_owned(), proxy_bytes, tools: None, worker: None }
}

/// However full this machine's disk is.
fn plenty(_: &Path) -> std::io::Result<Room> {
    Ok(Room { free: 1 << 40, total: 1 << 40 })
}

/// A deck over this folder that has scanned a clip.
fn looked_through(folder: &Path, proxy_bytes: u64, ask: AskRoom) -> (Deck, Receiver<Event>) {
    let (sender, events) = channel();
    let deck = Deck::start_on(settings(folder, proxy_bytes), sender, ask);
    deck.open(vec![clips::folder().join("high.mp4")]);
    let next = || events.recv_timeout(Duration::from_secs(120)).expect("the deck says something");
    loop {
        match next() {
            Event::Indexed { .. } => return (deck, events),
            Event::Refused { why, .. } | Event::NoPicture { why, .. } => panic!("{why}"),
            Event::Changed { why, .. } => panic!("{why}"),
            Event::Opened { .. } | Event::Indexing { .. } | Event::Picture { .. } | Event::NoProxy { .. } => {
            }
        }
    }
}

/// The regular files of a folder, with their sizes.
fn files(folder: &Path) -> Vec<(PathBuf, u64)> {
    let listed = fs::read_dir(folder).expect("listed").map(|one| one.expect("listed").path());
    let size = |path: PathBuf| {
        let about = fs::symlink_metadata(&path).expect("there");
        about.is_file().then_some((path, about.len()))
    };
    listed.filter_map(size).collect()
}

#[test]
fn what_a_killed_desk_left_is_swept_when_the_next_one_starts() {
    let folder = tempfile::tempdir().expect("a folder");
    // No process has a number beyond 2²².
    let left = folder.path().join("proxy-4194999-0");
    fs::write(&left, "left").expect("written");
    let other = folder.path().join("notes");
    fs::write(&other, "keep me").expect("written");
    let _deck = looked_through(folder.path(), 1 << 30, plenty);
    assert!(!left.exists() && other.exists());
}

#[test]
fn a_planted_link_is_not_written_through() {
    let folder = tempfile::tempdir().expect("a folder");
    let (precious, link) =
        (folder.path().join("precious"), folder.path().join(format!("proxy-{}-0", std::process::id())));
    fs::write(&precious, "keep me").expect("written");
    symlink(&precious, &link).expect("linked");
    let _deck = looked_through(folder.path(), 1 << 30, plenty);
    assert_eq!(fs::read_to_string(&precious).expect("there"), "keep me");
    assert!(link.is_symlink());
}

#[test]
fn all_desks_of_a_folder_keep_to_the_bound_together() {
    let folder = tempfile::tempdir().expect("a folder");
    let first = looked_through(folder.path(), 1 << 30, plenty);
    let [(_, bytes)] = files(folder.path())[..] else { panic!("one clip has one file") };
    let second = looked_through(folder.path(), bytes * 2 - 1, plenty);
    assert_eq!(files(folder.path()).len(), 1, "there is no room for a second");
    drop((first, second));
}

/// A file system in memory, which goes when this goes.
struct Small<'a>(&'a Path);

impl Drop for Small<'_> {
    fn drop(&mut self) {
        let _ = Command::new("umount").arg("-l").arg(self.0).status();
    }
}

/// Only a user who may mount a file system can try this on a real disk; `src/footage/show/proxy_folder.rs` tries it
/// on every machine.
// PROPERTY: small pictures leave the disk its reserve, keep to one bound for all desks, and what killed ones left is swept
#[test]
fn a_disk_that_is_nearly_full_is_left_to_the_log() {
    let folder = tempfile::tempdir().expect("a folder");
    let mounted = Command::new("mount")
        .args(["-t", "tmpfs", "-o", "size=8m", "tellframe-test"])
        .arg(folder.path())
        .output()
        .is_ok_and(|ran| ran.status.success());
    if !mounted {
        println!("not run: this user may not mount a file system");
        return;
    }
    let small = Small(folder.path());
    let deck = looked_through(folder.path(), 1 << 30, Room::of);
    assert_eq!(files(folder.path()), []);
    drop((deck, small));
}

/// The messages of a deck over a disk with this room, until it has scanned this many clips.
fn said(folder: &Path, ask: AskRoom, clips: usize) -> (Deck, Vec<String>) {
    let (sender, events) = channel();
    let deck = Deck::start_on(settings(folder, 1 << 30), sender, ask);
    deck.open(vec![clips::folder().join("high.mp4"); clips]);
    let (mut said, mut done) = (Vec::new(), 0);
    while done < clips {
        match events.recv_timeout(Duration::from_secs(120)).expect("the deck says something") {
            Event::NoProxy { why } => said.push(why),
            Event::Indexed { .. } => done += 1,
            Event::Refused { why, .. } | Event::NoPicture { why, .. } => panic!("{why}"),
            Event::Changed { why, .. } => panic!("{why}"),
            Event::Opened { .. } | Event::Indexing { .. } | Event::Picture { .. } => {}
        }
    }
    (deck, said)
}

#[test]
fn without_room_clips_are_looked_through_all_the_same_and_it_is_said_once() {
    let folder = tempfile::tempdir().expect("a folder");
    let (deck, said) = said(folder.path(), |_| Ok(Room { free: 2 << 20, total: 1 << 30 }), 3);
    assert_eq!(
        said,
        [
            "the disk has 2 MB left, and 512 MB are kept for the log: no proxies are made, and moving over a clip is slower"
        ]
    );
    assert_eq!(files(folder.path()), []);
    drop(deck);
}

/// How often the room was asked for. Only the test below asks.
static ASKED: AtomicUsize = AtomicUsize::new(0);

/// The disk has room when the small pictures are begun, and is filled by somebody else while they are made.
// PROPERTY: small pictures leave the disk its reserve, keep to one bound for all desks, and what killed ones left is swept
#[test]
fn small_pictures_go_when_the_disk_fills_up_while_they_are_made() {
    let folder = tempfile::tempdir().expect("a folder");
    let ask = |_: &Path| {
        let free = if ASKED.fetch_add(1, Ordering::Relaxed) < 2 { 1 << 40 } else { 1 << 20 };
        Ok(Room { free, total: 1 << 40 })
    };
    let (deck, said) = said(folder.path(), ask, 1);
    assert_eq!((said.len(), files(folder.path())), (1, Vec::new()));
    drop(deck);
}
