//! Small logs to write to and to tamper with.

use log::chain::canonical;
use log::chain::edition::RuleText;
use log::chain::entry::{Act, Entry, NewEntry};
use log::chain::hash::Hash;
use log::chain::label::{Actor, CommandId, Kind, ReviewId};
use log::chain::sign::Key;
use log::store::head::Head;
use log::store::location::Location;
use log::store::log::{Appended, Log};
use log::store::reader::Reader;
use log::store::unverified::Unverified;
use log::store::verify::{Trust, Verdict, verify};
use review::stamp::Stamp;
use rules::book::text::{Source, Sources};
use rusqlite::Connection;
use serde_json::{Value, json};
use std::path::{Path, PathBuf};
use tempfile::TempDir;

/// A folder with a log in it; it is removed on drop.
pub struct Desk {
    pub folder: TempDir,
    pub path: PathBuf,
}

/// The key of the desk of this number.
pub fn key(desk: u8) -> Key {
    Key::from_seed(&[desk; 32])
}

pub fn act() -> Act {
    Act {
        actor: Actor::new("booth-07").expect("a label"),
        review: Some(ReviewId::new("review-1").expect("a label")),
        at: Stamp { utc_ms: 1_778_355_731_204, boot_ms: 81_234, boot: "boot-1".to_owned() },
    }
}

pub fn command(text: &str) -> CommandId {
    CommandId::new(text).expect("a label")
}

/// A new log in a data folder with a key beside it, as the program makes them.
pub fn in_folder(folder: &Path) -> Log {
    let location = Location::at(folder);
    let key = Key::create(&location.key()).expect("written");
    Log::create(&location.log(), key, Act { review: None, ..act() }).expect("made")
}

/// The files of a book that is none: the log does not look into them.
pub fn rules() -> RuleText {
    let file = Source { path: "book.ron".to_owned(), text: "the book".to_owned() };
    RuleText::of("a book", &Sources::new(vec![file]))
}

pub fn note(text: &str) -> NewEntry {
    let kind = Kind::new("note").expect("a label");
    NewEntry::new(act(), kind, json!({ "text": text })).expect("not the log's own kind")
}

impl Desk {
    /// A log with its opening entry and `notes` more, one a command, signed by desk 7.
    pub fn with_notes(notes: usize) -> Desk {
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("log.sqlite");
        let mut log = Log::create(&path, key(7), act()).expect("made");
        for number in 1..=notes {
            append(&mut log, &format!("c-{number}"), &[note(&format!("note {number}"))]);
        }
        let path = log.reader().path().to_owned();
        Desk { folder, path }
    }

    pub fn open(&self) -> Log {
        Log::open(&self.path, key(7)).expect("opened")
    }

    pub fn reader(&self) -> Reader {
        Reader::open(&self.path).expect("opened")
    }

    /// Removes the head that is kept beside the log, as somebody who cuts the log would.
    pub fn forget_head(&self) {
        let mut head = self.path.as_os_str().to_owned();
        head.push(".head");
        std::fs::remove_file(head).expect("removed");
    }

    /// The log as it lies there, to be verified.
    pub fn unverified(&self) -> Unverified {
        Unverified::open(&self.path).expect("opened")
    }

    pub fn head(&self) -> Head {
        self.reader().head(&key(7)).expect("signed")
    }

    /// Changes the file behind the log's back, as somebody with a database tool would.
    pub fn tamper(&self, sql: &str) {
        tamper(&self.path, sql);
    }

    /// What `verify` says, in words.
    pub fn verdict(&self, trust: &Trust, head: Option<&Head>) -> String {
        match verify(&self.unverified(), trust, head) {
            Ok(Verdict::Whole(verified)) => format!("whole, {} entries", verified.tip.entries),
            Ok(Verdict::Broken(broken)) => broken.to_string(),
            Err(error) => error.to_string(),
        }
    }
}

/// An entry with this body that no log holds, as one that was read.
pub fn entry(kind: &str, body: Value) -> Entry {
    let kind = Kind::new(kind).expect("a label");
    Entry { kind, act: act(), command: command("c-1"), blobs: vec![], number: None, body }
}

/// The entry of a line of a golden file: its kind and its body.
pub fn golden_entry(line: &str) -> Entry {
    let line: Value = serde_json::from_str(line).expect("a line is JSON");
    entry(line["kind"].as_str().expect("a kind"), line["body"].clone())
}

/// An entry as a line of a golden file: kind and body, without the salts of its texts.
pub fn golden_line(entry: &Entry) -> String {
    let mut line = json!({"kind": entry.kind.as_str(), "body": entry.body}).to_string();
    for blob in &entry.blobs {
        line = line.replace(&blob.to_string(), &"0".repeat(64));
    }
    let line = canonical::bytes(&serde_json::from_str(&line).expect("JSON")).expect("spelt");
    String::from_utf8(line).expect("UTF-8") + "\n"
}

/// Appends after whatever the head is.
pub fn append(log: &mut Log, text: &str, new: &[NewEntry]) -> Appended {
    let head = head(log);
    log.append(head, &command(text), new).expect("appended")
}

pub fn head(log: &Log) -> Hash {
    log.reader().tip().expect("read").head
}

/// Changes a log's file with a database tool. The triggers that keep entries from being changed are taken away and put
/// back, as somebody would do who does not want to be seen.
pub fn tamper(log: &Path, sql: &str) {
    let raw = Connection::open(log).expect("opened");
    let triggers = "SELECT name, sql FROM sqlite_schema WHERE type = 'trigger'";
    let mut query = raw.prepare(triggers).expect("read");
    let triggers = query.query_map((), |row| Ok((row.get(0)?, row.get(1)?))).expect("read");
    let triggers: Vec<(String, String)> = triggers.collect::<Result<_, _>>().expect("read");
    drop(query);
    raw.execute_batch("PRAGMA foreign_keys = OFF; PRAGMA ignore_check_constraints = ON;").expect("freed");
    for (name, _) in &triggers {
        raw.execute_batch(&format!("DROP TRIGGER {name}")).expect("dropped");
    }
    raw.execute_batch(sql).expect(sql);
    for (_, text) in &triggers {
        raw.execute_batch(text).expect("put back");
    }
}
