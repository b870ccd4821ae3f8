//! Reading a log: always allowed, also while a desk writes to it.
//!
//! A reader changes nothing. A log that is opened is [`Unverified`], of which nothing is told but what `verify` says;
//! verifying it makes the [`Reader`] from which everything else is told.
//!
//! INVARIANT: what a reader hands out is what was written: each entry has the hash that was verified, what was appended
//! since is verified before it is told, and each text, still and edition has the hash that an entry gives it. Where
//! something differs, the whole log is verified once more, which names the first bad entry.

use crate::Error;
use crate::chain::blob::Blob;
use crate::chain::broken::{Broken, Part, What};
use crate::chain::entry::{Entry, Reading};
use crate::chain::hash;
use crate::chain::hash::{Hash, LogId};
use crate::chain::sign::{Key, KeyId, PublicKey, Signature};
use crate::chain::tip::Tip;
use crate::forms::stored::Kinds;
use crate::store::head::Head;
use crate::store::head_file::Kept;
use crate::store::seals::{Place, Seals};
use crate::store::unverified::Unverified;
use crate::store::verify;
use crate::store::verify::Walk;
use rusqlite::{Connection, OptionalExtension as _, Row};
use std::cell::RefCell;
use std::path::{Path, PathBuf};

/// A log that was verified, open for reading.
#[derive(Debug)]
pub struct Reader {
    pub(crate) connection: Connection,
    path: PathBuf,
    id: LogId,
    /// What was verified so far.
    seen: RefCell<Walk>,
}

/// One entry as it lies in the table.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Stored {
    /// Its number, from 1.
    pub seq: u64,
    pub hash: Hash,
    /// The canonical bytes.
    pub bytes: Vec<u8>,
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

impl Unverified {
    /// Verifies the log, so that it can be told.
    ///
    /// # Errors
    /// [`Error::Broken`] with the first bad entry, or another if it cannot be read to its end.
    pub fn verified(self) -> Result<Reader, Error> {
        let seen = verify::opening(&self)?;
        Ok(self.seen(seen))
    }

    /// The same of a log whose head beside it contradicts it, with that head.
    ///
    /// # Errors
    /// [`Error::NoLoss`] where nothing contradicts the log, or another if it does not verify otherwise.
    pub(crate) fn despite_head(self) -> Result<(Reader, Kept), Error> {
        let (seen, kept) = verify::despite_head(&self)?;
        Ok((self.seen(seen), kept))
    }

    fn seen(self, seen: Walk) -> Reader {
        let Unverified { connection, path, id } = self;
        Reader { connection, path, id, seen: RefCell::new(seen) }
    }
}

impl Reader {
    /// Opens the log at `path` for reading, and verifies it.
    ///
    /// # Errors
    /// [`Error::Broken`] with the first bad entry, or another if there is no log that can be read to its end.
    pub fn open(path: &Path) -> Result<Reader, Error> {
        Unverified::open(path)?.verified()
    }

