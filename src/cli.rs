//! The command line: one file a command.
//!
//! Results go to stdout, messages to stderr. Exit status: 0 for success, 1 where the answer is "no", 2 for bad
//! usage or unreadable input. Never here: rules, statistics, SQL.

mod books;
mod check;
mod faults;

use clap::{Parser, Subcommand};
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
    #[command(subcommand)]
    command: Command,
}

#[derive(Debug, Subcommand)]
enum Command {
    /// Prove a rule book sound, like a good compiler
    Check(check::Check),
}

/// How a command ended, when it could do its work.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Answer {
    /// All is well.
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

    fn help(mut self, help: impl Into<String>) -> Unable {
        self.help = Some(help.into());
        self
    }
}

/// Runs the command that the arguments name.
pub fn run() -> ExitCode {
    let arguments = match Arguments::try_parse() {
        Ok(arguments) => arguments,
        Err(error) => {
            // A failed print (a closed pipe) changes nothing about the status.
            let _ = error.print();
            return ExitCode::from(if error.use_stderr() { 2 } else { 0 });
        }
    };
    let done = match &arguments.command {
        Command::Check(check) => check.run(),
    };
    match done {
        Ok(Answer::Yes) => ExitCode::SUCCESS,
        Ok(Answer::No) => ExitCode::from(1),
        Err(unable) => {
            eprintln!("error: {unable}");
            if let Some(help) = unable.help {
                eprintln!("help: {help}");
            }
            ExitCode::from(2)
        }
    }
}
