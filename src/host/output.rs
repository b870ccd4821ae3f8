//! Files that a person names and files that the window keeps: the only place that makes them.
//!
//! A file is written and synced under a temporary name in the same folder and only then renamed, so the path holds
//! either the old file or the whole new one. An existing file is replaced only where the caller says so; a log and
//! its companions, a key, a database and the rules of a book never are (`ours`). Nothing is written through a link,
//! though the folder may be one. Only the owner may read the file: records, pages and certificates hold names and
//! reasons.

mod ours;
mod part;

use part::Part;
use std::ffi::OsStr;
use std::fs::{self, File, Metadata};
use std::io::{self, Write as _};
use std::path::{Path, PathBuf};

/// What to do with a file that already exists.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Existing {
    /// The new file is refused.
    Keep,
    /// The new file takes its place, unless it is one of ours.
    Replace,
}

impl Existing {
    /// `Replace` if `--force` was given.
    pub fn by(force: bool) -> Existing {
        if force { Existing::Replace } else { Existing::Keep }
    }
}

/// Where a file is to be written.
#[derive(Debug, Clone)]
pub struct Output {
    path: PathBuf,
    existing: Existing,
}

/// Why a file was not written; an existing one is unchanged.
#[derive(Debug, thiserror::Error)]
#[error("cannot write {path}: {why}", path = path.display())]
pub struct Error {
    path: PathBuf,
    why: Why,
}

#[derive(Debug, thiserror::Error)]
enum Why {
    #[error("the path does not name a file")]
    NoName,
    #[error("there is no folder {folder}", folder = folder.display())]
    NoFolder { folder: PathBuf },
    #[error("the file already exists")]
    Exists,
    #[error("it is {0}, not a file")]
    NotAFile(&'static str),
    #[error("{0}")]
    Ours(ours::Ours),
    #[error("{0}")]
    Failed(String),
}

impl Error {
    /// Whether the only fault is that the file already exists.
    pub fn exists(&self) -> bool {
        matches!(self.why, Why::Exists)
    }

    /// What to do instead, on the command line.
    pub fn help(&self) -> Option<&'static str> {
        match &self.why {
            Why::NoName => Some("name the file to write, not a folder"),
            Why::NoFolder { .. } => Some("make the folder first, or name a file in another one"),
            Why::Exists => Some("name a new file, or add --force to write over this one"),
            Why::NotAFile(_) => {
                Some("name a new file; nothing is written through links, or to devices and pipes")
            }
            Why::Ours(_) => {
                Some("name another file; --force does not write over logs, keys, databases and rule books")
            }
            Why::Failed(_) => None,
        }
    }
}

impl From<io::Error> for Why {
    fn from(error: io::Error) -> Why {
        match error.kind() {
            io::ErrorKind::AlreadyExists => Why::Exists,
            _ => Why::Failed(error.to_string()),
        }
    }
}

/// A path whose folder exists and whose name can be that of a file.
struct Place {
    folder: PathBuf,
    file: PathBuf,
}

impl Output {
    /// A file to write; the path is not checked yet.
    pub fn new(path: &Path, existing: Existing) -> Output {
        Output { path: path.to_owned(), existing }
    }

    /// The path as given.
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// Checks whether the file may be written. For use before long work, and before anything that cannot be undone.
    ///
    /// # Errors
    /// [`Error`] with the reason.
    pub fn check(&self) -> Result<(), Error> {
        self.place().map(|_| ()).map_err(|why| self.refused(why))
    }

    /// Whether both paths lead to the same file.
    pub fn is(&self, other: &Output) -> bool {
        let real = |output: &Output| {
            let folder = fs::canonicalize(folder_of(&output.path)).ok()?;
            Some(folder.join(output.path.file_name()?))
        };
        self.path == other.path || real(self).is_some_and(|file| Some(file) == real(other))
    }

    /// Writes the file: whole, or not at all.
    ///
    /// # Errors
    /// [`Error`] with the reason, which may be the text that `write` returned.
    pub fn write(&self, write: impl FnOnce(&mut File) -> Result<(), String>) -> Result<(), Error> {
        self.written(write).map_err(|why| self.refused(why))
    }

    /// Writes these bytes as the file: whole, or not at all.
    ///
    /// # Errors
    /// [`Error`] with the reason.
    pub fn write_bytes(&self, bytes: &[u8]) -> Result<(), Error> {
        self.write(|file| file.write_all(bytes).map_err(|error| error.to_string()))
    }

