//! A log with something of everything in it, and every way to forge it with a database tool. Bytes and hash changed
//! together need a key to sign with: `src/log/tests/verify.rs` has those.

use crate::logs::{Desk, act, append, key, note, rules};
use log::chain::blob::Blob;
use log::chain::entry::NewEntry;
use log::exchange::import::import;
use log::exchange::jsonl;
use log::store::log::Log;
use serde_json::json;
use std::collections::BTreeSet;
use std::io::BufReader;
use std::path::Path;

/// One way to forge the log of [`desk`].
pub struct Forgery {
    pub name: &'static str,
    /// `{key}`, `{text}`, `{gone}` and `{edition}` stand for names of the log.
    sql: &'static str,
    /// The message, with the same names.
    says: &'static str,
}

impl Forgery {
    /// The SQL, with the names of the log filled in.
    pub fn sql(&self) -> String {
        named(self.sql)
    }

    /// The message, with the names of the log filled in.
    pub fn says(&self) -> String {
        named(self.says)
    }
}

fn named(text: &str) -> String {
    text.replace("{key}", key(7).id().as_str())
        .replace("{text}", &self::text().hash().to_string())
        .replace("{gone}", &gone().hash().to_string())
        .replace("{edition}", &rules().hash().to_string())
}

fn text() -> Blob {
    Blob::salted([1; 32], b"kept".to_vec())
}

fn gone() -> Blob {
    Blob::salted([2; 32], b"gone".to_vec())
}

/// 1 opened, 2 a text, 3 an edition, 4 a text, 5 that text erased, 6 another desk's key, 7 an imported record, 8 to 10
/// notes.
pub fn desk() -> Desk {
    grown(|_| {})
}

/// The same; `each` is called after each entry with the log's path.
pub fn grown(mut each: impl FnMut(&Path)) -> Desk {
    let desk = Desk::with_notes(0);
    let mut log = desk.open();
    each(&desk.path);
    let mut step = |log: &mut Log, command: &str, new: &[NewEntry]| {
        if !new.is_empty() {
            append(log, command, new);
        }
        each(&desk.path);
    };
    step(&mut log, "c-1", &[note("note 1").with_blob(text())]);
    step(&mut log, "c-2", &[NewEntry::edition_stored(act(), &rules()).expect("a label")]);
    step(&mut log, "c-3", &[note("note 3").with_blob(gone())]);
    step(&mut log, "c-4", &[NewEntry::erased(act(), gone().hash()).expect("a label")]);
    step(&mut log, "c-5", &[NewEntry::key_added(act(), key(8).public()).expect("a label")]);
    let record = json!({"id": "x-1", "edition": "ab", "tree": "t", "call": "c", "answers": {}, "outcome": "stands",
        "called_at": "2026-05-09T19:42:11.204Z", "duration_s": 61.0});
    let lines = jsonl::read("records", BufReader::new(record.to_string().as_bytes())).expect("a record");
    import(&mut log, &act(), &BTreeSet::new(), &lines).expect("imported");
    step(&mut log, "import", &[]);
    for number in 7..=9 {
        step(&mut log, &format!("c-{number}"), &[note(&format!("note {number}"))]);
    }
    assert_eq!(log.reader().tip().expect("read").entries, 10);
    desk
}

