//! Every way to tamper with a log by a database tool, and the first bad entry that `verify` names.
//!
//! Not tested, because the log alone cannot show it: a log written anew from its first entry with
//! another key. `trusted_keys_show_a_log_that_was_written_anew` shows what sees it.

use log::chain::blob::Blob;
use log::chain::entry::NewEntry;
use log::chain::hash;
use log::chain::hash::Hash;
use log::chain::sign::Key;
use log::store::log::Log;
use log::store::verify::{Trust, Verdict, verify};
use testing::logs::{Desk, act, append, key, note, rules};

/// Tampers with a log of an opening entry and five notes.
fn after(sql: &str) -> String {
    let desk = Desk::with_notes(5);
    desk.tamper(sql);
    desk.verdict(&Trust::OwnKeys, None)
}

const COPY: &str = "SELECT hash, previous, bytes, signature, key, command FROM entries";

#[test]
fn a_whole_log_is_said_to_be_whole() {
    let desk = Desk::with_notes(5);
    let verdict = verify(&desk.unverified(), &Trust::OwnKeys, Some(&desk.head())).expect("read");
    let Verdict::Whole(verified) = verdict else { panic!("{verdict:?}") };
    assert_eq!(verified.tip, desk.reader().tip().expect("read"));
    assert_eq!(verified.keys, [key(7).public()]);
}

#[test]
fn a_changed_entry_is_named() {
    let table = [
        (
            "UPDATE entries SET bytes = CAST(replace(CAST(bytes AS TEXT), 'note 3', 'note 9') AS BLOB)
             WHERE seq = 4",
            "entry 4 was changed: its hash is not that of its bytes",
        ),
        (
            "UPDATE entries SET hash = zeroblob(32) WHERE seq = 4",
            "entry 4 was changed: its hash is not that of its bytes",
        ),
        (
            "UPDATE entries SET previous = zeroblob(32) WHERE seq = 4",
            "entry 4 was changed: it does not name the entry before it",
        ),
        (
            "UPDATE entries SET key = 'ffffffffffffffff' WHERE seq = 4",
            "entry 4 was changed: it names another key than the one that signed it",
        ),
        (
            "UPDATE entries SET command = 'c-9' WHERE seq = 4",
            "entry 4 was changed: its command is not the one in its bytes",
        ),
        (
            "UPDATE entries SET hash = x'00' WHERE seq = 4",
            "entry 4 was changed: a part of it has a length that is never written",
        ),
        ("UPDATE entries SET seq = 9 WHERE seq = 6", "entry 6 was changed: it stands under another number"),
    ];
    for (sql, says) in table {
        assert_eq!(after(sql), says, "{sql}");
    }
}

#[test]
fn a_bad_signature_is_named_with_its_key() {
    let says = format!("entry 4 has a bad signature: it is not that of the key {}", key(7).id());
    assert_eq!(after("UPDATE entries SET signature = zeroblob(64) WHERE seq = 4"), says);
    let borrowed =
        "UPDATE entries SET signature = (SELECT signature FROM entries WHERE seq = 3) WHERE seq = 4";
    assert_eq!(after(borrowed), says);
}

#[test]
fn a_removed_entry_is_named() {
    let table = [
        ("DELETE FROM entries WHERE seq = 4", "entry 4 was removed"),
        ("DELETE FROM entries WHERE seq IN (3, 4)", "entry 3 was removed"),
        ("DELETE FROM entries WHERE seq = 1", "entry 1 was removed"),
        ("DELETE FROM entries", "entry 1 was removed"),
        // The rest is renumbered, so that the numbers have no gap.
        (
            "DELETE FROM entries WHERE seq = 3;
             UPDATE entries SET seq = 3 WHERE seq = 4; UPDATE entries SET seq = 4 WHERE seq = 5;
             UPDATE entries SET seq = 5 WHERE seq = 6;",
            "entry 3 was removed",
        ),
    ];
    for (sql, says) in table {
        assert_eq!(after(sql), says, "{sql}");
    }
}