    fn written(&self, write: impl FnOnce(&mut File) -> Result<(), String>) -> Result<(), Why> {
        let place = self.place()?;
        part::sweep(&place.folder);
        let mut part = Part::new(&place.folder)?;
        write(part.file()).map_err(Why::Failed)?;
        part.file().sync_all()?;
        // Check again: a file may have appeared while this one was written.
        let place = self.place()?;
        match self.existing {
            Existing::Keep => part.become_new(&place.file)?,
            Existing::Replace => part.replace(&place.file)?,
        }
        part::sync(&place.folder).map_err(Why::from)
    }

    /// The place, if the file may be written there.
    fn place(&self) -> Result<Place, Why> {
        let name = self.name().ok_or(Why::NoName)?;
        let folder = folder_of(&self.path).to_owned();
        match fs::metadata(&folder) {
            Ok(about) if about.is_dir() => {}
            Ok(_) => return Err(Why::NoFolder { folder }),
            Err(error) if error.kind() == io::ErrorKind::NotFound => return Err(Why::NoFolder { folder }),
            Err(error) => return Err(error.into()),
        }
        if let Some(ours) = ours::by_name(&folder, name) {
            return Err(Why::Ours(ours));
        }
        let file = folder.join(name);
        match fs::symlink_metadata(&file) {
            Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(Place { folder, file }),
            Err(error) => return Err(error.into()),
            Ok(about) if about.is_file() => {}
            Ok(about) => return Err(Why::NotAFile(kind(&about))),
        }
        if let Some(ours) = ours::by_content(&file)? {
            return Err(Why::Ours(ours));
        }
        match self.existing {
            Existing::Keep => Err(Why::Exists),
            Existing::Replace => Ok(Place { folder, file }),
        }
    }

    /// The name of the file; `None` for a path that can only name a folder.
    fn name(&self) -> Option<&OsStr> {
        let ends_as_folder = self.path.as_os_str().to_string_lossy().ends_with(std::path::is_separator);
        self.path.file_name().filter(|_| !ends_as_folder)
    }

    fn refused(&self, why: Why) -> Error {
        Error { path: self.path.clone(), why }
    }
}

fn folder_of(path: &Path) -> &Path {
    match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder,
        Some(_) | None => Path::new("."),
    }
}

/// What a path is that is not a regular file.
fn kind(about: &Metadata) -> &'static str {
    let kind = about.file_type();
    if kind.is_symlink() {
        return "a link";
    }
    if kind.is_dir() {
        return "a folder";
    }
    special(about)
}

#[cfg(unix)]
fn special(about: &Metadata) -> &'static str {
    use std::os::unix::fs::FileTypeExt as _;
    let kind = about.file_type();
    match (kind.is_fifo(), kind.is_socket()) {
        (true, _) => "a pipe",
        (_, true) => "a socket",
        (false, false) => "a device",
    }
}

#[cfg(not(unix))]
fn special(_: &Metadata) -> &'static str {
    "a device"
}

/// A file that the window wrote under a name of its own choice.
#[derive(Debug, PartialEq, Eq)]
pub struct Kept {
    pub path: PathBuf,
    /// The first file that already had the intended name.
    pub earlier: Option<PathBuf>,
    /// The same bytes were there already, so nothing was written.
    pub same: bool,
}

impl std::fmt::Display for Kept {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match &self.earlier {
            _ if self.same => write!(f, "{}, unchanged since it was written", self.path.display()),
            Some(earlier) => write!(f, "{}; the earlier {} is kept", self.path.display(), earlier.display()),
            None => write!(f, "{}", self.path.display()),
        }
    }
}

/// More files of one name than a person would go through.
const MOST_OF_A_NAME: usize = 1000;

/// Writes these bytes into a folder as `stem.ending`. If a file has that name already it stays, and the new one is
/// numbered: `stem (2).ending`. Bytes that are there already are not written again.
///
/// # Errors
/// [`Error`] with the reason.
pub fn keep(folder: &Path, (stem, ending): (&str, &str), bytes: &[u8]) -> Result<Kept, Error> {
    let stem = plain(stem);
    let mut earlier = None;
    for number in 1..=MOST_OF_A_NAME {
        let name =
            if number == 1 { format!("{stem}.{ending}") } else { format!("{stem} ({number}).{ending}") };
        let path = folder.join(name);
        if holds(&path, bytes) {
            return Ok(Kept { path, earlier, same: true });
        }
        match Output::new(&path, Existing::Keep).write_bytes(bytes) {
            Ok(()) => return Ok(Kept { path, earlier, same: false }),
            Err(Error { why: Why::Exists | Why::NotAFile(_) | Why::Ours(_), .. }) => {
                earlier = earlier.or(Some(path));
            }
            Err(refused) => return Err(refused),
        }
    }
    let why = Why::Failed(format!("{MOST_OF_A_NAME} files have that name already"));
    Err(Error { path: folder.join(format!("{stem}.{ending}")), why })
}

