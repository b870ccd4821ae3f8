//! The command line: one file a command.
//!
//! Results go to stdout, messages to stderr. Exit status: 0 for success, 1 where the answer is "no", 2 for bad
//! usage or unreadable input. Never here: rules, statistics, SQL.

mod audit;
mod books;
mod case;
mod check;
mod counting;
mod decode;
mod defects;
mod demo;
mod enforce;
mod input;
mod line;
mod log;
mod measure;
mod order;
mod precedent;
mod probe;
mod rejudge;
mod schema;
mod settle;
mod trace;
#[cfg(feature = "desk")]
mod week;

use clap::{Parser, Subcommand};
use formats::settle::Answer as Given;
use host::data;
use host::output::{self, Existing, Output};
use rules::shown::visible;
use std::path::Path;
use std::process::ExitCode;

/// From a challenge to a signed ruling.
///
/// The league's published rules prevail and the official decides; this tool advises and records.
#[derive(Debug, Parser)]
#[command(name = "tellframe", version, max_term_width = 100)]
struct Arguments {
    /// Say more about what is done; twice for everything
    #[arg(short, long, action = clap::ArgAction::Count, global = true)]
    verbose: u8,
    /// Where logs, keys and traces lie; left out: the folder that the system gives this user
    #[arg(long, value_name = "DIR", global = true)]
    data: Option<std::path::PathBuf>,
    #[command(subcommand)]
    command: Option<Command>,
}

#[derive(Debug, Subcommand)]
enum Command {
    /// Walk one challenge of the invented league, to the signed ruling
    Demo(demo::Demo),
    /// Prove a rule book sound, like a good compiler
    Check(check::Check),
    /// Run case plays against a rule book, one line each
    Case(case::Case),
    /// Say what answers so far amount to, what is settled and what would flip it
    Settle(settle::Settle),
    /// Enforce the fouls of a play: every choice, the next situation, the clock
    Enforce(enforce::Enforce),
    /// Say where every line of the book is for a situation
    Line(line::Line),
    /// Say where points on the ground are, and on which side of a line, with their errors
    Measure(measure::Measure),
    /// Read out of logs what a supervisor asks: rates, times, agreement, consistency
    Audit(audit::AuditLogs),
    /// Say which of two events came first, how much time lies between, and how sure that is: it advises, the
    /// official decides
    Order(order::Order),
    /// Find, list and decide precedents: what the referees ruled where the book left it open
    Precedent(precedent::Precedent),
    /// Say what a clip is: frames, exact times, faults; or give one exact frame
    Probe(probe::Probe),
    /// Verify, show, export and import a log
    Log(log::Log),
    /// Judge a log again under another edition: what flips, and by which change in the book
    Rejudge(rejudge::Rejudge),
    /// Open the supervisor's window on logs: pairs, times, wording, grades, angles, precedents
    #[cfg(feature = "desk")]
    Week(week::OpenWeek),
    /// Print the JSON Schema of a format
    Schema(schema::Schema),
    /// Decode for another process of this program
    #[command(name = host::decoder::WORD, hide = true)]
    Decode(decode::Decode),
}

impl Command {
    fn run(&self, folder: &data::Folder) -> Result<Answer, Unable> {
        match self {
            Command::Demo(demo) => demo.run(folder),
            Command::Check(check) => check.run(),
            Command::Case(case) => case.run(),
            Command::Settle(settle) => settle.run(),
            Command::Enforce(enforce) => enforce.run(),
            Command::Line(line) => line.run(),
            Command::Measure(measure) => measure.run(),
            Command::Audit(audit) => audit.run(folder),
            Command::Order(order) => order.run(),
            Command::Precedent(precedent) => precedent.run(folder),
            Command::Probe(probe) => probe.run(),
            Command::Log(log) => log.run(folder),
            Command::Rejudge(rejudge) => rejudge.run(folder),
            Command::Schema(schema) => schema.run(),
            #[cfg(feature = "desk")]
            Command::Week(week) => week.run(folder),
            Command::Decode(decode) => decode.run(),
        }
    }
}

/// How a command ended, when it could do its work.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Answer {
    Yes,
    /// The work was done and the answer is no.
    No,
}

/// Why a command could not do its work: in one line, with what to do.
#[derive(Debug, thiserror::Error)]
#[error("{message}")]
struct Unable {
    message: String,
    help: Option<String>,
}

impl Unable {
    fn new(message: impl Into<String>) -> Unable {
        Unable { message: message.into(), help: None }
    }

    /// A fault in the content of a file.
    fn in_file(path: &Path, fault: impl std::fmt::Display) -> Unable {
        Unable::new(format!("{}: {fault}", path.display()))
    }

    fn unreadable(path: &Path, error: &std::io::Error) -> Unable {
        Unable::new(format!("cannot read {}: {error}", path.display()))
    }

