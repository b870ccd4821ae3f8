//! What a durable event costs against a raw SQLite insert of the same bytes: the same pragmas, the same
//! folder, the same run, one after the other so that a slow moment of the disk hits both.
//!
//! The raw side is one `BEGIN IMMEDIATE`, one insert into a table of a number and bytes, one `COMMIT`:
//! no hash, no signature, no command. The last line printed is the median of the paired ratios, with the
//! quartiles; the bound is 1.2.

use criterion::Criterion;
use rusqlite::Connection;
use serde_json::json;
use std::hint::black_box;
use std::path::Path;
use std::time::{Duration, Instant};
use tellframe::log::chain::Hash;
use tellframe::log::entry::{Act, Actor, CommandId, Kind, NewEntry, ReviewId, Stamp};
use tellframe::log::sign::Key;
use tellframe::log::store::Log;

const PAIRS: usize = 2_000;

/// The log with its head and a count, so that every event is a new one.
struct Desk {
    log: Log,
    head: Hash,
    events: u64,
}

impl Desk {
    fn new(folder: &Path) -> Desk {
        let log = Log::create(&folder.join("log.sqlite"), Key::from_seed(&[7; 32]), act(0)).expect("made");
        let head = log.reader().tip().expect("read").head;
        Desk { log, head, events: 0 }
    }

    fn append(&mut self) {
        self.events += 1;
        let command = CommandId::new(format!("review-1/{}", self.events)).expect("a label");
        let appended = self.log.append(self.head, &command, &[event(self.events)]).expect("appended");
        self.head = appended.entries.last().expect("one entry").1;
    }
}

fn act(boot_ms: u64) -> Act {
    Act {
        actor: Actor::new("booth-07").expect("a label"),
        review: Some(ReviewId::new("review-1").expect("a label")),
        at: Stamp { utc_ms: 1_778_355_731_204, boot_ms, boot: "5f1c0c2e-boot".to_owned() },
    }
}

/// The size of a mark: a moment, a camera, a frame, a timecode.
fn event(number: u64) -> NewEntry {
    let body = json!({"moment": "touches down", "camera": "B", "frame": number, "timecode": "00:41:17;22"});
    NewEntry::new(act(number), Kind::new("mark set").expect("a label"), body).expect("not the log's own")
}

fn raw_table(folder: &Path) -> Connection {
    let raw = Connection::open(folder.join("raw.sqlite")).expect("made");
    raw.execute_batch(
        "PRAGMA journal_mode = WAL; PRAGMA synchronous = FULL; PRAGMA fullfsync = ON;
         PRAGMA foreign_keys = ON; PRAGMA secure_delete = ON; PRAGMA trusted_schema = OFF;
         PRAGMA cell_size_check = ON;
         CREATE TABLE raw (seq INTEGER PRIMARY KEY, bytes BLOB NOT NULL) STRICT;",
    )
    .expect("made");
    raw
}

fn raw_insert(raw: &Connection, bytes: &[u8]) {
    let run = |text| raw.prepare_cached(text).expect("sound").execute(()).expect("run");
    run("BEGIN IMMEDIATE");
    raw.prepare_cached("INSERT INTO raw (bytes) VALUES (?1)").expect("sound").execute([bytes]).expect("run");
    run("COMMIT");
}

fn timed(work: impl FnOnce()) -> Duration {
    let start = Instant::now();
    work();
    start.elapsed()
}

fn main() {
    let folder = tempfile::tempdir_in(env!("CARGO_TARGET_TMPDIR")).expect("a folder beside the build");
    let mut desk = Desk::new(folder.path());
    let raw = raw_table(folder.path());
    desk.append();
    let bytes = desk.log.reader().entries(2).expect("read").remove(0).bytes;

    let mut criterion = Criterion::default().configure_from_args();
    let mut group = criterion.benchmark_group("durable event");
    group.bench_function("log", |bencher| bencher.iter(|| desk.append()));
    group.bench_function("raw insert", |bencher| bencher.iter(|| raw_insert(&raw, black_box(&bytes))));
    group.finish();
    criterion.final_summary();

    let mut pairs: Vec<(f64, Duration, Duration)> = (0..PAIRS)
        .map(|pair| {
            // Either goes first in turn.
            let (log, plain) = match pair % 2 {
                0 => {
                    let log = timed(|| desk.append());
                    (log, timed(|| raw_insert(&raw, &bytes)))
                }
                _ => {
                    let plain = timed(|| raw_insert(&raw, &bytes));
                    (timed(|| desk.append()), plain)
                }
            };
            (log.as_secs_f64() / plain.as_secs_f64(), log, plain)
        })
        .collect();
    pairs.sort_by(|a, b| a.0.total_cmp(&b.0));
    let ratio = |share: usize| pairs[PAIRS * share / 4].0;
    let median = |of: fn(&(f64, Duration, Duration)) -> Duration| {
        let mut times: Vec<_> = pairs.iter().map(of).collect();
        times.sort();
        times[PAIRS / 2]
    };
    println!(
        "durable event / raw insert: {:.3} (quartiles {:.3} to {:.3}, {PAIRS} pairs of {} bytes; medians {:?} and {:?})",
        ratio(2),
        ratio(1),
        ratio(3),
        bytes.len(),
        median(|pair| pair.1),
        median(|pair| pair.2),
    );
}
