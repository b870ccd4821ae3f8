//! The folder of small pictures: how much room they may take, and what killed processes left.
//!
//! Small pictures are a convenience, and the log beside them is not. So a part of the disk is always left free for
//! the log, and where that is not possible there are no small pictures. The bound holds for all desks together that
//! use the folder. Each file is locked by the process that made it, and the lock ends with the process, so what a
//! killed one left can be told from what another desk is showing. Links are neither followed nor removed.

use super::proxy::{Proxy, Writer};
use std::fmt;
use std::fs::{self, File};
use std::io;
use std::path::{Path, PathBuf};

/// Left free on every disk, in bytes: a game's log takes a hundredth of it.
const RESERVE: u64 = 512 << 20;
/// 1 / `RESERVE_PART` of a disk is left free, where that is more.
const RESERVE_PART: u64 = 20;

/// Prefix of the names of small pictures.
const NAMED: &str = "small-";
/// Prefix of older names, which held the number of their process: `proxy-4711-0`.
const ONCE_NAMED: &str = "proxy-";

/// Names that are tried before giving up.
const TRIES: usize = 16;

/// The room on a disk, in bytes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Room {
    /// That can still be written.
    pub free: u64,
    /// Of the whole disk.
    pub total: u64,
}

impl Room {
    /// The room on the disk that a folder lies on.
    ///
    /// # Errors
    /// The system's error.
    #[cfg(unix)]
    pub fn of(folder: &Path) -> io::Result<Room> {
        let disk = rustix::fs::statvfs(folder)?;
        let bytes = |blocks: u64| blocks.saturating_mul(disk.f_frsize);
        Ok(Room { free: bytes(disk.f_bavail), total: bytes(disk.f_blocks) })
    }

    /// The room on the disk that a folder lies on. This system does not tell, so it is taken to be enough.
    ///
    /// # Errors
    /// None here.
    #[cfg(not(unix))]
    pub fn of(_: &Path) -> io::Result<Room> {
        Ok(Room { free: u64::MAX, total: 0 })
    }

    /// How much of the disk is never taken.
    fn reserve(self) -> u64 {
        RESERVE.max(self.total / RESERVE_PART)
    }

    /// Whether the reserve remains after this many more bytes.
    fn takes(self, bytes: u64) -> bool {
        self.free.saturating_sub(bytes) >= self.reserve() && self.free >= bytes
    }
}

/// Asks for the room on the disk of a folder.
pub type AskRoom = fn(&Path) -> io::Result<Room>;

/// Why a clip has no small pictures.
#[derive(Debug)]
pub(crate) enum NoProxy {
    NoRoom(Room),
    /// The bound for all small pictures together is reached.
    Bound,
    /// The folder is a link, or no folder.
    NoFolder(PathBuf),
    Refused(io::Error),
}

impl fmt::Display for NoProxy {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let mb = |bytes: u64| bytes >> 20;
        match self {
            NoProxy::NoRoom(room) => write!(
                f,
                "the disk has {} MB left, and {} MB are kept for the log: no proxies are made, and moving over a clip is slower",
                mb(room.free),
                mb(room.reserve())
            ),
            NoProxy::Bound => {
                f.write_str("the limit for proxies is reached: moving over the newest clips is slower")
            }
            NoProxy::NoFolder(path) => {
                write!(f, "{} is not a folder, or is a link: no proxies are made", path.display())
            }
            NoProxy::Refused(error) => write!(f, "no proxies are made: {error}"),
        }
    }
}

impl From<io::Error> for NoProxy {
    fn from(error: io::Error) -> NoProxy {
        NoProxy::Refused(error)
    }
}

/// The folder, as one process uses it.
#[derive(Debug)]
pub(crate) struct Proxies {
    folder: PathBuf,
    most_bytes: u64,
    ask: AskRoom,
}

impl Proxies {
    /// Takes a folder into use: makes it if missing, and sweeps what dead processes left in it. All its files
    /// together take at most `most_bytes`.
    pub(crate) fn open(folder: &Path, most_bytes: u64, ask: AskRoom) -> Proxies {
        let proxies = Proxies { folder: folder.to_owned(), most_bytes, ask };
        // The reason is reported when a clip gets no proxy.
        if let Err(why) = proxies.ready().map(|()| proxies.sweep()) {
            tracing::warn!("{why}");
        }
        proxies
    }

    /// Begins the small pictures of a clip whose pictures have this size.
    pub(crate) fn begin(&self, clip_size: (u32, u32), frames: usize) -> Result<(Proxy, Writer), NoProxy> {
        self.ready()?;
        let bytes = Proxy::bytes_of(clip_size, frames);
        if self.held()?.saturating_add(bytes) > self.most_bytes {
            return Err(NoProxy::Bound);
        }
        self.room_for(bytes)?;
        Ok(self.named(clip_size, frames)?)
    }

