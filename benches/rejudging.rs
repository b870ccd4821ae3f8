//! A million records judged again, from JSON Lines, on two threads; the figure is one run, not a distribution.
//!
//! `cargo bench --bench rejudging` prints records, seconds and the peak of resident memory. Another count:
//! `RECORDS=100000 cargo bench --bench rejudging`.

use audit::rejudge::batch::Batch;
use log::exchange::jsonl;
use rules::book::Book;
use season::{Plants, season};
use std::io::Read;
use std::time::Instant;

/// What stands before the week in all ids once a season has its number.
const NUMBERED: &str = "\"S0000-W";

/// The lines of a season over and over, every record with an id of its own, so that no file of gigabytes has to be written.
struct Seasons {
    lines: Vec<u8>,
    /// Where the four digits of the season's number stand.
    numbers: Vec<usize>,
    number: usize,
    at: usize,
    left: usize,
}

impl Seasons {
    fn new(lines: &str, left: usize) -> Seasons {
        // Ids, reviews, games and what is looked at again all begin with the week.
        let lines = lines.replace("\"W", NUMBERED);
        let numbers = lines.match_indices(NUMBERED).map(|(at, _)| at + 2).collect();
        Seasons { lines: lines.into_bytes(), numbers, number: 0, at: 0, left }
    }

    fn next(&mut self) {
        self.number += 1;
        let digits = format!("{:04}", self.number);
        self.numbers.iter().for_each(|at| self.lines[*at..at + 4].copy_from_slice(digits.as_bytes()));
        (self.at, self.left) = (0, self.left - 1);
    }
}

impl Read for Seasons {
    fn read(&mut self, into: &mut [u8]) -> std::io::Result<usize> {
        if self.at == self.lines.len() {
            self.next();
        }
        if self.left == 0 {
            return Ok(0);
        }
        let count = into.len().min(self.lines.len() - self.at);
        into[..count].copy_from_slice(&self.lines[self.at..self.at + count]);
        self.at += count;
        Ok(count)
    }
}

fn main() {
    let wanted: usize = std::env::var("RECORDS").ok().and_then(|text| text.parse().ok()).unwrap_or(1_000_000);
    let threads = rayon::ThreadPoolBuilder::new().num_threads(2).build_global();
    threads.expect("nothing has used the threads yet");
    let season = season(1, Plants::All);
    let books: Vec<Book> = season.rules.iter().map(|rules| rules.load().expect("it is built in")).collect();
    let mut lines = Vec::new();
    jsonl::write(&season.records, &mut lines).expect("a Vec takes all text");
    let left = wanted.div_ceil(season.records.len());
    let seasons = Seasons::new(std::str::from_utf8(&lines).expect("JSON is UTF-8"), left);
    let bytes = seasons.lines.len() * left;
    let mut library = |edition: &str| books.iter().find(|book| book.edition.to_string() == edition).cloned();
    let new = books.last().expect("two editions");
    let started = Instant::now();
    let mut batch = Batch::new(new, &mut library);
    batch.read("seasons", seasons, |_| {}).expect("its own records");
    let rejudged = batch.end();
    let took = started.elapsed().as_secs_f64();
    println!(
        "{} records ({} MB) in {took:.2} s: {} the same, {} flip, {} cannot be judged; peak memory {}",
        rejudged.records,
        bytes / 1_000_000,
        rejudged.same,
        rejudged.flips.len(),
        rejudged.cannot_tell.len(),
        testing::peak_memory()
    );
}
