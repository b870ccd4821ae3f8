//! Where a log lies: in the user's data folder, unless the person names another place.

use crate::Error;
use crate::files;
use std::path::{Path, PathBuf};

/// The folder of one log and its desk's key.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Location {
    folder: PathBuf,
}

impl Location {
    /// The folder that the system gives this user for data of tellframe.
    pub fn of_user() -> Result<Location, Error> {
        let folders = directories::ProjectDirs::from("", "", "tellframe").ok_or(Error::NoHome)?;
        Ok(Location::at(folders.data_dir()))
    }

    /// A folder that was named.
    pub fn at(folder: &Path) -> Location {
        Location { folder: folder.to_owned() }
    }

    /// Where log and key lie.
    pub fn folder(&self) -> &Path {
        &self.folder
    }

    /// Makes the folder, for its owner alone, if it is not there.
    pub fn make(&self) -> Result<(), Error> {
        files::make_folder(&self.folder).map_err(|e| Error::of_file(&self.folder, e))
    }

    /// The log's database.
    pub fn log(&self) -> PathBuf {
        self.folder.join("log.sqlite")
    }

    /// The desk's key.
    pub fn key(&self) -> PathBuf {
        self.folder.join("key.pem")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn log_and_key_lie_in_the_folder_that_was_named() {
        let folder = tempfile::tempdir().expect("a folder");
        let location = Location::at(&folder.path().join("deep").join("down"));
        location.make().expect("made");
        location.make().expect("there already");
        assert_eq!(location.log().parent(), location.key().parent());
        assert!(location.log().parent().is_some_and(Path::is_dir));
    }
}
