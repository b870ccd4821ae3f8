//! Reading a log: always allowed, also while a desk writes to it.
//!
//! A reader changes nothing. What it returns is as stored; whether it is what was written is `verify`'s
//! question.

use crate::log::Error;
use crate::log::blob::Blob;
use crate::log::chain::{Hash, LogId};
use crate::log::entry::{Entry, Reading};
use crate::log::sign::{KeyId, PublicKey, Signature};
use crate::log::{lock, schema};
use rusqlite::{Connection, OptionalExtension as _, Row};
use std::path::{Path, PathBuf};

/// A log, open for reading.
#[derive(Debug)]
pub struct Reader {
    pub(crate) connection: Connection,
    path: PathBuf,
    id: LogId,
}

/// Where a log ends.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Tip {
    /// How many entries it has.
    pub entries: u64,
    /// The newest one's hash.
    pub head: Hash,
}

/// One entry as it lies in the table.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Stored {
    /// Its number, from 1.
    pub seq: u64,
    /// Its hash.
    pub hash: Hash,
    /// The canonical bytes.
    pub bytes: Vec<u8>,
    /// The key that signed it.
    pub key: KeyId,
}

impl Stored {
    /// What the bytes say; an entry of a newer form is passed on as such.
    pub fn read(&self) -> Result<Reading, Error> {
        Ok(Entry::read(&self.bytes)?)
    }

    /// What the bytes say, where a newer form cannot be passed over.
    pub fn entry(&self) -> Result<Entry, Error> {
        match self.read()? {
            Reading::Known(entry) => Ok(entry),
            Reading::Newer { form } => Err(Error::NewerEntry { seq: self.seq, form }),
        }
    }
}

impl Reader {
    /// Opens the log at `path` for reading.
    pub fn open(path: &Path) -> Result<Reader, Error> {
        if !path.exists() {
            return Err(Error::Missing(path.to_owned()));
        }
        let path = lock::resolve(path)?;
        let connection = schema::for_reading(&path)?;
        schema::version(&connection, &path)?;
        Reader::over(connection, path)
    }

    /// Over a connection whose tables are known to be there.
    pub(crate) fn over(connection: Connection, path: PathBuf) -> Result<Reader, Error> {
        let id = connection
            .query_row("SELECT id FROM log", (), |row| row.get::<_, [u8; 16]>(0))
            .optional()
            .map_err(|e| Error::of_database(&path, e))?;
        match id {
            Some(id) => Ok(Reader { connection, path, id: id.into() }),
            None => Err(Error::Damaged { path, detail: "it does not say its own id".to_owned() }),
        }
    }

    /// The log's id.
    pub fn id(&self) -> LogId {
        self.id
    }

    /// Where the log lies, without links.
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// Where the log ends now.
    pub fn tip(&self) -> Result<Tip, Error> {
        tip(&self.connection).map_err(|e| self.refused(e))
    }

    /// Hands every entry from number `from` on to `each`, in order, from one snapshot.
    pub fn each_from<E: From<Error>>(
        &self,
        from: u64,
        mut each: impl FnMut(Stored) -> Result<(), E>,
    ) -> Result<(), E> {
        let refused = |e| E::from(self.refused(e));
        let text = "SELECT seq, hash, bytes, key FROM entries WHERE seq >= ?1 ORDER BY seq";
        let mut query = self.connection.prepare_cached(text).map_err(refused)?;
        let mut rows = query.query([i64::try_from(from).unwrap_or(i64::MAX)]).map_err(refused)?;
        while let Some(row) = rows.next().map_err(refused)? {
            each(stored(row).map_err(refused)?)?;
        }
        Ok(())
    }

    /// All entries from number `from` on.
    pub fn entries(&self, from: u64) -> Result<Vec<Stored>, Error> {
        let mut entries = Vec::new();
        self.each_from(from, |stored| {
            entries.push(stored);
            Ok::<(), Error>(())
        })?;
        Ok(entries)
    }

