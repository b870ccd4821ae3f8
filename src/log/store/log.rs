//! Writing a log: made once, opened by one desk at a time, appended to.
//!
//! INVARIANT: what `append` has answered is on the disk; what it has not answered is there wholly or
//! not at all, and the same command id, given again, tells which.

use crate::chain::entry::{Act, Beside, NewEntry};
use crate::chain::hash::Hash;
use crate::chain::label::CommandId;
use crate::chain::sign::Key;
use crate::files;
use crate::store::head_file::{Found, Keeper, Kept};
use crate::store::identity;
use crate::store::lock;
use crate::store::lock::Lock;
use crate::store::reader;
use crate::store::reader::Reader;
use crate::store::rows::{Writing, open_chain};
use crate::store::schema;
use crate::store::seals::Place;
use crate::store::unverified::Unverified;
use crate::{Error, forms};
use rusqlite::Connection;
use std::collections::HashSet;
use std::fs;
use std::hash::{DefaultHasher, Hash as _, Hasher as _};
use std::path::Path;
use std::time::Duration;

/// A log, open for writing with one key. It is let go when dropped.
#[derive(Debug)]
pub struct Log {
    reader: Reader,
    key: Key,
    /// Fingerprints of all commands that may have been written. An index in the database would cost every
    /// event a second page on the disk; this costs a pass over the log when it is opened. A fingerprint
    /// that is here is looked up in the log, so that a chance match does no harm.
    commands: HashSet<u64>,
    /// The tables that were last found to be tellframe's, by the number that changes with them.
    tables: Option<i64>,
    lies: identity::Place,
    /// Whether an act that came to nothing may have left frames in the write-ahead file.
    leftover: bool,
    head: Keeper,
    held: Lock,
}

/// What a command wrote.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Appended {
    pub entries: Vec<(u64, Hash)>,
    /// Whether it was there already: the command came a second time and nothing was added.
    pub repeated: bool,
}

impl Log {
    /// Makes a log at `path`. Its first entry, by `act`, holds its id and the key that signs.
    ///
    /// It is made under another name and then renamed, so that there is either no log or a whole one.
    pub fn create(path: &Path, key: Key, act: Act) -> Result<Log, Error> {
        let given = path;
        let path = lock::resolve(given)?;
        let held = Lock::take(&path)?;
        if fs::symlink_metadata(&path).is_ok() {
            return Err(Error::Exists(path));
        }
        files::check_room(&path)?;
        if let Found::Head(kept) = Found::beside(&path) {
            return Err(Error::Gone { path, entries: kept.tip().entries });
        }
        let unfinished = files::beside(&path, ".new");
        for suffix in ["", "-wal", "-shm", "-journal"] {
            remove_if_there(&files::beside(&unfinished, suffix))?;
        }
        // SQLite gives what it makes beside a file the rights of that file.
        files::make(&unfinished).map_err(|e| Error::of_file(&unfinished, e))?;
        let mut connection = schema::for_writing(&unfinished, true)?;
        schema::migrate(&mut connection, &unfinished, 0)?;
        open_chain(&mut connection, &path, &key, act)?;
        connection.close().map_err(|(_, e)| Error::of_database(&path, e))?;
        fs::rename(&unfinished, &path).map_err(|e| Error::of_file(&path, e))?;
        sync_folder(&path)?;
        Log::over((given, &path), key, held)
    }

    /// Opens the log at `path` to append with `key`, which the log must know.
    pub fn open(path: &Path, key: Key) -> Result<Log, Error> {
        if !path.exists() {
            return Err(Error::Missing(path.to_owned()));
        }
        let given = path;
        let path = lock::resolve(given)?;
        files::regular(&path)?;
        let held = Lock::take(&path)?;
        Log::over((given, &path), key, held)
    }

    fn over((given, path): (&Path, &Path), key: Key, held: Lock) -> Result<Log, Error> {
        let lies = identity::Place::of(path, given)?;
        let reader = Log::unverified(path)?.verified()?;
        let mut log = Log::with(reader, key, (held, lies))?;
        let place = log.reader.place();
        let newest = |kept: &Kept| kept.place() == place && kept.key() == log.key.public();
        if !Found::beside(path).of(log.reader.id()).head().is_some_and(newest) {
            log.keep_head(&place);
        }
        Ok(log)
    }

    /// Opens a log that contradicts the head beside it, which is given too. No entry is written before the next act.
    pub(crate) fn despite_head(path: &Path, key: Key) -> Result<(Log, Kept), Error> {
        if !path.exists() {
            return Err(Error::Missing(path.to_owned()));
        }
        let given = path;
        let path = lock::resolve(given)?;
        files::regular(&path)?;
        let held = Lock::take(&path)?;
        let lies = identity::Place::of(&path, given)?;
        let (reader, kept) = Log::unverified(&path)?.despite_head()?;
        Ok((Log::with(reader, key, (held, lies))?, kept))
    }

    fn unverified(path: &Path) -> Result<Unverified, Error> {
        let mut connection = schema::for_writing(path, false)?;
        let found = schema::version(&connection, path)?;
        schema::migrate(&mut connection, path, found)?;
        Unverified::over(connection, path.to_owned())
    }

