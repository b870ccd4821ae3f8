//! `tellframe settle BOOK FILE`: what answers so far amount to.

use super::{Answer, Unable, books, input};
use formats::case::result::names;
use formats::error::Error;
use formats::settle::{Asked, Found, SettledJson};
use review::flips::flips;
use review::next::soonest;
use review::ruling::label;
use review::settle::settle;
use review::stance::{Called, Stance};
use rules::book::Book;
use std::path::PathBuf;

/// Arguments of `settle`.
#[derive(Debug, clap::Args)]
pub(super) struct Settle {
    /// A folder of a rule book, or the name of a built-in one
    #[arg(value_name = "BOOK")]
    book: String,
    /// A tree, a call and some answers, as RON or JSON
    #[arg(value_name = "FILE")]
    file: PathBuf,
    /// Print the result as JSON
    #[arg(long)]
    json: bool,
}

impl Settle {
    pub(super) fn run(&self) -> Result<Answer, Unable> {
        let book = books::load(&self.book)?;
        let asked = input::file(&self.file)?;
        let found = found(&book, asked.value()).map_err(|error| asked.fault(error))?;
        if self.json {
            return super::print_json(&found);
        }
        super::print(&format!("still possible: {}", found.possible.join(", ")))?;
        super::print(&format!("if you rule now: {}", found.outcome))?;
        let yes = |settled: bool| if settled { "settled" } else { "open" };
        super::print(&format!(
            "outcome {}, restart {}",
            yes(found.settled.outcome),
            yes(found.settled.restart)
        ))?;
        if found.settled.outcome {
            super::print(if found.proven {
                "proven"
            } else {
                "stands for lack of proof: a clearer angle could change it"
            })?;
        }
        if let Some(next) = &found.next {
            super::print(&format!("settles soonest: {next}"))?;
        }
        for flip in &found.flips {
            super::print(&format!("would flip it: {}", flip.join(" and ")))?;
        }
        Ok(Answer::Yes)
    }
}

fn found(book: &Book, asked: &Asked) -> Result<Found, Error> {
    let (known, answers) = asked.read(book)?;
    let tree = known.tree;
    let called = Called { call: known.call, whistled: asked.whistle.is_some(), flag_on: None };
    let stance = Stance::new(tree, called, book.replay.unproven);
    let settled = settle(&stance, &answers);
    let step = |index: usize| tree.steps[index].name.clone();
    Ok(Found {
        possible: names(tree, settled.possible),
        outcome: label(book, settled.now.outcome).to_owned(),
        finding: settled.now.finding.map(|index| tree.findings[index].name.clone()),
        settled: SettledJson { outcome: settled.outcome, restart: settled.restart },
        proven: settled.proven,
        next: soonest(&stance, &answers).map(step),
        flips: flips(&stance, &answers).into_iter().map(|set| set.into_iter().map(step).collect()).collect(),
    })
}
