//! A log that is open, and of which nothing is known yet but the id it claims.

use crate::Error;
use crate::chain::hash::LogId;
use crate::store::{lock, schema};
use rusqlite::{Connection, OptionalExtension as _};
use std::path::{Path, PathBuf};

/// A log that was opened, and not verified yet.
#[derive(Debug)]
pub struct Unverified {
    pub(crate) connection: Connection,
    pub(super) path: PathBuf,
    pub(super) id: LogId,
}

impl Unverified {
    /// Opens the log at `path` for reading.
    ///
    /// # Errors
    /// [`Error`] if there is none, or it is none.
    pub fn open(path: &Path) -> Result<Unverified, Error> {
        if !path.exists() {
            return Err(Error::Missing(path.to_owned()));
        }
        let path = lock::resolve(path)?;
        let connection = schema::for_reading(&path)?;
        schema::version(&connection, &path)?;
        Unverified::over(connection, path)
    }

    /// Over a connection whose tables are known to be there.
    pub(crate) fn over(connection: Connection, path: PathBuf) -> Result<Unverified, Error> {
        let id = connection
            .query_row("SELECT id FROM log", (), |row| row.get::<_, [u8; 16]>(0))
            .optional()
            .map_err(|e| Error::of_database(&path, e))?;
        match id {
            Some(id) => Ok(Unverified { connection, path, id: id.into() }),
            None => Err(Error::Damaged { path, detail: "it does not say its own id".to_owned() }),
        }
    }

    /// The id that the log claims.
    pub fn id(&self) -> LogId {
        self.id
    }

    /// Where the log lies, without links.
    pub fn path(&self) -> &Path {
        &self.path
    }
}
