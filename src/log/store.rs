//! Writing a log: made once, opened by one desk at a time, appended to.
//!
//! INVARIANT: what `append` has answered is on the disk; what it has not answered is there wholly or
//! not at all, and the same command id, given again, tells which.

use crate::log::chain::{self, Hash, LogId};
use crate::log::entry::{Act, Beside, NewEntry};
use crate::log::kept::{Found, Keeper, Kept};
use crate::log::label::CommandId;
use crate::log::lock::{self, Lock};
use crate::log::reader::{self, Reader, Tip, Unverified};
use crate::log::sign::{self, Key};
use crate::log::verify::{Place, Seals};
use crate::log::{BesideFault, Error, record, schema};
use rusqlite::{Connection, ToSql, params};
use std::collections::HashSet;
use std::fs;
use std::hash::{DefaultHasher, Hash as _, Hasher as _};
use std::path::Path;

/// A log, open for writing with one key. It is let go when dropped.
#[derive(Debug)]
pub struct Log {
    reader: Reader,
    key: Key,
    /// Fingerprints of all commands that may have been written. An index in the database would cost every
    /// event a second page on the disk; this costs a pass over the log when it is opened. A fingerprint
    /// that is here is looked up in the log, so that a chance match does no harm.
    commands: HashSet<u64>,
    /// The head beside the log.
    head: Keeper,
    _lock: Lock,
}

/// What a command wrote.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Appended {
    /// Number and hash of each entry, in order.
    pub entries: Vec<(u64, Hash)>,
    /// Whether it was there already: the command came a second time and nothing was added.
    pub repeated: bool,
}

impl Log {
    /// Makes a log at `path`. Its first entry, by `act`, holds its id and the key that signs.
    ///
    /// It is made under another name and then renamed, so that there is either no log or a whole one.
    pub fn create(path: &Path, key: Key, act: Act) -> Result<Log, Error> {
        let path = lock::resolve(path)?;
        let held = Lock::take(&path)?;
        if path.exists() {
            return Err(Error::Exists(path));
        }
        if let Found::Head(kept) = Found::beside(&path) {
            return Err(Error::Gone { path, entries: kept.tip().entries });
        }
        let unfinished = lock::beside(&path, ".new");
        for suffix in ["", "-wal", "-shm"] {
            remove_if_there(&lock::beside(&unfinished, suffix))?;
        }
        let mut connection = schema::for_writing(&unfinished, true)?;
        schema::migrate(&mut connection, &unfinished, 0)?;
        open_chain(&mut connection, &path, &key, act)?;
        connection.close().map_err(|(_, e)| Error::of_database(&path, e))?;
        fs::rename(&unfinished, &path).map_err(|e| Error::of_file(&path, e))?;
        sync_folder(&path)?;
        Log::over(&path, key, held)
    }

    /// Opens the log at `path` to append with `key`, which the log must know.
    pub fn open(path: &Path, key: Key) -> Result<Log, Error> {
        if !path.exists() {
            return Err(Error::Missing(path.to_owned()));
        }
        let path = lock::resolve(path)?;
        let held = Lock::take(&path)?;
        Log::over(&path, key, held)
    }

    fn over(path: &Path, key: Key, held: Lock) -> Result<Log, Error> {
        let reader = Log::unverified(path)?.verified()?;
        let mut log = Log::with(reader, key, held)?;
        let place = log.reader.place();
        let newest = |kept: &Kept| kept.place() == place && kept.key() == log.key.public();
        if !Found::beside(path).of(log.reader.id()).head().is_some_and(newest) {
            log.keep_head(&place);
        }
        Ok(log)
    }

    /// Opens a log that contradicts the head beside it, which is given too. Nothing is written before the next act.
    pub(in crate::log) fn despite_head(path: &Path, key: Key) -> Result<(Log, Kept), Error> {
        if !path.exists() {
            return Err(Error::Missing(path.to_owned()));
        }
        let path = lock::resolve(path)?;
        let held = Lock::take(&path)?;
        let (reader, kept) = Log::unverified(&path)?.despite_head()?;
        Ok((Log::with(reader, key, held)?, kept))
    }

    fn unverified(path: &Path) -> Result<Unverified, Error> {
        let mut connection = schema::for_writing(path, false)?;
        let found = schema::version(&connection, path)?;
        schema::migrate(&mut connection, path, found)?;
        Unverified::over(connection, path.to_owned())
    }

