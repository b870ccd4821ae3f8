//! A million records audited, from a file of JSON Lines, on two threads; the figure is one run, not a distribution.
//!
//! `cargo bench --bench auditing` prints records, seconds and the peak of resident memory; and, of another reading of the
//! same file, the seconds to read it and to work out what a query could say as well: outcomes and times by group, the
//! times of phases and steps, and the same facts with different outcomes. Another count, and a file that is kept for
//! another program: `RECORDS=100000 KEEP=/somewhere/records.jsonl cargo bench --bench auditing`.

use audit::figures::consistency::inconsistent;
use audit::figures::facts::AllFacts;
use audit::figures::figures;
use audit::figures::rates;
use audit::figures::tempo::tempo;
use audit::sample::Sample;
use audit::sample::editions::Editions;
use audit::sample::read;
use log::exchange::jsonl;
use season::{Plants, Season, season};
use std::fs::File;
use std::io::{BufWriter, Write};
use std::path::{Path, PathBuf};
use std::time::Instant;

/// Writes `wanted` records of seasons one after the other, each season in a year of its own and every record with an id
/// of its own.
fn write(path: &Path, season: &Season, wanted: usize) -> std::io::Result<()> {
    let mut lines = Vec::new();
    jsonl::write(&season.records, &mut lines)?;
    let lines = String::from_utf8(lines).expect("JSON is UTF-8");
    let lines: Vec<&str> = lines.lines().collect();
    let mut file = BufWriter::new(File::create(path)?);
    for (number, line) in lines.iter().cycle().take(wanted).enumerate() {
        let (of, year) = (number / lines.len(), 2026 + number / lines.len());
        // Ids, reviews, games and what is looked at again all begin with the week.
        let line = line.replace("\"W", &format!("\"S{of:04}-W"));
        writeln!(file, "{}", line.replace("\"2026-", &format!("\"{year}-")))?;
    }
    file.flush()
}

fn main() {
    let wanted: usize = std::env::var("RECORDS").ok().and_then(|text| text.parse().ok()).unwrap_or(1_000_000);
    let kept = std::env::var_os("KEEP").map(PathBuf::from);
    let threads = rayon::ThreadPoolBuilder::new().num_threads(2).build_global();
    threads.expect("nothing has used the threads yet");
    let season = season(1, Plants::All);
    let folder = tempfile::tempdir().expect("a folder");
    let path = kept.unwrap_or_else(|| folder.path().join("records.jsonl"));
    write(&path, &season, wanted).expect("there is room");
    let bytes = std::fs::metadata(&path).expect("it was written").len();
    let started = Instant::now();
    let sample = taken(&path);
    let read_s = started.elapsed().as_secs_f64();
    let editions = Editions::among(&sample, season.rules.clone());
    let found = figures(&sample, &editions);
    let took = started.elapsed().as_secs_f64();
    println!(
        "{} records ({} MB) in {took:.2} s, of them {read_s:.2} s to read: {} rulings, {} findings; peak memory {}",
        sample.rows.len(),
        bytes / 1_000_000,
        found.rulings,
        found.inconsistent.len(),
        testing::peak_memory()
    );
    drop((sample, found));
    let started = Instant::now();
    queried(&taken(&path), &season);
    println!("as far as a query goes in {:.2} s", started.elapsed().as_secs_f64());
}

fn taken(path: &Path) -> Sample {
    let mut sample = Sample::default();
    let file = File::open(path).expect("it was written");
    read::json_lines(&mut sample, "records.jsonl", file, |_| {}).expect("its own records");
    sample.once();
    sample
}

/// What a query could say as well, and what is worked out in one with it.
fn queried(sample: &Sample, season: &Season) {
    let editions = Editions::among(sample, season.rules.clone());
    // As `figures` does: no core waits for what another finds.
    rayon::join(|| sample.shared_reviews(), || sample.again());
    let facts = AllFacts::of(sample, &editions);
    let (by_group, (times, different)) = rayon::join(
        || rates::outcomes(sample),
        || rayon::join(|| tempo(sample, &facts), || inconsistent(sample, &facts, &editions)),
    );
    std::hint::black_box((by_group, times, different));
}