/// Whether a regular file holds exactly these bytes.
fn holds(path: &Path, bytes: &[u8]) -> bool {
    let of_that_size = |about: Metadata| about.is_file() && about.len() == bytes.len() as u64;
    fs::symlink_metadata(path).is_ok_and(of_that_size) && fs::read(path).is_ok_and(|held| held == bytes)
}

/// An id made safe as a file name: a log from elsewhere may hold any text.
fn plain(stem: &str) -> String {
    let sign =
        |sign: char| if std::path::is_separator(sign) || "<>:\"|?*".contains(sign) { '-' } else { sign };
    let plain: String = stem.chars().map(sign).take(120).collect();
    match plain.strip_prefix('.') {
        Some(rest) => format!("-{rest}"),
        None => plain,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn names(folder: &Path) -> Vec<String> {
        let of =
            |one: io::Result<fs::DirEntry>| one.expect("listed").file_name().to_string_lossy().into_owned();
        let mut names: Vec<String> = fs::read_dir(folder).expect("listed").map(of).collect();
        names.sort();
        names
    }

    #[test]
    fn what_cannot_be_finished_leaves_the_old_file_and_nothing_beside_it() {
        for existing in [Existing::Keep, Existing::Replace] {
            let folder = tempfile::tempdir().expect("a folder");
            let path = folder.path().join("out");
            if existing == Existing::Replace {
                fs::write(&path, "old").expect("written");
            }
            let before = names(folder.path());
            let refused = Output::new(&path, existing).write(|file| {
                file.write_all(b"half").map_err(|error| error.to_string())?;
                Err("no room".to_owned())
            });
            let says = refused.expect_err("it failed").to_string();
            assert_eq!(says, format!("cannot write {}: no room", path.display()));
            assert_eq!(names(folder.path()), before);
        }
    }

    /// Another program makes the file while ours is being written: it stays, and ours is refused.
    #[test]
    fn what_comes_to_lie_there_meanwhile_is_kept() {
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("out");
        let refused = Output::new(&path, Existing::Keep)
            .write(|_| fs::write(&path, "theirs").map_err(|error| error.to_string()));
        assert!(refused.expect_err("it is there").to_string().ends_with("the file already exists"));
        assert_eq!(
            (names(folder.path()), fs::read(&path).expect("there")),
            (vec!["out".to_owned()], b"theirs".to_vec())
        );
    }

    // PROPERTY: the window's next page is numbered, and the earlier one stays
    #[test]
    fn a_name_that_is_taken_is_numbered_and_the_same_bytes_are_not_written_twice() {
        let folder = tempfile::tempdir().expect("a folder");
        let keep = |bytes: &[u8]| keep(folder.path(), ("week-3", "html"), bytes).expect("written");
        let path = |name: &str| folder.path().join(name);
        assert_eq!(keep(b"one"), Kept { path: path("week-3.html"), earlier: None, same: false });
        let second = keep(b"two");
        assert_eq!((&second.path, &second.earlier), (&path("week-3 (2).html"), &Some(path("week-3.html"))));
        assert!(keep(b"one").same && keep(b"two").same);
        assert_eq!(names(folder.path()), ["week-3 (2).html", "week-3.html"]);
        assert_eq!(fs::read(path("week-3.html")).expect("there"), b"one");
    }

    #[test]
    fn an_id_that_names_a_path_stays_in_its_folder() {
        let folder = tempfile::tempdir().expect("a folder");
        let inner = folder.path().join("inner");
        fs::create_dir(&inner).expect("made");
        for id in ["../up", "/etc/x", "a/b", "..", ".hidden"] {
            let kept = keep(&inner, (id, "html"), b"page").expect("written");
            assert_eq!(kept.path.parent(), Some(inner.as_path()), "{id}");
        }
        assert_eq!(names(folder.path()), ["inner"]);
    }

    /// Of threads that write the same name at once, one succeeds and the others are refused.
    #[test]
    fn of_many_at_once_one_makes_the_file() {
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("out");
        let made = std::thread::scope(|scope| {
            let write =
                |number: u8| Output::new(&path, Existing::Keep).write_bytes(&vec![number; 100_000]).is_ok();
            let lanes: Vec<_> = (0..8).map(|number| scope.spawn(move || write(number))).collect();
            lanes.into_iter().map(|lane| lane.join().expect("it ran")).filter(|made| *made).count()
        });
        let bytes = fs::read(&path).expect("there");
        assert_eq!((made, bytes.len(), names(folder.path()).len()), (1, 100_000, 1));
        assert!(bytes.iter().all(|byte| *byte == bytes[0]));
    }
}