    fn with(reader: Reader, key: Key, held: Lock) -> Result<Log, Error> {
        let path = reader.path();
        if !reader.keys()?.contains(&key.public()) {
            return Err(Error::KeyUnknown { path: path.to_owned(), key: key.id().clone() });
        }
        let commands = fingerprints(&reader.connection).map_err(|e| reader.refused(e))?;
        tracing::info!("log {} open for writing: {}", reader.id(), path.display());
        Ok(Log { reader, key, commands, head: Keeper::default(), _lock: held })
    }

    /// The same log for reading, over the same connection.
    pub fn reader(&self) -> &Reader {
        &self.reader
    }

    /// The key that signs.
    pub fn key(&self) -> &Key {
        &self.key
    }

    /// Why the head beside the log is not the newest, where it could not be written. The acts are kept all the same.
    pub fn head_fault(&self) -> Option<&str> {
        self.head.fault()
    }

    /// Signs where the log ends now, and keeps that beside it. What was written is read back first.
    fn keep_head(&mut self, place: &Place) {
        let head = self.reader.read_back(place);
        let head = head.map(|()| Kept::signed(self.reader.id(), *place, &self.key));
        self.head.keep(self.reader.path(), head);
    }

    /// The entries that `command` wrote, in order; none if it was never given.
    pub fn written(&self, command: &CommandId) -> Result<Vec<(u64, Hash)>, Error> {
        if !self.commands.contains(&fingerprint(command.as_str())) {
            return Ok(Vec::new());
        }
        written_by(&self.reader.connection, command).map_err(|e| self.reader.refused(e))
    }

    /// Writes `new` after the entry `expected`, all or nothing, and returns when it is on the disk.
    ///
    /// A `command` that was written before adds nothing and is answered with what it wrote then, whatever
    /// the head is now: that is how a desk finds out after a crash whether its last act was kept.
    pub fn append(
        &mut self,
        expected: Hash,
        command: &CommandId,
        new: &[NewEntry],
    ) -> Result<Appended, Error> {
        if new.is_empty() {
            return Err(Error::Nothing);
        }
        // Nothing is added to a log that was forged under the desk.
        self.reader.read_on()?;
        self.run("BEGIN IMMEDIATE")?;
        let written = self.append_open(expected, command, new).and_then(|appended| {
            self.run("COMMIT")?;
            Ok(appended)
        });
        // SQLite has rolled back by itself after some faults, e.g. a full disk.
        if written.is_err() && !self.reader.connection.is_autocommit() {
            self.run("ROLLBACK")?;
        }
        let (appended, place) = written?;
        tracing::debug!(
            "command {command}: {} entries{}",
            appended.entries.len(),
            if appended.repeated { ", written before" } else { "" }
        );
        if let Some(place) = place {
            self.keep_head(&place);
        }
        // Where something ends, its head is on the disk too.
        if new.iter().any(|entry| record::ends(&entry.kind)) {
            self.head.sync(self.reader.path());
        }
        if new.iter().flat_map(|entry| &entry.beside).any(|beside| matches!(beside, Beside::Erase(_))) {
            self.leave_no_trace()?;
        }
        Ok(appended)
    }

    /// `append` within a transaction; with where the log ends then, unless it was written before.
    fn append_open(
        &mut self,
        expected: Hash,
        command: &CommandId,
        new: &[NewEntry],
    ) -> Result<(Appended, Option<Place>), Error> {
        let connection = &self.reader.connection;
        let refused = |e| self.reader.refused(e);
        if !self.commands.insert(fingerprint(command.as_str())) {
            let earlier = written_by(connection, command).map_err(refused)?;
            if !earlier.is_empty() {
                return Ok((Appended { entries: earlier, repeated: true }, None));
            }
        }
        let mut tip = reader::tip(connection).map_err(refused)?;
        if tip.head != expected {
            return Err(Error::HeadMoved { expected, found: tip.head });
        }
        let log = self.reader.id();
        let seals = self.reader.place_seals();
        let mut writing = Writing { connection, path: self.reader.path(), log, key: &self.key, seals };
        let mut entries = Vec::with_capacity(new.len());
        for entry in new {
            tip = writing.write(tip, command, entry)?;
            entries.push((tip.entries, tip.head));
        }
        let place = Place { tip, seals: writing.seals.hash() };
        Ok((Appended { entries, repeated: false }, Some(place)))
    }

    /// Runs a statement without values, prepared once.
    fn run(&self, text: &str) -> Result<(), Error> {
        let run = self.reader.connection.prepare_cached(text).and_then(|mut statement| statement.execute(()));
        run.map(|_| ()).map_err(|e| self.reader.refused(e))
    }

    /// Moves the write-ahead file into the database and empties it, so that erased bytes do not live on
    /// there. While somebody reads, the next one to close the log does it instead.
    fn leave_no_trace(&self) -> Result<(), Error> {
        let emptied = self.reader.connection.query_row("PRAGMA wal_checkpoint(TRUNCATE)", (), |_| Ok(()));
        emptied.map_err(|e| self.reader.refused(e))
    }
}

