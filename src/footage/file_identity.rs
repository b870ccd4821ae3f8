//! Whether the file of a clip is still the one that was opened.
//!
//! A recorder writes over a file, cuts it, goes on writing, or puts another one in its place. What is decoded then is
//! another recording, so a clip stands for one file with one content: each picture and each hash is given only while the
//! file is that one. Device, inode, size and times tell that without reading; the first and last bytes are read as well,
//! because a system may keep coarse times. Where only times or the inode differ, the whole content decides, as far as its
//! hash is known: a file that was touched, or restored from a copy, is the same clip.

use crate::error::{Change, Error};
use sha2::{Digest, Sha256};
use std::fs::{File, Metadata};
use std::io::{Read, Seek, SeekFrom};
use std::path::Path;
use std::sync::{Arc, Mutex, MutexGuard, OnceLock, PoisonError};

/// Bytes at either end that are compared at every check.
const END: u64 = 4096;

/// A file of up to this many bytes is hashed whole when it is opened, for comparison if its times change.
pub(super) const SMALL: u64 = 16 << 20;

type Hash = [u8; 32];

/// What identifies a file without reading all of it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Facts {
    /// Device and inode, where the system has them.
    place: (u64, u64),
    bytes: u64,
    /// When it was written and when its status changed, in seconds and nanoseconds.
    times: [(i64, i64); 2],
    /// Of its first and last bytes.
    ends: Hash,
}

/// The file that a clip was opened from. Copies of a clip share it.
#[derive(Debug, Clone)]
pub(super) struct Identity(Arc<Held>);

#[derive(Debug)]
struct Held {
    facts: Mutex<Facts>,
    /// Of all bytes, once they were read.
    sha256: OnceLock<Hash>,
    /// It was found to have other bytes. This is final.
    changed: OnceLock<Change>,
}

impl Facts {
    fn of(path: &Path) -> std::io::Result<Facts> {
        let mut file = File::open(path)?;
        let found = file.metadata()?;
        let bytes = found.len();
        let mut hash = Sha256::new();
        for from in [0, bytes.saturating_sub(END)] {
            file.seek(SeekFrom::Start(from))?;
            let mut end = Vec::new();
            file.by_ref().take(END).read_to_end(&mut end)?;
            hash.update(&end);
        }
        Ok(Facts { place: place(&found), bytes, times: times(&found), ends: hash.finalize().into() })
    }
}

#[cfg(unix)]
fn place(found: &Metadata) -> (u64, u64) {
    use std::os::unix::fs::MetadataExt;
    (found.dev(), found.ino())
}

#[cfg(unix)]
fn times(found: &Metadata) -> [(i64, i64); 2] {
    use std::os::unix::fs::MetadataExt;
    [(found.mtime(), found.mtime_nsec()), (found.ctime(), found.ctime_nsec())]
}

#[cfg(not(unix))]
fn place(_: &Metadata) -> (u64, u64) {
    (0, 0)
}

#[cfg(not(unix))]
fn times(found: &Metadata) -> [(i64, i64); 2] {
    let written = found.modified().ok().and_then(|at| at.duration_since(std::time::UNIX_EPOCH).ok());
    let written = written.map_or((0, 0), |at| (at.as_secs().cast_signed(), i64::from(at.subsec_nanos())));
    [written, (0, 0)]
}

fn whole(path: &Path) -> std::io::Result<Hash> {
    let mut file = File::open(path)?;
    let (mut hash, mut buffer) = (Sha256::new(), vec![0; 1 << 16]);
    loop {
        match file.read(&mut buffer)? {
            0 => return Ok(hash.finalize().into()),
            count => hash.update(buffer.get(..count).unwrap_or(&[])),
        }
    }
}

impl Identity {
    /// Of the file at a path, as it is now.
    pub(super) fn of(path: &Path) -> std::io::Result<Identity> {
        let facts = Facts::of(path)?;
        let sha256 = if facts.bytes <= SMALL { OnceLock::from(whole(path)?) } else { OnceLock::new() };
        Ok(Identity(Arc::new(Held { facts: Mutex::new(facts), sha256, changed: OnceLock::new() })))
    }

