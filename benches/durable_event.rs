//! What a durable event costs against a raw SQLite insert: the same pragmas, the same folder, the same
//! run, one after the other so that a slow moment of the disk hits all.
//!
//! Two raw sides, each one `BEGIN IMMEDIATE`, one insert of ready-made values, one `COMMIT`, with every
//! statement prepared before: the *row* has the columns of an entry, the *bytes* only the event's text.
//! The last lines are the medians of the paired ratios with their quartiles; the bound is 1.2. The
//! signature alone is some 17 µs of processor time on the machine it was first measured on, so that the
//! ratio says as much about how fast the disk syncs as about the log.

use criterion::Criterion;
use log::chain::entry::{Act, NewEntry};
use log::chain::hash::Hash;
use log::chain::label::{Actor, CommandId, Kind, ReviewId};
use log::chain::sign::Key;
use log::store::log::Log;
use review::stamp::Stamp;
use rusqlite::{Connection, ToSql, params};
use serde_json::json;
use std::path::Path;
use std::time::Instant;

const PAIRS: usize = 3_000;

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

fn raw_table(folder: &Path, name: &str, columns: &str) -> Connection {
    let raw = Connection::open(folder.join(name)).expect("made");
    raw.execute_batch(&format!(
        "PRAGMA journal_mode = WAL; PRAGMA synchronous = FULL; PRAGMA fullfsync = ON;
         PRAGMA foreign_keys = ON; PRAGMA secure_delete = ON; PRAGMA trusted_schema = OFF;
         PRAGMA cell_size_check = ON;
         CREATE TABLE raw (seq INTEGER PRIMARY KEY, {columns}) STRICT;"
    ))
    .expect("made");
    raw
}

fn in_transaction(raw: &Connection, insert: &str, values: &[&dyn ToSql]) {
    let run =
        |text, values: &[&dyn ToSql]| raw.prepare_cached(text).expect("sound").execute(values).expect("run");
    run("BEGIN IMMEDIATE", &[]);
    run(insert, values);
    run("COMMIT", &[]);
}

fn timed(work: impl FnOnce()) -> f64 {
    let start = Instant::now();
    work();
    start.elapsed().as_secs_f64() * 1e6
}

/// First quartile, median, third quartile.
fn quartiles(mut values: Vec<f64>) -> [f64; 3] {
    values.sort_by(f64::total_cmp);
    [1, 2, 3].map(|quarter| values[values.len() * quarter / 4])
}

fn main() {
    let folder = tempfile::tempdir_in(env!("CARGO_TARGET_TMPDIR")).expect("a folder beside the build");
    let mut desk = Desk::new(folder.path());
    let columns = "hash BLOB, previous BLOB, bytes BLOB, signature BLOB, key TEXT, command TEXT";
    let (rows, texts) =
        (raw_table(folder.path(), "row", columns), raw_table(folder.path(), "bytes", "bytes BLOB"));
    desk.append();
    let bytes = desk.log.reader().entries(2).expect("read").remove(0).bytes;
    let row = || {
        let insert = "INSERT INTO raw (hash, previous, bytes, signature, key, command) VALUES (?1, ?2, ?3, ?4, ?5, ?6)";
        let values = params![[1_u8; 32], [2_u8; 32], bytes, [3_u8; 64], "0123456789abcdef", "review-1/1000"];
        in_transaction(&rows, insert, values);
    };
    let text = || in_transaction(&texts, "INSERT INTO raw (bytes) VALUES (?1)", params![bytes]);

    let mut criterion = Criterion::default().configure_from_args();
    let mut group = criterion.benchmark_group("durable event");
    group.bench_function("log", |bencher| bencher.iter(|| desk.append()));
    group.bench_function("raw row", |bencher| bencher.iter(row));
    group.bench_function("raw bytes", |bencher| bencher.iter(text));
    group.finish();
    criterion.final_summary();

    // In turn, each goes first as often as the others.
    let (mut log, mut raw) = (Vec::new(), [Vec::new(), Vec::new()]);
    for round in 0..PAIRS {
        let mut times = [0.0; 3];
        for place in 0..3 {
            let which = (round + place) % 3;
            times[which] = match which {
                0 => timed(|| desk.append()),
                1 => timed(row),
                _ => timed(text),
            };
        }
        log.push(times[0]);
        raw[0].push(times[1]);
        raw[1].push(times[2]);
    }
    println!(
        "log: {:.1} µs in the median of {PAIRS} events of {} bytes",
        quartiles(log.clone())[1],
        bytes.len()
    );
    for (name, raw) in ["raw row", "raw bytes"].iter().zip(raw) {
        let [low, middle, high] = quartiles(log.iter().zip(&raw).map(|(log, raw)| log / raw).collect());
        let median = quartiles(raw)[1];
        println!("log / {name}: {middle:.3} (quartiles {low:.3} to {high:.3}); {name}: {median:.1} µs");
    }
}
