//! `tellframe precedent approve|narrow|withdraw`: what the supervisor makes of a precedent.

use crate::cli::log::{actor, attempt, opened, refused};
use crate::cli::{Answer, Unable, print, print_json};
use formats::precedent::PrecedentJson;
use host::data;
use log::streams::precedents;
use log::streams::precedents::{Done, Precedents};
use review::precedent::{Command, Condition, Weeks, text};
use std::path::PathBuf;

/// What every decision needs.
#[derive(Debug, clap::Args)]
struct Decision {
    /// The precedent
    #[arg(value_name = "PRECEDENT")]
    precedent: String,
    /// The log, `demo` or `season`; left out: your own
    #[arg(value_name = "LOG")]
    log: Option<PathBuf>,
    /// From this week on
    #[arg(long, value_name = "WEEK")]
    from: u32,
    /// Why: the referees will read it
    #[arg(long, value_name = "TEXT")]
    reason: String,
    /// Your pseudonym in the log
    #[arg(long = "as", value_name = "NAME", default_value = "supervisor")]
    actor: String,
    /// Print the result as JSON
    #[arg(long)]
    json: bool,
}

/// Arguments of `precedent approve`.
#[derive(Debug, clap::Args)]
pub(super) struct Approve {
    #[command(flatten)]
    decision: Decision,
    /// Up to this week; left out: until something else is decided
    #[arg(long, value_name = "WEEK")]
    until: Option<u32>,
}

/// Arguments of `precedent narrow`.
#[derive(Debug, clap::Args)]
pub(super) struct Narrow {
    #[command(flatten)]
    decision: Decision,
    /// Up to this week; left out: until something else is decided
    #[arg(long, value_name = "WEEK")]
    until: Option<u32>,
    /// A fact of its own that must be as it was; `precedent show` lists them
    #[arg(long, value_name = "FACT=IS", required = true)]
    only: Vec<String>,
}

/// Arguments of `precedent withdraw`.
#[derive(Debug, clap::Args)]
pub(super) struct Withdraw {
    #[command(flatten)]
    decision: Decision,
}

impl Approve {
    pub(super) fn run(&self, folder: &data::Folder) -> Result<Answer, Unable> {
        let weeks = Weeks { from: self.decision.from, until: self.until };
        self.decision.act(folder, Command::Approve { weeks, reason: self.decision.reason.clone() })
    }
}

impl Narrow {
    pub(super) fn run(&self, folder: &data::Folder) -> Result<Answer, Unable> {
        let only = |text: &String| match text.split_once('=') {
            Some((fact, is)) => Ok(Condition { fact: fact.trim().to_owned(), is: is.trim().to_owned() }),
            None => Err(Unable::new(format!("--only: `{text}` is not a fact with what it is"))
                .help("write it as FACT=IS; `tellframe precedent show` lists the facts")),
        };
        let only = self.only.iter().map(only).collect::<Result<_, _>>()?;
        let weeks = Weeks { from: self.decision.from, until: self.until };
        let reason = self.decision.reason.clone();
        self.decision.act(folder, Command::Narrow { weeks, reason, only })
    }
}

impl Withdraw {
    pub(super) fn run(&self, folder: &data::Folder) -> Result<Answer, Unable> {
        let Decision { from, reason, .. } = &self.decision;
        self.decision.act(folder, Command::Withdraw { from: *from, reason: reason.clone() })
    }
}

impl Decision {
    /// Writes the decision; one that is refused is an answer, and nothing is written.
    fn act(&self, folder: &data::Folder, command: Command) -> Result<Answer, Unable> {
        let actor = actor("--as", &self.actor)?;
        let mut log = opened(self.log.as_deref(), folder)?;
        if Precedents::read(log.reader())?.one(&self.precedent).is_none() {
            return Err(super::no_such(&self.precedent, log.reader()));
        }
        let attempt = attempt(&format!("precedent {}", self.precedent))?;
        match precedents::act(&mut log, &actor, &attempt, &self.precedent, command)? {
            Done::No(no) => Ok(refused(&[no])),
            Done::Events(events) if !self.json => {
                events.iter().try_for_each(|event| {
                    print(&format!("{}: {}", self.precedent, text::event(event))).map(|_| ())
                })?;
                Ok(Answer::Yes)
            }
            Done::Events(_) => {
                let precedents = Precedents::read(log.reader())?;
                print_json(&precedents.one(&self.precedent).map(PrecedentJson::from))
            }
        }
    }
}
