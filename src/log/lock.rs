//! One writer a log: a lock file beside it, held for as long as the log is open for writing.
//!
//! SQLite alone would keep the file sound under two writers, but two desks would fold from different
//! heads and find out one act late. The operating system drops the lock with its process, so a desk
//! that was killed leaves nothing to clean up. The file stays: removing it while another desk opens it
//! would give two desks a lock each. Readers never touch it.

use crate::log::Error;
use std::fs::{File, OpenOptions, TryLockError};
use std::io::{Read as _, Write as _};
use std::path::{Path, PathBuf};

/// The right to write to one log.
#[derive(Debug)]
pub(crate) struct Lock {
    file: File,
}

/// Closing the file would do it, but not while a process that was just started still has a copy of it, which
/// it keeps until its own program runs.
impl Drop for Lock {
    fn drop(&mut self) {
        if let Err(error) = self.file.unlock() {
            tracing::debug!("the lock is let go with its file: {error}");
        }
    }
}

impl Lock {
    /// Takes the right for this process, or says who has it. `log` must be resolved, so that two
    /// spellings of one path meet at one lock.
    pub(crate) fn take(log: &Path) -> Result<Lock, Error> {
        let path = beside(log, ".lock");
        let open = OpenOptions::new().read(true).write(true).create(true).truncate(false).open(&path);
        let mut file = open.map_err(|e| Error::of_file(log, e))?;
        match file.try_lock() {
            Ok(()) => {}
            Err(TryLockError::WouldBlock) => {
                return Err(Error::InUse { path: log.to_owned(), process: holder(&mut file) });
            }
            Err(TryLockError::Error(source)) => return Err(Error::File { path, source }),
        }
        let id = format!("{}\n", std::process::id());
        let named = file.set_len(0).and_then(|()| file.write_all(id.as_bytes()));
        named.map_err(|e| Error::of_file(log, e))?;
        Ok(Lock { file })
    }
}

/// Who says to hold the lock. Nobody, where the system does not let a locked file be read, or the
/// holder is only about to write its number.
fn holder(file: &mut File) -> Option<u32> {
    let mut text = String::new();
    file.take(16).read_to_string(&mut text).ok().and_then(|_| text.trim().parse().ok())
}

/// The file that goes with a log: its own name and a suffix.
pub(crate) fn beside(log: &Path, suffix: &str) -> PathBuf {
    let mut name = log.as_os_str().to_owned();
    name.push(suffix);
    PathBuf::from(name)
}

/// The path without links, so that one log has one lock. The file itself need not be there yet.
pub(crate) fn resolve(path: &Path) -> Result<PathBuf, Error> {
    let refused = |e| Error::of_file(path, e);
    if path.exists() {
        return path.canonicalize().map_err(refused);
    }
    let name = path.file_name().ok_or_else(|| Error::Missing(path.to_owned()))?;
    let folder = match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder,
        Some(_) | None => Path::new("."),
    };
    Ok(folder.canonicalize().map_err(refused)?.join(name))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_second_taker_is_told_who_holds_it() {
        let folder = tempfile::tempdir().expect("a folder");
        let log = folder.path().join("log.sqlite");
        let held = Lock::take(&log).expect("free");
        let refused = Lock::take(&log).expect_err("held").to_string();
        let process = std::process::id();
        assert_eq!(
            refused,
            format!("the log {} is in use by another desk (process {process})", log.display())
        );
        drop(held);
        Lock::take(&log).expect("free again");
    }

    /// A second handle stands for the copy that a started process has for a moment.
    #[test]
    fn a_copy_of_the_file_does_not_keep_the_lock() {
        let folder = tempfile::tempdir().expect("a folder");
        let log = folder.path().join("log.sqlite");
        let held = Lock::take(&log).expect("free");
        let copy = held.file.try_clone().expect("copied");
        drop(held);
        Lock::take(&log).expect("free again, whoever has a copy");
        drop(copy);
    }

    #[cfg(unix)]
    #[test]
    fn a_link_leads_to_the_same_lock() {
        let folder = tempfile::tempdir().expect("a folder");
        let log = folder.path().join("log.sqlite");
        File::create(&log).expect("made");
        let link = folder.path().join("link.sqlite");
        std::os::unix::fs::symlink(&log, &link).expect("linked");
        assert_eq!(resolve(&link).expect("there"), resolve(&log).expect("there"));
    }
}
