//! The head that is kept beside a log: what it shows that the chain cannot, and that it lets no forgery pass.

use log::chain::entry::NewEntry;
use log::chain::hash;
use log::chain::hash::Hash;
use log::chain::sign::Key;
use log::store::log::Log;
use log::store::reader::Reader;
use log::store::verify::Trust;
use rusqlite::Connection;
use sha2::{Digest as _, Sha256};
use std::fs;
use std::path::{Path, PathBuf};
use testing::forged::{self, FORGERIES};
use testing::logs::{Desk, act, append, key, note};

fn with_suffix(path: &Path, suffix: &str) -> PathBuf {
    let mut name = path.as_os_str().to_owned();
    name.push(suffix);
    PathBuf::from(name)
}

fn head_file(desk: &Desk) -> PathBuf {
    with_suffix(&desk.path, ".head")
}

fn kept(desk: &Desk) -> serde_json::Value {
    serde_json::from_str(&fs::read_to_string(head_file(desk)).expect("kept")).expect("JSON")
}

/// Why opening is refused, for reading and for writing; nothing where it opens.
fn refusals(desk: &Desk) -> [String; 2] {
    let read = Reader::open(&desk.path).map(|_| ());
    let written = Log::open(&desk.path, key(7)).map(|_| ());
    [read, written].map(|opened| opened.map_or_else(|error| error.to_string(), |()| String::new()))
}

fn assert_refused(desk: &Desk, says: &str) {
    let refused = format!("the log {} is broken: {says}", desk.path.display());
    assert_eq!(refusals(desk), [refused.clone(), refused]);
    assert_eq!(desk.verdict(&Trust::OwnKeys, None), says);
}

#[test]
fn a_desk_keeps_a_signed_head_after_each_act() {
    let desk = Desk::with_notes(0);
    let mut log = desk.open();
    for number in 1..=3 {
        append(&mut log, &format!("c-{number}"), &[note("a"), note("b")]);
        let (tip, kept) = (log.reader().tip().expect("read"), kept(&desk));
        assert_eq!(kept["entries"], tip.entries);
        assert_eq!(kept["head"], tip.head.to_string());
        assert_eq!(kept["log"], log.reader().id().to_string());
        assert_eq!(kept["public"], key(7).public().to_string());
    }
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt as _;
        let mode = fs::metadata(head_file(&desk)).expect("there").permissions().mode();
        assert_eq!(mode & 0o777, 0o600, "it is its owner's alone");
    }
}

// PROPERTY: a log that ends before the head beside it, or is another there, is opened by nobody
#[test]
fn a_log_that_ends_before_its_head_is_opened_by_nobody() {
    for (sql, says) in [
        (
            "DELETE FROM entries WHERE seq >= 5",
            "entry 5 and all after it were cut off: the head kept beside the log counts 6",
        ),
        (
            "DELETE FROM entries WHERE seq = 6",
            "entry 6 and all after it were cut off: the head kept beside the log counts 6",
        ),
        ("DELETE FROM entries", "entry 1 was removed"),
    ] {
        let desk = Desk::with_notes(5);
        desk.tamper(sql);
        assert_refused(&desk, says);
    }
}

/// The tail is cut, written anew with the desk's own key, and the head put back.
// PROPERTY: a log that ends before the head beside it, or is another there, is opened by nobody
#[test]
fn a_log_that_is_another_at_its_head_is_opened_by_nobody() {
    let desk = Desk::with_notes(5);
    let head = fs::read(head_file(&desk)).expect("kept");
    desk.tamper("DELETE FROM entries WHERE seq = 6");
    fs::remove_file(head_file(&desk)).expect("removed");
    append(&mut desk.open(), "c-5", &[note("another note")]);
    fs::write(head_file(&desk), head).expect("put back");
    assert_refused(&desk, "entry 6 was rewritten: it is not the one of the head kept beside the log");
}

