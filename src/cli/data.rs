//! The data folder: the user's own, or the one that `--data` names. The demo has a folder of its own inside.

use super::Unable;
use std::path::PathBuf;
use tellframe::log::location::Location;

/// Where logs and keys lie.
#[derive(Debug, Clone, Default)]
pub(super) struct Folder {
    /// As given; left out: the folder that the system gives this user.
    pub given: Option<PathBuf>,
}

impl Folder {
    /// The folder itself.
    pub(super) fn root(&self) -> Result<PathBuf, Unable> {
        match &self.given {
            Some(folder) => Ok(folder.clone()),
            None => Ok(Location::of_user()?.folder().to_owned()),
        }
    }

    /// The user's log and key.
    pub(super) fn user(&self) -> Result<Location, Unable> {
        Ok(Location::at(&self.root()?))
    }

    /// The demo's log and key.
    pub(super) fn demo(&self) -> Result<Location, Unable> {
        Ok(Location::at(&self.root()?.join("demo")))
    }
}
