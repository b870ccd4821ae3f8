//! `tellframe audit LOG…`: what a supervisor reads out of logs.

use super::counting::Counting;
use super::{Answer, Unable, checked_output, log};
use ::log::exchange::jsonl;
use audit::figures::durations;
use audit::figures::rates::numbered;
use audit::figures::{agreement, tempo};
use audit::figures::{figures, with_numbers};
use audit::sample::editions::Editions;
use audit::sample::logs;
use audit::sample::logs::Taken;
use audit::stats::ratings::Ratings;
use formats::audit::{Alone, Audit, Id};
use host::data;
use pages::report;
use std::collections::BTreeMap;
use std::fs::File;
use std::path::{Path, PathBuf};

mod text;

/// Arguments of `audit`.
#[derive(Debug, clap::Args)]
pub(super) struct AuditLogs {
    /// Logs, or JSON Lines of records; `demo` and `season` for those of the demo
    #[arg(value_name = "LOG", required_unless_present_any = ["ratings", "durations"])]
    logs: Vec<PathBuf>,
    /// Write the report as one page of HTML to this file
    #[arg(short, long, value_name = "FILE", requires = "logs")]
    out: Option<PathBuf>,
    /// Write over FILE if it is there; never over a log, a key, a database or a rule book
    #[arg(long, requires = "out")]
    force: bool,
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

impl AuditLogs {
    pub(super) fn run(&self, folder: &data::Folder) -> Result<Answer, Unable> {
        if self.ratings.is_some() || self.durations.is_some() {
            return self.alone();
        }
        let out = checked_output(self.out.as_deref(), self.force)?;
        let Taken { sample, logs, .. } = taken(&self.logs, folder)?;
        let editions = Editions::of(&sample, &logs)?;
        let found = figures(&sample, &editions);
        let numbers = if self.numbers { numbered(&sample) } else { BTreeMap::new() };
        let found = with_numbers(found, &numbers);
        if let Some(out) = &out {
            let source = report::Source::of(&sample, &editions, &found, &numbers, &logs)?;
            let page = report::page(&found, &source);
            out.write_bytes(page.as_bytes())?;
            eprintln!("the report is in {}", out.path().display());
        }
        self.print(&found)
    }

    fn print(&self, found: &Audit) -> Result<Answer, Unable> {
        if self.json { super::print_json(found) } else { super::print(text::audit(found).trim_end()) }
    }

    fn alone(&self) -> Result<Answer, Unable> {
        let mut alone = Alone::default();
        if let Some(path) = &self.ratings {
            let ratings = table(path, Ratings::read)?;
            alone.ratings = Some(agreement::agreement(&ratings));
        }
        if let Some(path) = &self.durations {
            let durations = table(path, durations::read)?;
            alone.durations = Some(tempo::of(&durations, |at| Id::Row(at as u64 + 1)));
        }
        if self.json {
            alone.agreement = alone.ratings;
            alone.tempo.clone_from(&alone.durations);
            return super::print_json(&alone);
        }
        super::print(text::alone(&alone).trim_end())
    }
}

/// Reads logs and files of records, with the progress on a terminal.
fn taken(named: &[PathBuf], folder: &data::Folder) -> Result<Taken, Unable> {
    let paths: Vec<PathBuf> = named.iter().map(|one| log::path(one, folder)).collect::<Result<_, _>>()?;
    let counting = Counting::begin();
    let read = logs::read(&paths, |count| counting.show(count));
    drop(counting);
    read.map_err(Unable::from)
}

impl From<audit::Error> for Unable {
    fn from(error: audit::Error) -> Unable {
        match error {
            audit::Error::Log(error) => error.into(),
            audit::Error::Lines(error @ jsonl::Error::Read { .. }) => {
                let source = std::error::Error::source(&error).map(ToString::to_string);
                Unable::new(format!("{error}: {}", source.as_deref().unwrap_or("the system refuses it")))
            }
            other => {
                let help = other.help().map(str::to_owned);
                Unable { message: other.to_string(), help }
            }
        }
    }
}

fn table<T>(path: &Path, read: impl FnOnce(File) -> Result<T, audit::Error>) -> Result<T, Unable> {
    let file = File::open(path).map_err(|error| Unable::unreadable(path, &error))?;
    read(file).map_err(|fault| Unable::in_file(path, fault))
}
