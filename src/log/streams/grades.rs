//! The grades of a log, and what was written about them.

use super::{held, session};
use crate::Error;
use crate::chain::label::Actor;
use crate::store::log::Log;
use crate::store::reader::Reader;
use crate::streams::session::{Attempt, Session};
use formats::record::Record;
use review::grade::Event;
use review::grade::decide::decide;
use review::grade::fold::Graded;
use review::refusal::Refusal;
use serde_json::Value;
use std::collections::BTreeMap;

/// What became of a command.
#[derive(Debug, Clone, PartialEq)]
pub enum Done {
    /// It is written: the record is now graded so.
    Graded(Graded),
    No(Refusal),
}

/// All graded records, by id.
///
/// # Errors
/// [`Error`] if the log cannot be read.
pub fn all(log: &Reader) -> Result<BTreeMap<String, Graded>, Error> {
    Ok(held::states::<Event>(log)?.into_iter().collect())
}

/// Writes into records how they were graded in this log. What a record brought along stays where the log says nothing.
pub fn fill(records: &mut [Record], grades: &BTreeMap<String, Graded>) {
    for record in records {
        let Some(graded) = grades.get(&record.id) else { continue };
        if let Some(call) = graded.call() {
            record.grade = Value::from(call.word());
        }
        if let Some(position) = graded.position() {
            record.crew_position = Some(position.to_owned());
        }
        if let Some(review) = graded.review() {
            record.review_grade = Value::from(review.word());
        }
        if let Some(plain) = graded.plain() {
            record.plain = Value::from(plain);
        }
    }
}

/// Does something to a record, by `actor`: decided first, then written. An attempt that was written before, by its
/// id, changes nothing.
///
/// # Errors
/// [`Error`] if nothing could be written.
pub fn act(log: &mut Log, actor: &Actor, attempt: &Attempt, id: &str, event: Event) -> Result<Done, Error> {
    let mut session = Session::<Event>::named(log, id.to_owned(), actor.clone())?;
    let done = session.act_on(log, attempt, None, |graded| Ok(vec![decide(graded, event)?]))?;
    Ok(match done {
        session::Done::Events(_) => Done::Graded(session.state().clone()),
        session::Done::No(no) => Done::No(no),
    })
}