    fn facts(&self) -> MutexGuard<'_, Facts> {
        self.0.facts.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Checks that the file at the path is still this one.
    pub(super) fn check(&self, path: &Path) -> Result<(), Change> {
        if let Some(changed) = self.0.changed.get() {
            return Err(*changed);
        }
        let now = Facts::of(path).map_err(|_| Change::Gone)?;
        let before = *self.facts();
        if now == before {
            return Ok(());
        }
        let may_be_same = (now.bytes, now.ends) == (before.bytes, before.ends);
        let is_same = match self.0.sha256.get().filter(|_| may_be_same) {
            Some(known) => whole(path).map_err(|_| Change::Gone)? == *known,
            None => false,
        };
        // Whoever writes during the check changes it once more.
        if is_same && Facts::of(path).is_ok_and(|after| after == now) {
            *self.facts() = now;
            return Ok(());
        }
        let changed = if now.place == before.place { Change::Written } else { Change::Replaced };
        Err(*self.0.changed.get_or_init(|| changed))
    }

    /// SHA-256 of the bytes that the file has now, in hexadecimal.
    pub(super) fn sha256(&self, path: &Path) -> Result<String, Error> {
        self.check(path)?;
        let found = whole(path).map_err(Error::Read)?;
        self.check(path)?;
        if *self.0.sha256.get_or_init(|| found) != found {
            return Err(Error::Changed(*self.0.changed.get_or_init(|| Change::Written)));
        }
        Ok(found.iter().map(|byte| format!("{byte:02x}")).collect())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::time::{Duration, SystemTime};

    /// A file of this many bytes, to be above or below [`SMALL`].
    fn file(folder: &Path, bytes: u64) -> std::path::PathBuf {
        let path = folder.join("file");
        std::fs::write(&path, vec![7; usize::try_from(bytes).expect("it fits")]).expect("it is written");
        path
    }

    fn touch(path: &Path) {
        let file = File::options().write(true).open(path).expect("it opens");
        file.set_modified(SystemTime::now() + Duration::from_secs(9)).expect("it has a time");
    }

    #[test]
    fn a_large_file_that_was_touched_is_the_same_once_its_hash_is_known_and_not_before() {
        let folder = tempfile::tempdir().expect("a folder");
        let path = file(folder.path(), SMALL + 1);
        let unknown = Identity::of(&path).expect("it is there");
        let known = Identity::of(&path).expect("it is there");
        known.sha256(&path).expect("it is read");
        touch(&path);
        assert_eq!(unknown.check(&path), Err(Change::Written));
        assert_eq!(known.check(&path), Ok(()));
        let mut bytes = std::fs::read(&path).expect("it is there");
        let middle = bytes.len() / 2;
        bytes[middle] = 8;
        std::fs::write(&path, bytes).expect("it is written");
        assert_eq!(known.check(&path), Err(Change::Written));
    }

    #[test]
    fn a_change_does_not_pass_and_a_file_that_comes_back_is_the_one() {
        let folder = tempfile::tempdir().expect("a folder");
        let path = file(folder.path(), 9000);
        let identity = Identity::of(&path).expect("it is there");
        let away = folder.path().join("away");
        std::fs::rename(&path, &away).expect("it is moved");
        assert_eq!(identity.check(&path), Err(Change::Gone));
        assert!(matches!(identity.sha256(&path), Err(Error::Changed(Change::Gone))));
        std::fs::rename(&away, &path).expect("it is moved");
        assert_eq!(identity.check(&path), Ok(()));
        std::fs::write(&away, b"another").expect("it is written");
        std::fs::rename(&away, &path).expect("it is moved");
        assert_eq!(identity.check(&path), Err(Change::Replaced));
        file(folder.path(), 9000);
        assert_eq!(identity.check(&path), Err(Change::Replaced), "the clip was let go");
    }
}
