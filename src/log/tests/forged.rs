//! Nothing is shown or signed of a log that does not verify: opening it verifies it, for reading and for writing, and
//! what is read later is compared with what was verified.

use log::Error;
use log::chain::blob::Blob;
use log::chain::hash;
use log::store::log::Log;
use log::store::reader::Reader;
use testing::forged::{FORGERIES, desk};
use testing::logs::{Desk, append, command, key, note, rules};

/// Why opening is refused, for reading and for writing.
fn refusals(desk: &Desk) -> [String; 2] {
    let read = Reader::open(&desk.path).map(|_| ());
    let written = Log::open(&desk.path, key(7)).map(|_| ());
    [read, written].map(|opened| match opened {
        Ok(()) => "opened".to_owned(),
        Err(error) => error.to_string(),
    })
}

// PROPERTY: a log that does not verify is opened by nobody, for reading or writing
#[test]
fn a_forged_log_is_opened_neither_for_reading_nor_for_writing() {
    assert_eq!(refusals(&desk()), ["opened", "opened"], "whole, it opens");
    for forgery in FORGERIES {
        let desk = desk();
        desk.tamper(&forgery.sql());
        let says = format!("the log {} is broken: {}", desk.path.display(), forgery.says());
        assert_eq!(refusals(&desk), [says.clone(), says], "{}", forgery.name);
    }
}

/// Asks every question that a log answers.
fn asked(log: &Reader) -> Result<(), Error> {
    log.entries(1)?;
    log.tip()?;
    log.keys()?;
    for stored in log.entries(1)? {
        log.proof_of(&stored)?;
        for blob in stored.entry()?.blobs {
            log.blob(&blob)?;
        }
    }
    log.edition(&rules().hash())?;
    Ok(())
}

// PROPERTY: a log that is forged while open is neither read further nor written to
#[test]
fn a_log_that_is_forged_while_it_is_open_is_told_no_further() {
    // Forgeries that no question reaches: keys are those that were verified, and the rest is looked up but never shown.
    let unasked = [
        "the command",
        "an entry before the first",
        "a key",
        "a key is added to the table",
        "an imported row",
        "an imported row is added",
    ];
    for forgery in FORGERIES.iter().filter(|forgery| !unasked.contains(&forgery.name)) {
        let desk = desk();
        let (log, reader) = (desk.open(), desk.reader());
        asked(&reader).expect("whole");
        desk.tamper(&forgery.sql());
        for (how, reader) in [("a reader", &reader), ("the desk", log.reader())] {
            let told = asked(reader).expect_err(forgery.name).to_string();
            let says = format!("the log {} is broken: {}", desk.path.display(), forgery.says());
            assert_eq!(told, says, "{how}: {}", forgery.name);
        }
    }
}

#[test]
fn entries_that_are_gone_or_others_than_were_read_before_are_named() {
    let desk = Desk::with_notes(5);
    let reader = desk.reader();
    desk.tamper("DELETE FROM entries WHERE seq >= 5");
    let says = "entry 5 and all after it were cut off: 6 entries were read before";
    assert_eq!(
        asked(&reader).expect_err("cut off").to_string(),
        format!("the log {} is broken: {says}", desk.path.display())
    );

    // The tail is written anew with the desk's own key: consistent in itself, but not what was read.
    let desk = Desk::with_notes(5);
    let reader = desk.reader();
    desk.tamper("DELETE FROM entries WHERE seq = 6");
    desk.forget_head();
    append(&mut desk.open(), "c-5", &[note("another note")]);
    let says = "entry 6 was rewritten: it is not the one that was read before";
    assert_eq!(
        asked(&reader).expect_err("rewritten").to_string(),
        format!("the log {} is broken: {says}", desk.path.display())
    );
}

/// Nothing is added to a log that was forged under the desk, and what is there already is not acknowledged again.
// PROPERTY: a log that is forged while open is neither read further nor written to
#[test]
fn a_desk_adds_nothing_to_a_log_that_was_cut_under_it() {
    let desk = Desk::with_notes(5);
    let mut log = desk.open();
    let shorter = log.reader().entries(5).expect("verified").remove(0).hash;
    desk.tamper("DELETE FROM entries WHERE seq = 6");
    let refused = log.append(shorter, &command("c-6"), &[note("x")]).expect_err("cut").to_string();
    let says = "entry 6 and all after it were cut off: 6 entries were read before";
    assert_eq!(refused, format!("the log {} is broken: {says}", desk.path.display()));
}

/// What was appended since is verified before it is shown: one entry by the desk's key, and one by another.
#[test]
fn what_was_appended_since_is_told_if_it_verifies_and_not_else() {
    let desk = Desk::with_notes(1);
    let reader = desk.reader();
    let mut log = desk.open();
    append(&mut log, "later", &[note("later").with_blob(Blob::salted([3; 32], b"text".to_vec()))]);
    assert_eq!(reader.entries(1).expect("verified").len(), 3);
    asked(&reader).expect("verified");

    let tip = reader.tip().expect("verified");
    let bytes = br#"{"command":"c-9","form":2,"seen by":"two officials"}"#;
    let hash = hash::entry_hash(&reader.id(), &tip.head, bytes);
    let hex: String = bytes.iter().map(|byte| format!("{byte:02x}")).collect();
    desk.tamper(&format!(
        "INSERT INTO entries VALUES (4, x'{hash}', x'{}', x'{hex}', x'{}', '{}', 'c-9')",
        tip.head,
        key(66).sign(hash.as_bytes()),
        key(66).id(),
    ));
    let says = format!(
        "the log {} is broken: entry 4 is signed by another key: {} is not one of the log's",
        desk.path.display(),
        key(66).id()
    );
    for reader in [&reader, log.reader()] {
        assert_eq!(asked(reader).expect_err("another key").to_string(), says);
        assert_eq!(reader.tip().expect_err("another key").to_string(), says);
    }
}
