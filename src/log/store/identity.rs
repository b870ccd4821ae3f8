//! Is the log that is open still the one that lies there?
//!
//! A file that is open goes on to take acts after it was moved, deleted or put aside for another one: they would be
//! acknowledged, and be where nobody looks. So before each act, and once more before it is acknowledged, the path is
//! asked whose file it leads to: the log's own, its write-ahead and shared-memory file, the lock. The file's length and
//! time tell whether somebody else wrote to it in place; only then is it read anew.
//!
//! The database itself is never opened here: the system drops a process's locks on a file (POSIX `fcntl`) as soon as the
//! process closes any handle of it, SQLite's locks among them. What is asked is `stat`, and on Linux a handle that
//! cannot read (`O_PATH`), which says where the file went. Where the system has no numbers for files, the time of making
//! stands in their place; there a file that is open cannot be moved away.

use crate::Error;
use crate::files;
use crate::files::{Id, id};
use crate::store::lock::Lock;
use crate::store::reader;
use crate::store::reader::Reader;
use crate::store::schema;
use crate::store::unverified::Unverified;
use std::fs::{self, Metadata};
use std::io;
use std::path::{Path, PathBuf};

/// What SQLite keeps beside a log that is open.
const BESIDE: [&str; 2] = ["-wal", "-shm"];

/// What became of a log while it was open.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum Displaced {
    #[error("was moved to {to}", to = .0.display())]
    Moved(PathBuf),
    #[error("was deleted")]
    Deleted,
    /// It is not there, and the system does not say why.
    #[error("was moved or deleted")]
    Gone,
    #[error("was replaced by another file")]
    Replaced,
    #[error("was written over: another log lies there")]
    OtherLog,
    #[error("is not what {given} leads to any more", given = .0.display())]
    Elsewhere(PathBuf),
    /// A file that goes with it is not there, or is another one.
    #[error("lost the file {file} beside it: it was moved, deleted or replaced", file = .0.display())]
    Beside(PathBuf),
    /// The lock is not there, or is another one: a second desk may have taken it.
    #[error("lost its lock: the file was moved, deleted or replaced, and another desk may write")]
    Lock,
    /// It has a second name, under which it is opened without its write-ahead file.
    #[error("was given a second name (a hard link), which acts reach late or never")]
    SecondName,
}

impl Displaced {
    pub(crate) fn help(&self) -> &'static str {
        match self {
            Displaced::Moved(_) | Displaced::Elsewhere(_) => {
                "close the desk, put the log back with all files beside it, and open it again; \
                it says whether the act is there"
            }
            Displaced::Deleted | Displaced::Gone | Displaced::Replaced | Displaced::OtherLog => {
                "do not close this desk yet: it may be the last that holds the earlier acts; export its records, \
                then put back the log or its last backup"
            }
            Displaced::Beside(_) => {
                "do not close this desk yet: export its records; then put the file back, or the last backup"
            }
            Displaced::Lock => "close this desk and the other one, then open one of them again",
            Displaced::SecondName => "remove the second name (make copies, not links), then do it again",
        }
    }
}

/// How a file was left: its length and when it was written to.
type Left = (u64, (i64, i64));

#[derive(Debug)]
pub(crate) struct Place {
    path: PathBuf,
    given: PathBuf,
    database: Id,
    beside: Vec<(PathBuf, Id)>,
    left: Vec<Left>,
    whereabouts: Whereabouts,
}

impl Place {
    /// The file that lies at `path` now, before it is opened; `given` is how it was named.
    pub(crate) fn of(path: &Path, given: &Path) -> Result<Place, Error> {
        let refused = |e| Error::of_file(path, e);
        let database = id(&fs::symlink_metadata(path).map_err(refused)?);
        let given = std::path::absolute(given).map_err(refused)?;
        let whereabouts = Whereabouts::of(path).map_err(refused)?;
        let (beside, left) = (Vec::new(), Vec::new());
        Ok(Place { path: path.to_owned(), given, database, beside, left, whereabouts })
    }

    /// After it was opened: the files that SQLite made beside it.
    pub(crate) fn opened(&mut self) -> Result<(), Error> {
        for suffix in BESIDE {
            let file = files::beside(&self.path, suffix);
            let about = fs::symlink_metadata(&file).map_err(|e| Error::of_file(&file, e))?;
            self.beside.push((file, id(&about)));
        }
        self.here()?;
        self.left();
        Ok(())
    }

