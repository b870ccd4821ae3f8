//! A file that is being written: it has a unique temporary name, and gets its own when it is complete.
//!
//! It is locked while it is written. The lock ends with its process, which distinguishes a file that a killed process
//! left from one that is still being written; the next write into the folder removes the former.

use std::fs::{self, File};
use std::io;
use std::path::{Path, PathBuf};

/// How temporary names begin and end.
const NAMED: (&str, &str) = (".tellframe-", ".part");

/// Names drawn before giving up: by then something else must be wrong.
const TRIES: usize = 16;

/// A file under a temporary name; dropping it before it is renamed deletes the file.
#[derive(Debug)]
pub(super) struct Part {
    path: PathBuf,
    file: File,
    named: bool,
}

impl Part {
    /// A new, empty file in this folder that only its owner may read.
    pub(super) fn new(folder: &Path) -> io::Result<Part> {
        let mut refused = io::Error::other("no name is free for the unfinished file");
        for _ in 0..TRIES {
            let path = folder.join(drawn()?);
            let part = match private(&path) {
                Ok(file) => Part { path, file, named: false },
                Err(error) if error.kind() == io::ErrorKind::AlreadyExists => {
                    refused = error;
                    continue;
                }
                Err(error) => return Err(error),
            };
            // On a file system without locks, files left by killed processes stay.
            let _ = part.file.lock();
            // Another process may have swept it between its creation and the lock.
            if fs::symlink_metadata(&part.path).is_ok() {
                return Ok(part);
            }
        }
        Err(refused)
    }

    pub(super) fn file(&mut self) -> &mut File {
        &mut self.file
    }

    /// Renames it to `path`, unless a file is there.
    pub(super) fn become_new(mut self, path: &Path) -> io::Result<()> {
        rename_new(&self.path, path)?;
        self.named = true;
        Ok(())
    }

    /// Renames it to `path`, replacing a file that is there.
    pub(super) fn replace(mut self, path: &Path) -> io::Result<()> {
        fs::rename(&self.path, path)?;
        self.named = true;
        Ok(())
    }
}

impl Drop for Part {
    fn drop(&mut self) {
        if !self.named {
            // What cannot be removed now is swept later.
            let _ = fs::remove_file(&self.path);
        }
    }
}

fn drawn() -> io::Result<String> {
    let mut drawn = [0; 8];
    getrandom::fill(&mut drawn).map_err(|error| io::Error::other(error.to_string()))?;
    let (begins, ends) = NAMED;
    Ok(format!("{begins}{:016x}{ends}", u64::from_le_bytes(drawn)))
}

fn is_part(name: &str) -> bool {
    let (begins, ends) = NAMED;
    let drawn = name.strip_prefix(begins).and_then(|rest| rest.strip_suffix(ends));
    drawn.is_some_and(|drawn| drawn.len() == 16 && drawn.bytes().all(|sign| sign.is_ascii_hexdigit()))
}

/// Removes what killed processes left in a folder. Files that are being written, links and files with other names
/// stay, and so does what cannot be removed.
pub(super) fn sweep(folder: &Path) {
    let Ok(listed) = fs::read_dir(folder) else { return };
    for entry in listed.filter_map(Result::ok) {
        let is_ours = entry.file_name().to_str().is_some_and(is_part);
        if !is_ours || !entry.file_type().is_ok_and(|kind| kind.is_file()) {
            continue;
        }
        let left = opened(&entry.path()).is_ok_and(|file| file.try_lock().is_ok());
        if left && let Err(error) = fs::remove_file(entry.path()) {
            tracing::debug!("{} stays: {error}", entry.path().display());
        }
    }
}

#[cfg(unix)]
fn private(path: &Path) -> io::Result<File> {
    use std::os::unix::fs::OpenOptionsExt as _;
    File::options().read(true).write(true).create_new(true).mode(0o600).open(path)
}

