//! One writer a log: a lock file beside it, held for as long as the log is open for writing.
//!
//! SQLite alone would keep the file sound under two writers, but two desks would fold from different
//! heads and find out one act late. The operating system drops the lock with its process, so a desk
//! that was killed leaves nothing to clean up. The file stays: removing it while another desk opens it
//! would give two desks a lock each; a desk whose lock is removed nevertheless acknowledges nothing more. Readers never
//! touch it.

use crate::Error;
use crate::files;
use crate::files::Foreign;
use std::fs::{self, File, TryLockError};
use std::io::{Read as _, Seek as _, Write as _};
use std::path::{Path, PathBuf};

#[derive(Debug)]
pub(crate) struct Lock {
    file: File,
    path: PathBuf,
}

/// How often the file may be another one by the time it is locked.
const TRIES: usize = 3;

/// No number of a process is longer, with its line end.
const LONGEST: u64 = 16;

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
    /// spellings of one path meet at one lock. Nothing is written before the lock is this process's.
    pub(crate) fn take(log: &Path) -> Result<Lock, Error> {
        let path = files::beside(log, ".lock");
        for _ in 0..TRIES {
            let mut file = files::open_or_make(&path)?;
            match file.try_lock() {
                Ok(()) => {}
                Err(TryLockError::WouldBlock) => {
                    let process = text(&mut file).and_then(|text| text.trim().parse().ok());
                    return Err(Error::InUse { path: log.to_owned(), process });
                }
                Err(TryLockError::Error(source)) => return Err(Error::File { path, source }),
            }
            let mut held = Lock { file, path: path.clone() };
            if held.is_there() {
                held.sign(log)?;
                return Ok(held);
            }
        }
        Err(Error::InUse { path: log.to_owned(), process: None })
    }

    /// Whether the file that is locked is still the one that others find.
    pub(crate) fn is_there(&self) -> bool {
        match (self.file.metadata(), fs::symlink_metadata(&self.path)) {
            (Ok(own), Ok(there)) => files::same(&own, &there),
            (Ok(_) | Err(_), _) => false,
        }
    }

    /// Says which process has it.
    fn sign(&mut self, log: &Path) -> Result<(), Error> {
        let number =
            |text: String| text.is_empty() || text.trim_end().bytes().all(|byte| byte.is_ascii_digit());
        if !text(&mut self.file).is_some_and(number) {
            return Err(Error::Foreign { path: self.path.clone(), what: Foreign::NotALock });
        }
        files::tighten(&self.path);
        let id = format!("{}\n", std::process::id());
        let signed = self.file.set_len(0).and_then(|()| self.file.rewind());
        signed.and_then(|()| self.file.write_all(id.as_bytes())).map_err(|e| Error::of_file(log, e))
    }
}

/// What a lock says: who holds it. None where it is no lock of ours, or where the system does not let a locked file be
/// read; empty where its holder is only about to write its number.
fn text(file: &mut File) -> Option<String> {
    let mut text = String::new();
    let length = file.take(LONGEST + 1).read_to_string(&mut text).ok()?;
    (length as u64 <= LONGEST).then_some(text)
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