    fn help(mut self, help: impl Into<String>) -> Unable {
        self.help = Some(help.into());
        self
    }
}

impl From<::log::Error> for Unable {
    fn from(error: ::log::Error) -> Unable {
        let mut message = error.to_string();
        let mut source = std::error::Error::source(&error);
        while let Some(inner) = source {
            message = format!("{message}: {inner}");
            source = inner.source();
        }
        Unable { message, help: error.help().map(str::to_owned) }
    }
}

impl From<output::Error> for Unable {
    fn from(error: output::Error) -> Unable {
        Unable { message: error.to_string(), help: error.help().map(str::to_owned) }
    }
}

/// The error of the program without a command where no window can be opened.
fn no_window(because: &str) -> Unable {
    use clap::CommandFactory;
    let arguments = Arguments::command();
    let names: Vec<&str> = arguments
        .get_subcommands()
        .filter(|command| !command.is_hide_set())
        .map(clap::Command::get_name)
        .collect();
    Unable::new(format!("{because}; these commands work without a window: {}", names.join(", ")))
        .help("tellframe demo walks a whole challenge; tellframe COMMAND --help says more")
}

/// Opens the window on the user's own log.
#[cfg(feature = "desk")]
fn open_desk(folder: &data::Folder) -> Result<Answer, Unable> {
    let place = folder.user()?;
    let opening = desk::Opening { folder: folder.clone(), place, rehearsal: None, clips: None };
    match desk::open(desk::Window::Booth(Box::new(opening))) {
        Ok(()) => Ok(Answer::Yes),
        Err(error) => Err(no_window(&error.to_string())),
    }
}

/// A build without the window has only commands.
#[cfg(not(feature = "desk"))]
fn open_desk(_folder: &data::Folder) -> Result<Answer, Unable> {
    Err(no_window("this build has no window"))
}

/// Runs the command that the arguments name.
pub fn run() -> ExitCode {
    let arguments = match Arguments::try_parse() {
        Ok(arguments) => arguments,
        Err(error) => {
            // A failed print (a closed pipe) does not change the status.
            let _ = error.print();
            return ExitCode::from(if error.use_stderr() { 2 } else { 0 });
        }
    };
    let folder = data::Folder { given: arguments.data };
    // A decoder has nothing to trace and is started often. Other commands run even without a folder to trace into.
    if !matches!(arguments.command, Some(Command::Decode(_))) {
        trace::start(arguments.verbose, folder.root().ok().as_deref());
    }
    let done = match &arguments.command {
        None => open_desk(&folder),
        Some(command) => command.run(&folder),
    };
    match done {
        Ok(Answer::Yes) => ExitCode::SUCCESS,
        Ok(Answer::No) => ExitCode::from(1),
        Err(unable) => {
            tracing::debug!("it could not be done: {unable}");
            complain(&unable);
            ExitCode::from(2)
        }
    }
}

/// Prints why a command could not do its work, hidden signs made visible, and what to do.
fn complain(unable: &Unable) {
    let lines: Vec<_> = unable.message.lines().map(visible).collect();
    eprintln!("error: {}", lines.join("\n"));
    if let Some(help) = &unable.help {
        eprintln!("help: {}", visible(help));
    }
}

/// Prints a result as one line of JSON.
fn print_json(value: &impl serde::Serialize) -> Result<Answer, Unable> {
    let text = serde_json::to_string(value).map_err(|error| Unable::new(error.to_string()))?;
    put(&text)
}

/// Says what of an input changes nothing, or is odd and was taken as it is written.
fn note(notes: &[String]) {
    for note in notes {
        eprintln!("note: {}", visible(note));
    }
}

/// Prints a result for people, line by line: signs that are hidden in it are made visible.
fn print(text: &str) -> Result<Answer, Unable> {
    let lines: Vec<_> = text.split('\n').map(visible).collect();
    put(&lines.join("\n"))
}

/// Prints a text exactly as it is. A closed pipe is not an error.
fn put(text: &str) -> Result<Answer, Unable> {
    use std::io::Write;
    match writeln!(std::io::stdout().lock(), "{text}") {
        Ok(()) => Ok(Answer::Yes),
        Err(error) if error.kind() == std::io::ErrorKind::BrokenPipe => Ok(Answer::Yes),
        Err(error) => Err(Unable::new(format!("cannot write the result: {error}"))),
    }
}

/// The file that an argument names, checked before anything else is done.
fn checked_output(path: Option<&Path>, force: bool) -> Result<Option<Output>, Unable> {
    let output = path.map(|path| Output::new(path, Existing::by(force)));
    output.as_ref().map_or(Ok(()), Output::check)?;
    Ok(output)
}

fn answer_text(answer: &Given) -> String {
    match answer {
        Given::One(option) => option.clone(),
        Given::Some(options) => options.join(" or "),
    }
}