    /// Signs where the log ends now.
    ///
    /// # Errors
    /// [`Error`] if the log cannot be read, or does not verify any more.
    pub fn head(&self, key: &Key) -> Result<Head, Error> {
        Ok(Head::signed(self.id, self.tip()?, key))
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
    ///
    /// # Errors
    /// [`Error`] if the log cannot be read, or does not verify any more.
    pub fn tip(&self) -> Result<Tip, Error> {
        self.read_on()?;
        Ok(self.seen.borrow().tip())
    }

    /// Every id of a stream with the numbers of its entries, in the order in which the ids came up.
    pub(crate) fn all_of(&self, of: &Kinds) -> Result<Vec<(String, Vec<u64>)>, Error> {
        self.read_on()?;
        Ok(self.seen.borrow().index.all(of).to_vec())
    }

    pub(crate) fn entries_of(&self, of: &Kinds, id: &str) -> Result<Vec<u64>, Error> {
        self.read_on()?;
        Ok(self.seen.borrow().index.one(of, id).to_vec())
    }

    /// Every entry that names a review, in order.
    ///
    /// # Errors
    /// [`Error`] if the log cannot be read, or does not verify any more.
    pub fn naming(&self, review: &str) -> Result<Vec<Stored>, Error> {
        self.read_on()?;
        let entries = self.seen.borrow().index.naming(review).to_vec();
        let mut all = Vec::with_capacity(entries.len());
        self.each_of::<Error>(&entries, |stored| {
            all.push(stored);
            Ok(())
        })?;
        Ok(all)
    }

    pub(crate) fn imported(&self) -> Result<Vec<u64>, Error> {
        self.read_on()?;
        Ok(self.seen.borrow().index.imported.clone())
    }

    /// Number and form of the last entry of a newer tellframe that may be of a review.
    pub(crate) fn newest_unknown(&self) -> Option<(u64, u64)> {
        self.seen.borrow().index.newest_unknown()
    }

    /// Hands every entry from number `from` on to `each`, in order, from one snapshot.
    ///
    /// # Errors
    /// [`Error`] if the log cannot be read, or does not verify any more; else what `each` answers.
    pub fn each_from<E: From<Error>>(
        &self,
        from: u64,
        mut each: impl FnMut(Stored) -> Result<(), E>,
    ) -> Result<(), E> {
        self.read_on()?;
        let until = self.seen.borrow().tip().entries;
        self.each_between(from.max(1), until, &mut each)
    }

    /// Hands the entries of these ascending numbers to `each`.
    pub(crate) fn each_of<E: From<Error>>(
        &self,
        entries: &[u64],
        mut each: impl FnMut(Stored) -> Result<(), E>,
    ) -> Result<(), E> {
        // Entries of one id mostly follow one another.
        for run in entries.chunk_by(|one, next| one + 1 == *next) {
            if let [first, ..] = run {
                self.each_between(*first, first + run.len() as u64 - 1, &mut each)?;
            }
        }
        Ok(())
    }

    /// Hands the entries that are known, from one number to another, to `each`.
    fn each_between<E: From<Error>>(
        &self,
        from: u64,
        until: u64,
        each: &mut impl FnMut(Stored) -> Result<(), E>,
    ) -> Result<(), E> {
        let refused = |e| E::from(self.refused(e));
        let text = "SELECT seq, hash, bytes, key FROM entries WHERE seq BETWEEN ?1 AND ?2 ORDER BY seq";
        let mut query = self.connection.prepare_cached(text).map_err(refused)?;
        let mut due = from;
        let known = |seq: u64| i64::try_from(seq).unwrap_or(i64::MAX);
        let mut rows = query.query([known(due), known(until)]).map_err(refused)?;
        while let Some(row) = rows.next().map_err(refused)? {
            match stored(row) {
                Ok(stored) if self.is_verified(due, &stored) => each(stored)?,
                Ok(_) | Err(_) => return Err(self.changed(due).into()),
            }
            due += 1;
        }
        if due <= until { Err(self.changed(due).into()) } else { Ok(()) }
    }

    /// All entries from number `from` on.
    ///
    /// # Errors
    /// [`Error`] if the log cannot be read, or does not verify any more.
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
        self.read_on()?;
        let text = "SELECT seq, hash, bytes, key FROM entries WHERE seq = ?1";
        let found = self.connection.prepare_cached(text).and_then(|mut query| query.query_row([seq], stored));
        match found {
            Ok(stored) if self.is_verified(seq, &stored) => stored.entry(),
            Ok(_) | Err(_) => Err(self.changed(seq)),
        }
    }