#[cfg(not(unix))]
fn private(path: &Path) -> io::Result<File> {
    File::options().read(true).write(true).create_new(true).open(path)
}

/// Opens a regular file to read; a link is not followed, and a pipe is not waited for.
#[cfg(unix)]
pub(super) fn opened(path: &Path) -> io::Result<File> {
    use rustix::fs::{Mode, OFlags, open};
    let flags = OFlags::RDONLY | OFlags::NOFOLLOW | OFlags::NONBLOCK | OFlags::CLOEXEC;
    Ok(File::from(open(path, flags, Mode::empty())?))
}

#[cfg(not(unix))]
pub(super) fn opened(path: &Path) -> io::Result<File> {
    File::open(path)
}

/// Renames without replacing. Where the system cannot do that in one step, a hard link is made, which replaces
/// nothing either.
fn rename_new(from: &Path, to: &Path) -> io::Result<()> {
    match in_one_step(from, to) {
        Err(error) if matches!(error.kind(), io::ErrorKind::Unsupported | io::ErrorKind::InvalidInput) => {
            fs::hard_link(from, to)?;
            fs::remove_file(from)
        }
        done => done,
    }
}

#[cfg(target_os = "linux")]
fn in_one_step(from: &Path, to: &Path) -> io::Result<()> {
    use rustix::fs::{CWD, RenameFlags, renameat_with};
    Ok(renameat_with(CWD, from, CWD, to, RenameFlags::NOREPLACE)?)
}

#[cfg(not(target_os = "linux"))]
fn in_one_step(_: &Path, _: &Path) -> io::Result<()> {
    Err(io::ErrorKind::Unsupported.into())
}

/// A new name is on the disk when its folder is (POSIX); other systems have no such call for a folder.
pub(super) fn sync(folder: &Path) -> io::Result<()> {
    if cfg!(unix) { File::open(folder)?.sync_all() } else { Ok(()) }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The lock of a writer in this process stands in for that of another process.
    #[test]
    fn what_was_left_is_swept_and_what_is_being_written_stays() {
        let folder = tempfile::tempdir().expect("a folder");
        let path = |name: &str| folder.path().join(name);
        for name in
            [".tellframe-0123456789abcdef.part", ".tellframe-1.part", "mine.part", ".tellframe-notes.txt"]
        {
            fs::write(path(name), "x").expect("written");
        }
        let mut written = Part::new(folder.path()).expect("made");
        sweep(folder.path());
        assert!(written.file().metadata().is_ok() && written.path.exists());
        assert!(!path(".tellframe-0123456789abcdef.part").exists());
        for name in [".tellframe-1.part", "mine.part", ".tellframe-notes.txt"] {
            assert!(path(name).exists(), "{name}");
        }
    }

    #[cfg(unix)]
    #[test]
    fn a_planted_link_is_neither_swept_nor_followed() {
        let folder = tempfile::tempdir().expect("a folder");
        let (precious, link) =
            (folder.path().join("precious"), folder.path().join(".tellframe-0123456789abcdef.part"));
        fs::write(&precious, "keep me").expect("written");
        std::os::unix::fs::symlink(&precious, &link).expect("linked");
        sweep(folder.path());
        assert!(link.is_symlink());
        assert!(opened(&link).is_err() && private(&link).is_err());
        assert_eq!(fs::read(&precious).expect("there"), b"keep me");
    }

    #[test]
    fn a_second_name_replaces_nothing_either() {
        let folder = tempfile::tempdir().expect("a folder");
        let [from, to] = ["from", "to"].map(|name| folder.path().join(name));
        fs::write(&from, "new").expect("written");
        fs::write(&to, "old").expect("written");
        for refused in [rename_new(&from, &to), fs::hard_link(&from, &to)] {
            assert_eq!(refused.expect_err("it is there").kind(), io::ErrorKind::AlreadyExists);
        }
        assert_eq!(fs::read(&to).expect("there"), b"old");
    }
}
