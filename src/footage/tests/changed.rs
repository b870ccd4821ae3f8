//! A clip's file that changes after it was opened: no picture and no hash of another recording is given for it.

use footage::clip::Clip;
use footage::decode::ffmpeg::Tools;
use std::fs::{self, File};
use std::ops::ControlFlow;
use std::path::{Path, PathBuf};
use std::time::{Duration, SystemTime};
use testing::clips;

/// What may happen to a file.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Change {
    /// Other bytes in the same file, as many as before, and its times set back.
    OverwrittenInPlace,
    /// A byte in the middle.
    OneByte,
    Grown,
    Truncated,
    /// Another file is moved to its place.
    Replaced,
    Removed,
    /// Only its time.
    Touched,
    /// The same bytes, written anew.
    WrittenAnew,
}

const CHANGES: [Change; 8] = [
    Change::OverwrittenInPlace,
    Change::OneByte,
    Change::Grown,
    Change::Truncated,
    Change::Replaced,
    Change::Removed,
    Change::Touched,
    Change::WrittenAnew,
];

fn change(path: &Path, change: Change) {
    let bytes = fs::read(path).expect("it is there");
    let written = fs::metadata(path).and_then(|facts| facts.modified()).expect("it has a time");
    match change {
        Change::OverwrittenInPlace => {
            clips::overwrite(path, &clips::another(bytes.len()));
            File::options()
                .write(true)
                .open(path)
                .and_then(|file| file.set_modified(written))
                .expect("it has a time");
        }
        Change::OneByte => {
            let mut bytes = bytes;
            let middle = bytes.len() / 2;
            bytes[middle] ^= 1;
            clips::overwrite(path, &bytes);
        }
        Change::Grown => fs::write(path, [&bytes[..], &[0; 64]].concat()).expect("it can be written"),
        Change::Truncated => fs::write(path, &bytes[..bytes.len() - 900]).expect("it can be written"),
        Change::Replaced => {
            let beside = path.with_extension("part");
            fs::write(&beside, clips::another(bytes.len())).expect("it can be written");
            fs::rename(&beside, path).expect("it can be moved");
        }
        Change::Removed => fs::remove_file(path).expect("it can be removed"),
        Change::Touched => {
            let file = File::options().write(true).open(path).expect("it can be opened");
            file.set_modified(SystemTime::now() + Duration::from_secs(5)).expect("it has a time");
        }
        Change::WrittenAnew => {
            let beside = path.with_extension("part");
            fs::write(&beside, &bytes).expect("it can be written");
            fs::rename(&beside, path).expect("it can be moved");
        }
    }
}

/// A copy of a clip, opened.
fn opened(folder: &Path, name: &str, tools: Option<&Tools>) -> (Clip, PathBuf) {
    let path = folder.join(name);
    fs::copy(clips::folder().join(name), &path).expect("it can be copied");
    (Clip::open(&path, tools).unwrap_or_else(|error| panic!("{name}: {error}")), path)
}

/// Every change of every way to decode, with a picture decoded before or not.
// PROPERTY: a file that changed gives no picture, no hash and no mark; one that was touched does
#[test]
fn a_file_that_was_changed_gives_no_picture_and_no_hash_and_one_that_was_touched_does() {
    let tools = Tools::find(None);
    if let Some(tools) = &tools {
        tools.stand_by();
    }
    for (name, only_ffmpeg) in [("high.mp4", false), ("high-b.mp4", true), ("b-in.ts", true)] {
        if only_ffmpeg && tools.is_none() {
            continue;
        }
        for happened in CHANGES {
            let folder = tempfile::tempdir().expect("a folder");
            let is_same = matches!(happened, Change::Touched | Change::WrittenAnew);
            let (clip, path) = opened(folder.path(), name, tools.as_ref().filter(|_| only_ffmpeg));
            let (before, hash) =
                (clip.picture(7).expect("it comes"), clip.file_sha256().expect("it is read"));
            assert!(before.exact, "{name}");
            change(&path, happened);
            let (again, run) = (clip.picture(7), run(&clip, 4..9));
            if is_same {
                assert_eq!(again.expect("it comes"), before, "{name}: {happened:?}");
                assert_eq!(
                    (run.len(), clip.file_sha256().expect("it is read")),
                    (5, hash),
                    "{name}: {happened:?}"
                );
            } else {
                assert!(
                    again.is_err(),
                    "{name}: {happened:?}: another picture, exact {:?}",
                    again.map(|one| one.exact)
                );
                assert!(run.is_empty(), "{name}: {happened:?}: {} pictures", run.len());
                assert!(clip.file_sha256().is_err(), "{name}: {happened:?}: the hash of another file");
            }
        }
    }
}

/// The pictures of a run, as far as they come.
fn run(clip: &Clip, frames: std::ops::Range<usize>) -> Vec<usize> {
    let mut found = Vec::new();
    let ended = clip.pictures(frames, &mut |frame, _| {
        found.push(frame);
        ControlFlow::Continue(())
    });
    assert!(ended.is_ok() || found.is_empty(), "what comes comes whole");
    found
}

/// In the middle of a run: what comes before the change is of the file that was opened, and nothing comes after it.
#[test]
fn a_file_that_changes_while_it_is_decoded_gives_nothing_more() {
    let folder = tempfile::tempdir().expect("a folder");
    let (clip, path) = opened(folder.path(), "high.mp4", None);
    let stored = clips::stored("high.mp4");
    let mut found = Vec::new();
    let ended = clip.pictures(0..clip.frames.len(), &mut |frame, picture| {
        if frame == 5 {
            change(&path, Change::OverwrittenInPlace);
        }
        found.push(picture.sha256());
        ControlFlow::Continue(())
    });
    assert!(ended.is_err());
    let expected: Vec<&String> = stored.pictures[..6].iter().map(|(_, hash)| hash).collect();
    assert_eq!(found.iter().collect::<Vec<_>>(), expected);
}

/// A file that is opened anew is what it holds now.
#[test]
fn what_was_written_over_is_another_clip_when_it_is_opened_again() {
    let folder = tempfile::tempdir().expect("a folder");
    let (clip, path) = opened(folder.path(), "high.mp4", None);
    change(&path, Change::OverwrittenInPlace);
    assert!(clip.picture(0).is_err());
    let again = Clip::open(&path, None).expect("it opens");
    let (pts, hash) = &clips::stored("timecode.mp4").pictures[3];
    let picture = again.picture(3).expect("it comes");
    assert!(picture.exact && (picture.pts, &picture.sha256()) == (*pts, hash));
}