    /// The hash before an entry, and the signature over its own: what proves it to somebody without the log.
    ///
    /// # Errors
    /// [`Error`] if the log cannot be read, or does not verify any more.
    pub fn proof_of(&self, stored: &Stored) -> Result<(Hash, Signature), Error> {
        let text = "SELECT previous, signature FROM entries WHERE seq = ?1";
        let read = |row: &Row<'_>| {
            let previous = Hash::from(row.get::<_, [u8; 32]>(0)?);
            Ok((previous, Signature::from(row.get::<_, [u8; 64]>(1)?)))
        };
        let found =
            self.connection.prepare_cached(text).and_then(|mut query| query.query_row([stored.seq], read));
        let Ok((previous, signature)) = found else { return Err(self.changed(stored.seq)) };
        let sound = {
            let seen = self.seen.borrow();
            seen.hash(stored.seq.saturating_sub(1)) == Some(previous)
                && seen.key_of(&stored.key).is_some_and(|key| key.signed(stored.hash.as_bytes(), &signature))
        };
        if sound { Ok((previous, signature)) } else { Err(self.changed(stored.seq)) }
    }

    /// The stored text of an edition.
    ///
    /// # Errors
    /// [`Error`] if the log cannot be read, or the text is not the one that was stored.
    pub fn edition(&self, edition: &Hash) -> Result<Option<String>, Error> {
        let text = "SELECT text FROM editions WHERE edition = ?1";
        self.compared(|| {
            let found: Option<String> = self.one(text, edition, |row| row.get(0))?;
            Ok(self.seen.borrow().is_edition(edition, found.as_deref()).map(|()| found))
        })
    }

    /// A text or still beside the chain; none where it was erased or never there.
    ///
    /// # Errors
    /// [`Error`] if the log cannot be read, or what is there is not what the entries say.
    pub fn blob(&self, hash: &Hash) -> Result<Option<Blob>, Error> {
        let text = "SELECT salt, bytes FROM blobs WHERE hash = ?1";
        self.compared(|| {
            let found = self.one(text, hash, |row| Ok(Blob::salted(row.get(0)?, row.get(1)?)))?;
            Ok(self.seen.borrow().is_blob(hash, found.as_ref()).map(|()| found))
        })
    }

    /// The keys that may sign, in the order they were added.
    ///
    /// # Errors
    /// [`Error`] if the log cannot be read, or does not verify any more.
    pub fn keys(&self) -> Result<Vec<PublicKey>, Error> {
        self.read_on()?;
        Ok(self.seen.borrow().keys())
    }

    pub(crate) fn has_record(&self, id: &str) -> Result<bool, Error> {
        let text = "SELECT 1 FROM imported WHERE record = ?1";
        let found = self.connection.prepare_cached(text).and_then(|mut query| query.exists([id]));
        found.map_err(|e| self.refused(e))
    }

    /// Verifies what was appended since, and that what was verified before is the beginning of it.
    pub(crate) fn read_on(&self) -> Result<(), Error> {
        let tip = tip(&self.connection).map_err(|e| self.refused(e))?;
        let mut seen = self.seen.borrow_mut();
        if tip == seen.tip() {
            return Ok(());
        }
        if tip.entries > seen.tip().entries
            && seen.read_on(&self.connection).is_ok()
            && seen.hash(tip.entries) == Some(tip.head)
        {
            return Ok(());
        }
        drop(seen);
        self.again()
    }

    /// Where the log ended when it was last read, with the seals up to there.
    pub(crate) fn place(&self) -> Place {
        self.seen.borrow().place()
    }

    pub(crate) fn place_seals(&self) -> Seals {
        self.seen.borrow().seals()
    }

    pub(crate) fn read_back(&self, place: &Place) -> Result<(), Error> {
        let led = self.seen.borrow_mut().up_to(&self.connection, place).map_err(|e| self.refused(e))?;
        if !led {
            self.again()?;
        }
        match self.place() == *place {
            true => Ok(()),
            false => Err(self.broken(Broken { seq: place.tip.entries, what: What::Changed(Part::Bytes) })),
        }
    }

    fn again(&self) -> Result<(), Error> {
        let before = self.seen.borrow().tip();
        let seen = verify::again(&self.connection, &self.path, self.id, before)?;
        self.seen.replace(seen);
        Ok(())
    }

    /// Whether this is the entry of this number that was verified.
    fn is_verified(&self, seq: u64, stored: &Stored) -> bool {
        let seen = self.seen.borrow();
        let previous = seq.checked_sub(1).and_then(|before| seen.hash(before));
        stored.seq == seq
            && seen.hash(seq) == Some(stored.hash)
            && previous
                .is_some_and(|previous| hash::entry_hash(&self.id, &previous, &stored.bytes) == stored.hash)
    }

    /// An entry is not the one that was verified: what is wrong with the log.
    fn changed(&self, seq: u64) -> Error {
        match self.again() {
            Err(error) => error,
            // It was put back in between.
            Ok(()) => self.broken(Broken { seq, what: What::Changed(Part::Bytes) }),
        }
    }

    /// What is found beside the chain, if it is as the entries say. Where it is not, entries that are not read yet may
    /// say why (a text was erased since), else the log is broken.
    fn compared<T>(&self, find: impl Fn() -> Result<Result<T, Broken>, Error>) -> Result<T, Error> {
        if let Ok(found) = find()? {
            return Ok(found);
        }
        self.read_on()?;
        if let Ok(found) = find()? {
            return Ok(found);
        }
        self.again()?;
        find()?.map_err(|broken| self.broken(broken))
    }

    fn broken(&self, broken: Broken) -> Error {
        Error::Broken { path: self.path.clone(), broken }
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
