//! The rows of an act: an entry, and what lies beside the chain for it, within one transaction.
//!
//! INVARIANT: every row is counted. SQLite answers "done" also where a trigger let nothing come to be; an act of which a
//! row is missing is an error, and its transaction is rolled back.

use crate::chain::entry::{Act, Beside, NewEntry};
use crate::chain::hash;
use crate::chain::hash::{Hash, LogId};
use crate::chain::label::CommandId;
use crate::chain::sign;
use crate::chain::sign::Key;
use crate::chain::tip::Tip;
use crate::store::seals::Seals;
use crate::{BesideFault, Error};
use rusqlite::{Connection, ToSql, params};
use std::path::Path;

pub(crate) struct Writing<'a> {
    pub(crate) connection: &'a Connection,
    pub(crate) path: &'a Path,
    pub(crate) log: LogId,
    pub(crate) key: &'a Key,
    pub(crate) seals: Seals,
}

impl Writing<'_> {
    /// Writes an entry after `tip`, with what lies beside the chain for it; says where the log ends then.
    pub(crate) fn write(&mut self, tip: Tip, command: &CommandId, new: &NewEntry) -> Result<Tip, Error> {
        let bytes = new.bytes(command)?;
        let hash = hash::entry_hash(&self.log, &tip.head, &bytes);
        let signature = self.key.sign(hash.as_bytes());
        let seq = tip.entries + 1;
        let insert = "INSERT INTO entries (seq, hash, previous, bytes, signature, key, command) \
                      VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)";
        let values: &[&dyn ToSql] = params![
            seq,
            hash.as_bytes(),
            tip.head.as_bytes(),
            bytes,
            signature.as_bytes(),
            self.key.id().as_str(),
            command.as_str()
        ];
        if self.execute(insert, values)? != 1 {
            return Err(self.not_taken("entries"));
        }
        self.seals.add(&signature, self.key.id());
        new.beside.iter().try_for_each(|beside| self.write_beside(seq, beside))?;
        Ok(Tip { entries: seq, head: hash })
    }

    fn write_beside(&mut self, seq: u64, beside: &Beside) -> Result<(), Error> {
        match beside {
            Beside::Blob(blob) => {
                let insert = "INSERT OR IGNORE INTO blobs (hash, salt, bytes, entry) VALUES (?1, ?2, ?3, ?4)";
                let changed =
                    self.execute(insert, params![blob.hash().as_bytes(), blob.salt(), blob.bytes(), seq])?;
                // The same blob named by a second entry is one blob.
                match changed > 0 || self.has("blobs", "hash", blob.hash().as_bytes())? {
                    true => Ok(()),
                    false => Err(self.not_taken("blobs")),
                }
            }
            Beside::Erase(hash) => {
                let changed = self.execute("DELETE FROM blobs WHERE hash = ?1", params![hash.as_bytes()])?;
                match self.has("blobs", "hash", hash.as_bytes())? {
                    true => Err(self.not_taken("blobs")),
                    false if changed == 0 => Err(Error::Beside(BesideFault::NoBlob(*hash))),
                    false => Ok(()),
                }
            }
            Beside::Edition { edition, text } => {
                let insert = "INSERT OR IGNORE INTO editions (edition, text, entry) VALUES (?1, ?2, ?3)";
                let changed = self.execute(insert, params![edition.as_bytes(), text, seq])?;
                let known = BesideFault::EditionStored(*edition);
                self.unless_known(changed, ("editions", "edition", edition.as_bytes()), known)
            }
            Beside::Key(key) => {
                let insert = "INSERT OR IGNORE INTO keys (id, public, entry) VALUES (?1, ?2, ?3)";
                let id = key.id();
                let changed = self.execute(insert, params![id.as_str(), key.as_bytes(), seq])?;
                self.unless_known(changed, ("keys", "id", &id.as_str()), BesideFault::KeyKnown(id.clone()))
            }
            Beside::Record(id) => {
                let insert = "INSERT OR IGNORE INTO imported (record, entry) VALUES (?1, ?2)";
                let changed = self.execute(insert, params![id, seq])?;
                let known = BesideFault::RecordImported(id.clone());
                self.unless_known(changed, ("imported", "record", id), known)
            }
        }
    }

    /// A row that was not added is there already, or it was swallowed.
    fn unless_known(
        &self,
        changed: usize,
        (table, column, value): (&'static str, &str, &dyn ToSql),
        known: BesideFault,
    ) -> Result<(), Error> {
        match changed {
            0 if self.has(table, column, value)? => Err(Error::Beside(known)),
            0 => Err(self.not_taken(table)),
            _ => Ok(()),
        }
    }

    fn has(&self, table: &str, column: &str, value: &dyn ToSql) -> Result<bool, Error> {
        let text = format!("SELECT 1 FROM {table} WHERE {column} = ?1");
        let found = self.connection.prepare_cached(&text).and_then(|mut query| query.exists([value]));
        found.map_err(|e| Error::of_database(self.path, e))
    }

    fn not_taken(&self, table: &'static str) -> Error {
        Error::NotTaken { path: self.path.to_owned(), table }
    }

    /// Runs one statement and says how many rows it changed.
    fn execute(&self, text: &str, values: &[&dyn ToSql]) -> Result<usize, Error> {
        let run = self.connection.prepare_cached(text).and_then(|mut statement| statement.execute(values));
        run.map_err(|e| Error::of_database(self.path, e))
    }
}

/// The id, the first entry and the first key of a new log.
pub(crate) fn open_chain(connection: &mut Connection, path: &Path, key: &Key, act: Act) -> Result<(), Error> {
    let refused = |e| Error::of_database(path, e);
    let mut id = [0; 16];
    getrandom::fill(&mut id).map_err(|e| sign::KeyError::NoRandomness(e.to_string()))?;
    let log = LogId::from(id);
    let command = CommandId::new(format!("open {log}"))?;
    let first = NewEntry::opened(act, log, key.public())?;
    let transaction = connection.transaction().map_err(refused)?;
    let mut writing = Writing { connection: &transaction, path, log, key, seals: Seals::none() };
    if writing.execute("INSERT INTO log (one, id) VALUES (1, ?1)", params![id])? != 1 {
        return Err(writing.not_taken("log"));
    }
    writing.write(Tip { entries: 0, head: Hash::NONE }, &command, &first)?;
    transaction.commit().map_err(refused)
}
