//! The precedents of a log: what was proposed, what the supervisor decided, and which of them are near a case.

use super::{discretions, held, session};
use crate::Error;
use crate::chain::label::Actor;
use crate::store::log::Log;
use crate::store::precedent_index::Index;
use crate::store::reader::Reader;
use crate::streams::session::{Attempt, Session};
use review::discretion::fold::Discretion;
use review::discretion::text::remedy_of_precedent;
use review::precedent::decide::decide;
use review::precedent::fold::Precedent;
use review::precedent::near::{Near, rank};
use review::precedent::pattern::Pattern;
use review::precedent::{Command, Event, Proposal};
use std::collections::BTreeMap;

/// All precedents of a log.
#[derive(Debug)]
pub struct Precedents {
    /// In the order in which they were proposed.
    pub all: Vec<Precedent>,
    rulings: BTreeMap<String, Discretion>,
}

/// What became of a command.
pub type Done = session::Done<Event>;

impl Precedents {
    /// Reads them.
    ///
    /// # Errors
    /// [`Error`] if the log cannot be read.
    pub fn read(log: &Reader) -> Result<Precedents, Error> {
        let rulings = discretions::Held::all(log)?.into_iter().map(|held| (held.id.clone(), held.ruling()));
        Ok(Precedents { all: all(log)?, rulings: rulings.collect() })
    }

    /// One of them.
    pub fn one(&self, id: &str) -> Option<&Precedent> {
        self.all.iter().find(|precedent| precedent.id == id)
    }

    /// The ruling that a precedent stands on.
    pub fn ruling(&self, id: &str) -> Option<&Discretion> {
        self.rulings.get(id)
    }

    /// All of them: those in force, the nearest to a case first, then all others likewise. `words`: what else is said of the case, empty for nothing. The index
    /// of words is built anew: it is never older than what was read, and holds no text that was erased by then.
    ///
    /// # Errors
    /// [`Error`] if the index cannot be asked.
    pub fn near(&self, case: &Pattern, words: &str, week: Option<u32>) -> Result<Vec<Near<'_>>, Error> {
        let shared = Index::build(&self.texts())?.shared(words)?;
        Ok(rank(&self.all, case, shared.as_ref(), week))
    }

    /// What is searched of each.
    fn texts(&self) -> Vec<(String, String)> {
        let searched = |precedent: &Precedent| {
            let title = &precedent.proposal.title;
            let ruled = self.rulings.get(&precedent.proposal.ruling);
            (precedent.id.clone(), ruled.map_or_else(|| title.clone(), |ruled| text(title, ruled)))
        };
        self.all.iter().map(searched).collect()
    }

    /// Those that are in force in this week and whose facts recur in a case, the nearest first.
    pub fn recurring(&self, case: &Pattern, week: Option<u32>) -> Vec<Near<'_>> {
        rank(&self.all, case, None, week).into_iter().filter(|near| near.recurs).collect()
    }
}

/// What is searched of a ruling: its title and everything that the referee wrote.
pub fn text(title: &str, ruling: &Discretion) -> String {
    let stated = ruling.facts.iter().flat_map(|fact| [fact.name.as_str(), fact.says.as_str()]);
    let written = [ruling.because.as_deref(), ruling.words.as_deref()];
    let parts: Vec<&str> = [title].into_iter().chain(stated).chain(written.into_iter().flatten()).collect();
    parts.join("\n")
}

/// All precedents, in the order in which they were proposed.
///
/// # Errors
/// [`Error`] if the log cannot be read.
pub fn all(log: &Reader) -> Result<Vec<Precedent>, Error> {
    Ok(held::states::<Event>(log)?.into_iter().filter_map(|(_, precedent)| precedent).collect())
}

/// The id of the precedent that a ruling becomes: one ruling, one precedent.
pub fn id_of(ruling: &str) -> String {
    format!("p-{}", ruling.strip_prefix("d-").unwrap_or(ruling))
}

/// Does something with a precedent, by `actor`: decided first, then written. A command that was written before, by
/// its id, is answered with what it wrote then.
///
/// # Errors
/// [`Error`] if nothing could be written.
pub fn act(
    log: &mut Log,
    actor: &Actor,
    attempt: &Attempt,
    id: &str,
    command: Command,
) -> Result<Done, Error> {
    let mut session = Session::<Event>::named(log, id.to_owned(), actor.clone())?;
    session.act_on(log, attempt, None, |precedent| decide(precedent.as_ref(), command))
}

/// What a signed ruling is proposed as; none while it is not signed.
pub fn proposal(id: &str, title: &str, ruling: &Discretion, pattern: Pattern) -> Option<Proposal> {
    let (signed, opened) = (ruling.signed.as_ref()?, ruling.opened.as_ref()?);
    Some(Proposal {
        ruling: id.to_owned(),
        game: opened.game.clone(),
        title: title.to_owned(),
        remedy: remedy_of_precedent(opened, signed),
        rule: signed.rule.clone(),
        pattern,
    })
}
