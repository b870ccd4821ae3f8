//! `tellframe audit LOG…`: what a supervisor reads out of logs.

use super::{Answer, Unable, log};
use crate::data;
use std::collections::BTreeMap;
use std::fs::File;
use std::io::{BufReader, IsTerminal, Read};
use std::path::{Path, PathBuf};
use tellframe::audit::durations;
use tellframe::audit::editions::Editions;
use tellframe::audit::figures::{figures, with_numbers};
use tellframe::audit::rates::numbered;
use tellframe::audit::ratings::{Fault, Ratings};
use tellframe::audit::report;
use tellframe::audit::sample::Sample;
use tellframe::audit::{agreement, read, tempo};
use tellframe::log::reader::Reader;
use tellframe::log::{jsonl, records};
use tellframe::wire::audit::{Alone, Audit, Id};

mod told;

/// Arguments of `audit`.
#[derive(Debug, clap::Args)]
pub(super) struct AuditLogs {
    /// Logs, or JSON Lines of records; `demo` and `season` for those of the demo
    #[arg(value_name = "LOG", required_unless_present_any = ["ratings", "durations"])]
    logs: Vec<PathBuf>,
    /// Write the report as one page of HTML to this file
    #[arg(short, long, value_name = "FILE", requires = "logs")]
    out: Option<PathBuf>,
    /// Agreement of a table of ratings alone: a header, the item, then one column a rater; empty: not rated
    #[arg(long, value_name = "FILE", conflicts_with = "logs")]
    ratings: Option<PathBuf>,
    /// Tempo of a table of durations alone: `seconds,cut_short`
    #[arg(long, value_name = "FILE", conflicts_with = "logs")]
    durations: Option<PathBuf>,
    /// Show officials as numbers only
    #[arg(long)]
    numbers: bool,
    /// Print the result as JSON
    #[arg(long)]
    json: bool,
}

/// A log's first bytes, where it is a database.
const DATABASE: &[u8] = b"SQLite format 3\0";

impl AuditLogs {
    pub(super) fn run(&self, folder: &data::Folder) -> Result<Answer, Unable> {
        if self.ratings.is_some() || self.durations.is_some() {
            return self.alone();
        }
        let (sample, logs) = self.read(folder)?;
        let editions = Editions::of(&sample, &logs)?;
        let found = figures(&sample, &editions);
        let numbers = if self.numbers { numbered(&sample) } else { BTreeMap::new() };
        let found = with_numbers(found, &numbers);
        if let Some(out) = &self.out {
            let source = report::Source::of(&sample, &editions, &found, &numbers)
                .with_stills(&found, &logs)?
                .with_precedents(&sample, &editions, &logs)?;
            let page = report::page(&found, &source);
            log::write_file(out, |file| {
                std::io::Write::write_all(file, page.as_bytes()).map_err(|error| error.to_string())
            })?;
            eprintln!("the report is in {}", out.display());
        }
        self.print(&found)
    }

    fn print(&self, found: &Audit) -> Result<Answer, Unable> {
        if self.json { super::print_json(found) } else { super::print(told::audit(found).trim_end()) }
    }

    fn read(&self, folder: &data::Folder) -> Result<(Sample, Vec<Reader>), Unable> {
        let (mut sample, mut logs) = (Sample::default(), Vec::new());
        for named in &self.logs {
            let (path, _) = log::files(Some(named), folder)?;
            if is_database(&path)? {
                let log = Reader::open(&path)?;
                read::records(&mut sample, &records::all(&log)?)
                    .map_err(|error| Unable::new(format!("{}: {error}", path.display())))?;
                logs.push(log);
            } else {
                json_lines(&mut sample, &path)?;
            }
        }
        sample.once();
        Ok((sample, logs))
    }

    fn alone(&self) -> Result<Answer, Unable> {
        let mut alone = Alone::default();
        if let Some(path) = &self.ratings {
            let ratings = table(path, Ratings::read)?;
            alone.ratings = Some(agreement::agreement(&ratings));
        }
        if let Some(path) = &self.durations {
            let durations = table(path, durations::read)?;
            alone.durations = Some(tempo::of(durations, |at| Id::Row(at as u64 + 1)));
        }
        if self.json {
            alone.agreement = alone.ratings;
            alone.tempo.clone_from(&alone.durations);
            return super::print_json(&alone);
        }
        super::print(told::alone(&alone).trim_end())
    }
}

fn open(path: &Path) -> Result<File, Unable> {
    File::open(path).map_err(|error| Unable::new(format!("cannot read {}: {error}", path.display())))
}

fn is_database(path: &Path) -> Result<bool, Unable> {
    let mut first = Vec::new();
    let read = open(path)?.take(DATABASE.len() as u64).read_to_end(&mut first);
    read.map_err(|error| Unable::new(format!("cannot read {}: {error}", path.display())))?;
    if first.starts_with(b"PAR1") {
        return Err(Unable::new(format!("{} is a Parquet table", path.display()))
            .help("audit the log that it was exported from, or its JSON Lines"));
    }
    Ok(first == DATABASE)
}

/// Reads records, and says on a terminal how far it is.
fn json_lines(sample: &mut Sample, path: &Path) -> Result<(), Unable> {
    let shown = std::io::stderr().is_terminal();
    let mut told = 0;
    let progress = |count: usize| {
        if shown && count >= told + 100_000 {
            told = count;
            eprint!("\r{count} records read");
        }
    };
    let name = path.display().to_string();
    let read = read::json_lines(sample, &name, BufReader::new(open(path)?), progress);
    if shown && told > 0 {
        eprintln!();
    }
    read.map_err(|error| match error {
        jsonl::Error::Read { ref source, .. } => Unable::new(format!("{error}: {source}")),
        jsonl::Error::Lines(_) => Unable::new(error.to_string()),
    })
}

fn table<T>(path: &Path, read: impl FnOnce(File) -> Result<T, Fault>) -> Result<T, Unable> {
    read(open(path)?).map_err(|fault| Unable::new(format!("{}: {fault}", path.display())))
}
