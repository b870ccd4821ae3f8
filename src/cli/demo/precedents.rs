//! The demo's precedents: rulings of the referee's own, and what the supervisor made of each, from a script.
//!
//! Every act has an id of its own, so that running it again adds nothing.

use crate::cli::{Unable, books, input};
use formats::precedent::script::{Ruled, Script};
use formats::read::Form;
use host::clock;
use log::Error;
use log::chain::label::{Actor, CommandId};
use log::store::log::Log;
use log::streams::discretions::{DiscretionSession, Done};
use log::streams::precedents;
use log::streams::precedents::proposal;
use log::streams::session::Attempt;
use review::discretion::Command as Ruling;
use review::precedent::Command;
use review::precedent::pattern::Pattern;
use rules::book::Book;

const SCRIPT: &str = include_str!("../../../demo/precedents.ron");

/// Who decides about precedents in the demo.
const SUPERVISOR: &str = "supervisor-01";

/// Writes the acts that the log does not have yet.
pub(super) fn make(log: &mut Log) -> Result<(), Unable> {
    let script: Script = input::parse(SCRIPT, "demo/precedents.ron", Form::Ron)?.into_value();
    let book = books::load(&script.book)?;
    script.rulings.iter().try_for_each(|ruled| one(log, &book, ruled))
}

fn one(log: &mut Log, book: &Book, ruled: &Ruled) -> Result<(), Unable> {
    let official = Actor::new(&*ruled.official).map_err(Error::from)?;
    let mut session = DiscretionSession::named(log, ruled.id.clone(), official.clone())?;
    let commands =
        ruled.commands(book).map_err(|error| Unable::new(format!("the script of {}: {error}", ruled.id)))?;
    for (number, command) in commands.into_iter().enumerate() {
        rule(log, &mut session, book, (ruled, number), command)?;
    }
    let Some(pattern) = Pattern::of(book, session.ruling()) else { return Ok(()) };
    let proposed = proposal(&ruled.id, &ruled.title, session.ruling(), pattern);
    let id = precedents::id_of(&ruled.id);
    let propose = proposed.map(|proposed| (official, Command::Propose(Box::new(proposed))));
    let supervisor = Actor::new(SUPERVISOR).map_err(Error::from)?;
    let decided = ruled.decisions.iter().map(|decided| (supervisor.clone(), decided.command()));
    for (number, (actor, command)) in propose.into_iter().chain(decided).enumerate() {
        let attempt = attempt(&id, number)?;
        match precedents::act(log, &actor, &attempt, &id, command)? {
            precedents::Done::Events(_) => {}
            precedents::Done::No(no) => return Err(refused(&id, &no)),
        }
    }
    Ok(())
}

fn rule(
    log: &mut Log,
    session: &mut DiscretionSession,
    book: &Book,
    (ruled, number): (&Ruled, usize),
    command: Ruling,
) -> Result<(), Unable> {
    let attempt = attempt(&ruled.id, number)?;
    // A ruling that was signed under an earlier edition stays as it is.
    let signed = session.ruling().is_over() && log.written(&attempt.command)?.is_empty();
    let other =
        session.ruling().opened.as_ref().is_some_and(|opened| opened.edition != book.edition.to_string());
    if signed || other {
        return Ok(());
    }
    match session.act(log, book, &attempt, command)? {
        Done::Events(_) => Ok(()),
        Done::No(no) => Err(refused(&ruled.id, &no)),
    }
}

fn attempt(id: &str, number: usize) -> Result<Attempt, Unable> {
    let command = CommandId::new(format!("demo {id} act {number}")).map_err(Error::from)?;
    Ok(Attempt { command, at: clock::now() })
}

fn refused(id: &str, no: &review::refusal::Refusal) -> Unable {
    Unable::new(format!("the script of {id}: {no}")).help(no.instead.clone())
}