/// The files as they lie while the desk runs, and what is taken away or put back.
// PROPERTY: lost acts are distinguished from a head not yet written
#[test]
fn lost_acts_are_told_from_a_head_that_was_not_written_yet() {
    let desk = Desk::with_notes(2);
    let earlier = fs::read(&desk.path).expect("read");
    let earlier_head = fs::read(head_file(&desk)).expect("read");
    let mut log = desk.open();
    for number in 3..=5 {
        append(&mut log, &format!("c-{number}"), &[note("more")]);
    }
    let later_head = fs::read(head_file(&desk)).expect("read");
    let (database, wal) = (fs::read(&desk.path), fs::read(with_suffix(&desk.path, "-wal")));
    let (database, wal) = (database.expect("read"), wal.expect("the desk runs"));
    drop(log);
    let merged = fs::read(&desk.path).expect("read");
    let mut flipped = wal.clone();
    let last = flipped.len() - 100;
    flipped[last] ^= 1;
    let cut = |from: u64| {
        Some(format!("entry {from} and all after it were cut off: the head kept beside the log counts 6"))
    };
    type Bytes<'a> = Option<&'a [u8]>;
    // The name, the database, its write-ahead file, its head, what is said.
    type Case<'a> = (&'a str, &'a [u8], Bytes<'a>, Bytes<'a>, Option<String>);
    let cases: [Case<'_>; 9] = [
        ("all of it", &merged, None, Some(&later_head), None),
        ("while the desk runs", &database, Some(&wal), Some(&later_head), None),
        ("copied alone", &merged, None, None, None),
        ("killed between the act and its head", &database, Some(&wal), Some(&earlier_head), None),
        ("an older backup of both", &earlier, None, Some(&earlier_head), None),
        ("an older backup of the log", &earlier, None, Some(&later_head), cut(4)),
        ("an older backup, and the head removed", &earlier, None, None, None),
        ("the write-ahead file removed", &database, None, Some(&later_head), cut(4)),
        ("the last of the write-ahead file flipped", &database, Some(&flipped), Some(&later_head), cut(6)),
    ];
    for (name, database, wal, head, says) in cases {
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().canonicalize().expect("there").join("log.sqlite");
        fs::write(&path, database).expect("written");
        for (suffix, bytes) in [("-wal", wal), (".head", head)] {
            bytes.inspect(|bytes| fs::write(with_suffix(&path, suffix), bytes).expect("written"));
        }
        let desk = Desk { folder, path };
        match says {
            Some(says) => assert_refused(&desk, &says),
            None => assert_eq!(refusals(&desk), ["", ""], "{name}"),
        }
    }
}

/// Heads that count for nothing: the log opens as before, and the next act puts a head in their place. What a link leads
/// to is neither read nor written.
#[test]
fn what_is_no_head_of_the_log_counts_for_nothing_and_is_replaced() {
    let other = Desk::with_notes(9);
    let other = fs::read_to_string(head_file(&other)).expect("kept");
    let (sound, elsewhere) = (Desk::with_notes(9), tempfile::tempdir().expect("a folder"));
    let target = elsewhere.path().join("minutes");
    let counted =
        |from: &str, to: &str| fs::read_to_string(head_file(&sound)).expect("kept").replace(from, to);
    let texts = [
        String::new(),
        "{".to_owned(),
        other,
        counted("\"entries\": 10", "\"entries\": 99"),
        counted("\"seals\": \"", "\"seals\": \"0"),
        counted("{", "{\"more\": 1,"),
        "x".repeat(100_000),
    ];
    for text in &texts {
        let desk = Desk::with_notes(3);
        fs::write(head_file(&desk), text).expect("written");
        assert_eq!(refusals(&desk)[0], "", "{text:.60}");
        append(&mut desk.open(), "next", &[note("next")]);
        assert_eq!(kept(&desk)["entries"], 5, "{text:.60}");
    }
    #[cfg(unix)]
    {
        let desk = Desk::with_notes(3);
        fs::write(&target, fs::read(head_file(&desk)).expect("kept")).expect("written");
        let before = fs::read(&target).expect("read");
        fs::remove_file(head_file(&desk)).expect("removed");
        std::os::unix::fs::symlink(&target, head_file(&desk)).expect("linked");
        std::os::unix::fs::symlink(&target, with_suffix(&desk.path, ".head.new")).expect("linked");
        assert_eq!(refusals(&desk)[0], "");
        append(&mut desk.open(), "next", &[note("next")]);
        assert_eq!(kept(&desk)["entries"], 5);
        assert_eq!(fs::read(&target).expect("read"), before, "nothing was written through a link");
        assert!(fs::symlink_metadata(head_file(&desk)).expect("there").is_file());
    }
}

