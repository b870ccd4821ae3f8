//! Whatever is appended, in whatever order, verifies; and whatever byte is touched is named.
//!
//! | property | over |
//! | --- | --- |
//! | a log verifies after any run of appends, repeats, stale heads and reopenings, and holds each command once | random runs |
//! | one changed byte in bytes, hash, previous hash or signature is found at that very entry | random entry, part, place, bits |

use log::chain::hash::Hash;
use log::store::verify::{Trust, Verdict, verify};
use proptest::prelude::*;
use rusqlite::Connection;
use std::collections::BTreeMap;
use testing::logs::{Desk, command, head, note};

#[derive(Debug, Clone)]
enum Step {
    /// Appends entries under the command of this number, new or not.
    Append { command: u8, entries: usize },
    /// Appends after an outdated head.
    Stale { command: u8 },
    /// Closes the log and opens it again.
    Reopen,
}

fn step() -> impl Strategy<Value = Step> {
    prop_oneof![
        4 => (0..12_u8, 1..4_usize).prop_map(|(command, entries)| Step::Append { command, entries }),
        1 => (0..12_u8).prop_map(|command| Step::Stale { command }),
        1 => Just(Step::Reopen),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, failure_persistence: None, ..ProptestConfig::default() })]

    // PROPERTY: whatever was appended verifies
    #[test]
    fn any_run_of_appends_repeats_and_reopenings_verifies(steps in prop::collection::vec(step(), 1..30)) {
        let desk = Desk::with_notes(0);
        let mut log = desk.open();
        let mut written: BTreeMap<u8, usize> = BTreeMap::new();
        for step in steps {
            match step {
                Step::Append { command: number, entries } => {
                    let new: Vec<_> = (0..entries).map(|n| note(&format!("{number}.{n}"))).collect();
                    let head = head(&log);
                    let appended = log.append(head, &command(&format!("c-{number}")), &new).expect("appended");
                    prop_assert_eq!(appended.repeated, written.contains_key(&number));
                    let kept = *written.entry(number).or_insert(entries);
                    prop_assert_eq!(appended.entries.len(), kept);
                }
                Step::Stale { command: number } => {
                    let answer = log.append(Hash::NONE, &command(&format!("c-{number}")), &[note("x")]);
                    prop_assert_eq!(answer.is_ok(), written.contains_key(&number));
                }
                Step::Reopen => {
                    drop(log);
                    log = desk.open();
                }
            }
        }
        let entries = 1 + written.values().sum::<usize>();
        prop_assert_eq!(desk.verdict(&Trust::OwnKeys, None), format!("whole, {entries} entries"));
    }

    // PROPERTY: one touched byte is found at its entry
    #[test]
    fn one_touched_byte_is_found_at_its_entry(
        seq in 1..=8_i64,
        part in prop::sample::select(vec!["bytes", "hash", "previous", "signature"]),
        place in any::<prop::sample::Index>(),
        bits in 1..=255_u8,
    ) {
        let desk = Desk::with_notes(7);
        let raw = Connection::open(&desk.path).expect("opened");
        let select = format!("SELECT {part} FROM entries WHERE seq = ?1");
        let mut bytes: Vec<u8> = raw.query_row(&select, [seq], |row| row.get(0)).expect("there");
        drop(raw);
        let place = place.index(bytes.len());
        bytes[place] ^= bits;
        let hex: String = bytes.iter().map(|byte| format!("{byte:02x}")).collect();
        desk.tamper(&format!("UPDATE entries SET {part} = x'{hex}' WHERE seq = {seq}"));
        let verdict = verify(&desk.unverified(), &Trust::OwnKeys, None).expect("read");
        let Verdict::Broken(broken) = verdict else { panic!("{part} of entry {seq} was touched, and {verdict:?}") };
        prop_assert_eq!(broken.seq, u64::try_from(seq).expect("positive"), "{}", broken);
    }
}
