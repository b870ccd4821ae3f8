//! The files that go with a log: made for their owner alone, and never reached through a link.
//!
//! Whoever may write to a log's folder could lay a link there, under a name that the program is about to write to. So
//! what lies beside a log is a regular file with one name, or it is refused before it is touched.

use crate::Error;
use std::fs::{self, File, Metadata, OpenOptions};
use std::io;
use std::path::{Path, PathBuf};

/// Why a file beside a log is not taken for one of its own.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum Foreign {
    #[error("it is a link")]
    Link,
    /// A file with a second name: what is written to it is written elsewhere as well.
    #[error("it has a second name (a hard link)")]
    SecondName,
    /// A folder, a device, a pipe.
    #[error("it is not a file")]
    NotAFile,
    /// A file of somebody else's, in the place of a lock.
    #[error("it holds something else than the number of a process")]
    NotALock,
    /// The journal of another way to write to the database, which SQLite would play back.
    #[error("another program left it, and it would change the log back")]
    Journal,
    /// A write-ahead file without its log, which SQLite would mix into a new one.
    #[error("it holds acts of a log that is not there")]
    Orphan,
}

impl Foreign {
    pub(crate) fn help(self) -> &'static str {
        match self {
            Foreign::SecondName => "remove the second name, or copy the file and put the copy in its place",
            Foreign::Link | Foreign::NotAFile | Foreign::NotALock | Foreign::Journal | Foreign::Orphan => {
                "nothing was written; look what it is, and move it away"
            }
        }
    }
}

/// Refuses a log whose files are not its own: what SQLite keeps beside it is regular, and there is no journal to be played
/// back.
pub(crate) fn check(log: &Path) -> Result<(), Error> {
    for suffix in ["-wal", "-shm"] {
        regular(&beside(log, suffix))?;
    }
    no_acts_in(&beside(log, "-journal"), Foreign::Journal)
}

/// Refuses to make a log where another one left acts.
pub(crate) fn check_room(log: &Path) -> Result<(), Error> {
    regular(&beside(log, "-shm"))?;
    no_acts_in(&beside(log, "-wal"), Foreign::Orphan)?;
    no_acts_in(&beside(log, "-journal"), Foreign::Journal)
}

fn no_acts_in(path: &Path, otherwise: Foreign) -> Result<(), Error> {
    match regular(path)? {
        Some(about) if about.len() > 0 => Err(Error::Foreign { path: path.to_owned(), what: otherwise }),
        Some(_) | None => Ok(()),
    }
}

/// What lies there; refuses what is not a regular file with one name.
pub(crate) fn regular(path: &Path) -> Result<Option<Metadata>, Error> {
    let about = match fs::symlink_metadata(path) {
        Ok(about) => about,
        Err(e) if e.kind() == io::ErrorKind::NotFound => return Ok(None),
        Err(e) => return Err(Error::of_file(path, e)),
    };
    match foreign(&about) {
        Some(what) => Err(Error::Foreign { path: path.to_owned(), what }),
        None => Ok(Some(about)),
    }
}

pub(crate) fn foreign(about: &Metadata) -> Option<Foreign> {
    match about {
        about if about.is_symlink() => Some(Foreign::Link),
        about if !about.is_file() => Some(Foreign::NotAFile),
        about if names(about) > 1 => Some(Foreign::SecondName),
        _ => None,
    }
}

/// Opens a file to read it, unless a link leads there.
pub(crate) fn open_unlinked(path: &Path) -> io::Result<File> {
    without_links(OpenOptions::new().read(true)).open(path)
}

/// Opens a file beside a log to read it; none where it is not there.
pub(crate) fn open_regular(path: &Path) -> Result<Option<File>, Error> {
    if regular(path)?.is_none() {
        return Ok(None);
    }
    match open_unlinked(path) {
        Ok(file) => Ok(Some(file)),
        Err(e) if e.kind() == io::ErrorKind::NotFound => Ok(None),
        Err(e) => Err(Error::of_file(path, e)),
    }
}

