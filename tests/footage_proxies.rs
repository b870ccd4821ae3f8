//! Small pictures leave room on the disk: for the log, for other desks, and after a desk that was killed.

use crate::support::clips;
use std::fs;
use std::os::unix::fs::symlink;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::mpsc::{Receiver, channel};
use std::time::Duration;
use tellframe::footage::deck::{Deck, Event, Settings};

fn settings(folder: &Path, proxy_bytes: u64) -> Settings {
    Settings { cache_bytes: 1 << 20, proxies: folder.to_owned(), proxy_bytes, tools: None, apart: None }
}

/// A deck over this folder that has looked a clip through.
fn looked_through(folder: &Path, proxy_bytes: u64) -> (Deck, Receiver<Event>) {
    let (sender, events) = channel();
    let deck = Deck::start(settings(folder, proxy_bytes), sender);
    deck.open(vec![clips::folder().join("high.mp4")]);
    let next = || events.recv_timeout(Duration::from_secs(120)).expect("the deck says something");
    while !matches!(next(), Event::Indexed { .. }) {}
    (deck, events)
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
    let _deck = looked_through(folder.path(), 1 << 30);
    assert!(!left.exists() && other.exists());
}

#[test]
fn a_planted_link_is_not_written_through() {
    let folder = tempfile::tempdir().expect("a folder");
    let (precious, link) =
        (folder.path().join("precious"), folder.path().join(format!("proxy-{}-0", std::process::id())));
    fs::write(&precious, "keep me").expect("written");
    symlink(&precious, &link).expect("linked");
    let _deck = looked_through(folder.path(), 1 << 30);
    assert_eq!(fs::read_to_string(&precious).expect("there"), "keep me");
    assert!(link.is_symlink());
}

#[test]
fn all_desks_of_a_folder_keep_to_the_bound_together() {
    let folder = tempfile::tempdir().expect("a folder");
    let first = looked_through(folder.path(), 1 << 30);
    let [(_, bytes)] = files(folder.path())[..] else { panic!("one clip has one file") };
    let second = looked_through(folder.path(), bytes * 2 - 1);
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

/// Only whoever may mount a file system can try this on a real disk; `src/footage/proxies.rs` tries it on every machine.
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
    let deck = looked_through(folder.path(), 1 << 30);
    assert_eq!(files(folder.path()), []);
    drop((deck, small));
}