impl Drop for Log {
    fn drop(&mut self) {
        self.head.sync(self.reader.path());
    }
}

/// Entries being written in one transaction.
struct Writing<'a> {
    connection: &'a Connection,
    path: &'a Path,
    log: LogId,
    key: &'a Key,
    seals: Seals,
}

impl Writing<'_> {
    fn write(&mut self, tip: Tip, command: &CommandId, new: &NewEntry) -> Result<Tip, Error> {
        let bytes = new.bytes(command)?;
        let hash = chain::entry_hash(&self.log, &tip.head, &bytes);
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
        self.execute(insert, values)?;
        self.seals.add(&signature, self.key.id());
        new.beside.iter().try_for_each(|beside| self.write_beside(seq, beside))?;
        Ok(Tip { entries: seq, head: hash })
    }

    fn write_beside(&mut self, seq: u64, beside: &Beside) -> Result<(), Error> {
        let (changed, fault) = match beside {
            Beside::Blob(blob) => {
                // The same blob named by a second entry is one blob.
                let insert = "INSERT OR IGNORE INTO blobs (hash, salt, bytes, entry) VALUES (?1, ?2, ?3, ?4)";
                self.execute(insert, params![blob.hash().as_bytes(), blob.salt(), blob.bytes(), seq])?;
                return Ok(());
            }
            Beside::Erase(hash) => (
                self.execute("DELETE FROM blobs WHERE hash = ?1", params![hash.as_bytes()])?,
                BesideFault::NoBlob(*hash),
            ),
            Beside::Edition { edition, text } => {
                let insert = "INSERT OR IGNORE INTO editions (edition, text, entry) VALUES (?1, ?2, ?3)";
                let values = params![edition.as_bytes(), text, seq];
                (self.execute(insert, values)?, BesideFault::EditionStored(*edition))
            }
            Beside::Key(key) => {
                let insert = "INSERT OR IGNORE INTO keys (id, public, entry) VALUES (?1, ?2, ?3)";
                let id = key.id();
                let changed = self.execute(insert, params![id.as_str(), key.as_bytes(), seq])?;
                (changed, BesideFault::KeyKnown(id))
            }
            Beside::Record(id) => {
                let insert = "INSERT OR IGNORE INTO imported (record, entry) VALUES (?1, ?2)";
                (self.execute(insert, params![id, seq])?, BesideFault::RecordImported(id.clone()))
            }
        };
        match changed {
            0 => Err(Error::Beside(fault)),
            _ => Ok(()),
        }
    }

    /// Runs one statement and says how many rows it changed.
    fn execute(&self, text: &str, values: &[&dyn ToSql]) -> Result<usize, Error> {
        let run = self.connection.prepare_cached(text).and_then(|mut statement| statement.execute(values));
        run.map_err(|e| Error::of_database(self.path, e))
    }
}

/// The id, the first entry and the first key of a new log.
fn open_chain(connection: &mut Connection, path: &Path, key: &Key, act: Act) -> Result<(), Error> {
    let refused = |e| Error::of_database(path, e);
    let mut id = [0; 16];
    getrandom::fill(&mut id).map_err(|e| sign::Fault::NoRandomness(e.to_string()))?;
    let log = LogId::from(id);
    let command = CommandId::new(format!("open {log}"))?;
    let first = NewEntry::opened(act, log, key.public())?;
    let transaction = connection.transaction().map_err(refused)?;
    transaction.execute("INSERT INTO log (one, id) VALUES (1, ?1)", [id]).map_err(refused)?;
    let mut writing = Writing { connection: &transaction, path, log, key, seals: Seals::none() };
    writing.write(Tip { entries: 0, head: Hash::NONE }, &command, &first)?;
    transaction.commit().map_err(refused)
}

fn written_by(connection: &Connection, command: &CommandId) -> rusqlite::Result<Vec<(u64, Hash)>> {
    let text = "SELECT seq, hash FROM entries WHERE command = ?1 ORDER BY seq";
    let mut query = connection.prepare_cached(text)?;
    let rows =
        query.query_map([command.as_str()], |row| Ok((row.get(0)?, row.get::<_, [u8; 32]>(1)?.into())))?;
    rows.collect()
}

fn fingerprints(connection: &Connection) -> rusqlite::Result<HashSet<u64>> {
    let mut query = connection.prepare("SELECT command FROM entries")?;
    let rows = query.query_map((), |row| Ok(fingerprint(row.get_ref(0)?.as_str()?)))?;
    rows.collect()
}