    fn with(reader: Reader, key: Key, (held, mut lies): (Lock, identity::Place)) -> Result<Log, Error> {
        let path = reader.path();
        if !reader.keys()?.contains(&key.public()) {
            return Err(Error::KeyUnknown { path: path.to_owned(), key: key.id().clone() });
        }
        let commands = fingerprints(&reader.connection).map_err(|e| reader.refused(e))?;
        ["", "-wal", "-shm"].into_iter().for_each(|suffix| files::tighten(&files::beside(path, suffix)));
        lies.opened()?;
        // Not before all was verified: a log that is refused is left as it is.
        schema::merge_on_close(&reader.connection, true).map_err(|e| reader.refused(e))?;
        let head = Keeper::default();
        let mut log = Log { reader, key, commands, tables: None, lies, leftover: true, head, held };
        log.settle();
        tracing::info!("log {} open for writing: {}", log.reader.id(), log.reader.path().display());
        Ok(log)
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
        let written = written_by(&self.reader.connection, command).map_err(|e| self.reader.refused(e))?;
        if !written.is_empty() {
            self.there()?;
        }
        Ok(written)
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
        self.there()?;
        if self.leftover {
            self.settle();
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
        if written.is_err() {
            self.leftover = true;
            self.settle();
        }
        let (appended, place) = written?;
        tracing::debug!(
            "command {command}: {} entries{}",
            appended.entries.len(),
            if appended.repeated { ", written before" } else { "" }
        );
        let ends = new.iter().any(|entry| forms::ends_something(&entry.kind));
        if new.iter().flat_map(|entry| &entry.beside).any(|beside| matches!(beside, Beside::Erase(_))) {
            self.leave_no_trace()?;
        } else if ends {
            self.settle();
        }
        self.lies.left();
        // What was moved away in between has the act; whoever asks for it where the log should be would not find it.
        self.lies.check(&self.held)?;
        if let Some(place) = place {
            self.keep_head(&place);
        }
        // Where something ends, its head is on the disk too.
        if ends {
            self.head.sync(self.reader.path());
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
        self.compare_tables()?;
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

    /// Refuses a log that is not the one that was opened any more.
    fn there(&self) -> Result<(), Error> {
        self.lies.check(&self.held)?;
        self.lies.untouched(&self.reader)
    }

    /// Refuses tables that somebody changed since they were last compared.
    fn compare_tables(&mut self) -> Result<(), Error> {
        let connection = &self.reader.connection;
        let now = schema::cookie(connection).map_err(|e| self.reader.refused(e))?;
        if self.tables != Some(now) {
            schema::version(connection, self.reader.path())?;
            self.tables = Some(now);
        }
        Ok(())
    }

    /// Runs a statement without values, prepared once.
    fn run(&self, text: &str) -> Result<(), Error> {
        let run = self.reader.connection.prepare_cached(text).and_then(|mut statement| statement.execute(()));
        run.map(|_| ()).map_err(|e| self.reader.refused(e))
    }

    /// Moves all acts from the write-ahead file into the database and empties it: what ended lies in one file, and a
    /// damaged write-ahead file cannot take it away again. While somebody reads, what can be moved is moved, without
    /// waiting; the acts are safe where they are, so whatever else is in the way is said in the trace alone.
    fn settle(&mut self) {
        let connection = &self.reader.connection;
        let moved = connection.busy_timeout(Duration::ZERO).and_then(|()| {
            connection.query_row("PRAGMA wal_checkpoint(TRUNCATE)", (), |row| row.get::<_, i64>(0))
        });
        let patient = connection.busy_timeout(schema::PATIENCE);
        match moved.and_then(|busy| patient.map(|()| busy)) {
            Ok(0) => self.leftover = false,
            Ok(_) => tracing::debug!("somebody reads the log: its write-ahead file stays for now"),
            Err(error) => tracing::warn!("the write-ahead file stays: {error}"),
        }
        self.lies.left();
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
    use crate::chain::blob::Blob;
    use crate::chain::edition::RuleText;
    use crate::chain::label::{Actor, Kind};
    use crate::chain::tip::Tip;
    use crate::store::seals::Seals;
    use review::stamp::Stamp;
    use rules::book::text::Sources;
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

    /// Whatever makes an insert do nothing, the act fails as a whole. The triggers here are the connection's own, which
    /// no look at the tables would find.
    // PROPERTY: a row that did not come to be is a failed act
    #[test]
    fn a_row_that_did_not_come_to_be_is_a_failed_act() {
        let rules = RuleText::of("x", &Sources::default());
        let erased = Blob::salted([2; 32], b"gone".to_vec());
        let table = [
            ("INSERT", "entries", note()),
            ("INSERT", "blobs", note().with_blob(Blob::salted([1; 32], b"a text".to_vec()))),
            ("INSERT", "keys", NewEntry::key_added(act(), Key::from_seed(&[8; 32]).public()).expect("made")),
            ("INSERT", "editions", NewEntry::edition_stored(act(), &rules).expect("made")),
            ("INSERT", "imported", NewEntry::imported(act(), "r-1", json!({"id": "r-1"})).expect("made")),
            ("DELETE", "blobs", NewEntry::erased(act(), erased.hash()).expect("made")),
        ];
        for (what, table, entry) in table {
            let folder = tempfile::tempdir().expect("a folder");
            let mut log = new_log(&folder);
            let before = log.reader().tip().expect("read").head;
            let kept =
                log.append(before, &command("c-1"), &[note().with_blob(erased.clone())]).expect("appended");
            let before = kept.entries.last().expect("one").1;
            let swallow = format!(
                "CREATE TEMP TRIGGER swallow BEFORE {what} ON main.{table} BEGIN SELECT RAISE(IGNORE); END"
            );
            log.reader.connection.execute_batch(&swallow).expect("made");
            let refused = log.append(before, &command("c-2"), &[note(), entry.clone()]).expect_err(table);
            assert_eq!(
                refused.to_string(),
                format!(
                    "the log {} did not take the act: the table `{table}` is as before",
                    log.reader().path().display()
                )
            );
            assert_eq!(log.reader().tip().expect("read").entries, 2, "{what} {table}");
            log.reader.connection.execute_batch("DROP TRIGGER swallow").expect("dropped");
            log.append(before, &command("c-2"), &[note(), entry]).expect("appended");
        }
    }
}
