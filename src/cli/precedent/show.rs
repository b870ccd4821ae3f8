//! `tellframe precedent list|show`: the precedents of a log, or one of them with its life.

use crate::cli::{Answer, Unable, print, print_json};
use formats::precedent::PrecedentJson;
use host::data;
use log::streams::discretions;
use review::discretion::text as ruled;
use review::precedent::fold::Precedent;
use review::precedent::text;
use std::path::PathBuf;

/// Arguments of `precedent list`.
#[derive(Debug, clap::Args)]
pub(super) struct List {
    /// The log, `demo` or `season`; left out: your own
    #[arg(value_name = "LOG")]
    log: Option<PathBuf>,
    /// Print the result as JSON
    #[arg(long)]
    json: bool,
}

/// Arguments of `precedent show`.
#[derive(Debug, clap::Args)]
pub(super) struct Show {
    /// The precedent
    #[arg(value_name = "PRECEDENT")]
    precedent: String,
    /// The log, `demo` or `season`; left out: your own
    #[arg(value_name = "LOG")]
    log: Option<PathBuf>,
    /// Print the result as JSON
    #[arg(long)]
    json: bool,
}

impl List {
    pub(super) fn run(&self, folder: &data::Folder) -> Result<Answer, Unable> {
        let (_, precedents) = super::read(self.log.as_deref(), folder)?;
        if self.json {
            return print_json(&precedents.all.iter().map(PrecedentJson::from).collect::<Vec<_>>());
        }
        if precedents.all.is_empty() {
            return print("no precedents");
        }
        for precedent in &precedents.all {
            print(&line(precedent))?;
        }
        Ok(Answer::Yes)
    }
}

/// A precedent in a line.
fn line(precedent: &Precedent) -> String {
    let when = precedent.decisions.last();
    let when = when.map_or_else(String::new, |decision| format!(" {}", text::weeks(decision.weeks)));
    let status = text::status(precedent.status());
    let proposal = &precedent.proposal;
    format!(
        "{}  {status}{when}  {}: {} (rule {})",
        precedent.id, proposal.title, proposal.remedy, proposal.rule
    )
}

impl Show {
    pub(super) fn run(&self, folder: &data::Folder) -> Result<Answer, Unable> {
        let (log, precedents) = super::read(self.log.as_deref(), folder)?;
        let precedent =
            precedents.one(&self.precedent).ok_or_else(|| super::no_such(&self.precedent, &log))?;
        if self.json {
            return print_json(&PrecedentJson::from(precedent));
        }
        print(&line(precedent))?;
        let proposal = &precedent.proposal;
        print(&format!("\nruling {} in {}:", proposal.ruling, proposal.game))?;
        if let Some(held) = discretions::Held::one(&log, &proposal.ruling)? {
            for (_, stamped) in &held.events {
                print(&format!("  {}", ruled::event(&stamped.event)))?;
            }
        }
        print("\nits facts; it can be narrowed to any of them:")?;
        for (fact, is) in proposal.pattern.labelled() {
            print(&format!("  {fact} = {is}"))?;
        }
        print("\nsince then:")?;
        for stamped in precedent.events() {
            print(&format!("  {}, by {}", text::event(&stamped.event), stamped.by))?;
        }
        Ok(Answer::Yes)
    }
}