#[test]
fn a_moved_entry_is_named() {
    let table = [
        (
            "UPDATE entries SET seq = 99 WHERE seq = 3; UPDATE entries SET seq = 3 WHERE seq = 4;
             UPDATE entries SET seq = 4 WHERE seq = 99;",
            "entry 3 was moved: another entry stands in its place",
        ),
        ("UPDATE entries SET seq = 7 WHERE seq = 3", "entry 3 was moved: another entry stands in its place"),
        (
            "UPDATE entries SET seq = 99 WHERE seq = 1; UPDATE entries SET seq = 1 WHERE seq = 2;
             UPDATE entries SET seq = 2 WHERE seq = 99;",
            "entry 1 was moved: another entry stands in its place",
        ),
    ];
    for (sql, says) in table {
        assert_eq!(after(sql), says, "{sql}");
    }
}

#[test]
fn a_copied_entry_is_named_as_inserted() {
    let shift =
        "UPDATE entries SET seq = -seq WHERE seq >= 4; UPDATE entries SET seq = 1 - seq WHERE seq < 0;";
    let says = "entry 4 was inserted: another entry follows entry 3";
    for original in [2, 6] {
        let sql = format!("{shift} INSERT INTO entries SELECT 4, * FROM ({COPY} WHERE seq = {original});");
        assert_eq!(after(&sql), says, "{sql}");
    }
    let below = format!("INSERT INTO entries SELECT 0, * FROM ({COPY} WHERE seq = 2)");
    assert_eq!(after(&below), "entry 0 was inserted: another entry follows entry 0");
}

/// The SQL for an entry at `seq` that follows `previous`, rightly hashed, signed by `key`.
fn forged(desk: &Desk, seq: u64, previous: Hash, key: &Key) -> String {
    let original = desk.reader().entries(seq.min(6)).expect("read").remove(0);
    let text = String::from_utf8(original.bytes).expect("JSON").replace("note", "nope");
    let hash = hash::entry_hash(&desk.reader().id(), &previous, text.as_bytes());
    let (signature, id) = (key.sign(hash.as_bytes()), key.id());
    let command = original_command(&text);
    format!(
        "INSERT INTO entries VALUES ({seq}, x'{hash}', x'{previous}', CAST('{text}' AS BLOB), \
         x'{signature}', '{id}', '{command}');"
    )
}

fn original_command(text: &str) -> String {
    let value: serde_json::Value = serde_json::from_str(text).expect("JSON");
    value["command"].as_str().expect("a text").to_owned()
}

fn hash_of(desk: &Desk, seq: u64) -> Hash {
    desk.reader().entries(seq).expect("read").remove(0).hash
}

const SHIFT: &str =
    "UPDATE entries SET seq = -seq WHERE seq >= 4; UPDATE entries SET seq = 1 - seq WHERE seq < 0;";

/// Even with the stolen key of the desk: the entry after it still follows the one before it.
#[test]
fn an_inserted_entry_is_named_whoever_signed_it() {
    for signer in [key(7), key(66)] {
        let desk = Desk::with_notes(5);
        let insert = forged(&desk, 4, hash_of(&desk, 3), &signer);
        desk.tamper(&format!("{SHIFT} {insert}"));
        assert_eq!(
            desk.verdict(&Trust::OwnKeys, None),
            "entry 4 was inserted: another entry follows entry 3",
            "{signer:?}"
        );
    }
}

#[test]
fn an_entry_that_follows_an_early_one_is_named_as_inserted() {
    let desk = Desk::with_notes(5);
    let insert = forged(&desk, 4, hash_of(&desk, 1), &key(7));
    desk.tamper(&format!("{SHIFT} {insert}"));
    assert_eq!(desk.verdict(&Trust::OwnKeys, None), "entry 4 was inserted: another entry follows entry 3");
}

/// Two that follow each other, both signed with the stolen key: the first of them is named.
#[test]
fn the_first_of_several_inserted_entries_is_named() {
    let desk = Desk::with_notes(5);
    let previous = hash_of(&desk, 3);
    let first = forged(&desk, 4, previous, &key(7));
    let hash = first.split("x'").nth(1).and_then(|rest| rest.get(..64)).expect("the hash comes first");
    let second = forged(&desk, 5, hash.parse().expect("a hash"), &key(7));
    let shift =
        "UPDATE entries SET seq = -seq WHERE seq >= 4; UPDATE entries SET seq = 2 - seq WHERE seq < 0;";
    desk.tamper(&format!("{shift} {first} {second}"));
    assert_eq!(desk.verdict(&Trust::OwnKeys, None), "entry 4 was inserted: another entry follows entry 3");
}