    /// Whether the disk has its reserve and this many bytes more.
    pub(crate) fn room_for(&self, bytes: u64) -> Result<(), NoProxy> {
        let room = (self.ask)(&self.folder)?;
        if room.takes(bytes) { Ok(()) } else { Err(NoProxy::NoRoom(room)) }
    }

    /// Makes the folder if it is missing; refuses a link.
    fn ready(&self) -> Result<(), NoProxy> {
        match fs::symlink_metadata(&self.folder) {
            Ok(about) if about.is_dir() => Ok(()),
            Ok(_) => Err(NoProxy::NoFolder(self.folder.clone())),
            Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(private_folder(&self.folder)?),
            Err(error) => Err(error.into()),
        }
    }

    /// Bytes of all small pictures in the folder, other desks' too.
    fn held(&self) -> io::Result<u64> {
        let files = self.files()?;
        Ok(files.iter().filter_map(|path| fs::symlink_metadata(path).ok()).map(|about| about.len()).sum())
    }

    /// The regular files of the folder that are named as small pictures are.
    fn files(&self) -> io::Result<Vec<PathBuf>> {
        let ours = |entry: &fs::DirEntry| {
            let name = entry.file_name();
            let is_named = name.to_str().is_some_and(|name| is_named(name) || process(name).is_some());
            is_named && entry.file_type().is_ok_and(|kind| kind.is_file())
        };
        let listed = fs::read_dir(&self.folder)?.filter_map(Result::ok);
        Ok(listed.filter(ours).map(|entry| entry.path()).collect())
    }

    fn sweep(&self) {
        for path in self.files().unwrap_or_else(|_| Vec::new()) {
            let of_process = path.file_name().and_then(|name| name.to_str()).and_then(process);
            let left = match of_process {
                Some(process) => !lives(process),
                None => opened(&path).is_ok_and(|file| file.try_lock().is_ok()),
            };
            if left && let Err(error) = fs::remove_file(&path) {
                tracing::debug!("{} stays: {error}", path.display());
            }
        }
    }

    /// New small pictures, under a name that nobody else uses.
    fn named(&self, clip_size: (u32, u32), frames: usize) -> io::Result<(Proxy, Writer)> {
        for _ in 0..TRIES {
            let mut drawn = [0; 8];
            getrandom::fill(&mut drawn).map_err(|error| io::Error::other(error.to_string()))?;
            let path = self.folder.join(format!("{NAMED}{:016x}", u64::from_le_bytes(drawn)));
            let made = match Proxy::begin(&path, clip_size, frames) {
                Err(error) if error.kind() == io::ErrorKind::AlreadyExists => continue,
                made => made?,
            };
            // Another desk may have swept the file before it was locked.
            if fs::symlink_metadata(&path).is_ok() {
                return Ok(made);
            }
        }
        Err(io::Error::other("no name is free"))
    }
}

fn is_named(name: &str) -> bool {
    let drawn = name.strip_prefix(NAMED);
    drawn.is_some_and(|drawn| drawn.len() == 16 && drawn.bytes().all(|sign| sign.is_ascii_hexdigit()))
}

/// The process whose number stands in an older name; such files were not locked.
fn process(name: &str) -> Option<u32> {
    let (process, clip) = name.strip_prefix(ONCE_NAMED)?.split_once('-')?;
    clip.parse::<usize>().ok().and(process.parse().ok())
}

/// Whether a process of this number runs; where the system does not tell, it is taken to run.
fn lives(process: u32) -> bool {
    !cfg!(target_os = "linux") || Path::new("/proc").join(process.to_string()).exists()
}

#[cfg(unix)]
fn private_folder(path: &Path) -> io::Result<()> {
    use std::os::unix::fs::DirBuilderExt as _;
    fs::DirBuilder::new().recursive(true).mode(0o700).create(path)
}

#[cfg(not(unix))]
fn private_folder(path: &Path) -> io::Result<()> {
    fs::create_dir_all(path)
}

/// Opens a file of the folder, but follows no link.
#[cfg(unix)]
fn opened(path: &Path) -> io::Result<File> {
    use rustix::fs::{Mode, OFlags, open};
    let flags = OFlags::RDONLY | OFlags::NOFOLLOW | OFlags::NONBLOCK | OFlags::CLOEXEC;
    Ok(File::from(open(path, flags, Mode::empty())?))
}

#[cfg(not(unix))]
fn opened(path: &Path) -> io::Result<File> {
    File::open(path)
}

#[cfg(test)]
mod tests {
    use super::*;

    const MB: u64 = 1 << 20;
    /// 32 × 32 in 4:2:0, ten pictures.
    const BYTES: u64 = 32 * 32 * 3 / 2 * 10;

