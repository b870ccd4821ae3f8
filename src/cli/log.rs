//! `tellframe log …`: what was written, whether it is all there, and records in and out.

mod accept_loss;
mod certify;
mod day;
mod discretion;
mod export;
mod grade;
mod head;
mod import;
mod second_look;
mod show;
mod time;
mod verify;

use super::{Answer, Unable};
use clap::Subcommand;
use host::data;
use log::store::location::Location;
use log::store::reader::Reader;
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

/// The log that is meant, and its desk's key: beside it.
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

/// The file that is meant by a LOG argument.
pub(super) fn path(log: &Path, folder: &data::Folder) -> Result<PathBuf, Unable> {
    Ok(files(Some(log), folder)?.0)
}

fn open(log: Option<&Path>, folder: &data::Folder) -> Result<Reader, Unable> {
    let (log, _) = files(log, folder)?;
    Ok(Reader::open(&log)?)
}