#[test]
fn an_entry_by_another_key_is_named_with_the_key() {
    let desk = Desk::with_notes(5);
    let appended = forged(&desk, 7, hash_of(&desk, 6), &key(66));
    desk.tamper(&appended);
    let says = format!("entry 7 is signed by another key: {} is not one of the log's", key(66).id());
    assert_eq!(desk.verdict(&Trust::OwnKeys, None), says);

    // The newest entry is replaced.
    let desk = Desk::with_notes(5);
    let replaced = forged(&desk, 6, hash_of(&desk, 5), &key(66));
    desk.tamper(&format!("DELETE FROM entries WHERE seq = 6; {replaced}"));
    let says = format!("entry 6 is signed by another key: {} is not one of the log's", key(66).id());
    assert_eq!(desk.verdict(&Trust::OwnKeys, None), says);
}

#[test]
fn bytes_and_hash_changed_together_are_told_from_a_bad_signature() {
    let desk = Desk::with_notes(5);
    let replaced = forged(&desk, 4, hash_of(&desk, 3), &key(66));
    desk.tamper(&format!(
        "DELETE FROM entries WHERE seq = 4; {replaced} UPDATE entries SET key = '{}' WHERE seq = 4;",
        key(7).id()
    ));
    assert_eq!(
        desk.verdict(&Trust::OwnKeys, None),
        "entry 4 was changed: the next entry does not follow its hash"
    );
}

#[test]
fn a_key_may_sign_only_after_it_was_added() {
    let desk = Desk::with_notes(5);
    let added = NewEntry::key_added(act(), key(8).public()).expect("a label");
    append(&mut desk.open(), "add", &[added]);
    let mut other = Log::open(&desk.path, key(8)).expect("known");
    append(&mut other, "c-8", &[note("by desk 8")]);
    drop(other);
    assert_eq!(desk.verdict(&Trust::OwnKeys, None), "whole, 8 entries");
    let only = Trust::Only(vec![key(7).public()]);
    let says = format!("entry 8 is signed by another key: {} is not one of the log's", key(8).id());
    assert_eq!(desk.verdict(&only, None), says);
}

#[test]
fn trusted_keys_show_a_log_that_was_written_anew() {
    let desk = Desk::with_notes(5);
    assert_eq!(desk.verdict(&Trust::Only(vec![key(7).public()]), None), "whole, 6 entries");
    let says = format!("entry 1 is signed by another key: {} is not one of the log's", key(7).id());
    assert_eq!(desk.verdict(&Trust::Only(vec![key(8).public()]), None), says);
}

// PROPERTY: without a head beside it a cut tail is seen against an exported head only
#[test]
fn a_cut_tail_is_seen_against_an_exported_head_only() {
    let desk = Desk::with_notes(5);
    let head = desk.head();
    append(&mut desk.open(), "later", &[note("later")]);
    assert_eq!(desk.verdict(&Trust::OwnKeys, Some(&head)), "whole, 7 entries");
    desk.tamper("DELETE FROM entries WHERE seq >= 5");
    desk.forget_head();
    assert_eq!(desk.verdict(&Trust::OwnKeys, None), "whole, 4 entries");
    assert_eq!(
        desk.verdict(&Trust::OwnKeys, Some(&head)),
        "entry 5 and all after it were cut off: the exported head counts 6"
    );
}

/// The tail is cut and written anew with the desk's own key: consistent in itself, but not what it was.
#[test]
fn a_rewritten_tail_is_seen_against_an_exported_head() {
    let desk = Desk::with_notes(5);
    let head = desk.head();
    desk.tamper("DELETE FROM entries WHERE seq = 6");
    desk.forget_head();
    append(&mut desk.open(), "c-5", &[note("another note")]);
    assert_eq!(desk.verdict(&Trust::OwnKeys, None), "whole, 6 entries");
    assert_eq!(
        desk.verdict(&Trust::OwnKeys, Some(&head)),
        "entry 6 was rewritten: it is not the one of the exported head"
    );
}

#[test]
fn a_head_of_another_log_or_key_is_refused() {
    let (desk, other) = (Desk::with_notes(1), Desk::with_notes(1));
    assert_eq!(
        desk.verdict(&Trust::OwnKeys, Some(&other.head())),
        format!("the head is of the log {}, not of this one, {}", other.reader().id(), desk.reader().id())
    );
    let stranger = desk.reader().head(&key(66)).expect("signed");
    assert_eq!(
        desk.verdict(&Trust::OwnKeys, Some(&stranger)),
        format!("the head is signed by the key {}, which is not one of the log's", key(66).id())
    );
}

