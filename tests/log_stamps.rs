//! Clocks that say any time at all: an act is refused with its reason, or it can be shown, exported, audited, printed
//! and certified. Nothing panics.

use crate::program::{Data, Ran};
use ::review::stamp::Stamp;
use log::chain::label::CommandId;
use log::exchange::records;
use log::streams::reviews;
use log::streams::session::Attempt;
use pages::review;
use std::fs;
use testing::challenge::Challenge;
use testing::logs::{act, in_folder};

/// The first and the last millisecond that an entry can have: years 0000 and 9999.
const FIRST: i64 = -62_167_219_200_000;
const LAST: i64 = 253_402_300_799_999;

const WALL: [i64; 13] = [
    i64::MIN,
    i64::MIN + 1,
    -8_334_601_228_800_001, // before the first year that the calendar's crate knows
    FIRST - 1,
    FIRST,
    -86_400_001,
    -1,
    0,
    1,
    LAST,
    LAST + 1,
    8_210_266_876_800_000, // after its last
    i64::MAX,
];

/// Whole numbers of JSON end at 2^53 - 1.
const BOOT: [u64; 4] = [0, (1 << 53) - 1, 1 << 53, u64::MAX];

fn panicked(ran: &Ran) -> bool {
    !(0..=2).contains(&ran.status) || ran.err.contains("panicked")
}

/// A log in which a review was held whose clock said this on every second act, and another boot's on the others.
fn held(data: &Data, at: &Stamp) -> Result<(), String> {
    let challenge = Challenge::demo();
    let mut log = in_folder(data.folder.path());
    let mut session = challenge.start(&log, "r-1");
    for (number, (command, _)) in challenge.commands().into_iter().enumerate() {
        let other = Stamp { boot: "b-2".to_owned(), ..act().at };
        let attempt = Attempt {
            command: CommandId::new(format!("c-{number}")).expect("a label"),
            at: if number % 2 == 0 { at.clone() } else { other },
        };
        let before = log.reader().tip().expect("read");
        if let Err(refused) = session.act(&mut log, challenge.desk(), &attempt, command) {
            assert_eq!(log.reader().tip().expect("read"), before, "nothing was written");
            return Err(refused.to_string());
        }
    }
    let held = reviews::Held::one(log.reader(), "r-1").expect("read").expect("there");
    review::of_review(log.reader(), &held).expect("a page");
    records::all(log.reader()).expect("records");
    Ok(())
}

// PROPERTY: any clock reading is either refused or can be shown
#[test]
fn whatever_a_clock_says_is_refused_with_its_reason_or_can_be_told() {
    for utc_ms in WALL {
        for boot_ms in BOOT {
            let (data, at) = (Data::new(), Stamp { utc_ms, boot_ms, boot: "b-1".to_owned() });
            match held(&data, &at) {
                Err(refused) if !(FIRST..=LAST).contains(&utc_ms) || boot_ms >= 1 << 53 => {
                    let says = refused.contains("is not an instant as the log writes it")
                        || refused.contains("at.boot_ms");
                    assert!(says, "{at:?}: {refused}");
                }
                Err(refused) => panic!("{at:?}: {refused}"),
                Ok(()) => {
                    assert!((FIRST..=LAST).contains(&utc_ms) && boot_ms < 1 << 53, "{at:?} was written");
                    run_every_command(&data, &at);
                }
            }
        }
    }
}

/// Every command that shows something of a log.
fn run_every_command(data: &Data, at: &Stamp) {
    let file = |name: &str| data.file(name).display().to_string();
    let (page, report, rows) = (file("page.html"), file("report.html"), file("records.parquet"));
    let commands: [&[&str]; 9] = [
        &["log", "verify"],
        &["log", "show"],
        &["log", "show", "r-1"],
        &["log", "show", "r-1", "--json"],
        &["log", "show", "r-1", "--html", &page],
        &["log", "export", "--out", &rows],
        &["log", "certify", "r-1"],
        &["audit", &file("log.sqlite"), "--out", &report],
        &["log", "head"],
    ];
    for command in commands {
        let ran = data.run(command);
        assert!(!panicked(&ran) && ran.status == 0, "{at:?}: {command:?}: {} {}", ran.status, ran.err);
    }
}

/// Records of another program may have any year that RFC 3339 and its extension can spell.
#[test]
fn a_record_of_any_year_is_read_or_refused_by_every_command() {
    let years = ["-262143", "-9999", "-0001", "0000", "1969", "1970", "9999", "+10000", "+262142", "+999999"];
    for year in years {
        for duration in ["61.0", "1e15"] {
            let data = Data::new();
            let records = data.file("records.jsonl");
            let record = format!(
                r#"{{"id":"x-1","edition":"ab","tree":"t","call":"c","answers":{{}},"outcome":"stands","called_at":"{year}-01-01T00:00:00.000Z","duration_s":{duration}}}"#
            );
            fs::write(&records, format!("{record}\n")).expect("written");
            drop(in_folder(data.folder.path()));
            let (file, rows) =
                (records.display().to_string(), data.file("rows.parquet").display().to_string());
            let log = data.file("log.sqlite").display().to_string();
            let commands: [&[&str]; 6] = [
                &["audit", &file, "--json"],
                &["rejudge", &file, "--book", "saltmarsh"],
                &["log", "import", &file],
                &["log", "show"],
                &["log", "export", "--out", &rows],
                &["audit", &log, "--json"],
            ];
            for command in commands {
                let ran = data.run(command);
                assert!(!panicked(&ran), "{year}, {duration}: {command:?}: {} {}", ran.status, ran.err);
            }
        }
    }
}
