//! The records that a log gives: those of its own reviews, those that it imported, and the second looks at either.

use crate::Error;
use crate::chain::label::Kind;
use crate::chain::own::Statement;
use crate::forms::Fault;
use crate::store::reader::Reader;
use crate::streams::grades;
use crate::streams::reviews;
use crate::streams::reviews::Held;
use crate::streams::second_looks;
use formats::record::Record;
use formats::record::held::{About, records};
use rules::book::Book;
use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};

/// The records of the log's own reviews that are over, in the order in which they began. A review whose
/// edition is not known, or that this program cannot read to its end, gives none.
///
/// # Errors
/// [`Error`] if the log cannot be read.
pub fn own(log: &Reader) -> Result<Vec<Record>, Error> {
    of_reviews(log, &reviews::Held::all(log)?)
}

/// The records of these reviews.
///
/// # Errors
/// [`Error`] if the log cannot be read.
pub(crate) fn of_reviews(log: &Reader, held: &[Held]) -> Result<Vec<Record>, Error> {
    let mut books: BTreeMap<&str, Option<Book>> = BTreeMap::new();
    let mut all = Vec::new();
    for held in held.iter().filter(|held| held.unread.is_none()) {
        let Some(begun) = &held.begun else { continue };
        let book = match books.get(begun.edition.as_str()) {
            Some(book) => book,
            None => {
                // If the rules can no longer be read, the records lack a detail but are still given.
                let book = reviews::rules(log, begun)?.and_then(|rules| rules.load().ok());
                books.entry(&begun.edition).or_insert(book)
            }
        };
        let about = About {
            review: held.id.as_str(),
            official: held.official.as_str(),
            book: &begun.book,
            edition: &begun.edition,
            rules: book.as_ref(),
        };
        // A review that is not over, or decided nothing, has no records.
        all.extend(records(about, &held.review()).into_iter().flatten());
    }
    Ok(all)
}

/// The ids of `own`, and of the second looks that were entered in the log.
///
/// # Errors
/// [`Error`] if the log cannot be read.
pub fn own_ids(log: &Reader) -> Result<BTreeSet<String>, Error> {
    let mut ids: BTreeSet<String> = own(log)?.into_iter().map(|record| record.id).collect();
    ids.extend(second_looks::ids(&second_looks::all(log)?));
    Ok(ids)
}

/// The records that were imported, in order.
///
/// # Errors
/// [`Error`] if the log or an imported record cannot be read.
pub fn imported(log: &Reader) -> Result<Vec<Record>, Error> {
    let mut all = Vec::new();
    each_imported::<Error>(log, |kind, record| {
        let read = serde_json::from_value(record);
        all.push(read.map_err(|e| Fault::Unreadable { kind: kind.clone(), detail: e.to_string() })?);
        Ok(())
    })?;
    Ok(all)
}

/// Every imported record as it was written, one at a time: a log may hold more of them than fit in memory.
///
/// # Errors
/// [`Error`] if the log cannot be read, or what `each` answers.
pub fn each_imported<E: From<Error>>(
    log: &Reader,
    mut each: impl FnMut(&Kind, Value) -> Result<(), E>,
) -> Result<(), E> {
    log.each_of::<E>(&log.imported()?, |stored| {
        let entry = stored.entry()?;
        match Statement::of(&entry).map_err(Error::from)? {
            Some(Statement::Imported { record }) => each(&entry.kind, record),
            Some(_) | None => Ok(()),
        }
    })
}

/// Own records and imported ones, with the grades that the log has of them, and the second looks at them.
///
/// # Errors
/// [`Error`] if the log cannot be read.
pub fn all(log: &Reader) -> Result<Vec<Record>, Error> {
    all_of(log, &reviews::Held::all(log)?)
}

/// The same, of these reviews of the log and of what it imported.
///
/// # Errors
/// [`Error`] if the log cannot be read.
pub fn all_of(log: &Reader, held: &[Held]) -> Result<Vec<Record>, Error> {
    let mut all = of_reviews(log, held)?;
    all.extend(imported(log)?);
    grades::fill(&mut all, &grades::all(log)?);
    let looks = second_looks::records(&second_looks::all(log)?, &all);
    all.extend(looks);
    Ok(all)
}