// PROPERTY: a head that cannot be written loses no act
#[test]
fn a_head_that_cannot_be_written_loses_no_act() {
    let desk = Desk::with_notes(1);
    let mut log = desk.open();
    fs::remove_file(head_file(&desk)).expect("removed");
    fs::create_dir_all(head_file(&desk).join("in the way")).expect("made");
    append(&mut log, "c-2", &[note("kept all the same")]);
    assert_eq!(log.reader().tip().expect("read").entries, 3);
    drop(log);
    assert_eq!(refusals(&desk), ["", ""]);
    assert_eq!(desk.verdict(&Trust::OwnKeys, None), "whole, 3 entries");
}

#[test]
fn a_log_that_is_gone_is_not_made_anew_beside_its_head() {
    let desk = Desk::with_notes(2);
    fs::remove_file(&desk.path).expect("removed");
    let refused = Log::create(&desk.path, key(7), act()).expect_err("gone").to_string();
    assert_eq!(
        refused,
        format!(
            "there was a log at {} with 3 entries, and it is gone: only its head is there",
            desk.path.display()
        )
    );
    assert!(!desk.path.exists());
}

/// Every head that the desk kept on its way, beside every forgery of the log that it became.
// PROPERTY: no head passes a forgery off: neither one of the log's own, nor one by another key
#[test]
fn no_head_of_the_log_passes_a_forgery_off() {
    for forgery in FORGERIES {
        let mut heads = Vec::new();
        let desk = forged::grown(|path| heads.push(fs::read(with_suffix(path, ".head")).expect("kept")));
        assert_eq!(heads.len(), 10, "one after each entry");
        desk.tamper(&forgery.sql());
        let says = format!("the log {} is broken: {}", desk.path.display(), forgery.says());
        for (before, head) in heads.iter().enumerate() {
            fs::write(head_file(&desk), head).expect("written");
            let entries = before + 1;
            let name = forgery.name;
            assert_eq!(
                refusals(&desk),
                [says.clone(), says.clone()],
                "{name}, with the head after entry {entries}"
            );
        }
    }
}

struct Row {
    bytes: Vec<u8>,
    hash: Hash,
    signature: Vec<u8>,
    key: String,
}

/// Writes the chain anew from `from` on, with other bytes in the entry of that number. Signatures stay as they are.
fn rewrite(desk: &Desk, from: i64, bytes: impl Fn(&str) -> String) {
    let id = desk.reader().id();
    let (mut previous, mut sql) = (Hash::NONE, String::new());
    for (seq, row) in (1..).zip(rows(&Connection::open(&desk.path).expect("opened"))) {
        let text = String::from_utf8(row.bytes).expect("JSON");
        let bytes = if seq == from { bytes(&text) } else { text };
        let hash = hash::entry_hash(&id, &previous, bytes.as_bytes());
        sql += &format!(
            "UPDATE entries SET bytes = CAST('{bytes}' AS BLOB), hash = x'{hash}', previous = x'{previous}'
             WHERE seq = {seq};"
        );
        previous = hash;
    }
    desk.tamper(&sql);
}

fn rows(raw: &Connection) -> Vec<Row> {
    let mut query =
        raw.prepare("SELECT bytes, hash, signature, key FROM entries ORDER BY seq").expect("sound");
    let read = |row: &rusqlite::Row<'_>| {
        let hash = Hash::from(row.get::<_, [u8; 32]>(1)?);
        Ok(Row { bytes: row.get(0)?, hash, signature: row.get(2)?, key: row.get(3)? })
    };
    query.query_map((), read).expect("sound").map(|row| row.expect("read")).collect()
}