fn fingerprint(command: &str) -> u64 {
    let mut hasher = DefaultHasher::new();
    command.hash(&mut hasher);
    hasher.finish()
}

fn remove_if_there(path: &Path) -> Result<(), Error> {
    match fs::remove_file(path) {
        Err(e) if e.kind() != std::io::ErrorKind::NotFound => Err(Error::of_file(path, e)),
        Ok(()) | Err(_) => Ok(()),
    }
}

/// A rename is on the disk when its folder is (POSIX); other systems have no such call for a folder.
fn sync_folder(path: &Path) -> Result<(), Error> {
    match path.parent() {
        Some(folder) if cfg!(unix) => {
            let synced = fs::File::open(folder).and_then(|folder| folder.sync_all());
            synced.map_err(|e| Error::of_file(path, e))
        }
        Some(_) | None => Ok(()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::log::blob::Blob;
    use crate::log::label::{Actor, Kind};
    use crate::review::stamp::Stamp;
    use serde_json::json;

    fn act() -> Act {
        let at = Stamp { utc_ms: 0, boot_ms: 0, boot: "b-1".to_owned() };
        Act { actor: Actor::new("booth-07").expect("a label"), review: None, at }
    }

    fn command(text: &str) -> CommandId {
        CommandId::new(text).expect("a label")
    }

    fn note() -> NewEntry {
        let kind = Kind::new("note").expect("a label");
        NewEntry::new(act(), kind, json!({"text": "x"})).expect("not the log's own")
    }

    fn new_log(folder: &tempfile::TempDir) -> Log {
        let path = folder.path().join("log.sqlite");
        Log::create(&path, Key::from_seed(&[7; 32]), act()).expect("made")
    }

    /// The disk is filled by a limit on the database's pages; SQLite answers as for a full disk.
    #[test]
    fn a_full_disk_loses_nothing_and_is_survived() {
        let folder = tempfile::tempdir().expect("a folder");
        let mut log = new_log(&folder);
        let head = log.reader().tip().expect("read").head;
        let connection = &log.reader.connection;
        let pages: i64 = connection.query_row("PRAGMA page_count", (), |row| row.get(0)).expect("read");
        let limit = |log: &Log, pages: i64| {
            let set =
                log.reader.connection.query_row(&format!("PRAGMA max_page_count = {pages}"), (), |_| Ok(()));
            set.expect("set");
        };
        limit(&log, pages);
        let large = note().with_blob(Blob::salted([0; 32], vec![0; 100_000]));
        let refused = log.append(head, &command("c-1"), &[note(), large.clone()]).expect_err("no room");
        assert!(matches!(refused, Error::Full(_)), "{refused:?}");
        assert_eq!(
            refused.to_string(),
            format!("the disk is full: nothing was added to the log {}", log.reader().path().display())
        );
        assert_eq!(log.reader().tip().expect("read"), Tip { entries: 1, head });

        limit(&log, 1_000);
        let appended = log.append(head, &command("c-1"), &[note(), large]).expect("there is room");
        assert_eq!((appended.entries.len(), appended.repeated), (2, false));
    }

    #[test]
    fn a_desk_that_dies_before_the_commit_leaves_nothing_and_one_that_dies_after_it_all() {
        let folder = tempfile::tempdir().expect("a folder");
        let mut log = new_log(&folder);
        let tip = log.reader().tip().expect("read");
        let (path, id) = (log.reader().path().to_owned(), log.reader().id());
        {
            let transaction = log.reader.connection.transaction().expect("begun");
            let seals = Seals::none();
            let mut writing =
                Writing { connection: &transaction, path: &path, log: id, key: &log.key, seals };
            writing.write(tip, &command("c-1"), &note()).expect("written, not committed");
        }
        drop(log);
        let mut log = Log::open(&path, Key::from_seed(&[7; 32])).expect("opened");
        assert_eq!(log.reader().tip().expect("read"), tip);
        let first = log.append(tip.head, &command("c-1"), &[note()]).expect("appended");
        drop(log); // The desk dies before it hears of it, and asks again.
        let mut log = Log::open(&path, Key::from_seed(&[7; 32])).expect("opened");
        let again = log.append(tip.head, &command("c-1"), &[note()]).expect("answered");
        assert_eq!(again, Appended { entries: first.entries, repeated: true });
    }

    #[test]
    fn a_log_that_was_never_finished_is_made_anew() {
        let folder = tempfile::tempdir().expect("a folder");
        fs::write(folder.path().join("log.sqlite.new"), b"half a log").expect("written");
        assert_eq!(new_log(&folder).reader().tip().expect("read").entries, 1);
    }
}
