//! The data folder: the user's own, or the one that `--data` names. The demo has a folder of its own inside.

use log::Error;
use log::store::location::Location;
use std::path::PathBuf;

/// Where logs and keys lie.
#[derive(Debug, Clone, Default)]
pub struct Folder {
    /// `None`: the folder that the system gives this user.
    pub given: Option<PathBuf>,
}

impl Folder {
    /// The folder that was given, else the one that the system gives this user.
    pub fn root(&self) -> Result<PathBuf, Error> {
        match &self.given {
            Some(folder) => Ok(folder.clone()),
            None => Ok(Location::of_user()?.folder().to_owned()),
        }
    }

    /// The user's log and key.
    pub fn user(&self) -> Result<Location, Error> {
        Ok(Location::at(&self.root()?))
    }

    /// The demo's log and key.
    pub fn demo(&self) -> Result<Location, Error> {
        Ok(Location::at(&self.root()?.join("demo")))
    }

    /// The log and key of the demo's season.
    pub fn season(&self) -> Result<Location, Error> {
        Ok(Location::at(&self.root()?.join("demo").join("season")))
    }
}