/// Opens a file beside a log to read and write it, made for its owner alone where it is not there. What it holds is kept.
pub(crate) fn open_or_make(path: &Path) -> Result<File, Error> {
    regular(path)?;
    let mut options = OpenOptions::new();
    options.read(true).write(true).create(true).truncate(false);
    let file = for_owner(without_links(&mut options)).open(path).map_err(|e| Error::of_file(path, e))?;
    // What is open is looked at once more: it may have come in between.
    match foreign(&file.metadata().map_err(|e| Error::of_file(path, e))?) {
        Some(what) => Err(Error::Foreign { path: path.to_owned(), what }),
        None => Ok(file),
    }
}

/// Makes a new file that only its owner may read; whatever is there already, also a link, is an error.
pub(crate) fn make(path: &Path) -> io::Result<File> {
    for_owner(OpenOptions::new().write(true).create_new(true)).open(path)
}

/// Makes a folder, and those that it lies in, for their owner alone. One that is there is left as it is.
///
/// # Errors
/// What the system says.
pub fn make_folder(path: &Path) -> io::Result<()> {
    let mut folder = fs::DirBuilder::new();
    folder.recursive(true);
    #[cfg(unix)]
    std::os::unix::fs::DirBuilderExt::mode(&mut folder, 0o700);
    folder.create(path)
}

/// Takes from everybody but the owner what a file that others may use gives them. A file that only its group shares was
/// set up so, and is left. Who may not change that may still write the log, so a refusal is said in the trace alone.
#[cfg(unix)]
pub(crate) fn tighten(path: &Path) {
    use std::os::unix::fs::PermissionsExt as _;
    let Ok(about) = fs::symlink_metadata(path) else { return };
    if !about.is_file() || about.permissions().mode() & 0o007 == 0 {
        return;
    }
    match fs::set_permissions(path, fs::Permissions::from_mode(0o600)) {
        Ok(()) => tracing::info!("{} is its owner's alone now", path.display()),
        Err(error) => tracing::warn!("others may use {}: {error}", path.display()),
    }
}

#[cfg(not(unix))]
pub(crate) fn tighten(_: &Path) {}

#[cfg(unix)]
pub(crate) fn names(about: &Metadata) -> u64 {
    std::os::unix::fs::MetadataExt::nlink(about)
}

#[cfg(not(unix))]
pub(crate) fn names(_: &Metadata) -> u64 {
    1
}

/// Which file it is: device and inode; on Windows the time of its making, in 100 ns since 1601.
pub(crate) type Id = (u64, u64);

#[cfg(unix)]
pub(crate) fn id(about: &Metadata) -> Id {
    use std::os::unix::fs::MetadataExt as _;
    (about.dev(), about.ino())
}

#[cfg(windows)]
pub(crate) fn id(about: &Metadata) -> Id {
    (0, std::os::windows::fs::MetadataExt::creation_time(about))
}

/// When it was written to last, in the system's own count: good for comparing.
#[cfg(unix)]
pub(crate) fn written(about: &Metadata) -> (i64, i64) {
    use std::os::unix::fs::MetadataExt as _;
    (about.mtime(), about.mtime_nsec())
}

#[cfg(windows)]
pub(crate) fn written(about: &Metadata) -> (i64, i64) {
    (0, std::os::windows::fs::MetadataExt::last_write_time(about).cast_signed())
}

pub(crate) fn same(one: &Metadata, other: &Metadata) -> bool {
    id(one) == id(other)
}

/// Links are not followed, and a pipe does not wait for its other end.
#[cfg(unix)]
fn without_links(options: &mut OpenOptions) -> &mut OpenOptions {
    use rustix::fs::OFlags;
    use std::os::unix::fs::OpenOptionsExt as _;
    options.custom_flags((OFlags::NOFOLLOW | OFlags::NONBLOCK).bits().cast_signed())
}

#[cfg(not(unix))]
fn without_links(options: &mut OpenOptions) -> &mut OpenOptions {
    options
}

#[cfg(unix)]
fn for_owner(options: &mut OpenOptions) -> &mut OpenOptions {
    std::os::unix::fs::OpenOptionsExt::mode(options, 0o600)
}

#[cfg(not(unix))]
fn for_owner(options: &mut OpenOptions) -> &mut OpenOptions {
    options
}

/// The file that goes with a log: its own name and a suffix.
pub(crate) fn beside(log: &Path, suffix: &str) -> PathBuf {
    let mut name = log.as_os_str().to_owned();
    name.push(suffix);
    PathBuf::from(name)
}
