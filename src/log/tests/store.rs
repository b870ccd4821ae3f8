//! Appending to a log: in order, once, after the head that was seen; and what lies beside the chain.

use log::Error;
use log::chain::blob::Blob;
use log::chain::entry::NewEntry;
use log::chain::hash::Hash;
use log::store::log::{Appended, Log};
use log::store::reader::Reader;
use log::store::verify::Trust;
use testing::logs::{Desk, act, append, command, head, key, note, rules};

#[test]
fn a_new_log_holds_its_opening_entry_and_its_key() {
    let desk = Desk::with_notes(0);
    let reader = desk.reader();
    assert_eq!(reader.tip().expect("read").entries, 1);
    assert_eq!(reader.keys().expect("read"), [key(7).public()]);
    let first = reader.entries(1).expect("read").remove(0).entry().expect("known form");
    assert_eq!(first.kind.as_str(), "log opened");
    assert_eq!(first.body["log"], reader.id().to_string());
    assert_eq!(desk.verdict(&Trust::OwnKeys, None), "whole, 1 entries");
}

#[test]
fn entries_come_back_in_the_order_they_were_appended() {
    let desk = Desk::with_notes(0);
    let mut log = desk.open();
    append(&mut log, "c-1", &[note("a"), note("b")]);
    append(&mut log, "c-2", &[note("c")]);
    let entries = desk.reader().entries(2).expect("read");
    let texts: Vec<_> =
        entries.iter().map(|stored| stored.entry().expect("known form").body["text"].clone()).collect();
    assert_eq!(texts, ["a", "b", "c"]);
    assert_eq!(entries.iter().map(|stored| stored.seq).collect::<Vec<_>>(), [2, 3, 4]);
}

// PROPERTY: a command given again adds nothing
#[test]
fn a_command_given_again_adds_nothing_and_is_answered_as_before() {
    let desk = Desk::with_notes(0);
    let mut log = desk.open();
    let before = head(&log);
    let first = log.append(before, &command("c-1"), &[note("a"), note("b")]).expect("appended");
    append(&mut log, "c-2", &[note("c")]);
    let again = log.append(before, &command("c-1"), &[note("a"), note("b")]).expect("answered");
    assert_eq!(again, Appended { entries: first.entries, repeated: true });
    assert_eq!(log.reader().tip().expect("read").entries, 4);
}

#[test]
fn an_act_on_an_old_head_is_refused_with_both_heads() {
    let desk = Desk::with_notes(0);
    let mut log = desk.open();
    let seen = head(&log);
    append(&mut log, "c-1", &[note("a")]);
    let refused = log.append(seen, &command("c-2"), &[note("b")]).expect_err("an old head");
    let found = head(&log);
    assert_eq!(
        refused.to_string(),
        format!("another desk wrote in between: the log's head is {found}, not {seen}")
    );
    assert_eq!(refused.help(), Some("read what was added, then decide again"));
    assert_eq!(log.reader().tip().expect("read").entries, 2);
}

#[test]
fn a_command_without_an_entry_is_refused() {
    let desk = Desk::with_notes(0);
    let mut log = desk.open();
    let head = head(&log);
    let refused = log.append(head, &command("c-1"), &[]).expect_err("empty");
    assert_eq!(refused.to_string(), "there is nothing to append");
}

#[test]
fn one_bad_entry_keeps_the_whole_command_out() {
    let desk = Desk::with_notes(0);
    let mut log = desk.open();
    let head = head(&log);
    let gone = NewEntry::erased(act(), Hash::NONE).expect("a label");
    let refused = log.append(head, &command("c-1"), &[note("a"), gone]).expect_err("no such blob");
    assert_eq!(refused.to_string(), format!("there is no text or still {} to erase", Hash::NONE));
    assert_eq!(log.reader().tip().expect("read").entries, 1);
}

#[test]
fn the_database_itself_refuses_to_change_or_remove_an_entry() {
    let desk = Desk::with_notes(1);
    let raw = rusqlite::Connection::open(&desk.path).expect("opened");
    let table = [
        ("UPDATE entries SET bytes = x'00' WHERE seq = 1", "an entry of the log is never changed"),
        ("DELETE FROM entries WHERE seq = 2", "an entry of the log is never removed"),
        (
            "INSERT OR REPLACE INTO entries SELECT 1, hash, previous, bytes, signature, key, command \
             FROM entries WHERE seq = 2",
            "an entry of the log is only appended",
        ),
    ];
    for (sql, says) in table {
        let refused = raw.execute(sql, ()).expect_err(sql).to_string();
        assert_eq!(refused, says, "{sql}");
    }
}

