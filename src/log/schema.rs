//! The tables, their versions, and how a connection is set up.
//!
//! Tables migrate by `user_version`; entries never do. All tables but `entries` and `blobs` can be
//! rebuilt from the entries, and `verify` checks them against those.

use crate::log::Error;
use crate::log::lock;
use rusqlite::{Connection, OpenFlags};
use std::fmt::Write as _;
use std::path::Path;

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

/// The version of the tables that this program writes.
const VERSION: i64 = MIGRATIONS.len() as i64;

/// How long to wait for a program that holds the database for a moment, e.g. a backup.
const PATIENCE_MS: u32 = 250;

/// A connection that may write. WAL with full sync: a commit is on the disk when it returns.
/// `secure_delete` overwrites what is erased; `fullfsync` matters on macOS only, where a plain fsync
/// stops at the drive's cache.
pub(crate) fn for_writing(path: &Path, create: bool) -> Result<Connection, Error> {
    let refused = |e| Error::of_database(path, e);
    let mut flags = OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_NO_MUTEX;
    if create {
        flags |= OpenFlags::SQLITE_OPEN_CREATE;
    }
    let connection = Connection::open_with_flags(path, flags).map_err(refused)?;
    if !create {
        // Before anything is written: a file that is no log is left as it is.
        version(&connection, path)?;
    }
    let pragmas = format!(
        "PRAGMA busy_timeout = {PATIENCE_MS}; PRAGMA journal_mode = WAL; PRAGMA synchronous = FULL;
         PRAGMA fullfsync = ON; PRAGMA foreign_keys = ON; PRAGMA secure_delete = ON;
         PRAGMA trusted_schema = OFF; PRAGMA cell_size_check = ON;"
    );
    connection.execute_batch(&pragmas).map_err(refused)?;
    Ok(connection)
}

/// A connection that only reads.
pub(crate) fn for_reading(path: &Path) -> Result<Connection, Error> {
    let flags = OpenFlags::SQLITE_OPEN_READ_ONLY | OpenFlags::SQLITE_OPEN_NO_MUTEX;
    let opened = Connection::open_with_flags(path, flags);
    let opened = opened.and_then(|connection| {
        let pragmas = format!(
            "PRAGMA busy_timeout = {PATIENCE_MS}; PRAGMA trusted_schema = OFF; PRAGMA cell_size_check = ON;"
        );
        connection.execute_batch(&pragmas)?;
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
    let pending = std::fs::metadata(lock::beside(path, "-wal")).is_ok_and(|wal| wal.len() > 0);
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

/// The version of a log's tables; refuses what is no log, and what is newer than this program.
pub(crate) fn version(connection: &Connection, path: &Path) -> Result<i64, Error> {
    let number = |pragma| {
        let asked = connection.pragma_query_value(None, pragma, |row| row.get::<_, i64>(0));
        asked.map_err(|e| Error::of_database(path, e))
    };
    let tables: i64 = connection
        .query_row("SELECT count(*) FROM sqlite_schema", (), |row| row.get(0))
        .map_err(|e| Error::of_database(path, e))?;
    if tables == 0 {
        return Err(Error::Damaged { path: path.to_owned(), detail: "the file is empty".to_owned() });
    }
    if number("application_id")? != i64::from(APPLICATION_ID) {
        return Err(Error::NotALog(path.to_owned()));
    }
    match number("user_version")? {
        found if found > VERSION => Err(Error::NewerTables { path: path.to_owned(), found, known: VERSION }),
        found => Ok(found),
    }
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