#[test]
fn entries_carried_into_another_log_are_told() {
    let desk = Desk::with_notes(1);
    desk.tamper("UPDATE log SET id = x'00112233445566778899aabbccddeeff'");
    assert_eq!(
        desk.verdict(&Trust::OwnKeys, None),
        "entry 1 does not belong to the log 00112233445566778899aabbccddeeff"
    );
}

#[test]
fn a_signed_entry_that_is_not_canonical_is_named() {
    let desk = Desk::with_notes(1);
    let (tip, id) = (desk.reader().tip().expect("read"), desk.reader().id());
    let newest = desk.reader().entries(2).expect("read").remove(0);
    let text = String::from_utf8(newest.bytes).expect("JSON").replace("\"form\":1", "\"form\": 1");
    let hash = hash::entry_hash(&id, &tip.head, text.as_bytes());
    desk.tamper(&format!(
        "INSERT INTO entries VALUES (3, x'{hash}', x'{}', CAST('{text}' AS BLOB), x'{}', '{}', 'c-1')",
        tip.head,
        key(7).sign(hash.as_bytes()),
        key(7).id()
    ));
    assert_eq!(desk.verdict(&Trust::OwnKeys, None), "entry 3 is not in its canonical spelling");
}

/// An opening entry, a note with a text, an edition, and a text that was erased.
fn with_things_beside() -> (Desk, Blob) {
    let desk = Desk::with_notes(0);
    let mut log = desk.open();
    let (kept, erased) = (Blob::salted([1; 32], b"kept".to_vec()), Blob::salted([2; 32], b"gone".to_vec()));
    append(&mut log, "c-1", &[note("a").with_blob(kept.clone())]);
    let edition = NewEntry::edition_stored(act(), &rules());
    append(&mut log, "c-2", &[edition.expect("a label")]);
    append(&mut log, "c-3", &[note("b").with_blob(erased.clone())]);
    append(&mut log, "c-4", &[NewEntry::erased(act(), erased.hash()).expect("a label")]);
    (desk, kept)
}

#[test]
fn what_lies_beside_the_chain_is_checked_against_it() {
    let (desk, kept) = with_things_beside();
    assert_eq!(desk.verdict(&Trust::OwnKeys, None), "whole, 5 entries");
    let (kept, edition) = (kept.hash(), rules().hash());
    let erased = Blob::salted([2; 32], b"gone".to_vec()).hash();
    let table = [
        (
            "UPDATE blobs SET bytes = CAST('kepd' AS BLOB)".to_owned(),
            format!("entry 2 is not borne out: the text or still {kept} was changed"),
        ),
        (
            "DELETE FROM blobs".to_owned(),
            format!("entry 2 is not borne out: the text or still {kept} is missing and was not erased"),
        ),
        (
            format!("INSERT INTO blobs SELECT x'{erased}', zeroblob(32) , CAST('x' AS BLOB), 4"),
            format!("entry 4 is not borne out: the text or still {erased} was changed"),
        ),
        (
            format!("INSERT INTO blobs SELECT x'{erased}', x'{}', CAST('gone' AS BLOB), 4", "02".repeat(32)),
            format!("entry 5 is not borne out: the text or still {erased} was erased and is there"),
        ),
        (
            "UPDATE editions SET text = 'another book'".to_owned(),
            format!("entry 3 is not borne out: the edition {edition} was changed"),
        ),
        (
            "DELETE FROM editions".to_owned(),
            format!("entry 3 is not borne out: the edition {edition} is missing"),
        ),
        (
            "UPDATE keys SET public = zeroblob(32)".to_owned(),
            "entry 1 is not borne out: the table `keys` does not agree with it".to_owned(),
        ),
        (
            "INSERT INTO keys VALUES ('00', zeroblob(32), 2)".to_owned(),
            "entry 2 is not borne out: the table `keys` does not agree with it".to_owned(),
        ),
        (
            "INSERT INTO imported VALUES ('r-1', 2)".to_owned(),
            "entry 2 is not borne out: the table `imported` does not agree with it".to_owned(),
        ),
    ];
    for (sql, says) in table {
        let (desk, _) = with_things_beside();
        desk.tamper(&sql);
        assert_eq!(desk.verdict(&Trust::OwnKeys, None), says, "{sql}");
    }
}