    /// The entry of this number, which the caller knows to be there.
    pub(crate) fn entry(&self, seq: u64) -> Result<Entry, Error> {
        let text = "SELECT seq, hash, bytes, key FROM entries WHERE seq = ?1";
        let found = self.connection.prepare_cached(text).and_then(|mut query| query.query_row([seq], stored));
        found.map_err(|e| self.refused(e))?.entry()
    }

    /// The hash before an entry, and the signature over its own: what proves it to somebody without the log.
    ///
    /// # Errors
    /// [`Error`] if the log cannot be read.
    pub fn proof_of(&self, stored: &Stored) -> Result<(Hash, Signature), Error> {
        let text = "SELECT previous, signature FROM entries WHERE seq = ?1";
        let read = |row: &Row<'_>| Ok((row.get::<_, [u8; 32]>(0)?.into(), row.get::<_, [u8; 64]>(1)?.into()));
        let found =
            self.connection.prepare_cached(text).and_then(|mut query| query.query_row([stored.seq], read));
        found.map_err(|e| self.refused(e))
    }

    /// The stored text of an edition.
    pub fn edition(&self, edition: &Hash) -> Result<Option<String>, Error> {
        let text = "SELECT text FROM editions WHERE edition = ?1";
        self.one(text, edition, |row| row.get(0))
    }

    /// A text or still beside the chain; none where it was erased or never there.
    pub fn blob(&self, hash: &Hash) -> Result<Option<Blob>, Error> {
        let text = "SELECT salt, bytes FROM blobs WHERE hash = ?1";
        self.one(text, hash, |row| Ok(Blob::salted(row.get(0)?, row.get(1)?)))
    }

    /// The keys that may sign, in the order they were added.
    pub fn keys(&self) -> Result<Vec<PublicKey>, Error> {
        let mut keys = Vec::new();
        let mut query = self
            .connection
            .prepare_cached("SELECT lower(hex(public)) FROM keys ORDER BY entry")
            .map_err(|e| self.refused(e))?;
        let rows = query.query_map((), |row| row.get::<_, String>(0)).map_err(|e| self.refused(e))?;
        for hex in rows {
            keys.push(hex.map_err(|e| self.refused(e))?.parse()?);
        }
        Ok(keys)
    }

    /// Whether a record of this id was imported.
    pub fn has_record(&self, id: &str) -> Result<bool, Error> {
        let text = "SELECT 1 FROM imported WHERE record = ?1";
        let found = self.connection.prepare_cached(text).and_then(|mut query| query.exists([id]));
        found.map_err(|e| self.refused(e))
    }

    fn one<T>(
        &self,
        text: &str,
        hash: &Hash,
        read: impl FnOnce(&Row<'_>) -> rusqlite::Result<T>,
    ) -> Result<Option<T>, Error> {
        let found = self
            .connection
            .prepare_cached(text)
            .and_then(|mut query| query.query_row([hash.as_bytes()], read).optional());
        found.map_err(|e| self.refused(e))
    }

    pub(crate) fn refused(&self, e: rusqlite::Error) -> Error {
        Error::of_database(&self.path, e)
    }
}

/// Where the log of a connection ends.
pub(crate) fn tip(connection: &Connection) -> rusqlite::Result<Tip> {
    let text = "SELECT seq, hash FROM entries ORDER BY seq DESC LIMIT 1";
    let read = |row: &Row<'_>| Ok(Tip { entries: row.get(0)?, head: row.get::<_, [u8; 32]>(1)?.into() });
    let newest = connection.prepare_cached(text)?.query_row((), read).optional()?;
    Ok(newest.unwrap_or(Tip { entries: 0, head: Hash::NONE }))
}

fn stored(row: &Row<'_>) -> rusqlite::Result<Stored> {
    Ok(Stored {
        seq: row.get(0)?,
        hash: row.get::<_, [u8; 32]>(1)?.into(),
        bytes: row.get(2)?,
        key: KeyId::stored(row.get(3)?),
    })
}
