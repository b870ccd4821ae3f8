//! The grades of a log, and what was written about them: a pass over the entries gives them.

use crate::Error;
use crate::chain::entry::Act;
use crate::chain::label::Actor;
use crate::forms::grade as record;
use crate::store::log::Log;
use crate::store::reader::Reader;
use crate::store::tail::Attempt;
use crate::streams::discretions::of_kind;
use formats::record::Record;
use review::grade::decide::decide;
use review::grade::fold::Graded;
use review::grade::{Event, Stamped};
use review::refusal::Refusal;
use serde_json::Value;
use std::collections::BTreeMap;

/// What became of a command.
#[derive(Debug, Clone, PartialEq)]
pub enum Done {
    /// It is written: the record is now graded so.
    Graded(Graded),
    /// It does not fit, and nothing was written.
    No(Refusal),
}

/// All graded records, by id.
///
/// # Errors
/// [`Error`] if the log cannot be read.
pub fn all(log: &Reader) -> Result<BTreeMap<String, Graded>, Error> {
    let mut all: BTreeMap<String, Graded> = BTreeMap::new();
    log.each_from::<Error>(1, |stored| {
        let Some(entry) = of_kind(&stored, record::OF_A_GRADE)? else { return Ok(()) };
        match record::event(log, &entry) {
            Ok(Some((id, stamped))) => match all.get_mut(&id) {
                Some(graded) => graded.apply(stamped),
                None => {
                    let mut graded = Graded::default();
                    graded.apply(stamped);
                    all.insert(id, graded);
                }
            },
            // What this program cannot read is `verify`'s finding.
            Ok(None) | Err(Error::Record(_)) => {}
            Err(other) => return Err(other),
        }
        Ok(())
    })?;
    Ok(all)
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
    let Attempt { command, at } = attempt;
    // Decided on what is there up to this head: what comes in between is seen when it is appended.
    let head = log.reader().tip()?.head;
    let mut graded = all(log.reader())?.remove(id).unwrap_or_else(Graded::default);
    if !log.written(command)?.is_empty() {
        return Ok(Done::Graded(graded));
    }
    let event = match decide(&graded, event) {
        Ok(event) => event,
        Err(no) => return Ok(Done::No(no)),
    };
    let act = Act { actor: actor.clone(), review: None, at: at.clone() };
    log.append(head, command, &[record::entry(act, id, &event)?])?;
    graded.apply(Stamped { at: at.clone(), by: actor.to_string(), event });
    Ok(Done::Graded(graded))
}
