//! A folder into which the cameras' recorder writes: which files are finished.
//!
//! A file is finished when it did not change between two looks. Its size alone does not tell, because some recorders
//! reserve all of it first. Files that were there before are given too; each is given once.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};
use std::time::SystemTime;

/// Extensions of files that cameras and recorders write.
const VIDEO: [&str; 12] =
    ["mp4", "mov", "m4v", "mkv", "webm", "ts", "mts", "m2ts", "mxf", "avi", "mpg", "mpeg"];

/// Whether a file looks like a clip by its extension.
pub(crate) fn is_video(path: &Path) -> bool {
    let ending = path.extension().and_then(|ending| ending.to_str()).map(str::to_ascii_lowercase);
    ending.is_some_and(|ending| VIDEO.contains(&ending.as_str()))
}

/// How far a file is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Written {
    pub bytes: u64,
    /// Last modification, where the system has it.
    pub at: Option<SystemTime>,
}

/// The video files of a folder, by name.
///
/// # Errors
/// The system's error if the folder cannot be listed.
pub fn list(folder: &Path) -> std::io::Result<BTreeMap<PathBuf, Written>> {
    let mut found = BTreeMap::new();
    for entry in std::fs::read_dir(folder)? {
        let entry = entry?;
        // The file went away in the meantime.
        let Ok(facts) = entry.metadata() else { continue };
        if facts.is_file() && is_video(&entry.path()) {
            found.insert(entry.path(), Written { bytes: facts.len(), at: facts.modified().ok() });
        }
    }
    Ok(found)
}

/// What was seen of a folder so far.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Watch {
    seen: BTreeMap<PathBuf, Written>,
    given: BTreeSet<PathBuf>,
}

impl Watch {
    /// Takes what the folder holds now; returns what is finished and was not given before, by name.
    pub fn look(&mut self, now: BTreeMap<PathBuf, Written>) -> Vec<PathBuf> {
        let is_done =
            |path: &PathBuf, written: &Written| written.bytes > 0 && self.seen.get(path) == Some(written);
        let done = now.iter().filter(|(path, written)| is_done(path, written) && !self.given.contains(*path));
        let done: Vec<PathBuf> = done.map(|(path, _)| path.clone()).collect();
        self.given.extend(done.iter().cloned());
        self.given.retain(|path| now.contains_key(path));
        self.seen = now;
        done
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_that_has_its_size_and_is_still_written_to_is_not_finished() {
        let mut watch = Watch::default();
        let now = |second: u64| {
            let at = Some(SystemTime::UNIX_EPOCH + std::time::Duration::from_secs(second));
            BTreeMap::from([(PathBuf::from("a.mp4"), Written { bytes: 9, at })])
        };
        assert_eq!(watch.look(now(1)).len() + watch.look(now(2)).len() + watch.look(now(3)).len(), 0);
        assert_eq!(watch.look(now(3)), [PathBuf::from("a.mp4")]);
        assert_eq!(watch.look(now(3)).len(), 0, "once");
    }

    #[test]
    fn a_file_is_given_once_when_it_grows_no_more() {
        let mut watch = Watch::default();
        let now = |sizes: &[(&str, u64)]| {
            let written =
                |(name, bytes): &(&str, u64)| (PathBuf::from(name), Written { bytes: *bytes, at: None });
            sizes.iter().map(written).collect()
        };
        for (sizes, given) in [
            (&[("a.mp4", 10), ("b.mp4", 0)][..], &[][..]),
            (&[("a.mp4", 20), ("b.mp4", 0)], &[]),
            (&[("a.mp4", 20), ("b.mp4", 5)], &["a.mp4"]),
            (&[("a.mp4", 20), ("b.mp4", 5)], &["b.mp4"]),
            (&[("a.mp4", 20)], &[]),
            (&[("a.mp4", 20), ("b.mp4", 5)], &[]),
            (&[("a.mp4", 20), ("b.mp4", 5)], &["b.mp4"]),
        ] {
            let given: Vec<PathBuf> = given.iter().map(PathBuf::from).collect();
            assert_eq!(watch.look(now(sizes)), given, "{sizes:?}");
        }
    }

    #[test]
    fn only_video_files_are_listed() {
        let folder = tempfile::tempdir().expect("a folder");
        for name in ["a.MP4", "b.txt", "c.ts", "d"] {
            std::fs::write(folder.path().join(name), b"12").expect("it is written");
        }
        let found = list(folder.path()).expect("it is listed");
        let names: Vec<_> = found.keys().filter_map(|path| path.file_name()).collect();
        assert_eq!(names, ["a.MP4", "c.ts"]);
        assert!(list(&folder.path().join("nothing")).is_err());
    }
}
