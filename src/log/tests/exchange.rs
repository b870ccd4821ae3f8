//! Records in and out: what is imported is an entry each, once, and comes out as it went in.

use log::chain::canonical;
use log::chain::hash::Hash;
use log::chain::own::Statement;
use log::exchange::import::{Imported, import};
use log::exchange::jsonl;
use log::store::verify::{Trust, Verdict, verify};
use std::collections::BTreeSet;
use testing::logs::{Desk, act, append, note};

fn lines(ids: &[&str]) -> Vec<jsonl::Line> {
    let text: String = ids
        .iter()
        .map(|id| {
            format!(
                r#"{{"id":"{id}","edition":"ab","tree":"t","call":"c","answers":{{"toes":["no","yes"]}},"outcome":"stands","called_at":"2026-05-09T19:42:11.204Z","duration_s":39.20,"theirs":{{"x":1e3}}}}"#
            ) + "\n"
        })
        .collect();
    jsonl::read("records.jsonl", text.as_bytes()).expect("records")
}

fn counts(imported: &Imported) -> (u64, u64) {
    (imported.added, imported.skipped)
}

#[test]
fn a_record_is_imported_once_and_kept_as_it_was() {
    let desk = Desk::with_notes(1);
    let mut log = desk.open();
    let own = BTreeSet::from(["mine".to_owned()]);
    let first = import(&mut log, &act(), &own, &lines(&["r-1", "r-2", "r-1", "mine"])).expect("imported");
    assert_eq!(counts(&first), (2, 2));
    let second = import(&mut log, &act(), &own, &lines(&["r-2", "r-3"])).expect("imported");
    assert_eq!(counts(&second), (1, 1));
    let nothing = import(&mut log, &act(), &own, &lines(&["r-3"])).expect("nothing new");
    assert_eq!(nothing, Imported { added: 0, skipped: 1, head: second.head });

    let entry = log.reader().entries(3).expect("read").remove(0).entry().expect("known form");
    let Ok(Some(Statement::Imported { record })) = Statement::of(&entry) else { panic!("{entry:?}") };
    // The same but for the spelling of numbers (1e3 is 1000), and no field that the line did not have.
    let given = canonical::bytes(&lines(&["r-1"])[0].written);
    assert_eq!(canonical::bytes(&record), given);
    assert_eq!(record.as_object().expect("an object").len(), 9);

    let verdict = verify(&desk.unverified(), &Trust::OwnKeys, None).expect("read");
    let Verdict::Whole(verified) = verdict else { panic!("{verdict:?}") };
    assert_eq!((verified.tip.entries, verified.imported), (5, 3));
}

#[test]
fn a_record_that_json_cannot_hold_exactly_keeps_the_whole_import_out() {
    let desk = Desk::with_notes(0);
    let mut log = desk.open();
    let mut lines = lines(&["r-1", "r-2"]);
    lines[1].written["theirs"] = 9_007_199_254_740_993_u64.into();
    let refused = import(&mut log, &act(), &BTreeSet::new(), &lines).expect_err("beyond 2^53").to_string();
    assert_eq!(
        refused,
        "the entry cannot be written: the number 9007199254740993 at `record.theirs` is beyond \
         ±9007199254740991, which JSON cannot hold exactly"
    );
    assert_eq!(log.reader().tip().expect("read").entries, 1);
}

#[test]
fn an_import_after_other_entries_is_another_command() {
    let desk = Desk::with_notes(0);
    let mut log = desk.open();
    let imported = import(&mut log, &act(), &BTreeSet::new(), &lines(&["r-1"])).expect("imported");
    assert_ne!(imported.head, Hash::NONE);
    append(&mut log, "c-1", &[note("between")]);
    let again = import(&mut log, &act(), &BTreeSet::new(), &lines(&["r-2"])).expect("imported");
    assert_eq!(counts(&again), (1, 0));
}