#[test]
fn another_desks_key_signs_once_it_is_added() {
    let desk = Desk::with_notes(1);
    let refused = Log::open(&desk.path, key(8)).expect_err("not known yet");
    assert_eq!(
        refused.to_string(),
        format!("the log {} does not know the key {}", desk.path.display(), key(8).id())
    );
    let added = NewEntry::key_added(act(), key(8).public()).expect("a label");
    append(&mut desk.open(), "add", std::slice::from_ref(&added));
    let mut log = Log::open(&desk.path, key(8)).expect("known now");
    append(&mut log, "c-8", &[note("by desk 8")]);
    assert_eq!(desk.verdict(&Trust::OwnKeys, None), "whole, 4 entries");
    let head = head(&log);
    let again = log.append(head, &command("add again"), &[added]).expect_err("known already");
    assert_eq!(again.to_string(), format!("the key {} is known already", key(8).id()));
}

#[test]
fn an_editions_text_is_stored_once() {
    let desk = Desk::with_notes(0);
    let mut log = desk.open();
    let edition = rules().hash();
    let stored = NewEntry::edition_stored(act(), &rules()).expect("a label");
    append(&mut log, "c-1", std::slice::from_ref(&stored));
    assert_eq!(log.reader().edition(&edition).expect("read").as_deref(), Some(rules().text().as_str()));
    assert_eq!(log.reader().edition(&Hash::NONE).expect("read"), None);
    let head = head(&log);
    let again = log.append(head, &command("c-2"), &[stored]).expect_err("stored already");
    assert_eq!(again.to_string(), format!("the edition {edition} is stored already"));
}

// PROPERTY: an erased text is gone and the chain holds
#[test]
fn an_erased_text_is_gone_from_every_file_and_the_chain_holds() {
    let desk = Desk::with_notes(0);
    let mut log = desk.open();
    let text = b"number 12 said what no log should keep".to_vec();
    let blob = Blob::new(text.clone()).expect("salted");
    append(&mut log, "c-1", &[note("see the text").with_blob(blob.clone())]);
    assert_eq!(log.reader().blob(&blob.hash()).expect("read").as_ref(), Some(&blob));
    append(&mut log, "c-2", &[NewEntry::erased(act(), blob.hash()).expect("a label")]);
    assert_eq!(log.reader().blob(&blob.hash()).expect("read"), None);
    for file in std::fs::read_dir(desk.folder.path()).expect("listed") {
        let path = file.expect("listed").path();
        let bytes = std::fs::read(&path).expect("read");
        let found = bytes.windows(text.len()).any(|window| window == text);
        assert!(!found, "the text is still in {}", path.display());
    }
    assert_eq!(desk.verdict(&Trust::OwnKeys, None), "whole, 3 entries");
}

#[test]
fn a_reader_reads_on_while_a_desk_writes() {
    let desk = Desk::with_notes(1);
    let reader = desk.reader();
    let mut log = desk.open();
    let mut seen = 0;
    let walked = reader.each_from(1, |_| {
        seen += 1;
        append(&mut log, &format!("meanwhile {seen}"), &[note("meanwhile")]);
        Ok::<(), Error>(())
    });
    walked.expect("read");
    assert_eq!(seen, 2, "the walk sees the log as it was");
    assert_eq!(reader.tip().expect("read").entries, 4);
}

#[test]
fn a_log_is_made_once_and_opened_only_where_it_is() {
    let desk = Desk::with_notes(0);
    let refused = Log::create(&desk.path, key(7), act()).expect_err("there already").to_string();
    assert_eq!(refused, format!("there is a log at {} already", desk.path.display()));
    let nowhere = desk.folder.path().join("nowhere.sqlite");
    for refused in [
        Log::open(&nowhere, key(7)).expect_err("not there").to_string(),
        Reader::open(&nowhere).expect_err("not there").to_string(),
    ] {
        assert_eq!(refused, format!("there is no log at {}", nowhere.display()));
    }
}