/// The head that `signer` would keep of the log as it lies there, as `docs/log.md` describes it.
fn head_by(desk: &Desk, log: &str, signer: &Key) -> String {
    let raw = Connection::open(&desk.path).expect("opened");
    let rows = rows(&raw);
    let mut seals = Sha256::new_with_prefix(b"tellframe log seals 1\n");
    for row in &rows {
        seals.update(&row.signature);
        seals.update((row.key.len() as u64).to_be_bytes());
        seals.update(&row.key);
    }
    let seals = Hash::from(<[u8; 32]>::from(seals.finalize()));
    let (entries, newest) = (rows.len() as u64, rows.last().expect("an entry").hash);
    let id: [u8; 16] = raw.query_row("SELECT id FROM log", (), |row| row.get(0)).expect("there");
    let message = [
        b"tellframe kept head 1\n".as_slice(),
        &id,
        &entries.to_be_bytes(),
        newest.as_bytes(),
        seals.as_bytes(),
    ]
    .concat();
    serde_json::json!({
        "log": log, "entries": entries, "head": newest.to_string(), "seals": seals.to_string(),
        "signature": signer.sign(&message).to_string(), "key": signer.id().to_string(),
        "public": signer.public().to_string(),
    })
    .to_string()
}

#[test]
fn a_head_is_what_its_description_says() {
    let desk = Desk::with_notes(3);
    let id = desk.reader().id().to_string();
    let described: serde_json::Value = serde_json::from_str(&head_by(&desk, &id, &key(7))).expect("JSON");
    assert_eq!(kept(&desk), described);
}

// PROPERTY: no head passes a forgery off: neither one of the log's own, nor one by another key
#[test]
fn a_head_by_a_key_that_is_not_the_logs_own_passes_nothing_off() {
    // Another text in an entry, and the chain after it computed anew.
    let desk = Desk::with_notes(5);
    let id = desk.reader().id().to_string();
    rewrite(&desk, 3, |text| text.replace("note 2", "nope 2"));
    fs::write(head_file(&desk), head_by(&desk, &id, &key(66))).expect("written");
    let says = format!("entry 3 has a bad signature: it is not that of the key {}", key(7).id());
    assert_refused(&desk, &says);

    // Entries that bring the forger's own key into the log, signed by nobody else.
    let scratch = Desk::with_notes(0);
    let added = NewEntry::key_added(act(), key(66).public()).expect("a label");
    append(&mut scratch.open(), "add", &[added]);
    let bytes = scratch.reader().entries(2).expect("read").remove(0).bytes;
    let desk = Desk::with_notes(5);
    let (reader, forger) = (desk.reader(), key(66));
    let (tip, id) = (reader.tip().expect("read"), reader.id());
    let hash = hash::entry_hash(&id, &tip.head, &bytes);
    desk.tamper(&format!(
        "INSERT INTO entries VALUES (7, x'{hash}', x'{}', CAST('{}' AS BLOB), x'{}', '{}', 'add');
         INSERT INTO keys VALUES ('{}', x'{}', 7);",
        tip.head,
        String::from_utf8(bytes).expect("JSON"),
        forger.sign(hash.as_bytes()),
        forger.id(),
        forger.id(),
        forger.public(),
    ));
    fs::write(head_file(&desk), head_by(&desk, &id.to_string(), &forger)).expect("written");
    assert_refused(
        &desk,
        &format!("entry 7 is signed by another key: {} is not one of the log's", forger.id()),
    );
}

/// A head vouches for what it was signed over. What was appended since, by whomever, is verified by signatures.
#[test]
fn entries_after_the_head_are_verified_by_their_signatures() {
    let desk = Desk::with_notes(5);
    let tip = desk.reader().tip().expect("read");
    let bytes = br#"{"command":"c-9","form":3,"seen by":"two officials"}"#;
    let hash = hash::entry_hash(&desk.reader().id(), &tip.head, bytes);
    let hex: String = bytes.iter().map(|byte| format!("{byte:02x}")).collect();
    let insert = |signer: &Key| {
        format!(
            "INSERT INTO entries VALUES (7, x'{hash}', x'{}', x'{hex}', x'{}', '{}', 'c-9')",
            tip.head,
            signer.sign(hash.as_bytes()),
            key(7).id(),
        )
    };
    desk.tamper(&insert(&key(66)));
    let says = format!("entry 7 has a bad signature: it is not that of the key {}", key(7).id());
    assert_refused(&desk, &says);
    desk.tamper(&format!("DELETE FROM entries WHERE seq = 7; {}", insert(&key(7))));
    assert_eq!(refusals(&desk), ["", ""]);
}
