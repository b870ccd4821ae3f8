//! The tables, their versions, and how a connection is set up.
//!
//! Tables migrate by `user_version`; entries never do. All tables but `entries` and `blobs` can be
//! rebuilt from the entries, and `verify` checks them against those.

use crate::Error;
use crate::files;
use crate::store::tables;
use crate::store::tables::TablesError;
use crate::store::wal;
use rusqlite::config::DbConfig;
use rusqlite::{Connection, OpenFlags};
use std::fmt::Write as _;
use std::path::Path;
use std::time::Duration;

/// "tflg" in ASCII: tells a log from any other SQLite file (application_id, SQLite file format 1.3.17).
const APPLICATION_ID: i32 = 0x7466_6c67;

/// Each brings the tables from its position's version to the next one.
const MIGRATIONS: [&str; 1] = ["
CREATE TABLE log (
    one INTEGER PRIMARY KEY CHECK (one = 1),
    id BLOB NOT NULL CHECK (length(id) = 16)
) STRICT;
CREATE TABLE keys (
    id TEXT PRIMARY KEY,
    public BLOB NOT NULL CHECK (length(public) = 32),
    entry INTEGER NOT NULL REFERENCES entries(seq) DEFERRABLE INITIALLY DEFERRED
) STRICT;
CREATE TABLE entries (
    seq INTEGER PRIMARY KEY,
    hash BLOB NOT NULL CHECK (length(hash) = 32),
    previous BLOB NOT NULL CHECK (length(previous) = 32),
    bytes BLOB NOT NULL,
    signature BLOB NOT NULL CHECK (length(signature) = 64),
    key TEXT NOT NULL,
    command TEXT NOT NULL
) STRICT;
CREATE TABLE editions (
    edition BLOB PRIMARY KEY CHECK (length(edition) = 32),
    text TEXT NOT NULL,
    entry INTEGER NOT NULL REFERENCES entries(seq) DEFERRABLE INITIALLY DEFERRED
) STRICT;
CREATE TABLE blobs (
    hash BLOB PRIMARY KEY CHECK (length(hash) = 32),
    salt BLOB NOT NULL CHECK (length(salt) = 32),
    bytes BLOB NOT NULL,
    entry INTEGER NOT NULL REFERENCES entries(seq) DEFERRABLE INITIALLY DEFERRED
) STRICT;
CREATE TABLE imported (
    record TEXT PRIMARY KEY,
    entry INTEGER NOT NULL REFERENCES entries(seq) DEFERRABLE INITIALLY DEFERRED
) STRICT;
CREATE TRIGGER entries_are_never_changed BEFORE UPDATE ON entries
BEGIN SELECT RAISE(ABORT, 'an entry of the log is never changed'); END;
CREATE TRIGGER entries_are_never_removed BEFORE DELETE ON entries
BEGIN SELECT RAISE(ABORT, 'an entry of the log is never removed'); END;
-- INSERT OR REPLACE would remove without the trigger above; and a number is never left out.
CREATE TRIGGER entries_are_only_appended BEFORE INSERT ON entries
WHEN NEW.seq IS NOT (SELECT coalesce(max(seq), 0) + 1 FROM entries)
BEGIN SELECT RAISE(ABORT, 'an entry of the log is only appended'); END;
"];

const VERSION: i64 = MIGRATIONS.len() as i64;

/// How long to wait for a program that holds the database for a moment, e.g. a backup.
pub(crate) const PATIENCE: Duration = Duration::from_millis(250);

/// A connection that may write. WAL with full sync: a commit is on the disk when it returns.
/// `secure_delete` overwrites what is erased; `fullfsync` matters on macOS only, where a plain fsync
/// stops at the drive's cache.
pub(crate) fn for_writing(path: &Path, create: bool) -> Result<Connection, Error> {
    let refused = |e| Error::of_database(path, e);
    if !create {
        files::check(path)?;
        wal::check(path)?;
    }
    let mut flags = OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_NO_MUTEX;
    if create {
        flags |= OpenFlags::SQLITE_OPEN_CREATE;
    }
    let connection = Connection::open_with_flags(path, flags).map_err(refused)?;
    if !create {
        // Until all is found sound nothing is written, not even on closing: a log that is refused is left as it is.
        merge_on_close(&connection, false).map_err(refused)?;
        version(&connection, path)?;
    }
    let pragmas = "PRAGMA journal_mode = WAL; PRAGMA synchronous = FULL;
         PRAGMA fullfsync = ON; PRAGMA foreign_keys = ON; PRAGMA secure_delete = ON;
         PRAGMA trusted_schema = OFF; PRAGMA cell_size_check = ON;";
    connection.busy_timeout(PATIENCE).and_then(|()| connection.execute_batch(pragmas)).map_err(refused)?;
    Ok(connection)
}

/// Whether the last one to close the log moves the write-ahead file into it.
pub(crate) fn merge_on_close(connection: &Connection, merge: bool) -> rusqlite::Result<()> {
    connection.set_db_config(DbConfig::SQLITE_DBCONFIG_NO_CKPT_ON_CLOSE, !merge).map(|_| ())
}

pub(crate) fn for_reading(path: &Path) -> Result<Connection, Error> {
    files::check(path)?;
    wal::check(path)?;
    let flags = OpenFlags::SQLITE_OPEN_READ_ONLY | OpenFlags::SQLITE_OPEN_NO_MUTEX;
    let opened = Connection::open_with_flags(path, flags);
    let opened = opened.and_then(|connection| {
        connection.busy_timeout(PATIENCE)?;
        connection.execute_batch("PRAGMA trusted_schema = OFF; PRAGMA cell_size_check = ON;")?;
        connection.query_row("SELECT count(*) FROM sqlite_schema", (), |_| Ok(()))?;
        Ok(connection)
    });
    match opened {
        Ok(connection) => Ok(connection),
        Err(e) if needs_writable_folder(&e) => as_it_lies(path),
        Err(e) => Err(Error::of_database(path, e)),
    }
}

/// SQLite reads a WAL database through a shared-memory file, which it cannot make in a read-only folder.
fn needs_writable_folder(refusal: &rusqlite::Error) -> bool {
    use rusqlite::ErrorCode;
    matches!(refusal.sqlite_error_code(), Some(ErrorCode::CannotOpen | ErrorCode::ReadOnly))
}

/// Reads without the shared-memory file. Only where no write-ahead file holds entries that would be
/// overlooked: better no answer than one that lacks the newest ruling.
fn as_it_lies(path: &Path) -> Result<Connection, Error> {
    let pending = std::fs::metadata(files::beside(path, "-wal")).is_ok_and(|wal| wal.len() > 0);
    if pending {
        return Err(Error::ReadOnly(path.to_owned()));
    }
    let flags =
        OpenFlags::SQLITE_OPEN_READ_ONLY | OpenFlags::SQLITE_OPEN_NO_MUTEX | OpenFlags::SQLITE_OPEN_URI;
    let mut uri = String::from("file:");
    for byte in path.as_os_str().as_encoded_bytes() {
        match byte {
            b'a'..=b'z' | b'A'..=b'Z' | b'0'..=b'9' | b'/' | b'.' | b'-' | b'_' => {
                uri.push(char::from(*byte))
            }
            _ => write!(uri, "%{byte:02X}").expect("a String takes all text"),
        }
    }
    uri.push_str("?immutable=1");
    Connection::open_with_flags(uri, flags).map_err(|e| Error::of_database(path, e))
}

/// Refuses a log that may lose acts in silence: a damaged write-ahead file, tables that no tellframe wrote.
pub(crate) fn sound(connection: &Connection, path: &Path) -> Result<(), Error> {
    wal::check(path)?;
    version(connection, path).map(|_| ())
}

/// The version of a log's tables; refuses what is no log, what is newer than this program, and tables that no tellframe
/// wrote.
pub(crate) fn version(connection: &Connection, path: &Path) -> Result<i64, Error> {
    let refused = |e| Error::of_database(path, e);
    let items: i64 =
        connection.query_row("SELECT count(*) FROM sqlite_schema", (), |row| row.get(0)).map_err(refused)?;
    if items == 0 {
        return Err(Error::Damaged { path: path.to_owned(), detail: "the file is empty".to_owned() });
    }
    if number(connection, "application_id").map_err(refused)? != i64::from(APPLICATION_ID) {
        return Err(Error::NotALog(path.to_owned()));
    }
    let other = |fault| Err(Error::Tables { path: path.to_owned(), fault });
    let found = number(connection, "user_version").map_err(refused)?;
    match usize::try_from(found) {
        Err(_) | Ok(0) => other(TablesError::Version(found)),
        Ok(_) if found > VERSION => Err(Error::NewerTables { path: path.to_owned(), found, known: VERSION }),
        Ok(published) => match tables::fault(connection, published).map_err(refused)? {
            Some(fault) => other(fault),
            None => Ok(found),
        },
    }
}

/// A number that changes whenever tables, indexes, views or triggers do (`PRAGMA schema_version`).
pub(crate) fn cookie(connection: &Connection) -> rusqlite::Result<i64> {
    number(connection, "schema_version")
}

fn number(connection: &Connection, pragma: &str) -> rusqlite::Result<i64> {
    connection.pragma_query_value(None, pragma, |row| row.get(0))
}

/// An empty database in memory with the tables of `version`.
pub(crate) fn made(version: usize) -> rusqlite::Result<Connection> {
    let connection = Connection::open_in_memory()?;
    MIGRATIONS.iter().take(version).try_for_each(|step| connection.execute_batch(step))?;
    Ok(connection)
}

/// Brings the tables from version `from` to this program's, all or nothing.
pub(crate) fn migrate(connection: &mut Connection, path: &Path, from: i64) -> Result<(), Error> {
    let done = usize::try_from(from).map_err(|_| Error::NotALog(path.to_owned()))?;
    let Some(missing @ [_, ..]) = MIGRATIONS.get(done..) else { return Ok(()) };
    let migrated = connection.transaction().and_then(|transaction| {
        missing.iter().try_for_each(|step| transaction.execute_batch(step))?;
        transaction.pragma_update(None, "application_id", APPLICATION_ID)?;
        transaction.pragma_update(None, "user_version", VERSION)?;
        transaction.commit()
    });
    migrated.map_err(|e| Error::of_database(path, e))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_log_that_lies_in_a_read_only_folder_is_read_unless_entries_are_pending() {
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("a log? 100 %.sqlite");
        let mut connection = for_writing(&path, true).expect("made");
        migrate(&mut connection, &path, 0).expect("migrated");
        assert!(matches!(as_it_lies(&path), Err(Error::ReadOnly(_))), "the write-ahead file holds it all");
        connection.close().expect("closed");
        let read = as_it_lies(&path).expect("nothing is pending");
        assert_eq!(version(&read, &path).expect("a log"), VERSION);
    }

    #[test]
    fn tables_are_migrated_once() {
        let mut connection = Connection::open_in_memory().expect("memory");
        let path = Path::new("memory");
        migrate(&mut connection, path, 0).expect("migrated");
        migrate(&mut connection, path, VERSION).expect("nothing to do");
        assert_eq!(version(&connection, path).expect("a log"), VERSION);
    }
}
