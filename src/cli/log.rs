//! `tellframe log …`: what was written, whether it is all there, and records in and out.

mod accept_loss;
mod certify;
mod day;
mod discretion;
mod entry;
mod export;
mod grade;
mod head;
mod import;
mod second_look;
mod show;
mod verify;

use super::{Answer, Unable, checked_output};
use clap::Subcommand;
use host::clock;
use host::data;
use host::output::Output;
use log::Error;
use log::chain::label::{Actor, CommandId};
use log::chain::sign::Key;
use log::store::location::Location;
use log::store::reader::Reader;
use log::streams::session::Attempt;
use review::refusal::Refusal;
use std::path::{Path, PathBuf};

/// Arguments of `log`.
#[derive(Debug, clap::Args)]
pub(super) struct Log {
    #[command(subcommand)]
    command: Command,
}

#[derive(Debug, Subcommand)]
enum Command {
    /// Prove that the log is what was written, or name its first bad entry
    Verify(verify::Verify),
    /// List reviews and games, or tell one of them; a review also as a page to print
    Show(show::Show),
    /// Write the records of the log, one a question, as JSON Lines or Parquet
    Export(export::Export),
    /// Take over records of other logs
    Import(import::Import),
    /// Sign where the log ends now, to be kept by somebody else
    Head(head::Head),
    /// Go on with a log whose newest entries are lost, against the head kept beside it
    AcceptLoss(accept_loss::AcceptLoss),
    /// Write one signed file that says how a ruling came about, for whoever inquires
    Certify(certify::Certify),
    /// Grade a call, a review, a challenge or an angle; a later grade supersedes an earlier one, both are kept
    Grade(grade::GradeRecord),
    /// Keep what a club asks about a ruling
    Inquire(grade::Inquire),
    /// Keep what an official says against a grade
    Appeal(grade::Appeal),
    /// Answer an inquiry or an appeal in writing
    Answer(grade::AnswerLetter),
    /// List what was graded, with letters and answers
    Grades(grade::List),
    /// Have ruled questions answered once more, blind, by another official
    Again(second_look::Again),
}

impl Log {
    pub(super) fn run(&self, folder: &data::Folder) -> Result<Answer, Unable> {
        match &self.command {
            Command::Verify(verify) => verify.run(folder),
            Command::Show(show) => show.run(folder),
            Command::Export(export) => export.run(folder),
            Command::Import(import) => import.run(folder),
            Command::Head(head) => head.run(folder),
            Command::AcceptLoss(accept) => accept.run(folder),
            Command::Certify(certify) => certify.run(folder),
            Command::Grade(grade) => grade.run(folder),
            Command::Inquire(inquire) => inquire.run(folder),
            Command::Appeal(appeal) => appeal.run(folder),
            Command::Answer(answer) => answer.run(folder),
            Command::Grades(list) => list.run(folder),
            Command::Again(again) => again.run(folder),
        }
    }
}

/// Whether the word `demo` or `season` is meant, and not a file of that name.
fn is_word(log: &Path, word: &str) -> bool {
    log == Path::new(word) && !log.is_file()
}

/// The log that an argument names, and its desk's key, which lies beside it.
pub(super) fn files(log: Option<&Path>, folder: &data::Folder) -> Result<(PathBuf, PathBuf), Unable> {
    let of = |location: Location| (location.log(), location.key());
    match log {
        Some(log) if is_word(log, "demo") => Ok(of(folder.demo()?)),
        Some(log) if is_word(log, "season") => Ok(of(folder.season()?)),
        Some(log) => {
            let beside = log.parent().filter(|beside| !beside.as_os_str().is_empty());
            Ok((log.to_owned(), Location::at(beside.unwrap_or(Path::new("."))).key()))
        }
        None => Ok(of(folder.user()?)),
    }
}

/// The file that a LOG argument names.
pub(super) fn path(log: &Path, folder: &data::Folder) -> Result<PathBuf, Unable> {
    Ok(files(Some(log), folder)?.0)
}

pub(super) fn open(log: Option<&Path>, folder: &data::Folder) -> Result<Reader, Unable> {
    let (log, _) = files(log, folder)?;
    Ok(Reader::open(&log)?)
}

/// The log, opened to be written by its desk's key.
pub(super) fn opened(log: Option<&Path>, folder: &data::Folder) -> Result<log::store::log::Log, Unable> {
    let (path, key) = files(log, folder)?;
    let key = Key::read(&key).map_err(Error::Key)?;
    Ok(log::store::log::Log::open(&path, key)?)
}

/// The pseudonym that an option gives.
pub(super) fn actor(option: &str, name: &str) -> Result<Actor, Unable> {
    Actor::new(name).map_err(|fault| Unable::new(format!("{option}: {fault}")))
}

/// A new attempt, whose id begins with `what`.
pub(super) fn attempt(what: &str) -> Result<Attempt, Unable> {
    let at = clock::now();
    let id = format!("{what} {} {}", std::process::id(), at.utc_ms);
    Ok(Attempt { command: CommandId::new(id).map_err(Error::from)?, at })
}

/// Prints each refusal with what to do instead.
pub(super) fn refused(against: &[Refusal]) -> Answer {
    for no in against {
        eprintln!("no: {no}");
        eprintln!("help: {}", no.instead);
    }
    Answer::No
}

/// A log, and the file to write about it.
#[derive(Debug, clap::Args)]
struct Written {
    /// The log, or `demo` for that of the demo; left out: your own
    #[arg(value_name = "LOG")]
    log: Option<PathBuf>,
    /// Write it to this file; left out: to stdout
    #[arg(short, long, value_name = "FILE")]
    out: Option<PathBuf>,
    /// Write over FILE if it is there; never over a log, a key, a database or a rule book
    #[arg(long, requires = "out")]
    force: bool,
}

impl Written {
    /// The log, the file of its desk's key, and the file to write, which is checked first.
    fn open(&self, folder: &data::Folder) -> Result<(Reader, PathBuf, Option<Output>), Unable> {
        let out = checked_output(self.out.as_deref(), self.force)?;
        let (log, key) = files(self.log.as_deref(), folder)?;
        Ok((Reader::open(&log)?, key, out))
    }
}