    /// Refuses where the open log is not the one that lies there.
    pub(crate) fn check(&self, held: &Lock) -> Result<(), Error> {
        self.here()?;
        for (file, known) in &self.beside {
            if fs::symlink_metadata(file).map(|about| id(&about)).ok().as_ref() != Some(known) {
                return self.displaced(Displaced::Beside(file.clone()));
            }
        }
        match held.is_there() {
            true => Ok(()),
            false => self.displaced(Displaced::Lock),
        }
    }

    fn here(&self) -> Result<(), Error> {
        match fs::symlink_metadata(&self.path) {
            Err(e) if e.kind() == io::ErrorKind::NotFound => return self.displaced(self.whereabouts.now()),
            Err(e) => return Err(Error::of_file(&self.path, e)),
            Ok(about) if id(&about) != self.database => {
                return self.displaced(match self.whereabouts.now() {
                    Displaced::Moved(to) if to != self.path => Displaced::Moved(to),
                    _ => Displaced::Replaced,
                });
            }
            Ok(about) if files::names(&about) > 1 => return self.displaced(Displaced::SecondName),
            Ok(_) => {}
        }
        match fs::metadata(&self.given) {
            Ok(about) if id(&about) == self.database => Ok(()),
            Ok(_) | Err(_) => self.displaced(Displaced::Elsewhere(self.given.clone())),
        }
    }

    /// Refuses a file that somebody else wrote over since it was left. One who added to it is seen by the head.
    pub(crate) fn untouched(&self, log: &Reader) -> Result<(), Error> {
        if self.left == self.lengths() {
            return Ok(());
        }
        let anew = Unverified::over(schema::for_reading(&self.path)?, self.path.clone())?;
        schema::version(&anew.connection, &self.path)?;
        let tip = reader::tip(&anew.connection).map_err(|e| Error::of_database(&self.path, e))?;
        if anew.id() != log.id() || tip != log.tip()? {
            return self.displaced(Displaced::OtherLog);
        }
        Ok(())
    }

    pub(crate) fn left(&mut self) {
        self.left = self.lengths();
    }

    fn lengths(&self) -> Vec<Left> {
        let wal = self.beside.first().map(|(file, _)| file.as_path());
        let about = |path: &Path| fs::symlink_metadata(path).ok();
        let left = |about: Metadata| (about.len(), files::written(&about));
        [Some(self.path.as_path()), wal].into_iter().flatten().filter_map(about).map(left).collect()
    }

    fn displaced<T>(&self, how: Displaced) -> Result<T, Error> {
        Err(Error::Displaced { path: self.path.clone(), how })
    }
}

/// Says where a file went. The handle can neither read nor write, and closing it drops no lock.
#[cfg(target_os = "linux")]
#[derive(Debug)]
struct Whereabouts(std::os::fd::OwnedFd);

#[cfg(target_os = "linux")]
impl Whereabouts {
    fn of(path: &Path) -> io::Result<Whereabouts> {
        use rustix::fs::{Mode, OFlags};
        let flags = OFlags::PATH | OFlags::NOFOLLOW | OFlags::CLOEXEC;
        Ok(Whereabouts(rustix::fs::open(path, flags, Mode::empty())?))
    }

    fn now(&self) -> Displaced {
        use std::os::fd::AsRawFd as _;
        if rustix::fs::fstat(&self.0).is_ok_and(|about| about.st_nlink == 0) {
            return Displaced::Deleted;
        }
        match fs::read_link(format!("/proc/self/fd/{}", self.0.as_raw_fd())) {
            Ok(to) if to.exists() => Displaced::Moved(to),
            Ok(_) | Err(_) => Displaced::Gone,
        }
    }
}

#[cfg(not(target_os = "linux"))]
#[derive(Debug)]
struct Whereabouts;

#[cfg(not(target_os = "linux"))]
impl Whereabouts {
    fn of(_: &Path) -> io::Result<Whereabouts> {
        Ok(Whereabouts)
    }

    fn now(&self) -> Displaced {
        Displaced::Gone
    }
}
