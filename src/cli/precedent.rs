//! `tellframe precedent …`: what the referees ruled where the book left it open, and what became of it.

mod decide;
mod near;
mod show;

use super::{Answer, Unable};
use clap::Subcommand;
use host::data;
use log::store::reader::Reader;
use log::streams::precedents::Precedents;
use std::path::Path;

/// Arguments of `precedent`.
#[derive(Debug, clap::Args)]
pub(super) struct Precedent {
    #[command(subcommand)]
    command: Command,
}

#[derive(Debug, Subcommand)]
enum Command {
    /// Say which precedents are near a case, why, and how each differs: they advise, the referee decides
    Near(near::Near),
    /// List the precedents of a log
    List(show::List),
    /// Tell one precedent: the ruling that it stands on, and what was decided since
    Show(show::Show),
    /// Let a precedent be shown wherever its facts recur
    Approve(decide::Approve),
    /// Let it be shown only where some of its facts are as they were
    Narrow(decide::Narrow),
    /// Let it be shown no more
    Withdraw(decide::Withdraw),
}

impl Precedent {
    pub(super) fn run(&self, folder: &data::Folder) -> Result<Answer, Unable> {
        match &self.command {
            Command::Near(near) => near.run(folder),
            Command::List(list) => list.run(folder),
            Command::Show(show) => show.run(folder),
            Command::Approve(approve) => approve.run(folder),
            Command::Narrow(narrow) => narrow.run(folder),
            Command::Withdraw(withdraw) => withdraw.run(folder),
        }
    }
}

fn read(log: Option<&Path>, folder: &data::Folder) -> Result<(Reader, Precedents), Unable> {
    let reader = super::log::open(log, folder)?;
    let precedents = Precedents::read(&reader)?;
    Ok((reader, precedents))
}

fn no_such(id: &str, log: &Reader) -> Unable {
    Unable::new(format!("there is no precedent `{id}` in {}", log.path().display()))
        .help("`tellframe precedent list` lists them")
}