/// Every way to forge the log of [`desk`].
pub const FORGERIES: &[Forgery] = &[
    Forgery {
        name: "the bytes",
        sql: "UPDATE entries SET bytes = CAST(replace(CAST(bytes AS TEXT), 'note 7', 'note 6') AS BLOB) \
              WHERE seq = 8",
        says: "entry 8 was changed: its hash is not that of its bytes",
    },
    Forgery {
        name: "the hash",
        sql: "UPDATE entries SET hash = zeroblob(32) WHERE seq = 4",
        says: "entry 4 was changed: its hash is not that of its bytes",
    },
    Forgery {
        name: "the hash before",
        sql: "UPDATE entries SET previous = zeroblob(32) WHERE seq = 9",
        says: "entry 9 was changed: it does not name the entry before it",
    },
    Forgery {
        name: "another entry in its place",
        sql: "UPDATE entries SET bytes = (SELECT bytes FROM entries WHERE seq = 8), \
              hash = (SELECT hash FROM entries WHERE seq = 8), previous = (SELECT previous FROM entries WHERE seq = 8) \
              WHERE seq = 9",
        says: "entry 9 was inserted: another entry follows entry 8",
    },
    Forgery {
        name: "an entry is removed",
        sql: "DELETE FROM entries WHERE seq = 9",
        says: "entry 9 was removed",
    },
    Forgery {
        name: "two entries are swapped",
        sql: "UPDATE entries SET seq = 99 WHERE seq = 8; UPDATE entries SET seq = 8 WHERE seq = 9; \
              UPDATE entries SET seq = 9 WHERE seq = 99",
        says: "entry 8 was moved: another entry stands in its place",
    },
    Forgery {
        name: "an entry is inserted",
        sql: "UPDATE entries SET seq = -seq WHERE seq >= 4; UPDATE entries SET seq = 1 - seq WHERE seq < 0; \
              INSERT INTO entries SELECT 4, hash, previous, bytes, signature, key, command FROM entries WHERE seq = 2",
        says: "entry 4 was inserted: another entry follows entry 3",
    },
    Forgery {
        name: "an entry before the first",
        sql: "INSERT INTO entries SELECT 0, hash, previous, bytes, signature, key, command FROM entries WHERE seq = 2",
        says: "entry 0 was inserted: another entry follows entry 0",
    },
    Forgery {
        name: "the number",
        sql: "UPDATE entries SET seq = 12 WHERE seq = 10",
        says: "entry 10 was changed: it stands under another number",
    },
    Forgery {
        name: "the signature",
        sql: "UPDATE entries SET signature = zeroblob(64) WHERE seq = 8",
        says: "entry 8 has a bad signature: it is not that of the key {key}",
    },
    Forgery {
        name: "the name of the key",
        sql: "UPDATE entries SET key = 'ffffffffffffffff' WHERE seq = 8",
        says: "entry 8 was changed: it names another key than the one that signed it",
    },
    Forgery {
        name: "the command",
        sql: "UPDATE entries SET command = 'c-66' WHERE seq = 8",
        says: "entry 8 was changed: its command is not the one in its bytes",
    },
    Forgery {
        name: "a length that is never written",
        sql: "UPDATE entries SET hash = x'00' WHERE seq = 8",
        says: "entry 8 was changed: a part of it has a length that is never written",
    },
    Forgery {
        name: "a text",
        sql: "UPDATE blobs SET bytes = CAST('kepd' AS BLOB)",
        says: "entry 2 is not borne out: the text or still {text} was changed",
    },
    Forgery {
        name: "a text is removed",
        sql: "DELETE FROM blobs",
        says: "entry 2 is not borne out: the text or still {text} is missing and was not erased",
    },
    Forgery {
        name: "an erased text comes back",
        sql: "INSERT INTO blobs SELECT x'{gone}', x'0202020202020202020202020202020202020202020202020202020202020202', \
              CAST('gone' AS BLOB), 4",
        says: "entry 5 is not borne out: the text or still {gone} was erased and is there",
    },
    Forgery {
        name: "an edition",
        sql: "UPDATE editions SET text = 'another book'",
        says: "entry 3 is not borne out: the edition {edition} was changed",
    },
    Forgery {
        name: "an edition is removed",
        sql: "DELETE FROM editions",
        says: "entry 3 is not borne out: the edition {edition} is missing",
    },
    Forgery {
        name: "a key",
        sql: "UPDATE keys SET public = zeroblob(32) WHERE entry = 6",
        says: "entry 6 is not borne out: the table `keys` does not agree with it",
    },
    Forgery {
        name: "a key is added to the table",
        sql: "INSERT INTO keys VALUES ('00', zeroblob(32), 9)",
        says: "entry 9 is not borne out: the table `keys` does not agree with it",
    },
    Forgery {
        name: "an imported row",
        sql: "UPDATE imported SET record = 'x-2'",
        says: "entry 7 is not borne out: the table `imported` does not agree with it",
    },
    Forgery {
        name: "an imported row is added",
        sql: "INSERT INTO imported VALUES ('x-9', 9)",
        says: "entry 9 is not borne out: the table `imported` does not agree with it",
    },
];