    fn plenty(_: &Path) -> io::Result<Room> {
        Ok(Room { free: 1 << 40, total: 1 << 41 })
    }

    fn names(folder: &Path) -> Vec<String> {
        let listed = fs::read_dir(folder).expect("listed");
        let mut names: Vec<String> =
            listed.map(|one| one.expect("listed").file_name().to_string_lossy().into_owned()).collect();
        names.sort();
        names
    }

    #[test]
    fn the_reserve_is_half_a_gigabyte_or_a_twentieth_of_the_disk() {
        for (free, total, bytes, takes) in [
            (513 * MB, 1024 * MB, MB, true),
            (512 * MB, 1024 * MB, 1, false),
            (2 * MB, 1024 * MB, 0, false),
            (6000 * MB, 100_000 * MB, 1000 * MB, true),
            (6000 * MB, 100_000 * MB, 1001 * MB, false),
            (0, 0, 0, false),
            (u64::MAX, u64::MAX, u64::MAX, false),
        ] {
            assert_eq!(Room { free, total }.takes(bytes), takes, "{free} {total} {bytes}");
        }
    }

    #[test]
    fn without_room_there_are_no_small_pictures_and_nothing_is_left_of_them() {
        for ask in [
            (|_: &Path| Ok(Room { free: 2 * MB, total: 1 << 40 })) as AskRoom,
            |_: &Path| Ok(Room { free: 0, total: 0 }),
            |_: &Path| Err(io::Error::other("the disk is gone")),
        ] {
            let folder = tempfile::tempdir().expect("a folder");
            let refused = Proxies::open(folder.path(), 1 << 30, ask).begin((32, 32), 10);
            assert!(refused.is_err() && names(folder.path()).is_empty());
        }
    }

    // PROPERTY: small pictures leave the disk its reserve, keep to one bound for all desks, and what killed ones left is swept
    #[test]
    fn all_desks_together_keep_to_the_bound() {
        let folder = tempfile::tempdir().expect("a folder");
        let desks = [0, 1].map(|_| Proxies::open(folder.path(), 3 * BYTES, plenty));
        let mut made: Vec<(Proxy, Writer)> =
            (0..3).map(|clip| desks[clip % 2].begin((32, 32), 10).expect("room")).collect();
        for desk in &desks {
            assert!(matches!(desk.begin((32, 32), 10), Err(NoProxy::Bound)));
        }
        made.pop();
        assert!(desks[0].begin((32, 32), 10).is_ok());
    }

    // PROPERTY: small pictures leave the disk its reserve, keep to one bound for all desks, and what killed ones left is swept
    #[cfg(unix)]
    #[test]
    fn what_dead_processes_left_is_swept_and_nothing_else() {
        use std::os::unix::fs::symlink;
        let folder = tempfile::tempdir().expect("a folder");
        let path = |name: &str| folder.path().join(name);
        let living = Proxies::open(folder.path(), 1 << 30, plenty);
        let (proxy, _writer) = living.begin((32, 32), 10).expect("room");
        // No process has a number beyond 2²².
        for left in ["small-0123456789abcdef", "proxy-4194999-0"] {
            fs::write(path(left), "left").expect("written");
        }
        let process = std::process::id();
        let stays = [format!("proxy-{process}-3"), "small-notes".to_owned(), "precious".to_owned()];
        for name in &stays {
            fs::write(path(name), "keep me").expect("written");
        }
        symlink(path("precious"), path("small-00000000000000aa")).expect("linked");
        fs::create_dir(path("small-00000000000000bb")).expect("made");
        Proxies::open(folder.path(), 1 << 30, plenty);
        let mut expected: Vec<String> = stays.to_vec();
        expected.extend(["small-00000000000000aa", "small-00000000000000bb"].map(str::to_owned));
        let own = names(folder.path()).into_iter().find(|name| !expected.contains(name));
        expected.extend(own.clone());
        expected.sort();
        assert_eq!(names(folder.path()), expected);
        assert!(own.is_some_and(|name| is_named(&name)), "the living one's file stays");
        assert_eq!(fs::read(path("precious")).expect("there"), b"keep me");
        drop(proxy);
    }

    #[cfg(unix)]
    #[test]
    fn a_folder_that_is_a_link_is_not_used() {
        let folder = tempfile::tempdir().expect("a folder");
        let (real, link) = (folder.path().join("real"), folder.path().join("link"));
        fs::create_dir(&real).expect("made");
        fs::write(real.join("small-0123456789abcdef"), "theirs").expect("written");
        std::os::unix::fs::symlink(&real, &link).expect("linked");
        let proxies = Proxies::open(&link, 1 << 30, plenty);
        assert!(matches!(proxies.begin((32, 32), 10), Err(NoProxy::NoFolder(_))));
        assert_eq!(names(&real), ["small-0123456789abcdef"]);
    }
}
